//! The schema of rulebooks: an invented one in another language, overlays, and what does not load.

#![allow(clippy::unwrap_used, reason = "a helper of a test fails with its test")]

use fallmark::base::size::Nominal;
use fallmark::base::units::Length;
use fallmark::rulebook::{Fact, Facts, Key, Units, assemble, load, parse_document};

use crate::rulebook::{ENGLAND, england_with, limits, says, toy, um};

// The schema is not English

#[test]
fn the_toy_rulebook_answers_in_its_own_words() {
    let book = toy();
    let ask = |path: &str, facts: Facts| says(&book.ask_path(path, &facts));
    let units = |n: i64| Facts::new().with(Fact::UnitSum, Units::from_thousandths(n));
    assert_eq!(ask("tubo.grandeco", units(1000)), "32 mm");
    assert_eq!(ask("tubo.grandeco", units(1001)), "50 mm");
    assert_eq!(ask("tubo.grandeco", units(160_000)), "100 mm");
    assert_eq!(ask("tubo.grandeco", units(160_001)), "needs approval");
    let size = |n: u16| Facts::new().with(Fact::Size, Nominal(n));
    assert_eq!(ask("tubo.ŝarĝo", size(50)), "6 units");
    assert_eq!(ask("tubo.ŝarĝo", size(75)), "needs approval");
    assert_eq!(ask("tubo.ŝarĝo", size(40)), "not permitted");
    let lavujo = Facts::new().with(Fact::Appliance, "lavujo");
    assert_eq!(ask("tubo.sifono.profundo", lavujo.clone()), "76.2 mm", "the longer beginning wins");
    assert_eq!(ask("tubo.sifono.profundo", lavujo.with(Fact::SprayTaps, true)), "50.8 mm");
    let line = |length: Length| ask("deklivo.minimuma", Facts::new().with(Fact::BranchLength, length));
    assert_eq!(line(um(914_400)), "1 in 96");
    assert_eq!(line(um(1_828_800)), "15.626 mm/m", "half way, on the safe side");
    assert_eq!(line(um(2_743_200)), "1 in 48");
    assert_eq!(line(um(914_399)), "silent");
}

#[test]
fn conditions_are_three_valued() {
    let book = toy();
    let ask = |facts: &Facts| says(&book.ask_path("ŝakto.distanco", facts));
    let well = Facts::new().with(Fact::FromKind, "puto");
    assert_eq!(ask(&well), "unknown: appliance, into-gully, storeys");
    let low = well.clone().with(Fact::Storeys, 3_u32);
    assert_eq!(ask(&low), "unknown: appliance, into-gully");
    assert_eq!(ask(&low.clone().with(Fact::Appliance, "necesejo")), "not permitted", "one is enough to deny it");
    let bath = low.with(Fact::Appliance, "bano");
    assert_eq!(ask(&bath), "unknown: into-gully");
    assert_eq!(ask(&bath.clone().with(Fact::IntoGully, false)), "24.384 m");
    assert_eq!(ask(&well.with(Fact::Storeys, 4_u32)), "adopter fills", "nothing else matters then");
    let lines = book.clauses(Key::new("elirejo"), &Facts::new().with(Fact::Storeys, 2_u32));
    assert_eq!(lines.iter().map(|l| says(&l.answer)).collect::<Vec<_>>(), ["krado or reto", "152.4 mm"]);
}

#[test]
fn a_rulebook_gives_each_beginning_to_one_document() {
    let texts = [
        ("normo", include_str!("../rulebooks/toy/normo.limits.yaml")),
        ("urbo", include_str!("../rulebooks/toy/urbo.limits.yaml")),
    ];
    let book = include_str!("../rulebooks/toy/rulebook.yaml");
    let twice = assemble(&book.replace("tubo.sifono", "tubo"), &texts).unwrap_err();
    assert!(twice.to_string().contains("`tubo` twice"), "{twice}");
    let torn = assemble(&book.replace("tubo.sifono", "tubo.sifono, elirejo.alto"), &texts).unwrap_err();
    assert!(torn.to_string().contains("elirejo.alto"), "{torn}");
}

// Overlays

