//! Trenches beside foundations: how far off and how deep they are, and how far up the guidance wants them concreted.

use crate::base::known::How;
use crate::base::known::Known;
use crate::base::units::Invert;
use crate::base::units::Length;
use crate::base::units::Spot;
use crate::network::Network;
use crate::network::height::Height;
use crate::network::kind::Kind;
use crate::record::about::Element;
use crate::record::evidence::Penetration;
use crate::record::ground::Bed;
use crate::record::ground::bed_of;
use crate::record::ground::bed_path;
use crate::record::pipework::Pipe;
use crate::record::quantity::Measure as Written;
use crate::record::sections::Item;
use crate::record::value::Field;
use crate::record::words::Stage;
use crate::rulebook::Facts;
use crate::rulebook::Rulebook;
use crate::rulebook::key;

/// A foundation that a trench runs beside, or goes through.
pub struct Near<'a> {
    /// What stands on it.
    pub element: &'a Item<Element>,
    /// How the trench lies to it.
    pub place: Place<'a>,
}

/// How a trench lies to a foundation.
pub enum Place<'a> {
    /// Beside it, so far off.
    Beside(&'a Field<Written>),
    /// Through the wall on it, as a penetration describes it.
    Through(Option<&'a Item<Penetration>>),
}

/// What is wanting, and in which field.
pub type Wanting = (String, String);

/// A trench held beside a foundation, for the schedule; what is not known is left out.
#[derive(Clone, Debug, PartialEq)]
pub struct Beside {
    /// The drain.
    pub leg: usize,
    /// The element that stands on the foundation.
    pub element: String,
    /// Whether the drain goes through its wall.
    pub through: bool,
    /// How far off the trench stays.
    pub away: Option<Known<Length>>,
    /// The lowest bottom of the trench.
    pub bottom: Option<Height<Spot>>,
    /// The underside of the foundation.
    pub footing: Option<Height<Spot>>,
    /// The level up to which the trench is to be firm.
    pub required: Option<Height<Spot>>,
    /// The level up to which the record has it concreted.
    pub recorded: Option<Height<Spot>>,
    /// The depth of concrete from the bottom of the trench up to the level asked for; nothing when the ground is firm.
    pub concrete: Option<Known<Length>>,
}

/// Every new drain beside every foundation that the record puts near it, in the order of the record.
pub fn find(network: &Network<'_>, rulebook: &Rulebook) -> Vec<Beside> {
    let drains = network.legs.iter().enumerate().filter(|(_, leg)| leg.derived.kind == Kind::Drain);
    let items = drains.filter_map(|(i, leg)| Some((i, network.record.pipes.at(leg.pipe)?)));
    let new = items.filter(|(_, item)| !matches!(item.body.stage_now(), Stage::Existing | Stage::Removed));
    new.flat_map(|(leg, item)| near(network, item).into_iter().map(move |near| (leg, item, near)))
        .map(|(leg, item, near)| beside(network, rulebook, leg, item, &near))
        .collect()
}

fn beside(network: &Network<'_>, rulebook: &Rulebook, leg: usize, item: &Item<Pipe>, near: &Near<'_>) -> Beside {
    let (through, away) = match near.place {
        Place::Through(_) => (true, None),
        Place::Beside(field) => {
            let how = network.record.how(field);
            (false, field.get().map(|m| Known { value: m.value, half: m.half, how }))
        }
    };
    let footing = footing(network, near).ok();
    let bottom = bottom(network, leg, item, near).ok().map(|(low, _)| low);
    let allowed = if through { Some(Length::ZERO) } else { away.and_then(|away| allowed(rulebook, away)) };
    let required: Option<Height<Spot>> = footing.zip(allowed).map(|(footing, below)| footing.to(-below));
    let concrete = required.zip(bottom).and_then(|(top, bottom)| top.above(&bottom));
    Beside {
        leg,
        element: near.element.id.clone(),
        through,
        away,
        bottom,
        footing,
        required,
        recorded: recorded(network, item),
        concrete: concrete.map(|c| Known { value: c.value.max(Length::ZERO), ..c }),
    }
}

/// How far below the underside of a foundation the concrete in a trench so far off may stop: nothing when it is close,
/// else its distance less the set-back. What may be close counts as close.
pub fn allowed(rulebook: &Rulebook, away: Known<Length>) -> Option<Length> {
    let close = rulebook.ask(key::DRAIN_TRENCH_NEAR_MAXIMUM, &Facts::new());
    let back = rulebook.ask(key::DRAIN_TRENCH_SET_BACK_MINIMUM, &Facts::new());
    let (close, back) = (close.limit()?, back.limit()?);
    Some(if close.met_by(&(away.value - away.half)) { Length::ZERO } else { away.value - back.value })
}

/// The level up to which the record has the trench of a drain concreted.
pub fn recorded(network: &Network<'_>, item: &Item<Pipe>) -> Option<Height<Spot>> {
    match item.body.bed.get()? {
        Bed::Is(spec) => network.height::<Spot>(&spec.concrete_to, Some(&item.body.kit)),
        Bed::As(_) => None,
    }
}

/// The foundations that the record puts beside a trench, and those of walls with a footing that the drain goes through.
pub fn near<'a>(network: &Network<'a>, item: &'a Item<Pipe>) -> Vec<Near<'a>> {
    let record = network.record;
    let beside = item.body.foundations.get().into_iter().flat_map(|m| &m.0);
    let mut all: Vec<Near<'a>> = beside
        .filter_map(|(key, away)| {
            let element = record.elements.get(&key.value)?;
            Some(Near { element, place: Place::Beside(away) })
        })
        .collect();
    let pipe = record.pipes.position(&item.id);
    for crossing in network.crossings.iter().filter(|c| Some(c.pipe) == pipe && c.certain) {
        let Some(element) = record.elements.at(crossing.element) else { continue };
        if !element.body.footing_underside.is_absent() {
            let hole = crossing.penetration.and_then(|p| record.penetrations.at(p));
            all.push(Near { element, place: Place::Through(hole) });
        }
    }
    all
}

/// The underside of a foundation.
///
/// # Errors
/// What is wanting, where its level is not known.
pub fn footing(network: &Network<'_>, near: &Near<'_>) -> Result<Height<Spot>, Wanting> {
    let id = &near.element.id;
    let field = format!("elements.{id}.footing-underside");
    let found = network.height(&near.element.body.footing_underside, None);
    found.ok_or_else(|| (format!("how deep the foundation of {id} goes"), field))
}

/// The bottom of the trench at its lowest and at its highest: invert, less the pipe's wall, less the bed under it.
///
/// # Errors
/// What is wanting, and the field that would settle it.
pub fn bottom(
    network: &Network<'_>,
    leg: usize,
    item: &Item<Pipe>,
    near: &Near<'_>,
) -> Result<(Height<Spot>, Height<Spot>), Wanting> {
    let (id, record) = (&item.id, network.record);
    let (low, high) = inverts(network, leg, item, near)
        .ok_or_else(|| ("the levels of its two ends".to_owned(), format!("pipes.{id}.il")))?;
    let diameters = network.legs.get(leg).and_then(|l| l.outside.zip(l.bore));
    let (outside, bore) = diameters.ok_or_else(|| {
        let what = "how thick the wall of its pipe is, or how far up its trench is concreted";
        (what.to_owned(), format!("pipes.{id}.bed.concrete-to"))
    })?;
    let wall = Length::from_um((outside - bore).um() / 2);
    let (_, spec) = bed_of(record, item).ok_or_else(|| ("what it lies on".to_owned(), format!("pipes.{id}.bed")))?;
    let thick = || ("how thick its bed is".to_owned(), bed_path(record, item, "under"));
    let under = spec.under.get().ok_or_else(thick)?;
    let how = [record.how(&spec.under), record.how(&item.body.size)];
    let down = |invert: Height<Invert>| {
        let mut bottom: Height<Spot> = invert.to(-(wall + under.value));
        bottom.half = bottom.half + under.half;
        bottom.how = how.into_iter().fold(bottom.how, How::with);
        bottom
    };
    Ok((down(low), down(high)))
}

/// The lowest and the highest invert that may lie at a foundation: the one recorded where the drain goes through, else
/// those of the whole drain.
fn inverts(
    network: &Network<'_>,
    leg: usize,
    item: &Item<Pipe>,
    near: &Near<'_>,
) -> Option<(Height<Invert>, Height<Invert>)> {
    if let Place::Through(Some(hole)) = near.place
        && let Some(at) = network.height(&hole.body.il, Some(&item.body.kit))
    {
        return Some((at, at));
    }
    network.extremes(leg)
}
