//! Cautions: what calls for each and what does not, and where they are shown.

use crate::findings::SampleFiles;
use crate::network::SAMPLES;
use crate::network::sample;
use crate::pack::assembled;
use crate::pack::pdf_text;
use crate::pack::squeezed;
use crate::pack::without_tags;
use fallmark::base::citation::Seen;
use fallmark::pack;
use fallmark::readiness::cautions;
use fallmark::readiness::cautions::Called;
use fallmark::readiness::cautions::Reader;
use fallmark::render::Output;
use std::collections::BTreeSet;

/// What a record calls for.
fn called(text: &str) -> Vec<Called> {
    let reading = fallmark::record::read("job.yaml", text);
    assert!(reading.faults.is_empty(), "{text}\n{:?}", reading.faults);
    let rulebook = fallmark::rulebook::load("england-2015").unwrap();
    let job = fallmark::examine(&reading.record, &rulebook, &SampleFiles("mill-house"));
    cautions::called(&job.network, &job.computed, &job.findings)
}

fn ids(called: &[Called]) -> Vec<(&str, String)> {
    called.iter().map(|c| (c.caution.id, c.items.join(" "))).collect()
}

/// A drain of this work that nothing covers, 0.75 m deep by its least cover and 110 mm pipe, with 100 mm under it: 0.96 m.
const OPEN: &str = "pipes: {D1: {kind: drain, from: unknown, to: unknown, size: 110 mm, material: PVC-U, least-cover: 0.75 m, bed: {under: 100 mm}}}";
/// The same once its trench is filled.
const FILLED: &str = "pipes: {D1: {kind: drain, from: unknown, to: unknown, size: 110 mm, material: PVC-U, least-cover: 1.75 m, bed: {under: 100 mm}, foundations: {WA1: 0.30 m}, also-carries: 1 dwelling}}
elements: {WA1: {what: outside wall, between: [house, yard]}}
closings: [{what: backfill, date: 2026-02-02, hides: [D1]}]";
/// A hole that is to be made through a wall.
const WALL: &str = "elements: {WA1: {what: outside wall, between: [house, yard], build: brick}}
pipes: {B1: {from: WC1, to: unknown, size: 110 mm, material: PVC-U}}
appliances: {WC1: {in: house}}
penetrations: {P1: {pipe: B1, element: WA1, hole: 127 mm, stage: planned}}";
/// The same once it is made.
const MADE: &str = "elements: {WA1: {what: outside wall with a radon membrane, between: [house, yard], build: brick}, FL1: {what: floor, between: [house, loft]}}
pipes: {B1: {from: WC1, to: unknown, size: 110 mm, material: PVC-U, fitted: 2026-02-01}}
appliances: {WC1: {in: house}}
penetrations:
  P1: {pipe: B1, element: WA1, hole: 127 mm, fitted: 2026-02-01}
  P2: {pipe: B1, element: FL1, hole: 127 mm, above: {seal: lead slate}, fitted: 2026-02-01}";
/// A small hole through a floor.
const FLOOR: &str = "elements: {FL1: {what: floor, between: [house, loft]}}
pipes: {B1: {from: WB1, to: unknown, size: 40 mm, material: PVC-U}}
appliances: {WB1: {in: house}}
penetrations: {P1: {pipe: B1, element: FL1, hole: 50 mm}}";
/// An old clay drain that a new one joins in an old manhole.
const JOINED: &str = "access: {MH1: {what: manhole, stage: existing}, IC1: {what: inspection chamber}}
pipes:
  D1: {kind: drain, from: IC1, to: MH1, size: 110 mm, material: PVC-U}
  D2: {kind: drain, stage: existing, from: MH1, to: SEW, size: 6 in, material: clay, also-carries: 1 dwelling}
