//! A rodding eye, access fitting, inspection chamber or manhole is large enough inside for how deep it lies.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Weight;
use crate::base::known::How;
use crate::base::known::Known;
use crate::base::size::Nominal;
use crate::base::units::Length;
use crate::network::ends::End;
use crate::record::facts::stage_of;
use crate::record::pipework::Access;
use crate::record::quantity::Across;
use crate::record::sections::Item;
use crate::record::words::AccessKind;
use crate::record::words::Stage;
use crate::rulebook::Answer;
use crate::rulebook::Fact;
use crate::rulebook::Facts;
use crate::rulebook::Key;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::driver::Measure;
use crate::rules::driver::Subject;
use crate::rules::driver::cite;
use crate::rules::driver::governing;
use crate::rules::driver::hold;
use crate::rules::driver::unsettled;

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("chamber-size-for-depth"),
    title: "Size of a chamber for its depth",
    weight: Weight::Clause,
    due: Moment::BeforeCover,
    keys: &[
        key::ACCESS_MANHOLE_LENGTH_MINIMUM.path(),
        key::ACCESS_MANHOLE_WIDTH_MINIMUM.path(),
        key::ACCESS_CHAMBER_LENGTH_MINIMUM.path(),
        key::ACCESS_CHAMBER_WIDTH_MINIMUM.path(),
        key::ACCESS_MANHOLE_SHARED_LENGTH_MINIMUM.path(),
        key::ACCESS_MANHOLE_SHARED_WIDTH_MINIMUM.path(),
    ],
    check,
};

/// One access point with what its line of the tables is chosen by.
struct Judged<'a> {
    position: usize,
    item: &'a Item<Access>,
    kind: AccessKind,
    depth: Option<Known<Length>>,
}

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    let all = ctx.record.access.iter().enumerate();
    let new =
        all.filter(|(_, item)| !item.broken && !matches!(stage_of(&item.body.stage), Stage::Existing | Stage::Removed));
    new.filter_map(|(position, item)| judge(ctx, rule, position, item)).collect()
}

fn judge(ctx: &Ctx<'_>, rule: &Rule, position: usize, item: &Item<Access>) -> Option<Finding> {
    let kind = *item.body.what.get()?;
    // An eye is as large as its drain; its size is judged where the record gives it.
    let eye = kind == AccessKind::RoddingEye;
    if kind == AccessKind::Gully || (eye && item.body.across.is_absent()) {
        return None;
    }
    let at = Judged { position, item, kind, depth: depth(ctx, position, kind) };
    let subject = Subject {
        id: item.id.clone(),
        span: if item.body.across.is_absent() { item.id_span } else { item.body.across.span },
        planned: stage_of(&item.body.stage) == Stage::Planned,
        field: field(ctx, &at),
        rule,
    };
    let shared = shared(ctx, rule, &at);
    governing(std::iter::once(own_size(ctx, subject, &at)).chain(shared).collect())
}

/// Every manhole on a sewer that serves more than one property is at least of one size. A manhole of which the record
/// does not say whether it does is asked where that decides.
fn shared(ctx: &Ctx<'_>, rule: &Rule, at: &Judged<'_>) -> Option<Finding> {
    let (body, across) = (&at.item.body, at.item.body.across.get()?);
    let said = body.shared.get().map(|said| said.yes());
    if at.kind != AccessKind::Manhole || said == Some(false) {
        return None;
    }
    let ask = |key: Key<Length>| ctx.rulebook.ask(key, &Facts::new());
    let (length, width) =
        (ask(key::ACCESS_MANHOLE_SHARED_LENGTH_MINIMUM), ask(key::ACCESS_MANHOLE_SHARED_WIDTH_MINIMUM));
    let (long, short) = (across.a.max(across.b.unwrap_or(across.a)), across.a.min(across.b.unwrap_or(across.a)));
    let fits = |answer: &Answer<Length>, side: Length| answer.limit().is_none_or(|limit| limit.met_by(&side));
    let does = fits(&length, long) && (across.b.is_none() || fits(&width, short));
    let subject = Subject {
        id: at.item.id.clone(),
        span: body.across.span,
        planned: stage_of(&body.stage) == Stage::Planned,
        field: format!("access.{}.shared", at.item.id),
        rule,
    };
    let wanted = Measure::Missing("whether it serves more than one property".to_owned());
    let mut out = match said {
        None if does => return None,
        None => hold(&subject, &wanted, &length, |_: &Length, _| (String::new(), String::new())),
        Some(_) if fits(&length, long) && across.b.is_some() => side_against(ctx, &subject, at, &width, Some(short)),
        Some(_) => side_against(ctx, &subject, at, &length, Some(long)),
    };
    if let (Some(a), Some(b), true) = (length.limit(), width.limit(), across.b.is_some()) {
        out.limit = format!("{}\u{a0}\u{d7}\u{a0}{}\u{a0}mm", a.value.millimetres(), b.value.millimetres());
    }
    Some(out)
}

