//! A drain bends, and changes its gradient or size, only where there is access to it.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Weight;
use crate::base::known::How;
use crate::base::known::Known;
use crate::base::units::Length;
use crate::network::ends::End;
use crate::network::kind::Kind;
use crate::network::legs::from_upper_end;
use crate::record::pipework::Pipe;
use crate::record::quantity::Station;
use crate::record::sections::Item;
use crate::record::words::Stage;
use crate::rulebook::Facts;
use crate::rulebook::Key;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::driver::Measure;
use crate::rules::driver::about;
use crate::rules::driver::governing;
use crate::rules::driver::hold;
use crate::rules::laid;

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("access-at-bends-and-changes"),
    title: "Access where a drain bends or changes",
    weight: Weight::Clause,
    due: Moment::BeforeCover,
    keys: &[key::ACCESS_AT_BEND.path(), key::ACCESS_AT_CHANGE_OF_SIZE.path()],
    check,
};

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    ctx.new_drains().filter_map(|(leg, item)| judge(ctx, rule, leg, item)).collect()
}

fn judge(ctx: &Ctx<'_>, rule: &Rule, leg: usize, item: &Item<Pipe>) -> Option<Finding> {
    let mut all: Vec<Finding> = bends(ctx, rule, leg, item).into_iter().collect();
    if let Some(next) = goes_on_as(ctx, leg) {
        all.push(size(ctx, rule, leg, item, next));
        all.push(gradient(ctx, rule, leg, item, next));
    }
    all.extend(along(ctx, rule, leg, item));
    governing(all)
}

/// The drain as which a leg goes on, end to end, with nothing between them.
fn goes_on_as(ctx: &Ctx<'_>, leg: usize) -> Option<usize> {
    let End::Pipe(next) = ctx.network.legs.get(leg)?.ends.to else { return None };
    let below = ctx.network.legs.get(next).filter(|l| l.derived.kind == Kind::Drain)?;
    let there = ctx.record.pipes.at(next).is_some_and(|p| !p.broken && p.body.stage_now() != Stage::Removed);
    (there && below.ends.from == End::Pipe(leg)).then_some(next)
}

/// Each bend lies at an access point of this drain, or at the foot of the stack above it. A record that says nothing
/// of bends is not asked.
fn bends(ctx: &Ctx<'_>, rule: &Rule, leg: usize, item: &Item<Pipe>) -> Option<Finding> {
    let (bends, at) = (&item.body.bends, &item.body.bends_at);
    let count = match bends.get() {
        Some(list) => list.0.len(),
        None if bends.is_none() => 0,
        None if bends.is_unknown() => {
            return Some(held(
                ctx,
                rule,
                item,
                ("bends", &Measure::Missing("what bends it has".to_owned())),
                key::ACCESS_AT_BEND,
            ));
        }
        None => return None,
    };
    let how = if count == 0 { ctx.record.how(bends) } else { ctx.record.how(bends).with(ctx.record.how(at)) };
    let measure = match at.get() {
        _ if count == 0 => Measure::plain(true, how, "no bends"),
        Some(list) => {
            let places: Vec<&str> = list.0.iter().map(|r| r.value.0.as_str()).collect();
            let good = places.len() >= count && places.iter().all(|id| own_end(ctx, leg, id));
            Measure::plain(good, how, format!("{count} at {}", crate::base::text::list(&places, "and")))
        }
        None if at.is_none() => Measure::plain(false, how, format!("{count} away from any access point")),
        None => Measure::Missing("at which chamber, or at the foot of which stack, its bends lie".to_owned()),
    };
    Some(held(ctx, rule, item, ("bends-at", &measure), key::ACCESS_AT_BEND))
}

fn own_end(ctx: &Ctx<'_>, leg: usize, id: &str) -> bool {
    let Some(l) = ctx.network.legs.get(leg) else { return false };
    [l.ends.from, l.ends.to].into_iter().any(|end| {
        let fits = match end {
            End::Access(_) => true,
            End::Pipe(p) => ctx.network.legs.get(p).is_some_and(|l| l.derived.kind == Kind::Stack),
            _ => false,
        };
        fits && ctx.network.end_id(end) == id
    })
}

