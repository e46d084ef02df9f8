//! A foul drain carries its peak flow without running fuller than the guidance lets it.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Verdict;
use crate::base::finding::Weight;
use crate::compute::capacity::Capacity;
use crate::compute::capacity::Carries;
use crate::compute::capacity::Running;
use crate::compute::flow::DesignFlow;
use crate::compute::flow::Lack;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;
use crate::rulebook::Factor;
use crate::rulebook::Facts;
use crate::rulebook::Flow;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::driver::Measure;
use crate::rules::driver::Subject;
use crate::rules::driver::about;
use crate::rules::driver::hold;
use crate::rules::driver::unsettled;
use crate::rules::laid;

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("drain-capacity"),
    title: "Peak flow inside what a foul drain carries",
    weight: Weight::Clause,
    due: Moment::BeforeCover,
    keys: &[
        key::DRAIN_FILLING_MAXIMUM.path(),
        key::FLOW_ROUGHNESS.path(),
        key::FLOW_VISCOSITY.path(),
        key::FLOW_UNITS.path(),
        key::FLOW_UNITS_WC.path(),
        key::FLOW_UNITS_DWELLING.path(),
        key::FLOW_FREQUENCY.path(),
    ],
    check,
};

/// Full to the soffit, or more.
const FULL: Factor = Factor::from_thousandths(1000);

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    ctx.foul_drains().map(|(leg, item)| judge(ctx, rule, leg, item)).collect()
}

fn judge(ctx: &Ctx<'_>, rule: &Rule, leg: usize, item: &Item<Pipe>) -> Finding {
    let subject = |key: &str| Subject {
        field: format!("pipes.{}.{key}", item.id),
        ..laid::subject(item, rule, "fall", &item.body.fall)
    };
    let flow = ctx.computed.flows.get(leg).filter(|flow| flow.appliances > 0 || flow.rain.ml_s() > 0);
    let capacity = ctx.computed.capacities.get(leg).and_then(Option::as_ref);
    match (flow, capacity) {
        (_, None) => {
            let (key, what) = no_capacity(ctx, leg);
            held(ctx, &subject(key), &Measure::Missing(what.to_owned()))
        }
        (None, Some(_)) => held(ctx, &subject("from"), &Measure::Missing("what it carries".to_owned())),
        (Some(flow), Some(capacity)) => by_flow(ctx, &subject, item, flow, (capacity, &laid::over_piece(ctx, leg))),
    }
}

/// What is wanting for the capacity: the size, an inside diameter, or the fall.
fn no_capacity(ctx: &Ctx<'_>, leg: usize) -> (&'static str, &'static str) {
    match ctx.network.legs.get(leg).map(|l| (l.nominal, l.bore)) {
        Some((None, None)) => ("size", "its size"),
        Some((Some(_), None)) => ("bore", "its inside diameter, which no table gives for its material"),
        _ => ("fall", "its fall"),
    }
}

/// Where more may come than is known, what is known can show that it is too much, but never that it is not.
fn by_flow<'a>(
    ctx: &Ctx<'_>,
    subject: &impl Fn(&str) -> Subject<'a>,
    item: &Item<Pipe>,
    flow: &DesignFlow,
    (capacity, over): (&Capacity, &str),
) -> Finding {
    let how = capacity.gradient.how.with(flow.how_peak());
    let bore = &item.body.bore;
    let how = if bore.get().is_some() { how.with(ctx.record.how(bore)) } else { laid::by_size(ctx, item, how) };
    let rain = if flow.rain.ml_s() > 0 { format!(", {} of it rain,", litres(flow.rain)) } else { String::new() };
    let more = if flow.open().is_some() { " and more" } else { "" };
    let fall = format!("{}{over}", capacity.gradient.value.in_words());
    let fall = match capacity.gradient.value.fall().um() {
        ..0 => format!(": it {fall}"),
        0 => format!(": it lies {fall}"),
        _ => format!(" at {fall}"),
    };
    let basis = format!("{}{rain}{more} of {}{fall}", litres(flow.peak()), litres(capacity.here.allowed.flow));
    let filling = |carries: &Carries| match carries.design {
        Some(Running::Dry) => Factor::from_thousandths(0),
        Some(Running::PartFull { filling, .. }) => filling,
        Some(Running::Standing | Running::Surcharged) => FULL,
        // Not all of the flow is known: so much of it as is.
        None if flow.peak() > carries.allowed.flow => FULL,
        None => capacity.filling,
    };
    let value = filling(&capacity.here);
    let full = if flow.open().is_some() { String::new() } else { format!("{} full; ", hundredths(value)) };
    let words = about(how, &format!("{full}{basis}"));
    let (low, high) = (filling(&capacity.steepest), filling(&capacity.flattest));
    let mut out = held(ctx, &subject("fall"), &Measure::Is { value, low, high, how, words });
    out.recalled |= (capacity.recalled || flow.recalled) && !out.limit.is_empty();
    if let (Some(lack), true) = (flow.open(), out.verdict != Verdict::NotMet) {
        out.inside_spread = false;
        let rain = match lack {
            Lack::Rain(leg) => Some(format!("pipes.{}.rain", ctx.network.id(leg))),
            _ => None,
        };
        let mut from = subject("from");
        from.field = rain.unwrap_or(from.field);
        unsettled(&mut out, &from, lack.words(ctx.network));
    } else if let (Verdict::Met, Some(adrift)) = (out.verdict, adrift(ctx, flow, capacity)) {
        out.inside_spread = false;
        unsettled(&mut out, &Subject { field: "pipes".to_owned(), ..subject("from") }, adrift);
    }
    out
}

/// What drains to nowhere that the record shows, where it would be too much if it came down here. Flows are simply added,
/// which is never less than they make together.
fn adrift(ctx: &Ctx<'_>, flow: &DesignFlow, capacity: &Capacity) -> Option<String> {
    let loose = &ctx.computed.adrift;
    let sum = Flow::from_ml_s(flow.peak().ml_s().saturating_add(loose.flow.ml_s()));
    let pipes = loose.legs.iter().map(|leg| ctx.network.id(*leg));
    let appliances = loose.appliances.iter().filter_map(|a| ctx.record.appliances.at(*a)).map(|a| a.id.as_str());
    let names: Vec<&str> = pipes.chain(appliances).collect();
    let leads = if names.len() == 1 { "leads" } else { "lead" };
    let too_much = !names.is_empty() && sum > capacity.flattest.allowed.flow;
    too_much.then(|| format!("where {} {leads}", crate::base::text::list(&names, "and")))
}

fn held(ctx: &Ctx<'_>, subject: &Subject<'_>, measure: &Measure<Factor>) -> Finding {
    let answer = ctx.rulebook.ask(key::DRAIN_FILLING_MAXIMUM, &Facts::new());
    let mut out = hold(subject, measure, &answer, |limit: &Factor, _| {
        let text = format!("with its peak flow it would run more than {} full", hundredths(*limit));
        (text, "more fall, or a larger pipe".to_owned())
    });
    if !out.limit.is_empty() {
        out.limit = format!("{} full", out.limit);
    }
    out
}

fn hundredths(factor: Factor) -> String {
    let n = factor.thousandths().saturating_add(5) / 10;
    format!("{}.{:02}", n / 100, n % 100)
}

fn litres(flow: Flow) -> String {
    let tenths = flow.ml_s().saturating_add(50) / 100;
    format!("{}.{}\u{a0}l/s", tenths / 10, tenths % 10)
}
