//! Branches that enter a stack opposite each other lie far enough apart in height.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Verdict;
use crate::base::finding::Weight;
use crate::base::known::How;
use crate::base::known::Known;
use crate::base::size::Nominal;
use crate::base::units::Length;
use crate::compute::stacks::StackEntry;
use crate::compute::stacks::What;
use crate::compute::stacks::between;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;
use crate::record::words::Entry;
use crate::record::words::Side;
use crate::record::words::Stage;
use crate::rulebook::Fact;
use crate::rulebook::Facts;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::driver::Measure;
use crate::rules::driver::Subject;
use crate::rules::driver::governing;
use crate::rules::driver::hold;
use crate::rules::driver::unsettled;
use std::cmp::Ordering;
use std::collections::BTreeMap;

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("opposed-entries"),
    title: "Branches that enter a stack opposite each other",
    weight: Weight::Clause,
    due: Moment::BeforeCover,
    keys: &[key::STACK_ENTRY_APART_MINIMUM.path()],
    check,
};

/// The largest size that counts as a small branch.
const SMALL: Nominal = Nominal(65);

/// A branch where it enters its stack.
struct Branch<'a> {
    item: &'a Item<Pipe>,
    leg: usize,
    entry: &'a StackEntry,
    size: Option<Nominal>,
}

/// Whether two branches face each other.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Facing {
    /// They enter on the same side, or at a right angle or less.
    Apart,
    /// More than a right angle lies between them.
    Opposite,
    /// The record does not say.
    Unsaid,
}

/// Two branches, the one that is judged first.
struct Pair<'a> {
    own: &'a Branch<'a>,
    other: &'a Branch<'a>,
    /// How much higher its own centre line lies.
    above: Option<Known<Length>>,
    facing: Facing,
}

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    let mut stacks: BTreeMap<usize, Vec<Branch<'_>>> = BTreeMap::new();
    for entry in &ctx.computed.entries {
        if let Some(branch) = branch(ctx, entry) {
            stacks.entry(entry.stack).or_default().push(branch);
        }
    }
    let mut found: BTreeMap<usize, Finding> = BTreeMap::new();
    for (stack, branches) in &stacks {
        for (leg, pairs) in pairs(ctx, branches) {
            let all = pairs.iter().map(|pair| judge(ctx, rule, *stack, pair)).collect();
            found.extend(governing(all).map(|f| (leg, f)));
        }
    }
    found.into_values().collect()
}

fn branch<'a>(ctx: &Ctx<'a>, entry: &'a StackEntry) -> Option<Branch<'a>> {
    let What::Branch(leg) = entry.what else { return None };
    let own = ctx.network.legs.get(leg)?;
    let item = ctx.record.pipes.at(own.pipe)?;
    let there = !item.broken && item.body.stage_now() != Stage::Removed;
    let size = own.nominal.filter(|_| ctx.record.how(&item.body.size) != How::Believed);
    there.then_some(Branch { item, leg, entry, size })
}

/// Every two branches that do or may face each other, by the one that is judged: the nearest in height first.
fn pairs<'a>(ctx: &Ctx<'_>, branches: &'a [Branch<'a>]) -> BTreeMap<usize, Vec<Pair<'a>>> {
    let mut all: BTreeMap<usize, Vec<Pair<'a>>> = BTreeMap::new();
    for (i, a) in branches.iter().enumerate() {
        for b in branches.iter().skip(i + 1) {
            let facing = facing(ctx, a.item, b.item);
            let old = |x: &Branch<'_>| x.item.body.stage_now() == Stage::Existing;
            if facing == Facing::Apart || (old(a) && old(b)) {
                continue;
            }
            let above = between(ctx.network, a.entry, b.entry);
            // The lower of the two stands in the other's way; of what was there before nothing is asked.
            let first = if old(a) != old(b) { old(b) } else { own_is_first(a, above) };
            let (own, other) = if first { (a, b) } else { (b, a) };
            let above = if first { above } else { above.map(|k| k.map(|l| -l)) };
            all.entry(own.leg).or_default().push(Pair { own, other, above, facing });
        }
    }
    for pairs in all.values_mut() {
        pairs.sort_by_key(|p| p.above.map(|a| a.value.abs()));
    }
    all
}