fn size(ctx: &Ctx<'_>, rule: &Rule, leg: usize, item: &Item<Pipe>, next: usize) -> Finding {
    let label =
        |leg: usize| ctx.record.pipes.at(leg).and_then(|p| p.body.size.get().map(|s| (s.nominal, s.label.clone())));
    let sizes = ctx.record.pipes.at(next).map_or(How::Stated, |p| ctx.record.how(&p.body.size));
    let how = sizes.with(ctx.record.how(&item.body.size));
    let below = ctx.network.id(next);
    let measure = match (label(leg), label(next)) {
        (Some((a, label)), Some((b, _))) if a == b => Measure::plain(true, how, format!("{label} on as {below}")),
        (Some((_, a)), Some((_, b))) => Measure::plain(false, how, format!("{a} on as {below}, {b}")),
        _ => Measure::Missing(format!("the sizes of it and of {below}")),
    };
    held(ctx, rule, item, ("size", &measure), key::ACCESS_AT_CHANGE_OF_SIZE)
}

/// Two gradients are one when their readings allow it.
fn gradient(ctx: &Ctx<'_>, rule: &Rule, leg: usize, item: &Item<Pipe>, next: usize) -> Finding {
    let below = ctx.network.id(next);
    let (own, on) = (ctx.network.pieces(leg), ctx.network.pieces(next));
    let ends = (own.last().and_then(|p| p.gradient), on.first().and_then(|p| p.gradient));
    let measure = match ends {
        (Some(a), Some(b)) => {
            let same = a.flattest <= b.steepest && b.flattest <= a.steepest;
            let how = a.how.with(b.how);
            let words = format!("{} on as {below}, {}", a.value.in_words(), b.value.in_words());
            let plainly = a.value == b.value;
            Measure::Is { value: same, low: plainly, high: same, how, words: about(how, &words) }
        }
        _ => Measure::Missing(format!("the falls of it and of {below}")),
    };
    held(ctx, rule, item, ("fall", &measure), key::ACCESS_AT_BEND)
}

/// Each place inside a drain at which its gradient changes has access on it. Where the two gradients are one as far as
/// the readings tell, an invert was merely read there.
fn along(ctx: &Ctx<'_>, rule: &Rule, leg: usize, item: &Item<Pipe>) -> Vec<Finding> {
    let pieces = ctx.network.pieces(leg);
    let pairs = pieces.windows(2).filter_map(|pair| match pair {
        [a, b] => Some((a, b)),
        _ => None,
    });
    pairs
        .map(|(a, b)| {
            let place = format!("{}\u{a0}m along", b.from.value.metres(2));
            let measure = match (a.gradient, b.gradient) {
                (Some(x), Some(y)) => {
                    let even = x.flattest <= y.steepest && y.flattest <= x.steepest;
                    let access = access_there(ctx, leg, item, b.from);
                    let how = access.map_or(x.how.with(y.how), |own| x.how.with(y.how).with(own));
                    let (value, plainly) = (even || access.is_some(), x.value == y.value || access.is_some());
                    let at = if access.is_some() { "at access" } else { "without access" };
                    let words = format!("{} to {}, {place}, {at}", x.value.in_words(), y.value.in_words());
                    Measure::Is { value, low: plainly, high: value, how, words: about(how, &words) }
                }
                _ => Measure::Missing(format!("its fall on both sides of the place {place}")),
            };
            held(ctx, rule, item, ("il-along", &measure), key::ACCESS_AT_BEND)
        })
        .collect()
}

/// How it is known that an access piece stands on a drain at a place, as near as both places are told.
fn access_there(ctx: &Ctx<'_>, leg: usize, item: &Item<Pipe>, place: Known<Length>) -> Option<How> {
    let own = ctx.network.legs.get(leg)?;
    item.body.access.get()?.0.iter().find_map(|(_, field)| {
        let Some(Station::Along { distance, up, from }) = field.get() else { return None };
        let how = ctx.record.how(field);
        let at = Known { value: distance.value, half: distance.half, how };
        let at = from_upper_end(ctx.record, own, at, *up, from)?;
        let near = (at.value - place.value).abs() <= at.half + place.half;
        near.then_some(how)
    })
}

fn held(
    ctx: &Ctx<'_>,
    rule: &Rule,
    item: &Item<Pipe>,
    (name, measure): (&str, &Measure<bool>),
    asked: Key<bool>,
) -> Finding {
    let subject = match name {
        "bends" | "bends-at" => laid::subject(item, rule, name, &item.body.bends),
        "size" => laid::subject(item, rule, name, &item.body.size),
        "il-along" => laid::subject(item, rule, name, &item.body.il_along),
        _ => laid::subject(item, rule, name, &item.body.fall),
    };
    let answer = ctx.rulebook.ask(asked, &Facts::new());
    let mut out = hold(&subject, measure, &answer, |_: &bool, _| {
        let text = "what lodges there cannot be reached";
        (text.to_owned(), "an access point at that place".to_owned())
    });
    out.limit = "at an access point, or the foot of a stack".to_owned();
    out
}
