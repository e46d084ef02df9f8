//! The bungalow refitted in haste: every fault that the program must find in it, one by one, and nothing beyond them.
//!
//! Numbers are worked by hand from the record; the working stands beside each. Limits are those of the guidance in
//! force, in its own words.

use crate::cli::code;
use crate::cli::copy_of;
use crate::cli::fallmark;
use crate::findings::findings;
use crate::network::sample;
use crate::pack::pdf_text;
use crate::pack::squeezed;
use crate::pack::written;
use fallmark::base::finding::Finding;
use fallmark::base::finding::Verdict;
use fallmark::base::finding::Weight;
use fallmark::render::Output;
use fallmark::rules::registry::RULES;
use std::collections::BTreeSet;

const NAME: &str = "bungalow-refit";

/// Rule, item, line of the record, what is measured, what is asked.
type Fault = (&'static str, &'static str, usize, &'static str, &'static str);

const NOT_MET: &[Fault] = &[
    // Traps: read off the record as they are.
    ("trap-seal", "WB1", 50, "38 mm", "75 mm"),
    ("trap-seal", "SHR1", 51, "30 mm", "50 mm"),
    ("trap-size", "BTH1", 49, "32 mm", "40 mm"),
    ("trap-size", "SK2", 59, "32 mm", "40 mm"),
    // Branches.
    ("basin-branch-slope", "B3", 80, "2.30 m", "1.7 m"),
    // 1.30 m lies between 1.1 and 1.7 m, where the flatter of the two points holds: 22 mm/m.
    ("basin-branch-slope", "B8", 107, "40.0 mm/m over 1.30 m", "18 to 22 mm/m"),
    // 1000 / 60 = 16.67 mm/m.
    ("branch-slope", "B1", 77, "16.7 mm/m, 1 in 60.0", "18 to 90 mm/m"),
    // 1000 / 12 = 83.3.
    ("branch-slope", "B2", 79, "12.0 mm/m, 1 in 83.3", "18 to 90 mm/m"),
    // 1000 / 110 = 9.09.
    ("branch-slope", "B5", 92, "110.0 mm/m, 1 in 9.1", "18 to 90 mm/m"),
    ("branch-length", "B2", 79, "3.60 m", "3 m"),
    ("branch-length", "B10", 109, "4.60 m", "4 m"),
    ("branch-not-smaller-than-trap", "B6", 93, "32 mm on a trap of 40 mm", "not smaller than its trap"),
    ("coupon-out", "B2", 79, "inside the stack", "out"),
    // 38 - 31 = 7 mm between 09:10 and 09:13.
    ("above-ground-air-test", "T1", 148, "7 mm lost of 38 mm in 3 min", "38 mm for 3 min, no loss"),
    ("seal-left-after-test", "BTH1", 148, "18 mm, T1", "25 mm"),
    ("seal-left-after-test", "WB1", 148, "12 mm, T1", "25 mm"),
    // Terminals: 4.450 - 4.150 = 0.30 m over the rooflight's head.
    ("vent-terminal-clear-of-openings", "VT1", 135, "0.30 m above RL1, 1.60 m away", "0.90 m above it"),
    ("vent-terminal-clear-of-openings", "VT2", 136, "ends inside", "in open air"),
    // Drains. D3 is ventilated through IC2, D2 and IC1 by the stacks above. Two appliances on D5: the 12 m of a group.
    ("drain-ventilated-at-its-head", "D5", 116, "13.20 m to D3, which is ventilated", "12 m"),
    // D6, D7 and D8 one after the other to MH1: 12.80 + 4.00 + 6.00 = 22.80 m.
    ("drain-ventilated-at-its-head", "D6", 118, "22.80 m to D10, which is ventilated", "12 m"),
    ("drain-ventilated-at-its-head", "D9", 122, "7.20 m to D3, which is ventilated", "6 m"),
    // 1.765 - 1.570 = 0.195 m; 23.50 / 0.195 = 120.5. The WC alone is the largest, 1.7 l/s; units 1.7 + 1.3 + 0.3 + 0.4 =
    // 3.7, and 0.5 times the root of 3.7 is 0.96, which is less.
    ("drain-gradient", "D1", 112, "1 in 121; 1.7 l/s, 1 WC", "1 in 80"),
    // 1.752 - 1.765 = -0.013 m; 12.40 / 0.013 = 953.8. With the en suite 5.7 units: 0.5 times the root is 1.19.
    ("drain-gradient", "D2", 113, "rises, 1 in 954; 1.7 l/s, 2 WCs", "1 in 80"),
    ("drain-gradient", "D9", 122, "1 in 110; 1.7 l/s, 1 WC", "1 in 80"),
    ("drain-size", "D5", 116, "50 mm", "75 mm"),
    ("drain-size", "D9", 122, "82 mm", "100 mm"),
    // 100 - 61 and 100 - 74, each in 7 minutes.
    ("drain-tightness", "D1", 149, "T2: 39 mm in 7 min", "25 mm in 7 min"),
    ("drain-tightness", "D2", 150, "T3: 26 mm in 7 min", "25 mm in 7 min"),
    // IC1 is a shallow chamber: cover 99.980 less invert 101.050 - 1.765 = 99.285 is 0.695 m.
    ("access-spacing", "D1", 112, "23.50 m, S1 foot to IC1", "22 m"),
    ("access-spacing", "D6", 118, "12.80 m, GY1 to AF1", "12 m"),
    ("access-spacing", "D7", 119, "4.00 m, AF1 to AF2", "not permitted"),
    // Rods from MH1 up D3 pass its junction by, and nothing opens at its head.
    ("rod-reach", "D9", 122, "reached by no access point (7.20 m)", "all of it"),
];

