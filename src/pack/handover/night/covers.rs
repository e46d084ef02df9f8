//! The second step: the picture of the covers, and for each where it lies and what opens it.

use crate::base::doc::Figure;
use crate::base::doc::Line;
use crate::base::doc::Photo;
use crate::base::doc::Run;
use crate::base::doc::Step;
use crate::base::doc::StepPart;
use crate::base::doc::bold;
use crate::base::doc::plain;
use crate::base::doc::soft;
use crate::network::ends::End;
use crate::pack::figure::owners_plan;
use crate::pack::figure::owners_plan::OwnersMark;
use crate::pack::figure::owners_plan::OwnersPlan;
use crate::pack::handover::names;
use crate::pack::handover::night::Night;
use crate::pack::handover::night::aside;
use crate::pack::handover::way;
use crate::pack::words;
use crate::record::evidence::PhotoItem;
use crate::record::pipework::Access;
use crate::record::sections::Item;
use crate::record::words::AccessKind;
use crate::record::words::Stage;

/// The step: picture, photo, and a short paragraph a mark.
pub(super) fn find(night: &Night<'_, '_>) -> Step {
    let head = if night.covers.len() == 1 { "Find the cover" } else { "Find the covers" };
    let mut parts = Vec::new();
    if night.covers.is_empty() {
        let none = vec![
            bold("The record names no cover on this drain. "),
            plain(
                "Do not rod from inside the house. Call a drain firm. Once you know of a cover, write it down here: ",
            ),
            Run::WriteIn { mm: 60 },
        ];
        parts.push(StepPart::Text(none));
    } else {
        parts.push(StepPart::Picture(picture(night)));
        parts.push(beside(night));
    }
    Step { head: head.to_owned(), parts, ..Step::default() }
}

fn beside(night: &Night<'_, '_>) -> StepPart {
    let mut left = Vec::new();
    let mut right = Vec::new();
    for (i, cover) in night.covers.iter().enumerate() {
        let column = if i == 0 { &mut left } else { &mut right };
        column.push(where_it_is(night, i, cover));
        if i < 2 {
            column.push(tool(cover));
        }
    }
    if let Some(plug) = &night.plug {
        let name = words::capital(&names::renamed(&plug.id, &night.names));
        right.push(vec![bold(name), plain(" is for a drain firm: dirty water can stand behind it.")]);
    }
    left.push(aside("One pace is 0.75\u{a0}m. Not to scale."));
    StepPart::Beside { photo: photo(night), columns: [left, right] }
}

/// Where a cover is: from something fixed when the record says so, else so far along the drain.
fn where_it_is(night: &Night<'_, '_>, i: usize, cover: &Item<Access>) -> Line {
    let name = words::capital(&names::renamed(&cover.id, &night.names));
    let mut said: Vec<String> = Vec::new();
    let place = cover.body.place.get().map(|p| format!("in the {}", p.0)).filter(|_| i == 0);
    said.extend(place);
    match cover.body.place_from.get().map(|t| t.0.as_str()) {
        Some(words) => said.push(fixed_words(words)),
        None if i == 0 => {}
        None => said.push(match night.reach(i) {
            Some(l) => {
                format!("about {} along the drain from cover\u{a0}{i}; which way is not recorded", way::paces(l.value))
            }
            None => format!("how far from cover\u{a0}{i} is not recorded"),
        }),
    }
    let first = if i == 0 { " Open it first." } else { "" };
    let mut line = vec![bold(name)];
    if said.is_empty() {
        line.extend([plain(": where it is, is not recorded: "), Run::WriteIn { mm: 40 }, plain(".")]);
    } else {
        line.push(plain(format!(": {}.", said.join(", "))));
    }
    let old = cover.body.stage.get() == Some(&Stage::Existing);
    let state = cover.body.state.get().map(|w| w.0.as_str());
    line.push(plain(match (old, state) {
        (true, Some(state)) => format!(" It is old: {state}."),
        (true, None) => " It is old.".to_owned(),
        (false, _) => String::new(),
    }));
    line.push(plain(first));
    line
}

/// "1.9 m (2½ paces) out from yard-door jamb"; words that give no length stay as they are.
fn fixed_words(words: &str) -> String {
    way::fixed(words).map_or_else(
        || words.to_owned(),
        |f| {
            let about = if f.believed { "about " } else { "" };
            format!("{about}{} ({}) {} {}", f.written, way::paces(f.distance), f.direction, f.thing)
        },
    )
}

fn tool(cover: &Item<Access>) -> Line {
    match cover.body.tool.get() {
        Some(tool) => vec![plain("Tool: "), bold(tool.0.clone())],
        None => vec![plain("Tool: "), Run::WriteIn { mm: 38 }],
    }
}

