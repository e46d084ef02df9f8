//! Concrete round a drain, or in its trench, has movement joints, so that it does not break where it is held fast.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Weight;
use crate::base::known::Known;
use crate::base::units::Length;
use crate::record::ground::Bed;
use crate::record::ground::Joints;
use crate::record::ground::Protection;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;
use crate::record::value::Field;
use crate::rulebook::Facts;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::driver::Measure;
use crate::rules::driver::Subject;
use crate::rules::driver::governing;
use crate::rules::driver::hold;
use crate::rules::laid;

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("concrete-movement-joints"),
    title: "Movement joints in concrete round a drain",
    weight: Weight::Clause,
    due: Moment::BeforeCover,
    keys: &[
        key::DRAIN_CONCRETE_JOINT_SPACING_MAXIMUM.path(),
        key::DRAIN_CONCRETE_JOINTS.path(),
        key::DRAIN_CONCRETE_JOINT_BOARD_MINIMUM.path(),
    ],
    check,
};

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    ctx.new_drains().filter_map(|(_, item)| judge(ctx, rule, item)).collect()
}

fn judge(ctx: &Ctx<'_>, rule: &Rule, item: &Item<Pipe>) -> Option<Finding> {
    let concrete = concrete(item);
    governing(concrete.iter().flat_map(|(path, joints)| of_joints(ctx, rule, item, path, joints)).collect())
}

/// The joints of each piece of concrete that the record tells of, with the path of their field.
fn concrete(item: &Item<Pipe>) -> Vec<(&'static str, &Field<Joints>)> {
    let mut all = Vec::new();
    if let Some(Bed::Is(spec)) = item.body.bed.get()
        && (spec.concrete.get().is_some() || spec.concrete_to.get().is_some())
    {
        all.push(("bed.joints", &spec.joints));
    }
    if let Some(Protection::Is(guard)) = item.body.protection.get()
        && let Some(round) = guard.encasement.get()
    {
        all.push(("protection.encasement.joints", &round.joints));
    }
    all
}

fn of_joints(ctx: &Ctx<'_>, rule: &Rule, item: &Item<Pipe>, path: &str, field: &Field<Joints>) -> Vec<Finding> {
    let at = |key: &str| laid::subject(item, rule, &format!("{path}{key}"), field);
    let Some(joints) = field.get() else {
        let measure = if field.is_none() {
            Measure::plain(false, ctx.record.how(field), "none")
        } else {
            Measure::Missing("the movement joints of its concrete".to_owned())
        };
        return vec![there(ctx, &at(""), &measure)];
    };
    vec![placed(ctx, &at, joints), board(ctx, &at(".board"), joints)]
}

/// One at every socket, or none farther from the next than the limit.
fn placed<'a>(ctx: &Ctx<'_>, at: &impl Fn(&str) -> Subject<'a>, joints: &Joints) -> Finding {
    let how = ctx.record.how(&joints.at_sockets);
    if joints.at_sockets.get().is_some_and(|yes| yes.yes()) {
        return there(ctx, &at(".at-sockets"), &Measure::plain(true, how, "at every socket"));
    }
    let how = ctx.record.how(&joints.every);
    let measure = match joints.every.get() {
        Some(m) => Measure::length(Known::exact(m.value, how), format!("every {}", m.words())),
        None => Measure::Missing("whether there is a joint at every socket, or how far they are apart".to_owned()),
    };
    let answer = ctx.rulebook.ask(key::DRAIN_CONCRETE_JOINT_SPACING_MAXIMUM, &Facts::new());
    let mut out = hold(&at(".every"), &measure, &answer, |_: &Length, _| {
        let text = "so long a piece of concrete breaks, and the pipe in it";
        (text.to_owned(), "a movement joint at every socket of the pipe".to_owned())
    });
    out.limit = format!("at every socket, or every {}", out.limit);
    out
}

fn there(ctx: &Ctx<'_>, subject: &Subject<'_>, measure: &Measure<bool>) -> Finding {
    let answer = ctx.rulebook.ask(key::DRAIN_CONCRETE_JOINTS, &Facts::new());
    let mut out = hold(subject, measure, &answer, |_: &bool, _| {
        let text = "concrete in one piece breaks when the ground moves, and the pipe in it";
        (text.to_owned(), "compressible board through the concrete at every socket of the pipe".to_owned())
    });
    out.limit = "joints at every socket".to_owned();
    out
}

fn board(ctx: &Ctx<'_>, subject: &Subject<'_>, joints: &Joints) -> Finding {
    let how = ctx.record.how(&joints.board);
    let measure = match joints.board.get() {
        Some(m) => Measure::length(Known::exact(m.value, how), format!("board of {}", m.words())),
        None => Measure::Missing("the thickness of the board in the joints".to_owned()),
    };
    let answer = ctx.rulebook.ask(key::DRAIN_CONCRETE_JOINT_BOARD_MINIMUM, &Facts::new());
    let mut out = hold(subject, &measure, &answer, |limit: &Length, found| {
        let short = (*limit - *found).millimetres();
        (format!("{short}\u{a0}mm too thin to let the concrete move"), "a thicker board, or two".to_owned())
    });
    out.limit = format!("board of {}", out.limit);
    out
}
