//! A drain is pumped for a reason, by a unit made for it, out of a chamber that holds a day's water.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Weight;
use crate::base::known::How;
use crate::base::water::Volume;
use crate::record::protection::Pump;
use crate::record::sections::Item;
use crate::record::value::Field;
use crate::record::words::Stage;
use crate::rulebook::Fact;
use crate::rulebook::Facts;
use crate::rulebook::Key;
use crate::rulebook::Words;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::at_risk;
use crate::rules::driver::Measure;
use crate::rules::driver::Subject;
use crate::rules::driver::about;
use crate::rules::driver::governing;
use crate::rules::driver::hold;
use crate::rules::driver::hold_named;

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("pumped-drain"),
    title: "Pumped drain: its reason, its unit, its storage",
    weight: Weight::Clause,
    due: Moment::Completion,
    keys: &[
        key::PUMP_STANDARD.path(),
        key::PUMP_DESIGN.path(),
        key::PUMP_STORAGE_HOURS_MINIMUM.path(),
        key::PUMP_LITRES_PER_HEAD.path(),
        key::PUMP_REASON.path(),
        key::SURCHARGE_BYPASS.path(),
    ],
    check,
};

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    let ours =
        |item: &&Item<Pump>| !item.broken && !matches!(item.body.stage.get(), Some(Stage::Existing | Stage::Removed));
    let pumps = ctx.record.pumps.iter().enumerate().filter(|(_, item)| ours(item));
    pumps.filter_map(|(position, item)| judge(ctx, rule, position, item)).collect()
}

fn judge(ctx: &Ctx<'_>, rule: &Rule, position: usize, item: &Item<Pump>) -> Option<Finding> {
    let mut all = vec![storage(ctx, rule, position, item), reason(ctx, rule, item)];
    all.push(standard(ctx, rule, item, key::PUMP_STANDARD));
    // What stands outside is designed to the standard of its unit; of what stands inside there are two.
    if at_risk::yes(ctx, &item.body.inside) == Some(true) {
        all.push(standard(ctx, rule, item, key::PUMP_DESIGN));
    }
    // A pump that only lifts water from below the sewer may take what stands higher too; one against surcharge may not.
    if at_risk::surcharges(ctx) {
        let guards = &ctx.computed.guards;
        let behind = |a: usize| guards.get(a).and_then(|g| g.pump).filter(|m| m.guard == position).map(|m| m.sure);
        all.extend(at_risk::bypass(ctx, &subject(item, rule, "on", &item.body.on), behind));
    }
    governing(all)
}

fn subject<'r, T>(item: &Item<Pump>, rule: &'r Rule, key: &str, field: &Field<T>) -> Subject<'r> {
    Subject {
        id: item.id.clone(),
        span: if field.is_absent() { item.id_span } else { field.span },
        planned: item.body.stage.get() == Some(&Stage::Planned),
        field: format!("pumps.{}.{key}", item.id),
        rule,
    }
}

/// How many hours of a day's inflow the chamber holds, and how that was reckoned.
fn storage(ctx: &Ctx<'_>, rule: &Rule, position: usize, item: &Item<Pump>) -> Finding {
    let hours = ctx.rulebook.ask(key::PUMP_STORAGE_HOURS_MINIMUM, &Facts::new());
    let (measure, name) = match stored(ctx, position, item) {
        Ok(measure) => (measure, "holds"),
        Err((what, name)) => (Measure::Missing(what.to_owned()), name),
    };
    let mut out = hold(&subject(item, rule, name, &item.body.holds), &measure, &hours, |_: &u32, _| {
        let text = "when the pump stops, the chamber is full before anybody comes";
        (text.to_owned(), "a larger chamber".to_owned())
    });
    // The litres a head are a figure of the guidance too.
    let each = ctx.rulebook.ask(key::PUMP_LITRES_PER_HEAD, &Facts::new());
    out.recalled |= each.limit().is_some_and(|limit| limit.recalled);
    if let Some(limit) = hours.limit() {
        out.limit = format!("{}\u{a0}h of inflow", limit.value);
    }
    out
}

fn stored(ctx: &Ctx<'_>, position: usize, item: &Item<Pump>) -> Result<Measure<u32>, (&'static str, &'static str)> {
    let field = &item.body.holds;
    let holds = field.get().ok_or(("what its chamber holds", "holds"))?;
    let inflow = ctx.computed.inflows.get(position).copied().flatten();
    let inflow = inflow.ok_or(("how many people, or bedrooms, drain to it", "heads"))?;
    let how = inflow.how.with(ctx.record.how(field));
    let value = inflow.hours(holds.value.ul());
    let words = format!("{}, {value}\u{a0}h of {}", holds.words(), inflow.words());
    // A volume off a label has no spread; one that was measured may be off by its last digit.
    let half = if field.how == Some(How::Measured) { holds.half } else { Volume::ZERO };
    let (low, high) = (inflow.hours((holds.value - half).ul()), inflow.hours((holds.value + half).ul()));
    Ok(Measure::Is { value, low, high, how, words: about(how, &words) })
}

fn reason(ctx: &Ctx<'_>, rule: &Rule, item: &Item<Pump>) -> Finding {
    let why = &item.body.why;
    let measure = match why.get() {
        Some(words) => Measure::plain(true, How::Stated, words.0.clone()),
        None if at_risk::surcharges(ctx) => Measure::plain(true, How::Stated, "against surcharge"),
        None if why.is_none() => Measure::plain(false, How::Stated, "no reason"),
        None => Measure::Missing("why the drain does not run by gravity".to_owned()),
    };
    let answer = ctx.rulebook.ask(key::PUMP_REASON, &Facts::new());
    let mut out = hold(&subject(item, rule, "why", why), &measure, &answer, |_: &bool, _| {
        let text = "a pump stops when the current does; a drain that falls does not";
        (text.to_owned(), "a drain by gravity".to_owned())
    });
    out.limit = "no way by gravity, or a surcharge".to_owned();
    out
}

fn standard(ctx: &Ctx<'_>, rule: &Rule, item: &Item<Pump>, asked: Key<Words>) -> Finding {
    let (field, inside) = (&item.body.standard, at_risk::yes(ctx, &item.body.inside));
    let said = match field.get() {
        Some(words) => Measure::plain(words.0.clone(), ctx.record.how(field), words.0.clone()),
        None if field.is_none() => Measure::plain(String::new(), How::Stated, "no standard"),
        None => Measure::Missing("the standards that it is made and designed to".to_owned()),
    };
    let answer = ctx.rulebook.ask(asked, &Facts::new().with(Fact::PumpInside, inside));
    let name = if inside.is_none() { "inside" } else { "standard" };
    hold_named(&subject(item, rule, name, field), &said, &answer, |limit| {
        ("it is not shown to be made for this".to_owned(), format!("a unit to {limit}, and a design to match"))
    })
}