#[test]
fn an_overlay_changes_single_cells_and_marks_the_looser_ones() {
    let mut book = toy();
    let before = book.digest();
    book.with_overlay(include_str!("../rulebooks/toy/domo.overlay.yaml"), "domo.overlay.yaml").unwrap();
    assert_ne!(book.digest(), before);
    let looser: Vec<bool> = book.overlays()[0].changes.iter().map(|change| change.looser).collect();
    assert_eq!(looser, [true, false, false]);
    let relaxed = book.relaxed();
    assert_eq!((relaxed.len(), relaxed[0].0), (1, "Firmao ĉe la haveno"));
    let limit = book.ask(Key::<Length>::new("tubo.sifono.profundo"), &Facts::new().with(Fact::Appliance, "bano"));
    let limit = limit.limit().unwrap();
    assert_eq!((limit.value, limit.relaxed_by.as_deref()), (um(63_500), Some("Firmao ĉe la haveno")));
    assert_eq!(limit.citation.short(), "Firmao ĉe la haveno letero 12, in place of Urba ordono III");
    let tall = Facts::new().with(Fact::FromKind, "puto").with(Fact::Storeys, 5_u32);
    assert_eq!(says(&book.ask_path("ŝakto.distanco", &tall)), "18.288 m");
}

#[test]
fn an_overlay_may_not_make_the_unsaid_the_easier_way() {
    let text = "overlay: O\nchanges:\n- {key: trap.seal.minimum, cell: appliance=basin|bidet, was: 75 mm, is: 40 mm, \
                asked-by: n, date: 2026-01-10, evidence: e}\n";
    let mut book = load("england-2015").unwrap();
    let error = book.with_overlay(text, "o").unwrap_err();
    assert!(error.wants.contains("looser"), "{error}");
    book.with_overlay(&text.replace("40 mm", "60 mm"), "o").unwrap();
    assert_eq!(book.relaxed().len(), 1);
}

#[test]
fn an_overlay_with_a_fault_changes_nothing() {
    let good = include_str!("../rulebooks/toy/domo.overlay.yaml");
    for (from, to, line, told) in [
        ("was: 3 in", "was: 4 in", 4, "76.2\u{a0}mm"),
        ("cell: size=100 mm", "cell: size=110 mm", 5, "size=100 mm"),
        ("asked-by: la urbo, ", "", 6, "asked-by"),
        ("evidence: decido 4", "evidence: \"\"", 6, "a text"),
        ("date: 2026-01-11", "date: last week", 6, "2026-01-31"),
        ("key: tubo.ŝarĝo", "key: tubo.sarĝo", 5, "tubo.ŝarĝo"),
        ("is: 120 units", "is: 120", 5, "units"),
    ] {
        let mut book = toy();
        let before = book.digest();
        let error = book.with_overlay(&good.replace(from, to), "domo").unwrap_err();
        assert_eq!(error.line, line, "{error}");
        assert!(error.to_string().contains(told), "{error}");
        assert_eq!((book.digest(), book.overlays().len()), (before, 0));
    }
}

// What does not load

const HEAD: &str = "document: T\ntitle: T\nedition: e\nstanding: law\nentries:\n";

fn refused(entry: &str) -> (usize, String) {
    let error = parse_document("t", &format!("{HEAD}{entry}")).unwrap_err();
    (error.line, error.to_string())
}

#[test]
fn a_good_entry_loads() {
    let text = "- {key: a.b, clause: {at: '1', seen: read}, gives: length, compare: at-least, is: 5 mm, seen: read}\n";
    parse_document("t", &format!("{HEAD}{text}")).unwrap();
}

