//! The length of a drain from one access point to the next against the guidance's table, for the rules that ask it: which
//! line of the table holds for the kinds at both ends, and what is missing to tell.

use crate::base::finding::Finding;
use crate::base::finding::Verdict;
use crate::base::known::How;
use crate::base::units::Length;
use crate::compute::spacing::Run;
use crate::network::ends::End;
use crate::network::kind::Kind;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;
use crate::record::words::AccessKind;
use crate::record::words::Stage;
use crate::rulebook::Fact;
use crate::rulebook::Facts;
use crate::rulebook::Key;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::driver::Measure;
use crate::rules::driver::Subject;
use crate::rules::driver::cite;
use crate::rules::driver::finding;
use crate::rules::driver::hold;
use crate::rules::driver::unsettled;
use crate::rules::spacing_proposal;

/// What the table calls a chamber no deeper than a shallow one.
pub(crate) const SHALLOW: &str = "inspection chamber shallow";
/// What it calls a deeper one, or a manhole.
pub(crate) const DEEP: &str = "manhole or deep chamber";

/// What the table may call an end.
pub enum Called {
    /// One of these words: two for a chamber of which the depth does not tell.
    These(&'static [&'static str]),
    /// None of its words: this, in this field, is to be shown.
    Open(String, String),
    /// The rule does not speak of such a run.
    Other,
}

/// The run as what is judged, by the length that is missing or its first pipe's.
pub fn subject<'r>(ctx: &Ctx<'_>, rule: &'r Rule, run: &Run) -> Option<Subject<'r>> {
    let item = ctx.record.pipes.at(ctx.network.legs.get(run.first)?.pipe)?;
    Some(Subject {
        id: item.id.clone(),
        span: if item.body.length.is_absent() { item.id_span } else { item.body.length.span },
        planned: item.body.stage_now() == Stage::Planned,
        field: missing_field(ctx, run.missing, item),
        rule,
    })
}

/// The run from end to end against the table; `None` where the guidance does not speak of such a run.
pub fn of_run(ctx: &Ctx<'_>, subject: &Subject<'_>, run: &Run) -> Option<Finding> {
    let measure = measure(ctx, run);
    let (from, to) = match (upper(ctx, run), lower(ctx, run)) {
        (Called::Other, _) | (_, Called::Other) => return None,
        (Called::These(from), Called::These(to)) => (from, to),
        (Called::Open(what, field), _) | (_, Called::Open(what, field)) => {
            return Some(open(ctx, Subject { field, ..subject.clone() }, &measure, what));
        }
    };
    let mut all = Vec::new();
    for pair in from.iter().flat_map(|f| to.iter().map(move |t| (*f, *t))) {
        all.push(held(ctx, subject, run, &measure, pair));
    }
    let mut out = agreed(ctx, subject.clone(), run, &measure, all);
    if out.verdict == Verdict::NotMet {
        out.remedy = spacing_proposal::remedy(ctx, run, from, to).or(out.remedy);
    }
    Some(out)
}

/// Where rods from an access point run into another drain on the way, the table has a column for that length too. A
/// dash there leaves it to the next access point.
pub fn to_join(ctx: &Ctx<'_>, subject: &Subject<'_>, run: &Run, most: Key<Length>) -> Option<Finding> {
    let leg = ctx.network.legs.get(run.first)?;
    let End::Pipe(into) = leg.ends.to else { return None };
    let main = ctx.network.legs.get(into).filter(|l| l.derived.kind == Kind::Drain)?;
    let Called::These([kind]) = upper(ctx, run) else { return None };
    if main.ends.from == End::Pipe(run.first) {
        return None;
    }
    let facts = Facts::new().with(Fact::FromKind, *kind).with(Fact::ToKind, "junction");
    let answer = ctx.rulebook.ask(most, &facts);
    answer.limit()?;
    let (length, from, main) = (leg.length?, name(ctx, run.from), ctx.network.id(into));
    let words = format!("{}\u{a0}m, {from} to its join with {main}", length.value.metres(2));
    let mut out = hold(subject, &Measure::length(length, words), &answer, |limit: &Length, found| {
        let over = (*found - *limit).metres(2);
        let remedy = format!("an inspection chamber at the join with {main}, or on the way there from {from}");
        (format!("{over}\u{a0}m too far for rods from {from}"), remedy)
    });
    if let (Verdict::NotMet, Some(remedy)) = (out.verdict, out.remedy.as_mut()) {
        remedy.field = Some("access".to_owned());
    }
    Some(out)
}

