//! A drain that goes through a wall is free of it under a lintel, or built in with joints and rocker pipes that let it
//! move.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Verdict;
use crate::base::finding::Weight;
use crate::base::known::How;
use crate::base::known::Known;
use crate::base::units::Length;
use crate::network::crossings::Crossing;
use crate::record::about::Element;
use crate::record::evidence::Gap;
use crate::record::evidence::Penetration;
use crate::record::facts::stage_of;
use crate::record::pipework::Pipe;
use crate::record::quantity::Measure as Written;
use crate::record::sections::Item;
use crate::record::value::Field;
use crate::record::value::ListOf;
use crate::record::words::Stage;
use crate::record::words::YesNo;
use crate::rulebook::Facts;
use crate::rulebook::Key;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::driver::Measure;
use crate::rules::driver::Subject;
use crate::rules::driver::governing;
use crate::rules::driver::hold;

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("drain-through-wall"),
    title: "Drain through a wall or foundation",
    weight: Weight::Clause,
    due: Moment::BeforeCover,
    keys: &[
        key::DRAIN_WALL_GAP_SHEET.path(),
        key::DRAIN_WALL_GAP_SEALANT.path(),
        key::DRAIN_WALL_CLEARANCE_MINIMUM.path(),
        key::DRAIN_WALL_LINTEL.path(),
        key::DRAIN_WALL_JOINT_DISTANCE_MAXIMUM.path(),
        key::DRAIN_WALL_ROCKER_LENGTH_MAXIMUM.path(),
    ],
    check,
};

/// A hole with the drain that goes through it.
struct Hole<'a> {
    item: &'a Item<Penetration>,
    pipe: &'a Item<Pipe>,
    leg: usize,
    rule: &'a Rule,
}

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    ctx.new_drains().flat_map(|(leg, item)| of_pipe(ctx, rule, leg, item)).collect()
}

/// A finding for each hole of one drain, and one for all walls that it goes through without a hole in the record.
fn of_pipe(ctx: &Ctx<'_>, rule: &Rule, leg: usize, pipe: &Item<Pipe>) -> Vec<Finding> {
    let position = ctx.record.pipes.position(&pipe.id);
    let own = ctx.network.crossings.iter().filter(|c| Some(c.pipe) == position && c.certain);
    let walls: Vec<&Crossing> = own.filter(|c| ctx.record.elements.at(c.element).is_some_and(is_wall)).collect();
    let holes = walls.iter().filter_map(|c| ctx.record.penetrations.at(c.penetration?)).filter(|hole| !hole.broken);
    let mut all: Vec<Finding> = holes.filter_map(|item| judge(ctx, &Hole { item, pipe, leg, rule })).collect();
    let bare = walls.iter().filter(|c| c.penetration.is_none());
    let names: Vec<&str> = bare.filter_map(|c| ctx.record.elements.at(c.element)).map(|e| e.id.as_str()).collect();
    if !names.is_empty() {
        let subject = Subject {
            id: pipe.id.clone(),
            span: pipe.id_span,
            planned: pipe.body.stage_now() == Stage::Planned,
            field: "penetrations".to_owned(),
            rule,
        };
        let what = format!("how it goes through {}", crate::base::text::list(&names, "and"));
        all.push(clear(ctx, &subject, &Measure::Missing(what)));
    }
    all
}

/// A part of the building that stands on a foundation, or may.
fn is_wall(element: &Item<Element>) -> bool {
    let what = element.body.what.get().map_or(String::new(), |what| what.0.to_lowercase());
    !["floor", "ceiling", "roof"].iter().any(|word| what.contains(word))
}

/// Either way will do: the better of the two stands.
fn judge(ctx: &Ctx<'_>, hole: &Hole<'_>) -> Option<Finding> {
    let body = &hole.item.body;
    let is_free = [body.clear.is_absent(), body.lintel.is_absent()].contains(&false);
    let is_built = [body.joints.is_absent(), body.rockers.is_absent()].contains(&false);
    let free = governing(free(ctx, hole));
    if !is_built {
        return free;
    }
    let built = governing(built(ctx, hole));
    match (free, built) {
        (Some(free), Some(built)) if is_free && free.verdict == Verdict::Met && built.verdict != Verdict::Met => {
            Some(free)
        }
        (_, built) => built,
    }
}

