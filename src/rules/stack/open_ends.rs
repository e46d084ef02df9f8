//! Every spare entry and every end of a branch that comes from no appliance is closed.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Weight;
use crate::base::known::How;
use crate::network::ends::End;
use crate::network::kind::Kind;
use crate::record::pipework::Pipe;
use crate::record::pipework::Spare;
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

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("open-ends"),
    title: "Spare entries and ends without an appliance closed",
    weight: Weight::Clause,
    due: Moment::BeforeCover,
    keys: &[key::OPEN_END_CLOSED.path()],
    check,
};

/// Words of an end that is open; they are looked for before the others, some of which they hold.
const OPEN: [&str; 11] = [
    "uncapped",
    "unplugged",
    "not capped",
    "not plugged",
    "not blanked",
    "not sealed",
    "not closed",
    "no cap",
    "no plug",
    "without",
    "open",
];

/// Words of an end that is closed.
const CLOSED: [&str; 8] = ["not drilled", "undrilled", "plug", "cap", "blank", "bung", "sealed", "closed"];

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    let mut all = Vec::new();
    for (i, leg) in ctx.network.legs.iter().enumerate() {
        let Some(item) = ctx.record.pipes.at(leg.pipe) else { continue };
        if item.broken || matches!(item.body.stage_now(), Stage::Existing | Stage::Removed) {
            continue;
        }
        for (key, spare) in item.body.spare.get().into_iter().flat_map(|spares| &spares.0) {
            all.extend(spare.get().map(|s| of_spare(ctx, rule, item, &key.value, s)));
        }
        if matches!(leg.derived.kind, Kind::Branch | Kind::CommonBranch) {
            all.extend(of_branch(ctx, rule, item, i));
        }
    }
    all
}

fn of_spare(ctx: &Ctx<'_>, rule: &Rule, stack: &Item<Pipe>, id: &str, spare: &Spare) -> Finding {
    let state = &spare.state;
    let subject = Subject {
        id: id.to_owned(),
        span: if state.is_absent() { stack.id_span } else { state.span },
        planned: stack.body.stage_now() == Stage::Planned,
        field: format!("pipes.{}.spare.{id}.state", stack.id),
        rule,
    };
    held(ctx, &subject, state.get().map(|w| w.0.as_str()), ctx.record.how(state))
}

/// A branch with nothing at its upper end, and nothing that joins it on its way.
fn of_branch(ctx: &Ctx<'_>, rule: &Rule, item: &Item<Pipe>, leg: usize) -> Option<Finding> {
    let from = &item.body.from;
    let end = ctx.network.legs.get(leg)?.ends.from;
    let fed = ctx.network.feeding.get(leg).is_some_and(|f| !f.is_empty());
    if fed || from.is_faulty() || !matches!(end, End::Unknown | End::Absent | End::Temporary) {
        return None;
    }
    // What closes it for now is a temporary arrangement that `from` names.
    let closed_by = from.get().and_then(|r| ctx.record.temporary.get(&r.0));
    let words = closed_by.and_then(|t| t.body.what.get()).map(|t| t.0.as_str());
    let subject = Subject {
        id: item.id.clone(),
        span: span(item, from),
        planned: item.body.stage_now() == Stage::Planned,
        field: format!("pipes.{}.from", item.id),
        rule,
    };
    Some(held(ctx, &subject, words, ctx.record.how(from)))
}

fn span<T>(item: &Item<Pipe>, field: &Field<T>) -> crate::base::span::Span {
    if field.is_absent() { item.id_span } else { field.span }
}

fn held(ctx: &Ctx<'_>, subject: &Subject<'_>, words: Option<&str>, how: How) -> Finding {
    let measure = match words.and_then(|w| closed(w).map(|yes| (yes, w))) {
        Some((yes, words)) => Measure::plain(yes, how, words),
        None => Measure::Missing("whether it is capped, plugged or blanked".to_owned()),
    };
    let answer = ctx.rulebook.ask(key::OPEN_END_CLOSED, &Facts::new());
    let mut out = hold(subject, &measure, &answer, |_: &bool, _| {
        ("left open: drain air comes out of it".to_owned(), "a cap, a plug or a blank".to_owned())
    });
    out.limit = "closed".to_owned();
    out
}

/// Whether the words of an end say that it is closed; `None` when they say neither.
fn closed(words: &str) -> Option<bool> {
    let words = words.to_lowercase();
    let says = |any: &[&str]| any.iter().any(|w| words.contains(w));
    match (says(&OPEN), words.contains("not open"), says(&CLOSED)) {
        (_, true, closed) => closed.then_some(true),
        (true, false, _) => Some(false),
        (false, false, closed) => closed.then_some(true),
    }
}
