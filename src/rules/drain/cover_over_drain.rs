//! A drain lies as deep as the guidance asks for its material and for what passes over it, and no deeper than its tables
//! go; or it is protected, or designed by calculation.

mod design;
mod protection;

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Verdict;
use crate::base::finding::Weight;
use crate::base::known::How;
use crate::base::known::Known;
use crate::base::units::Length;
use crate::compute::cover;
use crate::record::ground::bed_of;
use crate::record::ground::bed_path;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;
use crate::record::words::BedClass;
use crate::record::words::Surface;
use crate::rulebook::Answer;
use crate::rulebook::Fact;
use crate::rulebook::Facts;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::drain::cover_over_drain::protection::protect;
use crate::rules::driver::Measure;
use crate::rules::driver::Subject;
use crate::rules::driver::cite;
use crate::rules::driver::governing;
use crate::rules::driver::hold;
use crate::rules::driver::unsettled;
use crate::rules::laid;
use crate::rules::laid::OTHER;
use crate::rules::laid::class;

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("cover-over-drain"),
    title: "Cover over a drain, or protection",
    weight: Weight::Clause,
    due: Moment::BeforeCover,
    keys: &[
        key::DRAIN_COVER_MINIMUM.path(),
        key::DRAIN_COVER_MAXIMUM.path(),
        key::DRAIN_PROTECTION_ENCASEMENT_MINIMUM.path(),
        key::DRAIN_PROTECTION_WITH_SLAB.path(),
        key::DRAIN_PROTECTION_CUSHION_MINIMUM.path(),
        key::DRAIN_PROTECTION_BEARING_MINIMUM.path(),
        key::DRAIN_PROTECTION_REINFORCED.path(),
    ],
    check,
};

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    ctx.new_drains().filter_map(|(leg, item)| judge(ctx, rule, leg, item)).collect()
}

/// A drain with what the tables go by; what is only believed is not known.
struct Lying<'a> {
    item: &'a Item<Pipe>,
    leg: usize,
    rule: &'a Rule,
    material: Option<&'static str>,
    surface: Option<Surface>,
}

fn judge(ctx: &Ctx<'_>, rule: &Rule, leg: usize, item: &Item<Pipe>) -> Option<Finding> {
    let body = &item.body;
    let certain = |how: How| how != How::Believed;
    let surface = body.surface.get().filter(|_| certain(ctx.record.how(&body.surface))).copied();
    let material = body.material.get().filter(|_| certain(ctx.record.how(&body.material)));
    let material = material.and_then(|m| class(&m.0));
    let lying = Lying { item, leg, rule, material, surface };
    if material == Some(OTHER) {
        // No table for it: the rule says nothing.
        let subject = laid::subject(item, rule, "material", &body.material);
        return Some(crate::rules::driver::finding(&subject, Verdict::NotApplicable));
    }
    let shallow = shallow(ctx, &lying);
    // Material and surface are asked for once.
    if material.is_none() || surface.is_none() {
        return Some(shallow);
    }
    let all = [Some(shallow), Some(deep(ctx, &lying)), weak_bed(ctx, &lying)];
    let mut all: Vec<Finding> = all.into_iter().flatten().collect();
    // Among equals what is met by protection or by calculation is told first.
    all.sort_by_key(|f| !f.limit.contains(", or "));
    governing(all)
}

impl Lying<'_> {
    fn facts(&self) -> Facts {
        Facts::new().with(Fact::PipeMaterial, self.material).with(Fact::Surface, self.surface.map(|s| s.word()))
    }

    fn under(&self) -> String {
        self.surface.map_or(String::new(), |s| format!(", {}", under(s)))
    }

    fn rigid(&self) -> bool {
        matches!(self.material, Some("clay" | "concrete"))
    }
}

