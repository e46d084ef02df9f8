//! An anti-flooding valve is made for foul water, can be shut by hand, is told of by a notice, and serves what needs it.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Weight;
use crate::base::known::How;
use crate::record::protection::Valve;
use crate::record::sections::Item;
use crate::record::value::Field;
use crate::record::words::Stage;
use crate::record::words::Words;
use crate::rulebook::Facts;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::at_risk;
use crate::rules::driver::Measure;
use crate::rules::driver::Subject;
use crate::rules::driver::governing;
use crate::rules::driver::hold;
use crate::rules::driver::hold_named;

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("anti-flooding-valve"),
    title: "Anti-flooding valve: made, shut by hand, told of",
    weight: Weight::Clause,
    due: Moment::Completion,
    keys: &[
        key::VALVE_MANUAL_CLOSURE.path(),
        key::VALVE_STANDARD.path(),
        key::VALVE_NOTICE.path(),
        key::VALVE_BUILDINGS_MAXIMUM.path(),
        key::SURCHARGE_BYPASS.path(),
    ],
    check,
};

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    let ours =
        |item: &&Item<Valve>| !item.broken && !matches!(item.body.stage.get(), Some(Stage::Existing | Stage::Removed));
    let valves = ctx.record.valves.iter().enumerate().filter(|(_, item)| ours(item));
    valves.filter_map(|(position, item)| judge(ctx, rule, position, item)).collect()
}

fn judge(ctx: &Ctx<'_>, rule: &Rule, position: usize, item: &Item<Valve>) -> Option<Finding> {
    let guards = &ctx.computed.guards;
    let behind = |a: usize| guards.get(a).and_then(|g| g.valve).filter(|m| m.guard == position).map(|m| m.sure);
    let through = at_risk::bypass(ctx, &subject(item, rule, "on", &item.body.on), behind);
    let mut all = vec![by_hand(ctx, rule, item), made(ctx, rule, item), notice(ctx, rule, item)];
    all.extend(buildings(ctx, rule, item));
    all.extend(through);
    governing(all)
}

fn subject<'r, T>(item: &Item<Valve>, rule: &'r Rule, key: &str, field: &Field<T>) -> Subject<'r> {
    Subject {
        id: item.id.clone(),
        span: if field.is_absent() { item.id_span } else { field.span },
        planned: item.body.stage.get() == Some(&Stage::Planned),
        field: format!("valves.{}.{key}", item.id),
        rule,
    }
}

/// Words that are there, or that are said not to be.
fn there(ctx: &Ctx<'_>, field: &Field<Words>, none: &str, missing: &str) -> Measure<bool> {
    match field.get() {
        Some(words) => Measure::plain(true, ctx.record.how(field), words.0.clone()),
        None if field.is_none() => Measure::plain(false, How::Stated, none),
        None => Measure::Missing(missing.to_owned()),
    }
}

fn by_hand(ctx: &Ctx<'_>, rule: &Rule, item: &Item<Valve>) -> Finding {
    let field = &item.body.closure;
    let measure = there(ctx, field, "no closing by hand", "how it is closed by hand");
    let answer = ctx.rulebook.ask(key::VALVE_MANUAL_CLOSURE, &Facts::new());
    let mut out = hold(&subject(item, rule, "closure", field), &measure, &answer, |_: &bool, _| {
        let text = "when its flap sticks, nothing keeps the sewer out";
        (text.to_owned(), "a valve that can also be closed by hand".to_owned())
    });
    out.limit = "closed by hand too".to_owned();
    out
}

fn made(ctx: &Ctx<'_>, rule: &Rule, item: &Item<Valve>) -> Finding {
    let field = &item.body.standard;
    let said = match field.get() {
        Some(words) => Measure::plain(words.0.clone(), ctx.record.how(field), words.0.clone()),
        None if field.is_none() => Measure::plain(String::new(), How::Stated, "no standard"),
        None => Measure::Missing("the standard that it is made to".to_owned()),
    };
    let answer = ctx.rulebook.ask(key::VALVE_STANDARD, &Facts::new());
    hold_named(&subject(item, rule, "standard", field), &said, &answer, |limit| {
        ("it is not shown to be made for foul water".to_owned(), format!("a valve to {limit}"))
    })
}

fn notice(ctx: &Ctx<'_>, rule: &Rule, item: &Item<Valve>) -> Finding {
    let field = &item.body.notice;
    let measure = there(ctx, field, "no notice", "where in the building its notice hangs");
    let answer = ctx.rulebook.ask(key::VALVE_NOTICE, &Facts::new());
    let mut out = hold(&subject(item, rule, "notice", field), &measure, &answer, |_: &bool, _| {
        let text = "whoever lives there does not know of the valve, of its lever or of its upkeep";
        let remedy =
            "a notice inside: that the drain runs through a valve, where it is shut by hand, what upkeep it needs";
        (text.to_owned(), remedy.to_owned())
    });
    out.limit = "a notice inside".to_owned();
    out
}

/// One that closes once serves one building; one that closes twice is not asked.
fn buildings(ctx: &Ctx<'_>, rule: &Rule, item: &Item<Valve>) -> Option<Finding> {
    let (double, count) = (&item.body.double, &item.body.buildings);
    let twice = at_risk::yes(ctx, double);
    if twice == Some(true) {
        return None;
    }
    let answer = ctx.rulebook.ask(key::VALVE_BUILDINGS_MAXIMUM, &Facts::new());
    let said = count.get().map(|c| c.0);
    let over = said.is_some_and(|n| answer.limit().is_some_and(|limit| !limit.met_by(&n)));
    let (measure, name, place) = match said {
        // Of many buildings it hangs on whether the valve closes twice.
        Some(_) if over && twice.is_none() => {
            (Measure::Missing("whether it closes twice".to_owned()), "double", double.span)
        }
        Some(n) => {
            let words = if n == 1 { "1 building".to_owned() } else { format!("{n} buildings") };
            (Measure::plain(n, ctx.record.how(count), words), "buildings", count.span)
        }
        None => (Measure::Missing("how many buildings drain through it".to_owned()), "buildings", item.id_span),
    };
    let base = subject(item, rule, name, count);
    let base = Subject { span: if place.len == 0 { item.id_span } else { place }, ..base };
    let mut out = hold(&base, &measure, &answer, |_: &u32, _| {
        let text = "one flap that sticks floods them all";
        (text.to_owned(), "a valve for each, or one that closes twice".to_owned())
    });
    if answer.limit().is_some() {
        out.limit = "1 building on a single valve".to_owned();
    }
    Some(out)
}
