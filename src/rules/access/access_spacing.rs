//! From one access point, or the start of a drain, to the next is no further than the guidance allows for their kinds.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Weight;
use crate::base::units::Length;
use crate::compute::spacing::Run;
use crate::network::ends::End;
use crate::record::words::AccessKind;
use crate::record::words::Stage;
use crate::rulebook::Fact;
use crate::rulebook::Facts;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::driver::Measure;
use crate::rules::driver::Subject;
use crate::rules::driver::hold;

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("access-spacing"),
    title: "Length of drain from one access point to the next",
    weight: Weight::Clause,
    due: Moment::BeforeCover,
    check,
};

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    ctx.computed.runs.iter().filter_map(|run| judge(ctx, rule, run)).collect()
}

fn judge(ctx: &Ctx<'_>, rule: &Rule, run: &Run) -> Option<Finding> {
    let item = ctx.record.pipes.at(ctx.network.legs.get(run.first)?.pipe)?;
    // A run that ends in an outfall without an access point in between is another body's to rod.
    if matches!(run.to, End::Outfall(_)) {
        return None;
    }
    let missing = run.missing.map(|leg| ctx.network.id(leg).to_owned());
    let field = match &missing {
        Some(id) => format!("pipes.{id}.length"),
        None => format!("pipes.{}.length", item.id),
    };
    let subject = Subject {
        id: item.id.clone(),
        span: if item.body.length.is_absent() { item.id_span } else { item.body.length.span },
        planned: item.body.stage_now() == Stage::Planned,
        field,
        rule,
    };
    let facts =
        Facts::new().with(Fact::FromKind, kind(ctx, run.from, true)).with(Fact::ToKind, kind(ctx, run.to, false));
    let answer = ctx.rulebook.ask(key::ACCESS_SPACING_MAXIMUM, &facts);
    let ends = format!("{} to {}", name(ctx, run.from), name(ctx, run.to));
    let measure = match (run.length, missing) {
        (Some(l), _) => Measure::length(l, format!("{}\u{a0}m, {ends}", l.value.metres(2))),
        (None, Some(id)) => Measure::Missing(format!("the length, or the place of the join, of {id}")),
        (None, None) => Measure::Missing("where it leads".to_owned()),
    };
    Some(hold(&subject, &measure, &answer, |limit: &Length, found| {
        let over = (*found - *limit).metres(2);
        (format!("{over}\u{a0}m too far for rods between {ends}"), "an access point in between".to_owned())
    }))
}

fn name(ctx: &Ctx<'_>, end: End) -> String {
    let id = ctx.network.end_id(end);
    match end {
        End::Pipe(_) => format!("{id} foot"),
        _ if id.is_empty() => "its end".to_owned(),
        _ => id.to_owned(),
    }
}

/// The word of the table for an end. A chamber's depth decides whether it is a shallow one; without it neither is said.
fn kind(ctx: &Ctx<'_>, end: End, upper: bool) -> Option<&'static str> {
    match end {
        End::Appliance(_) | End::Pipe(_) if upper => Some("start of drain"),
        End::Access(a) => match ctx.record.access.at(a)?.body.what.get()? {
            AccessKind::RoddingEye => Some("rodding eye"),
            AccessKind::SmallFitting => Some("access fitting small"),
            AccessKind::LargeFitting => Some("access fitting large"),
            AccessKind::Manhole => Some("manhole or deep chamber"),
            AccessKind::Gully => Some("access fitting small"),
            AccessKind::InspectionChamber => {
                let depth = ctx.computed.depths.get(a).copied().flatten()?;
                let shallow = ctx.rulebook.ask(key::ACCESS_SHALLOW_DEPTH_MAXIMUM, &Facts::new());
                let shallow = shallow.limit()?.met_by(&(depth.value + depth.half));
                Some(if shallow { "inspection chamber shallow" } else { "manhole or deep chamber" })
            }
        },
        _ => None,
    }
}
