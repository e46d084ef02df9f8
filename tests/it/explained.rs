//! What `fallmark explain` tells of limits: each value, how it was seen, and what other texts say in place of it.

use crate::cli::fallmark;
use crate::cli::out;
use fallmark::rules::registry::RULES;

/// On one line, for a text is broken where its width ends.
fn folded(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn explained(word: &str) -> String {
    folded(&out(&fallmark(std::path::Path::new("."), &["explain", word])))
}

#[test]
fn the_test_of_tightness_names_its_minutes_and_those_of_two_other_texts() {
    let told = explained("drain-tightness");
    for words in [
        "(drain.air-test.minutes.minimum) at least 7: AD H 2.61, 2015 edition, recalled.",
        "Elsewhere: 5 minutes, 75 mm left of 100 mm, older British practice (read). Not taken: the guidance governs",
        "Elsewhere: 5 minutes up to 200 mm and 7 at 300, BS EN 1610, method LA (read). Not taken:",
        "at most 0.15 l/m²: pipes",
    ] {
        assert!(told.contains(words), "{words}\n{told}");
    }
}

#[test]
fn a_rulebook_that_says_otherwise_is_told_apart() {
    let told = explained("stack-size");
    assert!(told.contains("By england-2015:") && told.contains("By en-12056-system-3:"), "{told}");
    assert!(!explained("drain-tightness").contains("By england-2015:"));
}

/// Where sources conflict, the rulebook carries one value; the other stands in what is explained.
#[test]
fn every_conflict_between_sources_tells_its_other_value() {
    let conflicts = [
        ("drain-tightness", "5 minutes up to 200 mm and 7 at 300"),
        ("drain-tightness", "0.05 litre a metre of 100 mm pipe"),
        ("drain-tightness", "1.5 m, an older British standard"),
        ("drain-tightness", "two hours, an older British standard"),
        ("access-spacing", "none, none, 45 m, 45 m, 90 m, Irish TGD H"),
        ("access-spacing", "a chamber down to 1.0 m, a manhole below it"),
        ("chamber-channel-and-benching", "step irons deeper than 1.2 m"),
        ("chamber-channel-and-benching", "10 per cent, a generic specification of drainage"),
        ("chamber-channel-and-benching", "1 in 6, on a sketch, a building construction handbook"),
        ("cover-over-drain", "1.5 m under a light road"),
        ("drain-size", "100 mm up to 20 dwellings"),
        ("drain-self-cleansing", "0.75 m/s at a third of the design flow"),
        ("drain-self-cleansing", "0.8 m/s, a building construction handbook"),
        ("access-spacing", "22 m for 100 mm and 45 m for 150 mm drains"),
        ("drain-gradient", "1 in 80 for drains of about 150 mm"),
        ("drain-gradient", "1 in 100, under the same name"),
        ("drain-through-wall", "750 mm from the surround of the chamber"),
        ("bed-and-surround", "38 mm by a maker of plastic pipe"),
        ("trench-width", "200 mm at each side up to 225 mm pipe"),
        ("bed-and-surround", "class B 2.5"),
        ("drain-tightness", "24 hours before a test by a specification, 48 by another text"),
    ];
    for (word, other) in conflicts {
        let told = explained(word);
        assert!(told.contains(other), "{word}: {other}\n{told}");
    }
}

/// Every cell that names another value, and that some rule asks, has it told; lines stay within a hundred columns.
#[test]
fn every_other_value_of_a_key_that_a_rule_asks_is_told() {
    let mut others = 0;
    let cells: Vec<_> = crate::rulebook::built_in().iter().flat_map(|book| book.cells()).collect();
    for rule in RULES {
        let printed = out(&fallmark(std::path::Path::new("."), &["explain", rule.id.0]));
        let widest = printed.lines().map(|line| line.chars().count()).max().unwrap();
        assert!(widest <= 100, "{}: {widest}", rule.id.0);
        let told = folded(&printed);
        for cell in cells.iter().filter(|cell| rule.keys.contains(&cell.key.as_str())) {
            assert!(told.contains(&folded(&cell.says)), "{}: {}", rule.id.0, cell.id);
            for other in &cell.instead_of {
                assert!(told.contains(&folded(&other.words())), "{}: {}", cell.id, other.words());
                others += 1;
            }
        }
    }
    assert!(others > 40, "{others}");
}
