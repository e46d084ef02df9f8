//! A first record, and pictures taken into a record: nothing that stands there is lost, and nothing is claimed.

use fallmark::record;
use fallmark::record::edit;
use fallmark::record::edit::NewItem;
use fallmark::record::sections;
use std::fs;
use std::path::Path;
use std::process::{Command, Output, Stdio};
use tempfile::TempDir;

fn fallmark(folder: &Path, args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_fallmark")).current_dir(folder).args(args).stdin(Stdio::null()).output().unwrap()
}

fn out(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap()
}

fn code(output: &Output) -> i32 {
    output.status.code().unwrap_or(-1)
}

fn sample(name: &str) -> std::path::PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("samples").join(name)
}

/// A job folder `job` with the mill-house record, and a folder `card` with pictures of the schoolroom.
fn job_and_card() -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    for (from, to, ending) in [("mill-house", "job", ""), ("schoolroom-flats", "card", ".jpg")] {
        fs::create_dir(folder.path().join(to)).unwrap();
        for entry in fs::read_dir(sample(from)).unwrap() {
            let path = entry.unwrap().path();
            let name = path.file_name().unwrap().to_string_lossy().into_owned();
            if name.ends_with(ending) {
                fs::copy(&path, folder.path().join(to).join(name)).unwrap();
            }
        }
    }
    folder
}

fn names(folder: &Path) -> Vec<String> {
    let mut all: Vec<String> =
        fs::read_dir(folder).unwrap().map(|e| e.unwrap().file_name().to_string_lossy().into_owned()).collect();
    all.sort();
    all
}

#[test]
fn a_first_record_reads_clean_names_every_section_and_meets_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let made = fallmark(folder.path(), &["new", "Mill Lane 4", "--title", "Annexe: \"first\" fix # 2"]);
    assert_eq!(code(&made), 0);
    assert_eq!(out(&made).lines().filter(|line| line.starts_with("  fallmark ")).count(), 3);
    let path = folder.path().join("Mill Lane 4/job.yaml");
    let text = fs::read_to_string(&path).unwrap();
    let reading = record::read("job.yaml", &text);
    assert!(reading.faults.is_empty(), "{:?}", reading.faults);
    assert_eq!(reading.record.job.title.get().unwrap().0, "Annexe: \"first\" fix # 2");
    assert_eq!(reading.record.job.id.get().unwrap().0, "Mill-Lane-4");
    for section in sections::all() {
        let starts = |line: &str| line.trim_start_matches("# ").starts_with(&format!("{}:", section.key));
        assert!(text.lines().any(starts), "{}", section.key);
        let doc: String = section.doc.split_whitespace().take(4).collect::<Vec<_>>().join(" ");
        assert!(text.contains(&doc), "{doc}");
    }
    for stage in ["before cover", "at test", "completion", "handover"] {
        let args = ["check", "Mill Lane 4/job.yaml", "--stage", stage, "--all", "--format", "json"];
        let checked = fallmark(folder.path(), &args);
        let value: serde_json::Value = serde_json::from_slice(&checked.stdout).unwrap();
        let verdicts: Vec<&str> =
            value["findings"].as_array().unwrap().iter().map(|f| f["verdict"].as_str().unwrap()).collect();
        assert!(!verdicts.is_empty() && !verdicts.contains(&"not met") && !verdicts.contains(&"met"), "{verdicts:?}");
        assert!(code(&checked) < 2);
    }
    let build = out(&made).lines().rfind(|line| line.starts_with("  fallmark build")).unwrap().to_owned();
    let date = build.rsplit(' ').next().unwrap();
    let built = fallmark(folder.path(), &["build", "Mill Lane 4/job.yaml", "--as", "md", "--date", date]);
    assert_eq!(code(&built), 0, "{}", String::from_utf8_lossy(&built.stderr));
}

