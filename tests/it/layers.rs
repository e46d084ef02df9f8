//! The layer table of `src/lib.rs`, held over the source itself; with it the rooms of outside crates, the length of
//! files, and what the project's own text may name.

use std::collections::BTreeSet;
use std::path::Path;
use std::path::PathBuf;

/// Rooms by layer: a room sees lower layers only, and none of its own.
const LAYERS: [&[&str]; 9] = [
    &["base"],
    &["record", "rulebook", "photo"],
    &["network"],
    &["compute"],
    &["rules"],
    &["readiness"],
    &["pack"],
    &["keep", "render"],
    &["cli"],
];

/// What numbers alone would allow and is refused all the same: the room, and what it must not see.
const REFUSED: [(&str, &[&str]); 5] = [
    ("keep", &["record", "rulebook", "photo", "network", "compute", "rules", "readiness", "pack"]),
    ("render", &["record", "rulebook", "photo", "network", "compute", "rules", "readiness", "pack"]),
    ("network", &["rulebook", "photo"]),
    ("compute", &["photo"]),
    ("rules", &["photo"]),
];

/// Where each dependency may be named. An empty root is anywhere.
const ROOMS: &[(&str, &[&str])] = &[
    ("chrono", &[""]),
    ("clap", &["src/cli"]),
    ("exif", &["src/photo"]),
    ("fast_image_resize", &["src/photo"]),
    ("jpeg_encoder", &["src/photo"]),
    ("libm", &[""]),
    ("lopdf", &["src/render/pdf"]),
    ("md5", &["src/render/pdf"]),
    ("moxcms", &["src/render/pdf"]),
    ("notosans", &["src/base/lettering.rs"]),
    ("png", &["src/photo"]),
    ("printpdf", &["src/render/pdf"]),
    ("pulldown_cmark", &["src/render/blocks.rs"]),
    ("serde", &["src/record/node.rs", "src/rulebook/node.rs", "src/cli"]),
    ("serde_json", &["src/record", "src/readiness", "src/pack", "src/render", "src/cli"]),
    ("serde_yaml", &["src/record/node.rs", "src/record/syntax.rs", "src/rulebook/node.rs"]),
    ("sha2", &["src/keep", "src/rulebook/book.rs", "src/cli"]),
    ("strsim", &["src/record/fault.rs", "src/cli"]),
    ("subsetter", &["src/render"]),
    ("tempfile", &["src/cli"]),
    ("tera", &["src/render/template.rs"]),
    ("thiserror", &[""]),
    ("ttf_parser", &["src/base/lettering.rs", "src/render/pdf/fonts.rs"]),
    ("zune_jpeg", &["src/photo"]),
];

/// Packages whose name in code is not their name with underscores.
const OTHER_NAMES: [(&str, &str); 2] = [("kamadak-exif", "exif"), ("md-5", "md5")];

/// What meets the outside world; only [`OUTSIDE`] may.
const WORLD: [&str; 8] = [
    "std::fs",
    "std::env",
    "std::net",
    "std::process",
    "std::time::SystemTime",
    "std::time::Instant",
    "chrono::Local",
    "chrono::Utc",
];
const OUTSIDE: [&str; 2] = ["src/cli/", "src/main.rs"];

/// Paths that the documents name and that only a run makes.
const MADE: [&str; 2] = ["out/", "target/"];

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// Every file under a folder or file of the project, as (path from the root, text); pictures and the like left out.
fn texts(under: &str) -> Vec<(String, String)> {
    let mut all = Vec::new();
    let mut open: Vec<PathBuf> = vec![root().join(under)];
    while let Some(path) = open.pop() {
        if path.is_dir() && !path.ends_with("node_modules") && !path.ends_with("__pycache__") {
            open.extend(std::fs::read_dir(&path).unwrap().map(|e| e.unwrap().path()));
        } else if let Ok(text) = std::fs::read_to_string(&path) {
            let from_root = path.strip_prefix(root()).unwrap().to_string_lossy().replace('\\', "/");
            all.push((from_root, text));
        }
    }
    all.sort();
    all
}

fn sources() -> Vec<(String, String)> {
    let all: Vec<_> = texts("src").into_iter().filter(|(path, _)| path.ends_with(".rs")).collect();
    assert!(all.len() > 50, "the sources were not found");
    all
}

