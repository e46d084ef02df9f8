//! Reading: samples and valid records read clean, and every mistake is reported at its line with what would do.

use fallmark::base::known::How;
use fallmark::base::span::SourceText;
use fallmark::record;
use fallmark::record::Reading;
use fallmark::record::fault::Fault;
use fallmark::record::item::FieldSpec;
use fallmark::record::node;
use fallmark::record::node::Body;
use fallmark::record::node::Node;
use fallmark::record::sections;
use fallmark::record::sections::Shape;
use fallmark::record::value::Cx;
use fallmark::record::value::Field;
use fallmark::record::words::Text;
use fallmark::record::words::Words;
use std::collections::BTreeSet;
use std::path::Path;
use std::path::PathBuf;

/// A path inside the project.
pub fn project(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(path)
}

/// Every record of a folder under `tests/records`, in order of name.
pub fn fixtures(folder: &str) -> Vec<(String, Vec<u8>)> {
    let folder = project("tests/records").join(folder);
    let mut paths: Vec<PathBuf> = std::fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()).collect();
    paths.sort();
    let name = |p: &Path| p.file_name().unwrap().to_string_lossy().into_owned();
    paths
        .iter()
        .filter(|p| p.extension().is_some_and(|e| e == "yaml"))
        .map(|p| (name(p), std::fs::read(p).unwrap()))
        .collect()
}

/// A sample job of the project.
pub fn sample(name: &str) -> String {
    std::fs::read_to_string(project("samples").join(name).join("job.yaml")).unwrap()
}

fn told(reading: &Reading) -> Vec<String> {
    let line = |f: &Fault| reading.source.line_of(f.span.start);
    reading.faults.iter().map(|f| format!("{}: {} ({}) [{}]", line(f), f.what, f.help, f.path)).collect()
}

#[test]
fn the_samples_read_without_a_fault() {
    for name in crate::network::SAMPLES {
        let reading = record::read("job.yaml", &sample(name));
        assert!(reading.whole && reading.faults.is_empty(), "{name}: {:#?}", told(&reading));
    }
}

#[test]
fn the_valid_records_read_without_a_fault() {
    for (name, bytes) in fixtures("valid") {
        let reading = record::read_bytes(&name, &bytes);
        assert!(reading.whole && reading.faults.is_empty(), "{name}: {:#?}", told(&reading));
    }
}

/// Lines that state a fault in a comment, with its words.
fn stated(text: &str) -> Vec<(usize, &str)> {
    let lines = text.lines().enumerate();
    lines.filter_map(|(i, line)| line.split_once("# fault: ").map(|(_, words)| (i + 1, words.trim()))).collect()
}