#[test]
fn every_fault_names_its_line_and_what_would_do() {
    let entry = |rest: &str| {
        format!("- key: a\n  clause: {{at: '1', seen: read}}\n  gives: length\n  compare: at-least\n{rest}")
    };
    let table = |rows: &str| {
        entry(&format!(
            "  seen: read\n  table:\n    axes: [{{fact: size, kind: label}}]\n    rows:\n{rows}    otherwise: silent\n"
        ))
    };
    for (text, line, told) in [
        ("- {key: a, gives: length, compare: at-least, is: 5 mm, seen: read}\n".to_owned(), 6, "citation"),
        (
            "- {key: a, clause: {at: '1'}, gives: length, compare: at-least, is: 5 mm, seen: read}\n".to_owned(),
            6,
            "seen",
        ),
        (entry("  is: 5 mm\n"), 6, "without how it was seen"),
        (entry("  is: 5 mm\n  seen: rumour\n"), 11, "common practice"),
        (entry("  is: 5\n  seen: read\n"), 10, "75 mm"),
        (entry("  is: 5 mm\n  seen: read\n  colour: red\n"), 12, "instead-of"),
        (entry("  seen: read\n"), 6, "exactly one of them"),
        (entry("  is: 5 mm\n  seen: read\n  when: {fact: weather, is: wet}\n  otherwise: silent\n"), 12, "wc-count"),
        (
            entry("  is: 5 mm\n  seen: read\n  when: {fact: storeys, at-least: [1, 2]}\n  otherwise: silent\n"),
            12,
            "one number",
        ),
        (entry("  is: 5 mm\n  seen: read\n  when: {fact: storeys}\n  otherwise: silent\n"), 12, "at-most"),
        (
            entry(
                "  is: 5 mm\n  seen: read\n  when: {all: [{fact: storeys, is: '1'}, {fact: storeys, is: '2'}]}\n  otherwise: silent\n",
            ),
            6,
            "never answer",
        ),
        (entry("  is: 5 mm\n  seen: read\n  when: {fact: storeys, is: '1'}\n"), 6, "otherwise"),
        (table("    - {size: 75 mm, is: 1 mm}\n    - {size: 3 in, is: 2 mm}\n"), 15, "overlaps"),
        (
            entry(
                "  seen: read\n  table:\n    across: {fact: size, labels: [75 mm, 100 mm]}\n    rows:\n    - {is: [1 mm]}\n    otherwise: silent\n",
            ),
            14,
            "a value for each label",
        ),
        (table("    - {is: 1 mm}\n    - {size: 3 in, is: 2 mm}\n"), 15, "overlaps"),
        (table("    - {size: 90 mm, is: 1 mm}\n"), 14, "size"),
        (
            table(
                "    - {size: 75 mm, is: 5 mm}\n    - {size: 75 mm, when: {fact: storeys, is: '1'}, is: 6 mm, eases: 'yes'}\n",
            ),
            15,
            "looser",
        ),
        (table("    - {size: 75 mm, is: 5 mm}\n    - {size: 50 mm, is: 4 mm, eases: 'yes'}\n"), 15, "exactly one"),
        (
            entry(
                "  seen: read\n  curve: {fact: storeys, points: [{at: 2, is: 1 mm}, {at: 1, is: 2 mm}], between: linear, below: hold, beyond: silent}\n",
            ),
            11,
            "rise",
        ),
        (
            "- {key: a, clause: {at: '1', seen: read}, gives: yes-no, compare: at-least, is: 'yes', seen: read}\n"
                .to_owned(),
            6,
            "one-of",
        ),
        (
            format!(
                "{0}{0}",
                "- {key: a, clause: {at: '1', seen: read}, gives: length, compare: at-most, is: 5 mm, seen: read}\n"
            ),
            7,
            "second time",
        ),
    ] {
        let (at, message) = refused(&text);
        assert!(message.contains(told), "{text}\n{message}");
        assert_eq!(at, line, "{text}\n{message}");
    }
}

#[test]
fn cells_that_only_seem_to_overlap_load() {
    let text = "- key: a\n  clause: {at: '1', seen: read}\n  gives: length\n  compare: at-least\n  seen: read\n  table:\n    rows:\n    \
                - {when: {fact: storeys, at-most: 3}, is: 1 mm}\n    \
                - {when: {all: [{fact: storeys, above: 3}, {fact: spray-taps, is: 'yes'}]}, is: 2 mm}\n    \
                - {when: {all: [{fact: storeys, above: 3}, {not: {fact: spray-taps, is: 'yes'}}]}, is: 3 mm}\n    otherwise: silent\n";
    parse_document("t", &format!("{HEAD}{text}")).unwrap();
}

#[test]
fn hostile_texts_are_refused_and_do_not_panic() {
    let bomb = "a: &a [x, x]\nb: &b [*a, *a]\nc: [*b, *b]\n";
    let deep = "[".repeat(100_000);
    let any = format!(
        "- key: a\n  clause: {{at: '1', seen: read}}\n  gives: length\n  compare: at-least\n  is: 1 mm\n  seen: read\n  otherwise: silent\n  when: {{all: [{}]}}\n",
        ["{any: [{fact: storeys, is: '1'}, {fact: wc-count, is: '1'}, {fact: appliance-count, is: '1'}]}"; 12]
            .join(", ")
    );
    for text in [bomb, deep.as_str(), "", "- 1", "\u{0}", "document: [", &format!("{HEAD}{any}")] {
        assert!(parse_document("t", text).is_err(), "{text:.60}");
    }
}

#[test]
fn a_key_of_the_program_that_gives_another_kind_is_refused() {
    let wrong = limits("ad-h-2015")
        .replace("gives: gradient-window\n  compare: within", "gives: gradient\n  compare: at-least");
    let wrong = wrong.replace(" to 44 mm/m", " mm/m").replace(" to 90 mm/m", " mm/m");
    let error = england_with(&wrong).unwrap_err();
    assert!(error.to_string().contains("branch.slope.window"), "{error}");
    let error = assemble(ENGLAND, &[("custom", limits("custom"))]).unwrap_err();
    assert!(error.to_string().contains("ad-h-2015"), "{error}");
}