/// Rules that have no way to be not met, with why.
const NEVER_NOT_MET: [(&str, &str); 1] =
    [("photographed-before-cover", "a photo that is not there shows nothing, so it is not shown")];

fn all() -> Vec<Finding> {
    findings(NAME, &sample(NAME))
}

fn not_met() -> Vec<Finding> {
    all().into_iter().filter(|f| f.verdict == Verdict::NotMet).collect()
}

#[test]
fn the_record_itself_is_whole() {
    let reading = fallmark::record::read("job.yaml", &sample(NAME));
    assert!(reading.whole && reading.faults.is_empty(), "{:#?}", reading.faults);
}

#[test]
fn each_fault_is_found_and_nothing_beyond_them() {
    let text = sample(NAME);
    let reading = fallmark::record::read("job.yaml", &text);
    let told = |f: &Finding| {
        let plain = |s: &str| s.replace('\u{a0}', " ");
        let line = reading.source.line_of(f.span.start);
        format!("{} {} line {line}: {} | {}", f.rule.0, f.item, plain(&f.measured), plain(&f.limit))
    };
    let found: BTreeSet<String> = not_met().iter().map(told).collect();
    let expected: BTreeSet<String> = NOT_MET
        .iter()
        .map(|(rule, item, line, measured, limit)| format!("{rule} {item} line {line}: {measured} | {limit}"))
        .collect();
    let lost: Vec<_> = expected.difference(&found).collect();
    let beyond: Vec<_> = found.difference(&expected).collect();
    assert!(lost.is_empty() && beyond.is_empty(), "lost {lost:#?}, beyond {beyond:#?}");
    assert_eq!(expected.len(), NOT_MET.len(), "none is listed twice");
    assert!(expected.len() >= 30, "{}", expected.len());
}

