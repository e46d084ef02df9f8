//! A trench that goes deeper than a foundation beside it is filled with concrete as far up as the guidance asks.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Verdict;
use crate::base::finding::Weight;
use crate::base::known::Known;
use crate::base::units::Length;
use crate::base::units::Spot;
use crate::compute::foundations::Near;
use crate::compute::foundations::Place;
use crate::compute::foundations::Wanting;
use crate::compute::foundations::bottom;
use crate::compute::foundations::footing;
use crate::compute::foundations::near;
use crate::compute::foundations::recorded;
use crate::network::height::Height;
use crate::record::ground::bed_of;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;
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
    keys: &[
        key::DRAIN_TRENCH_NEAR_MAXIMUM.path(),
        key::DRAIN_TRENCH_BELOW_FOUNDATION_MAXIMUM.path(),
        key::DRAIN_TRENCH_SET_BACK_MINIMUM.path(),
    ],
    check,
};

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
    governing(near(ctx.network, item).iter().map(|near| one(ctx, rule, leg, item, near)).collect())
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
    let firm = footing(ctx.network, near).and_then(|footing| firm(ctx, leg, item, near, &footing));
    match firm {
        Ok(firm) => by_distance(ctx, &subject, item, near, &firm),
        Err((what, field)) => close(ctx, &Subject { field, ..subject }, &Measure::Missing(what)),
    }
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
    let apart = || {
        let what = format!("the level of the trench and the foundation of {} above one datum", near.element.id);
        (what, format!("elements.{}.footing-underside", near.element.id))
    };
    let top = recorded(ctx.network, item);
    let bottom = bottom(ctx.network, leg, item, near).and_then(|(low, high)| {
        let (below, highest) = (footing.above(&low).ok_or_else(apart)?, footing.above(&high).ok_or_else(apart)?);
        Ok(Firm { below, highest, what: "trench" })
    });
    match (bottom, top) {
        (Ok(firm), _) if firm.below.value + firm.below.half <= Length::ZERO => Ok(firm),
        (_, Some(top)) => {
            let below = footing.above(&top).ok_or_else(apart)?;
            Ok(Firm { below, highest: below, what: "concrete" })
        }
        (Ok(firm), None) => match bed_of(ctx.record, item).map(|(_, spec)| spec) {
            Some(spec) if spec.concrete.is_none() || spec.concrete.is_absent() && spec.concrete_to.is_absent() => {
                Ok(firm)
            }
            Some(_) => Err(("how far up its trench is concreted".to_owned(), format!("pipes.{id}.bed.concrete-to"))),
            None => Err(("what it lies on".to_owned(), format!("pipes.{id}.bed"))),
        },
        (Err(wanting), None) => Err(wanting),
    }
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
