//! Ids that other items speak of: each has to be somewhere in the record, and only once.

mod each_level;
mod of_protection;
mod of_tests;
mod places_along;

use crate::base::span::Span;
use crate::record::fault::nearest;
use crate::record::ground::Bed;
use crate::record::pipework::FootOf;
use crate::record::quantity::Station;
use crate::record::sections::Record;
use crate::record::value::Cx;
use crate::record::value::Field;
use crate::record::value::ListOf;
use crate::record::value::clip;
use crate::record::words::Mention;
use crate::record::words::Ref;
use crate::record::words::Text;
use std::collections::BTreeMap;
use std::collections::BTreeSet;

/// The sections an id may be in.
type Sections = &'static [&'static str];

const PIPES: Sections = &["pipes"];
const FLOWS_FROM: Sections = &["appliances", "pipes", "access", "temporary"];
const FLOWS_TO: Sections = &["pipes", "access", "outfalls"];
const TOPS: Sections = &["pipes", "terminals", "temporary"];
const ENDS: Sections = &["pipes", "access", "appliances", "outfalls", "piece"];
const ANY: Sections = &[];

/// Holds every id that is spoken of against the ids that there are.
pub fn check(record: &Record, cx: &mut Cx<'_>) {
    let ids = gather(record, cx);
    let mut links = Links { ids: &ids, unread: &record.unread, cx };
    pipes(record, &mut links);
    water(record, &mut links);
    evidence(record, &mut links);
    of_protection::check(record, &mut links);
    about(record, &mut links);
    levels(record, &mut links);
    circles(record, &mut links);
}

/// Every id with its section; pieces on stacks (access pipes, spare entries) are of the section `piece`.
fn gather<'a>(record: &'a Record, cx: &mut Cx<'_>) -> BTreeMap<&'a str, Vec<&'static str>> {
    let mut ids: BTreeMap<&str, Vec<&'static str>> = BTreeMap::new();
    let mut twice: Vec<(&str, Span, &'static str)> = Vec::new();
    let mut put = |id: &'a str, section: &'static str, span: Span| {
        let homes = ids.entry(id).or_default();
        // People and kit are named in other ways than items, so they may share a letter with one.
        let own = |s: &str| s == "people" || s == "kit" || s == "levels";
        if let Some(first) = homes.iter().find(|h| !own(h) && !own(section) && **h != section) {
            twice.push((id, span, first));
        }
        homes.push(section);
    };
    record.each_id(&mut put);
    for pipe in &record.pipes {
        for (key, _) in pipe.body.access.get().into_iter().flat_map(|m| &m.0) {
            put(&key.value, "piece", key.span);
        }
        for (key, _) in pipe.body.spare.get().into_iter().flat_map(|m| &m.0) {
            put(&key.value, "piece", key.span);
        }
    }
    for (id, span, first) in twice {
        let what = format!("the id `{id}` already stands under `{first}`");
        cx.fault(span, "said twice", what, "an id stands for one thing in the whole record: give this one another");
    }
    ids
}

struct Links<'a, 'c, 's> {
    ids: &'a BTreeMap<&'a str, Vec<&'static str>>,
    unread: &'a BTreeSet<&'static str>,
    cx: &'c mut Cx<'s>,
}

