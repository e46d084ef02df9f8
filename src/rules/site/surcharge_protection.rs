//! What stands below the water of a surcharge is pumped, is behind an anti-flooding valve, or is spared by a gully outside.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Verdict;
use crate::base::finding::Weight;
use crate::base::known::How;
use crate::base::known::Known;
use crate::base::span::Span;
use crate::base::text::list;
use crate::base::units::Cover;
use crate::base::units::Length;
use crate::compute::guards::Met;
use crate::network::height::Height;
use crate::record::sections::Record;
use crate::record::words::Stage;
use crate::rulebook::Fact;
use crate::rulebook::Facts;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::at_risk;
use crate::rules::at_risk::Risk;
use crate::rules::driver::Measure;
use crate::rules::driver::Subject;
use crate::rules::driver::hold;

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("surcharge-protection"),
    title: "Low parts protected when the sewer backs up",
    weight: Weight::Clause,
    due: Moment::Completion,
    keys: &[
        key::SURCHARGE_PUMPED.path(),
        key::SURCHARGE_PROTECTED.path(),
        key::SURCHARGE_GULLY_BELOW_FLOOR_MINIMUM.path(),
        key::SURCHARGE_BYPASS.path(),
    ],
    check,
};

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    let site = &ctx.record.site;
    if site.surcharge.is_none() {
        return Vec::new();
    }
    let subject = |field: &str| Subject {
        id: "site".to_owned(),
        span: place(ctx.record),
        planned: false,
        field: field.to_owned(),
        rule,
    };
    let Some((basement, field)) = lies(ctx) else { return Vec::new() };
    let risk = site.surcharge.get().filter(|_| ctx.record.how(&site.surcharge) != How::Believed);
    let facts = Facts::new().with(Fact::Basement, basement).with(Fact::SurchargeRisk, risk.map(|r| r.word()));
    // What is not known comes first: no protection can be judged before it.
    let first = if basement.is_none() { field } else { "site.surcharge" };
    let pumped = held(ctx, &subject(first), &facts, Protection::Pump);
    if pumped.verdict != Verdict::NotApplicable {
        return vec![pumped];
    }
    let valve = held(ctx, &subject(first), &facts, Protection::Any);
    if valve.verdict == Verdict::Met || risk.is_none() || basement != Some(false) {
        return vec![valve];
    }
    let gully = gully(ctx, &subject("site.relief"), &facts);
    vec![if gully.verdict == Verdict::NotApplicable { valve } else { gully }]
}

/// Where the record speaks of the surcharge, else of the site, else of the first appliance underground.
fn place(record: &Record) -> Span {
    if !record.site.surcharge.is_absent() {
        return record.site.surcharge.span;
    }
    let section = record.present.iter().find(|p| p.value == "site").map(|p| p.span);
    let under = || record.appliances.iter().find(|a| at_risk::underground(a)).map(|a| a.id_span);
    section.or_else(under).unwrap_or_default()
}

/// Whether the site has a basement that drains (`true`) or lies low without one (`false`); what would settle it when it
/// is asked and not known; `None` when the record says neither, and nothing stands underground.
fn lies(ctx: &Ctx<'_>) -> Option<(Option<bool>, &'static str)> {
    let site = &ctx.record.site;
    let [basement, low] = [&site.basement, &site.low_lying].map(|field| field.get().map(|word| word.yes()));
    if basement == Some(true) || ctx.record.appliances.iter().any(at_risk::underground) {
        return Some((Some(true), "site.basement"));
    }
    match (basement, low) {
        (Some(false), Some(true)) => Some((Some(false), "site.basement")),
        (Some(false), Some(false)) => None,
        (Some(false), None) if at_risk::surcharges(ctx) || site.low_lying.is_unknown() => {
            Some((None, "site.low-lying"))
        }
        (Some(false), None) => None,
        (_, Some(true)) => Some((None, "site.basement")),
        _ if site.basement.is_unknown() || site.low_lying.is_unknown() || at_risk::surcharges(ctx) => {
            Some((None, "site.basement"))
        }
        _ => None,
    }
}

/// What has to stand before an appliance.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Protection {
    Pump,
    Any,
}

fn held(ctx: &Ctx<'_>, subject: &Subject<'_>, facts: &Facts, wanted: Protection) -> Finding {
    let (asked, limit, remedy) = match wanted {
        Protection::Pump => (key::SURCHARGE_PUMPED, "pumped", "a lifting station for what stands so low"),
        Protection::Any => (
            key::SURCHARGE_PROTECTED,
            "behind a valve, or pumped",
            "an anti-flooding valve or a pump for what stands so low",
        ),
    };
    let answer = ctx.rulebook.ask(asked, facts);
    let (measure, field, planned) = protected(ctx, wanted);
    let field = if answer.limit().is_some() { field } else { None };
    let subject = Subject { field: field.unwrap_or_else(|| subject.field.clone()), ..subject.clone() };
    let mut out = hold(&subject, &measure, &answer, |_: &bool, _| {
        ("what stands in the sewer comes up inside, at the lowest fitting first".to_owned(), remedy.to_owned())
    });
    out.planned = planned && out.verdict == Verdict::Met;
    if answer.limit().is_some() {
        out.limit = limit.to_owned();
    } else {
        // Before it is known what is asked, nothing that was found answers it.
        out.measured.clear();
    }
    out
}

