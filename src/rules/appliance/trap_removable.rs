//! A trap that is no part of its appliance can be taken out, or has a cleaning eye.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Weight;
use crate::base::known::How;
use crate::record::facts::kind_of;
use crate::record::facts::stage_of;
use crate::record::pipework::Appliance;
use crate::record::sections::Item;
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
    id: RuleId("trap-removable"),
    title: "Traps that come out or have a cleaning eye",
    weight: Weight::Clause,
    due: Moment::Completion,
    keys: &[key::TRAP_REMOVABLE.path()],
    check,
};

/// Words of a trap that stays where it is, each with a blank before and after it.
const FIXED: [&str; 6] = [" not ", " cannot ", " never ", " glued ", " cemented ", " tiled in "];

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    let judged = |item: &&Item<Appliance>| {
        !item.broken && !matches!(stage_of(&item.body.stage), Stage::Existing | Stage::Removed)
    };
    ctx.record.appliances.iter().filter(judged).filter_map(|item| judge(ctx, rule, item)).collect()
}

/// A trap under a tray or behind a panel is asked how it comes out; one in the open only answers for what is said of it.
fn judge(ctx: &Ctx<'_>, rule: &Rule, item: &Item<Appliance>) -> Option<Finding> {
    let (body, kind) = (&item.body, kind_of(item)?);
    // A pan is its own trap.
    if kind == ApplianceKind::Wc || body.into.get().is_some() || body.trap.is_none() {
        return None;
    }
    let field = &body.trap_out;
    let measure = match field.get() {
        Some(words) => Measure::plain(comes_out(&words.0), ctx.record.how(field), words.0.clone()),
        None if field.is_none() => Measure::plain(false, How::Stated, "cannot be taken out"),
        None if matches!(kind, ApplianceKind::Bath | ApplianceKind::Shower) || field.is_unknown() => {
            Measure::Missing("how its trap comes out".to_owned())
        }
        None => return None,
    };
    let subject = Subject {
        id: item.id.clone(),
        span: if field.is_absent() { item.id_span } else { field.span },
        planned: body.stage.get() == Some(&Stage::Planned),
        field: format!("appliances.{}.trap-out", item.id),
        rule,
    };
    let answer = ctx.rulebook.ask(key::TRAP_REMOVABLE, &Facts::new());
    let mut out = hold(&subject, &measure, &answer, |_: &bool, _| {
        let text = "what blocks it cannot be reached";
        (text.to_owned(), "a trap that comes out, or one with a cleaning eye".to_owned())
    });
    out.limit = "comes out, or has a cleaning eye".to_owned();
    Some(out)
}

fn comes_out(words: &str) -> bool {
    let said = format!(" {} ", words.to_lowercase().replace(',', " "));
    !FIXED.iter().any(|fixed| said.contains(fixed))
}
