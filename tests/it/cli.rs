//! The program as its users meet it: what it prints, what it writes, how it ends, and what it refuses.

use crate::pack::squeezed;
use serde_json::Value;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use tempfile::TempDir;

pub(crate) fn fallmark(folder: &Path, args: &[&str]) -> Output {
    command(folder, args).output().unwrap()
}

fn command(folder: &Path, args: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_fallmark"));
    command.current_dir(folder).args(args).env_remove("NO_COLOR").stdin(Stdio::null());
    command
}

pub(crate) fn out(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap()
}

pub(crate) fn err(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

pub(crate) fn code(output: &Output) -> i32 {
    output.status.code().unwrap_or(-1)
}

/// A copy of a sample that may be changed.
pub(crate) fn copy_of(name: &str) -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    for entry in fs::read_dir(format!("{}/samples/{name}", env!("CARGO_MANIFEST_DIR"))).unwrap() {
        let path = entry.unwrap().path();
        if path.is_file() {
            fs::copy(&path, folder.path().join(path.file_name().unwrap())).unwrap();
        }
    }
    folder
}

pub(crate) fn change(folder: &Path, from: &str, to: &str) {
    let text = fs::read_to_string(folder.join("job.yaml")).unwrap();
    assert!(text.contains(from), "{from}");
    fs::write(folder.join("job.yaml"), text.replacen(from, to, 1)).unwrap();
}

/// The mill-house with a trap that no guidance allows.
fn with_a_shallow_seal() -> TempDir {
    let folder = copy_of("mill-house");
    change(folder.path(), "outlet: 100 mm, seal: 50 mm", "outlet: 100 mm, seal: 20 mm");
    folder
}

/// Every file of a folder with its bytes, by name.
fn contents(folder: &Path) -> Vec<(String, Vec<u8>)> {
    let mut all: Vec<_> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .map(|path| (path.file_name().unwrap().to_string_lossy().into_owned(), fs::read(path).unwrap()))
        .collect();
    all.sort();
    all
}

const ALL: &str = "pdf,html,md,json";

#[test]
fn check_ends_as_its_counts_say() {
    let stages = ["before cover", "at test", "completion", "handover"];
    let mut codes = std::collections::BTreeSet::new();
    for name in crate::network::SAMPLES.into_iter().chain(["too shallow a seal"]) {
        let folder = if name.starts_with("too") { with_a_shallow_seal() } else { copy_of(name) };
        for stage in stages {
            let text = fallmark(folder.path(), &["check", "job.yaml", "--stage", stage]);
            let json = fallmark(folder.path(), &["check", "job.yaml", "--stage", stage, "--format", "json"]);
            let value: Value = serde_json::from_slice(&json.stdout).unwrap();
            let due = value["counts"]["due"].as_u64().unwrap();
            assert_eq!(code(&text), i32::from(due > 0), "{name} at {stage}: {}", err(&text));
            assert_eq!(code(&json), code(&text));
            assert!(out(&text).contains(&format!("Exit status {}", code(&text))));
            codes.insert(code(&text));
        }
    }
    assert_eq!(codes.into_iter().collect::<Vec<_>>(), [0, 1], "both ends are met with");
}

#[test]
fn json_findings_stand_on_the_lines_they_name() {
    for name in crate::network::SAMPLES {
        let folder = copy_of(name);
        let text = fs::read_to_string(folder.path().join("job.yaml")).unwrap();
        let output = fallmark(folder.path(), &["check", "job.yaml", "--format", "json", "--all"]);
        let value: Value = serde_json::from_slice(&output.stdout).unwrap();
        let cautions = value["cautions"].as_array().unwrap();
        assert!(cautions.iter().any(|c| c["id"] == "confined-space" && c["items"][0] == "IC1"), "{cautions:?}");
        assert!(cautions.iter().all(|c| c["text"].is_string() && c["leave_to"].is_string()), "{cautions:?}");
        assert_eq!(value["rulebook"]["id"], "england-2015");
        assert_eq!(value["record"]["file"], "job.yaml");
        let findings = value["findings"].as_array().unwrap();
        assert!(findings.len() > 20, "{name}: {}", findings.len());
        for finding in findings {
            let line = usize::try_from(finding["line"].as_u64().unwrap()).unwrap();
            let words = text.lines().nth(line - 1).unwrap();
            let column = usize::try_from(finding["column"].as_u64().unwrap()).unwrap();
            assert!(column <= words.chars().count() + 1, "{finding}");
            assert!(!words.trim_start().starts_with('#') && !words.trim().is_empty(), "{finding}");
            let verdict = finding["verdict"].as_str().unwrap();
            assert!(["met", "not met", "not shown", "not applicable"].contains(&verdict));
        }
        let open = fallmark(folder.path(), &["check", "job.yaml", "--format", "json"]);
        let open: Value = serde_json::from_slice(&open.stdout).unwrap();
        let listed = open["findings"].as_array().unwrap();
        assert!(listed.iter().all(|f| f["verdict"] != "met" && f["verdict"] != "not applicable"));
        assert!(listed.len() < findings.len());
    }
}

