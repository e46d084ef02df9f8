//! Where one drain joins another there is an access point, or both can be cleared from others.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Verdict;
use crate::base::finding::Weight;
use crate::network::ends::End;
use crate::network::kind::Kind;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;
use crate::record::words::Stage;
use crate::rulebook::Facts;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::driver::Measure;
use crate::rules::driver::Subject;
use crate::rules::driver::governing;
use crate::rules::driver::hold;
use crate::rules::laid;
use crate::rules::rods::Parts;
use crate::rules::rods::reach;
use crate::rules::rods_proposal;
use crate::rules::spacing;

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("access-at-junction"),
    title: "Access at a junction of drains",
    weight: Weight::Clause,
    due: Moment::BeforeCover,
    keys: &[key::ACCESS_AT_JUNCTION.path(), key::ACCESS_SPACING_MAXIMUM.path(), key::ACCESS_ROD_LENGTH_MAXIMUM.path()],
    check,
};

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    let Some(parts) = Parts::of(ctx) else { return Vec::new() };
    let all = ctx.new_drains().filter_map(|(leg, item)| Some((leg, item, main(ctx, leg)?)));
    all.filter_map(|(leg, item, main)| judge(ctx, rule, item, &[leg, main], &parts)).collect()
}

/// The drain that a leg joins between its ends.
fn main(ctx: &Ctx<'_>, leg: usize) -> Option<usize> {
    let End::Pipe(into) = ctx.network.legs.get(leg)?.ends.to else { return None };
    let main = ctx.network.legs.get(into).filter(|l| l.derived.kind == Kind::Drain)?;
    (main.ends.from != End::Pipe(leg)).then_some(into)
}

/// Holds both drains of the junction; an old main that the work leaves as it is is not asked about.
fn judge(ctx: &Ctx<'_>, rule: &Rule, item: &Item<Pipe>, legs: &[usize; 2], parts: &Parts) -> Option<Finding> {
    let own = laid::subject(item, rule, "to", &item.body.to);
    let [_, main] = legs;
    let main = ctx.network.id(*main);
    let answer = ctx.rulebook.ask(key::ACCESS_AT_JUNCTION, &Facts::new());
    let one = |leg: &usize| {
        let pipe = ctx.record.pipes.at(*leg)?;
        if pipe.broken || pipe.body.stage_now() == Stage::Existing {
            return None;
        }
        let reach = reach(ctx, *leg, parts);
        let subject = Subject { field: reach.field, ..own.clone() };
        let measure = named(reach.measure, &pipe.id);
        let mut out = hold(&subject, &measure, &answer, |_: &bool, _| {
            let text = format!(
                "no access point where {} joins {main}, and {} cannot be cleared from another",
                item.id, pipe.id
            );
            (text, format!("an access point at the junction, or {}", rods_proposal::for_drain(ctx, *leg, parts)))
        });
        out.limit = "at the junction, or each run cleared from elsewhere".to_owned();
        out.planned |= reach.planned && out.verdict == Verdict::Met;
        Some(out)
    };
    // From an access point of its own the table says how far the branch may be cleared up to the junction.
    let run = ctx.computed.runs.iter().find(|run| legs.first() == Some(&run.first) && !run.unreadable);
    let by_table = run.and_then(|run| spacing::to_join(ctx, &own, run, key::ACCESS_SPACING_MAXIMUM));
    governing(legs.iter().filter_map(one).chain(by_table).collect())
}

/// A measure with the drain that it is of.
fn named(measure: Measure<bool>, id: &str) -> Measure<bool> {
    match measure {
        Measure::Is { value, low, high, how, words } => {
            Measure::Is { value, low, high, how, words: format!("{id} {words}") }
        }
        Measure::Missing(what) => Measure::Missing(format!("{what} ({id})")),
    }
}