#[test]
fn what_stands_commented_out_in_a_first_record_reads_once_the_marks_are_gone() {
    let text = record::start::record("K", None, "england-2015");
    let (start, rest) = text.split_once("# What else a record can hold.").unwrap();
    let is_yaml =
        |line: &&str| line.starts_with("#   ") || (line.ends_with(':') && !line.contains(' ')) || is_key(line);
    fn is_key(line: &str) -> bool {
        line.strip_prefix("# ").is_some_and(|l| l.ends_with(':') && !l.contains(' '))
    }
    let uncommented: String = rest.lines().filter(is_yaml).map(|line| format!("{}\n", &line[2..])).collect();
    let reading = record::read("job.yaml", &format!("{start}{uncommented}"));
    let kinds: Vec<&str> = reading.faults.iter().map(|f| f.kind).collect();
    // The examples speak of other jobs' items and places; they are well written all the same.
    assert!(reading.whole && kinds.iter().all(|k| ["no such id", "no such place"].contains(k)), "{:?}", reading.faults);
    assert_eq!(reading.record.present.len() + 1, sections::all().len() + 2, "{:?}", reading.record.present);
}

#[test]
fn a_record_that_is_there_is_never_written_over() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("IMG_1.jpg"), "a picture").unwrap();
    assert_eq!(code(&fallmark(folder.path(), &["new", "."])), 0);
    fs::write(folder.path().join("job.yaml"), "mine").unwrap();
    let again = fallmark(folder.path(), &["new", "."]);
    assert_eq!(code(&again), 2);
    assert_eq!(fs::read_to_string(folder.path().join("job.yaml")).unwrap(), "mine");
    assert_eq!(names(folder.path()), ["IMG_1.jpg", "job.yaml"]);
}

fn two() -> Vec<NewItem> {
    let item = |id: &str, file: &str| NewItem {
        id: id.to_owned(),
        fields: vec![("file", edit::scalar(file)), ("shows", "unknown".to_owned())],
    };
    vec![item("PH97", "IMG_9001.jpg"), item("PH98", "from the, phone: \"9\" # 2.jpg")]
}

/// Whether the first text is what is left of the second when something is taken out of it.
fn is_left_of(old: &str, new: &str) -> bool {
    let mut rest = new.bytes();
    old.bytes().all(|byte| rest.any(|other| other == byte))
}

/// How much of both ends two texts share, in bytes.
fn shared_ends(old: &str, new: &str) -> usize {
    let head = old.bytes().zip(new.bytes()).take_while(|(a, b)| a == b).count();
    let tail = old.bytes().rev().zip(new.bytes().rev()).take_while(|(a, b)| a == b).count();
    head + tail
}

fn taken_in(name: &str, text: &str) -> String {
    let before = record::read("job.yaml", text);
    let new = edit::append(&before, "photos", &two()).unwrap_or_else(|why| panic!("{name}: {why}\n{text}"));
    let after = record::read("job.yaml", &new);
    assert!(after.faults.len() <= before.faults.len(), "{name}: {:?}\n{new}", after.faults);
    assert!(is_left_of(text, &new), "{name}\n{new}");
    assert_eq!(after.record.photos.len(), before.record.photos.len() + 2, "{name}\n{new}");
    let last = after.record.photos.iter().last().unwrap();
    assert_eq!(last.body.file.get().unwrap().0, "from the, phone: \"9\" # 2.jpg", "{name}");
    assert!(last.body.shows.is_unknown(), "{name}");
    assert_eq!(text.ends_with('\n'), new.ends_with('\n'), "{name}: the last line end is as it was");
    for comment in text.lines().filter_map(|l| l.split_once(" #").map(|(_, comment)| comment)) {
        assert!(
            new.lines().any(|l| l.trim_end_matches('\r').ends_with(comment.trim_end_matches('\r'))),
            "{name}: {comment}"
        );
    }
    new
}

const HEAD: &str = "record: 1\njob: {id: K, title: K}\npipes:\n  D1: {kind: drain, size: 110 mm}\n";

