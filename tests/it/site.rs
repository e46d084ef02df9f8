//! What protects the house: what a day brings to a pump, what stands behind a valve, what a record loses when it says
//! less, and that all of it is printed.

use crate::cli::code;
use crate::cli::fallmark;
use fallmark::base::finding::Verdict;
use fallmark::compute::guards::Met;
use std::collections::BTreeMap;

struct NoFiles;

impl fallmark::base::files::Files for NoFiles {
    fn open(&self, name: &str) -> Result<fallmark::base::files::Reader, fallmark::base::files::FileError> {
        Err(fallmark::base::files::FileError::Missing(name.to_owned()))
    }

    fn size(&self, name: &str) -> Result<u64, fallmark::base::files::FileError> {
        Err(fallmark::base::files::FileError::Missing(name.to_owned()))
    }
}

fn with<R>(text: &str, look: impl FnOnce(&fallmark::Examined<'_>) -> R) -> R {
    let reading = fallmark::record::read("job.yaml", text);
    assert!(reading.faults.is_empty(), "{text}\n{:?}", reading.faults);
    let rulebook = fallmark::rulebook::load("england-2015").unwrap();
    look(&fallmark::examine(&reading.record, &rulebook, &NoFiles))
}

/// The verdicts of a rule, by item.
fn verdicts(text: &str, rule: &str) -> BTreeMap<String, Verdict> {
    with(text, |job| {
        let own = job.findings.iter().filter(|f| f.rule.0 == rule && f.verdict != Verdict::NotApplicable);
        own.map(|f| (f.item.clone(), f.verdict)).collect()
    })
}

const PUMPED: &str = "record: 1
job: {id: K, title: Kiln cottage}
appliances: {WC1: {in: house}}
pipes: {D1: {kind: drain, from: WC1, to: SEW, size: 110 mm}}
outfalls: {SEW: {what: public sewer, carries: foul}}
";

/// AD H 2.39 as a trade article and a maker's answer restate it: 24 hours at 150 l a head and day, in proportion where only
/// part is pumped; two heads in the first bedroom and one in each other. By hand: 3 bedrooms are 4 heads and 600 l; half
/// of that is 300 l; two dwellings with 3 bedrooms between them are 5 heads and 750 l.
#[test]
fn a_day_of_foul_water_is_reckoned_by_heads_or_bedrooms() {
    for (job, pump, centilitres) in [
        ("", "heads: 4", 60_000),
        ("", "bedrooms: 3", 60_000),
        ("", "bedrooms: 3, percent: 50", 30_000),
        ("", "heads: 1, bedrooms: 9", 15_000),
        (", dwellings: 2", "bedrooms: 3", 75_000),
    ] {
        let text = PUMPED.replace("cottage", &format!("cottage{job}"));
        with(&format!("{text}pumps: {{PU1: {{on: D1, {pump}}}}}\n"), |job| {
            let inflow = job.computed.inflows[0].unwrap();
            assert_eq!(inflow.centilitres(), centilitres, "{pump}");
            // As many microlitres as a day brings are 24 hours of it, and one less is not.
            let day = i64::try_from(centilitres * 10_000).unwrap();
            assert_eq!((inflow.hours(day), inflow.hours(day - 1)), (24, 23), "{pump}");
        });
    }
    with(&format!("{PUMPED}pumps: {{PU1: {{on: D1}}}}\n"), |job| assert_eq!(job.computed.inflows, [None]));
    with(&format!("{PUMPED}pumps: {{PU1: {{on: D1, heads: 0}}}}\n"), |job| {
        assert_eq!(job.computed.inflows[0].unwrap().hours(1), u32::MAX);
    });
}

/// Two branch drains join one with a valve half-way along it, at 6.00 m of 9.00 m.
fn beside_a_valve(at: &str, valve: &str) -> Option<Met> {
    let text = format!(
        "record: 1
job: {{id: K, title: K}}
appliances: {{WC1: {{in: house}}, WC2: {{in: house}}, WM2: {{in: house, into: WC2}}}}
access: {{IC1: {{what: inspection chamber}}}}
pipes:
  D1: {{kind: drain, from: WC1, to: IC1, size: 110 mm, length: 9.00 m, fall: 1 in 40}}
  D2: {{kind: drain, from: WC2, to: D1{at}, entry: junction 45, size: 110 mm, bed: {{under: 100 mm}}}}
valves: {{BV1: {{on: D1{valve}}}}}
"
    );
    with(&text, |job| {
        let guards = &job.computed.guards;
        assert_eq!(guards[0].valve, Some(Met { guard: 0, sure: true }), "what starts the drain is behind its valve");
        assert_eq!(guards[1].valve, guards[2].valve, "what shares a trap shares its way");
        guards[1].valve
    })
}

#[test]
fn what_joins_above_a_valve_is_behind_it_and_what_joins_below_is_not() {
    let sure = Some(Met { guard: 0, sure: true });
    let perhaps = Some(Met { guard: 0, sure: false });
    let valve = ", at: 6.00 m down from WC1";
    assert_eq!(beside_a_valve(", at: 5.00 m down from WC1", valve), sure);
    assert_eq!(beside_a_valve(", at: 7.00 m down from WC1", valve), None);
    assert_eq!(beside_a_valve(", at: 2.00 m up from IC1", valve), None, "9.00 - 2.00 is 7.00 m");
    // Without a place the valve stands at the lower end, and without a place a join may be on either side.
    assert_eq!(beside_a_valve(", at: 7.00 m down from WC1", ""), sure);
    assert_eq!(beside_a_valve("", valve), perhaps);
    assert_eq!(beside_a_valve(", at: 6.00 m down from WC1", valve), perhaps, "the readings leave it open");
}

#[test]
fn a_ring_of_drains_and_a_valve_on_nothing_end_the_walk() {
    let ring = "record: 1
job: {id: K, title: K}
appliances: {WC1: {in: house, into: WC2}, WC2: {in: house, into: WC1}}
pipes:
  D1: {kind: drain, from: D2, to: D2, size: 110 mm}
  D2: {kind: drain, from: D1, to: D1, size: 110 mm}
valves: {BV1: {on: D1}, BV2: {on: unknown}}
pumps: {PU1: {on: D2}}
site: {basement: yes, surcharge: high}
";
    with(ring, |job| {
        assert_eq!(job.computed.guards.len(), 2);
        assert!(job.computed.guards.iter().all(|g| !g.drains && g.valve.is_none()));
    });
}

/// A record with everything said, each rule met; without any one of the named fields it is met no more.
#[test]
fn a_field_left_out_never_leaves_its_rule_met() {
    let whole = "record: 1
job: {id: K, title: K}
levels: {TBM: 10.000 m}
appliances: {WC1: {floor: TBM - 0.400 m}}
pipes: {D1: {kind: drain, from: WC1, to: SEW, size: 110 mm}}
outfalls: {SEW: {what: public sewer, carries: foul}}
site: {basement: yes, surcharge: low, flood-level: TBM, built-on-before: yes, rodents: {asked: 2026-03-02, called-for: yes, measures: [cages]}}
valves: {BV1: {on: D1, double: yes, closure: lever, standard: EN 13564-1, notice: by the meter}}
pumps: {PU1: {on: D1, holds: 320 l, heads: 4, percent: 50, inside: yes, standard: \"EN 12050-1, EN 12056-4\"}}
";
    let cases: [(&str, &str, &[&str]); 4] = [
        ("surcharge-protection", "site", &["surcharge: low, ", "flood-level: TBM, ", "floor: TBM - 0.400 m"]),
        (
            "anti-flooding-valve",
            "BV1",
            &[
                "double: yes, ",
                "closure: lever, ",
                "standard: EN 13564-1, ",
                ", notice: by the meter",
                "flood-level: TBM, ",
            ],
        ),
        (
            "pumped-drain",
            "PU1",
            &[
                "holds: 320 l, ",
                "heads: 4, ",
                "percent: 50, ",
                "inside: yes, ",
                ", standard: \"EN 12050-1, EN 12056-4\"",
            ],
        ),
        ("rodent-measures", "site", &["asked: 2026-03-02, ", "called-for: yes, ", ", measures: [cages]"]),
    ];
    for (rule, item, fields) in cases {
        assert_eq!(verdicts(whole, rule)[item], Verdict::Met, "{rule}");
        for field in fields {
            let less = whole.replacen(field, "", 1);
            assert_ne!(less, whole, "{field}");
            assert_ne!(verdicts(&less, rule).get(item), Some(&Verdict::Met), "{rule} without `{field}`");
        }
    }
}

/// Every word of a field is one that stands nowhere else, and each is found in the inspection pack.
#[test]
fn what_is_recorded_of_the_protection_is_printed() {
    let text = "record: 1
job: {id: K, title: K}
levels: {TBM: 10.000 m}
people: {UW: {role: undertaker}}
appliances: {WC1: {floor: TBM - 0.400 m}}
access: {MH1: {what: manhole, stage: existing, interceptor: yes, state: brackish}}
pipes:
  D1: {kind: drain, from: WC1, to: MH1, size: 110 mm, fitted: 2026-03-01}
  D2: {kind: drain, stage: existing, from: MH1, to: SEW, size: 6 in, material: clay, live: teeming, state: crazed}
  OLD1: {kind: drain, stage: existing, from: unknown, to: MH1, size: 9 in, material: clay, disused: {cut-at: quarry corner, left: 0.11 m, depth: 1.72 m, open-ground: yes, dug-out: no, sealed: [topmost end, nether end], filled: pumice, note: tidied}}
outfalls: {SEW: {what: public sewer, carries: foul}}
site: {basement: yes, low-lying: no, surcharge: low, said-by: UW, flood-level: TBM - 0.123 m, built-on-before: yes, rodents: {asked: 2026-03-02, called-for: yes, measures: [brindled cages]}, note: marshy}
valves: {BV1: {on: D1, where: bootroom, double: yes, closure: brass lever, standard: EN 13564-1, buildings: 3, notice: larder door, fitted: 2026-03-04, note: oiled}}
pumps: {PU1: {on: D1, where: scullery, inside: yes, holds: 777 l, heads: 4, bedrooms: 8, percent: 60, standard: \"EN 12050-1, EN 12056-4\", why: sunken court, alarm: klaxon, fitted: 2026-03-05, note: humming}}
";
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("job.yaml"), text).unwrap();
    let built = fallmark(folder.path(), &["build", "job.yaml", "--as", "md", "--date", "2026-07-02"]);
    assert_eq!(code(&built), 0, "{}", String::from_utf8_lossy(&built.stderr));
    let pack = std::fs::read_to_string(folder.path().join("out/K-inspection.md")).unwrap().replace('\u{a0}', " ");
    for words in [
        "What protects the house",
        "said-by: UW",
        "TBM - 0.123 m",
        "brindled cages",
        "marshy",
        "bootroom",
        "brass lever",
        "buildings: 3",
        "larder door",
        "oiled",
        "scullery",
        "777 l",
        "bedrooms: 8",
        "percent: 60",
        "sunken court",
        "klaxon",
        "humming",
        "WC1 drains through it",
        "360 l a day, 4 heads at 150 l, 60 % of it pumped",
        "What was there before",
        "teeming",
        "crazed",
        "intercepting trap brackish",
        "quarry corner",
        "0.11 m",
        "1.72 m",
        "topmost end, nether end",
        "pumice",
        "tidied",
    ] {
        assert!(pack.contains(words), "{words}");
    }
}

/// Words of the trade and every rule of this chapter are explained on the command line.
#[test]
fn the_words_of_this_chapter_are_explained() {
    let folder = tempfile::tempdir().unwrap();
    for word in [
        "anti-flooding valve",
        "backwater valve",
        "interceptor",
        "lifting station",
        "relief gully",
        "backdrop",
        "surcharge",
        "surcharge-protection",
        "pumped-drain",
        "old-drain-sealed",
    ] {
        assert_eq!(code(&fallmark(folder.path(), &["explain", word])), 0, "{word}");
    }
}
