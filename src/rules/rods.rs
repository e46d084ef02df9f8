//! How rods come into a drain, for the rules that ask it: the measure, with what is missing for it. Judges nothing.

use crate::base::known::How;
use crate::base::units::Length;
use crate::compute::reach::Lean;
use crate::compute::reach::Reached;
use crate::compute::reach::Way;
use crate::compute::reach::bare;
use crate::compute::reach::bends;
use crate::compute::reach::doors::Door;
use crate::compute::reach::find;
use crate::compute::reach::left_over;
use crate::network::ends::End;
use crate::network::kind::Kind;
use crate::rulebook::Facts;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::driver::Measure;
use crate::rules::driver::about;
use crate::rules::spacing::name;

/// The parts that rods come into, with lengths as recorded, at their longest and at their shortest.
pub struct Parts {
    /// How long the rods are.
    pub(crate) rods: Length,
    plain: Vec<Vec<Reached>>,
    long: Vec<Vec<Reached>>,
    short: Vec<Vec<Reached>>,
}

impl Parts {
    /// Of the whole job; `None` when the rulebook does not say how far rods come.
    pub fn of(ctx: &Ctx<'_>) -> Option<Self> {
        let answer = ctx.rulebook.ask(key::ACCESS_ROD_LENGTH_MAXIMUM, &Facts::new());
        let rods = answer.limit().map(|limit| limit.value)?;
        let of = |lean| find(ctx.network, rods, lean).parts;
        Some(Self { rods, plain: of(Lean::Plain), long: of(Lean::Long), short: of(Lean::Short) })
    }

    /// What is reached of one leg, lengths as recorded.
    pub(crate) fn on(&self, leg: usize) -> &[Reached] {
        self.plain.get(leg).map_or(&[], Vec::as_slice)
    }
}

/// Whether rods come into the whole of one drain.
pub struct Reach {
    /// Whether they do, or what is missing.
    pub measure: Measure<bool>,
    /// The path of the field that would settle it.
    pub field: String,
    /// Whether an access point that is still to come is needed for it.
    pub planned: bool,
}

