//! A trench that goes deeper than a foundation beside it is filled with concrete as far up as the guidance asks.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Verdict;
use crate::base::finding::Weight;
use crate::base::known::How;
use crate::base::known::Known;
use crate::base::units::Invert;
use crate::base::units::Length;
use crate::base::units::Spot;
use crate::network::height::Height;
use crate::record::about::Element;
use crate::record::evidence::Penetration;
use crate::record::pipework::Bed;
use crate::record::pipework::BedSpec;
use crate::record::pipework::Pipe;
use crate::record::quantity::Measure as Written;
use crate::record::sections::Item;
use crate::record::value::Field;
use crate::record::words::Stage;
use crate::rulebook::Facts;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::driver::Measure;
use crate::rules::driver::Subject;
use crate::rules::driver::governing;
use crate::rules::driver::hold;
use crate::rules::driver::unsettled;
use std::cmp::Ordering;

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("trench-by-foundation"),
    title: "Trench beside a foundation",
    weight: Weight::Clause,
    due: Moment::BeforeCover,
    check,
};

/// A foundation that a trench runs beside, or goes through.
struct Near<'a> {
    element: &'a Item<Element>,
    place: Place<'a>,
}

/// How a trench lies to a foundation.
enum Place<'a> {
    /// Beside it, so far off.
    Beside(&'a Field<Written>),
    /// Through the wall on it, as a penetration describes it.
    Through(Option<&'a Item<Penetration>>),
}

/// What is wanting, and in which field.
type Wanting = (String, String);

/// The top of what is firm in a trench.
struct Firm {
    /// How far it lies below the underside of the foundation, at its lowest.
    below: Known<Length>,
    /// The same at its highest, where that is another place.
    highest: Known<Length>,
    /// Concrete, or the bottom of the trench itself.
    what: &'static str,
}

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    ctx.new_drains().filter_map(|(leg, item)| judge(ctx, rule, leg, item)).collect()
}

fn judge(ctx: &Ctx<'_>, rule: &Rule, leg: usize, item: &Item<Pipe>) -> Option<Finding> {
    governing(foundations(ctx, item).iter().map(|near| one(ctx, rule, leg, item, near)).collect())
}

/// The foundations that the record puts beside a trench, and those of walls with a footing that the drain goes through.
fn foundations<'a>(ctx: &Ctx<'a>, item: &'a Item<Pipe>) -> Vec<Near<'a>> {
    let beside = item.body.foundations.get().into_iter().flat_map(|m| &m.0);
    let mut all: Vec<Near<'a>> = beside
        .filter_map(|(key, away)| {
            let element = ctx.record.elements.get(&key.value)?;
            Some(Near { element, place: Place::Beside(away) })
        })
        .collect();
    let pipe = ctx.record.pipes.position(&item.id);
    for crossing in ctx.network.crossings.iter().filter(|c| Some(c.pipe) == pipe && c.certain) {
        let Some(element) = ctx.record.elements.at(crossing.element) else { continue };
        if !element.body.footing_underside.is_absent() {
            let hole = crossing.penetration.and_then(|p| ctx.record.penetrations.at(p));
            all.push(Near { element, place: Place::Through(hole) });
        }
    }
    all
}

fn one(ctx: &Ctx<'_>, rule: &Rule, leg: usize, item: &Item<Pipe>, near: &Near<'_>) -> Finding {
    let body = &item.body;
    let subject = Subject {
        id: item.id.clone(),
        span: if body.foundations.is_absent() { item.id_span } else { body.foundations.span },
        planned: body.stage_now() == Stage::Planned,
        field: format!("pipes.{}.foundations", item.id),
        rule,
    };
    let firm = footing(ctx, near).and_then(|footing| firm(ctx, leg, item, near, &footing));
    match firm {
        Ok(firm) => by_distance(ctx, &subject, item, near, &firm),
        Err((what, field)) => close(ctx, &Subject { field, ..subject }, &Measure::Missing(what)),
    }
}

fn footing(ctx: &Ctx<'_>, near: &Near<'_>) -> Result<Height<Spot>, Wanting> {
    let id = &near.element.id;
    let field = format!("elements.{id}.footing-underside");
    let found = ctx.network.height(&near.element.body.footing_underside, None);
    found.ok_or_else(|| (format!("how deep the foundation of {id} goes"), field))
}

