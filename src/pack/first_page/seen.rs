//! Departures, what was covered since the last visit, temporary arrangements, open ends, bare crossings.

use crate::base::doc::Line;
use crate::base::doc::Run;
use crate::base::doc::Side;
use crate::base::doc::SideRow;
use crate::base::doc::Target;
use crate::base::doc::bold;
use crate::base::doc::plain;
use crate::base::text::day;
use crate::network::ends::End;
use crate::pack::Desk;
use crate::pack::words;
use crate::record::about::Visit;
use crate::record::evidence::Closing;
use crate::record::evidence::Test;
use crate::record::sections::Item;
use crate::record::words::Stage;
use chrono::NaiveDate;

/// Departures from the approved drawing, then everything covered since the last visit.
pub(super) fn departures(desk: &Desk<'_>) -> Side {
    let record = desk.job.record;
    let mut rows: Vec<SideRow> = Vec::new();
    for change in &record.changes {
        let text = |f: &crate::record::value::Field<crate::record::words::Text>| {
            f.get().map_or(String::new(), |t| t.0.clone())
        };
        let change = &change.value;
        let why = text(&change.why);
        let why = if why.is_empty() { String::new() } else { format!(": {why}") };
        let mut line = vec![plain(format!("Drawn: {}. Built: {}{why}. ", text(&change.drawn), text(&change.built)))];
        line.push(agreed(change.agreed.get().map(|t| t.0.as_str())));
        let built = named_in(desk, &text(&change.built));
        let ids = if built.is_empty() { named_in(desk, &text(&change.drawn)) } else { built };
        rows.push(SideRow { ids, text: line, ..SideRow::default() });
    }
    let last =
        record.visits.iter().filter(|v| v.value.came.get().is_some()).max_by_key(|v| v.value.came.get().copied());
    let since = last.and_then(|v| v.value.came.get().copied());
    for closing in record.closings.iter().filter(|c| c.value.stage.get() != Some(&Stage::Planned)) {
        rows.extend(covered(desk, &closing.value, since));
    }
    let head = match since {
        Some(d) => format!("Departures, and covered since {}", day(d)),
        None => "Departures, and covered".to_owned(),
    };
    super::side(&head, "", "departures", rows, "None recorded.", false)
}

fn agreed(agreed: Option<&str>) -> Run {
    match agreed {
        None => bold("Agreed: not said."),
        Some(words) => match NaiveDate::parse_from_str(words, "%Y-%m-%d") {
            Ok(date) => plain(format!("Agreed {}.", day(date))),
            Err(_) => bold(words::sentence(&format!("agreed: {words}"))),
        },
    }
}

/// The ids of the record that a sentence names.
fn named_in(desk: &Desk<'_>, text: &str) -> Line {
    let mut known: Vec<&str> = Vec::new();
    desk.job.record.each_id(|id, section, _| {
        if !matches!(section, "people" | "kit" | "levels") {
            known.push(id);
        }
    });
    let named: Vec<&str> =
        text.split(|c: char| !c.is_alphanumeric() && c != '_' && c != '-').filter(|w| known.contains(w)).collect();
    words::ids(named.into_iter().take(3))
}

/// Rows for one closing that fell after the last visit: what was seen before, and what was not.
fn covered(desk: &Desk<'_>, closing: &Closing, since: Option<NaiveDate>) -> Vec<SideRow> {
    let Some(date) = closing.date.get().copied().filter(|d| since.is_none_or(|s| *d > s)) else { return Vec::new() };
    let hides: Vec<String> = closing.hides.get().into_iter().flat_map(|l| l.iter()).map(|m| m.words()).collect();
    let seen_on = |item: &str| visit_that_saw(desk, item, date);
    let (seen, unseen): (Vec<&String>, Vec<&String>) = hides.iter().partition(|h| seen_on(h).is_some());
    let mut rows = Vec::new();
    // What one closing hid and one photo shows, or none, is one row: a trench full of pipes would fill the page.
    let photo_of = |item: &str| desk.photos_of(item.split(' ').next().unwrap_or(item)).first().copied();
    let mut alike: Vec<(Option<&str>, Vec<&str>)> = Vec::new();
    for item in unseen {
        let photo = photo_of(item);
        match alike.iter_mut().find(|(own, _)| *own == photo) {
            Some((_, items)) => items.push(item),
            None => alike.push((photo, vec![item])),
        }
    }
    let mut not_seen = |ids: Line, photo: Option<&str>| {
        let mut text = vec![plain(format!("Covered {}, ", day(date))), bold("not seen by you.")];
        if let Some(photo) = photo {
            text.push(plain(" Photo "));
            text.push(Run::Link { text: photo.to_owned(), to: Target::Here(words::anchor(photo)) });
            text.push(plain("."));
        }
        rows.push(SideRow { ids, text, ..SideRow::default() });
    };
    for (photo, items) in alike {
        not_seen(words::ids(items), photo);
    }
    if let Some((came, visit)) = seen.first().and_then(|h| seen_on(h)) {
        let mut text = vec![plain(format!("Seen {}, covered {}.", day(came), day(date)))];
        if let Some(said) = visit.said.get() {
            text.push(plain(" You said: "));
            text.push(bold(words::sentence(&said.0)));
        }
        rows.push(SideRow { ids: words::ids(seen.iter().map(|s| s.as_str())), text, ..SideRow::default() });
    }
    rows
}

