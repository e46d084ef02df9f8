//! The inspector's first page, for ten minutes on site. Its order is fixed.

use crate::base::doc::Block;
use crate::base::doc::Fact;
use crate::base::doc::Figure;
use crate::base::doc::Line;
use crate::base::doc::Parts;
use crate::base::doc::Run;
use crate::base::doc::Shape;
use crate::base::doc::Side;
use crate::base::doc::SideRow;
use crate::base::doc::bold;
use crate::base::doc::italic;
use crate::base::doc::plain;
use crate::base::doc::words as words_of;
use crate::base::finding::Verdict;
use crate::base::finding::Weight;
use crate::base::text::day;
use crate::base::text::weekday;
use crate::base::units::Length;
use crate::compute::terminals::agreed;
use crate::compute::terminals::replaces_roofing;
use crate::pack::Desk;
use crate::pack::figure;
use crate::pack::words;
use crate::record::about::Person;
use crate::record::sections::Item;
use crate::record::words::Stage;
use std::collections::BTreeMap;

mod seen;
mod unmet;

pub(crate) use seen::bare_crossings;

/// The blocks of the first page, in order.
pub(crate) const ORDER: [&str; 9] =
    ["look-at", "not-met", "questions", "departures", "temporary", "test-list", "not-shown", "plan", "this-is-not"];

/// Most rows of each block; what is over stands deeper in the pack.
const MOST_LOOK: usize = 6;
const MOST_NOT_SHOWN: usize = 12;
const MOST_TESTS: usize = 8;

/// Adds every block of the first page.
pub(crate) fn add(desk: &Desk<'_>, parts: &mut Parts) {
    let mut put = |name: &str, block: Block| {
        parts.blocks.insert(name.to_owned(), vec![block]);
    };
    put("facts", Block::Facts(facts(desk)));
    put("look-at", Block::Side(look_at(desk)));
    put("not-met", Block::Side(unmet::not_met(desk)));
    put("questions", Block::Side(questions(desk)));
    put("departures", Block::Side(seen::departures(desk)));
    put("temporary", Block::Side(seen::temporary(desk)));
    put("test-list", Block::Side(tests(desk)));
    put("not-shown", Block::Side(not_shown(desk)));
    put("plan", Block::Side(plan(desk)));
    put("this-is-not", Block::Side(this_is_not(desk)));
}

fn person<'a>(desk: &'a Desk<'_>, role: &str) -> Option<&'a Item<Person>> {
    desk.job.record.people.iter().find(|p| p.body.role.get().is_some_and(|r| r.0.to_lowercase().contains(role)))
}

fn facts(desk: &Desk<'_>) -> Vec<Fact> {
    let job = &desk.job.record.job;
    let surveyor = person(desk, "building control");
    let text = |t: Option<&str>, mm: u16| match t {
        Some(t) => vec![plain(t)],
        None => vec![Run::WriteIn { mm }],
    };
    let strong = |t: Option<&str>, mm: u16| match t {
        Some(t) => vec![bold(t)],
        None => vec![Run::WriteIn { mm }],
    };
    let fact = |label: &str, value: Line| Fact { label: label.to_owned(), value };
    let visit = job.visit.get().map(|d| weekday(*d));
    let client = person(desk, "client").and_then(|p| p.body.name.get());
    vec![
        fact("Application", strong(surveyor.and_then(|p| p.body.reference.get()).map(|t| t.0.as_str()), 30)),
        fact("Body", strong(surveyor.and_then(|p| p.body.body.get()).map(|t| t.0.as_str()), 30)),
        fact("Visit on", strong(visit.as_deref(), 30)),
        fact("Stage asked for", strong(job.stage.get().map(|t| t.0.as_str()), 30)),
        fact("On site", on_site(desk)),
        fact("Client", text(client.map(|t| t.0.as_str()), 32)),
        fact("Address", text(job.address.get().map(|t| t.0.as_str()), 40)),
    ]
}

