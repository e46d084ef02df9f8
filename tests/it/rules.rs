//! Rules held against small whole records in `tests/rules`, one fact a file, and the registry against what each rule
//! must have.
//!
//! A record says what must be found in a comment on the line of the finding:
//! `# WORDS: RULE ITEM | measured | limit | field that would settle it`. `not applicable` is the absence of a finding.
//! The first word of a file's name is what it stands for; [`KINDS`] lists them.

use fallmark::base::files::FileError;
use fallmark::base::files::Files;
use fallmark::base::files::Reader;
use fallmark::base::finding::Finding;
use fallmark::base::finding::Verdict;
use fallmark::base::finding::Weight;
use fallmark::rules::registry::RULES;
use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::path::Path;

/// What a file may stand for; each rule has every one, save those of [`CANNOT`].
const KINDS: [&str; 8] = ["pass", "fail", "limit", "spread", "believed", "unknown", "other", "planned"];

/// What a rule cannot have, and why.
const CANNOT: &[(&str, &str, &str)] = &[
    ("chamber-cover", "spread", "the sizes printed on a cover have none, nor has its class"),
    ("shared-access-place", "spread", "a place has none"),
    ("shared-access-place", "limit", "a place is one of those named or it is not"),
    ("bed-and-surround", "spread", "a bed is laid to its depth, not read off"),
    ("concrete-movement-joints", "spread", "joints are made to their measure, not read off"),
    ("no-narrower-downstream", "spread", "a nominal size has none"),
    ("anti-flooding-valve", "spread", "what stands within the readings of the flood level counts as below it"),
    ("rodent-measures", "spread", "a question is asked or it is not"),
    ("rodent-measures", "planned", "what is to be asked is not asked"),
    ("open-vent-where-drain-surcharges", "spread", "a vent is open or it is not"),
    ("junction-with-the-flow", "spread", "a junction has a shape"),
    ("old-drain-sealed", "planned", "what is out of use was there before"),
    ("foul-proven-to-foul", "spread", "dye is seen or it is not"),
    ("foul-proven-to-foul", "limit", "dye is seen or it is not"),
    ("foul-proven-to-foul", "believed", "no word for that may follow a place where dye is seen"),
    ("levels-agree", "spread", "the spread is what it is held against"),
    ("foul-and-rain-apart", "spread", "water meets or it does not"),
    ("stack-size", "spread", "a size is a class"),
    ("stack-capacity", "spread", "discharge units have none"),
    ("stack-capacity-by-dwellings", "spread", "flows by dwellings have none"),
    ("stack-capacity-by-dwellings", "limit", "no line of the flows is a line of the capacities"),
    ("ventilating-pipe-size", "spread", "a size is a class"),
    ("open-ends", "spread", "an end is open or it is not"),
    ("fire-separating-crossing", "spread", "a class has none, and a size is a class"),
    ("stack-ventilated", "spread", "a stack has a vent or it has none"),
    ("stack-ventilated", "limit", "a stack has a vent or it has none"),
    ("trap-size", "spread", "a size is a class"),
    ("trap-at-every-appliance", "spread", "a trap is there or it is not"),
    ("trap-at-every-appliance", "limit", "a trap is there or it is not"),
    ("trap-removable", "spread", "a trap comes out or it does not"),
    ("trap-removable", "limit", "a trap comes out or it does not"),
    ("branch-bends-and-junctions", "spread", "the radius is that of a made fitting"),
    ("branch-not-smaller-than-trap", "spread", "a size is a class"),
    ("coupon-out", "spread", "a coupon is out or it is not"),
    ("above-ground-air-test", "spread", "both readings come off one gauge"),
    ("above-ground-air-test", "planned", "what is planned is not tested"),
    ("seal-left-after-test", "planned", "what is planned is not tested"),
    ("drain-size", "spread", "a nominal size has none"),
    ("trap-seal", "spread", "the seal is a size printed on the trap"),
    ("photographed-before-cover", "spread", "a day has none"),
    ("photographed-before-cover", "believed", "no word for that may follow a day"),
    ("photographed-before-cover", "fail", "a photo that is not there shows nothing; `shown-` files stand for it"),
    ("photographed-before-cover", "shown", "the word it has instead"),
];