#[test]
fn text_shows_the_line_and_folds_what_is_met() {
    let folder = copy_of("mill-house");
    let folded = out(&fallmark(folder.path(), &["check", "job.yaml"]));
    assert!(folded.contains("--> job.yaml:97:"), "{folded}");
    assert!(folded.contains(" met (") && folded.contains(", trap-seal "), "{folded}");
    assert!(folded.contains("This is no certificate"), "{folded}");
    let shallow = with_a_shallow_seal();
    let open = out(&fallmark(shallow.path(), &["check", "job.yaml", "--stage", "completion"]));
    let first: Vec<&str> = open.lines().take(4).collect();
    assert!(first[0].starts_with("not met  trap-seal  WC1: 20\u{a0}mm; asked for: "), "{open}");
    assert!(first[1].starts_with("    --> job.yaml:"), "{open}");
    assert!(first[2].contains("WC1:") && first[3].contains("^"), "{open}");
    assert!(open.contains("    source: AD H Table 1"), "{open}");
    let all = out(&fallmark(folder.path(), &["check", "job.yaml", "--all"]));
    assert!(all.contains("  trap-seal  WC1: 50"), "{all}");
    assert!(all.lines().count() > folded.lines().count());
}

#[test]
fn faults_end_with_two_and_nothing_is_written() {
    let folder = copy_of("mill-house");
    change(folder.path(), "seal: 50 mm", "seal: fifty");
    let text = fallmark(folder.path(), &["check", "job.yaml"]);
    assert_eq!(code(&text), 2);
    assert!(out(&text).contains("fifty") && out(&text).contains("^^^^^"), "{}", out(&text));
    let json = fallmark(folder.path(), &["check", "job.yaml", "--format", "json"]);
    let value: Value = serde_json::from_slice(&json.stdout).unwrap();
    assert_eq!((code(&json), value["faults"].as_array().unwrap().len()), (2, 1));
    assert!(value["faults"][0]["path"].as_str().unwrap().starts_with("appliances.WC1"));
    let build = fallmark(folder.path(), &["build", "job.yaml", "--out", "out"]);
    assert_eq!(code(&build), 2);
    assert!(err(&build).contains("fifty"));
    assert!(!folder.path().join("out").exists());
}

#[test]
fn what_cannot_be_read_or_understood_ends_with_two() {
    let folder = copy_of("mill-house");
    let cases: [&[&str]; 9] = [
        &["check", "nowhere.yaml"],
        &["check", "."],
        &["check", "IMG_2231.jpg"],
        &["check", "job.yaml", "--stage", "never"],
        &["check", "job.yaml", "--overlay", "nowhere.yaml"],
        &["check"],
        &["build", "job.yaml", "--date", "25 March"],
        &["build", "job.yaml", "--templates", "nowhere"],
        &["explain", "no-such-word"],
    ];
    for args in cases {
        let output = fallmark(folder.path(), args);
        assert_eq!(code(&output), 2, "{args:?}: {}", err(&output));
        assert!(!err(&output).is_empty() || !out(&output).is_empty(), "{args:?}");
        assert!(!err(&output).contains("panicked"), "{args:?}");
    }
    change(folder.path(), "rulebook: england-2015", "rulebook: \"atlantis\\e[2J\"");
    let output = fallmark(folder.path(), &["check", "job.yaml"]);
    assert_eq!(code(&output), 2);
    assert!(err(&output).contains("atlantis") && err(&output).contains("england-2015"), "{}", err(&output));
    assert!(!err(&output).contains('\u{1b}'));
}