fn own_size(ctx: &Ctx<'_>, subject: Subject<'_>, at: &Judged<'_>) -> Finding {
    let item = at.item;
    let Some(known) = at.depth else { return for_depth(ctx, &subject, at, None) };
    let found = for_depth(ctx, &subject, at, Some(known.value));
    // A depth that may lie on either side of an edge has to do for both lines.
    let agree = [known.value - known.half, known.value + known.half]
        .into_iter()
        .all(|depth| for_depth(ctx, &subject, at, Some(depth)).verdict == found.verdict);
    if agree {
        return found;
    }
    let mut out = for_depth(ctx, &subject, at, Some(known.value + known.half));
    let subject = Subject { field: depth_field(item), ..subject };
    unsettled(&mut out, &subject, "its depth so closely that one line of the table is left".to_owned());
    out
}

/// Depth from cover to invert or, of a manhole, to the soffit of the pipe that leaves it; where its bore is not known, to
/// the invert all the same, which is a little more. A depth that is only believed chooses no line.
fn depth(ctx: &Ctx<'_>, position: usize, kind: AccessKind) -> Option<Known<Length>> {
    let depth = ctx.computed.depths.get(position).copied().flatten().filter(|d| !d.believed())?;
    if kind != AccessKind::Manhole {
        return Some(depth);
    }
    let leaving = ctx.network.leaving.get(position).copied().flatten();
    let bore = leaving.and_then(|leg| ctx.network.legs.get(leg)?.bore).unwrap_or(Length::ZERO);
    Some(depth.map(|d| d - bore))
}

/// The field that is wanting: the size, then the depth, then that of a pipe.
fn field(ctx: &Ctx<'_>, at: &Judged<'_>) -> String {
    let across = format!("access.{}.across", at.item.id);
    if at.item.body.across.get().is_none() {
        return across;
    }
    if at.depth.is_none() && at.kind != AccessKind::RoddingEye {
        return depth_field(at.item);
    }
    if at.kind != AccessKind::Manhole || largest(ctx, at.position).is_some() {
        return across;
    }
    let pipe = meeting(ctx, at.position).find(|leg| leg.nominal.is_none());
    match pipe.and_then(|leg| ctx.record.pipes.at(leg.pipe)) {
        Some(pipe) => format!("pipes.{}.size", pipe.id),
        None => "pipes".to_owned(),
    }
}

fn depth_field(item: &Item<Access>) -> String {
    let key = if item.body.cover.get().is_none() { "cover" } else { "il-out" };
    format!("access.{}.{key}", item.id)
}

/// The pipes that meet in an access point.
fn meeting<'a>(ctx: &Ctx<'a>, position: usize) -> impl Iterator<Item = &'a crate::network::legs::Leg> {
    let here = End::Access(position);
    ctx.network.legs.iter().filter(move |leg| leg.ends.from == here || leg.ends.to == here)
}

/// The size of the largest pipe that meets there; `None` while one of them, or all, are not known.
fn largest(ctx: &Ctx<'_>, position: usize) -> Option<Nominal> {
    let sizes: Option<Vec<Nominal>> = meeting(ctx, position).map(|leg| leg.nominal).collect();
    sizes?.into_iter().max()
}