fn on_site(desk: &Desk<'_>) -> Line {
    let roles = ["installer", "mate"];
    let there: Vec<String> = desk
        .job
        .record
        .people
        .iter()
        .filter_map(|p| {
            let role = p.body.role.get()?.0.to_lowercase();
            roles.contains(&role.as_str()).then(|| format!("{} {role}", p.id))
        })
        .collect();
    if there.is_empty() { vec![Run::WriteIn { mm: 30 }] } else { vec![plain(there.join(", "))] }
}

/// What closes next, and what can be opened.
fn look_at(desk: &Desk<'_>) -> Side {
    let record = desk.job.record;
    let mut rows: Vec<SideRow> = Vec::new();
    for closing in record.closings.iter().filter(|c| c.value.stage.get() == Some(&Stage::Planned)) {
        let hides: Vec<String> =
            closing.value.hides.get().into_iter().flat_map(|l| l.iter()).map(|m| m.words()).collect();
        let when = closing.value.date.get().map_or(Line::new(), |d| vec![plain("closes "), bold(weekday(*d))]);
        let what = closing.value.what.get().map_or("", |t| t.0.as_str());
        let whole: Vec<&str> = hides.iter().map(String::as_str).filter(|h| !h.contains(' ')).collect();
        let faces: Vec<&str> = hides.iter().map(String::as_str).filter(|h| h.contains(' ')).collect();
        if !whole.is_empty() {
            let text = format!("behind {what}: open to view until then");
            rows.push(SideRow {
                ids: words::ids(whole),
                text: vec![plain(text)],
                right: when.clone(),
                ..SideRow::default()
            });
        }
        for face in faces {
            let text = format!("behind {what}: that face of the seal");
            rows.push(SideRow {
                ids: words::mention(face),
                text: vec![plain(text)],
                right: when.clone(),
                ..SideRow::default()
            });
        }
    }
    for item in record.access.iter().filter(|a| a.body.stage.get() != Some(&Stage::Removed)) {
        let place =
            item.body.place_from.get().or_else(|| item.body.place.get()).map_or("place not recorded", |t| t.0.as_str());
        let kind = item.body.what.get().map_or("", |k| k.word());
        let tool = item.body.tool.get().map_or(String::new(), |t| t.0.clone());
        rows.push(SideRow {
            ids: words::mention(&item.id),
            text: vec![plain(format!("{kind}, {place}"))],
            right: vec![plain(tool)],
            ..SideRow::default()
        });
    }
    capped(&mut rows, MOST_LOOK, "chambers");
    side(
        "Today please look at",
        "",
        "look-at",
        rows,
        "Nothing is recorded as about to be covered, and no chamber.",
        true,
    )
}

fn questions(desk: &Desk<'_>) -> Side {
    let record = desk.job.record;
    let mut rows: Vec<SideRow> = Vec::new();
    for item in record.questions.iter().filter(|q| q.body.answer.is_absent()) {
        let to = item.body.to.get().map_or("", |t| t.0.as_str());
        let role = record.people.get(to).and_then(|p| p.body.role.get()).map_or("", |r| r.0.as_str());
        let yours = role.to_lowercase().contains("building control");
        let ask = item.body.ask.get().map_or("", |t| t.0.as_str());
        let about = item.body.about.get().map_or(Vec::new(), |l| l.iter().map(|m| m.words()).collect::<Vec<_>>());
        let mut ids = words::mention(&item.id);
        if !about.is_empty() {
            ids.push(plain(format!(" {}", about.join(" "))));
        }
        let text = if yours { words::sentence(ask) } else { format!("To the {to}, open: {}", words::sentence(ask)) };
        rows.push(SideRow {
            ids,
            text: vec![plain(text)],
            write_lines: if yours { 2 } else { 0 },
            anchor: Some(words::anchor(&item.id)),
            ..SideRow::default()
        });
    }
    rows.extend(by_itself(desk));
    side("Questions", "", "questions", rows, "None recorded.", false)
}