#[test]
fn build_writes_every_output_and_the_json_of_check() {
    let folder = copy_of("schoolroom-flats");
    let built = fallmark(folder.path(), &["build", "job.yaml", "--as", ALL, "--out", "pack"]);
    assert_eq!(code(&built), 0, "{}", err(&built));
    let names: Vec<String> = contents(&folder.path().join("pack")).into_iter().map(|(name, _)| name).collect();
    assert_eq!(names.len(), 4, "{names:?}");
    assert_eq!(out(&built).lines().count(), 4);
    let json = names.iter().find(|name| name.ends_with(".json")).unwrap();
    let checked = fallmark(folder.path(), &["check", "job.yaml", "--format", "json", "--all"]);
    assert_eq!(fs::read(folder.path().join("pack").join(json)).unwrap(), checked.stdout);
    assert!(names.iter().all(|name| name.contains("-inspection.")), "{names:?}");
}

#[test]
fn strict_ends_with_one_once_the_pack_is_written() {
    let folder = with_a_shallow_seal();
    let args = ["build", "job.yaml", "--as", "md", "--stage", "completion", "--strict"];
    assert_eq!(code(&fallmark(folder.path(), &args)), 1);
    assert_eq!(contents(&folder.path().join("out")).len(), 1);
    assert_eq!(code(&fallmark(folder.path(), &args[..6])), 0);
}

#[cfg(unix)]
#[test]
fn photos_come_from_the_record_s_folder_and_through_no_link() {
    use std::os::unix::fs::symlink;
    let outside = tempfile::tempdir().unwrap();
    let secret = outside.path().join("secret.jpg");
    let folder = copy_of("mill-house");
    fs::copy(folder.path().join("IMG_2231.jpg"), &secret).unwrap();
    symlink(&secret, folder.path().join("link.jpg")).unwrap();
    symlink(outside.path(), folder.path().join("photos")).unwrap();
    let made = Command::new("mkfifo").arg(folder.path().join("pipe.jpg")).status().unwrap();
    assert!(made.success());
    let text = fs::read_to_string(folder.path().join("job.yaml")).unwrap();
    let up = format!("../{}/secret.jpg", outside.path().file_name().unwrap().to_string_lossy());
    let absolute = secret.to_string_lossy().into_owned();
    for name in [&absolute, &up, "link.jpg", "photos/secret.jpg", "pipe.jpg", "..\\\\secret.jpg", "/dev/zero", "."] {
        let changed = text.replacen("file: IMG_2263.jpg", &format!("file: \"{name}\""), 1);
        fs::write(folder.path().join("job.yaml"), changed).unwrap();
        let built = fallmark(folder.path(), &["build", "job.yaml", "--as", "html"]);
        // Names that lead out on sight are faults of the record; what only the disk shows is told beside the pack.
        let said = err(&built);
        assert!(code(&built) == 2 || (code(&built) == 0 && said.contains("photo PH7: ")), "{name}: {said}");
    }
}

#[cfg(unix)]
#[test]
fn nothing_is_written_through_links_or_over_the_record() {
    use std::os::unix::fs::symlink;
    let folder = copy_of("mill-house");
    let (path, elsewhere) = (folder.path(), tempfile::tempdir().unwrap());
    let victim = elsewhere.path().join("victim");
    fs::write(&victim, "as it was").unwrap();
    fs::create_dir(path.join("out")).unwrap();
    symlink(&victim, path.join("out/TH-2-inspection.html")).unwrap();
    let built = fallmark(path, &["build", "job.yaml", "--as", "md,html"]);
    assert_eq!(code(&built), 2);
    assert!(err(&built).contains("link"), "{}", err(&built));
    assert_eq!(fs::read_to_string(&victim).unwrap(), "as it was");
    assert_eq!(fs::read_dir(path.join("out")).unwrap().count(), 1, "the Markdown does not appear alone");

    symlink(elsewhere.path(), path.join("away")).unwrap();
    assert_eq!(code(&fallmark(path, &["build", "job.yaml", "--out", "away"])), 2);
    assert_eq!(code(&fallmark(path, &["build", "job.yaml", "--out", "away/deep"])), 2);
    assert_eq!(fs::read_dir(elsewhere.path()).unwrap().count(), 1);

    fs::rename(path.join("job.yaml"), path.join("TH-2-inspection.md")).unwrap();
    let record = fs::read(path.join("TH-2-inspection.md")).unwrap();
    let built = fallmark(path, &["build", "TH-2-inspection.md", "--as", "md", "--out", "."]);
    assert_eq!(code(&built), 2, "{}", out(&built));
    assert!(err(&built).contains("the record itself"), "{}", err(&built));
    assert_eq!(fs::read(path.join("TH-2-inspection.md")).unwrap(), record);
}