/// The photo that shows the first cover, else one that looks towards it, else the empty frame.
fn photo(night: &Night<'_, '_>) -> Photo {
    let Some(first) = night.covers.first() else { return Photo::default() };
    let photos = &night.desk.job.record.photos;
    let can_be_shown = |p: &&Item<PhotoItem>| {
        night.desk.job.photos.get(&p.id).is_none_or(|fact| fact.fault.is_none()) && p.body.file.get().is_some()
    };
    let shows = |p: &&Item<PhotoItem>| p.body.shows.get().is_some_and(|l| l.iter().any(|m| m.id == first.id));
    let looks = |p: &&Item<PhotoItem>| p.body.looking.get().is_some_and(|t| names::mentions(&t.0, &first.id));
    let found = photos.iter().filter(can_be_shown).find(shows);
    let found = found.or_else(|| photos.iter().filter(can_be_shown).find(looks));
    let missing = "no photo of cover\u{a0}1".to_owned();
    let Some(item) = found else { return Photo { missing, ..Photo::default() } };
    let looking = item.body.looking.get().filter(|_| !shows(&item));
    let seen = looking.map_or("cover\u{a0}1".to_owned(), |t| names::renamed(&t.0, &night.names));
    let caption = vec![soft(format!("{}, {seen}", item.id))];
    let alt = format!("Photo {}: {seen}.", item.id);
    Photo { file: item.body.file.get().map(|t| t.0.clone()), missing, caption, alt, ..Photo::default() }
}

fn picture(night: &Night<'_, '_>) -> Figure {
    let plan = plan(night);
    let (drawing, upright) = (owners_plan::level(&plan), Some(owners_plan::upright(&plan)));
    Figure { anchor: "covers".to_owned(), drawing, upright, caption: Line::new() }
}

fn plan(night: &Night<'_, '_>) -> OwnersPlan {
    let network = &night.desk.job.network;
    let record = night.desk.job.record;
    let first = night.covers.first();
    let outside = first.and_then(|c| c.body.place.get()).map(|p| p.0.clone());
    let (has_wall, inside) = wall(night, outside.as_deref());
    let straight = first
        .and_then(|c| c.body.place_from.get())
        .and_then(|t| way::fixed(&t.0))
        .filter(|f| has_wall && f.direction == "out from");
    let from_thing = straight.map(|f| {
        let about = if f.believed { "about " } else { "" };
        let thing = f.thing.strip_prefix("the ").unwrap_or(&f.thing).to_owned();
        (thing, format!("{about}{}", way::paces(f.distance)))
    });
    let outfall = night.way.beyond.last().and_then(|l| network.legs.get(*l)).and_then(|l| match l.ends.to {
        End::Outfall(o) => record.outfalls.at(o),
        _ => None,
    });
    let beyond =
        outfall.map(|o| o.body.place.get().or_else(|| o.body.what.get()).map_or("", |t| t.0.as_str()).to_owned());
    let paces = (1..night.covers.len()).map(|i| night.reach(i).map(|l| format!("about {}", way::paces(l.value))));
    OwnersPlan {
        plug: night.plug.as_ref().map(|p| OwnersMark {
            number: u8::try_from(night.covers.len() + 1).unwrap_or(9),
            name: names::renamed(&p.id, &night.names),
            words: plug_words(p),
            ..OwnersMark::default()
        }),
        covers: night.covers.iter().enumerate().map(|(i, c)| mark(night, i, c)).collect(),
        inside,
        has_wall,
        outside,
        beyond,
        from_thing,
        paces: paces.collect(),
        beyond_is_old: night.way.beyond.iter().any(|l| way::stage(network, *l) == Stage::Existing),
    }
}

fn mark(night: &Night<'_, '_>, i: usize, cover: &Item<Access>) -> OwnersMark {
    let body = &cover.body;
    let size = body.cover_size.get().or_else(|| body.across.get());
    let square = size.map_or(body.what.get() == Some(&AccessKind::Manhole), |s| s.b.is_some());
    OwnersMark {
        number: u8::try_from(i + 1).unwrap_or(9),
        name: names::renamed(&cover.id, &night.names),
        words: if i == 0 { vec!["open this first".to_owned()] } else { Vec::new() },
        square,
    }
}

/// "on the pipe, 1.1 m up, boxed".
fn plug_words(plug: &way::Plug) -> Vec<String> {
    let height = plug.above_floor.as_ref().map(|m| format!("{} up", m.words()));
    let more: Vec<String> = [height, plug.reach.clone()].into_iter().flatten().collect();
    let mut lines = vec!["on the pipe".to_owned()];
    if !more.is_empty() {
        lines.push(more.join(", "));
    }
    lines
}

/// Whether the record knows a wall between the house and the first cover, and the place inside it.
fn wall(night: &Night<'_, '_>, outside: Option<&str>) -> (bool, Option<String>) {
    let network = &night.desk.job.network;
    let on_the_way = |pipe: usize| night.way.legs.iter().any(|l| network.legs.get(*l).is_some_and(|l| l.pipe == pipe));
    let sides = network.crossings.iter().filter(|c| on_the_way(c.pipe)).find_map(|c| {
        let element = network.record.elements.at(c.element)?;
        let between: Vec<&str> = element.body.between.get()?.iter().map(|t| t.0.as_str()).collect();
        let out = outside?;
        between.contains(&out).then(|| between.iter().find(|p| **p != out).map(|p| (*p).to_owned()))
    });
    match sides {
        Some(inside) => (true, inside),
        None => (false, Some("house".to_owned())),
    }
}
