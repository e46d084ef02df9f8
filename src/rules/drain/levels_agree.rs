//! Where the levels and falls of a drain can be reckoned in two ways, the ways agree within what the readings may be off.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Weight;
use crate::base::known::How;
use crate::base::span::Span;
use crate::base::units::Length;
use crate::base::units::fixed;
use crate::compute::cover;
use crate::network::ends::End;
use crate::network::gaps;
use crate::network::gaps::Gap;
use crate::network::height::Because;
use crate::network::kind::Kind;
use crate::network::levels::Misfit;
use crate::network::levels::Slot;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;
use crate::record::words::Stage;
use crate::rulebook::Facts;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::driver::Measure;
use crate::rules::driver::governing;
use crate::rules::driver::hold;
use crate::rules::laid;

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("levels-agree"),
    title: "Levels and falls that agree with one another",
    weight: Weight::Advice,
    due: Moment::BeforeCover,
    keys: &[key::LEVELS_AGREE.path()],
    check,
};

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    let gaps = gaps::find(ctx.network);
    let all = ctx.record.pipes.iter().enumerate();
    let there = all.filter(|(_, item)| !item.broken && item.body.stage_now() != Stage::Removed);
    there.filter_map(|(leg, item)| judge(ctx, rule, leg, item, &gaps)).collect()
}

fn judge(ctx: &Ctx<'_>, rule: &Rule, leg: usize, item: &Item<Pipe>, gaps: &[Gap]) -> Option<Finding> {
    let levels = &ctx.network.levels;
    let mut all: Vec<Finding> = Vec::new();
    for misfit in levels.misfits.iter().filter(|m| m.leg == leg) {
        let inside = misfit.by.abs() <= misfit.half;
        let words = format!("{} {} apart", slot(misfit.slot), far(misfit.by));
        all.push(held(ctx, rule, item, &so(inside, misfit.how, words), || told(ctx, misfit)));
    }
    for same in levels.agreements.iter().filter(|a| a.leg == leg) {
        let measure = so(true, same.how, format!("{} found twice, the same", slot(same.slot)));
        all.push(held(ctx, rule, item, &measure, String::new));
    }
    all.extend(cover(ctx, rule, leg, item));
    let drain = ctx.network.legs.get(leg).is_some_and(|l| l.derived.kind == Kind::Drain);
    let open = gaps.iter().find(|gap| gap.legs.contains(&leg));
    if let Some(gap) = open.filter(|_| drain && item.body.stage_now() != Stage::Existing) {
        all.push(held(ctx, rule, item, &Measure::Missing(gap.needs.clone()), String::new));
    }
    governing(all)
}

/// The least cover as recorded, held against that of the ground line over the levels of the drain.
fn cover(ctx: &Ctx<'_>, rule: &Rule, leg: usize, item: &Item<Pipe>) -> Option<Finding> {
    let (field, line) = (&item.body.least_cover, &item.body.ground_line);
    let (recorded, _) = (field.get()?, line.get()?);
    let found = cover::least(ctx.network, leg).filter(|found| found.whole)?;
    let by = found.cover.value - recorded.value;
    let inside = by.abs() <= found.cover.half + recorded.half;
    let how = found.cover.how.with(ctx.record.how(field));
    let words =
        if inside { "least cover found twice, the same".to_owned() } else { format!("least cover {} apart", far(by)) };
    let told = || {
        let (at, least) = (found.at.metres(2), found.cover.value.metres(2));
        let half = far(found.cover.half + recorded.half);
        format!(
            "its least cover is {} as recorded and {least}\u{a0}m by the ground line, {at}\u{a0}m along; together they may \
             be off {half}",
            recorded.words()
        )
    };
    let mut out = held(ctx, rule, item, &so(inside, how, words), told);
    out.span = line.span;
    Some(out)
}

fn held(ctx: &Ctx<'_>, rule: &Rule, item: &Item<Pipe>, measure: &Measure<bool>, told: impl Fn() -> String) -> Finding {
    let subject = laid::subject(item, rule, "il", &item.body.il);
    let answer = ctx.rulebook.ask(key::LEVELS_AGREE, &Facts::new());
    let mut out = hold(&subject, measure, &answer, |_: &bool, _| {
        (told(), "read both again: one of the levels, lengths or falls is not so".to_owned())
    });
    out.limit = "within the readings".to_owned();
    out
}

/// A measure whose words are not a value that could be about something.
fn so(agree: bool, how: How, words: String) -> Measure<bool> {
    Measure::Is { value: agree, low: agree, high: agree, how, words }
}

fn slot(slot: Slot) -> &'static str {
    match slot {
        Slot::Up => "upper invert",
        Slot::Down => "lower invert",
        Slot::Drop => "fall",
    }
}

fn far(by: Length) -> String {
    let um = by.abs().um();
    format!("{}\u{a0}mm", fixed(i128::from(um), 1000, u32::from(um % 1000 != 0)))
}

/// Both derivations in words, with what they may be off together.
fn told(ctx: &Ctx<'_>, misfit: &Misfit) -> String {
    let (first, second) = match (misfit.first, misfit.second) {
        (Some(first), Some(second)) => (because(ctx, first), because(ctx, second)),
        _ => ("the fall as recorded".to_owned(), "the two inverts".to_owned()),
    };
    let further = match (misfit.slot, misfit.by.um() > 0) {
        (Slot::Drop, true) => "more",
        (Slot::Drop, false) => "less",
        (_, true) => "higher",
        (_, false) => "lower",
    };
    let (by, half) = (far(misfit.by), far(misfit.half));
    format!("its {} is {by} {further} by {second} than by {first}; together they may be off {half}", slot(misfit.slot))
}

fn because(ctx: &Ctx<'_>, why: Because) -> String {
    let id = |leg: usize| ctx.network.id(leg);
    match why {
        Because::Written(span) => written(ctx, span),
        Because::Fall(leg) => format!("the fall of {} from its other end", id(leg)),
        Because::Join(branch, main) => format!("the join of {} to {}", id(branch), id(main)),
        Because::Foot(stack) => format!("the foot of {}", id(stack)),
        Because::Along(leg) => format!("the inverts along {} and its fall", id(leg)),
        Because::Channel(access) => format!("the way through {}", ctx.network.end_id(End::Access(access))),
    }
}

/// The level as the record has it, with its field.
fn written(ctx: &Ctx<'_>, span: Span) -> String {
    let mut found = String::new();
    ctx.record.each_level(|at, place, path| {
        if place == span && found.is_empty() {
            found = format!("{} ({path})", at.words);
        }
    });
    found
}
