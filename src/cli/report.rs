//! Faults of a record on a terminal: where, what was read, the line with the place underlined, and what would do.

use crate::base::text::harmless;
use crate::cli::excerpt;
use crate::cli::screen::Paint;
use crate::record::Reading;
use crate::record::fault::Fault;
use std::io::Write;

/// Faults that are printed; the rest are counted.
const MOST: usize = 200;

/// Prints every fault of a reading, at most 200 of them, each with its line.
///
/// # Errors
/// When the output cannot be written.
pub fn faults(reading: &Reading, out: &mut dyn Write, colour: bool) -> std::io::Result<()> {
    let paint = Paint(colour);
    for fault in reading.faults.iter().take(MOST) {
        one(reading, fault, out, paint)?;
    }
    let more = reading.faults.len().saturating_sub(MOST) + reading.further;
    if more > 0 {
        writeln!(out, "and {more} more")?;
    }
    Ok(())
}

fn one(reading: &Reading, fault: &Fault, out: &mut dyn Write, paint: Paint) -> std::io::Result<()> {
    let (line, column) = reading.source.place(fault.span.start);
    let name = harmless(&reading.source.name);
    let title = format!("{name}:{line}:{column}");
    writeln!(out, "{}  {}: {}", paint.bold(&title), paint.bad(fault.kind), harmless(&fault.what))?;
    excerpt::write(&reading.source, fault.span, out, paint)?;
    if !fault.help.is_empty() {
        writeln!(out, "      {}", harmless(&fault.help))?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(text: &str, colour: bool) -> String {
        let mut out = Vec::new();
        faults(&crate::record::read("job.yaml", text), &mut out, colour).unwrap();
        String::from_utf8(out).unwrap()
    }

    const HEAD: &str = "record: 1\njob: {id: K, title: K}\n";

    #[test]
    fn the_place_is_underlined() {
        let text = format!("{HEAD}pipes:\n  D1: {{size: 110, kind: drain}}\n");
        let expected = "job.yaml:4:14  not readable: `110` has no unit\n    4 |   D1: {size: 110, kind: drain}\n      |              ^^^\n      write `110 mm` or `110 in`\n";
        assert_eq!(told(&text, false), expected);
        assert!(told(&text, true).contains("\u{1b}[1;31m^^^\u{1b}[0m"));
    }

    #[test]
    fn a_long_line_is_shown_around_the_place() {
        let words = "é".repeat(300);
        let text = format!("{HEAD}pipes:\n  D1: {{note: {words}, size: 110, how: {words}}}\n");
        let told = told(&text, false);
        let lines: Vec<&str> = told.lines().collect();
        assert!(lines[1].chars().count() <= 8 + excerpt::WIDTH + 2 && lines[1].ends_with('…'));
        let under: Vec<char> = lines[2].chars().collect();
        let marked: String =
            lines[1].chars().enumerate().filter(|(i, _)| under.get(*i) == Some(&'^')).map(|(_, c)| c).collect();
        assert_eq!(marked, "110");
    }

    #[test]
    fn ten_mistakes_are_told_in_one_run() {
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/records/ten-mistakes.yaml");
        let told = told(&std::fs::read_to_string(path).unwrap(), false);
        assert_eq!(told.matches("job.yaml:").count(), 10, "{told}");
        assert_eq!(told.lines().filter(|l| l.trim_start_matches([' ', '|']).starts_with('^')).count(), 10, "{told}");
    }

    #[test]
    fn two_hundred_faults_are_enough() {
        let many: String = (0..1_000).map(|i| format!("  D{i}: {{size: {i}}}\n")).collect();
        let told = told(&format!("{HEAD}pipes:\n{many}"), false);
        assert_eq!(told.matches("job.yaml:").count(), 200);
        assert!(told.ends_with("and 800 more\n"));
    }

    #[test]
    fn a_record_cannot_move_the_cursor() {
        let text = format!("{HEAD}pipes:\n  D1: {{size: \"\\e[2J\u{202e}9\", kind: \"\\u0007\"}}\n");
        assert!(!told(&text, false).contains(['\u{1b}', '\u{7}', '\u{202e}']));
    }

    #[test]
    fn a_fault_at_the_very_end_has_a_place() {
        for text in ["", "record: 1\n", "a: [", "a: \"", "\n\n", "a:\t"] {
            assert!(!told(text, false).is_empty());
        }
    }
}