/// Whether the first of two is the one to judge: the lower, else the one without a place, else the second.
fn own_is_first(a: &Branch<'_>, above: Option<Known<Length>>) -> bool {
    match above {
        Some(above) => above.value < Length::ZERO,
        None => a.item.body.at.get().is_none(),
    }
}

fn facing(ctx: &Ctx<'_>, a: &Item<Pipe>, b: &Item<Pipe>) -> Facing {
    let said = |item: &Item<Pipe>| -> Option<Side> {
        let side = &item.body.side;
        side.get().copied().filter(|_| ctx.record.how(side) != How::Believed)
    };
    let (Some((compass, x)), Some((also, y))) = (said(a).map(Side::degrees), said(b).map(Side::degrees)) else {
        return Facing::Unsaid;
    };
    let apart = x.abs_diff(y);
    match compass == also {
        false => Facing::Unsaid,
        true if apart.min(360 - apart) > 90 => Facing::Opposite,
        true => Facing::Apart,
    }
}

fn judge(ctx: &Ctx<'_>, rule: &Rule, stack: usize, pair: &Pair<'_>) -> Finding {
    let (own, other) = (pair.own, pair.other);
    let at = &own.item.body.at;
    let planned = |b: &Branch<'_>| b.item.body.stage_now() == Stage::Planned;
    let subject = Subject {
        id: own.item.id.clone(),
        span: if at.is_absent() { own.item.id_span } else { at.span },
        planned: planned(own) || planned(other),
        field: field(ctx, stack, pair),
        rule,
    };
    let larger = own.size.zip(other.size).map(|(a, b)| a.max(b));
    let facts = Facts::new()
        .with(Fact::BranchSize, larger)
        .with(Fact::Size, stack_size(ctx, stack))
        .with(Fact::BranchEntry, entry(ctx, pair));
    let answer = ctx.rulebook.ask(key::STACK_ENTRY_APART_MINIMUM, &facts);
    let zone = larger.is_some_and(|l| l > SMALL);
    let asked = answer.limit().map_or(Length::ZERO, |l| l.value);
    let id = &other.item.id;
    let mut out = hold(&subject, &measure(pair, zone, asked), &answer, |limit: &Length, found| {
        let more = limit.um().saturating_sub(found.um()).saturating_add(999) / 1000;
        let words = format!("{more}\u{a0}mm too near {id}, which enters opposite: what one brings runs into the other");
        (words, format!("another side of {}, or {} apart", ctx.network.id(stack), millimetres(*limit)))
    });
    if !out.limit.is_empty() && zone {
        out.limit = match under(pair) {
            true => format!("{} below {id}, or no lower", millimetres(asked)),
            false => format!("{id} {} below, or no lower", millimetres(asked)),
        };
    }
    if pair.facing == Facing::Unsaid && matches!(out.verdict, Verdict::NotMet | Verdict::NotShown) {
        unsaid(ctx, &subject, pair, &mut out);
    }
    out
}

/// Two that may face each other, and would be too near if they did: the side is what is asked for.
fn unsaid(ctx: &Ctx<'_>, subject: &Subject<'_>, pair: &Pair<'_>, out: &mut Finding) {
    let open = [(pair.own, pair.other), (pair.other, pair.own)].into_iter().find(|(b, _)| no_side(ctx, b));
    let (which, what) = match open {
        Some((b, faced)) => (b, format!("on which side {} enters, which may face {}", b.item.id, faced.item.id)),
        None => {
            let what =
                format!("in one way of words on which sides {} and {} enter", pair.own.item.id, pair.other.item.id);
            (pair.own, what)
        }
    };
    unsettled(out, &Subject { field: format!("pipes.{}.side", which.item.id), ..subject.clone() }, what);
}

/// Whether the side of a branch is not said, or only believed.
fn no_side(ctx: &Ctx<'_>, branch: &Branch<'_>) -> bool {
    let side = &branch.item.body.side;
    side.get().is_none() || ctx.record.how(side) == How::Believed
}

