//! Tests: readings, what was lost, and for what they still speak.

use crate::base::doc::Align;
use crate::base::doc::Block;
use crate::base::doc::Line;
use crate::base::doc::Row;
use crate::base::doc::Schedule;
use crate::base::doc::bold;
use crate::base::doc::plain;
use crate::base::text::day;
use crate::compute::tightness::Outcome;
use crate::compute::tightness::cover;
use crate::compute::tightness::cover::Done;
use crate::compute::tightness::coverage::Bare;
use crate::compute::tightness::in_minutes;
use crate::network::kind::Kind;
use crate::pack::Desk;
use crate::pack::Part;
use crate::pack::drains::bar;
use crate::pack::drains::column;
use crate::pack::words;
use crate::record::evidence::Test;
use crate::record::sections::Item;
use crate::record::words::TestKind;
use crate::rulebook::Fact;
use crate::rulebook::Facts;
use crate::rulebook::key;

/// Every test, in the order of the record.
pub(crate) fn schedule(desk: &Desk<'_>) -> Part {
    let tests = desk.job.record.tests.iter().zip(&desk.job.computed.tests);
    let rows: Vec<Row> = tests.map(|(item, outcome)| row(desk, item, outcome)).collect();
    if rows.is_empty() {
        return Part::default();
    }
    let columns = vec![
        column(&["id"], 12.0, Align::Left),
        column(&["what", "plugs"], 54.0, Align::Left),
        column(&["date", "kit, cover"], 30.0, Align::Left),
        column(&["readings"], 40.0, Align::Left),
        column(&["lost", "seen by"], 40.0, Align::Left),
    ];
    let schedule = Schedule { summary: "Tests".to_owned(), columns, rows };
    let mut note =
        vec![plain("readings as read; losses and litres allowed computed; tests are judged among the findings")];
    note.extend(bare(desk).map(plain));
    Part { blocks: vec![Block::Schedule(schedule)], note }
}

fn row(desk: &Desk<'_>, item: &Item<Test>, outcome: &Outcome) -> Row {
    let body = &item.body;
    let list = |f: &crate::record::value::Field<crate::record::value::ListOf<crate::record::words::Mention>>| {
        f.get().map_or(String::new(), |l| l.iter().map(|m| m.words()).collect::<Vec<_>>().join(", "))
    };
    let chambers = outcome.chambers.iter().filter_map(|a| desk.job.record.access.at(*a)).map(|a| a.id.as_str());
    let covers: Vec<&str> = outcome.covers.iter().map(|p| desk.job.network.id(*p)).chain(chambers).collect();
    let by = outcome.method.map_or(String::new(), |m| format!(", method {}", m.word()));
    let what = format!("{}{by}: {}", kind(outcome), covers.join(" "));
    let what = what.trim_end_matches([':', ' ']).to_owned();
    let date = body.date.get().map_or("date not recorded".to_owned(), |d| crate::base::text::date(*d));
    let kit = body.kit.get().map_or("", |k| k.0.as_str());
    let kit = [kit, done(desk, item, outcome).map_or("", Done::words)];
    let kit = kit.into_iter().filter(|words| !words.is_empty()).collect::<Vec<_>>().join(", ");
    let readings = body.readings.get().map_or(String::new(), |m| {
        let one = |(key, field): &(
            crate::base::span::Spanned<String>,
            crate::record::value::Field<crate::record::gauge::Gauge>,
        )| { format!("{} {}", key.value, field.get().map_or("unknown".to_owned(), |m| m.words())) };
        m.0.iter().map(one).collect::<Vec<_>>().join(", ")
    });
    let seen = body.seen_by.get().map_or("not recorded by whom".to_owned(), |s| format!("seen by {}", s.0));
    let cells = vec![
        vec![vec![plain(what)], vec![plain(list(&body.plugs))]],
        vec![vec![plain(date)], vec![plain(kit)]],
        vec![vec![plain(readings)]],
        vec![vec![plain(water(desk, outcome).unwrap_or_else(|| loss(outcome)))], vec![plain(seen)]],
    ];
    Row {
        id: item.id.clone(),
        anchor: Some(words::anchor(&item.id)),
        cells,
        reasons: remarks(desk, item, outcome),
        bar: bar(desk.worst_of(&["above-ground-air-test", "drain-tightness"], &item.id).into_iter()),
    }
}