outfalls: {SEW: {what: public sewer, in: lane}}";
/// The same once the trench is filled.
const JOINED_FILLED: &str = "access: {MH1: {what: manhole, stage: existing}, IC1: {what: inspection chamber}}
pipes:
  D1: {kind: drain, from: IC1, to: MH1, size: 110 mm, material: PVC-U}
  D2: {kind: drain, stage: existing, from: MH1, to: SEW, size: 6 in, material: clay, also-carries: 1 dwelling, live: yes for years}
outfalls: {SEW: {what: watercourse, in: lane}}
closings: [{what: backfill, date: 2026-02-02, hides: [D1, D2]}]";
/// A drain with an anti-flooding valve.
const SHUT_VALVE: &str = "pipes: {D1: {kind: drain, from: unknown, to: unknown, size: 110 mm}}
valves: {BV1: {on: D1}}";
/// A stack with a plug, and a branch.
const STACK: &str = "pipes: {S1: {kind: stack, size: 110 mm, material: PVC-U, access: {RP1: 0.5 m above foot}}}";

/// Each caution with a record that calls for it, the ids that do, and a record that does not.
const TABLE: &[(&str, &str, &str, &str)] = &[
    ("buried-cable", "nearby: {N1: {what: electricity cable}}", "N1", "nearby: {N1: {what: water main}}"),
    ("buried-gas", "nearby: {N1: {what: gas service pipe}}", "N1", "nearby: {N1: {what: electricity cable}}"),
    ("buried-water", "nearby: {N1: {what: water supply pipe}}", "N1", "nearby: {N1: {what: gas pipe}}"),
    ("buried-other", "nearby: {N1: {what: oil line}}", "N1", "nearby: {N1: {what: electricity cable}}"),
    (
        "overhead-line",
        "nearby: {N1: {what: overhead electricity line}}",
        "N1",
        "nearby: {N1: {what: electricity cable}}",
    ),
    ("flue-near", "nearby: {N1: {what: boiler flue}}", "N1", "nearby: {N1: {what: gas pipe}}"),
    ("no-service-recorded", OPEN, "D1", FILLED),
    ("deep-trench", DEEP, "D1", OPEN),
    ("open-trench", OPEN, "D1", DEEP),
    ("undermined-wall", BESIDE, "D1", CLEAR),
    ("street-works", STREET, "D1", JOINED),
    ("confined-space", "access: {IC1: {what: inspection chamber}}", "IC1", "access: {GY1: {what: gully}}"),
    ("tank-gas", "outfalls: {O1: {what: septic tank}}", "O1", "outfalls: {O1: {what: public sewer}}"),
    ("heavy-cover", "access: {MH1: {what: manhole}}", "MH1", "access: {IC1: {what: inspection chamber}}"),
    ("live-drain", JOINED, "MH1", JOINED_FILLED),
    ("shared-drain", JOINED, "D2", JOINED_FILLED),
    ("public-sewer", JOINED, "SEW", JOINED_FILLED),
    ("rain-in-foul", RAIN, "X1", "temporary: {X1: {what: bung in D1}}"),
    ("old-clay", JOINED, "D2", JOINED_FILLED),
    ("fibre-pipe", FIBRE, "D1", JOINED),
    ("plug-on-blocked-drain", STACK, "RP1", OPEN),
    (
        "bung-left",
        "temporary: {X1: {what: bung in top of S1}}",
        "X1",
        "temporary: {X1: {what: rainwater pipe led into IC1}}",
    ),
    ("shut-valve", SHUT_VALVE, "BV1", OPEN),
    ("test-plug", WATER_TEST, "T1", AIR_TEST),
    ("asbestos-before-hole", WALL, "P1", NEW_HOUSE),
    ("hidden-services", FLOOR, "P1", MADE),
    ("dust", WALL, "P1", FLOOR),
    ("big-core", WALL, "P1", FLOOR),
    ("timber-cut", FLOOR, "P1", WALL),
    ("wall-opening", OPENING, "P1", WALL),
    ("fire-separation", FIRE, "P1", FLOOR),
    ("ground-gas-membrane", MEMBRANE, "P1", MADE),
    ("solvent-cement", "pipes: {B1: {from: unknown, to: unknown, size: 40 mm, joints: solvent}}", "B1", RINGS),
    (
        "metal-pipe",
        "pipes: {B1: {stage: removed, from: unknown, to: unknown, size: 100 mm, material: cast iron}}",
        "B1",
        RINGS,
    ),
    ("lead", LEAD, "P1", MADE),
    ("roof-work", "terminals: {VT1: {what: open pipe with cage, stage: planned}}", "VT1", VALVE),
    ("working-alone", ALONE, "AB", TWO),
];