/// The top of the concrete where there is some and it is needed, else the bottom of the trench.
fn firm(
    ctx: &Ctx<'_>,
    leg: usize,
    item: &Item<Pipe>,
    near: &Near<'_>,
    footing: &Height<Spot>,
) -> Result<Firm, Wanting> {
    let id = &item.id;
    let own = match item.body.bed.get() {
        Some(Bed::Is(spec)) => Some(spec.as_ref()),
        Some(Bed::As(_)) | None => None,
    };
    let apart = || {
        let what = format!("the level of the trench and the foundation of {} above one datum", near.element.id);
        (what, format!("elements.{}.footing-underside", near.element.id))
    };
    let top = own.and_then(|spec| ctx.network.height::<Spot>(&spec.concrete_to, Some(&item.body.kit)));
    let bottom = bottom(ctx, leg, item, near).and_then(|(low, high)| {
        let (below, highest) = (footing.above(&low).ok_or_else(apart)?, footing.above(&high).ok_or_else(apart)?);
        Ok(Firm { below, highest, what: "trench" })
    });
    match (bottom, top) {
        (Ok(firm), _) if firm.below.value + firm.below.half <= Length::ZERO => Ok(firm),
        (_, Some(top)) => {
            let below = footing.above(&top).ok_or_else(apart)?;
            Ok(Firm { below, highest: below, what: "concrete" })
        }
        (Ok(firm), None) => match bed(ctx, item) {
            Some(spec) if spec.concrete.is_none() || spec.concrete.is_absent() && spec.concrete_to.is_absent() => {
                Ok(firm)
            }
            Some(_) => Err(("how far up its trench is concreted".to_owned(), format!("pipes.{id}.bed.concrete-to"))),
            None => Err(("what it lies on".to_owned(), format!("pipes.{id}.bed"))),
        },
        (Err(wanting), None) => Err(wanting),
    }
}

/// The bottom of the trench at its lowest and at its highest: invert, less the pipe's wall, less the bed under it.
fn bottom(
    ctx: &Ctx<'_>,
    leg: usize,
    item: &Item<Pipe>,
    near: &Near<'_>,
) -> Result<(Height<Spot>, Height<Spot>), Wanting> {
    let id = &item.id;
    let (low, high) = inverts(ctx, leg, item, near)
        .ok_or_else(|| ("the levels of its two ends".to_owned(), format!("pipes.{id}.il")))?;
    let diameters = ctx.network.legs.get(leg).and_then(|l| l.outside.zip(l.bore));
    let (outside, bore) = diameters.ok_or_else(|| {
        let what = "how thick the wall of its pipe is, or how far up its trench is concreted";
        (what.to_owned(), format!("pipes.{id}.bed.concrete-to"))
    })?;
    let wall = Length::from_um((outside - bore).um() / 2);
    let spec = bed(ctx, item).ok_or_else(|| ("what it lies on".to_owned(), format!("pipes.{id}.bed")))?;
    let under = spec.under.get().ok_or_else(|| ("how thick its bed is".to_owned(), bed_field(item)))?;
    let how = [ctx.record.how(&spec.under), ctx.record.how(&item.body.size)];
    let down = |invert: Height<Invert>| {
        let mut bottom: Height<Spot> = invert.to(-(wall + under.value));
        bottom.half = bottom.half + under.half;
        bottom.how = how.into_iter().fold(bottom.how, How::with);
        bottom
    };
    Ok((down(low), down(high)))
}

fn bed_field(item: &Item<Pipe>) -> String {
    match item.body.bed.get() {
        Some(Bed::As(other)) => format!("pipes.{other}.bed.under"),
        Some(Bed::Is(_)) | None => format!("pipes.{}.bed.under", item.id),
    }
}

/// The lowest and the highest invert that may lie at a foundation: the one recorded where the drain goes through, else
/// those of both ends.
fn inverts(ctx: &Ctx<'_>, leg: usize, item: &Item<Pipe>, near: &Near<'_>) -> Option<(Height<Invert>, Height<Invert>)> {
    if let Place::Through(Some(hole)) = near.place
        && let Some(at) = ctx.network.height(&hole.body.il, Some(&item.body.kit))
    {
        return Some((at, at));
    }
    let solved = ctx.network.solved(leg);
    let (up, down) = (solved.up?, solved.down?);
    let falls = up.above(&down)?.value >= Length::ZERO;
    Some(if falls { (down, up) } else { (up, down) })
}

/// The bed of a pipe, its own or that of the pipe it is like.
fn bed<'a>(ctx: &Ctx<'a>, item: &'a Item<Pipe>) -> Option<&'a BedSpec> {
    let mut item = item;
    for _ in 0..=ctx.record.pipes.len() {
        match item.body.bed.get()? {
            Bed::Is(spec) => return Some(spec.as_ref()),
            Bed::As(other) => item = ctx.record.pipes.get(other)?,
        }
    }
    None
}