/// The source without whole-line comments, which may name anything.
fn code(text: &str) -> String {
    text.lines().filter(|l| !l.trim_start().starts_with("//")).collect::<Vec<_>>().join("\n")
}

/// Every path of the code that starts with `start::`, a group in braces spelt out: `a::{b, c::{d}}` is three of them.
fn paths(code: &str, start: &str) -> BTreeSet<String> {
    let head = format!("{start}::");
    let mut all = BTreeSet::new();
    for (at, _) in code.match_indices(&head) {
        let before = code[..at].chars().next_back();
        if !before.is_some_and(|c| c.is_alphanumeric() || c == '_' || c == ':') {
            spell(start, &code[at + head.len()..], &mut all);
        }
    }
    // `use png;` and `use png as other;` name a crate without anything inside it.
    for end in [";", " as "] {
        if code.contains(&format!("use {start}{end}")) {
            all.insert(start.to_owned());
        }
    }
    all
}

/// Adds the paths at the head of `rest` behind `stem`; returns how far it read.
fn spell(stem: &str, rest: &str, all: &mut BTreeSet<String>) -> usize {
    let ident = rest.find(|c: char| !c.is_alphanumeric() && c != '_').unwrap_or(rest.len());
    let longer = format!("{stem}::{}", &rest[..ident]);
    if ident > 0 {
        match rest[ident..].strip_prefix("::") {
            Some(more) if more.starts_with(|c: char| c.is_alphabetic() || c == '_' || c == '{') => {
                return ident + 2 + spell(&longer, more, all);
            }
            _ => {
                all.insert(longer);
                return ident;
            }
        }
    }
    if !rest.starts_with('{') {
        all.insert(stem.to_owned());
        return 0;
    }
    let mut at = 1;
    while let Some(next) = rest.get(at..).and_then(|r| r.chars().next()) {
        match next {
            '}' => return at + 1,
            c if c.is_alphabetic() || c == '_' || c == '{' => at += spell(stem, &rest[at..], all).max(1),
            c => at += c.len_utf8(),
        }
    }
    at
}

#[test]
fn groups_in_braces_are_spelt_out() {
    let told = |code: &str| paths(code, "crate").into_iter().collect::<Vec<_>>().join(" ");
    assert_eq!(told("use crate::a::{b, c::{self, D}};"), "crate::a::b crate::a::c::D crate::a::c::self");
    assert_eq!(told("use crate::{a, b::C};\nlet x = crate::d::e(1);"), "crate::a crate::b::C crate::d::e");
    assert_eq!(told("$crate::a::B<u8> mycrate::c::D"), "crate::a::B");
    assert_eq!(paths("use png;", "png").len() + paths("a::png::b", "png").len(), 1);
}

fn layer_of(room: &str) -> Option<usize> {
    LAYERS.iter().position(|rooms| rooms.contains(&room))
}

/// The room of a source file: its folder, or its own name.
fn room_of(path: &str) -> &str {
    let inside = path.strip_prefix("src/").unwrap_or(path);
    inside.split('/').next().unwrap_or(inside).trim_end_matches(".rs")
}

/// Imports of a room that look up, sideways, or where they are refused.
fn upward(path: &str, text: &str) -> Vec<String> {
    let own = room_of(path);
    let layer = layer_of(own).unwrap_or_else(|| panic!("{path} is in no room of the layer table"));
    let refused = REFUSED.iter().find(|(room, _)| *room == own).map_or(&[][..], |(_, not)| not);
    let bad = |path: &String| {
        let other = path.split("::").nth(1).unwrap_or("");
        match layer_of(other) {
            Some(_) if other == own => false,
            Some(at) => at >= layer || refused.contains(&other),
            // What stands in `lib.rs` itself: the pack takes a whole examined job, only the command line starts it.
            None => !(other == "Examined" && layer >= 6 || own == "cli"),
        }
    };
    paths(&code(text), "crate").into_iter().filter(bad).map(|p| format!("{path}: {p}")).collect()
}