impl Links<'_, '_, '_> {
    fn id(&mut self, id: &str, span: Span, allowed: Sections, path: String) {
        let homes = self.ids.get(id);
        let fits = |s: &&'static str| allowed.is_empty() || allowed.contains(s);
        if homes.is_some_and(|h| h.iter().any(&fits)) {
            return;
        }
        // What stands in a section that could not be read is not to be reported a second time.
        if self.unread.iter().any(fits) {
            return;
        }
        let (what, help) = if self.cx.listening() { self.lost(id, allowed) } else { (String::new(), String::new()) };
        self.fault(span, "no such id", what, help, path);
    }

    /// What is wrong with an id that is not where it should be, and what would do.
    fn lost(&self, id: &str, allowed: Sections) -> (String, String) {
        let wanted = if allowed.is_empty() { "any section".to_owned() } else { allowed.join(", ") };
        if let Some(home) = self.ids.get(id).and_then(|h| h.first()) {
            return (format!("`{id}` stands under `{home}`"), format!("name something from {wanted}"));
        }
        let fits = |s: &&'static str| allowed.is_empty() || allowed.contains(s);
        let known = self.ids.iter().filter(|(_, h)| h.iter().any(&fits)).map(|(k, _)| *k);
        let id = clip(id);
        let help = nearest(&id, known).map_or_else(
            || format!("add `{id}` to the record, or name something that is in it ({wanted})"),
            |near| format!("did you mean `{near}`?"),
        );
        (format!("nothing in the record has the id `{id}`"), help)
    }

    fn fault(&mut self, span: Span, kind: &'static str, what: String, help: String, path: String) {
        self.cx.path = vec![path];
        self.cx.fault(span, kind, what, help);
        self.cx.path.clear();
    }

    fn one(&mut self, field: &Field<Ref>, allowed: Sections, path: &str) {
        if let Some(id) = field.get() {
            self.id(&id.0, field.span, allowed, path.to_owned());
        }
    }

    fn many(&mut self, field: &Field<ListOf<Mention>>, allowed: Sections, path: &str) {
        for mention in field.get().into_iter().flat_map(|l| &l.0) {
            self.id(&mention.value.id, mention.span, allowed, path.to_owned());
        }
    }

    fn station(&mut self, field: &Field<Station>, path: &str) {
        if let Some(Station::Along { from, .. }) = field.get() {
            self.id(from, field.span, ENDS, path.to_owned());
        }
    }
}

fn pipes(record: &Record, links: &mut Links<'_, '_, '_>) {
    for item in &record.pipes {
        let (id, pipe) = (&item.id, &item.body);
        let path = |key: &str| format!("pipes.{id}.{key}");
        links.one(&pipe.from, FLOWS_FROM, &path("from"));
        links.one(&pipe.to, FLOWS_TO, &path("to"));
        links.one(&pipe.top, TOPS, &path("top"));
        links.one(&pipe.kit, &["kit"], &path("kit"));
        links.one(&pipe.by, &["people"], &path("by"));
        links.station(&pipe.at, &path("at"));
        match pipe.foot.get() {
            Some(FootOf::On(stack)) => links.id(stack, pipe.foot.span, PIPES, path("foot")),
            Some(FootOf::Is(foot)) => links.one(&foot.into, FLOWS_TO, &path("foot.into")),
            None => {}
        }
        if let Some(Bed::As(other)) = pipe.bed.get() {
            links.id(other, pipe.bed.span, PIPES, path("bed"));
        }
        if let Some(design) = pipe.designed.get() {
            links.one(&design.doc, &["documents"], &path("designed.doc"));
        }
        for (key, _) in pipe.foundations.get().into_iter().flat_map(|m| &m.0) {
            links.id(&key.value, key.span, &["elements"], path("foundations"));
        }
        for (key, along) in [("il-along", &pipe.il_along), ("ground-line", &pipe.ground_line)] {
            for (place, _) in along.get().into_iter().flat_map(|m| &m.0) {
                places_along::check(item, place, links, path(key));
            }
        }
        for at in pipe.bends_at.get().into_iter().flat_map(|l| &l.0) {
            links.id(&at.value.0, at.span, &["access", "pipes"], path("bends-at"));
        }
        for (key, at) in pipe.access.get().into_iter().flat_map(|m| &m.0) {
            links.station(at, &path(&key.value));
        }
        for (key, spare) in pipe.spare.get().into_iter().flat_map(|m| &m.0) {
            if let Some(spare) = spare.get() {
                links.station(&spare.at, &path(&key.value));
            }
        }
    }
}

