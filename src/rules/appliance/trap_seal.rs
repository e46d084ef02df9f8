//! The water seal of each trap is as deep as the guidance asks for its appliance.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Weight;
use crate::base::known::Known;
use crate::base::units::Length;
use crate::record::facts::kind_of;
use crate::record::pipework::Appliance;
use crate::record::sections::Item;
use crate::record::words::Stage;
use crate::rulebook::Fact;
use crate::rulebook::Facts;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::driver::Measure;
use crate::rules::driver::Subject;
use crate::rules::driver::hold;

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("trap-seal"),
    title: "Depth of water seal",
    weight: Weight::Clause,
    due: Moment::Completion,
    check,
};

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    let judged = |item: &&Item<Appliance>| {
        let stage = crate::record::facts::stage_of(&item.body.stage);
        !item.broken && item.body.into.is_absent() && !matches!(stage, Stage::Existing | Stage::Removed)
    };
    ctx.record.appliances.iter().filter(judged).map(|item| judge(ctx, rule, item)).collect()
}

fn judge(ctx: &Ctx<'_>, rule: &Rule, item: &Item<Appliance>) -> Finding {
    let subject = Subject {
        id: item.id.clone(),
        span: if item.body.seal.is_absent() { item.id_span } else { item.body.seal.span },
        planned: item.body.stage.get() == Some(&Stage::Planned),
        field: format!("appliances.{}.seal", item.id),
        rule,
    };
    let answer = ctx.rulebook.ask(key::TRAP_SEAL_MINIMUM, &facts(ctx, item));
    hold(&subject, &measure(ctx, item), &answer, |limit: &Length, found| {
        let short = (*limit - *found).millimetres();
        (format!("{short}\u{a0}mm too shallow"), "a trap with the full seal".to_owned())
    })
}

/// The seal is a size printed on the trap, so it has no spread of reading.
fn measure(ctx: &Ctx<'_>, item: &Item<Appliance>) -> Measure<Length> {
    match item.body.seal.get() {
        Some(m) => Measure::length(Known::exact(m.value, ctx.record.how(&item.body.seal)), m.words()),
        None => Measure::Missing("the depth of its seal".to_owned()),
    }
}

fn facts(ctx: &Ctx<'_>, item: &Item<Appliance>) -> Facts {
    let into_gully = ctx.record.pipes.iter().any(|p| {
        p.body.from.get().is_some_and(|f| f.0 == item.id)
            && p.body
                .to
                .get()
                .and_then(|t| ctx.record.access.get(&t.0))
                .is_some_and(|a| a.body.what.get() == Some(&crate::record::words::AccessKind::Gully))
    });
    Facts::new().with(Fact::Appliance, kind_of(item).map(|k| k.word())).with(Fact::IntoGully, into_gully)
}
