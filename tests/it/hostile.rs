//! Texts that want to break the reader: changed samples, floods, towers. Each ends in a record or in faults.

#[path = "../fuzz/record.rs"]
mod fuzz;

use crate::record::fixtures;
use crate::record::sample;
use fallmark::record;
use fallmark::record::value::MOST_FAULTS;

/// Numbers that look random and are the same in every run.
struct Dice(u64);

impl Dice {
    fn below(&mut self, n: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        usize::try_from(self.0 % n.max(1) as u64).unwrap()
    }
}

/// Bytes that matter to YAML or to the trade's notations, and some that matter to neither.
const SPICE: &[&[u8]] = &[
    b"{",
    b"}",
    b"[",
    b"]",
    b":",
    b": ",
    b",",
    b"\"",
    b"'",
    b"#",
    b" #",
    b"&a ",
    b"*a",
    b"!!int ",
    b"|\n",
    b">-\n",
    b"- ",
    b"? ",
    b"\n",
    b"\r\n",
    b"\t",
    b"---\n",
    b"...\n",
    b"%YAML 1.1\n",
    b"<<: ",
    b"~",
    b"null",
    b"1e999",
    b".nan",
    b"-",
    b"+",
    b"\x00",
    b"\x1b",
    b"\xff",
    b"\xc3",
    "\u{feff}".as_bytes(),
    "\u{2028}".as_bytes(),
    "½".as_bytes(),
    b"1 in 0",
    b"60:1",
    b"unknown",
    b"none",
    b" believed",
    b"about ",
    b"999999999999 m",
    b"-0 m",
    b"0x",
    b"\\",
];

fn change(bytes: &mut Vec<u8>, dice: &mut Dice) {
    let at = dice.below(bytes.len());
    let end = (at + dice.below(12)).min(bytes.len());
    match dice.below(5) {
        0 => drop(bytes.drain(at..end)),
        1 => {
            let copy = bytes[at..end].to_vec();
            let to = dice.below(bytes.len());
            drop(bytes.splice(to..to, copy));
        }
        2 => drop(bytes.splice(at..end, SPICE[dice.below(SPICE.len())].iter().copied())),
        3 => drop(bytes.splice(at..at, SPICE[dice.below(SPICE.len())].iter().copied())),
        _ => {
            if let Some(byte) = bytes.get_mut(at) {
                *byte = u8::try_from(dice.below(256)).unwrap();
            }
        }
    }
}

#[test]
fn changed_samples_and_records_always_end() {
    let mut texts: Vec<Vec<u8>> = crate::network::SAMPLES.map(|s| sample(s).into_bytes()).into();
    texts.extend(["valid", "invalid"].into_iter().flat_map(fixtures).map(|(_, bytes)| bytes));
    let mut dice = Dice(0x5EED_F00D_CAFE_1234);
    for round in 0..3_000 {
        let mut bytes =
            texts[if round % 4 == 0 { round / 4 % crate::network::SAMPLES.len() } else { round % texts.len() }].clone();
        for _ in 0..=dice.below(4) {
            change(&mut bytes, &mut dice);
        }
        fuzz::read(&bytes);
    }
}

#[test]
fn a_record_cut_off_anywhere_ends() {
    let text = sample("mill-house");
    for cut in (0..text.len()).step_by(37) {
        fuzz::read(&text.as_bytes()[..cut]);
    }
}

const HEAD: &str = "record: 1\njob: {id: K, title: K}\n";

#[test]
fn towers_and_floods_end_in_faults() {
    let n = 30_000;
    let floods = [
        "[".repeat(n),
        "{a: ".repeat(n),
        format!("{HEAD}places: [{}]\n", "a,".repeat(n)),
        format!("{HEAD}pipes: {{{}}}\n", (0..n).map(|i| format!("D{i}: {{x: 1}}, ")).collect::<String>()),
        format!("{HEAD}home: {{{}}}\n", (0..n).map(|i| format!("k{i}: 1, ")).collect::<String>()),
        format!(
            "{HEAD}photos: {{P: {{file: a, shows: [{}]}}}}\n",
            (0..n).map(|i| format!("Q{i}, ")).collect::<String>()
        ),
        format!("{HEAD}pipes: {{D: {{size: {}}}}}\n", "9".repeat(n)),
        format!("{HEAD}pipes: {{D: {{kind: {}}}}}\n", "drain ".repeat(n)),
        format!("{HEAD}{}", "pipes: {}\n".repeat(n)),
        format!("{HEAD}{}", (0..n).map(|i| format!("s{i}: 1\n")).collect::<String>()),
        format!("{HEAD}home: {{call: {{{}}}}}\n", "a: b, ".repeat(n)),
        "a: &a [b]\nc: [*a,*a]\n".repeat(n / 10),
        "- ".repeat(n),
        "? ".repeat(n),
        "\"".repeat(n),
        format!("{HEAD}title: \"{}", "x\n".repeat(n)),
    ];
    for text in floods {
        fuzz::read(text.as_bytes());
        let reading = record::read("flood", &text);
        assert!(!reading.faults.is_empty() || text.contains("places"), "{}", &text[..60]);
        assert!(reading.faults.len() <= MOST_FAULTS);
    }
}

/// Faults that are no longer kept break their items all the same, so that nothing is judged from half of one.
#[test]
fn an_item_with_a_fault_past_the_most_that_are_kept_is_broken() {
    let faulty = MOST_FAULTS + 50;
    let items: String = (0..faulty).map(|i| format!("  D{i}: {{size: big, from: A, to: B}}\n")).collect();
    let reading = record::read("job.yaml", &format!("{HEAD}pipes:\n{items}  LAST: {{size: 110 mm, from: A, to: B}}\n"));
    assert_eq!(reading.faults.len(), MOST_FAULTS);
    let broken = |id: &str| reading.record.pipes.iter().find(|p| p.id == id).is_none_or(|p| p.broken);
    assert!(broken("D0") && broken(&format!("D{}", faulty - 1)));
    assert!(!broken("LAST"));
}

#[test]
fn a_record_beyond_all_size_is_not_read() {
    let text = format!("{HEAD}# {}\n", "x".repeat(record::node::LARGEST));
    assert_eq!(record::read("job.yaml", &text).faults[0].kind, "record too large");
}

#[test]
fn tests_that_repeat_one_another_in_a_circle_end() {
    let text = format!("{HEAD}tests: {{T1: {{again: T2}}, T2: {{again: T1}}, T3: {{again: T3}}}}\n");
    let record = record::read("job.yaml", &text).record;
    assert!(record.replaced_by("T1").is_some());
    assert!(record.replaced_by("T3").is_none());
}

/// Every third bracket or quote of a sample taken out in turn: the fault stands on the line of the item that lost it.
#[test]
fn a_lost_bracket_or_quote_is_reported_at_its_item() {
    let mut wrong = Vec::new();
    for text in crate::network::SAMPLES.map(sample) {
        for (at, mark) in text.char_indices().filter(|(_, c)| "{}[]\"".contains(*c)).step_by(3) {
            let line_start = text[..at].rfind('\n').map_or(0, |n| n + 1);
            if text[line_start..at].contains(" #") {
                continue;
            }
            let reading = record::read("job.yaml", &(text[..at].to_owned() + &text[at + 1..]));
            let line = reading.source.line_of(line_start);
            if !reading.faults.iter().any(|f| reading.source.line_of(f.span.start) == line) {
                wrong.push(format!("line {line} without {mark}: {:?}", reading.faults.first()));
            }
        }
    }
    assert!(wrong.is_empty(), "{} of them\n{}", wrong.len(), wrong.join("\n"));
}
