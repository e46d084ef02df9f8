//! Every cell of the table of spacings held at its figure, a micrometre below and a micrometre above, and what is
//! proposed where a run does not do.

use fallmark::base::files::FileError;
use fallmark::base::files::Files;
use fallmark::base::files::Reader;
use fallmark::base::finding::Finding;
use fallmark::base::finding::Verdict;
use fallmark::base::units::Length;
use fallmark::rulebook::Answer;
use fallmark::rulebook::Fact;
use fallmark::rulebook::Facts;
use fallmark::rulebook::key;

/// Upper ends: the word of the table, and how a record has it.
const FROM: [(&str, &str); 6] = [
    ("start of drain", ""),
    ("rodding eye", "what: rodding eye"),
    ("access fitting small", "what: small access fitting"),
    ("access fitting large", "what: large access fitting"),
    ("inspection chamber shallow", "what: inspection chamber, cover: TBM + 1.000 m, il-out: TBM"),
    ("manhole or deep chamber", "what: inspection chamber, cover: TBM + 1.500 m, il-out: TBM"),
];

/// Lower ends.
const TO: [(&str, &str); 4] = [
    ("access fitting small", "what: small access fitting"),
    ("access fitting large", "what: large access fitting"),
    ("inspection chamber shallow", "what: inspection chamber, cover: TBM + 1.000 m, il-out: TBM"),
    ("manhole or deep chamber", "what: manhole"),
];

/// Metres by row and column, as a maker's page restates Table 13; nothing for a dash. The junction stands apart.
const METRES: [[Option<i64>; 4]; 6] = [
    [Some(12), Some(12), Some(22), Some(45)],
    [Some(22), Some(22), Some(45), Some(45)],
    [None, None, Some(22), Some(22)],
    [None, None, Some(45), Some(45)],
    [Some(22), Some(45), Some(45), Some(45)],
    [None, None, Some(45), Some(90)],
];

/// The column for a junction.
const JUNCTION: [Option<i64>; 6] = [None, Some(22), Some(12), Some(22), Some(22), None];

struct Nothing;

impl Files for Nothing {
    fn open(&self, name: &str) -> Result<Reader, FileError> {
        Err(FileError::Missing(name.to_owned()))
    }

    fn size(&self, name: &str) -> Result<u64, FileError> {
        Err(FileError::Missing(name.to_owned()))
    }
}

fn found(text: &str, rule: &str, item: &str) -> Option<Finding> {
    let reading = fallmark::record::read("job.yaml", text);
    assert!(reading.faults.is_empty(), "{text}\n{:#?}", reading.faults);
    let rulebook = fallmark::rulebook::load("england-2015").unwrap();
    let all = fallmark::examine(&reading.record, &rulebook, &Nothing).findings;
    all.into_iter().find(|f| f.rule.0 == rule && f.item == item)
}

/// A drain of so many millimetres from one end to another.
fn run(from: &str, to: &str, mm: i64) -> String {
    let upper = if from.is_empty() { "WC1" } else { "A1" };
    let first = if from.is_empty() { String::new() } else { format!("A1: {{{from}}}, ") };
    format!(
        "record: 1\njob: {{id: T, title: run}}\nlevels: {{TBM: 100.000 m}}\nappliances: {{WC1: {{}}}}\n\
         pipes:\n  D1: {{kind: drain, from: {upper}, to: A2, size: 110 mm, length: {mm} mm}}\naccess: {{{first}A2: {{{to}}}}}\n"
    )
}

#[test]
fn every_cell_of_the_table_turns_at_its_figure() {
    let rulebook = fallmark::rulebook::load("england-2015").unwrap();
    let ask = |from: &'static str, to: &'static str| {
        rulebook.ask(key::ACCESS_SPACING_MAXIMUM, &Facts::new().with(Fact::FromKind, from).with(Fact::ToKind, to))
    };
    let turns = |answer: Answer<Length>, metres: Option<i64>, cell: &str| match (answer, metres) {
        (Answer::Is(limit), Some(m)) => {
            let met = |by: i64| limit.met_by(&Length::from_um(m * 1_000_000 + by));
            assert_eq!((met(-1), met(0), met(1)), (true, true, false), "{cell}");
        }
        (Answer::NotPermitted(_), None) => {}
        (other, _) => panic!("{cell}: {other:?}"),
    };
    for ((from, _), (row, junction)) in FROM.iter().zip(METRES.iter().zip(JUNCTION)) {
        for ((to, _), metres) in TO.iter().zip(row) {
            turns(ask(from, to), *metres, &format!("{from} to {to}"));
        }
        turns(ask(from, "junction"), junction, &format!("{from} to a junction"));
    }
}

#[test]
fn every_cell_is_reached_from_a_record() {
    for ((from, upper), row) in FROM.iter().zip(METRES) {
        for ((to, lower), metres) in TO.iter().zip(row) {
            let verdict = |mm: i64| found(&run(upper, lower, mm), "access-spacing", "D1").unwrap();
            let cell = format!("{from} to {to}");
            match metres {
                Some(m) => {
                    let (below, above) = (verdict(m * 1000 - 1), verdict(m * 1000 + 1));
                    assert_eq!((below.verdict, above.verdict), (Verdict::Met, Verdict::NotMet), "{cell}");
                    assert_eq!(below.limit.replace('\u{a0}', " "), format!("{m} m"), "{cell}");
                }
                None => assert_eq!(verdict(1000).limit, "not permitted", "{cell}"),
            }
        }
    }
}

