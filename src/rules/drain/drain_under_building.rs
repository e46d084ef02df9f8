//! A drain under a building lies in a soft surround, and can follow a ground that settles more than usual.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Weight;
use crate::base::known::Known;
use crate::base::units::Length;
use crate::record::ground::BedSpec;
use crate::record::ground::bed_of;
use crate::record::ground::bed_path;
use crate::record::pipework::Pipe;
use crate::record::quantity::Measure as Written;
use crate::record::sections::Item;
use crate::record::value::Field;
use crate::record::words::Surface;
use crate::record::words::YesNo;
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
    id: RuleId("drain-under-building"),
    title: "Drain under a building",
    weight: Weight::Clause,
    due: Moment::BeforeCover,
    keys: &[key::DRAIN_UNDER_BUILDING_SURROUND_MINIMUM.path(), key::DRAIN_UNDER_BUILDING_SETTLEMENT.path()],
    check,
};

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    let under = ctx.new_drains().filter(|(_, item)| item.body.surface.get() == Some(&Surface::Building));
    under.filter_map(|(leg, item)| judge(ctx, rule, leg, item)).collect()
}

fn judge(ctx: &Ctx<'_>, rule: &Rule, leg: usize, item: &Item<Pipe>) -> Option<Finding> {
    let mut all = Vec::new();
    // Concrete that is one with the slab stands in for the soft surround; it is judged with the cover.
    if !laid::in_concrete(ctx.record, item) {
        all.extend(surround(ctx, rule, leg, item));
    }
    all.push(settlement(ctx, rule, item));
    governing(all)
}

/// Stone under, over and at both sides.
fn surround(ctx: &Ctx<'_>, rule: &Rule, leg: usize, item: &Item<Pipe>) -> Vec<Finding> {
    let spec = bed_of(ctx.record, item).map(|(_, spec)| spec);
    let of = |key: &'static str, place: &'static str, field: fn(&BedSpec) -> &Field<Written>| {
        let field = spec.map(field);
        let how = field.map_or(crate::base::known::How::Stated, |f| ctx.record.how(f));
        // A surround is laid to its depth, not read off to the last digit.
        let said = field.and_then(Field::get).map(|m| Known::exact(m.value, how));
        let none = field.is_some_and(Field::is_none).then_some(Known::exact(Length::ZERO, how));
        (key, place, said.or(none))
    };
    let mut sides = of("sides", "at its sides", |b| &b.sides);
    sides.2 = sides.2.or_else(|| between(ctx, leg, item));
    let all = [of("under", "under it", |b| &b.under), of("over", "over it", |b| &b.over), sides];
    all.into_iter().map(|(key, place, found)| thick(ctx, rule, item, (key, place), found)).collect()
}

/// What is left at each side of the pipe in its trench, where that is filled with its stone over its whole width.
fn between(ctx: &Ctx<'_>, leg: usize, item: &Item<Pipe>) -> Option<Known<Length>> {
    let width = item.body.trench_width.get()?;
    let outside = ctx.network.legs.get(leg)?.outside?;
    let value = Length::from_um((width.value - outside).um() / 2);
    Some(Known { value, half: width.half, how: ctx.record.how(&item.body.trench_width) })
}

fn thick(
    ctx: &Ctx<'_>,
    rule: &Rule,
    item: &Item<Pipe>,
    (key, place): (&str, &str),
    found: Option<Known<Length>>,
) -> Finding {
    let field = bed_path(ctx.record, item, key);
    let subject = Subject { field, ..laid::subject(item, rule, key, &item.body.bed) };
    let measure = match found {
        Some(found) => Measure::length(found, format!("{}\u{a0}mm {place}", found.value.millimetres())),
        None => Measure::Missing(format!("how thick its surround is {place}")),
    };
    let answer = ctx.rulebook.ask(key::DRAIN_UNDER_BUILDING_SURROUND_MINIMUM, &Facts::new());
    let mut out = hold(&subject, &measure, &answer, |limit: &Length, found| {
        let short = (*limit - *found).millimetres();
        let text = format!("{short}\u{a0}mm too little stone {place} to keep the building off it");
        (text, format!("{short}\u{a0}mm more stone {place}"))
    });
    out.limit = format!("{} {place}", out.limit);
    out
}

/// Where more settlement than usual is expected it has more joints, or hangs from the building.
fn settlement(ctx: &Ctx<'_>, rule: &Rule, item: &Item<Pipe>) -> Finding {
    let field = &item.body.settlement;
    let how = ctx.record.how(field);
    let yes = |f: &Field<YesNo>| f.get().map(|yes| (yes.yes(), ctx.record.how(f)));
    let measure = match field.get() {
        _ if field.is_none() => Measure::plain(true, how, "no more settlement than usual expected"),
        Some(s) => match (yes(&s.extra_joints), yes(&s.suspended)) {
            (Some((true, how)), _) => Measure::plain(true, how, "more flexible joints"),
            (_, Some((true, how))) => Measure::plain(true, how, "hung from the building"),
            (Some(_), Some(_)) => Measure::plain(false, how, "no more joints, and not hung"),
            _ => Measure::Missing("how it follows the ground that settles: by more joints, or hung".to_owned()),
        },
        None => Measure::Missing("whether the ground may settle more than usual".to_owned()),
    };
    let answer = ctx.rulebook.ask(key::DRAIN_UNDER_BUILDING_SETTLEMENT, &Facts::new());
    let subject = laid::subject(item, rule, "settlement", field);
    let mut out = hold(&subject, &measure, &answer, |_: &bool, _| {
        let text = "when the ground sinks the pipe is pulled apart, under the floor";
        (text.to_owned(), "more flexible joints, or a drain hung from the building".to_owned())
    });
    out.limit = "more joints, or hung, where the ground settles".to_owned();
    out
}