/// Holds it against the line for its distance. Where a wall stands along a drain that goes through it is not known:
/// both ends of the drain must agree.
fn by_distance(ctx: &Ctx<'_>, subject: &Subject<'_>, item: &Item<Pipe>, near: &Near<'_>, firm: &Firm) -> Finding {
    let id = &near.element.id;
    match near.place {
        Place::Through(hole) => {
            let found = |below| close(ctx, subject, &Measure::length(below, depth(below, firm.what, id)));
            let (low, high) = (found(firm.below), found(firm.highest));
            if low.verdict == Verdict::NotMet && high.verdict != Verdict::NotMet {
                let (what, hole) = (format!("its invert where it goes through {id}"), hole.map(|h| &h.id));
                let field = hole.map_or("penetrations".to_owned(), |hole| format!("penetrations.{hole}.il"));
                return close(ctx, &Subject { field, ..subject.clone() }, &Measure::Missing(what));
            }
            if low.verdict == Verdict::NotMet { high } else { low }
        }
        // So high that it does not matter how far off the foundation is.
        Place::Beside(_) if firm.below.value + firm.below.half <= Length::ZERO => {
            close(ctx, subject, &Measure::length(firm.below, depth(firm.below, firm.what, id)))
        }
        Place::Beside(away) => match away.get() {
            None => close(ctx, subject, &Measure::Missing(format!("how far its trench stays clear of {id}"))),
            Some(m) => {
                let away = Known { value: m.value, half: m.half, how: ctx.record.how(away) };
                let mut out = beside(ctx, subject, near, firm, away);
                if firm.what == "trench" && out.verdict == Verdict::NotMet && away.believed() {
                    let field = format!("pipes.{}.foundations", item.id);
                    let what = format!("how far its trench stays clear of {id}, which is only believed");
                    unsettled(&mut out, &Subject { field, ..subject.clone() }, what);
                }
                out
            }
        },
    }
}

fn beside(ctx: &Ctx<'_>, subject: &Subject<'_>, near: &Near<'_>, firm: &Firm, away: Known<Length>) -> Finding {
    let how = firm.below.how.with(away.how);
    let words = format!("{}, {}\u{a0}m off", depth(firm.below, firm.what, &near.element.id), away.value.metres(2));
    let answer = ctx.rulebook.ask(key::DRAIN_TRENCH_NEAR_MAXIMUM, &Facts::new());
    // What may be close counts as close.
    if answer.limit().is_none_or(|limit| limit.met_by(&(away.value - away.half))) {
        return close(ctx, subject, &Measure::length(Known { how, ..firm.below }, words));
    }
    let value = away.value - firm.below.value;
    let half = away.half + firm.below.half;
    farther(ctx, subject, &Measure::length(Known { value, half, how }, words), away.value)
}

/// `0.12 m below the foundation of WA1 (trench)`.
fn depth(below: Known<Length>, what: &str, element: &str) -> String {
    let by = below.value.abs().metres(2);
    match below.value.cmp(&Length::ZERO) {
        Ordering::Greater => format!("{by}\u{a0}m below the foundation of {element} ({what})"),
        Ordering::Equal => format!("level with the underside of {element} ({what})"),
        Ordering::Less => format!("{by}\u{a0}m above the underside of {element} ({what})"),
    }
}

fn close(ctx: &Ctx<'_>, subject: &Subject<'_>, measure: &Measure<Length>) -> Finding {
    let answer = ctx.rulebook.ask(key::DRAIN_TRENCH_BELOW_FOUNDATION_MAXIMUM, &Facts::new());
    let mut out = hold(subject, measure, &answer, |_: &Length, below| {
        let text = format!("the ground beside the foundation is cut away {}\u{a0}m below it", below.metres(2));
        (text, "concrete in the trench up to the underside of the foundation".to_owned())
    });
    out.limit = "up to the underside".to_owned();
    out
}

fn farther(ctx: &Ctx<'_>, subject: &Subject<'_>, measure: &Measure<Length>, away: Length) -> Finding {
    let answer = ctx.rulebook.ask(key::DRAIN_TRENCH_SET_BACK_MINIMUM, &Facts::new());
    let mut out = hold(subject, measure, &answer, |limit: &Length, margin| {
        let short = (*limit - *margin).metres(2);
        (
            format!("what is firm in the trench stops {short}\u{a0}m too low"),
            format!("concrete {short}\u{a0}m higher in the trench"),
        )
    });
    if let Some(limit) = answer.limit() {
        out.limit = format!("at most {}\u{a0}m below it", (away - limit.value).metres(2));
    }
    out
}