/// Terminals of a kind that no text speaks of, and of which the record asks nothing: each is asked about by itself.
fn by_itself(desk: &Desk<'_>) -> Vec<SideRow> {
    let record = desk.job.record;
    let asked = |id: &str| {
        record.questions.iter().any(|q| q.body.about.get().is_some_and(|all| all.iter().any(|m| m.words() == id)))
    };
    let mut rows = Vec::new();
    for item in &record.terminals {
        let old = matches!(item.body.stage.get(), Some(Stage::Existing));
        if item.broken || old || !replaces_roofing(&item.body) || agreed(&item.body) || asked(&item.id) {
            continue;
        }
        let what = item.body.what.get().map_or("", |w| w.0.as_str());
        let ask = "May this end the ventilating pipe? No text was found that allows or forbids its kind as such.";
        rows.push(SideRow {
            ids: words::mention(&item.id),
            text: vec![plain(format!("{}. {ask}", words::sentence(what).trim_end_matches('.')))],
            write_lines: 2,
            ..SideRow::default()
        });
    }
    rows
}

fn tests(desk: &Desk<'_>) -> Side {
    let network = &desk.job.network;
    let mut rows: Vec<SideRow> = Vec::new();
    for (item, outcome) in desk.job.record.tests.iter().zip(&desk.job.computed.tests) {
        let mut ids = words::mention(&item.id);
        if let Some(date) = item.body.date.get() {
            ids.push(plain(format!(" {}", day(*date))));
        }
        let covers: Vec<&str> = outcome.covers.iter().map(|p| network.id(*p)).collect();
        let kind = outcome.kind.map_or("kind not recorded", |k| k.word());
        let kind = match crate::pack::tests::done(desk, item, outcome) {
            Some(done) => format!("{kind} {}", done.words()),
            None => kind.to_owned(),
        };
        let mut text = vec![plain(match (outcome.first, outcome.last, outcome.minutes) {
            (Some(a), Some(b), Some(minutes)) => {
                // By a method of the standard it is the pressure that counts.
                let (from, to, lost) = match outcome.method.and(outcome.pressures) {
                    Some((first, last)) => (first.words(), last.words(), (first - last).words()),
                    None => {
                        let mm = |l: Length| format!("{}\u{a0}mm", l.millimetres());
                        (a.1.millimetres(), mm(b.1), mm(outcome.lost.unwrap_or_default()))
                    }
                };
                format!("{}, {kind}: {from} to {to} in {minutes}\u{a0}min, lost {lost}.", covers.join(" "))
            }
            _ => words::sentence(&format!("{kind} {}", seen::dye(item)).replace("  ", " ")),
        })];
        let stale = crate::pack::tests::stale(desk, outcome);
        if !stale.is_empty() {
            text.push(bold(format!(" {stale}")));
        }
        if let Some(found) = item.body.found.get() {
            text.push(plain(format!(" Found: {}", words::sentence(&found.0))));
        }
        let replaced = outcome.replaced_by.and_then(|t| desk.job.record.tests.at(t));
        let seen_by = item.body.seen_by.get().map(|s| format!("seen by {}", s.0));
        let right = match (replaced, seen_by) {
            (Some(by), _) => format!("replaced by {}", by.id),
            (None, Some(seen)) => seen,
            (None, None) => String::new(),
        };
        let mut right = vec![plain(right)];
        if let Some(f) = desk.finding_of("above-ground-air-test", &item.id) {
            let mut judged = words::verdict(f);
            judged.push(plain(if words_of(&right).is_empty() { "" } else { ", " }));
            right = [judged, right].concat();
        }
        rows.push(SideRow { ids, text, right, ..SideRow::default() });
    }
    let untested: Vec<&str> = desk.job.computed.untested.iter().map(|l| network.id(*l)).collect();
    capped(&mut rows, MOST_TESTS, "test-schedule");
    if !untested.is_empty() {
        let mut text = words::ids(untested.iter().copied());
        text.push(plain(": no standing test speaks for them."));
        rows.push(SideRow { ids: vec![bold("Untested")], text, ..SideRow::default() });
    }
    Side {
        may_begin_page: true,
        ..side(
            "Tests",
            "air tests above ground are judged here, drains by drain",
            "tests-first",
            rows,
            "None recorded.",
            false,
        )
    }
}

