//! The water seal of each trap is as deep as the guidance asks for its appliance.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Weight;
use crate::base::known::How;
use crate::base::known::Known;
use crate::base::units::Length;
use crate::network::ends::End;
use crate::record::facts::kind_of;
use crate::record::facts::stage_of;
use crate::record::pipework::Appliance;
use crate::record::sections::Item;
use crate::record::words::AccessKind;
use crate::record::words::ApplianceKind;
use crate::record::words::Stage;
use crate::rulebook::Answer;
use crate::rulebook::Fact;
use crate::rulebook::Facts;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::driver::Measure;
use crate::rules::driver::Subject;
use crate::rules::driver::cite;
use crate::rules::driver::hold;

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("trap-seal"),
    title: "Depth of water seal",
    weight: Weight::Clause,
    due: Moment::Completion,
    keys: &[key::TRAP_SEAL_MINIMUM.path()],
    check,
};

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    let judged = |(_, item): &(usize, &Item<Appliance>)| {
        let stage = stage_of(&item.body.stage);
        // One that shares another's trap has none of its own; one without any is another rule's matter.
        !item.broken
            && item.body.into.get().is_none()
            && !item.body.trap.is_none()
            && !matches!(stage, Stage::Existing | Stage::Removed)
    };
    let appliances = ctx.record.appliances.iter().enumerate().filter(judged);
    appliances.map(|(a, item)| judge(ctx, rule, a, item)).collect()
}

fn judge(ctx: &Ctx<'_>, rule: &Rule, appliance: usize, item: &Item<Appliance>) -> Finding {
    let kind = kind_of(item).filter(|_| ctx.record.how(&item.body.what) != How::Believed || item.body.what.is_absent());
    let key = if kind.is_some() { "seal" } else { "what" };
    let subject = Subject {
        id: item.id.clone(),
        span: if item.body.seal.is_absent() { item.id_span } else { item.body.seal.span },
        planned: item.body.stage.get() == Some(&Stage::Planned),
        field: format!("appliances.{}.{key}", item.id),
        rule,
    };
    let facts = Facts::new().with(Fact::IntoGully, into_gully(ctx, appliance));
    let facts = facts.with(Fact::Appliance, kind.map(ApplianceKind::word));
    let answer = settled(ctx, item, facts);
    let mut out = hold(&subject, &measure(ctx, item), &answer, |limit: &Length, found| {
        let short = (*limit - *found).millimetres();
        (format!("{short}\u{a0}mm too shallow"), "a trap with the full seal".to_owned())
    });
    if kind.is_none() {
        let any = Facts::new().with(Fact::Appliance, ApplianceKind::Wc.word());
        cite(&mut out, ctx.rulebook.ask(key::TRAP_SEAL_MINIMUM, &any).citation());
    }
    out
}

/// The limit; a seal that would not do even if everything that eases it were shown needs nothing shown.
fn settled(ctx: &Ctx<'_>, item: &Item<Appliance>, facts: Facts) -> Answer<Length> {
    let ask = |facts: &Facts| ctx.rulebook.ask(key::TRAP_SEAL_MINIMUM, facts);
    let answer = ask(&facts);
    let (Some(seal), Some(limit)) = (item.body.seal.get(), answer.limit()) else { return answer };
    let all = |shown: bool| limit.would_ease.iter().fold(facts.clone(), |f, fact| f.with(*fact, shown));
    let eased = ask(&all(true));
    if eased.limit().is_some_and(|l| !l.met_by(&seal.value)) { ask(&all(false)) } else { answer }
}

/// The seal is a size printed on the trap, so it has no spread of reading.
fn measure(ctx: &Ctx<'_>, item: &Item<Appliance>) -> Measure<Length> {
    match item.body.seal.get() {
        Some(m) => Measure::length(Known::exact(m.value, ctx.record.how(&item.body.seal)), m.words()),
        None => Measure::Missing("the depth of its seal".to_owned()),
    }
}

/// Whether it drains straight into a gully; not known while no pipe of it is recorded, or not where that goes.
fn into_gully(ctx: &Ctx<'_>, appliance: usize) -> Option<bool> {
    let mut all = None;
    for leg in ctx.computed.outlets.get(appliance)? {
        let gully = match ctx.network.legs.get(*leg)?.ends.to {
            End::Unknown | End::Absent => return None,
            End::Access(a) => ctx.record.access.at(a)?.body.what.get()? == &AccessKind::Gully,
            End::Appliance(_) | End::Pipe(_) | End::Outfall(_) | End::Temporary => false,
        };
        if gully && ctx.record.how(&ctx.record.pipes.at(*leg)?.body.to) == How::Believed {
            return None;
        }
        all = Some(all.unwrap_or(true) && gully);
    }
    all
}