/// The smallest PNG: every photo of a fixture is one, unless its name says that it is missing.
const PICTURE: &[u8] = &[
    0x89, b'P', b'N', b'G', 13, 10, 26, 10, 0, 0, 0, 13, b'I', b'H', b'D', b'R', 0, 0, 0, 1, 0, 0, 0, 1, 8, 0, 0, 0, 0,
    0x3a, 0x7e, 0x9b, 0x55, 0, 0, 0, 10, b'I', b'D', b'A', b'T', 0x78, 0x9c, 0x63, 0x68, 0, 0, 0, 0x82, 0, 0x81, 0x77,
    0xcd, 0x72, 0xb6, 0, 0, 0, 0, b'I', b'E', b'N', b'D', 0xae, 0x42, 0x60, 0x82,
];

struct OnePicture;

impl Files for OnePicture {
    fn open(&self, name: &str) -> Result<Reader, FileError> {
        if name.contains("missing") {
            return Err(FileError::Missing(name.to_owned()));
        }
        Ok(Box::new(std::io::Cursor::new(PICTURE)))
    }

    fn size(&self, name: &str) -> Result<u64, FileError> {
        if name.contains("missing") { Err(FileError::Missing(name.to_owned())) } else { Ok(PICTURE.len() as u64) }
    }
}

/// A finding as a comment says it, with its line.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Told {
    line: usize,
    words: String,
    item: String,
    measured: String,
    limit: String,
    field: String,
}

/// What the comments of a record expect of a rule; items that must have no finding apart.
fn expected(rule: &str, text: &str) -> (Vec<Told>, Vec<String>) {
    let (mut told, mut silent) = (Vec::new(), Vec::new());
    for (i, line) in text.lines().enumerate() {
        let Some((_, comment)) = line.split_once("# ") else { continue };
        let (words, rest) = comment.split_once(": ").unwrap_or_else(|| panic!("`{comment}` says no verdict"));
        let mut parts = rest.split('|').map(str::trim);
        let (named, item) = parts.next().and_then(|p| p.split_once(' ')).unwrap_or_else(|| panic!("{comment}"));
        assert_eq!(named, rule, "a comment of another rule");
        if words == "not applicable" {
            silent.push(item.to_owned());
            continue;
        }
        let mut next = || parts.next().unwrap_or("").to_owned();
        let (measured, limit, field) = (next(), next(), next());
        told.push(Told { line: i + 1, words: words.to_owned(), item: item.to_owned(), measured, limit, field });
    }
    (told, silent)
}

fn findings(text: &str) -> (Vec<Finding>, fallmark::base::span::SourceText) {
    let reading = fallmark::record::read("job.yaml", text);
    let found = fallmark::examine(&reading.record, &crate::findings::ENGLAND, &OnePicture).findings;
    (found, reading.source)
}

fn told(rule: &str, text: &str) -> Vec<Told> {
    let (found, source) = findings(text);
    let plain = |s: &str| s.replace('\u{a0}', " ");
    let mut all: Vec<Told> = found
        .iter()
        .filter(|f| f.rule.0 == rule && f.verdict != Verdict::NotApplicable)
        .map(|f| Told {
            line: source.line_of(f.span.start),
            words: f.words().to_owned(),
            item: f.item.clone(),
            measured: plain(&f.measured),
            limit: plain(&f.limit),
            field: f
                .remedy
                .as_ref()
                .filter(|_| f.verdict == Verdict::NotShown)
                .and_then(|r| r.field.clone())
                .unwrap_or_default(),
        })
        .collect();
    all.sort();
    all
}

