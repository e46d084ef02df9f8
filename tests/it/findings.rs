//! The samples' files, and the findings of each.

use fallmark::base::files::FileError;
use fallmark::base::files::Files;
use fallmark::base::files::Reader;
use fallmark::base::finding::Finding;
use fallmark::rulebook::Rulebook;
use std::sync::LazyLock;

/// The files of a sample folder.
pub(crate) struct SampleFiles(pub(crate) &'static str);

impl Files for SampleFiles {
    fn open(&self, name: &str) -> Result<Reader, FileError> {
        let path = format!("{}/samples/{}/{name}", env!("CARGO_MANIFEST_DIR"), self.0);
        let file = std::fs::File::open(path).map_err(|_| FileError::Missing(name.to_owned()))?;
        Ok(Box::new(file))
    }

    fn size(&self, name: &str) -> Result<u64, FileError> {
        let path = format!("{}/samples/{}/{name}", env!("CARGO_MANIFEST_DIR"), self.0);
        std::fs::metadata(path).map(|m| m.len()).map_err(|_| FileError::Missing(name.to_owned()))
    }
}

/// The first rulebook, loaded once: some tests examine thousands of records.
pub(crate) static ENGLAND: LazyLock<Rulebook> =
    LazyLock::new(|| fallmark::rulebook::load("england-2015").expect("it is built in"));

/// The findings of a record, with the photos of a sample beside it.
pub(crate) fn findings(name: &'static str, text: &str) -> Vec<Finding> {
    let reading = fallmark::record::read("job.yaml", text);
    fallmark::examine(&reading.record, &ENGLAND, &SampleFiles(name)).findings
}

#[test]
fn every_finding_of_a_sample_rests_on_a_clause_or_says_that_it_advises() {
    use fallmark::base::finding::Weight;
    for name in crate::network::SAMPLES {
        let all = findings(name, &crate::network::sample(name));
        assert!(all.len() > 20, "{name}");
        for f in all {
            let citation = f.citation.as_ref().map(|c| c.short()).unwrap_or_default();
            assert!(!citation.is_empty(), "{name}: {} on {}", f.rule.0, f.item);
            // A standard that the guidance does not ask for advises too.
            let advises = citation.starts_with("Custom") || citation.starts_with("BS EN 752");
            assert_eq!(f.weight == Weight::Advice, advises, "{name}: {}", f.rule.0);
        }
    }
}

/// Ways of a text with one `key: value` less: each inside a map in braces, and each line with what hangs under it.
fn without_one_field(text: &str) -> Vec<(String, String)> {
    let mut all = Vec::new();
    let lines: Vec<&str> = text.lines().collect();
    for (i, line) in lines.iter().enumerate() {
        let indent = line.len() - line.trim_start().len();
        let block =
            lines[i + 1..].iter().take_while(|l| l.trim().is_empty() || l.len() - l.trim_start().len() > indent);
        let after = i + 1 + block.count();
        let kept = [&lines[..i], &lines[after..]].concat().join("\n");
        all.push((format!("line {}: {}", i + 1, line.trim()), kept));
        for (from, to) in flow_fields(line) {
            let changed = format!("{}{}", &line[..from], &line[to..]);
            let kept = [&lines[..i], &[changed.as_str()], &lines[i + 1..]].concat().join("\n");
            all.push((format!("line {}: {}", i + 1, &line[from..to]), kept));
        }
    }
    all
}

/// The places of the fields of every map in braces on a line, each with the comma that parts it from the next.
fn flow_fields(line: &str) -> Vec<(usize, usize)> {
    let mut all = Vec::new();
    // For each bracket that is open: whether it is a map, and where its present field starts.
    let mut open: Vec<(bool, usize)> = Vec::new();
    let mut quoted = false;
    for (at, c) in line.char_indices() {
        match c {
            '"' => quoted = !quoted,
            '#' if !quoted && line[..at].ends_with(' ') => break,
            '{' | '[' if !quoted => open.push((c == '{', at + 1)),
            ',' if !quoted => {
                if let Some((map, from)) = open.last_mut() {
                    if *map {
                        all.push((*from, at + 1));
                    }
                    *from = at + 1;
                }
            }
            '}' | ']' if !quoted => {
                if let Some((true, from)) = open.pop() {
                    all.push((from, at));
                }
            }
            _ => {}
        }
    }
    all
}

#[test]
fn fields_of_maps_are_found() {
    let line = "D1: {a: b, c: [d, e], f: {g: \"h, i\"}}   # j: {k: l}";
    let found: Vec<&str> = flow_fields(line).into_iter().map(|(from, to)| &line[from..to]).collect();
    assert_eq!(found, ["a: b,", " c: [d, e],", "g: \"h, i\"", " f: {g: \"h, i\"}"]);
}

/// Fields whose absence tells another story instead of leaving one open, with why.
const OTHER_STORIES: &[(&str, &str)] = &[
    ("appliances:", "what drains nothing needs no protection"),
    ("WC3:", "a WC that is not there needs no protection from the sewer"),
    ("closings:", "a covering that nobody wrote down did not happen for anybody who reads, as with a change"),
    ("drive and lower trenches filled", "the same, of one covering"),
    ("hides: [D8, D11, D12", "the same, of what it covered"),
    (" date: 2026-07-27,", "the same, of its day"),
    ("changed:", "a change that nobody wrote down did not happen for anybody who reads"),
    ("also-carries: 3 dwellings", "what else runs into a new stack, nobody who reads can guess where nothing is said"),
    ("usual:", "the record says once for all items how values are known; without it they are stated"),
];

#[test]
fn a_field_taken_away_never_makes_anything_met() {
    use fallmark::base::finding::Verdict;
    use std::collections::BTreeMap;
    let by_item = |name: &'static str, text: &str| -> BTreeMap<(&str, String), Verdict> {
        findings(name, text).into_iter().map(|f| ((f.rule.0, f.item), f.verdict)).collect()
    };
    let less = |name: &'static str| {
        let text = crate::network::sample(name);
        let before = by_item(name, &text);
        let (mut seen, mut wrong) = (0, Vec::new());
        for (what, less) in without_one_field(&text) {
            let told_otherwise = OTHER_STORIES.iter().any(|(key, _)| what.contains(key));
            for (key, after) in by_item(name, &less) {
                let was = before.get(&key);
                let better = after == Verdict::Met && was.is_some_and(|v| *v != Verdict::Met);
                if better && !told_otherwise {
                    wrong.push(format!("{name}: without {what}, {key:?} is met and was {was:?}"));
                }
            }
            seen += 1;
        }
        (seen, wrong)
    };
    // The longest test of all: each sample on a thread of its own.
    let all = std::thread::scope(|scope| {
        let one = |name| scope.spawn(move || less(name));
        let running = crate::network::SAMPLES.map(one);
        running.map(|thread| thread.join().unwrap())
    });
    let wrong = all.iter().flat_map(|(_, wrong)| wrong).collect::<Vec<_>>();
    assert!(wrong.is_empty(), "{wrong:#?}");
    assert!(all.iter().map(|(seen, _)| seen).sum::<usize>() > 1000);
}

#[test]
fn there_is_one_finding_a_rule_and_item() {
    for name in crate::network::SAMPLES {
        let all = findings(name, &crate::network::sample(name));
        let mut seen = std::collections::BTreeSet::new();
        for f in all {
            assert!(seen.insert((f.rule.0, f.item.clone())), "{name}: {} on {} twice", f.rule.0, f.item);
        }
    }
}