/// The field that would settle it, by what is missing first.
fn field(ctx: &Ctx<'_>, stack: usize, pair: &Pair<'_>) -> String {
    let of = |b: &Branch<'_>, key: &str| format!("pipes.{}.{key}", b.item.id);
    let both = [pair.own, pair.other];
    if let Some(b) = both.iter().find(|b| b.size.is_none()) {
        return of(b, "size");
    }
    if stack_size(ctx, stack).is_none() && pair.own.size.max(pair.other.size).is_some_and(|s| s <= SMALL) {
        return format!("pipes.{}.size", ctx.network.id(stack));
    }
    let placed = |b: &&&Branch<'_>| b.item.body.at.get().is_none();
    match (pair.above, both.iter().find(placed)) {
        (None, Some(b)) => of(b, "at"),
        (None, None) => format!("pipes.{}.foot.il", ctx.network.id(stack)),
        (Some(_), _) => match both.iter().find(|b| b.item.body.entry.get().is_none()) {
            Some(b) if pair.above.is_some_and(|above| !above.believed()) => of(b, "entry"),
            _ => of(pair.own, "at"),
        },
    }
}

/// The size of the stack; one that is only believed is not known.
fn stack_size(ctx: &Ctx<'_>, stack: usize) -> Option<Nominal> {
    let leg = ctx.network.legs.get(stack)?;
    let item = ctx.record.pipes.at(leg.pipe)?;
    leg.nominal.filter(|_| ctx.record.how(&item.body.size) != How::Believed)
}

/// Swept when both are; square when either is known to be; unknown otherwise.
fn entry(ctx: &Ctx<'_>, pair: &Pair<'_>) -> Option<&'static str> {
    let swept = |b: &Branch<'_>| {
        let entry = &b.item.body.entry;
        entry.get().filter(|_| ctx.record.how(entry) != How::Believed).map(|e| *e == Entry::Swept)
    };
    match (swept(pair.own), swept(pair.other)) {
        (Some(true), Some(true)) => Some("swept"),
        (Some(false), _) | (_, Some(false)) => Some("square"),
        _ => None,
    }
}

/// Whether the zone hangs under the other: it does under the larger of the two, and of two alike under the higher.
fn under(pair: &Pair<'_>) -> bool {
    match pair.own.size.cmp(&pair.other.size) {
        Ordering::Greater => false,
        Ordering::Less => true,
        Ordering::Equal => pair.above.is_none_or(|above| above.value <= Length::ZERO),
    }
}

/// How far apart they are. Beside a large branch only what lies below it is near; level with it or higher is as good as
/// clear of the zone, and counts from its lower edge on.
fn measure(pair: &Pair<'_>, zone: bool, asked: Length) -> Measure<Length> {
    let Some(above) = pair.above else {
        let both = [pair.own, pair.other];
        let missing = both.iter().find(|b| b.item.body.at.get().is_none()).unwrap_or(&pair.own);
        return Measure::Missing(format!("how high {} enters", missing.item.id));
    };
    let words = match above.value.cmp(&Length::ZERO) {
        Ordering::Less => format!("{} below {}", millimetres(above.value.abs()), pair.other.item.id),
        Ordering::Equal => format!("level with {}", pair.other.item.id),
        Ordering::Greater => format!("{} above {}", millimetres(above.value), pair.other.item.id),
    };
    if !zone {
        let apart = Known { value: above.value.abs(), ..above };
        return Measure::length(apart, words);
    }
    let below = if under(pair) { -above.value } else { above.value };
    let clear = |below: Length| if below <= Length::ZERO { asked - below } else { below };
    match Measure::length(Known { value: below, ..above }, words) {
        Measure::Is { value, low, high, how, words } => {
            Measure::Is { value: clear(value), low: clear(low), high: clear(high), how, words }
        }
        missing => missing,
    }
}

/// Whole millimetres of a height, rounded; from a metre on, metres.
fn millimetres(length: Length) -> String {
    if length >= Length::from_mm(1000) {
        return format!("{}\u{a0}m", length.metres(2));
    }
    format!("{}\u{a0}mm", (length.um() + 500).div_euclid(1000))
}
