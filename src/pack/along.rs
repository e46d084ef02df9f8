//! What stands under the row of a drain whose gradient changes, that drops through a backdrop, or over which the ground
//! was levelled.

use crate::base::doc::Line;
use crate::base::doc::bold;
use crate::base::doc::plain;
use crate::base::doc::words as said;
use crate::base::known::KnownGradient;
use crate::base::units::Length;
use crate::compute::cover;
use crate::network::height::Height;
use crate::pack::Desk;
use crate::pack::words;
use crate::record::along::AlongPipe;
use crate::record::pipework::Pipe;
use crate::record::quantity::LevelAt;
use crate::record::sections::Item;
use crate::record::value::Field;

/// The lines under a drain's row of levels.
pub(crate) fn remarks(desk: &Desk<'_>, leg: usize, item: &Item<Pipe>) -> Vec<Line> {
    let mut all = Vec::new();
    all.extend(pieces(desk, leg, item));
    // Of a drain that is judged, the verdict says so.
    if desk.finding_of("drain-gradient", &item.id).is_none() {
        all.extend(backwards(desk, leg));
    }
    all.extend(backdrop(desk, leg, item));
    all.extend(ground(desk, leg, item));
    all
}

/// `1 in 60.0, 16.7 mm/m`.
fn gradient(g: Option<KnownGradient>) -> String {
    let Some(g) = g else { return "fall not known".to_owned() };
    let told = match g.value.fall().um() {
        1.. => format!("{}, {}\u{a0}mm/m", g.value.in_words(), g.value.mm_per_m()),
        _ => g.value.in_words(),
    };
    words::known(&told, Some(g.how))
}

/// The gradient of each piece, and the inverts between them.
fn pieces(desk: &Desk<'_>, leg: usize, item: &Item<Pipe>) -> Vec<Line> {
    let Some(along) = item.body.il_along.get() else { return Vec::new() };
    let mut all = Vec::new();
    if desk.job.network.knees(leg) > 0 {
        let pieces = desk.job.network.pieces(leg);
        let told: Vec<String> = pieces.iter().map(|p| format!("{}: {}", p.words(), gradient(p.gradient))).collect();
        let line = format!(" {}. The flattest counts.", told.join("; "));
        all.push(vec![bold("Piece by piece from its upper end:"), plain(line)]);
    }
    all.push(vec![plain(format!("Inverts along it: {}.", levels(desk, along, item)))]);
    all
}

/// Levels at places along a pipe, as recorded.
fn levels(desk: &Desk<'_>, along: &AlongPipe<LevelAt>, item: &Item<Pipe>) -> String {
    let one = |field: &Field<LevelAt>| {
        let height: Option<Height<crate::base::units::Spot>> = desk.job.network.height(field, Some(&item.body.kit));
        said(&words::level(height))
    };
    let told: Vec<String> = along.iter().map(|(place, field)| format!("{} at {}", one(field), place.words())).collect();
    told.join("; ")
}

/// A piece that rises in the direction of flow, whatever the whole does.
fn backwards(desk: &Desk<'_>, leg: usize) -> Option<Line> {
    if desk.job.network.knees(leg) == 0 {
        return None;
    }
    let rises = |g: &KnownGradient| g.value.fall() < Length::ZERO;
    let pieces = desk.job.network.pieces(leg);
    let over: Vec<String> =
        pieces.iter().filter(|p| p.gradient.as_ref().is_some_and(rises)).map(|p| p.words()).collect();
    (!over.is_empty()).then(|| vec![bold(format!("It rises in the direction of flow over {}.", over.join(" and ")))])
}

/// The height of a backdrop, with what is recorded of it.
fn backdrop(desk: &Desk<'_>, leg: usize, item: &Item<Pipe>) -> Option<Line> {
    let mut inlets = desk.job.computed.chambers.iter().flat_map(|c| &c.inlets).filter(|inlet| inlet.leg == leg);
    let inlet = inlets.next();
    let spec = item.body.backdrop.get();
    if !inlet.is_some_and(|inlet| inlet.by_backdrop()) && spec.is_none() {
        return None;
    }
    let drop = match inlet.and_then(|inlet| inlet.step) {
        Some(step) => words::known(&format!("{}\u{a0}m high", step.value.metres(3)), Some(step.how)),
        None => "its height not known".to_owned(),
    };
    let part =
        |what: &str, told: Option<String>| format!("{what} {}", told.unwrap_or_else(|| "not recorded".to_owned()));
    let encased = part("concrete round it", spec.and_then(|s| s.encased.get()).map(|m| m.words()));
    let rodding = part("rodding", spec.and_then(|s| s.rodding.get()).map(|w| w.0.clone()));
    let note = spec.and_then(|s| s.note.get()).map_or(String::new(), |n| format!("; {}", n.0));
    Some(vec![plain(format!("Backdrop: {drop}, {encased}, {rodding}{note}."))])
}

/// The ground line with the least cover under it.
fn ground(desk: &Desk<'_>, leg: usize, item: &Item<Pipe>) -> Option<Line> {
    let line = item.body.ground_line.get()?;
    let least = match cover::least(&desk.job.network, leg) {
        Some(found) => {
            let told = words::known(&format!("{}\u{a0}m", found.cover.value.metres(2)), Some(found.cover.how));
            let part = if found.whole { "" } else { " of what is levelled" };
            format!("Least cover over its crown{part}: {told}, {}\u{a0}m along.", found.at.metres(2))
        }
        None => "Least cover under it not known.".to_owned(),
    };
    Some(vec![plain(format!("Ground over it: {}. {least}", levels(desk, line, item)))])
}