/// Holds the run against one pair of the table; with the limit, where there is one.
fn held(
    ctx: &Ctx<'_>,
    subject: &Subject<'_>,
    run: &Run,
    measure: &Measure<Length>,
    (from, to): (&'static str, &'static str),
) -> (Option<Length>, Finding) {
    let facts = Facts::new().with(Fact::FromKind, from).with(Fact::ToKind, to);
    let answer = ctx.rulebook.ask(key::ACCESS_SPACING_MAXIMUM, &facts);
    let found = hold(subject, measure, &answer, |limit: &Length, found| {
        let over = (*found - *limit).metres(2);
        (format!("{over}\u{a0}m too far for rods from {}", ends(ctx, run)), "an access point in between".to_owned())
    });
    (answer.limit().map(|l| l.value), found)
}

/// Where the depth of a chamber does not tell which line holds, they must all say the same; the strictest is given.
fn agreed(
    ctx: &Ctx<'_>,
    subject: Subject<'_>,
    run: &Run,
    measure: &Measure<Length>,
    mut all: Vec<(Option<Length>, Finding)>,
) -> Finding {
    all.sort_by_key(|(limit, _)| *limit);
    let first = all.first().map(|(_, f)| f.verdict);
    let same = all.iter().all(|(_, f)| Some(f.verdict) == first);
    match all.into_iter().next() {
        Some((_, found)) if same => found,
        _ => {
            let chamber = [run.to, run.from].into_iter().find(|end| depth_tells(ctx, *end).is_none());
            let id = chamber.map_or("", |end| ctx.network.end_id(end));
            let field = format!("access.{id}.{}", depth_field(ctx, chamber));
            open(ctx, Subject { field, ..subject }, measure, format!("the depth of {id}"))
        }
    }
}

/// A finding that is not shown for want of something about an end.
fn open(ctx: &Ctx<'_>, subject: Subject<'_>, measure: &Measure<Length>, what: String) -> Finding {
    let mut out = finding(&subject, Verdict::NotShown);
    let facts = Facts::new().with(Fact::FromKind, DEEP).with(Fact::ToKind, DEEP);
    cite(&mut out, ctx.rulebook.ask(key::ACCESS_SPACING_MAXIMUM, &facts).citation());
    if let Measure::Is { words, .. } = measure {
        out.measured = words.clone();
    }
    unsettled(&mut out, &subject, what);
    out
}

fn measure(ctx: &Ctx<'_>, run: &Run) -> Measure<Length> {
    match (run.length, run.missing) {
        (Some(l), _) => Measure::length(l, format!("{}\u{a0}m, {}", l.value.metres(2), ends(ctx, run))),
        (None, Some(leg)) => {
            Measure::Missing(format!("the length, or the place of the join, of {}", ctx.network.id(leg)))
        }
        (None, None) => Measure::Missing("where it leads".to_owned()),
    }
}

/// The field that would give the length: of the pipe where it is missing.
fn missing_field(ctx: &Ctx<'_>, missing: Option<usize>, item: &Item<Pipe>) -> String {
    let item = missing.and_then(|leg| ctx.record.pipes.at(leg)).unwrap_or(item);
    let body = &item.body;
    let key = match (body.length.get(), body.at.get(), body.entry.get()) {
        (Some(_), None, _) if missing.is_some() => "at",
        (Some(_), Some(_), None) if missing.is_some() => "entry",
        _ => "length",
    };
    format!("pipes.{}.{key}", item.id)
}

fn ends(ctx: &Ctx<'_>, run: &Run) -> String {
    format!("{} to {}", name(ctx, run.from), name(ctx, run.to))
}

/// The name of an end; a stack stands for its foot.
pub fn name(ctx: &Ctx<'_>, end: End) -> String {
    let id = ctx.network.end_id(end);
    match end {
        End::Pipe(p) if ctx.network.legs.get(p).is_some_and(|l| l.derived.kind == Kind::Stack) => format!("{id} foot"),
        _ if id.is_empty() => "its end".to_owned(),
        _ => id.to_owned(),
    }
}

