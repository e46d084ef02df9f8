//! The bend at the foot of a stack is an easy one: of a large radius, or two of 45 degrees.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Weight;
use crate::base::known::Known;
use crate::base::units::Length;
use crate::compute::reach::bends::eased;
use crate::record::pipework::Foot;
use crate::record::pipework::FootOf;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;
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
    id: RuleId("foot-bend"),
    title: "Bend at the foot of a stack",
    weight: Weight::Clause,
    due: Moment::BeforeCover,
    keys: &[key::STACK_FOOT_RADIUS_MINIMUM.path(), key::STACK_FOOT_TWO_45.path()],
    check,
};

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    ctx.new_stacks().map(|(_, item)| judge(ctx, rule, item)).collect()
}

fn judge(ctx: &Ctx<'_>, rule: &Rule, item: &Item<Pipe>) -> Finding {
    let foot = match item.body.foot.get() {
        Some(FootOf::Is(foot)) => Some(foot.as_ref()),
        Some(FootOf::On(_)) | None => None,
    };
    match foot.filter(|foot| foot.radius.get().is_none() && two_45(foot)) {
        Some(foot) => of_two(ctx, rule, item, foot),
        None => by_radius(ctx, rule, item, foot),
    }
}

fn subject<'r>(rule: &'r Rule, item: &Item<Pipe>, foot: Option<&Foot>, key: &str) -> Subject<'r> {
    let span = foot.map(|f| if f.radius.is_absent() { f.bend.span } else { f.radius.span }).filter(|s| s.len > 0);
    Subject {
        id: item.id.clone(),
        span: span.unwrap_or(item.id_span),
        planned: item.body.stage_now() == Stage::Planned,
        field: format!("pipes.{}.foot.{key}", item.id),
        rule,
    }
}

fn two_45(foot: &Foot) -> bool {
    foot.bend.get().is_some_and(|words| words.0.contains("45") && eased(&words.0) == Some(2))
}

fn of_two(ctx: &Ctx<'_>, rule: &Rule, item: &Item<Pipe>, foot: &Foot) -> Finding {
    let answer = ctx.rulebook.ask(key::STACK_FOOT_TWO_45, &Facts::new());
    let measure = Measure::plain(true, ctx.record.how(&foot.bend), "two bends of 45");
    let mut out = hold(&subject(rule, item, Some(foot), "bend"), &measure, &answer, |_: &bool, _| {
        ("two bends do not stand for one".to_owned(), "one bend of a large radius".to_owned())
    });
    out.limit = "two bends of 45, or one of a large radius".to_owned();
    out
}

fn by_radius(ctx: &Ctx<'_>, rule: &Rule, item: &Item<Pipe>, foot: Option<&Foot>) -> Finding {
    let answer = ctx.rulebook.ask(key::STACK_FOOT_RADIUS_MINIMUM, &Facts::new());
    let said = foot.and_then(|f| Some((f, f.radius.get()?)));
    let bend = foot.and_then(|f| f.bend.get());
    let (measure, key) = match (said, bend) {
        (Some((foot, radius)), _) => {
            let known = Known { value: radius.value, half: radius.half, how: ctx.record.how(&foot.radius) };
            (Measure::length(known, format!("{}\u{a0}mm radius", known.value.millimetres())), "radius")
        }
        (None, Some(words)) => (Measure::Missing(format!("the radius of its foot, {}", words.0)), "radius"),
        (None, None) => (Measure::Missing("what bend or bends its foot has".to_owned()), "bend"),
    };
    hold(&subject(rule, item, foot, key), &measure, &answer, |_: &Length, _| {
        let text = "water backs up in so sharp a foot, and the air ahead of it blows the lowest traps";
        (text.to_owned(), "two bends of 45 degrees, or one of a large radius".to_owned())
    })
}
