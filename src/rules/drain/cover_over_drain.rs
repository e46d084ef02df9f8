//! A drain lies as deep as the guidance asks for its material and for what passes over it, or it is protected.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Verdict;
use crate::base::finding::Weight;
use crate::base::known::How;
use crate::base::known::Known;
use crate::base::units::Length;
use crate::compute::cover;
use crate::record::pipework::Bed;
use crate::record::pipework::BedSpec;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;
use crate::record::words::Surface;
use crate::rulebook::Answer;
use crate::rulebook::Fact;
use crate::rulebook::Facts;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::driver::Measure;
use crate::rules::driver::Subject;
use crate::rules::driver::cite;
use crate::rules::driver::hold;
use crate::rules::driver::unsettled;
use crate::rules::laid;

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("cover-over-drain"),
    title: "Cover over a drain, or protection",
    weight: Weight::Clause,
    due: Moment::BeforeCover,
    check,
};

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    ctx.new_drains().map(|(leg, item)| judge(ctx, rule, leg, item)).collect()
}

fn judge(ctx: &Ctx<'_>, rule: &Rule, leg: usize, item: &Item<Pipe>) -> Finding {
    let body = &item.body;
    let certain = |how: How| how != How::Believed;
    let surface = body.surface.get().filter(|_| certain(ctx.record.how(&body.surface)));
    let material = body.material.get().filter(|_| certain(ctx.record.how(&body.material)));
    let material = material.and_then(|m| class(&m.0));
    let facts = Facts::new()
        .with(Fact::PipeMaterial, material.filter(|m| *m != OTHER))
        .with(Fact::Surface, surface.map(|s| s.word()));
    let key = match (material, surface) {
        (None, _) => "material",
        (_, None) => "surface",
        _ => "least-cover",
    };
    let subject =
        Subject { field: format!("pipes.{}.{key}", item.id), ..laid::subject(item, rule, key, &body.least_cover) };
    let found = least(ctx, leg, body);
    let measure = match found {
        Some((cover, ref place, _)) => {
            let over = surface.map_or(String::new(), |s| format!(", {}", under(*s)));
            Measure::length(cover, format!("{}\u{a0}m{place}{over}", cover.value.metres(2)))
        }
        None => Measure::Missing("how deep it lies under the ground all along".to_owned()),
    };
    if material == Some(OTHER) {
        // No table for it: the rule says nothing.
        return crate::rules::driver::finding(&subject, Verdict::NotApplicable);
    }
    let answer = ctx.rulebook.ask(key::DRAIN_COVER_MINIMUM, &facts);
    let mut out = held(ctx, &subject, &measure, &answer, item);
    if out.verdict == Verdict::Met && found.is_some_and(|(_, _, whole)| !whole) {
        let subject = Subject { field: format!("pipes.{}.ground-line", item.id), ..subject.clone() };
        unsettled(&mut out, &subject, "the ground over all of it, from end to end".to_owned());
    }
    if out.citation.is_none() {
        // Which line of the tables holds is not known; all of them stand in one place.
        let any = Facts::new().with(Fact::PipeMaterial, "plastic").with(Fact::Surface, Surface::Garden.word());
        cite(&mut out, ctx.rulebook.ask(key::DRAIN_COVER_MINIMUM, &any).citation());
    }
    out
}

/// Holds the cover; where it is too little, what protects the drain is asked for.
fn held(
    ctx: &Ctx<'_>,
    subject: &Subject<'_>,
    measure: &Measure<Length>,
    answer: &Answer<Length>,
    item: &Item<Pipe>,
) -> Finding {
    let mut out = hold(subject, measure, answer, |limit: &Length, found| {
        let short = (*limit - *found).metres(2);
        (format!("{short}\u{a0}m too shallow, and nothing is recorded that protects it"), remedy(item))
    });
    let shallow = match (answer.limit(), measure) {
        (Some(limit), Measure::Is { low, .. }) => !limit.met_by(low),
        _ => false,
    };
    if !shallow {
        return out;
    }
    match protection(ctx, item) {
        Protection::By(words, how) => {
            out.verdict = Verdict::Met;
            out.inside_spread = false;
            (out.text, out.remedy) = (String::new(), None);
            out.measured = format!("{}, {words}", out.measured);
            out.limit = format!("{}, or protection", out.limit);
            if how == How::Believed {
                unsettled(
                    &mut out,
                    &protected_by(subject, item),
                    "what protects it, which is only believed".to_owned(),
                );
            }
        }
        Protection::Unknown if out.verdict == Verdict::NotMet => {
            unsettled(&mut out, &protected_by(subject, item), "what protects it where it lies shallow".to_owned());
        }
        Protection::Unknown | Protection::None => {}
    }
    out
}

