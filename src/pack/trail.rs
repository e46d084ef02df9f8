//! What stands behind an item: when it was fitted, who saw it, which tests and photos show it, who measured it.

use crate::base::doc::Line;
use crate::base::doc::plain;
use crate::base::text::date;
use crate::base::text::list;
use crate::compute::tightness::Outcome;
use crate::pack::Desk;
use crate::pack::words;
use crate::record::pipework::Access;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;
use crate::record::value::Field;
use crate::record::words::Ref;
use chrono::NaiveDate;

/// Of an access point.
pub(crate) fn of_access(desk: &Desk<'_>, position: usize, item: &Item<Access>) -> Option<Line> {
    let tests = tests(desk, |outcome| outcome.chambers.contains(&position));
    let body = &item.body;
    line(desk, &item.id, [&body.fitted, &body.changed], tests, [&Field::default(), &body.kit])
}

/// Of a drain.
pub(crate) fn of_pipe(desk: &Desk<'_>, leg: usize, item: &Item<Pipe>) -> Option<Line> {
    let tests = tests(desk, |outcome| outcome.covers.contains(&leg));
    let body = &item.body;
    line(desk, &item.id, [&body.fitted, &body.changed], tests, [&body.by, &body.kit])
}

fn line(
    desk: &Desk<'_>,
    id: &str,
    [fitted, changed]: [&Field<NaiveDate>; 2],
    tests: Vec<&str>,
    [by, kit]: [&Field<Ref>; 2],
) -> Option<Line> {
    let day = |word: &str, field: &Field<NaiveDate>| field.get().map(|day| format!("{word} {}", date(*day)));
    let named = |word: &str, ids: Vec<String>| (!ids.is_empty()).then(|| format!("{word} {}", list(&ids, "and")));
    let counted =
        |word: &str, ids: Vec<String>| named(&if ids.len() == 1 { word.to_owned() } else { format!("{word}s") }, ids);
    let owned = |ids: Vec<&str>| ids.into_iter().map(str::to_owned).collect::<Vec<String>>();
    let said = [
        day("fitted", fitted),
        day("changed", changed),
        named("seen by", visits(desk, id)),
        counted("test", owned(tests)),
        counted("photo", owned(desk.photos_of(id))),
        by.get().map(|who| format!("measured by {}", who.0)),
        kit.get().map(|what| format!("read with {}", what.0)),
    ];
    let said: Vec<String> = said.into_iter().flatten().collect();
    (!said.is_empty()).then(|| vec![plain(words::sentence(&said.join("; ")))])
}

/// Who came and saw it, with the day.
fn visits(desk: &Desk<'_>, id: &str) -> Vec<String> {
    let all = desk.job.record.visits.iter().map(|visit| &visit.value);
    let saw = all.filter(|visit| visit.saw.get().is_some_and(|list| list.iter().any(|mention| mention.id == id)));
    let came = saw.map(|visit| {
        let who = visit.by.get().map_or("somebody", |by| by.0.as_str());
        visit.came.get().map_or(who.to_owned(), |day| format!("{who} {}", date(*day)))
    });
    came.collect()
}

fn tests<'a>(desk: &Desk<'a>, speaks: impl Fn(&Outcome) -> bool) -> Vec<&'a str> {
    let all = desk.job.record.tests.iter().zip(&desk.job.computed.tests);
    all.filter(|(_, outcome)| speaks(outcome)).map(|(item, _)| item.id.as_str()).collect()
}