/// 0.99 m of cover over 110 mm pipe on 100 mm of bed is 1.200 m, and a tape read to the centimetre may be 5 mm off.
const DEEP: &str = "pipes: {D1: {kind: drain, from: unknown, to: unknown, size: 110 mm, material: PVC-U, least-cover: 0.99 m, bed: {under: 100 mm}}}";
/// 0.96 m deep and 0.90 m off.
const BESIDE: &str = "pipes: {D1: {kind: drain, from: unknown, to: unknown, size: 110 mm, material: PVC-U, least-cover: 0.75 m, bed: {under: 100 mm}, foundations: {WA1: 0.90 m}}}
elements: {WA1: {what: outside wall, between: [house, yard]}}";
/// 0.96 m deep and 1.50 m off.
const CLEAR: &str = "pipes: {D1: {kind: drain, from: unknown, to: unknown, size: 110 mm, material: PVC-U, least-cover: 0.75 m, bed: {under: 100 mm}, foundations: {WA1: 1.50 m}}}
elements: {WA1: {what: outside wall, between: [house, yard]}}";
const STREET: &str = "pipes: {D1: {kind: drain, from: unknown, to: SEW, size: 110 mm, material: PVC-U}}
outfalls: {SEW: {what: public sewer, in: lane}}";
const RAIN: &str = "appliances: {WC1: {}}
access: {IC1: {what: inspection chamber}}
pipes:
  D1: {kind: drain, from: WC1, to: IC1, size: 110 mm}
  D2: {kind: drain, from: IC1, to: SEW, size: 110 mm}
outfalls: {SEW: {what: public sewer, carries: foul}}
temporary: {X1: {what: downpipe, carries: rain, into: IC1}}";
const FIBRE: &str =
    "pipes: {D1: {kind: drain, stage: existing, from: unknown, to: unknown, size: 100 mm, material: pitch fibre}}";
const WATER_TEST: &str =
    "pipes: {D1: {kind: drain, from: unknown, to: unknown, size: 110 mm, material: PVC-U, bed: {under: 100 mm}}}
