//! Branches by the table of BS EN 12056-2, which counts bends, gives a range of basins 50 mm pipe and lets several WCs
//! run flatter than Approved Document H does. Its figures are from memory.

use crate::findings::SampleFiles;
use fallmark::base::finding::Finding;

fn finding(rulebook: &str, appliances: &str, pipes: &str, rule: &str) -> Finding {
    let text = format!(
        "record: 1\njob: {{id: T, title: branches}}\nappliances: {{{appliances}}}\npipes:\n  \
         S1: {{kind: stack, size: 110 mm}}\n{pipes}"
    );
    let reading = fallmark::record::read("job.yaml", &text);
    assert!(reading.faults.is_empty(), "{:#?}", reading.faults);
    let rulebook = fallmark::rulebook::load(rulebook).unwrap();
    let found = fallmark::examine(&reading.record, &rulebook, &SampleFiles("mill-house")).findings;
    found.into_iter().find(|f| f.rule.0 == rule && f.item == "B1").unwrap()
}

fn told(rulebook: &str, appliances: &str, pipes: &str, rule: &str) -> (&'static str, String, String) {
    let f = finding(rulebook, appliances, pipes, rule);
    let plain = |s: &str| s.replace('\u{a0}', " ");
    (f.words(), plain(&f.measured), plain(&f.limit))
}

const ENGLAND: &str = "england-2015";
const STANDARD: &str = "en-12056-system-3";

fn said(words: &'static str, measured: &str, limit: &str) -> (&'static str, String, String) {
    (words, measured.to_owned(), limit.to_owned())
}

#[test]
fn a_range_of_basins_has_50_mm_by_the_standard_and_no_bend() {
    let basins = "WB1: {}, WB2: {}, WB3: {}";
    let pipes = |own: &str| {
        format!(
            "  B1: {{from: WB1, to: S1, length: 2.40 m, fall: 30 mm/m, {own}}}\n  \
             B2: {{from: WB2, to: B1, size: 32 mm}}\n  B3: {{from: WB3, to: B1, size: 32 mm}}\n"
        )
    };
    let of = |book: &str, own: &str| told(book, basins, &pipes(own), "common-branch");
    assert_eq!(of(ENGLAND, "size: 40 mm, bends: [swept 90]"), said("met", "40 mm, 3 basins", "32 mm"));
    // Spray taps without plugs would do with less; nobody says that there are none.
    assert_eq!(of(STANDARD, "size: 40 mm, bends: none"), said("not shown", "40 mm, 3 basins", "50 mm"));
    assert_eq!(of(STANDARD, "size: 50 mm, bends: none"), said("met", "50 mm, 3 basins", "50 mm"));
    assert_eq!(of(STANDARD, "size: 50 mm, bends: [swept 90]"), said("not met", "1 bend", "0"));
    assert_eq!(of(ENGLAND, "size: 50 mm, bends: [swept 90]"), said("met", "50 mm, 3 basins", "32 mm"));
}

#[test]
fn several_wcs_run_flatter_by_the_standard() {
    let pipes = "  B1: {from: WC1, to: S1, size: 110 mm, length: 9.00 m, fall: 12 mm/m, bends: none}\n  \
                 B2: {from: WC2, to: B1, size: 110 mm}\n";
    let of = |book: &str| told(book, "WC1: {}, WC2: {}", pipes, "common-branch");
    assert_eq!(of(STANDARD), said("met", "110 mm, 2 WCs", "100 mm"));
    assert_eq!(of(ENGLAND), said("not shown", "12.0 mm/m, 1 in 83.3", "18 mm/m"));
}

#[test]
fn a_basin_on_32_mm_has_no_bend_by_the_standard() {
    let of = |book: &str, bends: &str| {
        let pipes =
            format!("  B1: {{from: WB1, to: S1, size: 32 mm, length: 1.00 m, fall: 20 mm/m, bends: {bends}}}\n");
        told(book, "WB1: {}", &pipes, "branch-bends-and-junctions")
    };
    assert_eq!(of(ENGLAND, "[swept 90]"), said("met", "swept 90", "a radius of 75 mm or more"));
    assert_eq!(of(STANDARD, "[swept 90]"), said("not met", "1 bend", "0"));
    assert_eq!(of(STANDARD, "none"), said("met", "no bends", "a radius of 75 mm or more"));
}
