//! Tests of drains in the schedule of tests: before or after cover, what replaced what, and what shows no tightness.

use crate::pack::assembled;
use crate::pack::written;
use fallmark::compute::tightness::cover::Done;
use fallmark::compute::tightness::cover::done;
use fallmark::pack;
use fallmark::record;
use fallmark::render::Output;

/// Two drains, one covered on 3 March, with every sort of test of them.
const JOB: &str = "\
record: 1
job: {id: T, title: tests of two drains, stage: completion}
appliances: {WC1: {}}
access: {IC1: {what: inspection chamber, across: 450 mm}}
pipes:
  D1: {kind: drain, from: WC1, to: IC1, size: 110 mm, length: 6.00 m, fall: 1 in 60}
  D2: {kind: drain, from: IC1, to: SEW, size: 110 mm, length: 9.00 m, fall: 1 in 60}
outfalls: {SEW: {what: public sewer}}
closings:
- {what: trench of D1 filled, date: 2026-03-03, hides: [D1]}
- {what: trench of D2 filled, date: 2026-03-30, hides: [D2], stage: planned}
tests:
  T1: {what: drain air, covers: [D1], plugs: [WC1, IC1], date: 2026-03-02, readings: {\"09:00\": 100 mm, \"09:07\": 60 mm}}
  T2: {what: drain water, covers: [D1], plugs: [WC1, IC1], date: 2026-03-04, added: 0.20 l, lasted: 30 min, soak: 1 h, \
head: 1.20 m, head-low: 1.30 m, joints-set: 26 h, flushed: yes}
  T3: {what: drain air, covers: [D1, D2], plugs: [WC1, IC1, SEW], date: 2026-03-04, readings: {\"09:00\": 100 mm, \"09:07\": 99 mm}}
  T4: {what: drain air, covers: [D2], plugs: [IC1, SEW], date: 2026-03-04, readings: {\"09:00\": 100 mm, \"09:07\": 99 mm}}
  T5: {what: camera, covers: [D2], from: IC1, to: SEW, looking: downstream, grade: \"structural 1, service 2\", \
deformed: at most 3 %, date: 2026-03-05, found: a little silt}
";

#[test]
fn tests_before_and_after_cover_are_told_apart() {
    let reading = record::read("job.yaml", JOB);
    assert!(reading.faults.is_empty(), "{:?}", reading.faults);
    let network = fallmark::network::link(&reading.record);
    let outcomes = fallmark::compute::tightness::outcomes(&network);
    let of = |id: &str| {
        let at = reading.record.tests.position(id).unwrap();
        done(&network, &outcomes[at], reading.record.tests.at(at).unwrap().body.date.get().copied())
    };
    // D1 was covered on 3 March; the closing of D2 is still to come.
    assert_eq!((of("T1"), of("T2")), (Some(Done::BeforeCover), Some(Done::AfterCover)));
    assert_eq!((of("T3"), of("T4")), (Some(Done::PartCovered), Some(Done::NotCovered)));
    let text = String::from_utf8(written("schoolroom-flats", Output::Markdown)).unwrap();
    let row = |id: &str| text.lines().find(|l| l.starts_with(&format!("| **{id}** | drain air"))).unwrap_or_default();
    assert!(["T1", "T2", "T3"].iter().all(|id| row(id).contains("gauge-V, before cover")), "{}", row("T1"));
    // Each repeats one of them four days after the trench was filled.
    assert!(["T4", "T5", "T6"].iter().all(|id| row(id).contains("after cover")), "{}", row("T4"));
}

#[test]
fn a_camera_prints_and_counts_for_nothing() {
    let without = JOB.split("  T3:").next().unwrap();
    let camera = JOB.split("  T5:").nth(1).unwrap();
    let text = format!("{without}  T5:{camera}");
    let pack = assembled("schoolroom-flats", &text, pack::inspection, Output::Markdown);
    let pack = String::from_utf8(pack).unwrap().replace('\u{a0}', " ");
    for said in [
        "Camera from IC1 to SEW, looking downstream, graded structural 1, service 2, out of round by at most 3 %.",
        "never tightness",
        "A little silt.",
        "no standing test speaks for D2",
        "Stood full 1 h before, 1.20 m of water over the highest invert, 1.30 m over the lowest, youngest joint 26 h \
         old, cleaned and flushed before.",
        "Newer, of the same drain: T2.",
    ] {
        assert!(pack.contains(said), "{said}\n{pack}");
    }
}

/// The air failed on 2 March; the water on 4 March decides, and the air stays in the schedule.
#[test]
fn water_decides_after_air_that_failed() {
    let text = JOB.split("  T3:").next().unwrap();
    let reading = record::read("job.yaml", text);
    let rulebook = fallmark::rulebook::load("england-2015").unwrap();
    let files = crate::findings::SampleFiles("schoolroom-flats");
    let job = fallmark::examine(&reading.record, &rulebook, &files);
    let found = job.findings.iter().find(|f| f.rule.0 == "drain-tightness" && f.item == "D1").unwrap();
    assert_eq!((found.words(), found.measured.split(':').next()), ("met", Some("T2")), "{found:?}");
    let pack = String::from_utf8(assembled("schoolroom-flats", text, pack::inspection, Output::Markdown)).unwrap();
    assert!(pack.contains("T1") && pack.replace('\u{a0}', " ").contains("40 mm in 7 min"));
}
