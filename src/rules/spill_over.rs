//! How high something stands above the level at which appliances spill over.

use crate::base::known::Known;
use crate::base::units::Length;
use crate::base::units::Spot;
use crate::network::height::Height;
use crate::record::facts::kind_of;
use crate::record::facts::stage_of;
use crate::record::pipework::Appliance;
use crate::record::sections::Item;
use crate::record::words::ApplianceKind;
use crate::record::words::Stage;
use crate::rules::Ctx;

/// The least height of something above the spill-over levels that are known, and what keeps another from being known.
#[derive(Clone, Debug, Default)]
pub struct Above<'a> {
    /// The height above the highest of them, and the appliance.
    pub least: Option<(Known<Length>, &'a str)>,
    /// What is missing, and the field that would settle it.
    pub lack: Option<(String, String)>,
}

/// The appliances whose water comes through a leg; one that shares another's trap spills over there.
pub fn through<'a>(ctx: &Ctx<'a>, leg: usize) -> Vec<&'a Item<Appliance>> {
    let comes = |at: &usize| {
        let down = std::iter::successors(Some(*at), |at| ctx.network.downstream(*at));
        down.take(ctx.network.legs.len()).any(|at| at == leg)
    };
    let own_trap = |a: &Item<Appliance>| a.body.into.get().is_none();
    let there = |a: &Item<Appliance>| !a.broken && own_trap(a) && stage_of(&a.body.stage) != Stage::Removed;
    let all = ctx.record.appliances.iter().zip(&ctx.computed.outlets);
    all.filter(|(a, legs)| there(a) && legs.iter().any(comes)).map(|(a, _)| a).collect()
}

/// The floor that an appliance stands on.
pub fn floor(ctx: &Ctx<'_>, appliance: &Item<Appliance>) -> Option<Height<Spot>> {
    ctx.network.height(&appliance.body.floor, None)
}

/// Those of some appliances that may spill over highest: a pan, a tray or a bath does not where a basin or a sink
/// stands on the same floor or higher.
pub fn highest<'a>(ctx: &Ctx<'_>, all: &[&'a Item<Appliance>]) -> Vec<&'a Item<Appliance>> {
    let high = |a: &Item<Appliance>| matches!(kind_of(a), Some(ApplianceKind::Basin | ApplianceKind::Sink));
    let low = |a: &Item<Appliance>| {
        let kind = kind_of(a);
        matches!(kind, Some(ApplianceKind::Wc | ApplianceKind::Bath | ApplianceKind::Shower | ApplianceKind::Bidet))
    };
    let outdone = |a: &Item<Appliance>| {
        let own = floor(ctx, a);
        let over = |b: &&Item<Appliance>| {
            let up = floor(ctx, b).zip(own).and_then(|(theirs, own)| theirs.above(&own));
            high(b) && up.is_some_and(|up| up.value >= Length::ZERO && !up.believed())
        };
        low(a) && all.iter().any(over)
    };
    all.iter().copied().filter(|a| !outdone(a)).collect()
}

/// Holds a place against each spill-over level; `over` gives its height above a floor, `own` the field of its level.
pub fn above<'a>(
    ctx: &Ctx<'_>,
    appliances: &[&'a Item<Appliance>],
    own: &str,
    over: impl Fn(&Height<Spot>) -> Option<Known<Length>>,
) -> Above<'a> {
    let mut out = Above::default();
    for item in appliances {
        let id = item.id.as_str();
        let overflow = &item.body.overflow;
        let lack = match (overflow.get(), floor(ctx, item)) {
            (None, _) => (format!("how high {id} spills over"), format!("appliances.{id}.overflow")),
            (Some(_), None) => (format!("the level of the floor of {id}"), format!("appliances.{id}.floor")),
            (Some(rim), Some(floor)) => match over(&floor) {
                None => (format!("its level over the floor of {id}"), own.to_owned()),
                Some(up) => {
                    let how = up.how.with(ctx.record.how(overflow));
                    let known = Known { value: up.value - rim.value, half: up.half + rim.half, how };
                    if out.least.is_none_or(|(least, _)| known.value < least.value) {
                        out.least = Some((known, id));
                    }
                    continue;
                }
            },
        };
        out.lack.get_or_insert(lack);
    }
    out
}

/// "0.24 m above the spill-over of SK1", or below it.
pub fn words(known: &Known<Length>, id: &str) -> String {
    if known.value < Length::ZERO {
        format!("{}\u{a0}m below the spill-over of {id}", (-known.value).metres(2))
    } else {
        format!("{}\u{a0}m above the spill-over of {id}", known.value.metres(2))
    }
}
