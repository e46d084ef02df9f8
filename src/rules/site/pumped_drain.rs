//! A drain is pumped for a reason, by a unit made for it, out of a chamber that holds a day's water.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Weight;
use crate::base::known::How;
use crate::record::protection::Pump;
use crate::record::quantity::Count;
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
    check,
};

/// Microlitres in a litre, times hours in a day, times per cent: what the volume is multiplied with.
const SCALE: i128 = 24 * 100;

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    let ours =
        |item: &&Item<Pump>| !item.broken && !matches!(item.body.stage.get(), Some(Stage::Existing | Stage::Removed));
    let pumps = ctx.record.pumps.iter().enumerate().filter(|(_, item)| ours(item));
    pumps.filter_map(|(position, item)| judge(ctx, rule, position, item)).collect()
}

fn judge(ctx: &Ctx<'_>, rule: &Rule, position: usize, item: &Item<Pump>) -> Option<Finding> {
    let mut all = vec![storage(ctx, rule, item), reason(ctx, rule, item)];
    all.push(standard(ctx, rule, item, key::PUMP_STANDARD));
    // What stands outside is designed to the standard of its unit; of what stands inside there are two.
    if at_risk::yes(ctx, &item.body.inside) != Some(false) {
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
fn storage(ctx: &Ctx<'_>, rule: &Rule, item: &Item<Pump>) -> Finding {
    let hours = ctx.rulebook.ask(key::PUMP_STORAGE_HOURS_MINIMUM, &Facts::new());
    let each = ctx.rulebook.ask(key::PUMP_LITRES_PER_HEAD, &Facts::new());
    let each = each.limit().map(|limit| limit.value);
    let (measure, name) = match stored(ctx, item, each) {
        Ok(measure) => (measure, "holds"),
        Err((what, name)) => (Measure::Missing(what.to_owned()), name),
    };
    let mut out = hold(&subject(item, rule, name, &item.body.holds), &measure, &hours, |_: &u32, _| {
        let text = "when the pump stops, the chamber is full before anybody comes";
        (text.to_owned(), "a larger chamber".to_owned())
    });
    if let Some(limit) = hours.limit() {
        out.limit = format!("{}\u{a0}h of inflow", limit.value);
    }
    out
}

fn stored(ctx: &Ctx<'_>, item: &Item<Pump>, each: Option<u32>) -> Result<Measure<u32>, (&'static str, &'static str)> {
    let (body, record) = (&item.body, ctx.record);
    let Some(holds) = body.holds.get() else { return Err(("what its chamber holds", "holds")) };
    let (heads, how) = heads(ctx, body).ok_or(("how many people, or bedrooms, drain to it", "heads"))?;
    // Without a word all of the water is pumped, which asks for the most.
    let (share, share_how) = match body.percent.get() {
        Some(percent) => (percent.0, record.how(&body.percent)),
        None => (100, How::Computed),
    };
    let how = how.with(share_how).with(record.how(&body.holds));
    let day = i128::from(each.unwrap_or(0)) * i128::from(heads) * i128::from(share);
    let full = |ul: i64| {
        let hours = (i128::from(ul) * SCALE).checked_div(day * 1_000_000).unwrap_or(i128::from(u32::MAX));
        u32::try_from(hours.clamp(0, i128::from(u32::MAX))).unwrap_or(u32::MAX)
    };
    let (value, low, high) = (holds.value, holds.value - holds.half, holds.value + holds.half);
    let litres = day / 100;
    let part = if share == 100 { String::new() } else { format!(", {share}\u{a0}% of it pumped") };
    let words = format!(
        "{}, {}\u{a0}h of {litres}\u{a0}l a day: {heads} at {}\u{a0}l{part}",
        holds.words(),
        full(value.ul()),
        each.unwrap_or(0)
    );
    // A chamber is sold by its volume; what its last digit leaves open is not a reading's spread unless it was measured.
    let spread = record.how(&body.holds) == How::Measured && body.holds.how == Some(How::Measured);
    let (low, high) = if spread { (full(low.ul()), full(high.ul())) } else { (full(value.ul()), full(value.ul())) };
    Ok(Measure::Is { value: full(value.ul()), low, high, how, words: about(how, &words) })
}

/// The people who drain to it: as said, else two in the first bedroom of each dwelling and one in every other.
fn heads(ctx: &Ctx<'_>, pump: &Pump) -> Option<(u32, How)> {
    let said = |field: &Field<Count>| field.get().map(|c| (c.0, ctx.record.how(field)));
    if let Some(found) = said(&pump.heads) {
        return Some(found);
    }
    let (bedrooms, how) = said(&pump.bedrooms)?;
    let dwellings = said(&ctx.record.job.dwellings).map_or(1, |(n, _)| n.max(1));
    Some((bedrooms.saturating_add(dwellings), how.with(How::Computed)))
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