fn shallow(ctx: &Ctx<'_>, lying: &Lying<'_>) -> Finding {
    let (item, body) = (lying.item, &lying.item.body);
    let key = match (lying.material, lying.surface) {
        (None, _) => "material",
        (_, None) => "surface",
        _ => "least-cover",
    };
    let subject = Subject {
        field: format!("pipes.{}.{key}", item.id),
        ..laid::subject(item, lying.rule, key, &body.least_cover)
    };
    let found = covers(ctx, lying.leg, body)[0].clone();
    let measure = match &found {
        Some((cover, place, _)) => {
            Measure::length(*cover, format!("{}\u{a0}m{place}{}", cover.value.metres(2), lying.under()))
        }
        None => Measure::Missing("how deep it lies under the ground all along".to_owned()),
    };
    let answer = ctx.rulebook.ask(key::DRAIN_COVER_MINIMUM, &lying.facts());
    let mut out = held(ctx, &subject, &measure, &answer, lying);
    over_all(&subject, item, found.as_ref(), &mut out);
    if out.citation.is_none() {
        // Which line of the tables holds is not known; all of them stand in one place.
        let any = Facts::new().with(Fact::PipeMaterial, "plastic").with(Fact::Surface, Surface::Garden.word());
        cite(&mut out, ctx.rulebook.ask(key::DRAIN_COVER_MINIMUM, &any).citation());
    }
    out
}

/// Holds the cover; where it is too little, what protects the drain is asked for, then a design.
fn held(
    ctx: &Ctx<'_>,
    subject: &Subject<'_>,
    measure: &Measure<Length>,
    answer: &Answer<Length>,
    lying: &Lying<'_>,
) -> Finding {
    let mut out = hold(subject, measure, answer, |limit: &Length, found| {
        let short = (*limit - *found).metres(2);
        (format!("{short}\u{a0}m too shallow, and nothing is recorded that protects it"), remedy(lying))
    });
    let shallow = match (answer.limit(), measure) {
        (Some(limit), Measure::Is { low, .. }) => !limit.met_by(low),
        _ => false,
    };
    if !shallow {
        return out;
    }
    if let Some(guard) = lying.surface.and_then(|surface| protect(ctx, subject, lying.item, lying.rigid(), surface)) {
        let by_itself = out.verdict == Verdict::Met;
        if guard.verdict == Verdict::Met || !by_itself {
            out.verdict = guard.verdict;
            out.inside_spread = guard.inside_spread;
            out.measured =
                [out.measured, guard.measured].into_iter().filter(|s| !s.is_empty()).collect::<Vec<_>>().join("; ");
            let asked = if guard.limit.is_empty() { "protection".to_owned() } else { guard.limit };
            out.limit = format!("{}, or {asked}", out.limit);
            out.recalled |= guard.recalled;
            (out.text, out.remedy) = (guard.text, guard.remedy);
        }
    }
    design::instead(ctx, subject, lying.item, out)
}

/// No deeper than the tables go for its size.
fn deep(ctx: &Ctx<'_>, lying: &Lying<'_>) -> Finding {
    let (item, body) = (lying.item, &lying.item.body);
    let subject = laid::subject(item, lying.rule, "greatest-cover", &body.greatest_cover);
    let found = covers(ctx, lying.leg, body)[1].clone();
    let measure = match &found {
        Some((cover, place, _)) => {
            Measure::length(*cover, format!("{}\u{a0}m at most{place}{}", cover.value.metres(2), lying.under()))
        }
        None => Measure::Missing("how deep it lies at most".to_owned()),
    };
    let size = body.size.get().map(|s| s.nominal).filter(|_| ctx.record.how(&body.size) != How::Believed);
    let answer = ctx.rulebook.ask(key::DRAIN_COVER_MAXIMUM, &lying.facts().with(Fact::Size, size));
    let mut out = hold(&subject, &measure, &answer, |limit: &Length, found| {
        let over = (*found - *limit).metres(2);
        let text = format!("{over}\u{a0}m deeper than the tables go");
        (text, "a stronger pipe or bed by calculation to BS EN 1295, recorded as `designed`".to_owned())
    });
    over_all(&subject, item, found.as_ref(), &mut out);
    if out.verdict != Verdict::NotApplicable {
        return design::instead(ctx, &subject, item, out);
    }
    // Of sizes that the tables leave out only those larger than a house drain's usual ones are asked about.
    let smallest = crate::base::size::Nominal(100);
    if lying.surface != Some(Surface::Building) && size.is_some_and(|size| size >= smallest) {
        let what = "the calculation by which a drain of a size outside the tables was designed".to_owned();
        unsettled(&mut out, &Subject { field: format!("pipes.{}.designed", item.id), ..subject.clone() }, what);
        let size = size.map_or(String::new(), |size| size.words());
        out.measured = format!("{size} {}", lying.material.unwrap_or_default());
        return design::instead(ctx, &subject, item, out);
    }
    out
}

