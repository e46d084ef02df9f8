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
use crate::compute::branches::Single;
use crate::network::ends::End;
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
use crate::rules::driver::cite;
use crate::rules::driver::finding;
use crate::rules::driver::governing;
use crate::rules::driver::hold;
use crate::rules::driver::unsettled;
use crate::rules::laid;

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("basin-branch-slope"),
    title: "Length and slope of a basin branch in 32\u{a0}mm pipe",
    weight: Weight::Clause,
    due: Moment::BeforeCover,
    keys: &[
        key::BRANCH_BASIN_32_LENGTH_MAXIMUM.path(),
        key::BRANCH_SLOPE_MINIMUM.path(),
        key::BRANCH_BASIN_32_SLOPE_MAXIMUM.path(),
    ],
    check,
};

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    let judged = ctx
        .record
        .pipes
        .iter()
        .zip(&ctx.computed.singles)
        .filter(|(item, _)| !item.broken && !matches!(item.body.stage_now(), Stage::Existing | Stage::Removed));
    judged
        .filter_map(|(item, single)| {
            let single = single.as_ref().filter(|s| speaks(ctx, s))?;
            let size = ctx.network.legs.get(*single.legs.first()?)?.nominal;
            if size.is_none() { Some(without_size(ctx, rule, item)) } else { governing(judge(ctx, rule, single, item)) }
        })
        .collect()
}

/// Whether a branch comes from a basin or bidet, has no vent of its own, and may be of 32 mm pipe.
fn speaks(ctx: &Ctx<'_>, single: &Single) -> bool {
    let Some(leg) = single.legs.first().and_then(|l| ctx.network.legs.get(*l)) else { return false };
    let basin = match leg.ends.from {
        End::Appliance(a) => ctx.record.appliances.at(a).and_then(kind_of),
        _ => None,
    };
    let readable = |leg: &usize| ctx.record.pipes.at(*leg).is_some_and(|p| !p.broken);
    matches!(basin, Some(ApplianceKind::Basin | ApplianceKind::Bidet))
        && leg.nominal.is_none_or(|n| n == Nominal(32))
        && !ventilated(ctx, single)
        && single.legs.iter().all(readable)
}

/// Whether a vent that is there stands on it.
fn ventilated(ctx: &Ctx<'_>, single: &Single) -> bool {
    let vent = single.vent.and_then(|v| ctx.record.pipes.at(v));
    vent.is_some_and(|v| !v.broken && v.body.stage_now() != Stage::Removed)
}

/// A basin's branch of which nobody says the size.
fn without_size(ctx: &Ctx<'_>, rule: &Rule, item: &Item<Pipe>) -> Finding {
    let span = if item.body.size.is_absent() { item.id_span } else { item.body.size.span };
    let planned = item.body.stage_now() == Stage::Planned;
    let subject = Subject { id: item.id.clone(), span, planned, field: format!("pipes.{}.size", item.id), rule };
    let mut out = finding(&subject, Verdict::NotShown);
    cite(&mut out, ctx.rulebook.ask(key::BRANCH_BASIN_32_LENGTH_MAXIMUM, &Facts::new()).citation());
    unsettled(&mut out, &subject, "its size, on which length and slope hang".to_owned());
    out
}

