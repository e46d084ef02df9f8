//! What can hurt in the ground and in drains: services, trenches, chambers, live and old drains, bungs and plugs.

use crate::base::finding::Verdict;
use crate::base::known::Known;
use crate::base::units::Cover;
use crate::base::units::Invert;
use crate::base::units::Length;
use crate::network::ends::End;
use crate::network::fire::stands;
use crate::network::height::Height;
use crate::network::legs::Leg;
use crate::readiness::cautions::site::Site;
use crate::readiness::cautions::site::once;
use crate::readiness::cautions::site::says;
use crate::readiness::cautions::site::says_whole;
use crate::record::evidence::Test;
use crate::record::ground::Bed;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;
use crate::record::words::AccessKind;
use crate::record::words::Stage;
use crate::record::words::TestKind;
use crate::record::words::Water;
use crate::rules::drain::foul_and_rain_apart;

/// From here on a trench is deep (contractors' manuals; the HSE knows no depth that is safe).
const DEEP: Length = Length::from_mm(1200);
/// From here on a plug that flies hurts: newtons, about 5 kg. A threshold of our own.
const THRUST: f64 = 50.0;

#[derive(Clone, Copy, PartialEq, Eq)]
enum Service {
    Cable,
    Gas,
    Water,
    Overhead,
    Flue,
    Sewer,
    Other,
}

/// What a service nearby is, by its words; the first that fits.
fn service(what: &str) -> Service {
    let kinds: [(&[&str], Service); 6] = [
        (&["overhead"], Service::Overhead),
        (&["flue"], Service::Flue),
        (&["sewer"], Service::Sewer),
        (&["cable", "electric"], Service::Cable),
        (&["gas"], Service::Gas),
        (&["water"], Service::Water),
    ];
    kinds.into_iter().find(|(words, _)| says(what, words)).map_or(Service::Other, |(_, kind)| kind)
}

fn nearby(site: &Site<'_>, kind: Service) -> Vec<String> {
    let of = |what: Option<&crate::record::words::Words>| service(what.map_or("", |w| w.0.as_str()));
    once(site.record.nearby.iter().filter(|n| of(n.body.what.get()) == kind).map(|n| n.id.as_str()))
}

pub(super) fn cables(site: &Site<'_>) -> Vec<String> {
    nearby(site, Service::Cable)
}

pub(super) fn gas(site: &Site<'_>) -> Vec<String> {
    nearby(site, Service::Gas)
}

pub(super) fn water(site: &Site<'_>) -> Vec<String> {
    nearby(site, Service::Water)
}

pub(super) fn other_services(site: &Site<'_>) -> Vec<String> {
    nearby(site, Service::Other)
}

pub(super) fn overhead(site: &Site<'_>) -> Vec<String> {
    nearby(site, Service::Overhead)
}

pub(super) fn flues(site: &Site<'_>) -> Vec<String> {
    nearby(site, Service::Flue)
}

pub(super) fn nothing_recorded(site: &Site<'_>) -> Vec<String> {
    if site.record.nearby.is_empty() {
        once(site.open_drains().map(|(_, _, item)| item.id.as_str()))
    } else {
        Vec::new()
    }
}

/// The bed under a pipe, its own or that of the pipe it is like; nothing when it is not known.
fn under(site: &Site<'_>, item: &Item<Pipe>) -> Length {
    let mut item = item;
    for _ in 0..=site.record.pipes.len() {
        match item.body.bed.get() {
            Some(Bed::Is(spec)) => return spec.under.get().map_or(Length::ZERO, |m| m.value),
            Some(Bed::As(other)) => match site.record.pipes.get(other) {
                Some(next) => item = next,
                None => break,
            },
            None => break,
        }
    }
    Length::ZERO
}

