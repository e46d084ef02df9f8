//! A drain falls at least as steeply as the guidance asks for its size and what it carries.

mod rain;

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Verdict;
use crate::base::finding::Weight;
use crate::base::known::How;
use crate::base::known::KnownGradient;
use crate::base::units::Gradient;
use crate::base::units::Length;
use crate::compute::flow::DesignFlow;
use crate::network::kind::Kind;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;
use crate::record::words::ApplianceKind;
use crate::record::words::Stage;
use crate::rulebook::Answer;
use crate::rulebook::Fact;
use crate::rulebook::Facts;
use crate::rulebook::Flow;
use crate::rulebook::Held;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::driver::Measure;
use crate::rules::driver::Subject;
use crate::rules::driver::cite;
use crate::rules::driver::hold;
use crate::rules::driver::unsettled;
use crate::rules::laid;

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("drain-gradient"),
    title: "Gradient of a drain",
    weight: Weight::Clause,
    due: Moment::BeforeCover,
    keys: &[
        key::BRANCH_SLOPE_WINDOW.path(),
        key::DRAIN_GRADIENT_MINIMUM.path(),
        key::MAGUIRE_GRADIENT_MINIMUM.path(),
        key::DRAIN_RAIN_GRADIENT_MINIMUM.path(),
    ],
    check,
};

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    let foul = ctx.foul_drains().map(|(leg, item)| judge(ctx, rule, leg, item));
    foul.chain(ctx.rain_drains().map(|(leg, item)| rain::judge(ctx, rule, leg, item))).collect()
}

fn judge(ctx: &Ctx<'_>, rule: &Rule, leg: usize, item: &Item<Pipe>) -> Finding {
    let body = &item.body;
    let said = [body.fall.span, body.il.span];
    let absent = [body.fall.is_absent(), body.il.is_absent()];
    let span = said.iter().zip(absent).find(|(_, a)| !a).map_or(item.id_span, |(s, _)| *s);
    let size = ctx.network.legs.get(leg).and_then(|l| l.nominal);
    let key = if size.is_none() { "size" } else { "fall" };
    let subject = Subject {
        id: item.id.clone(),
        span,
        planned: body.stage_now() == Stage::Planned,
        field: format!("pipes.{}.{key}", item.id),
        rule,
    };
    let flow = ctx.computed.flows.get(leg).copied();
    let facts = Facts::new().with(Fact::Size, size);
    let mut out = match flow {
        Some(flow) if flow.appliances > 0 => by_flow(ctx, &subject, leg, item, &flow, facts),
        Some(flow) => unfed(ctx, &subject, leg, item, flow, facts),
        None => unsettled_flow(ctx, &subject, leg, item, facts, "what it carries".to_owned()),
    };
    out.recalled |= flow.is_some_and(|f| f.recalled) && !out.limit.is_empty();
    if out.verdict == Verdict::Met {
        out.text = as_a_branch(ctx, leg);
    }
    out
}

/// Where the same pipe would be too flat as the branch of a WC: that, and why this one is a drain.
fn as_a_branch(ctx: &Ctx<'_>, leg: usize) -> String {
    let (Some(own), Some(found)) = (ctx.network.legs.get(leg), ctx.network.gradient(leg)) else { return String::new() };
    let facts = Facts::new().with(Fact::Appliance, ApplianceKind::Wc.word()).with(Fact::Size, own.nominal);
    let branch = ctx.rulebook.ask(key::BRANCH_SLOPE_WINDOW, &facts);
    match branch.limit().filter(|limit| found.value < limit.value.flattest) {
        Some(limit) => format!(
            "it would be too flat as the {} of a WC ({}), but this is a {}: it {}",
            Kind::Branch.words(),
            limit.words(),
            own.derived.kind.words(),
            own.derived.reason
        ),
        None => String::new(),
    }
}

/// Holds the fall against the line for what is known to come down. Where more may come, part is only believed, or the
/// table has no line for it, the steeper line for little flow is tried first: what satisfies that is steep enough
/// whatever comes.
fn by_flow(
    ctx: &Ctx<'_>,
    subject: &Subject<'_>,
    leg: usize,
    item: &Item<Pipe>,
    flow: &DesignFlow,
    facts: Facts,
) -> Finding {
    let carries = facts.clone().with(Fact::PeakFlow, flow.total).with(Fact::WcCount, flow.wcs);
    let words = carried(flow);
    let known = flow.lacks.is_none() && flow.how != How::Believed;
    let own_line = ctx.rulebook.ask(key::DRAIN_GRADIENT_MINIMUM, &carries);
    if known && !matches!(own_line, Answer::Silent) {
        return held(ctx, subject, leg, item, (&carries, &words, How::Computed));
    }
    let little = facts.with(Fact::PeakFlow, Flow::from_ml_s(0)).with(Fact::WcCount, 0_u32);
    let strict = held(ctx, subject, leg, item, (&little, &words, How::Computed));
    if strict.verdict == Verdict::Met {
        return strict;
    }
    let mut out = held(ctx, subject, leg, item, (&carries, &words, flow.how));
    if let (Verdict::NotMet, Some(lack)) = (out.verdict, flow.lacks) {
        unsettled(&mut out, subject, lack.words(ctx.network));
    }
    out
}

/// A drain of which the record shows nothing that drains into it.
fn unfed(
    ctx: &Ctx<'_>,
    subject: &Subject<'_>,
    leg: usize,
    item: &Item<Pipe>,
    flow: DesignFlow,
    facts: Facts,
) -> Finding {
    let what = flow.lacks.map_or("what it carries".to_owned(), |lack| lack.words(ctx.network));
    unsettled_flow(ctx, subject, leg, item, facts, what)
}

