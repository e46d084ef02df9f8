//! No drain comes into a chamber below the one that leaves it, soffits match where the size grows, and the invert lies
//! where the drawing has it.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Weight;
use crate::base::known::How;
use crate::base::known::Known;
use crate::base::units::Invert;
use crate::base::units::Length;
use crate::compute::chambers::Chamber;
use crate::compute::chambers::Inlet;
use crate::network::height::Height;
use crate::record::facts::stage_of;
use crate::record::pipework::Access;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;
use crate::record::words::AccessKind;
use crate::record::words::Stage;
use crate::rulebook::Facts;
use crate::rulebook::Key;
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
    id: RuleId("inverts-at-chamber"),
    title: "Inverts at a chamber: no step up, and as drawn",
    weight: Weight::Advice,
    due: Moment::BeforeCover,
    keys: &[
        key::LEVELS_STEP_MINIMUM.path(),
        key::LEVELS_SOFFIT_STEP_MINIMUM.path(),
        key::LEVELS_TOLERANCE_MAXIMUM.path(),
    ],
    check,
};

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    let all = ctx.record.access.iter().zip(&ctx.computed.chambers);
    // An eye or a fitting is a piece of the drain itself: there is no channel that could have a step.
    let chambers = all.filter(|(item, _)| {
        let walled = matches!(item.body.what.get(), Some(AccessKind::InspectionChamber | AccessKind::Manhole));
        walled && !item.broken && stage_of(&item.body.stage) != Stage::Removed
    });
    chambers.flat_map(|(item, chamber)| judge(ctx, rule, item, chamber)).collect()
}

/// A finding for each drain that comes in, and one for the chamber where a drawing is to be kept to.
fn judge(ctx: &Ctx<'_>, rule: &Rule, access: &Item<Access>, chamber: &Chamber) -> Vec<Finding> {
    let new_outlet = chamber.outlet.is_some_and(|leg| is_new(ctx, leg));
    let asked = chamber.inlets.iter().filter(|inlet| is_new(ctx, inlet.leg) || new_outlet);
    let mut all: Vec<Finding> = asked
        .filter_map(|inlet| {
            let item = ctx.network.legs.get(inlet.leg).and_then(|l| ctx.record.pipes.at(l.pipe))?;
            let port = Port { access, item, chamber, inlet };
            let soffits = if new_outlet { soffits(ctx, rule, &port) } else { None };
            governing(step(ctx, rule, &port).into_iter().chain(soffits).collect())
        })
        .collect();
    all.extend(drawn(ctx, rule, access, chamber));
    all
}

/// A drain where it comes into its chamber.
struct Port<'a> {
    access: &'a Item<Access>,
    item: &'a Item<Pipe>,
    chamber: &'a Chamber,
    inlet: &'a Inlet,
}

fn is_new(ctx: &Ctx<'_>, leg: usize) -> bool {
    let pipe = ctx.network.legs.get(leg).and_then(|l| ctx.record.pipes.at(l.pipe));
    pipe.is_some_and(|p| !p.broken && !matches!(p.body.stage_now(), Stage::Existing | Stage::Removed))
}

/// Water cannot climb into the pipe that leaves. Where nothing leaves, the drain ends here, and nothing is asked.
fn step(ctx: &Ctx<'_>, rule: &Rule, port: &Port<'_>) -> Option<Finding> {
    let Port { access, item, chamber, inlet } = *port;
    let id = ctx.network.id(inlet.leg);
    let out = chamber.outlet.map_or("the invert that leaves", |leg| ctx.network.id(leg));
    if chamber.outlet.is_none() && chamber.outgoing.is_none() {
        return None;
    }
    let (field, missing) = match (chamber.outgoing, inlet.invert) {
        (None, _) => (format!("access.{}.il-out", access.id), "the invert that leaves it".to_owned()),
        (Some(_), None) => (format!("pipes.{id}.il"), format!("the invert of {id} there")),
        (Some(_), Some(_)) => {
            (format!("access.{}.il-out", access.id), format!("the inverts of {id} and {out} over one datum"))
        }
    };
    let measure = match inlet.step {
        Some(step) => Measure::length(step, apart(id, step.value, out)),
        None => Measure::Missing(missing),
    };
    let subject = Subject { field, ..laid::subject(item, rule, "il", &item.body.il) };
    Some(held(ctx, &subject, &measure, key::LEVELS_STEP_MINIMUM, "no lower than what leaves", || {
        (format!("{id} comes in below {out}, so its water stands"), "lift it, or lower what leaves".to_owned())
    }))
}