fn protected_by<'a>(subject: &Subject<'a>, item: &Item<Pipe>) -> Subject<'a> {
    Subject { field: format!("pipes.{}.protection", item.id), ..subject.clone() }
}

enum Protection {
    By(String, How),
    Unknown,
    None,
}

fn protection(ctx: &Ctx<'_>, item: &Item<Pipe>) -> Protection {
    let own = &item.body.protection;
    if let Some(words) = own.get() {
        return Protection::By(words.0.clone(), ctx.record.how(own));
    }
    if let Some(concrete) = bed(ctx, item).map(|b| &b.concrete).filter(|c| c.get().is_some()) {
        let words = concrete.get().map_or("", |w| w.0.as_str());
        return Protection::By(format!("concrete: {words}"), ctx.record.how(concrete));
    }
    if own.is_unknown() { Protection::Unknown } else { Protection::None }
}

/// Bed and surround of a drain, by way of the one it is the same as.
fn bed<'a>(ctx: &Ctx<'a>, item: &'a Item<Pipe>) -> Option<&'a BedSpec> {
    let mut item = item;
    for _ in 0..=ctx.record.pipes.len() {
        match item.body.bed.get()? {
            Bed::Is(spec) => return Some(spec),
            Bed::As(other) => item = ctx.record.pipes.get(other)?,
        }
    }
    None
}

fn remedy(item: &Item<Pipe>) -> String {
    let plastic = item.body.material.get().and_then(|m| class(&m.0)) == Some("plastic");
    let road = matches!(item.body.surface.get(), Some(Surface::Drive | Surface::Road));
    match (plastic, road) {
        (true, false) => "a concrete slab over a cushion of stone, bearing on firm ground at both sides".to_owned(),
        (true, true) => "reinforced concrete over it or round it".to_owned(),
        _ => "concrete round it, with movement joints".to_owned(),
    }
}

/// What the tables have no column for.
const OTHER: &str = "other";

/// The class of a material as the tables have it; `None` when the words do not tell.
fn class(words: &str) -> Option<&'static str> {
    let words = words.to_ascii_lowercase();
    let is = |list: &[&str]| list.iter().any(|word| words.contains(word));
    if is(&["clay"]) {
        Some("clay")
    } else if is(&["concrete"]) {
        Some("concrete")
    } else if is(&["pvc", "plastic", "pp", "pe", "polyprop", "polyeth"]) {
        Some("plastic")
    } else if is(&["iron", "steel"]) {
        Some(OTHER)
    } else {
        None
    }
}

fn under(surface: Surface) -> &'static str {
    match surface {
        Surface::Field => "under a field",
        Surface::Garden => "under a garden",
        Surface::Drive => "under a drive",
        Surface::Road => "under a road",
        Surface::Building => "under a building",
    }
}

/// The least cover: as recorded, else from the ground line and the covers of the chambers at both ends, between which the
/// ground is taken as even; where that is, when a ground line tells; and whether the ground is known from end to end.
fn least(ctx: &Ctx<'_>, leg: usize, body: &Pipe) -> Option<(Known<Length>, String, bool)> {
    if let Some(m) = body.least_cover.get() {
        let how = ctx.record.how(&body.least_cover);
        return Some((Known { value: m.value, half: m.half, how }, String::new(), true));
    }
    let found = cover::least(ctx.network, leg)?;
    let surveyed = body.ground_line.get().is_some();
    let place = if surveyed { format!(" at {}\u{a0}m along", found.at.metres(2)) } else { String::new() };
    (surveyed || found.whole).then_some((found.cover, place, found.whole))
}