impl<'a> Hole<'a> {
    fn subject<T>(&self, key: &str, field: &Field<T>) -> Subject<'a> {
        let stages = [self.pipe.body.stage_now(), stage_of(&self.item.body.stage)];
        Subject {
            id: self.item.id.clone(),
            span: if field.is_absent() { self.item.id_span } else { field.span },
            planned: stages.contains(&Stage::Planned),
            field: format!("penetrations.{}.{key}", self.item.id),
            rule: self.rule,
        }
    }
}

/// Under a lintel: the clearance, and what carries the wall.
fn free(ctx: &Ctx<'_>, hole: &Hole<'_>) -> Vec<Finding> {
    let body = &hole.item.body;
    let (measure, key) = clearance(ctx, hole);
    let subject =
        Subject { field: format!("penetrations.{}.{key}", hole.item.id), ..hole.subject("clear", &body.clear) };
    let mut all = vec![clear(ctx, &subject, &measure), lintel(ctx, hole)];
    all.extend(gap(ctx, hole));
    all
}

/// What closes the gap that is left: a sheet on both sides, and a sealant.
fn gap(ctx: &Ctx<'_>, hole: &Hole<'_>) -> [Finding; 2] {
    let field = &hole.item.body.gap;
    let of = |part: fn(&Gap) -> &Field<YesNo>, name: &str, asked: &str, why: &str, key: Key<bool>| {
        let part = field.get().map(part);
        let said = part.and_then(|f| f.get().map(|yes| (yes.yes(), ctx.record.how(f))));
        let none = field.is_none() || part.is_some_and(Field::is_none);
        let measure = match said.or(none.then(|| (false, ctx.record.how(field)))) {
            Some((true, how)) => Measure::plain(true, how, asked),
            Some((false, how)) => Measure::plain(false, how, format!("no {name}")),
            None => Measure::Missing(format!("the {name} that closes the gap round it")),
        };
        let answer = ctx.rulebook.ask(key, &Facts::new());
        let subject = hole.subject(&format!("gap.{name}"), field);
        let mut out = hold(&subject, &measure, &answer, |_: &bool, _| (why.to_owned(), asked.to_owned()));
        out.limit = asked.to_owned();
        out
    };
    [
        of(
            |gap| &gap.sheet,
            "sheet",
            "a rigid sheet at each side",
            "fill and vermin come in through the gap round the pipe",
            key::DRAIN_WALL_GAP_SHEET,
        ),
        of(
            |gap| &gap.sealant,
            "sealant",
            "a compressible sealant in the gap",
            "gas comes in through the gap round the pipe",
            key::DRAIN_WALL_GAP_SEALANT,
        ),
    ]
}

/// The least clearance, with the field that settles it: as recorded, but no more than a pipe in the middle of the hole
/// has. Without the size of the hole a clearance is but half shown.
fn clearance(ctx: &Ctx<'_>, hole: &Hole<'_>) -> (Measure<Length>, &'static str) {
    let body = &hole.item.body;
    let wide = body.hole.get().map(|m| m.value).into_iter();
    let wide = wide.chain(body.opening.get().map(|o| o.b.map_or(o.a, |b| b.min(o.a)))).min();
    let outside = ctx.network.legs.get(hole.leg).and_then(|l| l.outside);
    let most = wide.zip(outside).map(|(wide, pipe)| Length::from_um((wide - pipe).um() / 2));
    let how = |said: How| {
        let beliefs = [said, ctx.record.how(&body.hole), ctx.record.how(&body.opening)];
        if beliefs.contains(&How::Believed) { How::Believed } else { said }
    };
    match (body.clear.get(), most) {
        (Some(m), most) if most.is_none_or(|most| m.value <= most) => {
            if wide.is_none() {
                return (Measure::Missing("the size of the opening".to_owned()), "opening");
            }
            let known = Known { value: m.value, half: m.half, how: how(ctx.record.how(&body.clear)) };
            (Measure::length(known, format!("{} clear", m.words())), "clear")
        }
        (said, Some(most)) if said.is_some() || narrow(ctx, most) => {
            let words = format!("at most {}\u{a0}mm clear", most.um().div_euclid(1000));
            (Measure::length(Known::exact(most, how(How::Computed)), words), "opening")
        }
        _ => {
            let what = "the least clearance round the pipe, or its joints when it is built in";
            (Measure::Missing(what.to_owned()), "clear")
        }
    }
}

