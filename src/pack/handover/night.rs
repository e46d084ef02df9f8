//! The owner's first page: stop the water, find the covers, look, rod or call. What is unknown is a line to write on.

use crate::base::doc::Block;
use crate::base::doc::Case;
use crate::base::doc::Fact;
use crate::base::doc::Line;
use crate::base::doc::Never;
use crate::base::doc::Opening;
use crate::base::doc::Parts;
use crate::base::doc::Run;
use crate::base::doc::Step;
use crate::base::doc::StepPart;
use crate::base::doc::bold;
use crate::base::doc::plain;
use crate::base::doc::soft;
use crate::base::known::How;
use crate::base::known::Known;
use crate::base::text::list;
use crate::base::units::Length;
use crate::network::ends::End;
use crate::network::kind::Kind;
use crate::pack::Desk;
use crate::pack::handover::names;
use crate::pack::handover::way;
use crate::pack::handover::way::Plug;
use crate::pack::handover::way::Way;
use crate::pack::words;
use crate::record::about::Home;
use crate::record::pipework::Access;
use crate::record::sections::Item;

mod covers;

/// What the first page is made from.
pub(crate) struct Night<'a, 'd> {
    desk: &'a Desk<'d>,
    way: Way,
    /// The covers with a mark, at most three.
    covers: Vec<&'a Item<Access>>,
    /// The plug, when a mark is left for it.
    plug: Option<Plug>,
    /// What each id is called on the page.
    names: Vec<(String, String)>,
}

impl<'a, 'd> Night<'a, 'd> {
    fn of(desk: &'a Desk<'d>) -> Self {
        let network = &desk.job.network;
        let way = way::find(network);
        let at = |a: &usize| desk.job.record.access.at(*a);
        let covers: Vec<&Item<Access>> = way.covers.iter().take(3).filter_map(at).collect();
        let plug = way::plug(network, &way).filter(|_| covers.len() < 3);
        let mut names: Vec<(String, String)> =
            covers.iter().enumerate().map(|(i, c)| (c.id.clone(), format!("cover\u{a0}{}", i + 1))).collect();
        if let Some(plug) = &plug {
            names.push((plug.id.clone(), format!("plug\u{a0}{}", covers.len() + 1)));
        }
        Self { desk, way, covers, plug, names }
    }

    /// A length to rod, in whole metres, or a line to write it on.
    fn about(&self, length: Option<Known<Length>>) -> Line {
        match length {
            Some(l) => vec![bold(format!("about\u{a0}{}.", way::rods(l.value)))],
            None => vec![bold("about "), Run::WriteIn { mm: 12 }, bold(" m.")],
        }
    }

    fn reach(&self, cover: usize) -> Option<Known<Length>> {
        self.way.reaches.get(cover).copied().flatten()
    }
}