fn water(record: &Record, links: &mut Links<'_, '_, '_>) {
    for item in &record.appliances {
        links.one(&item.body.into, &["appliances"], &format!("appliances.{}.into", item.id));
    }
    for item in &record.access {
        links.one(&item.body.kit, &["kit"], &format!("access.{}.kit", item.id));
        links.one(&item.body.main_run, PIPES, &format!("access.{}.main-run", item.id));
    }
    for item in &record.openings {
        for (key, _) in item.body.from.get().into_iter().flat_map(|m| &m.0) {
            links.id(&key.value, key.span, &["terminals"], format!("openings.{}.from", item.id));
        }
    }
    for item in &record.temporary {
        links.one(&item.body.into, &["access", "pipes", "outfalls"], &format!("temporary.{}.into", item.id));
    }
    for item in &record.nearby {
        for (key, _) in item.body.from.get().into_iter().flat_map(|m| &m.0) {
            links.id(&key.value, key.span, &["pipes", "access"], format!("nearby.{}.from", item.id));
        }
    }
}

fn evidence(record: &Record, links: &mut Links<'_, '_, '_>) {
    for item in &record.penetrations {
        let path = |key: &str| format!("penetrations.{}.{key}", item.id);
        links.one(&item.body.pipe, PIPES, &path("pipe"));
        links.one(&item.body.element, &["elements"], &path("element"));
        for face in [&item.body.below, &item.body.above] {
            if let Some(face) = face.get() {
                links.one(&face.doc, &["documents"], &path("doc"));
            }
        }
    }
    for item in &record.tests {
        of_tests::check(item, links);
    }
    for item in &record.levels {
        links.one(&item.body.mark.photo, &["photos"], &format!("levels.{}.photo", item.id));
    }
    for item in &record.photos {
        links.many(&item.body.shows, ANY, &format!("photos.{}.shows", item.id));
        links.one(&item.body.by, &["people"], &format!("photos.{}.by", item.id));
    }
    for (i, closing) in record.closings.iter().enumerate() {
        links.many(&closing.value.hides, ANY, &format!("closings.entry {}.hides", i + 1));
    }
}

fn about(record: &Record, links: &mut Links<'_, '_, '_>) {
    links.one(&record.usual.by, &["people"], "usual.by");
    links.one(&record.usual.kit, &["kit"], "usual.kit");
    for (i, decision) in record.decisions.iter().enumerate() {
        links.one(&decision.value.by, &["people"], &format!("decisions.entry {}.by", i + 1));
    }
    for item in &record.questions {
        links.many(&item.body.about, ANY, &format!("questions.{}.about", item.id));
    }
    for (i, visit) in record.visits.iter().enumerate() {
        links.one(&visit.value.by, &["people"], &format!("visits.entry {}.by", i + 1));
        links.many(&visit.value.saw, ANY, &format!("visits.entry {}.saw", i + 1));
        stage(record, &visit.value.stage, links, &format!("visits.entry {}.stage", i + 1));
    }
    stage(record, &record.job.stage, links, "job.stage");
    places(record, links);
}

fn places(record: &Record, links: &mut Links<'_, '_, '_>) {
    let Some(places) = record.places.get() else { return };
    let names: BTreeSet<&str> = places.iter().map(|t| t.0.as_str()).chain(["outside"]).collect();
    let mut see = |name: &str, span: Span, path: String| {
        if !names.contains(name) {
            no_such_place(&names, name, span, links, path);
        }
    };
    let inside = |field: &Field<Text>| field.get().map(|t| (t.0.clone(), field.span));
    for item in &record.appliances {
        inside(&item.body.place).into_iter().for_each(|(n, s)| see(&n, s, format!("appliances.{}.in", item.id)));
    }
    for item in &record.access {
        inside(&item.body.place).into_iter().for_each(|(n, s)| see(&n, s, format!("access.{}.in", item.id)));
    }
    for item in &record.terminals {
        inside(&item.body.place).into_iter().for_each(|(n, s)| see(&n, s, format!("terminals.{}.in", item.id)));
    }
    for item in &record.outfalls {
        inside(&item.body.place).into_iter().for_each(|(n, s)| see(&n, s, format!("outfalls.{}.in", item.id)));
    }
    for item in &record.elements {
        for side in item.body.between.get().into_iter().flat_map(|l| &l.0) {
            see(&side.value.0, side.span, format!("elements.{}.between", item.id));
        }
    }
}