/// Every fixture: rule, file name without its ending, text.
fn fixtures() -> Vec<(String, String, String)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/rules");
    let mut all = Vec::new();
    for rule in std::fs::read_dir(root).unwrap().map(|e| e.unwrap().path()) {
        let name = rule.file_name().unwrap().to_string_lossy().into_owned();
        for file in std::fs::read_dir(&rule).unwrap().map(|e| e.unwrap().path()) {
            let stem = file.file_stem().unwrap().to_string_lossy().into_owned();
            assert_eq!(file.extension().unwrap(), "yaml", "{}", file.display());
            all.push((name.clone(), stem, std::fs::read_to_string(&file).unwrap()));
        }
    }
    all.sort();
    all
}

#[test]
fn every_fixture_is_judged_as_its_comments_say() {
    let mut wrong = Vec::new();
    for (rule, name, text) in fixtures() {
        let (mut want, silent) = expected(&rule, &text);
        want.sort();
        let got = told(&rule, &text);
        assert!(!want.is_empty() || !silent.is_empty(), "{rule}/{name} expects nothing");
        assert!(text.lines().count() <= 15, "{rule}/{name} is longer than 15 lines");
        assert!(silent.iter().all(|s| want.iter().all(|w| w.item != *s)), "{rule}/{name}");
        if got != want {
            wrong.push(format!("{rule}/{name}\n  want {want:#?}\n  got  {got:#?}"));
        }
    }
    assert!(wrong.is_empty(), "{} of them:\n{}", wrong.len(), wrong.join("\n"));
}

#[test]
fn every_fixture_says_in_its_name_what_its_comment_says() {
    for (rule, name, text) in fixtures() {
        let kind = name.split('-').next().unwrap();
        let (want, silent) = expected(&rule, &text);
        let any = |words: &[&str]| want.iter().any(|w| words.contains(&w.words.as_str()));
        let fits = match kind {
            "pass" => any(&["met"]) && !any(&["not met", "not shown"]),
            "fail" => any(&["not met"]),
            "limit" => !any(&["not shown"]),
            "spread" => any(&["met, inside the spread", "not met"]),
            // A belief never makes a plain met, and never takes something out of what is asked.
            "believed" => any(&["not shown", "not met"]),
            "unknown" => want.iter().any(|w| w.words == "not shown" && !w.field.is_empty()),
            "shown" => any(&["not shown"]),
            "other" => !silent.is_empty(),
            "planned" => any(&["met, as planned"]),
            _ => false,
        };
        assert!(fits, "{rule}/{name}: {want:?}");
    }
}

#[test]
fn every_rule_has_fixtures_of_every_kind_and_every_fixture_a_rule() {
    let mut kinds: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for (rule, name, _) in fixtures() {
        kinds.entry(rule).or_default().insert(name.split('-').next().unwrap().to_owned());
    }
    let rules: BTreeSet<String> = RULES.iter().map(|r| r.id.0.to_owned()).collect();
    assert_eq!(kinds.keys().cloned().collect::<BTreeSet<_>>(), rules);
    for (rule, has) in kinds {
        for kind in KINDS {
            let cannot = CANNOT.iter().any(|(r, k, why)| *r == rule && *k == kind && !why.is_empty());
            assert!(has.contains(kind) != cannot, "{rule}: {kind}");
        }
    }
}

#[test]
fn every_rule_is_named_and_explained() {
    let prose = fallmark::rulebook::prose("england-2015").unwrap();
    let mut ids = BTreeSet::new();
    for rule in RULES {
        let id = rule.id.0;
        assert!(ids.insert(id), "{id} twice");
        let words: Vec<&str> = id.split('-').collect();
        assert!(
            words.iter().all(|w| !w.is_empty() && w.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit())),
            "{id}"
        );
        let explained = prose.explain(id).unwrap_or_else(|| panic!("{id} is not explained"));
        let heads: Vec<&str> = explained.parts.iter().map(|(head, _)| head.as_str()).collect();
        assert_eq!(heads, fallmark::rulebook::HEADS, "{id}");
        assert!(explained.parts.iter().all(|(_, text)| text.len() > 20), "{id}");
        assert!(!rule.title.is_empty() && fallmark::rules::registry::rule(id).is_some());
    }
}