/// Adds every block of the first page; gives their names in order.
pub(crate) fn add(desk: &Desk<'_>, parts: &mut Parts) -> Vec<&'static str> {
    let night = Night::of(desk);
    let homes = dwellings(desk);
    let opening = Opening { title: vec![plain("Blocked drain: start here")], under: under(&homes) };
    parts.blocks.insert("opening".to_owned(), vec![Block::Opening(opening)]);
    let mut steps: Vec<(&'static str, Step)> =
        vec![("stop-water", stop_water(&night, &homes)), ("find-covers", covers::find(&night))];
    if !night.covers.is_empty() {
        steps.push(("look", look(&night)));
    }
    steps.push(("call", call(desk)));
    let mut order = Vec::new();
    for (number, (name, step)) in (1..).zip(steps) {
        let step = Step { number: number.to_string(), anchor: name.to_owned(), ..step };
        parts.blocks.insert(name.to_owned(), vec![Block::Step(step)]);
        order.push(name);
    }
    parts.blocks.insert("never".to_owned(), vec![Block::Never(never(&night))]);
    order.push("never");
    order
}

/// The dwellings on this drain: those with a stop tap, and other flats that appliances stand in.
pub(crate) fn dwellings(desk: &Desk<'_>) -> Vec<String> {
    let record = desk.job.record;
    let taps = record.home.stop_taps.get().into_iter().flat_map(|m| &m.0).map(|(key, _)| key.value.clone());
    let mut homes: Vec<String> = taps.collect();
    for item in &record.appliances {
        let Some(place) = item.body.place.get().map(|p| p.0.clone()) else { continue };
        let is_home =
            ["flat", "house", "apartment", "cottage", "maisonette"].iter().any(|w| place.to_lowercase().starts_with(w));
        if is_home && !homes.contains(&place) {
            homes.push(place);
        }
    }
    homes
}

fn under(homes: &[String]) -> Line {
    match homes {
        [] | [_] => vec![plain("Do these steps in order.")],
        [_, _] => {
            let both = words::capital(&list(homes, "and"));
            vec![plain(format!("{both} share this drain. A blockage can come up in the other one."))]
        }
        _ => {
            let all = words::capital(&list(homes, "and"));
            vec![plain(format!("{all} share this drain. A blockage can come up in any of them."))]
        }
    }
}

fn stop_water(night: &Night<'_, '_>, homes: &[String]) -> Step {
    let (head, tell) = match homes.len() {
        0 | 1 => ("Stop the water", None),
        2 => ("Stop the water in both homes", Some("Go and tell them.")),
        _ => ("Stop the water in every home", Some("Go and tell them all.")),
    };
    let mut text = vec![plain("No flushing, no taps, no washing machine")];
    if tell.is_some() {
        text.extend([plain(", "), bold(format!("in {}", list(homes, "and in")))]);
    }
    text.push(plain(format!(". {}", tell.unwrap_or_default())));
    for item in &night.desk.job.record.temporary {
        let what = item.body.what.get().map_or("", |t| t.0.as_str());
        if night.covers.iter().any(|c| names::mentions(what, &c.id)) {
            let renamed = names::renamed(what, &night.names);
            text.push(plain(format!(" For now: {}.", renamed.trim_end_matches('.'))));
        }
    }
    let home = &night.desk.job.record.home;
    let taps =
        if homes.is_empty() { vec![tap(home, "the house")] } else { homes.iter().map(|h| tap(home, h)).collect() };
    Step { head: head.to_owned(), parts: vec![StepPart::Text(text), StepPart::Blanks(taps)], ..Step::default() }
}

fn tap(home: &Home, dwelling: &str) -> Fact {
    let place = home.stop_taps.get().and_then(|m| m.get(dwelling)).and_then(|f| f.get());
    let value = place.map_or_else(|| vec![Run::WriteIn { mm: 46 }], |t| vec![bold(t.0.clone())]);
    Fact { label: format!("Water stop tap: {dwelling}"), value }
}

fn look(night: &Night<'_, '_>) -> Step {
    let mut cases = vec![Case { found: vec![bold("Cover\u{a0}1 is dry")], then: dry(night) }];
    if night.covers.len() > 1 {
        let found = vec![bold("Cover\u{a0}1 is full,"), plain(" cover\u{a0}2\u{a0}is\u{a0}dry")];
        let mut then = vec![plain("The blockage is between cover\u{a0}1 and cover\u{a0}2. ")];
        then.push(bold("Rod from cover\u{a0}2 back towards cover\u{a0}1, "));
        then.extend(night.about(night.reach(1)));
        then.push(plain(" It lets go with a rush: stand to one side."));
        cases.push(Case { found, then });
        let found = vec![bold("Cover\u{a0}1 is full,"), plain(" cover\u{a0}2\u{a0}is\u{a0}full\u{a0}too")];
        cases.push(Case { found, then: beyond(night, 2) });
    } else {
        cases.push(Case { found: vec![bold("Cover\u{a0}1 is full")], then: beyond(night, 1) });
    }
    let rods = vec![
        bold("Turn the rods clockwise only"),
        plain(", in and out. Turned the other way they unscrew and stay there."),
    ];
    Step {
        head: "Lift cover 1, stand back, look in from above".to_owned(),
        parts: vec![StepPart::Cases(cases), StepPart::Text(rods)],
        ..Step::default()
    }
}

/// The first cover is dry: the blockage is between it and the house. Side drains past which rods run are told.
fn dry(night: &Night<'_, '_>) -> Line {
    let mut then = vec![plain("The blockage is between the house and cover\u{a0}1. ")];
    then.push(bold("Rod from cover\u{a0}1 towards the house, "));
    then.extend(night.about(night.reach(0)));
    let network = &night.desk.job.network;
    let first = night.way.covers.first().map(|c| End::Access(*c));
    if network.legs.iter().filter(|l| Some(l.ends.to) == first && l.derived.kind == Kind::Drain).count() > 1 {
        then.push(plain(" More than one pipe comes into it: rod the one from the blocked fitting."));
    }
    let served = way::served(network);
    let lone: Vec<String> = night
        .way
        .passed
        .iter()
        .flat_map(|leg| served.get(*leg).into_iter().flatten())
        .filter_map(|a| night.desk.job.record.appliances.at(*a))
        .map(names::appliance_in)
        .collect();
    if !lone.is_empty() {
        let pipe = if lone.len() == 1 { "its pipe" } else { "their pipe" };
        then.push(plain(format!(
            " Only {} blocked? Call a drain firm: rods from here do not turn into {pipe}.",
            list(&lone, "or")
        )));
    }
    then
}

/// The last cover that is asked about is full: the blockage is beyond it, and not the owner's to rod.
fn beyond(night: &Night<'_, '_>, cover: usize) -> Line {
    let here = format!("cover\u{a0}{cover}");
    if let Some(next) = night.covers.get(cover) {
        let name = names::renamed(&next.id, &night.names);
        let mut then = vec![plain(format!("The blockage is beyond {here}. ")), bold("Do not rod. Call a drain firm")];
        let paces = night.reach(cover).map_or(String::new(), |l| format!(", about {} further on", way::paces(l.value)));
        then.push(plain(format!(" and tell them that {name} comes next{paces}.")));
        return then;
    }
    let network = &night.desk.job.network;
    let last = night.way.beyond.last().and_then(|l| network.legs.get(*l));
    let pipe =
        night.way.beyond.first().and_then(|l| network.legs.get(*l)).and_then(|l| network.record.pipes.at(l.pipe));
    let outfall = last.and_then(|l| match l.ends.to {
        End::Outfall(o) => network.record.outfalls.at(o),
        _ => None,
    });
    let what = outfall.and_then(|o| o.body.what.get()).map_or("", |t| t.0.as_str());
    let place = outfall.and_then(|o| o.body.place.get()).map(|p| p.0.as_str());
    let old = pipe.is_some_and(|p| p.body.stage_now() == crate::record::words::Stage::Existing);
    let old = if old { "old " } else { "" };
    let way_on = match (place, pipe.is_some()) {
        (Some(place), _) => format!(", in the {old}pipe to the {place}"),
        (None, true) => format!(", in the {old}pipe that leads on"),
        (None, false) => String::new(),
    };
    let mut then = vec![plain(format!("The blockage is beyond {here}{way_on}. ")), bold("Do not rod. ")];
    if what.to_lowercase().contains("sewer") {
        then.push(bold("Call the sewerage company."));
        let carries = pipe.map(|p| &p.body.also_carries).filter(|f| f.get().is_some());
        let others = match carries.map(|f| f.how) {
            Some(Some(How::Believed)) => "Others are believed to drain through it too. ",
            Some(_) => "Others drain through it too. ",
            None => "",
        };
        then.push(plain(format!(" {others}Whose that pipe is, nobody has confirmed.")));
    } else if what.is_empty() {
        then.push(bold("Call a drain firm."));
        then.push(plain(" Where that pipe leads is not in the record."));
    } else {
        then.push(bold("Call a drain firm."));
        then.push(plain(format!(" It leads to a {what}.")));
    }
    then
}

/// Whom to call: a telephone only where the record gives one, else a line to write on.
fn call(desk: &Desk<'_>) -> Step {
    let usual = ["drain firm", "sewerage undertaker", "insurer"];
    let map = desk.job.record.home.call.get();
    let given: Vec<&str> = map.into_iter().flat_map(|m| &m.0).map(|(key, _)| key.value.as_str()).collect();
    let missing = usual.into_iter().filter(|u| !given.contains(u));
    let known = |key: &str| map.and_then(|m| m.get(key)).and_then(|f| f.get()).map(|t| t.0.clone());
    let line = |said: Option<String>| said.map_or_else(|| vec![Run::WriteIn { mm: 46 }], |t| vec![bold(unbroken(&t))]);
    let mut facts: Vec<Fact> = given
        .iter()
        .copied()
        .chain(missing)
        .map(|key| {
            let label = match key {
                "sewerage undertaker" => "Sewerage company".to_owned(),
                other => words::capital(other),
            };
            Fact { label, value: line(known(key)) }
        })
        .collect();
    if let Some((name, phone)) = names::person(&desk.job.network, "installer") {
        facts.push(Fact { label: format!("{name}, who laid it"), value: line(phone) });
    }
    Step { head: "Call".to_owned(), parts: vec![StepPart::Blanks(facts)], ..Step::default() }
}

/// With the digits of a telephone held together.
fn unbroken(text: &str) -> String {
    let chars: Vec<char> = text.chars().collect();
    let is_digit = |i: Option<usize>| i.and_then(|i| chars.get(i)).is_some_and(char::is_ascii_digit);
    let inside = |i: usize| is_digit(i.checked_sub(1)) && is_digit(Some(i + 1));
    chars.iter().enumerate().map(|(i, c)| if *c == ' ' && inside(i) { '\u{a0}' } else { *c }).collect()
}

fn never(night: &Night<'_, '_>) -> Never {
    let mut items = vec![
        "put your head or body into a chamber: the air can kill",
        "smoke or bring a flame near an open cover",
        "leave a cover off, or let children near it",
        "pour drain cleaner in, then rod it",
        "touch sockets or switches in a wet room: call an electrician",
        "eat or smoke before washing hands and cuts",
    ];
    if night.plug.is_some() {
        items.insert(3, "open a plug on a pipe: dirty water can stand behind it");
    }
    Never { head: "Never".to_owned(), items: items.into_iter().map(|i| vec![plain(i)]).collect() }
}

/// Small grey words at the end of a paragraph.
fn aside(text: &str) -> Line {
    vec![soft(text)]
}