/// How deep the trench of a drain may be at most: from the covers at its ends, or from its least cover, with its bed and
/// with what the readings may be off. `None` when neither is known.
fn depth(site: &Site<'_>, leg: usize, ends: &Leg, item: &Item<Pipe>) -> Option<Length> {
    let solved = site.network.solved(leg);
    let at = |end: End, invert: Option<Height<Invert>>| -> Option<Known<Length>> {
        let End::Access(a) = end else { return None };
        let access = site.record.access.at(a)?;
        let cover: Height<Cover> = site.network.height(&access.body.cover, Some(&access.body.kit))?;
        invert.and_then(|invert| cover.above(&invert)).or_else(|| site.computed.depths.get(a).copied().flatten())
    };
    let ends_deep = [at(ends.ends.from, solved.up), at(ends.ends.to, solved.down)];
    let least = item.body.least_cover.get().map(|m| m.value + m.half + ends.outside.unwrap_or(Length::ZERO));
    let deep = ends_deep.into_iter().flatten().map(|d| d.value + d.half).chain(least).max()?;
    Some(deep + under(site, item))
}

pub(super) fn deep(site: &Site<'_>) -> Vec<String> {
    once(trenches(site, true))
}

pub(super) fn shallow(site: &Site<'_>) -> Vec<String> {
    once(trenches(site, false))
}

fn trenches<'a>(site: &Site<'a>, deep: bool) -> Vec<&'a str> {
    let fits = |depth: Option<Length>| depth.is_some_and(|d| d >= DEEP) == deep;
    let drains = site.open_drains().filter(|(i, leg, item)| fits(depth(site, *i, leg, item)));
    drains.map(|(_, _, item)| item.id.as_str()).collect()
}

/// Drains whose trench is nearer to a foundation than it is deep, or runs up to a wall that it goes through.
pub(super) fn by_foundations(site: &Site<'_>) -> Vec<String> {
    let near = |(i, leg, item): &(usize, &Leg, &Item<Pipe>)| {
        let depth = depth(site, *i, leg, item);
        let distances = item.body.foundations.get().into_iter().flat_map(|map| &map.0);
        let mut beside = distances.map(|(_, away)| away.get().map(|m| m.value - m.half));
        beside.any(|away| away.zip(depth).is_none_or(|(away, depth)| away < depth)) || through_wall(site, leg.pipe)
    };
    once(site.open_drains().filter(near).map(|(_, _, item)| item.id.as_str()))
}

fn through_wall(site: &Site<'_>, pipe: usize) -> bool {
    let wall = |element| {
        let element = site.record.elements.at(element);
        element.and_then(|e| e.body.what.get()).is_some_and(|w| stands(&w.0))
    };
    site.network.crossings.iter().any(|c| c.certain && c.pipe == pipe && wall(c.element))
}

/// Words of a place that traffic uses.
const STREET: [&str; 8] = ["street", "road", "lane", "highway", "pavement", "footway", "verge", "carriageway"];

pub(super) fn in_streets(site: &Site<'_>) -> Vec<String> {
    let street = |end: End| {
        let place = match end {
            End::Access(a) => site.record.access.at(a).and_then(|x| x.body.place.get()),
            End::Outfall(o) => site.record.outfalls.at(o).and_then(|x| x.body.place.get()),
            End::Appliance(_) | End::Pipe(_) | End::Temporary | End::Unknown | End::Absent => None,
        };
        place.is_some_and(|p| says_whole(&p.0, &STREET))
    };
    let reach = site.open_drains().filter(|(_, leg, _)| street(leg.ends.from) || street(leg.ends.to));
    once(reach.map(|(_, _, item)| item.id.as_str()))
}

fn access<'a>(site: &Site<'a>, kinds: &[AccessKind]) -> Vec<&'a str> {
    let there = site.record.access.iter().filter(|a| a.body.stage.get() != Some(&Stage::Removed));
    there.filter(|a| a.body.what.get().is_some_and(|k| kinds.contains(k))).map(|a| a.id.as_str()).collect()
}