fn unsettled_flow(
    ctx: &Ctx<'_>,
    subject: &Subject<'_>,
    leg: usize,
    item: &Item<Pipe>,
    facts: Facts,
    what: String,
) -> Finding {
    let little = facts.with(Fact::PeakFlow, Flow::from_ml_s(0)).with(Fact::WcCount, 0_u32);
    let mut out = held(ctx, subject, leg, item, (&little, "", How::Computed));
    if out.verdict != Verdict::Met && out.measured != String::new() {
        let subject = Subject { field: format!("pipes.{}.from", item.id), ..subject.clone() };
        unsettled(&mut out, &subject, what);
    }
    out
}

fn held(
    ctx: &Ctx<'_>,
    subject: &Subject<'_>,
    leg: usize,
    item: &Item<Pipe>,
    (facts, carries, how): (&Facts, &str, How),
) -> Finding {
    let answer = ctx.rulebook.ask(key::DRAIN_GRADIENT_MINIMUM, facts);
    let mut out = held_flattest(ctx, subject, (leg, item), (carries, how), &answer);
    if matches!(answer, Answer::Silent) {
        let any = Facts::new().with(Fact::Size, crate::base::size::Nominal(100));
        let any = any.with(Fact::PeakFlow, Flow::from_ml_s(0)).with(Fact::WcCount, 0_u32);
        cite(&mut out, ctx.rulebook.ask(key::DRAIN_GRADIENT_MINIMUM, &any).citation());
        out.recalled = false;
        let size = item.body.size.get().map_or("its size", |s| s.label.as_str());
        let custom = custom(ctx, facts);
        let settle =
            format!("that its fall is enough: the table has no line for {size} with so little to carry{custom}");
        let subject = Subject { field: format!("pipes.{}.size", item.id), ..subject.clone() };
        unsettled(&mut out, &subject, settle);
    }
    out
}

/// The flattest piece of a drain held against a limit. Pieces that are not known keep it from being met.
fn held_flattest(
    ctx: &Ctx<'_>,
    subject: &Subject<'_>,
    (leg, item): (usize, &Item<Pipe>),
    (carries, how): (&str, How),
    answer: &Answer<Gradient>,
) -> Finding {
    let length = length_of_flattest(ctx, leg);
    let (measure, whole) = measure(ctx, leg, item, carries, how);
    let over = laid::over_piece(ctx, leg);
    let mut out = hold(subject, &measure, answer, |limit: &Gradient, found| flat(limit, found, length, &over));
    if !whole && out.verdict == Verdict::Met {
        unsettled(&mut out, subject, "the inverts at both ends of each of its pieces".to_owned());
    }
    out
}

/// What a limit is missed by, in words, and the fall that would do over the piece that is held against it.
fn flat(limit: &Gradient, found: &Gradient, length: Option<Length>, over: &str) -> (String, String) {
    let settle = length.map_or("more fall".to_owned(), |l| {
        let fall = whole_millimetres(limit.fall_over(l));
        let own = if over.is_empty() { "its" } else { "those" };
        format!("a fall of {fall}\u{a0}mm over {own} {}\u{a0}m", l.metres(2))
    });
    let rises = found.fall() < Length::ZERO;
    let text = if rises {
        format!("it rises in the direction of flow{over}")
    } else {
        format!("flatter than {}{over}", limit.quantity().words())
    };
    (text, settle)
}

/// What the trade would lay a pipe at of which the guidance does not speak.
fn custom(ctx: &Ctx<'_>, facts: &Facts) -> String {
    let answer = ctx.rulebook.ask(key::MAGUIRE_GRADIENT_MINIMUM, facts);
    answer.limit().map_or(String::new(), |limit| {
        format!("; custom lays it at {} or steeper, or takes a pipe of 100\u{a0}mm", limit.value.quantity().words())
    })
}

/// The gradient of the flattest piece, and whether those of all pieces are known. One piece that is too flat shows that
/// the drain is, whatever the others are.
fn measure(ctx: &Ctx<'_>, leg: usize, item: &Item<Pipe>, carries: &str, how: How) -> (Measure<Gradient>, bool) {
    let carries = if carries.is_empty() { String::new() } else { format!("; {carries}") };
    let known = |g: How| if how == How::Believed { How::Believed } else { laid::by_size(ctx, item, g) };
    let words = |g: Gradient| format!("{}{}{carries}", g.in_words(), laid::over_piece(ctx, leg));
    match ctx.network.flattest(leg).filter(|(_, _, whole)| !whole) {
        Some((_, g, whole)) => (Measure::gradient(KnownGradient { how: known(g.how), ..g }, words(g.value)), whole),
        None => (laid::slope(ctx, leg, known, words), true),
    }
}

fn length_of_flattest(ctx: &Ctx<'_>, leg: usize) -> Option<Length> {
    if ctx.network.knees(leg) == 0 {
        return ctx.network.legs.get(leg)?.length.map(|l| l.value);
    }
    let (piece, _, _) = ctx.network.flattest(leg)?;
    piece.to.map(|to| to.value - piece.from.value)
}

/// `2.0 l/s, 1 WC`: what the line of the table was chosen by.
fn carried(flow: &DesignFlow) -> String {
    let wcs = match flow.wcs {
        0 => "no WC".to_owned(),
        1 => "1\u{a0}WC".to_owned(),
        n => format!("{n}\u{a0}WCs"),
    };
    let tenths = flow.total.ml_s().saturating_add(50) / 100;
    format!("{}.{}\u{a0}l/s, {wcs}", tenths / 10, tenths % 10)
}

/// Millimetres, a part of one counted whole.
fn whole_millimetres(length: Length) -> i64 {
    length.um().saturating_add(999).div_euclid(1000)
}