/// What the table calls the upper end of a run.
pub fn upper(ctx: &Ctx<'_>, run: &Run) -> Called {
    let open =
        || Called::Open("what is at its upper end".to_owned(), format!("pipes.{}.from", ctx.network.id(run.first)));
    match run.from {
        End::Appliance(_) => Called::These(&["start of drain"]),
        End::Pipe(p) if ctx.network.legs.get(p).is_some_and(|l| l.derived.kind == Kind::Drain) => open(),
        End::Pipe(_) => Called::These(&["start of drain"]),
        End::Access(a) => match kind(ctx, a) {
            Some(AccessKind::RoddingEye) => Called::These(&["rodding eye"]),
            // A gully's trap stops rods: the drain starts at it.
            Some(AccessKind::Gully) => Called::These(&["start of drain"]),
            _ => chamber(ctx, a),
        },
        End::Outfall(_) | End::Temporary | End::Unknown | End::Absent => open(),
    }
}

fn lower(ctx: &Ctx<'_>, run: &Run) -> Called {
    match run.to {
        End::Access(a) => match kind(ctx, a) {
            Some(AccessKind::RoddingEye | AccessKind::Gully) => {
                let id = ctx.network.end_id(run.to);
                Called::Open(
                    format!("an access point at the lower end; {id} is none that the guidance lists there"),
                    format!("access.{id}.what"),
                )
            }
            _ => chamber(ctx, a),
        },
        // From an access point on, the way to the sewer is another body's to rod; without one, nobody can.
        End::Outfall(_) => match upper(ctx, run) {
            Called::These(["start of drain"]) => Called::Open(
                format!("an access point between {}", ends(ctx, run)),
                format!("pipes.{}.to", ctx.network.id(run.first)),
            ),
            _ => Called::Other,
        },
        End::Appliance(_) | End::Pipe(_) | End::Temporary | End::Unknown | End::Absent => {
            Called::Open("where it leads".to_owned(), format!("pipes.{}.to", ctx.network.id(run.first)))
        }
    }
}

/// What an access point is, unless that is only believed.
fn kind(ctx: &Ctx<'_>, access: usize) -> Option<AccessKind> {
    let field = &ctx.record.access.at(access)?.body.what;
    field.get().copied().filter(|_| ctx.record.how(field) != How::Believed)
}

fn chamber(ctx: &Ctx<'_>, access: usize) -> Called {
    match kind(ctx, access) {
        Some(AccessKind::SmallFitting) => Called::These(&["access fitting small"]),
        Some(AccessKind::LargeFitting) => Called::These(&["access fitting large"]),
        Some(AccessKind::Manhole) => Called::These(&[DEEP]),
        Some(AccessKind::InspectionChamber) => match depth_tells(ctx, End::Access(access)) {
            Some(true) => Called::These(&[SHALLOW]),
            Some(false) => Called::These(&[DEEP]),
            None => Called::These(&[SHALLOW, DEEP]),
        },
        Some(AccessKind::RoddingEye | AccessKind::Gully) | None => {
            let id = ctx.network.end_id(End::Access(access));
            Called::Open(format!("what {id} is"), format!("access.{id}.what"))
        }
    }
}

/// Whether an inspection chamber is a shallow one; `None` when its depth does not tell, for its spread or otherwise.
/// For every other end there is nothing to tell.
fn depth_tells(ctx: &Ctx<'_>, end: End) -> Option<bool> {
    let End::Access(a) = end else { return Some(false) };
    if kind(ctx, a) != Some(AccessKind::InspectionChamber) {
        return Some(false);
    }
    let depth = ctx.computed.depths.get(a).copied().flatten().filter(|d| !d.believed())?;
    let answer = ctx.rulebook.ask(key::ACCESS_SHALLOW_DEPTH_MAXIMUM, &Facts::new());
    let limit = answer.limit()?;
    let (least, most) = (limit.met_by(&(depth.value - depth.half)), limit.met_by(&(depth.value + depth.half)));
    (least == most).then_some(most)
}

fn depth_field(ctx: &Ctx<'_>, chamber: Option<End>) -> &'static str {
    match chamber {
        Some(End::Access(a)) if ctx.record.access.at(a).is_some_and(|a| a.body.cover.get().is_none()) => "cover",
        _ => "il-out",
    }
}