pub(super) fn chambers(site: &Site<'_>) -> Vec<String> {
    once(access(site, &[AccessKind::InspectionChamber, AccessKind::Manhole]))
}

pub(super) fn tanks(site: &Site<'_>) -> Vec<String> {
    let words = ["septic", "cesspool", "cesspit", "treatment", "pump"];
    let tanks = site.record.outfalls.iter().filter(|o| o.body.what.get().is_some_and(|w| says(&w.0, &words)));
    let pumps = site.record.pumps.iter().filter(|p| p.body.stage.get() != Some(&Stage::Removed));
    once(tanks.map(|o| o.id.as_str()).chain(pumps.map(|p| p.id.as_str())))
}

/// Anti-flooding valves: what stands behind one has no way out while it is shut.
pub(super) fn valves(site: &Site<'_>) -> Vec<String> {
    let valves = site.record.valves.iter().filter(|v| v.body.stage.get() != Some(&Stage::Removed));
    once(valves.map(|v| v.id.as_str()))
}

pub(super) fn heavy(site: &Site<'_>) -> Vec<String> {
    let iron = site.open_pipes().filter(|(_, p)| p.body.material.get().is_some_and(|m| says(&m.0, &["cast iron"])));
    once(access(site, &[AccessKind::Manhole]).into_iter().chain(iron.map(|(_, p)| p.id.as_str())))
}

/// Whether the record asks whether an old pipe is live and does not say that it is not.
fn may_be_live(pipe: &Pipe) -> bool {
    let dead = |words: &str| says_whole(words, &["no", "not", "dead", "capped", "disused"]);
    pipe.carries.get() != Some(&Water::Rain) && (pipe.live.is_unknown() || pipe.live.get().is_some_and(|w| !dead(&w.0)))
}

fn is_dead(pipe: &Pipe) -> bool {
    !pipe.live.is_absent() && !may_be_live(pipe)
}

pub(super) fn live(site: &Site<'_>) -> Vec<String> {
    let opened = |(leg, item): &(&Leg, &Item<Pipe>)| {
        let joined = site.joined.contains(&leg.pipe) && item.body.carries.get() != Some(&Water::Rain);
        may_be_live(&item.body) || joined && !is_dead(&item.body)
    };
    let pipes = site.old_pipes().filter(opened).map(|(_, item)| item.id.as_str());
    let chambers = site.joined_access.iter().filter_map(|a| site.record.access.at(*a)).map(|a| a.id.as_str());
    once(pipes.chain(chambers))
}

pub(super) fn shared(site: &Site<'_>) -> Vec<String> {
    let others = |item: &Item<Pipe>| item.body.also_carries.get().is_some();
    let old = site.old_pipes().filter(|(leg, item)| others(item) && site.worked_on(leg));
    let new = site.open_pipes().filter(|(_, item)| others(item));
    once(new.chain(old).map(|(_, item)| item.id.as_str()))
}

pub(super) fn public_sewers(site: &Site<'_>) -> Vec<String> {
    let led = |position: usize| site.network.legs.iter().any(|leg| leg.ends.to == End::Outfall(position));
    let public = |words: &str| says(words, &["public sewer", "lateral"]);
    let outfalls = site.record.outfalls.iter().enumerate();
    let joined = outfalls.filter(|(i, o)| led(*i) && o.body.what.get().is_some_and(|w| public(&w.0)));
    let near = nearby(site, Service::Sewer);
    once(joined.map(|(_, o)| o.id.as_str()).chain(near.iter().map(String::as_str)))
}

pub(super) fn rain_in_foul(site: &Site<'_>) -> Vec<String> {
    let rule = foul_and_rain_apart::RULE.id;
    let met = site.findings.iter().filter(|f| f.rule == rule && f.verdict == Verdict::NotMet && !f.planned);
    // Of an outfall the rule says the contrary: foul water where only rain may run.
    let met = met.filter(|f| site.record.outfalls.get(&f.item).is_none());
    once(met.map(|f| f.item.as_str()))
}