/// Ways in which people write the section, and what may stand after it.
const STYLES: [(&str, &str); 18] = [
    ("none", ""),
    ("none, comment last", "# the end"),
    ("none, ended by a mark", "# the end\n..."),
    ("one a line", "photos:\n  PH1: {file: a.jpg, shows: [D1]}"),
    (
        "comments behind",
        "photos:   # all of them\n  PH1: {file: a.jpg, shows: [D1]}\t# with\ta tab\n  PH9: {file: b.jpg, shows: D1} # {last}, he said",
    ),
    (
        "comments below",
        "photos:\n    PH1: {file: a.jpg, shows: [D1]}\n    # no more of these\n# nor of these\nopenings:\n    W1: {what: window}",
    ),
    (
        "keys on lines",
        "photos:\n  PH1:\n    file: a.jpg\n    shows:\n      - D1\n      - D1 foot  # the foot\nopenings: {W1: {what: window}}",
    ),
    (
        "words over lines",
        "photos:\n  PH1:\n    file: a.jpg\n    shows: D1\n    note: |\n      one # no comment\n      two\n\nopenings: {W1: {what: window}}",
    ),
    ("folded words at the end", "photos:\n  PH1:\n    file: a.jpg\n    shows: D1\n    note: >\n      one\n      two"),
    ("braces", "photos: {PH1: {file: a.jpg, shows: [D1]}}  # short"),
    ("braces, comma", "photos: {PH1: {file: a.jpg, shows: [D1]}, }"),
    ("braces, empty", "photos: {}   # none yet"),
    (
        "braces over lines",
        "photos: {\n  PH1: {file: a.jpg, shows: [D1]},  # first\n  PH2: {file: b.jpg, shows: [D1]}   # last, with a comma\n  }",
    ),
    (
        "braces over lines, comma",
        "photos: {\n  PH1: {file: a.jpg, shows: [D1]},\n  PH2: {file: b.jpg, shows: [D1]},   # last\n  # none\n}\nopenings: {W1: {what: window}}",
    ),
    (
        "brace closed on the line",
        "photos: {PH1: {file: a.jpg, shows: [D1]},\n         PH2: {file: b.jpg, shows: [D1]}}",
    ),
    (
        "an item over lines",
        "photos:\n  \"PH1\": {file: a.jpg,\n        shows: [D1], note: \"a } b\n        c\"} # x\nopenings: {W1: {what: window}}",
    ),
    ("nothing yet", "photos:   # to come\nopenings: {W1: {what: window}}"),
    ("faults elsewhere", "photos:\n  PH1: {file: a.jpg, shows: [NO1], colour: red}\nopenings: {W1: {}}"),
];

#[test]
fn every_style_keeps_every_byte() {
    for (name, section) in STYLES {
        for crlf in [false, true] {
            for end in ["", "\n", "\n\n# bye\n"] {
                let text = format!("{HEAD}{section}{end}");
                let text = if crlf { text.replace('\n', "\r\n") } else { text };
                let new = taken_in(&format!("{name}, {crlf}, {end:?}"), &text);
                let bare = new.replace("\r\n", "").contains(['\n', '\r']);
                assert!(!crlf || !bare, "{name}: a line end of another kind\n{new:?}");
                // One stretch is put in, or that and the comma before it.
                let apart = usize::from(name.starts_with("braces over lines"));
                assert!(apart == 1 || shared_ends(&text, &new) >= text.len(), "{name}\n{new}");
            }
        }
    }
    let whole = "{record: 1, job: {id: K, title: K}, pipes: {D1: {kind: drain, size: 110 mm}}}\n";
    taken_in("a record in braces", whole);
    taken_in("a byte order mark", &format!("\u{feff}{HEAD}"));
    taken_in("set in", "  record: 1\n  job: {id: K, title: K}\n");
}

#[test]
fn samples_and_valid_records_keep_every_byte() {
    for name in crate::network::SAMPLES {
        let text = fs::read_to_string(sample(name).join("job.yaml")).unwrap();
        for text in [text.clone(), text.trim_end().to_owned(), text.replace('\n', "\r\n")] {
            let new = taken_in(name, &text);
            assert!(shared_ends(&text, &new) >= text.len());
            assert!(new.contains("\n  PH97: {file: IMG_9001.jpg, shows: unknown}"), "{new}");
        }
    }
    for (name, bytes) in crate::record::fixtures("valid") {
        let Ok(text) = String::from_utf8(bytes) else { continue };
        taken_in(&name, &text);
    }
}

