//! An access piece on a stack stands above the level at which the lowest appliances on it spill over.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Verdict;
use crate::base::finding::Weight;
use crate::base::known::Known;
use crate::base::units::CentreLine;
use crate::base::units::Length;
use crate::base::units::Spot;
use crate::compute::stacks::StackEntry;
use crate::compute::stacks::What;
use crate::network::height::Height;
use crate::network::height::reading_half;
use crate::record::pipework::Appliance;
use crate::record::pipework::Pipe;
use crate::record::quantity::Station;
use crate::record::sections::Item;
use crate::record::value::Field;
use crate::record::words::Stage;
use crate::rulebook::Facts;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::driver::Measure;
use crate::rules::driver::Subject;
use crate::rules::driver::hold;
use crate::rules::driver::unsettled;
use crate::rules::spill_over;

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("stack-access-above-spill-over"),
    title: "Access on a stack above what spills over",
    weight: Weight::Clause,
    due: Moment::BeforeCover,
    keys: &[key::STACK_ACCESS_ABOVE_SPILL_OVER_MINIMUM.path()],
    check,
};

/// The lowest piece on each stack: where that is high enough, so is every other.
fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    let stacks = ctx.new_stacks();
    stacks.filter_map(|(leg, item)| judge(ctx, rule, item, lowest(ctx, leg)?)).collect()
}

fn lowest<'a>(ctx: &'a Ctx<'_>, stack: usize) -> Option<&'a StackEntry> {
    let own = |e: &&StackEntry| e.stack == stack && matches!(e.what, What::Access(_));
    let pieces = ctx.computed.entries.iter().filter(own);
    // One whose height is not known may be the lowest.
    pieces.min_by_key(|e| e.height.map(|h| h.value))
}

fn judge(ctx: &Ctx<'_>, rule: &Rule, stack: &Item<Pipe>, entry: &StackEntry) -> Option<Finding> {
    let What::Access(n) = entry.what else { return None };
    let at = &stack.body.access.get()?.0.get(n)?.1;
    let on_it = lowest_floor(ctx, &spill_over::through(ctx, entry.stack));
    // The clause speaks of the appliances of the floor that the piece is on: one a storey below them has none.
    let under = |a: &&Item<Appliance>| {
        let floor = spill_over::floor(ctx, a).and_then(|floor| over(ctx, entry, at, &floor));
        floor.is_some_and(|up| up.value + up.half < Length::ZERO)
    };
    if on_it.iter().all(under) {
        return None;
    }
    let subject = Subject {
        id: entry.id.clone(),
        span: at.span,
        planned: stack.body.stage_now() == Stage::Planned,
        field: format!("pipes.{}.access.{}", stack.id, entry.id),
        rule,
    };
    let appliances = spill_over::highest(ctx, &on_it);
    let above = spill_over::above(ctx, &appliances, &subject.field, |floor| over(ctx, entry, at, floor));
    let measure = match above.least {
        Some((known, id)) => Measure::length(known, spill_over::words(&known, id)),
        None => Measure::Missing(above.lack.as_ref().map_or(String::new(), |(what, _)| what.clone())),
    };
    let answer = ctx.rulebook.ask(key::STACK_ACCESS_ABOVE_SPILL_OVER_MINIMUM, &Facts::new());
    let mut out = hold(&subject, &measure, &answer, |_: &Length, _| {
        let text = "when the stack is full and this is opened, it runs out here";
        (text.to_owned(), "an access piece above the basins and sinks of that floor".to_owned())
    });
    if let (Verdict::Met | Verdict::NotShown, Some((what, field))) = (out.verdict, above.lack) {
        unsettled(&mut out, &Subject { field, ..subject }, what);
    }
    out.limit = "above the spill-over of the lowest appliances".to_owned();
    Some(out)
}

/// Those that stand on the lowest floor; one whose floor is not known may.
fn lowest_floor<'a>(ctx: &Ctx<'_>, all: &[&'a Item<Appliance>]) -> Vec<&'a Item<Appliance>> {
    let higher = |a: &Item<Appliance>| {
        let own = spill_over::floor(ctx, a);
        all.iter().any(|b| {
            let up = own.zip(spill_over::floor(ctx, b)).and_then(|(own, theirs)| own.above(&theirs));
            up.is_some_and(|up| up.value - up.half > Length::ZERO)
        })
    };
    all.iter().copied().filter(|a| !higher(a)).collect()
}

/// How high the piece stands over a floor, by its own level or by its height above the foot.
fn over(ctx: &Ctx<'_>, entry: &StackEntry, at: &Field<Station>, floor: &Height<Spot>) -> Option<Known<Length>> {
    if let Station::Level(level) = at.get()? {
        let how = ctx.record.how(at);
        let half = reading_half(ctx.record, level, how, None);
        let centre: Height<CentreLine> = ctx.network.named.height(level, how, half, at.span)?;
        return centre.above(floor);
    }
    let (up, floor) = (entry.height?, floor.above(&ctx.network.solved(entry.stack).down?)?);
    Some(Known { value: up.value - floor.value, half: up.half + floor.half, how: up.how.with(floor.how) })
}
