//! The trap of each appliance, or the outlet of a pan, is as large as the guidance asks for it.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Weight;
use crate::base::known::How;
use crate::base::size::Nominal;
use crate::record::facts::kind_of;
use crate::record::facts::stage_of;
use crate::record::pipework::Appliance;
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
use crate::rules::driver::hold;

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("trap-size"),
    title: "Size of trap or outlet",
    weight: Weight::Clause,
    due: Moment::Completion,
    keys: &[key::TRAP_SIZE_MINIMUM.path()],
    check,
};

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    let judged = |item: &&Item<Appliance>| {
        let stage = stage_of(&item.body.stage);
        // One that shares another's trap has none of its own; one without any is another rule's matter.
        !item.broken
            && item.body.into.get().is_none()
            && !item.body.trap.is_none()
            && !matches!(stage, Stage::Existing | Stage::Removed)
    };
    ctx.record.appliances.iter().filter(judged).map(|item| judge(ctx, rule, item)).collect()
}

fn judge(ctx: &Ctx<'_>, rule: &Rule, item: &Item<Appliance>) -> Finding {
    let body = &item.body;
    let kind = kind_of(item).filter(|_| ctx.record.how(&body.what) != How::Believed || body.what.is_absent());
    let pan = kind == Some(ApplianceKind::Wc) && body.trap.get().is_none();
    let (size, key) = if pan { (&body.outlet, "outlet") } else { (&body.trap, "trap") };
    let key = if kind.is_some() { key } else { "what" };
    let subject = Subject {
        id: item.id.clone(),
        span: if size.is_absent() { item.id_span } else { size.span },
        planned: body.stage.get() == Some(&Stage::Planned),
        field: format!("appliances.{}.{key}", item.id),
        rule,
    };
    let measure = match size.get() {
        Some(s) => Measure::plain(s.nominal, ctx.record.how(size), s.label.replace(' ', "\u{a0}")),
        None => Measure::Missing(format!("the size of its {}", if pan { "outlet" } else { "trap" })),
    };
    let ask = |word: Option<&str>| ctx.rulebook.ask(key::TRAP_SIZE_MINIMUM, &Facts::new().with(Fact::Appliance, word));
    let mut out = hold(&subject, &measure, &ask(kind.map(ApplianceKind::word)), |limit: &Nominal, _| {
        (format!("smaller than {}", limit.words()), "a larger trap".to_owned())
    });
    if kind.is_none() {
        cite(&mut out, ask(Some(ApplianceKind::Wc.word())).citation());
    }
    out
}