fn judge(ctx: &Ctx<'_>, rule: &Rule, single: &Single, item: &Item<Pipe>) -> Vec<Finding> {
    let body = &item.body;
    let subject = |key: &str, absent: bool, span| Subject {
        id: item.id.clone(),
        span: if absent { item.id_span } else { span },
        planned: body.stage_now() == Stage::Planned,
        field: format!("pipes.{}.{key}", item.id),
        rule,
    };
    let by_length = subject("length", body.length.is_absent(), body.length.span);
    let facts = Facts::new().with(Fact::BranchLength, single.length.map(|l| l.value));

    let longest = ctx.rulebook.ask(key::BRANCH_BASIN_32_LENGTH_MAXIMUM, &facts);
    let length = hold(&by_length, &length(ctx, single, item), &longest, |limit: &Length, found| {
        let over = (*found - *limit).metres(2);
        (
            format!("{over}\u{a0}m too long for 32\u{a0}mm pipe without its own vent"),
            "a larger pipe, or a vent of its own".to_owned(),
        )
    });
    let mut all = Vec::new();
    for leg in &single.legs {
        let Some(own) = ctx.record.pipes.at(*leg) else { continue };
        let fall = &own.body.fall;
        // Without the length no slope can be judged, whatever the fall.
        let no_length = ctx.network.gradient(*leg).is_some() && single.length.is_none();
        let by_fall = Subject {
            span: if fall.is_absent() { own.id_span } else { fall.span },
            field: if no_length { by_length.field.clone() } else { format!("pipes.{}.fall", own.id) },
            ..by_length.clone()
        };
        all.extend(slopes(ctx, &by_fall, *leg, item, &facts, length.verdict == Verdict::NotMet));
    }
    all.push(length);
    all
}

/// One leg's slope against the steepest that the whole length allows, and against the flattest.
fn slopes(
    ctx: &Ctx<'_>,
    by_fall: &Subject<'_>,
    leg: usize,
    item: &Item<Pipe>,
    facts: &Facts,
    too_long: bool,
) -> [Finding; 2] {
    let slope = slope(ctx, leg, item);
    let flattest = ctx.rulebook.ask(key::BRANCH_SLOPE_MINIMUM, facts);
    let flat = hold(by_fall, &slope, &flattest, |limit: &Gradient, found| {
        (
            format!("flatter than {}\u{a0}mm/m by {}\u{a0}mm/m", limit.mm_per_m(), apart(*limit, *found)),
            "more fall".to_owned(),
        )
    });
    let steepest = ctx.rulebook.ask(key::BRANCH_BASIN_32_SLOPE_MAXIMUM, facts);
    let mut steep = hold(by_fall, &slope, &steepest, |limit: &Gradient, found| {
        let words = format!("steeper than {}\u{a0}mm/m by {}\u{a0}mm/m", limit.mm_per_m(), apart(*found, *limit));
        (words, "less fall, a shorter run, or a larger pipe".to_owned())
    });
    // Beyond the longest run no slope is allowed; the length says so already.
    if too_long {
        steep.verdict = Verdict::NotApplicable;
    }
    // The window is one limit to the reader: flattest and steepest stand together.
    if !flat.limit.is_empty() && !steep.limit.is_empty() {
        let flattest =
            flat.limit.strip_suffix("\u{a0}mm/m").filter(|_| steep.limit.ends_with("mm/m")).unwrap_or(&flat.limit);
        steep.limit = format!("{flattest} to {}", steep.limit);
    }
    [steep, flat]
}

fn length(ctx: &Ctx<'_>, single: &Single, item: &Item<Pipe>) -> Measure<Length> {
    match (single.length, item.body.length.get()) {
        (Some(known), Some(written)) => {
            let words = if single.legs.len() == 1 {
                written.words()
            } else {
                format!("{}\u{a0}m in {} pipes", known.value.metres(2), single.legs.len())
            };
            Measure::length(Known { how: laid::by_size(ctx, item, known.how), ..known }, words)
        }
        _ => Measure::Missing("its length".to_owned()),
    }
}

fn slope(ctx: &Ctx<'_>, leg: usize, item: &Item<Pipe>) -> Measure<Gradient> {
    let over = ctx.network.legs.get(leg).and_then(|l| l.length);
    let over = over.map_or(String::new(), |l| format!(" over {}\u{a0}m", l.value.metres(2)));
    laid::slope(ctx, leg, |how| laid::by_size(ctx, item, how), |g| format!("{}\u{a0}mm/m{over}", g.mm_per_m()))
}

fn apart(steeper: Gradient, flatter: Gradient) -> String {
    let metre = Length::from_mm(1000);
    Gradient::new(steeper.fall_over(metre) - flatter.fall_over(metre), metre).map_or(String::new(), Gradient::mm_per_m)
}