fn no_such_place(names: &BTreeSet<&str>, name: &str, span: Span, links: &mut Links<'_, '_, '_>, path: String) {
    let near = if links.cx.listening() { nearest(name, names.iter().copied()) } else { None };
    let help = match near {
        Some(near) => format!("did you mean `{near}`?"),
        None => {
            let some: Vec<&str> = names.iter().copied().take(20).collect();
            format!("add it to `places`, or name one of {}", some.join(", "))
        }
    };
    links.fault(span, "no such place", format!("no place is called `{}`", clip(name)), help, path);
}

fn stage(record: &Record, field: &Field<Text>, links: &mut Links<'_, '_, '_>, path: &str) {
    let Some(Text(name)) = field.get() else { return };
    let names: Vec<&str> = record.stages.iter().filter_map(|s| s.value.name.get()).map(|n| n.0.as_str()).collect();
    if names.is_empty() || names.contains(&name.as_str()) {
        return;
    }
    let help = nearest(name, names.iter().copied())
        .map_or_else(|| format!("the stages are {}", names.join("; ")), |near| format!("did you mean `{near}`?"));
    links.fault(field.span, "no such stage", format!("no stage is called `{}`", clip(name)), help, path.to_owned());
}

/// Named levels that levels start from. With no section `levels` at all every name stands for a height of its own.
fn levels(record: &Record, links: &mut Links<'_, '_, '_>) {
    if record.unread.contains("levels") || !record.present.iter().any(|p| p.value == "levels") {
        return;
    }
    record.each_level(|at, span, path| {
        let Some(base) = &at.base else { return };
        if record.levels.get(base).is_some() {
            return;
        }
        let names = record.levels.iter().map(|l| l.id.as_str());
        let near = if links.cx.listening() { nearest(base, names.clone()) } else { None };
        let help = match near {
            Some(near) => format!("did you mean `{near}`?"),
            None => format!("the levels are {}", names.take(20).collect::<Vec<_>>().join(", ")),
        };
        links.fault(span, "no such level", format!("no level is called `{}`", clip(base)), help, path);
    });
}

/// Levels that start from one another in a circle have no height.
fn circles(record: &Record, links: &mut Links<'_, '_, '_>) {
    let base = |i: usize| {
        let is = record.levels.iter().nth(i)?.body.mark.is.get()?;
        record.levels.position(is.base.as_deref()?)
    };
    // Each level is walked once: `seen` holds the walk that first came by.
    let mut seen: Vec<Option<usize>> = vec![None; record.levels.len()];
    for start in 0..record.levels.len() {
        let mut at = Some(start);
        while let Some(i) = at.filter(|i| seen.get(*i).is_some_and(Option::is_none)) {
            if let Some(mark) = seen.get_mut(i) {
                *mark = Some(start);
            }
            at = base(i);
        }
        let Some(item) = at.filter(|i| seen.get(*i) == Some(&Some(start))).and_then(|i| record.levels.iter().nth(i))
        else {
            continue;
        };
        let what = format!("the level `{}` starts from itself, by way of others", clip(&item.id));
        let help = "let one of them be a height above the datum: `TBM: 100.000 m`";
        links.fault(item.body.mark.is.span, "a circle", what, help.to_owned(), format!("levels.{}", item.id));
    }
}