#[test]
fn every_rule_of_a_clause_stands_in_the_ledger_and_no_rule_that_there_is_not() {
    let prose = fallmark::rulebook::prose("england-2015").unwrap();
    let checked: BTreeSet<&str> = prose
        .ledger()
        .iter()
        .filter_map(|entry| match &entry.state {
            fallmark::rulebook::State::Checked(rule) => Some(rule.as_str()),
            _ => None,
        })
        .collect();
    let clauses: BTreeSet<&str> = RULES.iter().filter(|r| r.weight == Weight::Clause).map(|r| r.id.0).collect();
    let all: BTreeSet<&str> = RULES.iter().map(|r| r.id.0).collect();
    assert!(clauses.is_subset(&checked), "{:?}", clauses.difference(&checked));
    // Rules that only advise may stand there too, beside the custom that they rest on.
    assert!(checked.is_subset(&all), "{:?}", checked.difference(&all));
}

/// The text of a rule, of its folder, and of what all rules share.
fn sources_of(rule: &str) -> (String, String) {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let name = rule.replace('-', "_");
    let (mut own, mut shared) = (String::new(), String::new());
    for file in source_files(&root.join("rules")).into_iter().chain(source_files(&root.join("compute"))) {
        let text = std::fs::read_to_string(&file).unwrap();
        let path = file.strip_prefix(&root).unwrap().components().map(|c| c.as_os_str().to_string_lossy().into_owned());
        let path: Vec<String> = path.collect();
        let is_own = path.iter().any(|part| *part == name || *part == format!("{name}.rs"));
        let is_shared = path[0] == "compute" || path.len() == 2;
        match (is_own, is_shared) {
            // What it lists as its keys is what is to be shown.
            (true, _) => own.push_str(&without_list(&text)),
            (false, true) => shared.push_str(&text),
            (false, false) => {}
        }
    }
    (own, shared)
}

fn without_list(text: &str) -> String {
    let Some(start) = text.find("    keys: &[") else { return text.to_owned() };
    let end = start + text[start..].find("],").unwrap();
    format!("{}{}", &text[..start], &text[end..])
}

fn source_files(folder: &Path) -> Vec<std::path::PathBuf> {
    let entries = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
    let all = entries.flat_map(|path| if path.is_dir() { source_files(&path) } else { vec![path] });
    all.collect()
}

/// The list of keys of a rule leaves out none that its own text asks, and has none that neither it nor what rules
/// share asks.
#[test]
fn a_rule_lists_the_keys_that_it_asks() {
    let table = std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("src/rulebook/key.rs")).unwrap();
    let asks = |text: &str, path: &str| {
        let line = table.lines().find(|line| line.ends_with(&format!("= \"{path}\";"))).unwrap();
        let name = format!("key::{}", line.trim().split(':').next().unwrap());
        let next = |at: usize| text[at + name.len()..].chars().next();
        let mut all = text.match_indices(&name);
        all.any(|(at, _)| next(at).is_none_or(|c| !c.is_alphanumeric() && c != '_'))
    };
    for rule in RULES {
        let (own, shared) = sources_of(rule.id.0);
        for (path, _) in fallmark::rulebook::key::ALL {
            let listed = rule.keys.contains(path);
            assert!(listed || !asks(&own, path), "{} asks `{path}` without listing it", rule.id.0);
            assert!(!listed || asks(&own, path) || asks(&shared, path), "{} never asks its `{path}`", rule.id.0);
        }
    }
}