#[test]
fn a_job_s_id_chooses_no_path() {
    let folder = copy_of("mill-house");
    change(folder.path(), "id: TH-2", "id: \"../../../evil name\"");
    let built = fallmark(folder.path(), &["build", "job.yaml", "--as", "md"]);
    assert_eq!(code(&built), 0, "{}", err(&built));
    assert!(folder.path().join("out").read_dir().unwrap().all(|e| e.unwrap().file_name() == "evil-name-inspection.md"));
}

#[cfg(unix)]
#[test]
fn a_disk_without_room_leaves_the_earlier_pack() {
    let folder = copy_of("mill-house");
    let first = ["build", "job.yaml", "--as", ALL, "--date", "2026-03-20"];
    assert_eq!(code(&fallmark(folder.path(), &first)), 0);
    let before = contents(&folder.path().join("out"));
    // A limit on the size of files stands in for the full disk; the signal that comes with it is not wanted.
    let script = format!(
        "trap '' XFSZ; ulimit -f 100; exec '{}' build job.yaml --as {ALL} --date 2026-03-21",
        env!("CARGO_BIN_EXE_fallmark")
    );
    let built = Command::new("bash").args(["-c", &script]).current_dir(folder.path()).output().unwrap();
    assert_eq!(code(&built), 2, "{}", err(&built));
    assert!(err(&built).contains("could not be written") && err(&built).contains("as it was"), "{}", err(&built));
    assert!(contents(&folder.path().join("out")) == before);

    fs::write(folder.path().join("file"), "not a folder").unwrap();
    let built = fallmark(folder.path(), &["build", "job.yaml", "--out", "file"]);
    assert_eq!(code(&built), 2);
    assert!(err(&built).contains("could not be written"), "{}", err(&built));
}

#[cfg(target_os = "linux")]
#[test]
fn output_that_cannot_be_written_is_told_and_output_that_nobody_reads_is_not() {
    let folder = copy_of("mill-house");
    let full = fs::OpenOptions::new().write(true).open("/dev/full").unwrap();
    let output = command(folder.path(), &["guide"]).stdout(full).stderr(Stdio::piped()).output().unwrap();
    assert_eq!(code(&output), 2);
    assert!(err(&output).contains("the output could not be written"), "{}", err(&output));

    let mut child = command(folder.path(), &["guide"]).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    drop(child.stdout.take());
    let output = child.wait_with_output().unwrap();
    assert_eq!((code(&output), err(&output)), (0, String::new()));
}

#[cfg(unix)]
#[test]
fn a_kill_at_any_moment_leaves_the_earlier_pack_or_the_new_one() {
    let folder = copy_of("mill-house");
    let build = |date: &'static str| ["build", "job.yaml", "--as", ALL, "--date", date];
    let started = std::time::Instant::now();
    assert_eq!(code(&fallmark(folder.path(), &build("2026-03-21"))), 0);
    let takes = started.elapsed();
    let new = contents(&folder.path().join("out"));
    assert_eq!(code(&fallmark(folder.path(), &build("2026-03-20"))), 0);
    let old = contents(&folder.path().join("out"));
    assert!(old != new);
    let (mut seed, mut killed) = (20_260_321_u64, 0);
    for _ in 0..24 {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        let wait = takes.mul_f64((seed >> 33) as f64 / f64::from(1_u32 << 31));
        let mut child = command(folder.path(), &build("2026-03-21")).stdout(Stdio::null()).spawn().unwrap();
        std::thread::sleep(wait);
        child.kill().unwrap();
        killed += usize::from(!child.wait().unwrap().success());
        for (name, bytes) in &old {
            let now = fs::read(folder.path().join("out").join(name)).unwrap();
            let fresh = &new.iter().find(|(n, _)| n == name).unwrap().1;
            assert!(now == *bytes || now == *fresh, "{name} is neither the earlier one nor the new one");
        }
    }
    assert!(killed > 5, "only {killed} were killed before they were done");
    assert_eq!(code(&fallmark(folder.path(), &build("2026-03-20"))), 0);
    assert!(contents(&folder.path().join("out")) == old, "leftovers of killed runs are taken away");
}