/// Whether a test for the tightness of a drain was done before or after it was covered.
pub(crate) fn done(desk: &Desk<'_>, item: &Item<Test>, outcome: &Outcome) -> Option<Done> {
    let of_drain = matches!(outcome.kind, Some(TestKind::DrainAir | TestKind::DrainWater));
    cover::done(&desk.job.network, outcome, item.body.date.get().copied().filter(|_| of_drain))
}

/// Newer tests of the tightness of any of the same drains, which speak in its place.
fn newer<'r>(desk: &Desk<'r>, item: &Item<Test>, outcome: &Outcome) -> Vec<&'r str> {
    let tight = |o: &Outcome| matches!(o.kind, Some(TestKind::DrainAir | TestKind::DrainWater));
    let Some(day) = item.body.date.get().filter(|_| tight(outcome) && outcome.replaced_by.is_none()) else {
        return Vec::new();
    };
    let all = desk.job.record.tests.iter().zip(&desk.job.computed.tests);
    let later = all.filter(|(t, o)| tight(o) && t.body.date.get().is_some_and(|d| d > day));
    let same = later.filter(|(_, o)| o.covers.iter().any(|pipe| outcome.covers.contains(pipe)));
    same.map(|(t, _)| t.id.as_str()).collect()
}

/// How a water test stood, as recorded: soak, heads, depths in chambers.
fn stood(body: &Test) -> String {
    let mut said = Vec::new();
    if let Some(soak) = body.soak.get() {
        said.push(format!("stood full {} before", soak.words));
    }
    if let Some(head) = body.head.get() {
        said.push(format!("{} of water over the highest invert", head.words()));
    }
    if let Some(head) = body.head_low.get() {
        said.push(format!("{} over the lowest", head.words()));
    }
    for (id, field) in body.filled.get().into_iter().flat_map(|m| &m.0) {
        said.push(format!("{} filled to {}", id.value, field.get().map_or("unknown".to_owned(), |m| m.words())));
    }
    if let Some(set) = body.joints_set.get() {
        said.push(format!("youngest joint {} old", set.words));
    }
    if let Some(flushed) = body.flushed.get() {
        said.push(if flushed.yes() { "cleaned and flushed before" } else { "not flushed before" }.to_owned());
    }
    if said.is_empty() { String::new() } else { words::sentence(&said.join(", ")) + " " }
}

/// What a camera saw, and that it shows no tightness.
fn camera(body: &Test, outcome: &Outcome) -> String {
    if outcome.kind != Some(TestKind::Camera) {
        return String::new();
    }
    let mut said = "Camera".to_owned();
    for (word, field) in [("from", &body.from), ("to", &body.to)] {
        if let Some(place) = field.get() {
            said.push_str(&format!(" {word} {}", place.0));
        }
    }
    if let Some(way) = body.looking.get() {
        said.push_str(&format!(", looking {}", way.word()));
    }
    if let Some(grade) = body.grade.get() {
        said.push_str(&format!(", graded {}", grade.0));
    }
    if let Some(deformed) = body.deformed.get() {
        said.push_str(&format!(", out of round by {}", deformed.0));
    }
    format!("{said}. It shows defects and layout, never tightness. ")
}

fn kind(outcome: &Outcome) -> &'static str {
    outcome.kind.map_or("kind not recorded", |k| k.word())
}

/// "17 mm in 7 min".
pub(crate) fn loss(outcome: &Outcome) -> String {
    let Some((lost, seconds)) = outcome.lost.zip(outcome.seconds) else { return String::new() };
    let lost = match outcome.method.and(outcome.pressures) {
        Some((first, last)) => (first - last).words(),
        None => format!("{}\u{a0}mm", lost.millimetres()),
    };
    format!("=\u{202f}{lost} in {}", in_minutes(seconds))
}

