//! A first record: a small job with nothing measured yet, and comments from the tables of the items.
//!
//! Every measure in it is `unknown`, so that no check is ever met by a number that nobody took.

use crate::record::edit::scalar;
use crate::record::item::FieldSpec;
use crate::record::sections::Section;
use crate::record::sections::Shape;
use crate::record::sections::VERSION;
use crate::record::sections::all;

/// An item or entry: its id, empty where it has none, and its keys with their values as YAML.
type Written = (&'static str, &'static [(&'static str, &'static str)]);

/// The sections that a first record fills, with what stands in them.
const FILLED: &[(&str, &[Written])] = &[
    (
        "job",
        &[(
            "",
            &[
                ("address", "unknown"),
                ("nation", "unknown"),
                ("storeys", "unknown"),
                ("stage", "drains before backfill"),
                ("visit", "unknown"),
            ],
        )],
    ),
    (
        "people",
        &[
            ("ME", &[("role", "installer"), ("name", "unknown"), ("phone", "unknown")]),
            ("BC", &[("role", "building control surveyor"), ("body", "unknown"), ("ref", "unknown")]),
        ],
    ),
    (
        "stages",
        &[
            ("", &[("name", "drains before backfill"), ("moment", "before cover")]),
            ("", &[("name", "before boxing in"), ("moment", "before cover")]),
            ("", &[("name", "completion"), ("moment", "completion")]),
        ],
    ),
    ("usual", &[("", &[("by", "ME")])]),
    ("levels", &[("ground", &[("is", "unknown"), ("at", "finished floor by the back door")])]),
    (
        "appliances",
        &[
            ("WC1", &[("in", "house"), ("floor", "ground"), ("outlet", "unknown"), ("seal", "unknown")]),
            ("WB1", &[("in", "house"), ("floor", "ground"), ("trap", "unknown"), ("seal", "unknown")]),
        ],
    ),
    (
        "pipes",
        &[
            (
                "S1",
                &[
                    ("kind", "stack"),
                    ("size", "unknown"),
                    ("material", "unknown"),
                    ("top", "VT1"),
                    ("foot", "{into: D1, bend: unknown, il: unknown}"),
                    ("fitted", "unknown"),
                ],
            ),
            (
                "B1",
                &[
                    ("from", "WC1"),
                    ("to", "S1"),
                    ("at", "unknown"),
                    ("size", "unknown"),
                    ("length", "unknown"),
                    ("fall", "unknown"),
                    ("fitted", "unknown"),
                ],
            ),
            (
                "B2",
                &[
                    ("from", "WB1"),
                    ("to", "S1"),
                    ("at", "unknown"),
                    ("size", "unknown"),
                    ("length", "unknown"),
                    ("fall", "unknown"),
                    ("fitted", "unknown"),
                ],
            ),
            (
                "D1",
                &[
                    ("kind", "drain"),
                    ("from", "S1"),
                    ("to", "IC1"),
                    ("size", "unknown"),
                    ("length", "unknown"),
                    ("fall", "unknown"),
                    ("bed", "unknown"),
                    ("fitted", "unknown"),
                ],
            ),
            (
                "D2",
                &[
                    ("kind", "drain"),
                    ("stage", "existing"),
                    ("from", "IC1"),
                    ("to", "SEW"),
                    ("size", "unknown"),
                    ("length", "unknown"),
                    ("fall", "unknown"),
                ],
            ),
        ],
    ),
    (
        "access",
        &[(
            "IC1",
            &[
                ("what", "inspection chamber"),
                ("in", "yard"),
                ("cover", "unknown"),
                ("il-out", "unknown"),
                ("where", "unknown"),
                ("fitted", "unknown"),
            ],
        )],
    ),
    ("outfalls", &[("SEW", &[("what", "public sewer"), ("in", "street"), ("carries", "unknown")])]),
    ("terminals", &[("VT1", &[("what", "unknown"), ("top", "unknown"), ("fitted", "unknown")])]),
    (
        "tests",
        &[(
            "T1",
            &[
                ("what", "drain air"),
                ("covers", "[D1]"),
                ("date", "unknown"),
                ("readings", "unknown"),
                ("seen-by", "unknown"),
            ],
        )],
    ),
    ("closings", &[("", &[("what", "trench backfill"), ("date", "unknown"), ("stage", "planned"), ("hides", "[D1]")])]),
];

/// Names of places in a first record.
const PLACES: &str = "[house, yard, street]";

/// Where comments behind a value start.
const COMMENTS: usize = 44;

/// How wide a comment of its own gets.
const WIDTH: usize = 110;

/// The text of a first record for a job: its id, its title when there is one yet, and the rulebook's name.
pub fn record(id: &str, title: Option<&str>, rulebook: &str) -> String {
    let mut out = Lines::default();
    out.comment("", "The record of one job. `unknown` means looked for and not known yet: put in what you find.");
    out.comment(
        "",
        "Everything below is a made-up start: rename it, copy it, take it out until it is the job before you.",
    );
    out.comment("", "Ids (S1, D1, IC1) are yours. Quantities carry their unit: 110 mm, 2.20 m, 1 in 40.");
    out.line("");
    out.with_comment(&format!("record: {VERSION}"), "The version of the format");
    out.with_comment(
        &format!("rulebook: {rulebook}"),
        "The guidance it is held against; `fallmark rulebook` lists what there is",
    );
    let head = [("id", scalar(id)), ("title", title.map_or("unknown".to_owned(), scalar))];
    let mut rest = Vec::new();
    for section in all() {
        match FILLED.iter().find(|(key, _)| *key == section.key) {
            Some((_, items)) => out.filled(&section, items, if section.key == "job" { &head } else { &[] }),
            None if section.key == "places" => {
                out.line("");
                out.with_comment(&format!("places: {PLACES}"), section.doc.trim());
            }
            None => rest.push(section),
        }
    }
    out.line("");
    out.comment(
        "",
        "What else a record can hold. Take the `# ` away from what you need; `fallmark guide` has every key.",
    );
    for section in rest {
        out.example(&section);
    }
    out.0
}

