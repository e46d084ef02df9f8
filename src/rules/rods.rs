//! How rods come into a drain, for the rules that ask it: the measure, with what is missing for it. Judges nothing.

use crate::base::known::How;
use crate::base::units::Length;
use crate::compute::reach::Lean;
use crate::compute::reach::Reached;
use crate::compute::reach::Way;
use crate::compute::reach::find;
use crate::compute::reach::left_over;
use crate::network::ends::End;
use crate::rulebook::Facts;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::driver::Measure;
use crate::rules::driver::about;

/// The parts that rods come into, with lengths as recorded, at their longest and at their shortest.
pub struct Parts {
    plain: Vec<Vec<Reached>>,
    long: Vec<Vec<Reached>>,
    short: Vec<Vec<Reached>>,
}

impl Parts {
    /// Of the whole job; `None` when the rulebook does not say how far rods come.
    pub fn of(ctx: &Ctx<'_>) -> Option<Self> {
        let answer = ctx.rulebook.ask(key::ACCESS_ROD_LENGTH_MAXIMUM, &Facts::new());
        let rods = answer.limit().map(|limit| limit.value)?;
        let of = |lean| find(ctx.network, rods, lean);
        Some(Self { plain: of(Lean::Plain), long: of(Lean::Long), short: of(Lean::Short) })
    }
}

/// Whether rods come into the whole of one drain.
pub struct Reach {
    /// Whether they do, or what is missing.
    pub measure: Measure<bool>,
    /// The field of the drain that would settle it.
    pub key: &'static str,
    /// Whether an access point that is still to come is needed for it.
    pub planned: bool,
}

/// How far rods come into a drain, by whatever access point.
pub fn reach(ctx: &Ctx<'_>, leg: usize, parts: &Parts) -> Reach {
    let of = |list: &[Vec<Reached>]| list.get(leg).cloned().unwrap_or_default();
    let reached = of(&parts.plain);
    let missing = |key, what| Reach { measure: Measure::Missing(what), key, planned: false };
    let length = ctx.network.legs.get(leg).and_then(|l| l.length);
    let open = open_end(ctx, leg);
    if length.is_none() && !reached.is_empty() {
        return missing("length", "its length".to_owned());
    }
    let covers = |list: &[Reached], l: Length| left_over(list, l) == Length::ZERO;
    let covered = length.is_some_and(|l| covers(&reached, l.value));
    if let (false, Some((key, what))) = (covered, open) {
        return missing(key, what);
    }
    let at = |list: &[Vec<Reached>], by: fn(Length, Length) -> Length| {
        length.is_some_and(|l| covers(&of(list), by(l.value, l.half)))
    };
    let (low, high) = (at(&parts.long, |v, h| v + h), at(&parts.short, |v, h| v - h));
    // What is known for certain, and there already, must cover it by itself: else the verdict rests on the rest too.
    let by = |keep: &dyn Fn(&Reached) -> bool| {
        let kept: Vec<Reached> = reached.iter().copied().filter(|r| keep(r)).collect();
        length.is_some_and(|l| covers(&kept, l.value))
    };
    let certain = |r: &Reached| r.how != How::Believed;
    let how = if covered && !by(&certain) { How::Believed } else { How::Computed };
    let planned = covered && !by(&|r: &Reached| !r.planned && (how == How::Believed || certain(r)));
    let words = words(ctx, &reached, covered, length.map(|l| (l.value, left_over(&reached, l.value))));
    Reach { measure: Measure::Is { value: covered, low, high, how, words: about(how, &words) }, key: "to", planned }
}

/// An end of which the record does not say what stands there: an access point may.
fn open_end(ctx: &Ctx<'_>, leg: usize) -> Option<(&'static str, String)> {
    let l = ctx.network.legs.get(leg)?;
    let open = |end: End| matches!(end, End::Unknown | End::Absent);
    if open(l.ends.from) {
        return Some(("from", "what is at its upper end".to_owned()));
    }
    if open(l.ends.to) {
        return Some(("to", "what is at its lower end".to_owned()));
    }
    match (l.ends.to, l.join) {
        (End::Access(a), _) if ctx.record.access.at(a).is_some_and(|x| x.body.what.get().is_none()) => {
            Some(("to", format!("what {} is", ctx.network.end_id(l.ends.to))))
        }
        _ => None,
    }
}

/// "from IC1 up", or how much of it is out of reach.
fn words(ctx: &Ctx<'_>, reached: &[Reached], covered: bool, length: Option<(Length, Length)>) -> String {
    if covered {
        let mut names: Vec<String> = Vec::new();
        for r in reached {
            let id = ctx.record.access.at(r.access).map_or("", |a| a.id.as_str());
            let way = if r.way == Way::Down { "down" } else { "up" };
            let name = format!("{id} {way}");
            if !names.contains(&name) && names.len() < 2 {
                names.push(name);
            }
        }
        return format!("from {}", names.join(" and "));
    }
    match length {
        Some((all, bare)) if bare < all => {
            format!("{}\u{a0}m of {}\u{a0}m out of reach", bare.metres(2), all.metres(2))
        }
        Some((all, _)) => format!("reached by no access point ({}\u{a0}m)", all.metres(2)),
        None => "reached by no access point".to_owned(),
    }
}