/// "= 0.42 l added in 30 min, 0.488 l allowed".
fn water(desk: &Desk<'_>, outcome: &Outcome) -> Option<String> {
    let added = outcome.added?;
    let key = match outcome.method {
        Some(_) => key::TIGHTNESS_WATER_ADDED_MAXIMUM,
        None => key::DRAIN_WATER_TEST_ADDED_MAXIMUM,
    };
    let answer = desk.job.rulebook.ask(key, &Facts::new().with(Fact::UnderTest, outcome.under_test()));
    let surface = outcome.wetted.as_ref().and_then(|w| w.as_ref().ok());
    let allowed = answer.limit().zip(surface).map(|(limit, surface)| surface.allowed(limit.value).litres(3));
    let allowed = allowed.map_or(String::new(), |l| format!(", {l}\u{a0}l allowed"));
    let over = outcome.seconds.map_or(String::new(), |s| format!(" in {}", in_minutes(s)));
    Some(format!("=\u{202f}{} added{over}{allowed}", added.words()))
}

/// "; no standing test speaks for D1 4.85 m, D2": drains only, each with what of it is left.
fn bare(desk: &Desk<'_>) -> Option<String> {
    let job = desk.job;
    let drain = |leg: usize| job.network.legs.get(leg).is_some_and(|l| l.derived.kind == Kind::Drain);
    let all: Vec<String> = job
        .computed
        .untested
        .iter()
        .zip(&job.computed.bare)
        .filter(|(leg, _)| drain(**leg))
        .map(|(leg, bare)| match bare {
            Bare::Of(left) => format!("{}\u{a0}{}\u{a0}m", job.network.id(*leg), left.metres(2)),
            Bare::Nothing | Bare::Unmeasured => job.network.id(*leg).to_owned(),
        })
        .collect();
    (!all.is_empty()).then(|| format!("; no standing test speaks for {}", all.join(", ")))
}

fn remarks(desk: &Desk<'_>, item: &Item<Test>, outcome: &Outcome) -> Vec<Line> {
    let mut all = Vec::new();
    let mut said = String::new();
    if let Some(by) = outcome.replaced_by.and_then(|t| desk.job.record.tests.at(t)) {
        said.push_str(&format!("Repeated and replaced by {}. ", by.id));
    }
    let newer = newer(desk, item, outcome);
    if !newer.is_empty() {
        said.push_str(&format!("Newer, of the same drain: {}. ", newer.join(", ")));
    }
    said.push_str(&stood(&item.body));
    said.push_str(&camera(&item.body, outcome));
    if let Some(found) = item.body.found.get() {
        said.push_str(&format!("Found: {} ", words::sentence(&found.0)));
    }
    if let Some(at) = item.body.seen_at.get() {
        let from = item.body.put_in.get().map_or("", |r| r.0.as_str());
        said.push_str(&format!("Put in at {from}, seen at {}. ", at.words()));
        let not = item.body.not_at.get().map_or(Vec::new(), |l| l.iter().map(|m| m.words()).collect());
        if !not.is_empty() {
            said.push_str(&format!("Not seen at {}. ", not.join(", ")));
        }
    }
    if let Some(seals) = item.body.seals_left.get() {
        let one = |(key, field): &(
            crate::base::span::Spanned<String>,
            crate::record::value::Field<crate::record::quantity::Measure>,
        )| { format!("{} {}", key.value, field.get().map_or("not read".to_owned(), |m| m.words())) };
        said.push_str(&format!("Seals left: {}. ", seals.0.iter().map(one).collect::<Vec<_>>().join(", ")));
    }
    let stale = stale(desk, outcome);
    if !said.is_empty() || !stale.is_empty() {
        let mut line = Line::new();
        if !stale.is_empty() {
            line.push(bold(format!("{stale} ")));
        }
        line.push(plain(said.trim_end().to_owned()));
        all.push(line);
    }
    all
}

/// "Stale: D1 was changed on 26 Feb."
pub(crate) fn stale(desk: &Desk<'_>, outcome: &Outcome) -> String {
    let changed: Vec<String> =
        outcome.stale.iter().map(|(p, d)| format!("{} was changed on {}", desk.job.network.id(*p), day(*d))).collect();
    if changed.is_empty() { String::new() } else { format!("Stale: {}.", changed.join(", ")) }
}