fn of_material(item: &Item<Pipe>, words: &[&str]) -> bool {
    item.body.material.get().is_some_and(|m| says(&m.0, words))
}

pub(super) fn old_clay(site: &Site<'_>) -> Vec<String> {
    let clay = |item: &Item<Pipe>| of_material(item, &["clay", "stoneware", "earthenware"]);
    let old = site.old_pipes().filter(|(leg, p)| clay(p) && (site.worked_on(leg) || may_be_live(&p.body)));
    once(old.map(|(_, item)| item.id.as_str()))
}

pub(super) fn fibre_pipes(site: &Site<'_>) -> Vec<String> {
    let words = ["asbestos", "fibre cement", "fibre-cement", "pitch fibre", "pitch-fibre"];
    let pipes = site.record.pipes.iter().filter(|item| of_material(item, &words) && !site.covered(&item.id));
    once(pipes.map(|item| item.id.as_str()))
}

pub(super) fn access_plugs(site: &Site<'_>) -> Vec<String> {
    let maps = site.record.pipes.iter().filter_map(|p| p.body.access.get());
    once(maps.flat_map(|m| &m.0).map(|(key, _)| key.value.as_str()))
}

pub(super) fn bungs(site: &Site<'_>) -> Vec<String> {
    let words = ["bung", "bungs", "plug", "plugs", "stopper", "stoppers"];
    let left = site.record.temporary.iter().filter(|t| t.body.what.get().is_some_and(|w| says_whole(&w.0, &words)));
    once(left.map(|t| t.id.as_str()))
}

/// Tests that nothing replaces and whose plugs are pressed hard, or may be: a water test without a reading.
pub(super) fn test_plugs(site: &Site<'_>) -> Vec<String> {
    let hard = |(i, test): &(usize, &Item<Test>)| {
        let Some(outcome) = site.computed.tests.get(*i) else { return false };
        if site.record.replaced_by(&test.id).is_some() {
            return false;
        }
        let readings = test.body.readings.get().into_iter().flat_map(|map| &map.0);
        let Some(head) = readings.filter_map(|(_, g)| g.get()).map(|g| g.value).max() else {
            return outcome.kind == Some(TestKind::DrainWater);
        };
        let pressing = !matches!(outcome.kind, Some(TestKind::Dye | TestKind::Ball | TestKind::Camera));
        let bores = outcome.covers.iter().filter_map(|p| site.network.legs.get(*p).and_then(across));
        pressing && bores.max().is_some_and(|bore| thrust(head, bore) >= THRUST)
    };
    once(site.record.tests.iter().enumerate().filter(hard).map(|(_, test)| test.id.as_str()))
}

/// The bore of a pipe, else its size.
fn across(leg: &Leg) -> Option<Length> {
    leg.bore.or_else(|| leg.nominal.map(|n| Length::from_mm(i64::from(n.0))))
}

/// Newtons on a plug: weight of a column of water so high, over the area of the bore.
fn thrust(head: Length, bore: Length) -> f64 {
    let metres = |l: Length| l.um() as f64 / 1e6;
    9810.0 * metres(head) * std::f64::consts::FRAC_PI_4 * metres(bore) * metres(bore)
}

/// Whether any trench is open.
pub(super) fn any_trench(site: &Site<'_>) -> bool {
    site.open_drains().next().is_some()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 1.5 m of water on a bore of 103 mm: 9810 × 1.5 × 0.008332 = 122.6 N, by hand; 100 mm on the same: 8.2 N.
    #[test]
    fn a_water_test_presses_and_an_air_test_of_100_mm_does_not() {
        let bore = Length::from_mm(103);
        assert!((thrust(Length::from_mm(1500), bore) - 122.6).abs() < 0.1);
        assert!((thrust(Length::from_mm(100), bore) - 8.2).abs() < 0.1);
    }
}