/// The tables of rigid pipes go for a bed of class B; on one that carries less they do not hold.
fn weak_bed(ctx: &Ctx<'_>, lying: &Lying<'_>) -> Option<Finding> {
    if !lying.rigid() || lying.surface == Some(Surface::Building) || laid::in_concrete(ctx.record, lying.item) {
        return None;
    }
    let item = lying.item;
    let class = bed_of(ctx.record, item).map(|(_, spec)| &spec.class);
    let said = class.and_then(|f| f.get().filter(|_| ctx.record.how(f) != How::Believed)).copied();
    let (what, field) = match said {
        Some(BedClass::B | BedClass::S) => return None,
        Some(weak) => {
            let what = format!("the calculation for a bed of class {}; the tables go for class B", weak.word());
            (what, format!("pipes.{}.designed", item.id))
        }
        None => ("the class of its bed, by which the tables go".to_owned(), bed_path(ctx.record, item, "class")),
    };
    let subject = Subject { field, ..laid::subject(item, lying.rule, "bed", &item.body.bed) };
    let mut out = crate::rules::driver::finding(&subject, Verdict::NotShown);
    let any = lying.facts().with(Fact::Size, crate::base::size::Nominal(300));
    cite(&mut out, ctx.rulebook.ask(key::DRAIN_COVER_MAXIMUM, &any).citation());
    unsettled(&mut out, &subject, what);
    out.measured = said.map_or(String::new(), |class| format!("bed of class {}", class.word()));
    out.limit = "class B".to_owned();
    Some(if said.is_some() { design::instead(ctx, &subject, item, out) } else { out })
}

fn remedy(lying: &Lying<'_>) -> String {
    let road = matches!(lying.surface, Some(Surface::Drive | Surface::Road));
    match (lying.rigid(), lying.surface) {
        (_, Some(Surface::Building)) => "concrete round it that is one with the slab",
        (true, _) => "concrete round it, with movement joints",
        (false, _) if road => "reinforced concrete over it or round it",
        (false, _) => "a concrete slab over a cushion of stone, bearing on firm ground at both sides",
    }
    .to_owned()
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

/// A cover, where it is when a ground line tells, and whether the ground is known from end to end.
type Found = (Known<Length>, String, bool);

/// What is met over part of a drain is not met over all of it.
fn over_all(subject: &Subject<'_>, item: &Item<Pipe>, found: Option<&Found>, out: &mut Finding) {
    if out.verdict == Verdict::Met && found.is_some_and(|(_, _, whole)| !whole) {
        let subject = Subject { field: format!("pipes.{}.ground-line", item.id), ..subject.clone() };
        unsettled(out, &subject, "the ground over all of it, from end to end".to_owned());
    }
}

/// The least and the greatest cover: as recorded, else from the ground line and the covers of the chambers at both ends,
/// between which the ground is taken as even.
fn covers(ctx: &Ctx<'_>, leg: usize, body: &Pipe) -> [Option<Found>; 2] {
    let surveyed = body.ground_line.get().is_some();
    let told = |found: cover::Extreme| {
        let place = if surveyed { format!(" at {}\u{a0}m along", found.at.metres(2)) } else { String::new() };
        (surveyed || found.whole).then_some((found.cover, place, found.whole))
    };
    let [least, greatest] = cover::extremes(ctx.network, leg).map_or([None, None], |found| found.map(told));
    let said = [&body.least_cover, &body.greatest_cover].map(|f| {
        let known = f.get().map(|m| Known { value: m.value, half: m.half, how: ctx.record.how(f) });
        known.map(|known| (known, String::new(), true))
    });
    let [said_least, said_greatest] = said;
    [said_least.or(least), said_greatest.or(greatest)]
}