#[test]
fn imports_look_downward_only() {
    let found: Vec<String> = sources()
        .iter()
        .filter(|(path, _)| !["src/lib.rs", "src/main.rs"].contains(&path.as_str()))
        .flat_map(|(path, text)| upward(path, text))
        .collect();
    assert!(found.is_empty(), "{found:#?}");
    // The test itself can fail.
    assert_eq!(upward("src/base/x.rs", "use crate::record::Record;").len(), 1);
    assert_eq!(upward("src/photo/x.rs", "use crate::{base::known, rulebook};").len(), 1);
    assert_eq!(upward("src/render/x.rs", "fn f(p: &crate::pack::Pack) {}").len(), 1);
    assert_eq!(upward("src/rules/x.rs", "use crate::Examined;").len(), 1);
}

#[test]
fn no_path_climbs_out_of_its_room() {
    let climbs = |text: &str| code(text).contains("super::super");
    let found: Vec<String> = sources().into_iter().filter(|(_, text)| climbs(text)).map(|(path, _)| path).collect();
    assert!(found.is_empty(), "{found:?}");
}

#[test]
fn every_room_is_in_the_table_of_the_crate() {
    let lib = std::fs::read_to_string(root().join("src/lib.rs")).unwrap();
    let said: Vec<&str> = lib.lines().filter_map(|l| l.strip_prefix("pub mod ")?.strip_suffix(';')).collect();
    let mut ours: Vec<&str> = LAYERS.iter().flat_map(|rooms| rooms.iter().copied()).collect();
    ours.sort_unstable();
    assert_eq!(said, ours);
    let mut at = 0;
    for (number, rooms) in LAYERS.iter().enumerate() {
        let line = format!("{number}. {}", rooms.iter().map(|r| format!("[`{r}`]")).collect::<Vec<_>>().join(", "));
        let table = lib.replace("\n//! ", " ");
        let found = table.find(&line).unwrap_or_else(|| panic!("the head of src/lib.rs has no `{line}`"));
        assert!(found >= at, "{line}");
        at = found;
    }
}

#[test]
fn one_rule_knows_no_other() {
    let mut seen = 0;
    for (path, text) in sources() {
        let depth = path.matches('/').count();
        if !path.starts_with("src/rules/") || depth < 3 || path.ends_with("/mod.rs") {
            continue;
        }
        // A rule may be told in several files: a folder of its name belongs to it.
        let own =
            path.trim_start_matches("src/").trim_end_matches(".rs").split('/').take(3).collect::<Vec<_>>().join("::");
        seen += usize::from(depth == 3);
        for import in paths(&code(&text), "crate::rules") {
            if import.starts_with(&format!("crate::{own}")) {
                continue;
            }
            let inside = import.split("::").nth(2).unwrap_or("");
            // Beside the driver, measures that several rules of branches or drains share stand in rooms of their own.
            let common = matches!(
                inside,
                "at_risk"
                    | "driver"
                    | "laid"
                    | "point"
                    | "rods"
                    | "rods_proposal"
                    | "single_branch"
                    | "spacing"
                    | "spill_over"
            ) || inside.starts_with(char::is_uppercase);
            assert!(common, "{path} imports {import}");
        }
    }
    assert_eq!(seen, fallmark::rules::registry::RULES.len(), "one file a rule");
}

#[test]
fn outside_crates_stay_in_their_rooms() {
    let cargo = std::fs::read_to_string(root().join("Cargo.toml")).unwrap();
    let (_, rest) = cargo.split_once("\n[dependencies]\n").unwrap();
    let listed: BTreeSet<String> = rest
        .lines()
        .take_while(|l| !l.starts_with('['))
        .filter_map(|l| l.split_once(" = ").filter(|_| !l.starts_with('#')))
        .map(|(name, _)| {
            let other = OTHER_NAMES.iter().find(|(package, _)| *package == name).map(|(_, code)| *code);
            other.map_or_else(|| name.replace('-', "_"), str::to_owned)
        })
        .collect();
    assert_eq!(listed, ROOMS.iter().map(|(name, _)| (*name).to_owned()).collect(), "each dependency has its rooms");
    for (path, text) in sources() {
        let code = code(&text);
        for (name, rooms) in ROOMS {
            let used = !paths(&code, name).is_empty();
            assert!(!used || rooms.iter().any(|room| path.starts_with(room)), "{path} uses {name}");
        }
    }
}