#[test]
fn every_rule_asks_for_keys_that_the_rulebook_holds_and_cites() {
    let books = crate::rulebook::built_in();
    let held: BTreeSet<&str> = books.iter().flat_map(|book| book.keys()).collect();
    for rule in RULES {
        let keys: BTreeSet<&str> = rule.keys.iter().copied().collect();
        assert!(!keys.is_empty(), "{} asks for nothing", rule.id.0);
        assert_eq!(keys.len(), rule.keys.len(), "{} lists a key twice", rule.id.0);
        assert!(keys.is_subset(&held), "{}: {keys:?}", rule.id.0);
    }
}

#[test]
fn every_cell_that_a_rule_asks_turns_at_its_limit() {
    use fallmark::base::size::Nominal;
    use fallmark::base::units::Gradient;
    use fallmark::base::units::Length;
    use fallmark::base::water::PerArea;
    use fallmark::base::water::Pressure;
    use fallmark::rulebook::Answer;
    use fallmark::rulebook::Compare;
    use fallmark::rulebook::Quantity;
    let books = crate::rulebook::built_in();
    let keys: BTreeSet<&str> = RULES.iter().flat_map(|r| r.keys).copied().collect();
    let um = Length::from_um;
    let (mut turned, mut refused) = (0, 0);
    let cells = books.iter().flat_map(|book| book.cells().into_iter().map(move |cell| (book, cell)));
    for (book, cell) in cells.filter(|(_, c)| keys.contains(c.key.as_str())) {
        for facts in &cell.witnesses {
            let limit = match book.ask_path(&cell.key, facts) {
                Answer::Is(limit) => limit,
                Answer::NotPermitted(citation) => {
                    assert_eq!(citation, cell.citation, "{}", cell.id);
                    refused += 1;
                    continue;
                }
                Answer::NeedsApproval(citation) => {
                    assert_eq!(citation, cell.citation, "{}", cell.id);
                    continue;
                }
                other => panic!("{}: {other:?}", cell.id),
            };
            let (less, at, more) = match &limit.value {
                Quantity::Length(l) => {
                    (Quantity::Length(*l - um(1)), Quantity::Length(*l), Quantity::Length(*l + um(1)))
                }
                Quantity::Gradient(g) => {
                    // Nine hundred metres of pipe built exactly at the limit, and its far end a micrometre up or down.
                    let run = Length::from_mm(900_000);
                    let slope = |by: i64| Quantity::Gradient(Gradient::new(g.fall_over(run) + um(by), run).unwrap());
                    (slope(-1), slope(0), slope(1))
                }
                Quantity::Factor(f) => {
                    let of = |n| Quantity::Factor(fallmark::rulebook::Factor::from_thousandths(n));
                    (of(f.thousandths() - 1), of(f.thousandths()), of(f.thousandths() + 1))
                }
                Quantity::Flow(f) => {
                    let flow = |by| Quantity::Flow(fallmark::rulebook::Flow::from_ml_s(f.ml_s() + by));
                    (flow(-1), flow(0), flow(1))
                }
                Quantity::Units(u) => {
                    let of = |n| Quantity::Units(fallmark::rulebook::Units::from_thousandths(n));
                    (of(u.thousandths() - 1), of(u.thousandths()), of(u.thousandths() + 1))
                }
                Quantity::Viscosity(v) => {
                    let of = |n| Quantity::Viscosity(fallmark::rulebook::Viscosity::from_thousandths(n));
                    (of(v.thousandths() - 1), of(v.thousandths()), of(v.thousandths() + 1))
                }
                Quantity::Velocity(v) => {
                    let of = |n| Quantity::Velocity(fallmark::rulebook::Velocity::from_thousandths(n));
                    (of(v.thousandths() - 1), of(v.thousandths()), of(v.thousandths() + 1))
                }
                Quantity::Pressure(p) => {
                    let (at, by) = (p.micro_mbar(), Pressure::from_micro_mbar);
                    (Quantity::Pressure(by(at - 1)), Quantity::Pressure(*p), Quantity::Pressure(by(at + 1)))
                }
                Quantity::PerArea(r) => {
                    let (at, by) = (r.ul_m2(), PerArea::from_ul_m2);
                    (Quantity::PerArea(by(at - 1)), Quantity::PerArea(*r), Quantity::PerArea(by(at + 1)))
                }
                Quantity::Count(n) => {
                    (Quantity::Count(n.saturating_sub(1)), Quantity::Count(*n), Quantity::Count(n + 1))
                }
                Quantity::Size(n) => {
                    let size = |n| Quantity::Size(Nominal(n));
                    (size(n.0 - 1), size(n.0), size(n.0 + 1))
                }
                Quantity::Window(window) => {
                    let run = Length::from_mm(1_000_000);
                    let met = |g: Gradient, by: i64| {
                        let built = Gradient::new(g.fall_over(run) + um(by), run).unwrap();
                        limit.met_by(&Quantity::Gradient(built))
                    };
                    let flat = [-1, 0].map(|by| met(window.flattest, by));
                    let steep = [0, 1].map(|by| met(window.steepest, by));
                    assert_eq!((flat, steep), ([false, true], [true, false]), "{} for {facts:?}", cell.id);
                    turned += 1;
                    continue;
                }
                Quantity::YesNo(yes) => {
                    assert!(
                        limit.met_by(&Quantity::YesNo(*yes)) && !limit.met_by(&Quantity::YesNo(!*yes)),
                        "{}",
                        cell.id
                    );
                    turned += 1;
                    continue;
                }
                Quantity::Label(words) => {
                    let met = |word: &str| limit.met_by(&Quantity::Label([word.to_owned()].into()));
                    assert!(words.iter().all(|w| met(w)) && !met("no word of it"), "{}", cell.id);
                    turned += 1;
                    continue;
                }
            };
            let met = [&less, &at, &more].map(|value| limit.met_by(value));
            let want = if limit.compare == Compare::AtLeast { [false, true, true] } else { [true, true, false] };
            assert_eq!(met, want, "{} for {facts:?}", cell.id);
            turned += 1;
        }
    }
    assert!(turned > 100 && refused == 36, "{turned} {refused}");
}

