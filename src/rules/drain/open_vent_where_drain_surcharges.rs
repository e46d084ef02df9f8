//! A drain that may fill up, or that an intercepting trap shuts off from the sewer's air, has an open vent, not a valve.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Weight;
use crate::base::known::How;
use crate::base::units::Cover;
use crate::base::units::Length;
use crate::compute::heads::Air;
use crate::compute::order::downstream_first;
use crate::network::ends::End;
use crate::network::height::Height;
use crate::network::kind::Kind;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;
use crate::record::words::Stage;
use crate::rulebook::Facts;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::at_risk;
use crate::rules::driver::Measure;
use crate::rules::driver::Subject;
use crate::rules::driver::hold;

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("open-vent-where-drain-surcharges"),
    title: "Open vent on a drain that may fill up",
    weight: Weight::Clause,
    due: Moment::Completion,
    keys: &[key::DRAIN_OPEN_VENT.path()],
    check,
};

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    let trapped = trapped(ctx);
    let fills = at_risk::surcharges(ctx);
    if !fills && trapped.iter().all(Option::is_none) {
        return Vec::new();
    }
    let drains = ctx.foul_drains().filter_map(|(leg, item)| {
        let why = match trapped.get(leg).copied().flatten() {
            Some(access) => format!("above the trap in {}", ctx.record.access.at(access).map_or("", |a| a.id.as_str())),
            None if fills && !stays_dry(ctx, leg) => "where the sewer may back up".to_owned(),
            None => return None,
        };
        judge(ctx, rule, leg, item, &why)
    });
    drains.collect()
}

/// For each leg, the first access point below it that holds an intercepting trap.
fn trapped(ctx: &Ctx<'_>) -> Vec<Option<usize>> {
    let network = ctx.network;
    let mut found: Vec<Option<usize>> = vec![None; network.legs.len()];
    let holds = |a: usize| ctx.record.access.at(a).is_some_and(|a| a.body.interceptor.get().is_some_and(|w| w.yes()));
    for leg in downstream_first(network) {
        let here = match network.legs.get(leg).map(|l| l.ends.to) {
            Some(End::Access(a)) if holds(a) => Some(a),
            _ => None,
        };
        let below = || network.downstream(leg).and_then(|next| found.get(next).copied().flatten());
        let first = here.or_else(below);
        if let Some(slot) = found.get_mut(leg) {
            *slot = first;
        }
    }
    found
}

/// Whether a drain surely lies above the level up to which the water may stand.
fn stays_dry(ctx: &Ctx<'_>, leg: usize) -> bool {
    let flood: Option<Height<Cover>> = ctx.network.height(&ctx.record.site.flood_level, None);
    let lower = ctx.network.solved(leg).down;
    let above = lower.zip(flood).and_then(|(lower, flood)| lower.above(&flood));
    above.is_some_and(|up| up.how != How::Believed && up.value - up.half >= Length::ZERO)
}

/// A drain with a stack at its head: what stands on that. A drain without one is ventilated by others, or by none.
fn judge(ctx: &Ctx<'_>, rule: &Rule, leg: usize, item: &Item<Pipe>, why: &str) -> Option<Finding> {
    let legs = &ctx.network.legs;
    let End::Pipe(stack) = legs.get(leg)?.ends.from else { return None };
    legs.get(stack).filter(|l| l.derived.kind == Kind::Stack)?;
    let head = ctx.computed.heads.get(leg).and_then(Option::as_ref)?;
    let name = ctx.network.id(stack);
    let mut planned = item.body.stage_now() == Stage::Planned;
    let measure = match head.air.better(head.along) {
        Air::Vent { terminal, planned: later, how, .. } => {
            planned |= later;
            let terminal = ctx.record.terminals.at(terminal).map_or("", |t| t.id.as_str());
            Measure::plain(true, how, format!("open at {terminal}, {why}"))
        }
        Air::Shut { how, .. } => Measure::plain(false, how, format!("{name} lets no air out, {why}")),
        Air::Open { .. } | Air::Unknown { .. } | Air::None => Measure::Missing(format!("what stands on top of {name}")),
    };
    let field = format!("pipes.{name}.top");
    let subject = Subject { id: item.id.clone(), span: item.id_span, planned, field, rule };
    let answer = ctx.rulebook.ask(key::DRAIN_OPEN_VENT, &Facts::new());
    let mut out = hold(&subject, &measure, &answer, |_: &bool, _| {
        let text = "when the drain fills, the air in it has no way out but through the traps";
        (text.to_owned(), "an open ventilating pipe on it; an air admittance valve will not do".to_owned())
    });
    out.limit = "open vent".to_owned();
    Some(out)
}