#[test]
fn only_the_command_line_meets_disk_and_clock() {
    let meets = |text: &str| -> Vec<String> {
        let code = code(text);
        let named = paths(&code, "std").into_iter().chain(paths(&code, "chrono"));
        let mut all: Vec<String> = named
            .filter(|p| WORLD.iter().any(|w| p == w || p.strip_prefix(w).is_some_and(|r| r.starts_with("::"))))
            .collect();
        all.extend(["Local::now", "Utc::now"].iter().filter(|w| code.contains(**w)).map(|w| (*w).to_owned()));
        all
    };
    for (path, text) in sources() {
        if !OUTSIDE.iter().any(|o| path.starts_with(o)) {
            assert_eq!(meets(&text), Vec::<String>::new(), "{path}");
        }
    }
    assert_eq!(meets("use std::{fs, io};\nlet now = Utc::now();"), ["std::fs", "Utc::now"]);
}

#[test]
fn files_are_short_or_say_why_not() {
    for (path, text) in sources() {
        let lines = text.lines().count();
        let head: Vec<&str> = text.lines().take(12).filter(|l| l.starts_with("//!")).collect();
        let says_why = head.join(" ").to_lowercase().contains("longer than");
        assert!(
            lines <= 400 || says_why,
            "{path} has {lines} lines: split it, or say in its head why it is longer than 400"
        );
    }
}

#[test]
fn every_test_file_is_wired_in() {
    let all = texts("tests/it");
    let text_of = |path: &str| all.iter().find(|(p, _)| p == path).map_or("", |(_, text)| text.as_str());
    for (path, _) in all.iter().filter(|(p, _)| p.ends_with(".rs") && p != "tests/it/main.rs") {
        let (folder, file) = path.rsplit_once('/').unwrap();
        let name = file.trim_end_matches(".rs");
        let parent = if folder == "tests/it" { "tests/it/main.rs".to_owned() } else { format!("{folder}.rs") };
        let wired = text_of(&parent).lines().any(|l| l.trim_start_matches("pub(crate) ") == format!("mod {name};"));
        assert!(wired, "{path} is not named in {parent}");
    }
}

/// What stands between backticks in the running text of a Markdown file, word by word.
fn code_words(markdown: &str) -> Vec<String> {
    let outside: Vec<&str> = markdown.split("```").step_by(2).collect();
    let inline = outside.iter().flat_map(|part| part.split('`').skip(1).step_by(2));
    inline.flat_map(str::split_whitespace).map(str::to_owned).collect()
}

#[test]
fn every_path_that_the_documents_name_exists() {
    let mut seen = 0;
    for name in ["DEVELOPERS.md", "README.md"] {
        let Ok(text) = std::fs::read_to_string(root().join(name)) else { continue };
        for word in code_words(&text) {
            let path_like = word.contains('/') || word.ends_with(".rs");
            let is_path = path_like && !word.contains("://") && !MADE.contains(&word.as_str());
            if is_path {
                assert!(root().join(&word).exists(), "{name} names `{word}`, which is not there");
                seen += 1;
            }
        }
    }
    assert!(seen > 10, "{seen}");
    assert_eq!(code_words("see `src/a.rs` and\n```text\n`no`\n```\n`bash .ci/test`"), ["src/a.rs", "bash", ".ci/test"]);
}

/// Words that have no place in the project's own text, put together here so that this file does not hold them.
const FORBIDDEN: [&str; 4] =
    [concat!("trans", "cript"), concat!("seed ", "document"), concat!("issue", " #"), concat!("/wo", "rk/")];

#[test]
fn the_text_of_the_project_names_nothing_outside_it() {
    let mut folders: Vec<String> =
        ["src", "tests", "samples", "templates", ".ci", ".github"].map(String::from).to_vec();
    folders.extend(std::fs::read_dir(root()).unwrap().map(|e| e.unwrap().file_name().to_string_lossy().into_owned()));
    let read = |name: &String| {
        name.contains('.') || ["src", "tests", "samples", "templates", "LICENSE"].contains(&name.as_str())
    };
    let mut seen = 0;
    let names: BTreeSet<String> = folders.into_iter().filter(|n| read(n) && n != ".git").collect();
    for (path, text) in names.iter().filter(|n| root().join(n).exists()).flat_map(|n| texts(n)) {
        let lower = text.to_lowercase();
        for word in FORBIDDEN {
            assert!(!lower.contains(word) && !path.contains(word), "{path} holds `{word}`");
        }
        seen += 1;
    }
    assert!(seen > 100, "{seen}");
}