/// What this stage needs and the record does not show, grouped by what would settle it.
fn not_shown(desk: &Desk<'_>) -> Side {
    let mut groups: BTreeMap<(bool, String), Vec<String>> = BTreeMap::new();
    for f in desk.job.findings.iter().filter(|f| f.verdict == Verdict::NotShown && f.due <= desk.choice.moment) {
        let remedy = f.remedy.as_ref().map_or("", |r| r.text.as_str());
        // What is wanted of several items is said once, and each item's own days stand in the findings.
        let text = match remedy.split_once(&format!(" of {}", f.item)) {
            Some((head, _)) => format!("{head} of it, before it is covered"),
            None => remedy.to_owned(),
        };
        groups.entry((f.weight == Weight::Advice, text)).or_default().push(f.item.clone());
    }
    let row = |((advice, text), items): ((bool, String), Vec<String>)| {
        let mut ids = vec![Run::Shape(Shape::Ring), plain(" ")];
        ids.extend(words::ids(items.iter().map(String::as_str)));
        let text = if items.len() > 1 { text.replace(" of it,", " of each,") } else { text };
        let right = if advice { vec![plain("good practice")] } else { Line::new() };
        SideRow { ids, text: vec![plain(text)], right, ..SideRow::default() }
    };
    let (advice, clauses): (Vec<_>, Vec<_>) = groups.into_iter().partition(|((advice, _), _)| *advice);
    let mut rows: Vec<SideRow> = clauses.into_iter().map(row).collect();
    for (pipe, element, must) in seen::bare_crossings(desk) {
        let mut ids = vec![Run::Shape(Shape::Ring), plain(" ")];
        ids.extend(words::ids([pipe.as_str(), element.as_str()]));
        let text = if must {
            "hole and seal where it goes through"
        } else {
            "whether it goes through, and how it is kept clear"
        };
        rows.push(SideRow { ids, text: vec![plain(text)], ..SideRow::default() });
    }
    rows.extend(advice.into_iter().map(row));
    capped(&mut rows, MOST_NOT_SHOWN, "findings");
    side(
        "Not shown",
        "needed for this stage; what would settle it",
        "not-shown",
        rows,
        "Nothing, of what was checked for this stage.",
        false,
    )
}

fn plan(desk: &Desk<'_>) -> Side {
    let figure = figure::plan_strip(&desk.job.network).map(|drawing| Figure {
        anchor: "plan".to_owned(),
        drawing,
        upright: figure::plan_upright(&desk.job.network),
        caption: Line::new(),
    });
    let rows = if figure.is_none() {
        vec![SideRow { text: vec![plain("No pipe in the record to draw.")], ..SideRow::default() }]
    } else {
        Vec::new()
    };
    Side { figure, ..side("Plan", "not to scale", "plan-head", rows, "", false) }
}

fn this_is_not(desk: &Desk<'_>) -> Side {
    let body = person(desk, "building control").and_then(|p| p.body.body.get());
    let body = body.map_or("the building-control body".to_owned(), |t| t.0.clone());
    let text = vec![
        plain(format!(
            "an approval or a certificate. It is the installer\u{2019}s record and the sums that follow from it. Whether \
             the work meets the Regulations is for {body}; the local code and the licensed trades come first, and fire, \
             structure, gas and electricity are for their own trades. "
        )),
        bold("About"),
        plain(": believed. "),
        italic("Recalled"),
        plain(": the limit is from memory, confirm it against the document."),
    ];
    let rows = vec![SideRow { text, ..SideRow::default() }];
    Side { strong: true, ..side("This is not", "", "this-is-not", rows, "", false) }
}

/// A side block; one without rows says so in a sentence.
fn side(head: &str, note: &str, anchor: &str, rows: Vec<SideRow>, empty: &str, strong: bool) -> Side {
    let rows = if rows.is_empty() && !empty.is_empty() {
        vec![SideRow { text: vec![plain(empty)], ..SideRow::default() }]
    } else {
        rows
    };
    Side { head: head.to_owned(), note: note.to_owned(), anchor: anchor.to_owned(), strong, rows, ..Side::default() }
}

/// Keeps the first rows and says where the rest stands.
fn capped(rows: &mut Vec<SideRow>, most: usize, rest: &str) {
    if rows.len() <= most {
        return;
    }
    let over = rows.len() - most;
    rows.truncate(most);
    let mut text = vec![plain("and ")];
    text.extend(words::see(&format!("{over} more"), rest));
    rows.push(SideRow { text, ..SideRow::default() });
}
