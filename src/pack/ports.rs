//! What stands under the row of a chamber: each pipe that comes in and each that leaves, on a line of its own.

use crate::base::doc::Line;
use crate::base::doc::plain;
use crate::base::doc::words as said;
use crate::base::known::How;
use crate::base::known::Known;
use crate::base::units::Invert;
use crate::base::units::Length;
use crate::compute::chambers::Chamber;
use crate::compute::chambers::Inlet;
use crate::network::ends::End;
use crate::network::height::Height;
use crate::network::kind::Kind;
use crate::pack::Desk;
use crate::pack::drains;
use crate::pack::words;
use crate::record::pipework::Access;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;
use crate::record::words::Stage;
use crate::record::words::Water;

/// Lines under the row of an access point; none where no drain comes in or leaves and nothing is said of its channel.
pub(crate) fn lines(desk: &Desk<'_>, position: usize, item: &Item<Access>) -> Vec<Line> {
    let Some(chamber) = desk.job.computed.chambers.get(position) else { return Vec::new() };
    let mut all: Vec<String> = chamber.inlets.iter().map(|inlet| into(desk, inlet)).collect();
    let leaving = leaving(desk, position);
    all.extend(leaving.iter().map(|leg| out(desk, *leg)));
    all.extend(outgoing(desk, chamber, leaving.len()));
    let channel = channel(desk, item);
    if !channel.is_empty() {
        all.push(channel.join("; "));
    }
    all.iter().map(|words| vec![plain(words::sentence(words))]).collect()
}

/// What its drains carry: foul, rain, or both.
pub(crate) fn water(desk: &Desk<'_>, position: usize) -> Option<&'static str> {
    let into = desk.job.computed.chambers.get(position).map(|c| c.inlets.iter().map(|i| i.leg).collect());
    let all: Vec<usize> = into.into_iter().chain([leaving(desk, position)]).flatten().collect();
    let rain = |leg: &usize| pipe(desk, *leg).is_some_and(|item| item.body.carries.get() == Some(&Water::Rain));
    match (all.iter().any(rain), all.iter().all(rain)) {
        _ if all.is_empty() => None,
        (false, _) => Some("foul"),
        (true, true) => Some("rain"),
        (true, false) => Some("foul and rain"),
    }
}

fn pipe<'a>(desk: &Desk<'a>, leg: usize) -> Option<&'a Item<Pipe>> {
    desk.job.record.pipes.at(leg)
}

/// The drains that leave an access point and are there or planned, in the order of the record.
fn leaving(desk: &Desk<'_>, position: usize) -> Vec<usize> {
    let there = |leg: usize| pipe(desk, leg).is_some_and(|item| item.body.stage_now() != Stage::Removed);
    let legs = desk.job.network.legs.iter().enumerate();
    let drains = legs.filter(|(_, l)| l.derived.kind == Kind::Drain && l.ends.from == End::Access(position));
    drains.map(|(leg, _)| leg).filter(|leg| there(*leg)).collect()
}

/// "In D1 from S1 foot, 110 mm PVC-U, = 98.118, 12 mm above what leaves, by a backdrop; turns 30 degrees".
fn into(desk: &Desk<'_>, inlet: &Inlet) -> String {
    let id = desk.job.network.id(inlet.leg);
    let level = said(&words::level(inlet.invert));
    let step = inlet.step.map_or(String::new(), |s| format!(", {}", above(s)));
    let how = inlet.entry.map_or(String::new(), |entry| match inlet.by_backdrop() {
        true => " by a backdrop".to_owned(),
        false => format!(", enters by {}", entry.word()),
    });
    let (from, size) = pipe(desk, inlet.leg).map_or((String::new(), String::new()), |item| {
        (first(desk, inlet.leg, item, 0), format!(", {}", said(&drains::size(&item.body))))
    });
    let turn = pipe(desk, inlet.leg).and_then(|item| crate::pack::access::into_channel(&item.body));
    let turn = turn.map_or(String::new(), |turn| format!("; {turn}"));
    format!("in {id} from {from}{size}, {level}{step}{how}{turn}")
}

/// The name of the upper or the lower end of a drain.
fn first(desk: &Desk<'_>, leg: usize, item: &Item<Pipe>, end: usize) -> String {
    drains::ends(desk, leg, item).get(end).map_or(String::new(), said)
}

fn above(step: Known<Length>) -> String {
    let far = format!("{}\u{a0}mm", step.value.abs().millimetres());
    let about = if step.how == How::Believed { "about\u{a0}" } else { "" };
    match step.value.um() {
        0 => format!("{about}level with what leaves"),
        1.. => format!("{about}{far} above what leaves"),
        _ => format!("{about}{far} below what leaves"),
    }
}

fn out(desk: &Desk<'_>, leg: usize) -> String {
    let id = desk.job.network.id(leg);
    let level = said(&words::level(desk.job.network.solved(leg).up));
    let (to, size) = pipe(desk, leg).map_or((String::new(), String::new()), |item| {
        (first(desk, leg, item, 1), format!(", {}", said(&drains::size(&item.body))))
    });
    format!("out {id} to {to}{size}, {level}")
}

/// Above which invert the steps are, where that is not plain: no drain leaves, or several do.
fn outgoing(desk: &Desk<'_>, chamber: &Chamber, leaving: usize) -> Option<String> {
    match (leaving, chamber.outlet) {
        (0, _) if !chamber.inlets.is_empty() => {
            Some(format!("out no drain in the record, {}", said(&words::level(chamber.outgoing))))
        }
        (2.., Some(leg)) => {
            let count = if leaving == 2 { "two".to_owned() } else { leaving.to_string() };
            Some(format!("{count} drains leave it; what leaves here means {}", desk.job.network.id(leg)))
        }
        _ => None,
    }
}

/// What is recorded of the channel and of the drawing.
fn channel(desk: &Desk<'_>, item: &Item<Access>) -> Vec<String> {
    let body = &item.body;
    let main = body.main_run.get().map(|main| format!("{} runs straight through", main.0));
    let drop = body.channel_drop.get();
    let drop = drop.map(|d| format!("its channel falls {}", words::known(&d.words(), body.channel_drop.how)));
    let drawn = body.il_drawn.get().map(|_| {
        let level: Option<Height<Invert>> = desk.job.network.height(&body.il_drawn, None);
        format!("the drawing has its invert at {}", said(&words::level(level)))
    });
    [main, drop, drawn].into_iter().flatten().collect()
}
