//! A 32 mm branch from one basin is neither too long, too flat nor too steep for its length.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Verdict;
use crate::base::finding::Weight;
use crate::base::known::Known;
use crate::base::size::Nominal;
use crate::base::units::Gradient;
use crate::base::units::Length;
use crate::network::ends::End;
use crate::network::kind::Kind;
use crate::record::facts::kind_of;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;
use crate::record::words::ApplianceKind;
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

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("basin-branch-slope"),
    title: "Length and slope of a basin branch in 32\u{a0}mm pipe",
    weight: Weight::Clause,
    due: Moment::BeforeCover,
    check,
};

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    let speaks = |(i, item): &(usize, &Item<Pipe>)| {
        let Some(leg) = ctx.network.legs.get(*i) else { return false };
        let basin = match leg.ends.from {
            End::Appliance(a) => ctx.record.appliances.at(a).and_then(kind_of),
            _ => None,
        };
        leg.derived.kind == Kind::Branch
            && leg.nominal == Some(Nominal(32))
            && matches!(basin, Some(ApplianceKind::Basin | ApplianceKind::Bidet))
            && !matches!(item.body.stage_now(), Stage::Existing | Stage::Removed)
    };
    let judged = ctx.record.pipes.iter().enumerate().filter(speaks);
    judged.filter_map(|(i, item)| governing(judge(ctx, rule, i, item))).collect()
}

fn judge(ctx: &Ctx<'_>, rule: &Rule, leg: usize, item: &Item<Pipe>) -> Vec<Finding> {
    let body = &item.body;
    let subject = |key: &str, absent: bool, span| Subject {
        id: item.id.clone(),
        span: if absent { item.id_span } else { span },
        planned: body.stage_now() == Stage::Planned,
        field: format!("pipes.{}.{key}", item.id),
        rule,
    };
    let by_length = subject("length", body.length.is_absent(), body.length.span);
    let by_fall = subject("fall", body.fall.is_absent(), body.fall.span);
    let facts = Facts::new().with(Fact::BranchLength, body.length.get().map(|m| m.value));

    let longest = ctx.rulebook.ask(key::BRANCH_BASIN_32_LENGTH_MAXIMUM, &facts);
    let length = hold(&by_length, &length(ctx, body), &longest, |limit: &Length, found| {
        let over = (*found - *limit).metres(2);
        (
            format!("{over}\u{a0}m too long for 32\u{a0}mm pipe without its own vent"),
            "a larger pipe, or a vent of its own".to_owned(),
        )
    });
    let slope = slope(ctx, leg);
    let flattest = ctx.rulebook.ask(key::BRANCH_SLOPE_MINIMUM, &facts);
    let flat = hold(&by_fall, &slope, &flattest, |limit: &Gradient, found| {
        (
            format!("flatter than {}\u{a0}mm/m by {}\u{a0}mm/m", limit.mm_per_m(), apart(*limit, *found)),
            "more fall".to_owned(),
        )
    });
    let steepest = ctx.rulebook.ask(key::BRANCH_BASIN_32_SLOPE_MAXIMUM, &facts);
    let mut steep = hold(&by_fall, &slope, &steepest, |limit: &Gradient, found| {
        let words = format!("steeper than {}\u{a0}mm/m by {}\u{a0}mm/m", limit.mm_per_m(), apart(*found, *limit));
        (words, "less fall, a shorter run, or a larger pipe".to_owned())
    });
    // Beyond the longest run no slope is allowed; the length says so already.
    if length.verdict == Verdict::NotMet {
        steep.verdict = Verdict::NotApplicable;
    }
    // The window is one limit to the reader: flattest and steepest stand together.
    if !flat.limit.is_empty() && !steep.limit.is_empty() {
        let flattest =
            flat.limit.strip_suffix("\u{a0}mm/m").filter(|_| steep.limit.ends_with("mm/m")).unwrap_or(&flat.limit);
        steep.limit = format!("{flattest} to {}", steep.limit);
    }
    vec![steep, flat, length]
}

fn length(ctx: &Ctx<'_>, body: &Pipe) -> Measure<Length> {
    match body.length.get() {
        Some(m) => {
            let known = Known { value: m.value, half: m.half, how: ctx.record.how(&body.length) };
            Measure::length(known, m.words())
        }
        None => Measure::Missing("its length".to_owned()),
    }
}

fn slope(ctx: &Ctx<'_>, leg: usize) -> Measure<Gradient> {
    match ctx.network.gradient(leg) {
        Some(g) => {
            let over = ctx.network.legs.get(leg).and_then(|l| l.length);
            let over = over.map_or(String::new(), |l| format!(" over {}\u{a0}m", l.value.metres(2)));
            Measure::gradient(g, format!("{}\u{a0}mm/m{over}", g.value.mm_per_m()))
        }
        None => Measure::Missing("its fall".to_owned()),
    }
}

fn apart(steeper: Gradient, flatter: Gradient) -> String {
    let metre = Length::from_mm(1000);
    Gradient::new(steeper.fall_over(metre) - flatter.fall_over(metre), metre).map_or(String::new(), Gradient::mm_per_m)
}