#[test]
fn the_column_for_junctions_is_reached_from_a_record() {
    for ((from, upper), metres) in FROM.iter().zip(JUNCTION).skip(1) {
        // The branch joins a main that lies between two chambers close by, so that the run to the next one does.
        let text = |mm: i64| {
            format!(
                "record: 1\njob: {{id: T, title: run}}\nlevels: {{TBM: 100.000 m}}\npipes:\n  D1: {{kind: drain, from: C1, to: C2, \
                 size: 110 mm, length: 2.00 m}}\n  D2: {{kind: drain, from: A1, to: D1, at: 1.00 m down from C1, entry: swept, \
                 size: 110 mm, length: {mm} mm}}\naccess: {{A1: {{{upper}}}, C1: {{what: manhole}}, C2: {{what: manhole}}}}\n"
            )
        };
        let verdict = |mm: i64| {
            let found = found(&text(mm), "access-at-junction", "D2").unwrap();
            (found.verdict, found.limit.replace('\u{a0}', " "))
        };
        match metres {
            Some(m) => {
                let limit = format!("{m} m");
                assert_eq!(verdict(m * 1000 - 1).0, Verdict::Met, "{from}");
                assert_eq!(verdict(m * 1000 + 1), (Verdict::NotMet, limit), "{from}");
            }
            None => assert_eq!(verdict(30_000).0, Verdict::Met, "{from}: a dash leaves it to the next access point"),
        }
    }
}

#[test]
fn what_is_proposed_would_do() {
    let of = |from: &str, to: &str, mm: i64| {
        let found = found(&run(from, to, mm), "access-spacing", "D1").unwrap();
        assert_eq!(found.verdict, Verdict::NotMet);
        let remedy = found.remedy.unwrap();
        assert_eq!(remedy.field.as_deref(), Some("access"));
        remedy.text.replace('\u{a0}', " ")
    };
    let (small, shallow) = ("what: small access fitting", TO[2].1);
    // A small fitting may be followed by a chamber of any depth for 22 m, and by no fitting.
    assert_eq!(of(small, small, 4000), "an inspection chamber in place of A2");
    // From the start 22 m to a shallow chamber; 45 m from there to the one below: 60 - 45 = 15.
    assert_eq!(of("", shallow, 60_000), "an inspection chamber, 15.00 to 22.00 m down from WC1");
    // 22 + 45 = 67 leaves 53 m, for which one further chamber does not do: 45 and 8.
    assert_eq!(
        of("", shallow, 120_000),
        "3 inspection chambers on the way, the first no more than 22.00 m down from WC1"
    );
    // The proposal is laid and looked at again.
    let laid = run("", shallow, 15_000)
        .replace("to: A2", "to: A3")
        .replace("access: {", "access: {A3: {what: inspection chamber}, ");
    assert_eq!(found(&laid, "access-spacing", "D1").unwrap().verdict, Verdict::Met);
}

#[test]
fn what_rods_do_not_reach_is_told_with_what_would_bring_it_in() {
    let text = |access: &str, pipes: &str| {
        format!(
            "record: 1\njob: {{id: T, title: rods}}\nappliances: {{WC1: {{}}}}\npipes:\n{pipes}access: {{{access}}}\n"
        )
    };
    let told = |text: &str, item: &str| {
        let found = found(text, "rod-reach", item).unwrap();
        (found.text.replace('\u{a0}', " "), found.remedy.map_or(String::new(), |r| r.text.replace('\u{a0}', " ")))
    };
    // Rods from IC1 come 45 m up: 60 - 45 = 15 m are left at the upper end. An eye there brings in all of them.
    let long = text("IC1: {what: manhole}", "  D1: {kind: drain, from: WC1, to: IC1, size: 110 mm, length: 60.00 m}\n");
    assert_eq!(
        told(&long, "D1"),
        (
            "rods do not come into 0.00 to 15.00 m down from WC1".to_owned(),
            "a rodding eye at its head, WC1, which brings 15.00 m of it within reach".to_owned()
        )
    );
    // Between two chambers 100 m apart 45 m are reached from either: 45 to 55 is left, and one in the middle does.
    let between = text(
        "IC1: {what: manhole}, IC2: {what: manhole}",
        "  D1: {kind: drain, from: IC1, to: IC2, size: 110 mm, length: 100.00 m}\n",
    );
    assert_eq!(
        told(&between, "D1"),
        (
            "rods do not come into 45.00 to 55.00 m down from IC1".to_owned(),
            "an inspection chamber 50.00 m down from IC1, which brings 10.00 m of it within reach".to_owned()
        )
    );
    // An eye on the branch goes on down the main: 2 m of D2, 10 m less 4 of D1. Nobody else opens D1.
    let other = text(
        "GY9: {what: gully}",
        "  D1: {kind: drain, from: GY9, to: unknown, size: 110 mm, length: 10.00 m}\n  D2: {kind: drain, from: WC1, to: D1, at: 4.00 m down from GY9, entry: swept, size: 110 mm, length: 2.00 m}\n",
    );
    let (_, remedy) = told(&other, "D2");
    assert_eq!(
        remedy,
        "a rodding eye at its head, WC1, which brings 2.00 m of it and 6.00 m of other drains within reach"
    );
}