/// One pipe of 110 mm at 1 in 60 (16.7 mm/m) in the ground and one above it: AD H asks a drain with a WC for 1 in 80
/// and the branch of a single WC for 18 mm/m. Each message names the other's limit and why the pipe is what it is.
#[test]
fn the_same_pipe_does_as_a_drain_and_not_as_the_branch_of_a_wc() {
    let text = "record: 1\njob: {id: T, title: two pipes}\nappliances: {WC1: {}, WC2: {}}\npipes:\n  \
                S1: {kind: stack, size: 110 mm, foot: {into: D1}}\n  \
                B1: {from: WC1, to: S1, size: 110 mm, length: 2.40 m, fall: 1 in 60}\n  \
                D1: {kind: drain, from: S1, to: SEW, size: 110 mm, length: 6.00 m, fall: 1 in 60}\n\
                outfalls: {SEW: {what: public sewer}}\n";
    let (found, _) = findings(text);
    let told = |rule: &str, item: &str| {
        let f = found.iter().find(|f| f.rule.0 == rule && f.item == item).unwrap();
        (f.verdict, f.text.replace('\u{a0}', " "))
    };
    let branch = "flatter than 18.0 mm/m; it would do as a drain (1 in 80), but this is a branch discharge pipe: it \
                  carries WC1 alone to S1";
    assert_eq!(told("branch-slope", "B1"), (Verdict::NotMet, branch.to_owned()));
    let drain = "it would be too flat as the branch discharge pipe of a WC (18 to 90 mm/m), but this is a drain: it \
                 starts under S1";
    assert_eq!(told("drain-gradient", "D1"), (Verdict::Met, drain.to_owned()));
}