/// Whether a hole is too small for the clearance wherever the pipe lies in it.
fn narrow(ctx: &Ctx<'_>, most: Length) -> bool {
    let answer = ctx.rulebook.ask(key::DRAIN_WALL_CLEARANCE_MINIMUM, &Facts::new());
    answer.limit().is_some_and(|limit| !limit.met_by(&most))
}

fn clear(ctx: &Ctx<'_>, subject: &Subject<'_>, measure: &Measure<Length>) -> Finding {
    let answer = ctx.rulebook.ask(key::DRAIN_WALL_CLEARANCE_MINIMUM, &Facts::new());
    let mut out = hold(subject, measure, &answer, |_: &Length, _| {
        let text = "when the wall settles it bears on the pipe and shears it";
        (text.to_owned(), "a wider opening under a lintel, or joints and rocker pipes on both sides".to_owned())
    });
    out.limit = format!("{} clear all round", out.limit);
    out
}

fn lintel(ctx: &Ctx<'_>, hole: &Hole<'_>) -> Finding {
    let field = &hole.item.body.lintel;
    let how = ctx.record.how(field);
    let measure = match field.get() {
        Some(lintel) => Measure::plain(true, how, lintel.0.clone()),
        None if field.is_none() => Measure::plain(false, how, "no lintel"),
        None => Measure::Missing("what carries the wall over it".to_owned()),
    };
    let answer = ctx.rulebook.ask(key::DRAIN_WALL_LINTEL, &Facts::new());
    let mut out = hold(&hole.subject("lintel", field), &measure, &answer, |_: &bool, _| {
        ("nothing carries the wall over it but the pipe".to_owned(), "a lintel over the opening".to_owned())
    });
    out.limit = "a lintel over it".to_owned();
    out
}

/// Built in: a joint near each face, and beyond it a short pipe between two joints.
fn built(ctx: &Ctx<'_>, hole: &Hole<'_>) -> Vec<Finding> {
    let body = &hole.item.body;
    let joints = pair(
        ctx,
        hole,
        ("joints", "first joint", "from the face"),
        &body.joints,
        key::DRAIN_WALL_JOINT_DISTANCE_MAXIMUM,
    );
    let rockers =
        pair(ctx, hole, ("rockers", "rocker pipe", "long"), &body.rockers, key::DRAIN_WALL_ROCKER_LENGTH_MAXIMUM);
    joints.into_iter().chain(rockers).collect()
}

/// Holds the measure of each of the two sides; one that is wanting is not shown.
fn pair(
    ctx: &Ctx<'_>,
    hole: &Hole<'_>,
    (name, one, end): (&str, &str, &str),
    field: &Field<ListOf<Written>>,
    key: Key<Length>,
) -> Vec<Finding> {
    let subject = hole.subject(name, field);
    let answer = ctx.rulebook.ask(key, &Facts::new());
    let how = ctx.record.how(field);
    let written = field.get().into_iter().flat_map(|l| l.iter());
    let mut measures: Vec<Measure<Length>> = written
        .map(|m| Measure::length(Known { value: m.value, half: m.half, how }, format!("{one} {} {end}", m.words())))
        .collect();
    if measures.len() < 2 {
        measures.push(Measure::Missing(format!("the {name} on both sides of the wall")));
    }
    let held = |measure: &Measure<Length>| {
        let mut out = hold(&subject, measure, &answer, |limit: &Length, found| {
            let over = (*found - *limit).millimetres();
            (format!("{over}\u{a0}mm too much for the pipe to give way"), "a joint nearer to the wall".to_owned())
        });
        out.limit = format!("{one} {} {end}", out.limit);
        out
    };
    measures.iter().map(held).collect()
}