#[test]
fn what_is_not_understood_is_left_alone() {
    for section in ["photos: [a]", "photos: none", "photos: ~", "photos: |\n  a", "---\na: b"] {
        let reading = record::read("job.yaml", &format!("{HEAD}{section}\n"));
        assert!(edit::append(&reading, "photos", &two()).is_err(), "{section}");
    }
}

#[test]
fn ids_go_on_from_those_that_are_there() {
    let cases: [(&str, [&str; 2]); 7] = [
        ("", ["PH1", "PH2"]),
        ("photos: {PH9: {file: a}, PH2: {file: b}}", ["PH10", "PH11"]),
        ("photos: {F08: {file: a}, F09: {file: b}}", ["F10", "F11"]),
        ("photos: {F001: {file: a}}", ["F002", "F003"]),
        ("photos: {front: {file: a}}", ["PH1", "PH2"]),
        ("photos: {PH1: {file: a}}\nopenings: {PH2: {what: b}}", ["PH3", "PH4"]),
        ("photos: {PH99999999999999999999: {file: a}}", ["PH1", "PH2"]),
    ];
    for (section, expected) in cases {
        let reading = record::read("job.yaml", &format!("{HEAD}{section}\n"));
        assert_eq!(edit::next_photo_ids(&reading.record, 2), expected, "{section}");
    }
}

#[test]
fn pictures_are_taken_in_once_in_the_order_they_were_taken() {
    let folder = job_and_card();
    let (path, card) = (folder.path(), folder.path().join("card"));
    fs::copy(card.join("SCH_0165.jpg"), card.join("AAA.jpg")).unwrap();
    fs::copy(sample("mill-house").join("IMG_2240.jpg"), card.join("IMG_2240.jpg")).unwrap();
    fs::copy(card.join("SCH_0101.jpg"), card.join("IMG_2231.jpg")).unwrap();
    fs::write(card.join("clip.HEIC"), b"\0\0\0\x20ftypheic\0\0\0\0").unwrap();
    fs::write(card.join("notes.txt"), "words").unwrap();
    let record = path.join("job/job.yaml");
    let old = fs::read_to_string(&record).unwrap();
    let before = names(&path.join("job"));

    let dry = fallmark(path, &["photos", "job/job.yaml", "card", "--dry-run"]);
    assert_eq!(fs::read_to_string(&record).unwrap(), old);
    assert_eq!(names(&path.join("job")), before);
    let done = fallmark(path, &["photos", "job/job.yaml", "card"]);
    assert_eq!(code(&done), 1, "one picture was refused: {}", String::from_utf8_lossy(&done.stderr));
    let said = out(&done);
    let entries = |text: &str| text.lines().filter(|l| l.starts_with("PH")).map(str::to_owned).collect::<Vec<_>>();
    assert_eq!(entries(&out(&dry)), entries(&said));
    assert!(said.contains("HEIC") && said.contains("JPEG"), "{said}");
    assert!(said.contains("1 picture in the record already"), "{said}");

    let reading = record::read("job.yaml", &fs::read_to_string(&record).unwrap());
    assert!(reading.faults.is_empty(), "{:?}", reading.faults);
    let new: Vec<_> = reading.record.photos.iter().skip(5).collect();
    assert_eq!(new[0].id, "PH13");
    assert_eq!(new.len(), 16, "{said}");
    assert_eq!(said.matches("is the same picture as").count(), 2, "{said}");
    for item in &new {
        let file = &item.body.file.get().unwrap().0;
        assert!(path.join("job").join(file).is_file(), "{file}");
    }
    // Another picture of a name that is taken stands beside it; the one that was there is as it was.
    assert_eq!(new[0].body.file.get().unwrap().0, "IMG_2231-2.jpg", "{said}");
    let kept = fs::read(path.join("job/IMG_2231.jpg")).unwrap();
    assert!(kept == fs::read(sample("mill-house").join("IMG_2231.jpg")).unwrap());
    assert!(!names(&path.join("job")).iter().any(|n| n.starts_with('.') || n.ends_with('~')), "no clutter");

    let text = fs::read_to_string(&record).unwrap();
    let again = fallmark(path, &["photos", "job/job.yaml", "card"]);
    assert!(out(&again).contains("the record is as it was"), "{}", out(&again));
    assert_eq!(fs::read_to_string(&record).unwrap(), text);
    let inside = fallmark(path, &["photos", "job/job.yaml", "job"]);
    assert_eq!(code(&inside), 0, "{}", out(&inside));
    assert_eq!(fs::read_to_string(&record).unwrap(), text);
}