#[test]
fn every_fault_is_reported_at_its_line_and_alone() {
    let fixtures = fixtures("invalid");
    assert!(fixtures.len() > 70, "the folder of invalid records is gone");
    let mut wrong = Vec::new();
    for (name, bytes) in fixtures {
        let reading = record::read_bytes(&name, &bytes);
        let stated = stated(&reading.source.text);
        assert!(!stated.is_empty(), "{name} states no fault");
        let met = |f: &Fault, (line, words): (usize, &str)| {
            reading.source.line_of(f.span.start) == line && (f.what.contains(words) || f.help.contains(words))
        };
        let each = reading.faults.len() == stated.len() && reading.faults.iter().zip(&stated).all(|(f, s)| met(f, *s));
        let sound = reading.faults.iter().all(|f| !f.help.is_empty() && !f.what.is_empty());
        if !each || !sound {
            wrong.push(format!("{name}: stated {stated:?}, told {:#?}", told(&reading)));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn a_file_of_no_bytes_is_an_empty_record() {
    let reading = record::read_bytes("job.yaml", b"");
    assert_eq!(reading.faults.len(), 1);
    assert_eq!(reading.faults[0].what, "the record is empty");
}

#[test]
fn a_latin_1_byte_is_found_at_its_column() {
    let reading = record::read_bytes("job.yaml", b"record: 1\njob: {id: K, title: Caf\xe9}\n");
    assert_eq!(reading.source.place(reading.faults[0].span.start), (2, 24));
}

/// Ten mistakes of value and structure, each with its line, its column, and the words that are underlined.
#[test]
fn ten_mistakes_are_reported_in_one_run() {
    let text = std::fs::read_to_string(project("tests/records/ten-mistakes.yaml")).unwrap();
    let reading = record::read("ten-mistakes.yaml", &text);
    let found: Vec<((usize, usize), &str)> =
        reading.faults.iter().map(|f| (reading.source.place(f.span.start), reading.source.slice(f.span))).collect();
    let expected = [
        ((7, 25), "phnoe"),
        ((10, 30), "2026-02-30"),
        ((16, 44), "size"),
        ((17, 27), "110"),
        ((18, 41), "60:1"),
        ((19, 14), "drian"),
        ((20, 26), "1.30 m along"),
        ((21, 7), "{"),
        ((23, 26), "frist + 20 mm"),
        ((24, 9), "[N1]"),
    ];
    assert_eq!(found, expected, "{:#?}", told(&reading));
    for (fault, (_, words)) in reading.faults.iter().zip(expected) {
        let read = words.split(' ').next().unwrap();
        let structure = ["{", "[N1]"].contains(&words);
        assert!((structure || fault.what.contains(read)) && !fault.help.is_empty(), "{fault:?}");
    }
}

/// A section's fields, with the fields of maps inside them, each with the path of keys that leads to it.
fn fields(spec: &FieldSpec, path: &[&'static str]) -> Vec<Vec<&'static str>> {
    let path: Vec<&'static str> = path.iter().copied().chain([spec.key]).collect();
    let inner = (spec.parts)().into_iter().flat_map(|part| fields(&part, &path)).collect::<Vec<_>>();
    std::iter::once(path).chain(inner).collect()
}

fn every_field() -> Vec<Vec<&'static str>> {
    let all = sections::all();
    all.iter().flat_map(|s| (s.fields)().into_iter().flat_map(|f| fields(&f, &[s.key])).collect::<Vec<_>>()).collect()
}

/// Every path of keys of a record, without ids, names of a map and places in a list.
fn keys_of(node: &Node, path: &[String], out: &mut BTreeSet<Vec<String>>) {
    match &node.body {
        Body::Scalar(_) => {}
        Body::List(list) => list.iter().for_each(|n| keys_of(n, path, out)),
        Body::Map(map) => {
            for (key, value) in map {
                let longer: Vec<String> = path.iter().cloned().chain([key.value.clone()]).collect();
                out.insert(longer.clone());
                keys_of(value, &longer, out);
                // The key may be an id or a name: then what stands in it belongs to the path without it.
                keys_of(value, path, out);
            }
        }
    }
}

#[test]
fn the_valid_records_say_every_field_at_least_once() {
    let mut said = BTreeSet::new();
    for (name, bytes) in fixtures("valid") {
        let source = SourceText::new(name, String::from_utf8(bytes).unwrap());
        keys_of(&node::parse(&source).unwrap(), &[], &mut said);
    }
    let missing: Vec<String> =
        every_field().iter().filter(|p| !said.contains(&owned(p))).map(|p| p.join(".")).collect();
    assert!(missing.is_empty(), "no valid record says {missing:#?}");
}

fn owned(path: &[&str]) -> Vec<String> {
    path.iter().map(|s| (*s).to_owned()).collect()
}

/// A record that says one field of one section, and of the rest only what is required.
pub fn saying(shape: Shape, section: &str, all: &[FieldSpec], field: &FieldSpec, value: &str) -> String {
    let rest = all.iter().filter(|f| f.required && f.key != field.key).map(|f| format!(", {}: {}", f.key, f.example));
    let item = format!("{{{}: {value}{}}}", field.key, rest.collect::<String>());
    let body = match shape {
        Shape::One => item,
        Shape::ById => format!("{{X9: {item}}}"),
        Shape::List => format!("[{item}]"),
        Shape::Words => value.to_owned(),
    };
    let job = if section == "job" { String::new() } else { "job: {id: K, title: K}\n".to_owned() };
    format!("record: 1\n{job}{section}: {body}\n")
}

#[test]
fn each_example_reads_as_its_field() {
    for section in sections::all() {
        let all = (section.fields)();
        for field in &all {
            let text = saying(section.shape, section.key, &all, field, field.example);
            let reading = record::read("example", &text);
            // What the example speaks of is not in so small a record.
            let lost = |f: &Fault| f.kind.starts_with("no such");
            let faults: Vec<&Fault> = reading.faults.iter().filter(|f| !lost(f)).collect();
            assert!(faults.is_empty(), "{text}{faults:#?}");
        }
    }
}

#[test]
fn the_guide_names_every_section_and_field() {
    let guide = record::guide::markdown();
    for section in sections::all() {
        let part = guide.split("\n## ").find(|p| p.starts_with(&format!("{}\n", section.key))).unwrap_or("");
        assert!(!part.is_empty(), "the guide does not name the section {}", section.key);
        for path in (section.fields)().iter().flat_map(|f| fields(f, &[])) {
            let key = path.last().unwrap();
            let indent = "  ".repeat(path.len() - 1);
            assert!(part.contains(&format!("\n{indent}- `{key}`")), "{}: {path:?}", section.key);
        }
    }
}

/// Whether a field that is said to be `value` is reported as speaking of something that is not there.
fn is_lost(shape: Shape, section: &str, all: &[FieldSpec], field: &FieldSpec, value: &str) -> bool {
    let levels = if section == "levels" { "" } else { "levels: {TBM: 1.0 m}\n" };
    let text = saying(shape, section, all, field, value) + levels;
    let faults = record::read("job.yaml", &text).faults;
    faults.iter().any(|f| f.kind.starts_with("no such") && f.what.contains("ZZ9"))
}

#[test]
fn every_field_that_speaks_of_an_item_is_held_against_the_record() {
    use fallmark::record::quantity::LevelAt;
    use fallmark::record::quantity::Station;
    use fallmark::record::value::Value;
    use fallmark::record::words::Mention;
    use fallmark::record::words::Ref;
    let mut held = 0;
    for section in sections::all() {
        let all = (section.fields)();
        for field in &all {
            let value = match field.form {
                form if form == <Ref as Value>::FORM || form == <Mention as Value>::FORM => "ZZ9",
                form if form == <LevelAt as Value>::FORM => "ZZ9 + 1.0 m",
                form if form == <Station as Value>::FORM => "1.0 m up from ZZ9",
                _ => continue,
            };
            held += 1;
            assert!(is_lost(section.shape, section.key, &all, field, value), "{}.{}", section.key, field.key);
        }
    }
    assert!(held > 30, "only {held} fields speak of something");
}

#[test]
fn parts_of_an_item_are_held_against_the_record_too() {
    for part in [
        "pipes: {S: {size: 110 mm, foot: {into: ZZ9}}}",
        "pipes: {S: {size: 110 mm, foot: {into: S, il: ZZ9 - 1.0 m}}}",
        "pipes: {S: {size: 110 mm, foot: ZZ9}}",
        "pipes: {S: {size: 110 mm, bed: as ZZ9}}",
        "pipes: {S: {size: 110 mm, access: {RP: 1 m up from ZZ9}}}",
        "pipes: {S: {size: 110 mm, spare: {B: {at: 1 m up from ZZ9, state: open}}}}",
        "pipes: {S: {size: 110 mm, il: [ZZ9, TBM]}}",
        "nearby: {N: {what: cable, from: {ZZ9: 1 m}}}",
        "openings: {N: {what: window, from: {ZZ9: 1 m}}}",
        "tests: {N: {what: drain air, seals-left: {ZZ9: 40 mm}}}",
        "penetrations: {N: {pipe: unknown, element: unknown, below: {doc: ZZ9}, above: {doc: none}}}",
    ] {
        let reading =
            record::read("job.yaml", &format!("record: 1\njob: {{id: K, title: K}}\nlevels: {{TBM: 1.0 m}}\n{part}\n"));
        let told = told(&reading);
        assert!(told.len() == 1 && told[0].contains("ZZ9"), "{part}: {told:?}");
    }
}

fn field<T: record::value::Value>(text: &str) -> Field<T> {
    let source = SourceText::new("field", format!("field: {text}\n"));
    let root = node::parse(&source).unwrap();
    let Body::Map(entries) = &root.body else { panic!("{text} is no map") };
    Field::read(&entries[0].1, &mut Cx::new(&source))
}

#[test]
fn free_text_keeps_every_word() {
    for text in ["about the loft", "key from maker", "weep believed", "as measured", "unknown to BC", "\"unknown\""] {
        let read = field::<Text>(text);
        assert_eq!((read.get().unwrap().0.as_str(), read.how), (text.trim_matches('"'), None));
    }
}

#[test]
fn words_say_how_they_are_known_without_losing_sense() {
    for (text, words, how) in [
        ("1880s believed", "1880s", Some(How::Believed)),
        ("EI 60 from drawing", "EI 60", Some(How::FromDrawing)),
        ("about 1880", "1880", Some(How::Believed)),
        ("about the loft hatch", "about the loft hatch", None),
        ("as stated", "as stated", None),
        ("not measured", "not measured", None),
        ("sealed by the maker", "sealed by the maker", None),
        ("believed", "believed", None),
        ("\"1880s believed\"", "1880s believed", None),
        ("\"none\"", "none", None),
    ] {
        let read = field::<Words>(text);
        assert_eq!((read.get().unwrap().0.as_str(), read.how), (words, how), "{text}");
    }
}

#[test]
fn unknown_none_and_absent_are_three_things() {
    use fallmark::record::quantity::Measure;
    let told = |f: &Field<Measure>| (f.is_absent(), f.is_unknown(), f.is_none());
    assert_eq!(told(&field("unknown")), (false, true, false));
    assert_eq!(told(&field("none")), (false, false, true));
    assert_eq!(told(&Field::default()), (true, false, false));
    // A quantity has no free words, so quotes change nothing: a record written as JSON puts all of it in quotes.
    assert_eq!(told(&field("\"unknown\"")), (false, true, false));
    assert_eq!(field::<Measure>("about 2 m").how, Some(How::Believed));
    assert_eq!(field::<Measure>("2 m maker").how, Some(How::Maker));
}

#[test]
fn what_stands_in_an_unreadable_section_is_not_missed_a_second_time() {
    let text = "record: 1\njob: {id: K, title: K}\npipes: [1]\nphotos: {PH1: {file: a, shows: [D1]}}\n";
    assert_eq!(told(&record::read("job.yaml", text)).len(), 1);
}

#[test]
fn a_plain_scalar_means_what_was_written() {
    let text = "record: 1\njob: {id: 1.10, title: no, address: 1_000, nation: 0x1F, built: ~x, note: '60:1'}\n";
    let reading = record::read("job.yaml", text);
    let job = &reading.record.job;
    let words: Vec<&str> = [&job.id, &job.title, &job.address, &job.nation, &job.note]
        .iter()
        .map(|f| f.get().unwrap().0.as_str())
        .collect();
    assert_eq!(words, ["1.10", "no", "1_000", "0x1F", "60:1"]);
}

#[test]
fn an_item_and_a_list_span_all_of_their_text() {
    let text = "record: 1\njob: {id: K, title: K}\npipes:\n  D1: {size: 110 mm, bends: [a, b]  # c\n    }\n";
    let reading = record::read("job.yaml", text);
    let pipe = reading.record.pipes.get("D1").unwrap();
    assert_eq!(reading.source.slice(pipe.span), "{size: 110 mm, bends: [a, b]  # c\n    }");
    assert_eq!(reading.source.slice(pipe.body.bends.span), "[a, b]");
}
