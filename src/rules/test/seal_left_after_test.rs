//! After the newest test that still stands, each trap above ground kept enough of its seal.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Weight;
use crate::base::known::Known;
use crate::base::units::Length;
use crate::network::kind::Kind;
use crate::record::evidence::Test;
use crate::record::facts::stage_of;
use crate::record::pipework::Appliance;
use crate::record::quantity::Measure as Written;
use crate::record::sections::Item;
use crate::record::value::Field;
use crate::record::words::Stage;
use crate::record::words::TestKind;
use crate::rulebook::Facts;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::driver::Measure;
use crate::rules::driver::Subject;
use crate::rules::driver::hold;

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("seal-left-after-test"),
    title: "Seal left in each trap after the test",
    weight: Weight::Clause,
    due: Moment::AtTest,
    keys: &[key::TRAP_SEAL_LEFT_MINIMUM.path()],
    check,
};

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    let appliances = ctx.record.appliances.iter().enumerate();
    appliances.filter(|(a, item)| tested(ctx, *a, item)).map(|(a, item)| judge(ctx, rule, a, item)).collect()
}

/// A trap of its own, fitted, on a branch: what drains straight into a drain is not part of such a test, and what is
/// only planned cannot be tested.
fn tested(ctx: &Ctx<'_>, appliance: usize, item: &Item<Appliance>) -> bool {
    let branch = |leg: &usize| {
        let kind = ctx.network.legs.get(*leg).map(|l| l.derived.kind);
        matches!(kind, Some(Kind::Branch | Kind::CommonBranch))
    };
    !item.broken
        && item.body.into.get().is_none()
        && !matches!(stage_of(&item.body.stage), Stage::Existing | Stage::Removed | Stage::Planned)
        && ctx.computed.outlets.get(appliance).is_some_and(|legs| legs.iter().any(branch))
}

/// Tests that may be read for this appliance: they stand, and none of its pipes was changed after them.
fn standing<'a>(ctx: &Ctx<'a>, appliance: usize) -> Vec<&'a Item<Test>> {
    let own = ctx.computed.outlets.get(appliance).map_or(&[][..], Vec::as_slice);
    let tests = ctx.record.tests.iter().zip(&ctx.computed.tests);
    let mut all: Vec<&Item<Test>> = tests
        .filter(|(item, o)| {
            !item.broken
                && matches!(o.kind, Some(TestKind::AboveGroundAir | TestKind::Performance))
                && o.replaced_by.is_none()
                && o.stale.iter().all(|(pipe, _)| !own.contains(pipe))
        })
        .map(|(item, _)| item)
        .collect();
    all.sort_by_key(|item| item.body.date.get().copied());
    all
}

fn judge(ctx: &Ctx<'_>, rule: &Rule, appliance: usize, item: &Item<Appliance>) -> Finding {
    let tests = standing(ctx, appliance);
    let read = |t: &&Item<Test>| -> Option<Field<Written>> { t.body.seals_left.get()?.get(&item.id).cloned() };
    let found = tests.iter().rev().find_map(|t| read(t).map(|field| (*t, field)));
    let newest = found.as_ref().map(|(t, _)| *t).or(tests.last().copied());
    let subject = Subject {
        id: item.id.clone(),
        span: found.as_ref().map_or(item.id_span, |(_, field)| field.span),
        planned: false,
        field: newest.map_or("tests".to_owned(), |t| format!("tests.{}.seals-left.{}", t.id, item.id)),
        rule,
    };
    let value = found.as_ref().and_then(|(test, field)| field.get().map(|m| (test, field, m)));
    let measure = match value {
        Some((test, field, m)) => {
            let known = Known { value: m.value, half: m.half, how: ctx.record.how(field) };
            Measure::length(known, format!("{}, {}", m.words(), test.id))
        }
        None => {
            let by = newest.map_or("an air or performance test".to_owned(), |t| t.id.clone());
            Measure::Missing(format!("the seal left in {} after {by}", item.id))
        }
    };
    let answer = ctx.rulebook.ask(key::TRAP_SEAL_LEFT_MINIMUM, &Facts::new());
    hold(&subject, &measure, &answer, |limit: &Length, found| {
        let short = (*limit - *found).millimetres();
        (format!("{short}\u{a0}mm too little left"), "find what draws the trap, and test again".to_owned())
    })
}