#[derive(Default)]
struct Lines(String);

impl Lines {
    fn line(&mut self, words: &str) {
        self.0.push_str(words.trim_end());
        self.0.push('\n');
    }

    /// A line with a comment behind it.
    fn with_comment(&mut self, line: &str, comment: &str) {
        let comment = comment.trim().trim_end_matches('.');
        self.line(&format!("{line:<COMMENTS$} # {comment}"));
    }

    /// Lines of comment, broken between words.
    fn comment(&mut self, indent: &str, words: &str) {
        let mut line = format!("{indent}#");
        for word in words.split_whitespace() {
            if line.chars().count() + 1 + word.chars().count() > WIDTH {
                self.line(&line);
                line = format!("{indent}#");
            }
            line.push(' ');
            line.push_str(word);
        }
        self.line(&line);
    }

    /// A section with items: the first of them tells what its keys mean.
    fn filled(&mut self, section: &Section, items: &[Written], head: &[(&str, String)]) {
        self.line("");
        self.comment("", section.doc.trim());
        self.line(&format!("{}:", section.key));
        let specs = (section.fields)();
        for (i, (id, pairs)) in items.iter().enumerate() {
            let pairs: Vec<(&str, &str)> =
                head.iter().map(|(k, v)| (*k, v.as_str())).chain(pairs.iter().copied()).collect();
            if i == 0 {
                self.explained(section.shape, id, &pairs, &specs);
            } else {
                self.short(section.shape, id, &pairs);
            }
        }
        let said = |key: &str| head.iter().any(|(k, _)| *k == key) || says(items, key);
        let further: Vec<&str> = specs.iter().map(|f| f.key).filter(|key| !said(key)).collect();
        if !further.is_empty() {
            self.comment("  ", &format!("also: {}", further.join(", ")));
        }
    }

    /// An item with each key on its own line and what it means behind it.
    fn explained(&mut self, shape: Shape, id: &str, pairs: &[(&str, &str)], specs: &[FieldSpec]) {
        let (mut lead, indent) = match shape {
            Shape::ById => {
                self.line(&format!("  {id}:"));
                ("    ", "    ")
            }
            Shape::List => ("  - ", "    "),
            Shape::One | Shape::Words => ("  ", "  "),
        };
        for (key, value) in pairs {
            let line = format!("{lead}{key}: {value}");
            lead = indent;
            match specs.iter().find(|f| f.key == *key) {
                Some(spec) if *value == "unknown" => {
                    let doc = spec.doc.trim().trim_end_matches('.');
                    self.with_comment(&line, &format!("{doc}, e.g. {}", spec.example));
                }
                Some(spec) => self.with_comment(&line, spec.doc),
                None => self.line(&line),
            }
        }
    }

    fn short(&mut self, shape: Shape, id: &str, pairs: &[(&str, &str)]) {
        let fields: Vec<String> = pairs.iter().map(|(key, value)| format!("{key}: {value}")).collect();
        let fields = fields.join(", ");
        match shape {
            Shape::List => self.line(&format!("  - {{{fields}}}")),
            Shape::ById | Shape::One | Shape::Words => self.line(&format!("  {id}: {{{fields}}}")),
        }
    }

    /// A section as a comment: what it is, and one entry out of the examples of the table.
    fn example(&mut self, section: &Section) {
        let specs = (section.fields)();
        let needed: Vec<&FieldSpec> = specs.iter().filter(|f| f.required).collect();
        let shown: Vec<&FieldSpec> = if needed.is_empty() { specs.iter().take(2).collect() } else { needed };
        let fields: Vec<String> = shown.iter().map(|f| format!("{}: {}", f.key, f.example)).collect();
        let fields = fields.join(", ");
        self.line("#");
        self.comment("", section.doc.trim());
        self.line(&format!("# {}:", section.key));
        match section.shape {
            Shape::One => self.one(&shown),
            Shape::List => self.line(&format!("#   - {{{fields}}}")),
            Shape::ById | Shape::Words => self.line(&format!("#   {}: {{{fields}}}", id_like(section.key))),
        }
    }

    fn one(&mut self, shown: &[&FieldSpec]) {
        for field in shown {
            self.line(&format!("#   {}: {}", field.key, field.example));
        }
    }
}

fn says(items: &[Written], key: &str) -> bool {
    items.iter().any(|(_, pairs)| pairs.iter().any(|(k, _)| *k == key))
}

/// An id in the manner of the trade for an item of a section.
fn id_like(section: &str) -> &'static str {
    const IDS: [(&str, &str); 11] = [
        ("kit", "laser"),
        ("elements", "FL1"),
        ("openings", "W1"),
        ("valves", "BV1"),
        ("pumps", "PU1"),
        ("penetrations", "P1"),
        ("nearby", "N1"),
        ("temporary", "X1"),
        ("questions", "Q1"),
        ("documents", "C1"),
        ("photos", "PH1"),
    ];
    IDS.iter().find(|(key, _)| *key == section).map_or("A1", |(_, id)| id)
}
