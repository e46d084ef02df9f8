//! Every discharge stack is ventilated: by a pipe that is open to the air, or by a valve that lets air in.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Weight;
use crate::compute::heads::Air;
use crate::compute::heads::tops;
use crate::compute::terminals::is_valve;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;
use crate::record::words::PipeKind;
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
    id: RuleId("stack-ventilated"),
    title: "Ventilation of a discharge stack",
    weight: Weight::Clause,
    due: Moment::Completion,
    keys: &[key::STACK_VENTILATED.path()],
    check,
};

/// A stub stack does without: what it may carry, and how high, has limits of its own.
fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    let tops = tops(ctx.network);
    let stub = |item: &Item<Pipe>| item.body.kind.get() == Some(&PipeKind::StubStack);
    let stacks = ctx.new_stacks().filter(|(_, item)| !stub(item));
    stacks.filter_map(|(leg, item)| Some(judge(ctx, rule, item, tops.get(leg).copied().flatten()?))).collect()
}

fn judge(ctx: &Ctx<'_>, rule: &Rule, item: &Item<Pipe>, top: Air) -> Finding {
    let own = item.body.stage_now() == Stage::Planned;
    let named = |terminal: usize| ctx.record.terminals.at(terminal).map_or("", |t| t.id.as_str());
    let (measure, later) = match top {
        Air::Vent { terminal, planned, how, .. } => {
            (Measure::plain(true, how, format!("open at {}", named(terminal))), planned)
        }
        Air::Shut { terminal: Some(terminal), planned, how, .. } => {
            let valve = ctx.record.terminals.at(terminal).is_some_and(|t| is_valve(&t.body));
            let id = named(terminal);
            let words = if valve { format!("by the valve {id}") } else { format!("shut at {id}") };
            (Measure::plain(valve, how, words), planned)
        }
        Air::Shut { terminal: None, how, .. } => (Measure::plain(false, how, "nothing on top"), own),
        Air::Open { .. } | Air::Unknown { .. } | Air::None => {
            (Measure::Missing("what stands on top of it".to_owned()), own)
        }
    };
    let top = &item.body.top;
    let subject = Subject {
        id: item.id.clone(),
        span: if top.is_absent() { item.id_span } else { top.span },
        planned: own || later,
        field: format!("pipes.{}.top", item.id),
        rule,
    };
    let answer = ctx.rulebook.ask(key::STACK_VENTILATED, &Facts::new());
    let mut out = hold(&subject, &measure, &answer, |_: &bool, _| {
        let text = "no air follows the water down, and it draws the traps instead";
        (text.to_owned(), "a ventilating pipe to the open air, or an air admittance valve".to_owned())
    });
    out.limit = "ventilated".to_owned();
    out
}