/// Holds both sides against the lines for one depth; the worse finding stands, with both limits.
fn for_depth(ctx: &Ctx<'_>, subject: &Subject<'_>, at: &Judged<'_>, depth: Option<Length>) -> Finding {
    let manhole = at.kind == AccessKind::Manhole;
    let (length, width) = match manhole {
        true => (key::ACCESS_MANHOLE_LENGTH_MINIMUM, key::ACCESS_MANHOLE_WIDTH_MINIMUM),
        false => (key::ACCESS_CHAMBER_LENGTH_MINIMUM, key::ACCESS_CHAMBER_WIDTH_MINIMUM),
    };
    let across = at.item.body.across.get();
    let shape = across.map(|a| if a.b.is_some() { "rectangular" } else { "round" });
    let facts = Facts::new().with(Fact::Shape, shape).with(Fact::Depth, depth);
    let facts = match manhole {
        true => facts.with(Fact::Size, largest(ctx, at.position)),
        false => facts.with(Fact::AccessKind, word(at.kind)),
    };
    let sides = across.map(|a| (a.a.max(a.b.unwrap_or(a.a)), a.b.map(|b| b.min(a.a))));
    let held = |key: Key<Length>, side: Option<Length>| {
        let answer = ctx.rulebook.ask(key, &facts);
        (side_against(ctx, subject, at, &answer, side), answer.limit().map(|l| l.value))
    };
    let (mut found, most) = held(length, sides.map(|s| s.0));
    if found.citation.is_none() {
        // The table is known, though not which line of it.
        let line = facts.clone().with(Fact::Shape, "round").with(Fact::Depth, Length::ZERO);
        let line = if manhole { line.with(Fact::Size, Nominal(100)) } else { line };
        cite(&mut found, ctx.rulebook.ask(length, &line).citation());
        found.recalled = false;
    }
    let Some((_, Some(shorter))) = sides else {
        if let Some(most) = most {
            found.limit = format!("{}\u{a0}mm across", most.millimetres());
        }
        return found;
    };
    let (other, least) = held(width, Some(shorter));
    if other.verdict < found.verdict {
        found = other;
    }
    if let (Some(most), Some(least)) = (most, least) {
        found.limit = format!("{}\u{a0}\u{d7}\u{a0}{}\u{a0}mm", most.millimetres(), least.millimetres());
    }
    found
}

fn side_against(
    ctx: &Ctx<'_>,
    subject: &Subject<'_>,
    at: &Judged<'_>,
    answer: &Answer<Length>,
    side: Option<Length>,
) -> Finding {
    let measure = match (side, at.item.body.across.get()) {
        (Some(side), Some(across)) => Measure::length(Known::exact(side, how(ctx, at.item)), words(across, at)),
        _ => Measure::Missing("its size across".to_owned()),
    };
    let mut out = hold(subject, &measure, answer, |limit: &Length, found| {
        let short = (*limit - *found).millimetres();
        let text = format!("{short}\u{a0}mm too small for so deep a drain to be reached and cleared");
        (text, format!("one of {}\u{a0}mm or more there", limit.millimetres()))
    });
    if matches!(answer, Answer::NotPermitted(_)) {
        out.text = "too deep for a fitting by itself: there is no room to work in".to_owned();
        out.remedy = Some(crate::base::finding::Remedy {
            field: Some(subject.field.clone()),
            change: None,
            text: "an inspection chamber in its place, or round it".to_owned(),
        });
    }
    out
}

/// Believed, when its size or what it is is only believed.
fn how(ctx: &Ctx<'_>, item: &Item<Access>) -> How {
    let size = ctx.record.how(&item.body.across);
    if ctx.record.how(&item.body.what) == How::Believed { How::Believed } else { size }
}

/// `450 mm, 0.99 m deep`.
fn words(across: &Across, at: &Judged<'_>) -> String {
    let to = if at.kind == AccessKind::Manhole { "to soffit" } else { "deep" };
    match at.depth {
        Some(depth) => format!("{}, {}\u{a0}m {to}", across.words, depth.value.metres(2)),
        None => across.words.clone(),
    }
}

fn word(kind: AccessKind) -> &'static str {
    match kind {
        AccessKind::SmallFitting => "small access fitting",
        AccessKind::LargeFitting => "large access fitting",
        AccessKind::InspectionChamber => "inspection chamber",
        AccessKind::Manhole => "manhole",
        AccessKind::RoddingEye => "rodding eye",
        AccessKind::Gully => "gully",
    }
}