/// Whether everything that a surcharge would reach is protected; the field that would settle it; whether some of it
/// rests on something planned.
fn protected(ctx: &Ctx<'_>, wanted: Protection) -> (Measure<bool>, Option<String>, bool) {
    let record = ctx.record;
    let (mut bare, mut kept, mut open, mut how, mut planned) = (Vec::new(), Vec::new(), None, How::Computed, false);
    for (item, guards) in record.appliances.iter().zip(&ctx.computed.guards).filter(|(item, _)| !item.broken) {
        let known = match at_risk::of(ctx, item) {
            Risk::Above(How::Believed, _) => {
                open.get_or_insert((format!("how high {} stands", item.id), format!("appliances.{}.floor", item.id)));
                continue;
            }
            Risk::Above(..) => continue,
            Risk::Below(known) => known,
            Risk::Unknown(field) => {
                open.get_or_insert((format!("whether {} stands below the flood level", item.id), field));
                continue;
            }
        };
        let valve = guards.valve.filter(|_| wanted == Protection::Any);
        let met = |met: Option<Met>| met.filter(|m| m.sure);
        match (met(guards.pump), met(valve)) {
            (Some(pump), _) => {
                planned |= record.pumps.at(pump.guard).is_some_and(|p| p.body.stage.get() == Some(&Stage::Planned));
                how = how.with(known);
                kept.push(item.id.as_str());
            }
            (None, Some(valve)) => {
                planned |= record.valves.at(valve.guard).is_some_and(|v| v.body.stage.get() == Some(&Stage::Planned));
                how = how.with(known);
                kept.push(item.id.as_str());
            }
            (None, None) if guards.pump.or(valve).is_some() || !guards.drains => {
                open.get_or_insert((format!("what {} drains through", item.id), format!("appliances.{}", item.id)));
            }
            (None, None) => bare.push(item.id.as_str()),
        }
    }
    let what = if wanted == Protection::Pump { "without a pump" } else { "without valve or pump" };
    match (bare.is_empty(), open) {
        (false, _) => (Measure::plain(false, How::Computed, format!("{} {what}", list(&bare, "and"))), None, false),
        (true, Some((what, field))) => (Measure::Missing(what), Some(field), false),
        (true, None) if kept.is_empty() => (Measure::plain(true, how, "nothing stands so low"), None, false),
        (true, None) => (Measure::plain(true, how, format!("{} protected", list(&kept, "and"))), None, planned),
    }
}

/// The outside gully at which the water comes up first, against the lowest floor.
fn gully(ctx: &Ctx<'_>, subject: &Subject<'_>, facts: &Facts) -> Finding {
    let answer = ctx.rulebook.ask(key::SURCHARGE_GULLY_BELOW_FLOOR_MINIMUM, facts);
    let (measure, field) = match below_floor(ctx) {
        Ok((known, id)) => {
            let words = format!("{}\u{a0}mm below the lowest floor, {id}", known.value.millimetres());
            (Measure::length(known, words), subject.field.clone())
        }
        Err((what, field)) => (Measure::Missing(what), field),
    };
    let subject = Subject { field, ..subject.clone() };
    hold(&subject, &measure, &answer, |_: &Length, _| {
        let text = "the water comes up inside before it runs out at the gully";
        (text.to_owned(), "a lower gully outside, an anti-flooding valve or a pump".to_owned())
    })
}

fn below_floor(ctx: &Ctx<'_>) -> Result<(Known<Length>, String), (String, String)> {
    let record = ctx.record;
    let relief = record.site.relief.get().and_then(|r| record.access.get(&r.0));
    let Some(gully) = relief else {
        let what = "an anti-flooding valve, a pump, or an outside gully where the water comes up first";
        return Err((what.to_owned(), "site.relief".to_owned()));
    };
    let top: Option<Height<Cover>> = ctx.network.height(&gully.body.cover, Some(&gully.body.kit));
    let Some(top) = top else {
        return Err((format!("the level of {}", gully.id), format!("access.{}.cover", gully.id)));
    };
    let mut lowest: Option<Known<Length>> = None;
    for item in record.appliances.iter().filter(|item| !item.broken) {
        let floor: Option<Height<Cover>> = ctx.network.height(&item.body.floor, None);
        let Some(up) = floor.and_then(|floor| floor.above(&top)) else {
            return Err((format!("the floor under {}", item.id), format!("appliances.{}.floor", item.id)));
        };
        lowest = Some(lowest.filter(|low| low.value <= up.value).unwrap_or(up));
    }
    let what = || ("the floors of the appliances".to_owned(), "appliances".to_owned());
    lowest.map(|low| (low, gully.id.clone())).ok_or_else(what)
}