/// At a change to a larger pipe the soffits match, or the larger lies lower still: else the smaller one backs up before
/// the larger is full.
fn soffits(ctx: &Ctx<'_>, rule: &Rule, port: &Port<'_>) -> Option<Finding> {
    let Port { item, chamber, inlet, .. } = *port;
    let outlet = chamber.outlet?;
    let (own, out) = (ctx.network.legs.get(inlet.leg)?, ctx.network.legs.get(outlet)?);
    // Without inverts the step is asked for already.
    if own.nominal? >= out.nominal? || inlet.step.is_none() {
        return None;
    }
    let (id, below) = (ctx.network.id(inlet.leg), ctx.network.id(outlet));
    let measure = match inlet.soffit_step {
        Some(step) => Measure::length(step, format!("soffit of {}", apart(id, step.value, below))),
        None => Measure::Missing(format!("the inside diameters of {id} and {below}")),
    };
    let wanting = if own.bore.is_none() { id } else { below };
    let field = format!("pipes.{wanting}.bore");
    let subject = Subject { field, ..laid::subject(item, rule, "il", &item.body.il) };
    let mut out =
        held(ctx, &subject, &measure, key::LEVELS_SOFFIT_STEP_MINIMUM, "soffits level, or a step down", || {
            let text = format!("the larger {below} lies too high: {id} backs up before it is full");
            (text, "match the soffits: the invert steps down by the difference in inside diameters".to_owned())
        });
    out.recalled |= own.bore_recalled || ctx.network.legs.get(outlet).is_some_and(|l| l.bore_recalled);
    Some(out)
}

/// The invert that leaves, held against that of the drawing where the record has one.
fn drawn(ctx: &Ctx<'_>, rule: &Rule, item: &Item<Access>, chamber: &Chamber) -> Option<Finding> {
    let body = &item.body;
    body.il_drawn.get()?;
    let built = stage_of(&body.stage) == Stage::Installed;
    let drawn: Option<Height<Invert>> = ctx.network.height(&body.il_drawn, None);
    let by = chamber.outgoing.zip(drawn).and_then(|(out, drawn)| out.above(&drawn)).filter(|_| built)?;
    let higher = if by.value >= Length::ZERO { "above" } else { "below" };
    let far = Known { value: by.value.abs(), ..by };
    // A drawing is exact as far as the work is held against it.
    let how = if by.how == How::Believed { How::Believed } else { How::Computed };
    let measure =
        Measure::length(Known { how, ..far }, format!("{}\u{a0}mm {higher} the drawing", far.value.millimetres()));
    let subject = Subject {
        id: item.id.clone(),
        span: body.il_drawn.span,
        planned: false,
        field: format!("access.{}.il-drawn", item.id),
        rule,
    };
    let answer = ctx.rulebook.ask(key::LEVELS_TOLERANCE_MAXIMUM, &Facts::new());
    Some(hold(&subject, &measure, &answer, |_: &Length, _| {
        ("the invert is not where the drawing has it".to_owned(), "relay it, or have the drawing changed".to_owned())
    }))
}

fn apart(id: &str, step: Length, out: &str) -> String {
    match step.um() {
        0 => format!("{id} level with {out}"),
        1.. => format!("{id} {}\u{a0}mm above {out}", step.millimetres()),
        _ => format!("{id} {}\u{a0}mm below {out}", step.abs().millimetres()),
    }
}

fn held(
    ctx: &Ctx<'_>,
    subject: &Subject<'_>,
    measure: &Measure<Length>,
    asked: Key<Length>,
    limit: &str,
    miss: impl Fn() -> (String, String),
) -> Finding {
    let answer = ctx.rulebook.ask(asked, &Facts::new());
    let mut out = hold(subject, measure, &answer, |_: &Length, _| miss());
    out.limit = limit.to_owned();
    out
}