/// The last visit before a day that saw an item, or a part of it.
fn visit_that_saw<'a>(desk: &'a Desk<'_>, item: &str, before: NaiveDate) -> Option<(NaiveDate, &'a Visit)> {
    let visits = desk.job.record.visits.iter().filter_map(|v| v.value.came.get().map(|d| (*d, &v.value)));
    visits
        .filter(|(came, _)| *came <= before)
        .filter(|(_, v)| v.saw.get().is_some_and(|l| l.iter().any(|m| m.words() == item || m.id == item)))
        .max_by_key(|(came, _)| *came)
}

/// What is there for a while, spare entries and ends of which nothing is known.
pub(super) fn temporary(desk: &Desk<'_>) -> Side {
    let record = desk.job.record;
    let mut rows: Vec<SideRow> = Vec::new();
    for item in &record.temporary {
        let what = item.body.what.get().map_or("", |w| w.0.as_str());
        let since = item.body.since.get().map_or(String::new(), |d| format!(" since {}", day(*d)));
        let until =
            item.body.until.get().map_or("; what ends it is not said".to_owned(), |u| format!(", until {}", u.0));
        let text = vec![plain(words::sentence(&format!("{what}{since}{until}")))];
        rows.push(SideRow {
            ids: words::mention(&item.id),
            text,
            anchor: Some(words::anchor(&item.id)),
            ..SideRow::default()
        });
    }
    for pipe in &record.pipes {
        for (key, spare) in pipe.body.spare.get().into_iter().flat_map(|m| &m.0) {
            let state = spare.get().and_then(|s| s.state.get()).map_or("state not recorded", |s| s.0.as_str());
            let text = vec![plain(format!("Spare entry on {}: {state}.", pipe.id))];
            rows.push(SideRow { ids: words::mention(&key.value), text, ..SideRow::default() });
        }
    }
    for (leg, item) in desk.job.network.legs.iter().zip(record.pipes.iter()) {
        if leg.ends.from == End::Unknown || leg.ends.to == End::Unknown {
            let live = match item.body.live.get() {
                Some(words) => format!("; live: {}", words.0),
                None if item.body.live.is_unknown() => "; not known if it is live".to_owned(),
                None => String::new(),
            };
            let end = if leg.ends.from == End::Unknown { "Where it comes from" } else { "Where it goes" };
            let text = vec![plain(format!("{end} is not known{live}."))];
            rows.push(SideRow { ids: words::mention(&item.id), text, ..SideRow::default() });
        }
    }
    super::side("Temporary, and open ends", "", "temporary", rows, "None recorded.", false)
}

/// What a dye test says: "put in at WC1, seen at MH0 from D2, not at OLD1".
pub(super) fn dye(item: &Item<Test>) -> String {
    let body = &item.body;
    let mut said = String::new();
    if let Some(from) = body.put_in.get() {
        said.push_str(&format!("put in at {}", from.0));
    }
    if let Some(at) = body.seen_at.get() {
        said.push_str(&format!(", seen at {}", at.words()));
    }
    let not: Vec<String> = body.not_at.get().map_or(Vec::new(), |l| l.iter().map(|m| m.words()).collect());
    if !not.is_empty() {
        said.push_str(&format!(", not at {}", not.join(", ")));
    }
    said
}

/// Pipe and element of every crossing that the record does not describe, and whether it must be one.
pub(crate) fn bare_crossings(desk: &Desk<'_>) -> Vec<(String, String, bool)> {
    let record = desk.job.record;
    desk.job
        .network
        .crossings
        .iter()
        .filter(|c| c.penetration.is_none())
        .filter_map(|c| Some((record.pipes.at(c.pipe)?, record.elements.at(c.element)?, c.certain)))
        .filter(|(pipe, _, _)| !matches!(pipe.body.stage_now(), Stage::Existing | Stage::Removed))
        .map(|(pipe, element, certain)| (pipe.id.clone(), element.id.clone(), certain))
        .collect()
}
