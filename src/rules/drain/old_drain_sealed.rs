//! A drain that carries nothing any more is cut off, and dug out, or sealed and filled.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Weight;
use crate::base::known::How;
use crate::base::known::Known;
use crate::base::units::Length;
use crate::network::kind::Kind;
use crate::record::pipework::Pipe;
use crate::record::protection::Disused;
use crate::record::sections::Item;
use crate::record::value::Field;
use crate::record::words::Stage;
use crate::rulebook::Fact;
use crate::rulebook::Facts;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::at_risk;
use crate::rules::driver::Measure;
use crate::rules::driver::Subject;
use crate::rules::driver::governing;
use crate::rules::driver::hold;

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("old-drain-sealed"),
    title: "Drains out of use cut off and sealed",
    weight: Weight::Clause,
    due: Moment::BeforeCover,
    keys: &[
        key::DISUSED_CUT_OFF.path(),
        key::DISUSED_DUG_OUT_ABOVE_MINIMUM.path(),
        key::DISUSED_SEALED_ENDS_MINIMUM.path(),
        key::DISUSED_FILLED.path(),
    ],
    check,
};

/// Words of a pipe that carries nothing.
const DEAD: [&str; 6] = ["no", "not", "dead", "disused", "redundant", "abandoned"];

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    let legs = ctx.network.legs.iter().filter(|leg| leg.derived.kind == Kind::Drain);
    let drains = legs.filter_map(|leg| ctx.record.pipes.at(leg.pipe)).filter(|item| !item.broken);
    drains.filter(|item| out_of_use(&item.body)).filter_map(|item| judge(ctx, rule, item)).collect()
}

/// Whether the record says that a drain carries nothing any more; a belief is asked too.
fn out_of_use(pipe: &Pipe) -> bool {
    let words = pipe.live.get().map_or(String::new(), |w| w.0.to_lowercase());
    let dead = words.split(|c: char| !c.is_alphanumeric()).any(|word| DEAD.contains(&word));
    dead || pipe.disused.get().is_some() || pipe.disused.is_unknown() || pipe.stage_now() == Stage::Removed
}

fn subject<'r, T>(item: &Item<Pipe>, rule: &'r Rule, key: &str, field: &Field<T>) -> Subject<'r> {
    let span = if field.is_absent() { item.id_span } else { field.span };
    let planned = item.body.stage_now() == Stage::Planned;
    let field = format!("pipes.{}.disused{}{key}", item.id, if key.is_empty() { "" } else { "." });
    Subject { id: item.id.clone(), span, planned, field, rule }
}

fn judge(ctx: &Ctx<'_>, rule: &Rule, item: &Item<Pipe>) -> Option<Finding> {
    let Some(disused) = item.body.disused.get() else {
        let what = "where it was cut off, and whether it was dug out, or sealed at both ends";
        let open = Measure::Missing(what.to_owned());
        return Some(cut_off(ctx, &subject(item, rule, "", &item.body.live), &open));
    };
    let (cut, how) = (&disused.cut_at, How::Stated);
    let measure = match cut.get() {
        Some(words) => {
            let left = disused.left.get().map_or(String::new(), |m| format!(", {} left", m.words()));
            Measure::plain(true, how, format!("{}{left}", words.0))
        }
        None if cut.is_none() => Measure::plain(false, how, "not cut off"),
        None => Measure::Missing("where it was cut off from the live system".to_owned()),
    };
    let mut all = vec![cut_off(ctx, &subject(item, rule, "cut-at", cut), &measure)];
    if at_risk::yes(ctx, &disused.dug_out) != Some(true) {
        all.extend(may_stay(ctx, rule, item, disused));
        all.push(sealed(ctx, rule, item, disused));
        all.push(filled(ctx, rule, item, disused));
    }
    governing(all)
}