/// How far rods come into a drain, by whatever access point.
pub fn reach(ctx: &Ctx<'_>, leg: usize, parts: &Parts) -> Reach {
    let of = |list: &[Vec<Reached>]| list.get(leg).cloned().unwrap_or_default();
    let reached = of(&parts.plain);
    let missing = |field, what| Reach { measure: Measure::Missing(what), field, planned: false };
    let length = ctx.network.legs.get(leg).and_then(|l| l.length);
    if length.is_none() && !reached.is_empty() {
        return missing(own(ctx, leg, "length"), "its length".to_owned());
    }
    if let Some((field, what)) = bends_open(ctx, leg, &reached) {
        return missing(field, what);
    }
    let covers = |list: &[Reached], l: Length| left_over(list, l) == Length::ZERO;
    let covered = length.is_some_and(|l| covers(&reached, l.value));
    if let (false, Some((field, what))) = (covered, open_end(ctx, leg).or_else(|| open_piece(ctx, leg))) {
        return missing(field, what);
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
    let field = if how == How::Believed { believed(ctx, leg, &reached) } else { "access".to_owned() };
    Reach { measure: Measure::Is { value: covered, low, high, how, words: about(how, &words) }, field, planned }
}

fn own(ctx: &Ctx<'_>, leg: usize, key: &str) -> String {
    format!("pipes.{}.{key}", ctx.network.id(leg))
}

/// The field that is only believed: the length of the drain, or what the access point is that rods come from.
fn believed(ctx: &Ctx<'_>, leg: usize, reached: &[Reached]) -> String {
    if ctx.network.legs.get(leg).and_then(|l| l.length).is_some_and(|l| l.believed()) {
        return own(ctx, leg, "length");
    }
    let points =
        reached.iter().filter_map(|r| if let Door::Point(a) = r.door { ctx.record.access.at(a) } else { None });
    let doubted = points.into_iter().find(|item| ctx.record.how(&item.body.what) == How::Believed);
    doubted.map_or_else(|| own(ctx, leg, "length"), |item| format!("access.{}.what", item.id))
}

/// What the record would have to say of its bends, where rods depend on it.
fn bends_open(ctx: &Ctx<'_>, leg: usize, reached: &[Reached]) -> Option<(String, String)> {
    let body = &ctx.record.pipes.at(leg)?.body;
    if body.bends.is_unknown() && !reached.is_empty() {
        return Some((own(ctx, leg, "bends"), "what bends it has".to_owned()));
    }
    let stop = reached.iter().find_map(|r| r.bend)?;
    let words = body.bends.get()?.0.get(stop)?.value.0.as_str();
    if !bends::told(words) {
        return Some((own(ctx, leg, "bends"), format!("of how many degrees its bend \u{201c}{words}\u{201d} is")));
    }
    let placed = body.bends_at.get().is_some() || body.bends_at.is_none();
    (!placed).then(|| {
        (own(ctx, leg, "bends-at"), "at which chamber, or at the foot of which stack, its bends lie".to_owned())
    })
}

/// An end of which the record does not say what stands there: an access point may.
fn open_end(ctx: &Ctx<'_>, leg: usize) -> Option<(String, String)> {
    let l = ctx.network.legs.get(leg)?;
    let open = |end: End| matches!(end, End::Unknown | End::Absent);
    if open(l.ends.from) {
        return Some((own(ctx, leg, "from"), "what is at its upper end".to_owned()));
    }
    if open(l.ends.to) {
        return Some((own(ctx, leg, "to"), "what is at its lower end".to_owned()));
    }
    match l.ends.to {
        End::Access(a) if ctx.record.access.at(a).is_some_and(|x| x.body.what.get().is_none()) => {
            let id = ctx.network.end_id(l.ends.to);
            Some((format!("access.{id}.what"), format!("what {id} is")))
        }
        _ => None,
    }
}

/// An access piece on the stack at its head, of which the record does not say whether rods come through the foot.
fn open_piece(ctx: &Ctx<'_>, leg: usize) -> Option<(String, String)> {
    let End::Pipe(stack) = ctx.network.legs.get(leg)?.ends.from else { return None };
    ctx.network.legs.get(stack).filter(|l| l.derived.kind == Kind::Stack)?;
    let item = ctx.record.pipes.at(stack).filter(|item| !item.broken)?;
    let (piece, _) = item.body.access.get()?.0.first()?;
    let id = &item.id;
    match bends::foot_of(ctx.network, stack).and_then(bends::easy_foot) {
        None => Some((format!("pipes.{id}.foot.bend"), format!("with what bend {id} turns into it"))),
        Some(true) => {
            let heights = ctx.computed.entries.iter().filter(|e| e.stack == stack && e.height.is_none());
            let what = format!("how high {} stands above the foot of {id}", piece.value);
            heights.into_iter().find(|e| e.id == piece.value).map(|_| (format!("pipes.{id}.access"), what))
        }
        Some(false) => None,
    }
}

/// "from IC1 up", or how much of it is out of reach.
fn words(ctx: &Ctx<'_>, reached: &[Reached], covered: bool, length: Option<(Length, Length)>) -> String {
    if covered {
        let mut names: Vec<String> = Vec::new();
        for r in reached {
            let way = if r.way == Way::Down { "down" } else { "up" };
            let name = format!("{} {way}", r.door.id(ctx.network));
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
        Some((all, _)) if reached.is_empty() => format!("reached by no access point ({}\u{a0}m)", all.metres(2)),
        Some((all, _)) => format!("reached up to a bend only ({}\u{a0}m)", all.metres(2)),
        None => "reached by no access point".to_owned(),
    }
}

/// Which lengths rods do not come into: "rods do not come into 1.00 to 2.10 m down from WC1".
pub fn out_of_reach(ctx: &Ctx<'_>, leg: usize, parts: &Parts) -> String {
    let Some(own) = ctx.network.legs.get(leg) else { return String::new() };
    let Some(length) = own.length else { return "no rods come into it".to_owned() };
    let reached = parts.on(leg);
    let gaps: Vec<String> = bare(reached, length.value)
        .into_iter()
        .map(|(from, to)| format!("{} to {}\u{a0}m", from.metres(2), to.metres(2)))
        .collect();
    let gaps = crate::base::text::list(&gaps.iter().map(String::as_str).collect::<Vec<_>>(), "and");
    let from = name(ctx, own.ends.from);
    let bend = reached.iter().find_map(|r| r.bend).and_then(|bend| {
        let list = ctx.record.pipes.at(leg)?.body.bends.get()?;
        list.0.get(bend).map(|words| words.value.0.clone())
    });
    match bend {
        Some(words) => format!("rods stop at its bend, {words}: between {gaps} down from {from} they come no further"),
        None => format!("rods do not come into {gaps} down from {from}"),
    }
}