#[test]
fn no_text_of_a_record_reaches_the_terminal_as_a_command() {
    let folder = copy_of("mill-house");
    let escape = "\\e[2J\\e]0;owned\\a\\u202e";
    change(folder.path(), "id: TH-2", &format!("id: \"TH{escape}\""));
    change(folder.path(), "stage: before boxing, flat B", &format!("stage: \"box{escape}\""));
    change(folder.path(), "name: \"before boxing, flat B\"", &format!("name: \"box{escape}\""));
    change(folder.path(), "file: IMG_2263.jpg", &format!("file: \"none{escape}.jpg\""));
    change(folder.path(), "shows: [TBM]", "shows: [\"\\e[31mX\"]");
    for args in [&["check", "job.yaml"][..], &["check", "job.yaml", "--all"], &["build", "job.yaml", "--as", "md"]] {
        let output = fallmark(folder.path(), args);
        let said = out(&output) + &err(&output);
        assert!(!said.is_empty());
        assert!(!said.contains(['\u{1b}', '\u{7}', '\u{202e}']), "{args:?}: {said:?}");
    }
    let raw =
        "record: 1\njob: {id: K, title: \"K\"}\nusual: {by: \u{1b}[31m}\npipes:\n  D\u{202e}1: {size: \u{9b}31m}\n";
    fs::write(folder.path().join("job.yaml"), raw).unwrap();
    let output = fallmark(folder.path(), &["check", "job.yaml"]);
    assert_eq!(code(&output), 2);
    assert!(!out(&output).contains(['\u{1b}', '\u{202e}', '\u{9b}']), "{:?}", out(&output));
}

#[test]
fn two_builds_give_the_same_bytes_wherever_they_run() {
    let built = |folder: PathBuf, set: &[(&str, &str)]| {
        let args = ["build", "job.yaml", "--as", ALL, "--out", "pack"];
        let output = command(&folder, &args).envs(set.iter().copied()).output().unwrap();
        assert_eq!(code(&output), 0, "{}", err(&output));
        contents(&folder.join("pack"))
    };
    for name in crate::network::SAMPLES {
        let (here, there) = (copy_of(name), copy_of(name));
        let one = [("TZ", "Pacific/Auckland"), ("LANG", "de_DE.UTF-8"), ("RAYON_NUM_THREADS", "1"), ("HOME", "/")];
        let two = [("TZ", "America/Lima"), ("LC_ALL", "C"), ("RAYON_NUM_THREADS", "7"), ("HOME", "/nowhere")];
        let (a, b) = (built(here.path().to_owned(), &one), built(there.path().to_owned(), &two));
        assert_eq!(a.len(), 4);
        for ((name, first), (_, second)) in a.iter().zip(&b) {
            assert!(first == second, "{name} differs");
        }
    }
}

#[test]
fn a_photo_that_cannot_be_shown_does_not_stop_the_pack() {
    let folder = copy_of("mill-house");
    let photo = folder.path().join("IMG_2240.jpg");
    let whole = fs::read(&photo).unwrap();
    fs::write(&photo, &whole[..whole.len() / 2]).unwrap();
    let built = fallmark(folder.path(), &["build", "job.yaml", "--as", "pdf,md"]);
    assert_eq!(code(&built), 0, "{}", err(&built));
    assert!(err(&built).contains("photo PH4: `IMG_2240.jpg` is cut short"), "{}", err(&built));
    assert_eq!(contents(&folder.path().join("out")).len(), 2);
}