#[test]
fn pictures_beside_the_record_are_entered_where_they_are() {
    let folder = job_and_card();
    let job = folder.path().join("job");
    fs::rename(folder.path().join("card"), job.join("june")).unwrap();
    fs::copy(job.join("june/SCH_0101.jpg"), job.join("SCH_0101.jpg")).unwrap();
    let before = names(&job);
    assert_eq!(code(&fallmark(folder.path(), &["photos", "job/job.yaml", "job/june"])), 0);
    assert_eq!(names(&job), before, "nothing is copied");
    let reading = record::read("job.yaml", &fs::read_to_string(job.join("job.yaml")).unwrap());
    assert!(reading.faults.is_empty());
    assert!(reading.record.photos.iter().skip(5).all(|p| p.body.file.get().unwrap().0.starts_with("june/SCH_")));
}

#[test]
fn a_picture_that_the_record_waits_for_takes_its_place() {
    let folder = job_and_card();
    let job = folder.path().join("job");
    fs::create_dir(folder.path().join("phone")).unwrap();
    fs::rename(job.join("IMG_2263.jpg"), folder.path().join("phone/IMG_2263.jpg")).unwrap();
    let old = fs::read(job.join("job.yaml")).unwrap();
    let done = fallmark(folder.path(), &["photos", "job/job.yaml", "phone"]);
    assert!(out(&done).contains("PH7  IMG_2263.jpg"), "{}", out(&done));
    assert!(job.join("IMG_2263.jpg").is_file());
    assert!(fs::read(job.join("job.yaml")).unwrap() == old);
}

#[test]
fn hints_name_what_a_picture_could_show_by_its_day() {
    let folder = job_and_card();
    let record = folder.path().join("job/job.yaml");
    let text = fs::read_to_string(&record).unwrap();
    // SCH_0112 and SCH_0114 were taken on 8 May 2026, SCH_0107 on the day before.
    let text = text.replace("fitted: 2026-02-20}\n  D4", "fitted: 2026-05-08}\n  D4");
    let text = text.replace("yard backfill, date: 2026-02-27", "yard backfill, date: 2026-05-08");
    fs::write(&record, text).unwrap();
    let done = fallmark(folder.path(), &["photos", "job/job.yaml", "card", "--dry-run"]);
    let hints: Vec<String> = out(&done).lines().filter(|l| l.contains("D2 could be in")).map(str::to_owned).collect();
    assert_eq!(hints.len(), 1, "{}", out(&done));
    assert!(hints[0].contains("PH15 or PH16") && !hints[0].contains("PH14"), "{}", hints[0]);
}

#[cfg(unix)]
#[test]
fn a_record_that_cannot_be_written_leaves_no_picture_behind() {
    let folder = job_and_card();
    let job = folder.path().join("job");
    let mut permissions = fs::metadata(job.join("job.yaml")).unwrap().permissions();
    permissions.set_readonly(true);
    fs::set_permissions(job.join("job.yaml"), permissions).unwrap();
    let (before, old) = (names(&job), fs::read(job.join("job.yaml")).unwrap());
    let done = fallmark(folder.path(), &["photos", "job/job.yaml", "card"]);
    assert_eq!(code(&done), 2, "{}", out(&done));
    assert_eq!(names(&job), before);
    assert!(fs::read(job.join("job.yaml")).unwrap() == old);
}
