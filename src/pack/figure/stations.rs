//! Places along a pipe: where another joins it, and its invert there.

use crate::base::known::Known;
use crate::base::units::Invert;
use crate::base::units::Length;
use crate::base::units::Level;
use crate::network::Network;
use crate::network::ends::End;
use crate::network::kind::Kind;
use crate::pack::figure::model::Piece;
use crate::pack::figure::runs;
use crate::record::quantity::Station;
use crate::record::words::Stage;

/// How far along a receiver another leg joins it; `None` when that is not said, or when it is the receiver's head.
pub(super) fn joins_at(net: &Network<'_>, leg: usize, receiver: usize) -> Option<Known<Length>> {
    let own = net.legs.get(leg)?;
    let into = net.legs.get(receiver)?;
    if own.derived.kind == Kind::Stack || into.ends.from == End::Pipe(leg) || runs::stage(net, leg) == Stage::Removed {
        return None;
    }
    if let Some(join) = own.join.filter(|j| j.receiver == receiver) {
        return join.along;
    }
    // A join of which it is not said how it enters has no equation, but it has its place.
    if own.ends.to != End::Pipe(receiver) {
        return None;
    }
    let field = &net.record.pipes.at(own.pipe)?.body.at;
    let Some(Station::Along { distance, up, from }) = field.get() else { return None };
    let at = Known { value: distance.value, half: distance.half, how: net.record.how(field) };
    match up {
        true if net.end_id(into.ends.to) == from => {
            into.length.map(|l| Known { value: l.value - at.value, ..at }).filter(|k| k.value >= Length::ZERO)
        }
        false if net.end_id(into.ends.from) == from => {
            Some(at).filter(|k| into.length.is_none_or(|l| k.value <= l.value))
        }
        true | false => None,
    }
}

/// The invert of a pipe at a place along it, on the piece that the place lies on.
pub(super) fn at_station(piece: &Piece, along: Length) -> Option<Known<Level<Invert>>> {
    let length = piece.length?;
    let points = bends(piece, length.value);
    let pair = points.windows(2).find(|pair| matches!(pair, [_, b] if along <= b.0))?;
    let [(from, up), (to, down)] = pair else { return None };
    let (up, down) = ((*up)?, (*down)?);
    let fall = up.value - down.value;
    let value = up.value - fall.share(along - *from, *to - *from);
    Some(Known { value, half: up.half.max(down.half), how: up.how.with(down.how) })
}

/// The places of a pipe at which its invert may bend: both ends, and the changes of its gradient.
pub(super) fn bends(piece: &Piece, length: Length) -> Vec<(Length, Option<Known<Level<Invert>>>)> {
    let knees = piece.knees.iter().map(|(along, level)| (along.value, *level));
    std::iter::once((Length::ZERO, piece.up)).chain(knees).chain(std::iter::once((length, piece.down))).collect()
}
