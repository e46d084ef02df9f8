//! A trench leaves room at both sides of its drain to lay and compact the bed.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Weight;
use crate::base::known::Known;
use crate::base::units::Length;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;
use crate::rulebook::Facts;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::driver::Measure;
use crate::rules::driver::Subject;
use crate::rules::driver::hold;
use crate::rules::laid;

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("trench-width"),
    title: "Room beside a drain in its trench",
    weight: Weight::Advice,
    due: Moment::BeforeCover,
    keys: &[key::TRENCH_SIDE_MINIMUM.path()],
    check,
};

/// A trench of which the record does not tell the width is not asked about.
fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    let told = ctx.new_drains().filter(|(_, item)| !item.body.trench_width.is_absent());
    told.map(|(leg, item)| judge(ctx, rule, leg, item)).collect()
}

fn judge(ctx: &Ctx<'_>, rule: &Rule, leg: usize, item: &Item<Pipe>) -> Finding {
    let field = &item.body.trench_width;
    let own = laid::subject(item, rule, "trench-width", field);
    let outside = ctx.network.legs.get(leg).and_then(|l| l.outside);
    let (measure, subject) = match (field.get(), outside) {
        (None, _) => (Measure::Missing("the width of its trench".to_owned()), own),
        (Some(_), None) => {
            let field = format!("pipes.{}.outside", item.id);
            (Measure::Missing("the outside diameter of its pipe".to_owned()), Subject { field, ..own })
        }
        (Some(m), Some(outside)) => {
            let value = Length::from_um((m.value - outside).um() / 2);
            let half = Length::from_um(m.half.um() / 2);
            let known = Known { value, half, how: laid::by_size(ctx, item, ctx.record.how(field)) };
            let words = format!("{} wide, {}\u{a0}mm at each side", m.words(), value.millimetres());
            (Measure::length(known, words), own)
        }
    };
    let answer = ctx.rulebook.ask(key::TRENCH_SIDE_MINIMUM, &Facts::new());
    let mut out = hold(&subject, &measure, &answer, |limit: &Length, found| {
        let wider = Length::from_um((*limit - *found).um() * 2).millimetres();
        let text = "too narrow to lay stone beside the pipe and compact it".to_owned();
        (text, format!("a trench {wider}\u{a0}mm wider"))
    });
    out.limit = format!("{} at each side", out.limit);
    out
}
