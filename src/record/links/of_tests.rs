//! What a test speaks of: pipes, chambers, the places of its plugs, clock times.

use crate::base::span::Spanned;
use crate::record::evidence::Test;
use crate::record::gauge::clock;
use crate::record::links::ENDS;
use crate::record::links::Links;
use crate::record::quantity::Station;
use crate::record::sections::Item;
use crate::record::value::Scalar;
use crate::record::value::clip;
use crate::record::words::Mention;
use chrono::NaiveTime;

/// Holds what a test speaks of against the record.
pub(super) fn check(item: &Item<Test>, links: &mut Links<'_, '_, '_>) {
    let path = |key: &str| format!("tests.{}.{key}", item.id);
    let test = &item.body;
    links.one(&test.again, &["tests"], &path("again"));
    links.many(&test.covers, &["pipes", "access"], &path("covers"));
    links.many(&test.plugs, ENDS, &path("plugs"));
    for plug in test.plugs.get().into_iter().flat_map(|l| &l.0) {
        place(plug, links, &path("plugs"));
    }
    links.one(&test.kit, &["kit"], &path("kit"));
    links.one(&test.put_in, ENDS, &path("put-in"));
    if let Some(seen) = test.seen_at.get() {
        links.id(&seen.id, test.seen_at.span, ENDS, path("seen-at"));
    }
    links.many(&test.not_at, ENDS, &path("not-at"));
    links.one(&test.from, ENDS, &path("from"));
    links.one(&test.to, ENDS, &path("to"));
    readings(test, links, &path("readings"));
    for (key, _) in test.seals_left.get().into_iter().flat_map(|m| &m.0) {
        links.id(&key.value, key.span, &["appliances"], path("seals-left"));
    }
    for (key, _) in test.filled.get().into_iter().flat_map(|m| &m.0) {
        links.id(&key.value, key.span, &["access"], path("filled"));
    }
}

/// A plug part of the way along a pipe says from which end: `D2 1.30 m up from IC1`.
fn place(plug: &Spanned<Mention>, links: &mut Links<'_, '_, '_>, path: &str) {
    let part = plug.value.part.as_deref().unwrap_or("");
    if !part.starts_with(|c: char| c.is_ascii_digit()) {
        return;
    }
    match plug.value.station() {
        Some(Station::Along { from, .. }) => links.id(&from, plug.span, ENDS, path.to_owned()),
        Some(Station::AboveFoot(_) | Station::Level(_)) => {}
        None => {
            let what = format!("`{}` is no place on a pipe", clip(part));
            let help = format!("write {}", <Station as Scalar>::FORM);
            links.fault(plug.span, "not readable", what, help, path.to_owned());
        }
    }
}

/// Reading keys are clock times.
fn readings(test: &Test, links: &mut Links<'_, '_, '_>, path: &str) {
    for (key, _) in test.readings.get().into_iter().flat_map(|m| &m.0) {
        if clock(key.value.trim()).is_none() {
            let what = format!("`{}` is no clock time", clip(&key.value));
            let help = format!("write {}", <NaiveTime as Scalar>::FORM);
            links.fault(key.span, "not readable", what, help, path.to_owned());
        }
    }
}