#[test]
fn a_firm_s_own_template_stands_in_for_the_built_in_one() {
    let folder = copy_of("mill-house");
    fs::create_dir(folder.path().join("own")).unwrap();
    let template = folder.path().join("own/inspection.md.tera");
    fs::write(&template, "# Ours: {{ title | text }}\n").unwrap();
    let args = ["build", "job.yaml", "--as", "md", "--templates", "own"];
    assert_eq!(code(&fallmark(folder.path(), &args)), 0);
    let written = fs::read_to_string(folder.path().join("out/TH-2-inspection.md")).unwrap();
    assert!(written.contains("Ours: "), "{written}");
    fs::write(&template, "{{ nothing_of_the_kind }}\n").unwrap();
    let built = fallmark(folder.path(), &args);
    assert_eq!(code(&built), 2);
    assert!(err(&built).contains("nothing_of_the_kind"), "{}", err(&built));
    assert_eq!(fs::read_to_string(folder.path().join("out/TH-2-inspection.md")).unwrap(), written);
}

#[test]
fn help_says_what_each_command_does() {
    let folder = tempfile::tempdir().unwrap();
    let help = out(&fallmark(folder.path(), &["--help"]));
    for line in [
        "  check     Tell the installer what is not met or not shown, and what is due now",
        "  build     Write the pack that the inspector reads on site",
        "  explain   Say what a rule asks, or what a word of the trade means",
        "  schema    Print the JSON Schema of a record, for an editor that checks while you type",
        "  guide     Print the field guide: every section and field of a record, each with an example",
        "  rulebook  List the guidance a job is held against: documents, editions, counts of values",
        "  2  the record has faults, the command was not understood, or a file could not be read or written",
        "Fallmark certifies nothing. The building-control body decides.",
    ] {
        assert!(help.lines().any(|l| l == line), "{line}\n{help}");
    }
    let build = out(&fallmark(folder.path(), &["build", "--help"]));
    for option in ["--stage", "--overlay", "--pack", "--as", "--out", "--date", "--templates", "--strict"] {
        assert!(build.contains(option), "{option}");
    }
}

#[test]
fn words_rules_schema_guide_and_rulebook_are_told() {
    let folder = tempfile::tempdir().unwrap();
    let tell = |args: &[&str]| {
        let output = fallmark(folder.path(), args);
        assert_eq!(code(&output), 0, "{args:?}: {}", err(&output));
        out(&output)
    };
    assert!(tell(&["explain", "boss"]).starts_with("boss\n"));
    assert!(tell(&["explain", "trap-seal"]).contains("When it does not apply"));
    let all = tell(&["explain"]);
    for rule in fallmark::rules::registry::RULES {
        assert!(all.contains(rule.id.0) && tell(&["explain", rule.id.0]).contains(rule.title), "{}", rule.id.0);
    }
    for caution in fallmark::readiness::cautions::catalogue() {
        let told = squeezed(&tell(&["explain", caution.id]));
        assert!(all.contains(caution.id) && told.contains(&squeezed(caution.words)), "{}", caution.id);
        assert!(
            told.contains(&squeezed(caution.leave_to)) && told.contains(&squeezed(caution.seen.word())),
            "{}",
            caution.id
        );
    }
    let near = fallmark(folder.path(), &["explain", "deep-trensh"]);
    assert!(err(&near).contains("did you mean `deep-trench`"), "{}", err(&near));
    let near = fallmark(folder.path(), &["explain", "trap-seel"]);
    assert!(err(&near).contains("did you mean `trap-seal`"), "{}", err(&near));
    let schema: Value = serde_json::from_str(&tell(&["schema"])).unwrap();
    assert_eq!(schema["type"], "object");
    assert!(tell(&["guide"]).contains("pipes"));
    let rulebook = tell(&["rulebook"]);
    assert!(rulebook.contains("england-2015") && rulebook.contains("digest "), "{rulebook}");
    assert!(tell(&["rulebook", "england-2015", "--ledger"]).contains("checked by trap-seal"));
}

#[test]
fn a_thousand_pipes_are_folded_into_a_few_lines() {
    let told = |pipes: usize| {
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join("job.yaml"), crate::estate::big_record(pipes)).unwrap();
        let output = fallmark(folder.path(), &["check", "job.yaml"]);
        assert!(matches!(code(&output), 0 | 1), "{}", err(&output));
        out(&output)
    };
    // As long as the rules that have something to say, however many pipes they say it of.
    let (few, many) = (told(250), told(1_000));
    let (short, long) = (few.lines().count(), many.lines().count());
    assert!(short.abs_diff(long) <= 10 && long < 600, "{short} {long}");
    assert!(many.contains("(--all shows each)"), "{many}");
}
