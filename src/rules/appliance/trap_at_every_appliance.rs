//! Every appliance has a trap, of its own or another's.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Weight;
use crate::base::known::How;
use crate::record::facts::kind_of;
use crate::record::facts::stage_of;
use crate::record::pipework::Appliance;
use crate::record::sections::Item;
use crate::record::value::Field;
use crate::record::words::ApplianceKind;
use crate::record::words::Stage;
use crate::rulebook::Facts;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::driver::Measure;
use crate::rules::driver::Subject;
use crate::rules::driver::hold;

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("trap-at-every-appliance"),
    title: "A trap at every appliance",
    weight: Weight::Clause,
    due: Moment::Completion,
    keys: &[key::TRAP_PRESENT.path()],
    check,
};

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    let judged = |item: &&Item<Appliance>| {
        !item.broken && !matches!(stage_of(&item.body.stage), Stage::Existing | Stage::Removed)
    };
    let all = ctx.record.appliances.iter().filter(judged);
    all.map(|item| there(ctx, rule, item)).collect()
}

fn subject<'r, T>(rule: &'r Rule, item: &Item<Appliance>, key: &str, field: &Field<T>) -> Subject<'r> {
    Subject {
        id: item.id.clone(),
        span: if field.is_absent() { item.id_span } else { field.span },
        planned: item.body.stage.get() == Some(&Stage::Planned),
        field: format!("appliances.{}.{key}", item.id),
        rule,
    }
}

/// Its trap, its seal, the outlet of a pan, or the appliance whose trap it shares: one of them shows that it has one.
fn there(ctx: &Ctx<'_>, rule: &Rule, item: &Item<Appliance>) -> Finding {
    let body = &item.body;
    let pan = kind_of(item) == Some(ApplianceKind::Wc);
    let shares = body.into.get().map(|by| by.0.as_str());
    // A pan is its own trap, and one that shares a trap needs none.
    let said = [
        body.trap.get().map(|t| (ctx.record.how(&body.trap), format!("trap of {}", t.label))),
        body.seal.get().map(|s| (ctx.record.how(&body.seal), format!("seal of {}", s.words()))),
        body.outlet
            .get()
            .filter(|_| pan)
            .map(|o| (ctx.record.how(&body.outlet), format!("pan with outlet of {}", o.label))),
    ];
    let said: Vec<(How, String)> = said.into_iter().flatten().collect();
    let known = said.iter().find(|(how, _)| *how != How::Believed).or(said.first());
    let measure = match (body.trap.is_none() || body.seal.is_none(), known, shares) {
        (_, _, Some(by)) => of_another(ctx, by),
        (true, _, None) => Measure::plain(false, How::Stated, "no trap"),
        (false, Some((how, words)), None) => Measure::plain(true, *how, words.clone()),
        (false, None, None) => Measure::Missing("its trap".to_owned()),
    };
    let key = if shares.is_some() { "into" } else { "trap" };
    let subject = match shares {
        Some(_) => subject(rule, item, key, &body.into),
        None => subject(rule, item, key, &body.trap),
    };
    let answer = ctx.rulebook.ask(key::TRAP_PRESENT, &Facts::new());
    let mut out = hold(&subject, &measure, &answer, |_: &bool, _| {
        ("drain air comes up through it".to_owned(), "a trap of its own, or a way into another\u{2019}s".to_owned())
    });
    out.limit = "a trap".to_owned();
    out
}

/// What shares a trap has one when the other has.
fn of_another(ctx: &Ctx<'_>, by: &str) -> Measure<bool> {
    let Some(other) = ctx.record.appliances.get(by) else { return Measure::Missing("whose trap it shares".to_owned()) };
    let body = &other.body;
    match (body.trap.is_none() || body.seal.is_none(), body.trap.get().is_some() || body.seal.get().is_some()) {
        (true, _) => Measure::plain(false, How::Stated, format!("by {by}, which has none")),
        (false, true) => Measure::plain(true, How::Stated, format!("by {by}\u{2019}s trap")),
        (false, false) => Measure::Missing(format!("the trap of {by}, which it shares")),
    }
}
