//! The ledger of what is below ground is closed: each provision that was gathered stands in one line, and none waits.

use fallmark::rulebook::{LedgerEntry, State, prose};
use std::collections::BTreeMap;

/// The provisions for drains below ground that were gathered, family by family: numbered from 1, then those with a
/// letter of their own.
const GATHERED: &[(&str, u32, &[&str])] = &[
    ("OUT", 3, &[]),
    ("SUR", 8, &[]),
    ("ROD", 5, &[]),
    ("GRS", 1, &[]),
    ("LAY", 12, &["11b"]),
    ("VEN", 5, &[]),
    ("WAL", 4, &[]),
    ("FND", 6, &[]),
    ("UND", 4, &[]),
    // Numbers 8 and 9 have lines for each size of pipe.
    ("COV", 0, &["8a", "8b", "8c", "8d", "9a", "9b", "9c", "10", "11", "12", "13"]),
    ("PRO", 5, &[]),
    ("BED", 17, &[]),
    ("TRW", 3, &[]),
    ("TAP", 1, &[]),
    ("SIZ", 8, &[]),
    ("GRA", 5, &[]),
    ("VEL", 7, &[]),
    ("PUM", 8, &[]),
    ("ACC", 26, &[]),
    ("CH", 6, &[]),
    ("SP", 6, &[]),
    ("MH", 11, &[]),
    ("STD", 9, &[]),
    ("TST", 16, &[]),
    ("W", 7, &[]),
    ("CCTV", 4, &[]),
    ("HYD", 9, &[]),
    ("RCV", 8, &[]),
    ("JET", 2, &[]),
    ("REC", 12, &[]),
];

#[test]
fn every_provision_below_ground_stands_in_one_line_that_does_not_wait() {
    let prose = prose("england-2015").unwrap();
    let mut lines: BTreeMap<&str, Vec<&LedgerEntry>> = BTreeMap::new();
    for entry in prose.ledger() {
        for reference in &entry.references {
            lines.entry(reference).or_default().push(entry);
        }
    }
    let mut gathered = 0;
    for (family, last, lettered) in GATHERED {
        let numbers = (1..=*last).map(|n| n.to_string()).chain(lettered.iter().map(|l| (*l).to_owned()));
        for id in numbers.map(|n| format!("BG-{family}-{n}")) {
            gathered += 1;
            let [line] = lines.get(id.as_str()).map_or(&[][..], Vec::as_slice) else {
                panic!("{id} is not in one line")
            };
            assert!(line.state != State::NotYet, "{id} waits: {}", line.title);
        }
    }
    let known = lines.keys().filter(|id| id.starts_with("BG-")).count();
    assert_eq!(known, gathered, "a line names a provision that was not gathered");
}

#[test]
fn no_clause_of_section_2_waits_and_each_says_where_it_went() {
    let prose = prose("england-2015").unwrap();
    let own = prose.ledger().iter().filter(|entry| entry.part == "H1 section 2").collect::<Vec<_>>();
    assert!(own.len() > 50);
    for entry in own {
        match &entry.state {
            State::Checked(rule) => assert!(fallmark::rules::registry::rule(rule).is_some(), "{rule}"),
            State::Computed(what) | State::Recorded(what) | State::Outside(what) => {
                assert!(what.split_whitespace().count() >= 3, "{}: {what}", entry.clause);
            }
            State::NotYet => panic!("{}: {} waits", entry.clause, entry.title),
        }
    }
}
