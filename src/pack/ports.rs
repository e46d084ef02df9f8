//! What stands under the row of a chamber: each pipe that comes in with its invert and step, and the one that leaves.

use crate::base::doc::Line;
use crate::base::doc::plain;
use crate::base::doc::words as said;
use crate::base::known::How;
use crate::base::known::Known;
use crate::base::units::Invert;
use crate::base::units::Length;
use crate::compute::chambers::Chamber;
use crate::compute::chambers::Inlet;
use crate::network::height::Height;
use crate::pack::Desk;
use crate::pack::words;
use crate::record::pipework::Access;
use crate::record::sections::Item;

/// Lines under the row of an access point; none where no drain comes in and nothing is said of its channel.
pub(crate) fn lines(desk: &Desk<'_>, position: usize, item: &Item<Access>) -> Vec<Line> {
    let Some(chamber) = desk.job.computed.chambers.get(position) else { return Vec::new() };
    let mut all: Vec<String> = chamber.inlets.iter().map(|inlet| port(desk, inlet)).collect();
    if !all.is_empty() {
        all.push(out(desk, chamber));
    }
    all.extend(channel(desk, item));
    if all.is_empty() { Vec::new() } else { vec![vec![plain(format!("{}.", words::capital(&all.join("; "))))]] }
}

fn port(desk: &Desk<'_>, inlet: &Inlet) -> String {
    let id = desk.job.network.id(inlet.leg);
    let level = said(&words::level(inlet.invert));
    let step = inlet.step.map_or(String::new(), |s| format!(", {}", above(s)));
    let how = if inlet.by_backdrop() { " by a backdrop" } else { "" };
    format!("in {id} {level}{step}{how}")
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

fn out(desk: &Desk<'_>, chamber: &Chamber) -> String {
    let id = chamber.outlet.map_or("no drain in the record", |leg| desk.job.network.id(leg));
    format!("out {id} {}", said(&words::level(chamber.outgoing)))
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