#[test]
fn every_rule_finds_something_not_met() {
    let found: BTreeSet<&str> = NOT_MET.iter().map(|(rule, ..)| *rule).collect();
    let silent: Vec<&str> = RULES.iter().map(|r| r.id.0).filter(|id| !found.contains(id)).collect();
    assert_eq!(silent, NEVER_NOT_MET.map(|(rule, _)| rule));
    for (rule, why) in NEVER_NOT_MET {
        assert!(all().iter().any(|f| f.rule.0 == rule && f.verdict == Verdict::NotShown), "{rule}: {why}");
    }
}

#[test]
fn check_ends_with_one() {
    let folder = copy_of(NAME);
    assert_eq!(code(&fallmark(folder.path(), &["check", "job.yaml"])), 1);
}

/// Where findings stand together, each still says what it misses itself.
#[test]
fn the_pack_says_of_each_fault_what_it_misses() {
    let outputs = [
        ("pdf", pdf_text(&written(NAME, Output::Pdf))),
        ("html", crate::pack::without_tags(&String::from_utf8(written(NAME, Output::Html)).unwrap())),
        ("md", String::from_utf8(written(NAME, Output::Markdown)).unwrap()),
    ];
    let open = not_met();
    for (output, text) in outputs {
        let text = squeezed(&text);
        for f in &open {
            let own = squeezed(&f.text);
            let first: String = own.chars().next().into_iter().flat_map(char::to_uppercase).collect();
            let said = format!("{first}{}", own.get(first.len()..).unwrap_or_default());
            let key = |o: &Finding| (o.rule, o.limit.clone(), o.citation.clone(), o.recalled, o.inside_spread);
            let mut together = open.iter().filter(|o| key(o) == key(f));
            let same = together.all(|o| o.text == f.text);
            let said = if same { said } else { format!("{}{said}", f.item) };
            assert!(text.contains(&said), "{output}: {} on {}: {said}", f.rule.0, f.item);
        }
        let clauses = open.iter().filter(|f| f.weight == Weight::Clause).count();
        assert!(text.contains(&format!("{clauses}inall")), "{output}: the first page counts {clauses}");
    }
}

/// The boxes of the words of a PDF's pages, as poppler lays them out: left, top, right, bottom.
fn boxes(pdf: &[u8]) -> Vec<Vec<([f64; 4], String)>> {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("pack.pdf");
    std::fs::write(&path, pdf).unwrap();
    let out = std::process::Command::new("pdftotext").arg("-bbox").arg(&path).arg("-").output();
    let text = String::from_utf8(out.expect("pdftotext is there: run `bash .ci/prepare`").stdout).unwrap();
    let number = |line: &str, key: &str| -> f64 {
        let from = line.find(&format!("{key}=\"")).unwrap() + key.len() + 2;
        let length = line[from..].find('"').unwrap();
        line[from..from + length].parse().unwrap()
    };
    let pages = text.split("<page ").skip(1);
    let words = |page: &str| {
        let lines = page.lines().filter(|l| l.contains("<word "));
        lines.map(|l| (["xMin", "yMin", "xMax", "yMax"].map(|k| number(l, k)), l.trim().to_owned())).collect()
    };
    pages.map(words).collect()
}

/// The side heads of a page that many failures fill stand clear of one another, also after a break.
#[test]
fn heads_stand_clear_of_one_another() {
    for (n, page) in boxes(&written(NAME, Output::Pdf)).iter().enumerate() {
        // The column of heads is 27 mm wide and starts at the left edge of the text.
        let heads: Vec<_> = page.iter().filter(|(b, _)| b[0] < 56.7 + 30.0 && b[2] < 56.7 + 76.5).collect();
        for (i, (a, said)) in heads.iter().enumerate() {
            for (b, other) in &heads[i + 1..] {
                let (wide, tall) = (a[2].min(b[2]) - a[0].max(b[0]), a[3].min(b[3]) - a[1].max(b[1]));
                // Boxes are as tall as the face, which is more than the leading of small text.
                assert!(wide < 1.0 || tall < 6.0, "page {}: {said} and {other}", n + 1);
            }
        }
    }
}