fn cut_off(ctx: &Ctx<'_>, subject: &Subject<'_>, measure: &Measure<bool>) -> Finding {
    let answer = ctx.rulebook.ask(key::DISUSED_CUT_OFF, &Facts::new());
    let mut out = hold(subject, measure, &answer, |_: &bool, _| {
        let text = "rats and gas come up through it from the live drain";
        (text.to_owned(), "cut it off as near as can be to the live drain".to_owned())
    });
    out.limit = "cut off near the live drain".to_owned();
    out
}

/// In open ground it may stay only where it lies deep.
fn may_stay(ctx: &Ctx<'_>, rule: &Rule, item: &Item<Pipe>, disused: &Disused) -> Option<Finding> {
    let (depth, open) = (&disused.depth, at_risk::yes(ctx, &disused.open_ground));
    let answer = ctx.rulebook.ask(key::DISUSED_DUG_OUT_ABOVE_MINIMUM, &Facts::new());
    let known = depth.get().map(|m| Known { value: m.value, half: m.half, how: ctx.record.how(depth) });
    let deep = known.is_some_and(|d| answer.limit().is_some_and(|l| l.met_by(&(d.value - d.half))));
    let (measure, name) = match (open, known) {
        (Some(false), _) => return None,
        (None, _) if !deep => (Measure::Missing("whether the ground over it is open".to_owned()), "open-ground"),
        (_, None) => (Measure::Missing("how deep it lies, or that it was dug out".to_owned()), "depth"),
        (_, Some(known)) => {
            let words = depth.get().map_or(String::new(), |m| m.words());
            (Measure::length(known, format!("{words} deep in open ground, left in")), "depth")
        }
    };
    let mut out = hold(&subject(item, rule, name, depth), &measure, &answer, |_: &Length, _| {
        let text = "so shallow a drain stays a way for rats, and gives way under a load";
        (text.to_owned(), "dig it out".to_owned())
    });
    if let Some(limit) = answer.limit() {
        out.limit = format!("dug out where less than {} deep", limit.words());
    }
    Some(out)
}

fn sealed(ctx: &Ctx<'_>, rule: &Rule, item: &Item<Pipe>, disused: &Disused) -> Finding {
    let field = &disused.sealed;
    let measure = match field.get() {
        Some(ends) => {
            let words: Vec<&str> = ends.iter().map(|w| w.0.as_str()).collect();
            let count = u32::try_from(words.len()).unwrap_or(u32::MAX);
            Measure::plain(count, How::Stated, format!("sealed: {}", crate::base::text::list(&words, "and")))
        }
        None if field.is_none() => Measure::plain(0, How::Stated, "nothing sealed"),
        None => Measure::Missing("which of its ends and connections are sealed".to_owned()),
    };
    let answer = ctx.rulebook.ask(key::DISUSED_SEALED_ENDS_MINIMUM, &Facts::new());
    let mut out = hold(&subject(item, rule, "sealed", field), &measure, &answer, |_: &u32, _| {
        let text = "an end that is left open is a way for rats and ground water";
        (text.to_owned(), "seal both ends, and every connection".to_owned())
    });
    out.limit = "both ends sealed".to_owned();
    out
}

fn filled(ctx: &Ctx<'_>, rule: &Rule, item: &Item<Pipe>, disused: &Disused) -> Finding {
    let (field, size) = (&disused.filled, &item.body.size);
    let known = size.get().filter(|_| ctx.record.how(size) != How::Believed).map(|s| s.nominal);
    let measure = match field.get() {
        Some(words) => Measure::plain(true, ctx.record.how(field), format!("filled with {}", words.0)),
        None if field.is_none() => Measure::plain(false, How::Stated, "not filled"),
        None => Measure::Missing("what it was filled with".to_owned()),
    };
    let answer = ctx.rulebook.ask(key::DISUSED_FILLED, &Facts::new().with(Fact::Size, known));
    let mut out = hold(&subject(item, rule, "filled", field), &measure, &answer, |_: &bool, _| {
        let text = "so large a pipe falls in one day, and the ground over it with it";
        (text.to_owned(), "fill it with grout".to_owned())
    });
    if answer.limit().is_some() {
        out.limit = "filled with grout".to_owned();
    }
    out
}
