//! What would bring a drain within reach of rods: an access point of some kind at some place, found by walking again as
//! if it were there.

use crate::base::units::Length;
use crate::compute::reach::Reached;
use crate::compute::reach::bare;
use crate::compute::reach::if_opened;
use crate::compute::reach::left_over;
use crate::network::ends::End;
use crate::record::words::AccessKind;
use crate::rules::Ctx;
use crate::rules::rods::Parts;
use crate::rules::spacing::name;

/// What an access point would do.
struct Gain {
    /// What of the drain itself it would bring within reach.
    own: Length,
    /// What of other new drains.
    others: Length,
    /// What of the drain would be left.
    left: Length,
}

/// The access point that would bring most of a drain within reach, in words; nothing where its length is not known.
pub fn for_drain(ctx: &Ctx<'_>, leg: usize, parts: &Parts) -> String {
    let Some((length, ends)) = ctx.network.legs.get(leg).and_then(|l| Some((l.length?.value, l.ends))) else {
        return "an access point at its head".to_owned();
    };
    let before = parts.on(leg);
    if before.iter().any(|r| r.bend.is_some()) {
        return "an inspection chamber at each bend that rods do not take".to_owned();
    }
    let mut all: Vec<(String, Gain)> = Vec::new();
    if headless(ctx, ends.from) {
        let words = format!("a rodding eye at its head, {}", name(ctx, ends.from));
        all.push((words, gain(ctx, parts, leg, (Length::ZERO, false))));
    }
    for (from, to) in bare(before, length) {
        let middle = Length::from_mm((from + to).um() / 2000);
        let words = format!("an inspection chamber {}\u{a0}m down from {}", middle.metres(2), name(ctx, ends.from));
        all.push((words, gain(ctx, parts, leg, (middle, true))));
    }
    let mut best = all.into_iter();
    let Some(mut chosen) = best.next() else { return "an access point at its head".to_owned() };
    for other in best {
        if (other.1.own, other.1.others) > (chosen.1.own, chosen.1.others) {
            chosen = other;
        }
    }
    in_words(&chosen.0, &chosen.1)
}

fn in_words(what: &str, gain: &Gain) -> String {
    let metres = |l: Length| format!("{}\u{a0}m", l.metres(2));
    let others = match gain.others {
        Length::ZERO => String::new(),
        more => format!(" and {} of other drains", metres(more)),
    };
    let left = match gain.left {
        Length::ZERO => String::new(),
        left => format!(", and leaves {} for another", metres(left)),
    };
    format!("{what}, which brings {} of it{others} within reach{left}", metres(gain.own))
}

/// Whether there is room for an eye at a head: no access point stands there yet.
fn headless(ctx: &Ctx<'_>, from: End) -> bool {
    match from {
        End::Access(a) => ctx.record.access.at(a).is_some_and(|item| item.body.what.get() == Some(&AccessKind::Gully)),
        End::Appliance(_) | End::Pipe(_) => true,
        End::Outfall(_) | End::Temporary | End::Unknown | End::Absent => false,
    }
}

fn gain(ctx: &Ctx<'_>, parts: &Parts, leg: usize, (along, both): (Length, bool)) -> Gain {
    let added = if_opened(ctx.network, parts.rods, leg, along, both).parts;
    let won = |i: usize| {
        let (Some(length), Some(new)) = (ctx.network.legs.get(i).and_then(|l| l.length), added.get(i)) else {
            return (Length::ZERO, Length::ZERO);
        };
        let before = left_over(parts.on(i), length.value);
        let with: Vec<Reached> = parts.on(i).iter().chain(new).copied().collect();
        let after = left_over(&with, length.value);
        (before - after, after)
    };
    let (own, left) = won(leg);
    let touched = ctx.new_drains().filter(|(i, _)| *i != leg && added.get(*i).is_some_and(|new| !new.is_empty()));
    Gain { own, others: touched.map(|(i, _)| won(i).0).sum(), left }
}