tests: {T1: {what: drain water, covers: [D1], readings: {\"10:00\": 1500 mm, \"10:30\": 1498 mm}}}";
const AIR_TEST: &str =
    "pipes: {D1: {kind: drain, from: unknown, to: unknown, size: 110 mm, material: PVC-U, bed: {under: 100 mm}}}
tests: {T1: {what: drain air, covers: [D1], readings: {\"10:00\": 100 mm, \"10:07\": 98 mm}}}";
const NEW_HOUSE: &str = "elements: {WA1: {what: outside wall, between: [house, yard], build: brick}}
pipes: {B1: {from: WC1, to: unknown, size: 110 mm, material: PVC-U}}
appliances: {WC1: {in: house}}
penetrations: {P1: {pipe: B1, element: WA1, hole: 127 mm}}
#BUILT 2004";
const OPENING: &str = "elements: {WA1: {what: outside wall, between: [house, yard], build: brick}}
pipes: {D1: {kind: drain, from: unknown, to: unknown, size: 110 mm, material: PVC-U}}
penetrations: {P1: {pipe: D1, element: WA1, opening: 230 x 230 mm}}";
const FIRE: &str = "elements: {FL1: {what: floor, between: [flat 1, flat 2], fire: EI 60}}
pipes: {B1: {from: unknown, to: unknown, size: 110 mm, material: PVC-U}}
penetrations: {P1: {pipe: B1, element: FL1, hole: 127 mm, fitted: 2026-02-01}}
closings: [{what: ceiling, date: 2026-02-02, hides: [P1 below]}]";
const MEMBRANE: &str =
    "elements: {FL1: {what: ground slab, between: [house, ground], build: concrete on a radon membrane}}
pipes: {B1: {from: unknown, to: unknown, size: 110 mm, material: PVC-U}}
penetrations: {P1: {pipe: B1, element: FL1, hole: 127 mm}}";
const RINGS: &str = "pipes: {B1: {from: unknown, to: unknown, size: 40 mm, joints: ring-seal, material: PVC-U}}";
const LEAD: &str = "elements: {RF1: {what: roof, between: [loft, outside]}}
pipes: {B1: {from: unknown, to: unknown, size: 110 mm, material: PVC-U}}
penetrations: {P1: {pipe: B1, element: RF1, hole: 127 mm, above: {seal: lead slate}, stage: planned}}";
const VALVE: &str = "terminals: {AV1: {what: air admittance valve}, VT1: {what: open pipe, fitted: 2026-02-01}}";
const ALONE: &str = "people: {AB: {role: installer}, BC: {role: building control surveyor}, CL: {role: client}}
pipes: {D1: {kind: drain, from: unknown, to: unknown, size: 110 mm, bed: {under: 100 mm}}}";
const TWO: &str = "people: {AB: {role: installer}, MK: {role: mate}}
pipes: {D1: {kind: drain, from: unknown, to: unknown, size: 110 mm, bed: {under: 100 mm}}}";

fn whole(body: &str) -> String {
    let built = body.split_once("#BUILT ").map_or(String::new(), |(_, year)| format!(", built: {year}"));
    format!("record: 1\njob: {{id: T, title: one fact{built}}}\n{body}\n")
}

#[test]
fn each_caution_is_called_for_by_its_fact_and_by_no_other() {
    let all: Vec<&str> = cautions::catalogue().map(|c| c.id).collect();
    let mut told: BTreeSet<&str> = BTreeSet::new();
    for (id, yes, items, no) in TABLE {
        let found = called(&whole(yes));
        let one = ids(&found).into_iter().find(|(name, _)| name == id);
        assert_eq!(one, Some((*id, (*items).to_owned())), "{yes}\n{:?}", ids(&found));
        let found = called(&whole(no));
        assert!(found.iter().all(|c| c.caution.id != *id), "{id} is called for by\n{no}\n{:?}", ids(&found));
        assert!(told.insert(id), "{id} twice");
    }
    assert_eq!(told, all.into_iter().collect());
}

#[test]
fn a_record_without_such_facts_calls_for_none() {
    assert_eq!(called(&whole("")), []);
    assert_eq!(called(&whole("appliances: {WC1: {}}")), []);
}

#[test]
fn every_caution_has_words_deference_and_source() {
    let text = include_str!("../../src/readiness/cautions.txt");
    let lines = text.lines().filter(|line| !line.trim().is_empty() && !line.starts_with('#')).count();
    let all: Vec<cautions::Caution> = cautions::catalogue().collect();
    assert_eq!(all.len(), lines, "a line of the catalogue is passed over");
    let triggers: BTreeSet<&str> = all.iter().map(|c| c.trigger.words()).collect();
    assert_eq!(triggers.len(), cautions::Trigger::WORDS.len(), "every trigger has its caution");
    let prose = fallmark::rulebook::prose("england-2015").unwrap();
    for c in &all {
        let stops = c.words.matches(['.', ';']).count();
        assert!(c.words.len() > 60 && c.words.len() < 300 && (1..=3).contains(&stops), "{}: {}", c.id, c.words);
        assert!(c.words.ends_with('.') && c.leave_to.len() > 5 && c.source.len() > 5, "{}", c.id);
        assert!(["ground", "drains", "building", "joints", "height"].contains(&c.section), "{}", c.id);
        // What nobody publishes names no publisher, and the other way round.
        assert!(c.source != "common practice" || c.seen == Seen::CommonPractice, "{}", c.id);
        assert!(prose.explain(c.id).is_none(), "{} is a rule or a word too", c.id);
    }
}

#[test]
fn what_was_changed_after_it_was_covered_is_open_again() {
    let covered = |changed: &str| {
        let drain =
            format!("{{kind: drain, from: unknown, to: unknown, size: 110 mm, bed: {{under: 100 mm}}{changed}}}");
        let closing = "closings: [{what: backfill, date: 2026-02-27, hides: [D1]}]";
        called(&whole(&format!("pipes: {{D1: {drain}}}\n{closing}"))).is_empty()
    };
    assert!(covered("") && covered(", changed: 2026-02-26"));
    assert!(!covered(", changed: 2026-03-02"));
}

/// Read off the record by hand.
#[test]
fn the_mill_house_calls_for_these() {
    let found = called(&sample("mill-house"));
    let expected = [
        ("buried-cable", "N1"),
        ("confined-space", "IC1 MH0"),
        ("heavy-cover", "MH0"),
        ("live-drain", "OLD1"),
        ("public-sewer", "SEW"),
        ("rain-in-foul", "X2"),
        ("old-clay", "OLD1"),
        ("plug-on-blocked-drain", "RP1"),
        ("bung-left", "X1"),
        ("asbestos-before-hole", "V1 CE1 RF1"),
        ("hidden-services", "V1 CE1 RF1"),
        ("timber-cut", "V1 CE1 RF1"),
        ("fire-separation", "P1"),
        ("solvent-cement", "B2 B3"),
        ("roof-work", "VT1"),
    ];
    assert_eq!(ids(&found), expected.map(|(id, items)| (id, items.to_owned())).to_vec());
}

/// The words of a page that are a caution's, page by page.
fn on_pages(pdf: &[u8], all: &[&Called]) -> Vec<usize> {
    let text = pdf_text(pdf);
    text.split('\u{c}')
        .map(|page| all.iter().filter(|c| squeezed(page).contains(&squeezed(c.caution.words))).count())
        .collect()
}

#[test]
fn both_packs_show_their_cautions_four_to_a_page_at_most() {
    for name in SAMPLES {
        let text = sample(name);
        let all = called(&text);
        for reader in [Reader::Work, Reader::Owner] {
            let of = |output| match reader {
                Reader::Owner => assembled(name, &text, pack::handover, output),
                Reader::Work | Reader::Both => assembled(name, &text, pack::inspection, output),
            };
            let mine: Vec<&Called> = all.iter().filter(|c| c.caution.reader.reaches(reader)).collect();
            assert!(mine.len() > 2, "{name}: {}", mine.len());
            let pdf = of(Output::Pdf);
            let pages = on_pages(&pdf, &mine);
            assert!(pages.iter().all(|count| *count <= 4), "{name}: {pages:?}");
            assert_eq!((pages[0], pages.iter().sum()), (0, mine.len()), "{name}: {pages:?}");
            let html = squeezed(&without_tags(&String::from_utf8(of(Output::Html)).unwrap()));
            let markdown = squeezed(&String::from_utf8(of(Output::Markdown)).unwrap());
            for c in &all {
                let words = squeezed(c.caution.words);
                let to = squeezed(&format!("Leave to: {}", c.caution.leave_to));
                for shown in [&html, &markdown] {
                    let is_mine = c.caution.reader.reaches(reader);
                    assert_eq!(shown.contains(&words), is_mine, "{name}: {}", c.caution.id);
                    assert!(!is_mine || shown.contains(&to), "{name}: {}", c.caution.id);
                }
                assert!(
                    !c.caution.reader.reaches(reader) || html.contains(&squeezed(&c.items.join(" "))),
                    "{name}: {}",
                    c.caution.id
                );
            }
        }
    }
}
