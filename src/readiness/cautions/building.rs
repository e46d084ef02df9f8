//! What can hurt in the building: holes, dust, fire, joints, lead, roofs.

use crate::base::units::Length;
use crate::network::crossings::Crossing;
use crate::network::fire::lies_flat;
use crate::network::fire::separates;
use crate::network::fire::stands;
use crate::readiness::cautions::ground::any_trench;
use crate::readiness::cautions::site::Site;
use crate::readiness::cautions::site::made;
use crate::readiness::cautions::site::once;
use crate::readiness::cautions::site::ours;
use crate::readiness::cautions::site::says;
use crate::readiness::cautions::site::says_whole;
use crate::record::about::Element;
use crate::record::evidence::Penetration;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;
use crate::record::words::Stage;

/// Cores of this size and over can snatch (trade custom).
const BIG: Length = Length::from_mm(100);
/// Openings wider than this want a lintel (trade custom: one brick).
const WIDE: Length = Length::from_mm(225);

/// A pipe through a part of the building, with the penetration that describes it.
struct Through<'a> {
    pipe: &'a Item<Pipe>,
    element: &'a Item<Element>,
    penetration: Option<&'a Item<Penetration>>,
    outside: Option<Length>,
}

impl<'a> Through<'a> {
    fn of(site: &Site<'a>, crossing: &Crossing) -> Option<Self> {
        let record = site.record;
        let leg = site.network.legs.get(crossing.pipe);
        let size = leg.and_then(|l| l.outside.or_else(|| l.nominal.map(|n| Length::from_mm(i64::from(n.0)))));
        Some(Self {
            pipe: record.pipes.at(crossing.pipe)?,
            element: record.elements.at(crossing.element)?,
            penetration: crossing.penetration.and_then(|p| record.penetrations.at(p)),
            outside: size,
        })
    }

    /// Whether it belongs to this work and nothing covers it.
    fn open(&self, site: &Site<'_>) -> bool {
        let own = match self.penetration {
            Some(hole) => ours(hole.body.stage.get()) && !site.covered(&hole.id),
            None => !site.covered(&self.pipe.id),
        };
        own && ours(self.pipe.body.stage.get()) && !self.pipe.broken
    }

    /// Whether its hole is still to be made: nothing says that it is there.
    fn to_make(&self, site: &Site<'_>) -> bool {
        let made = match self.penetration {
            Some(hole) => made(hole.body.stage.get(), &hole.body.fitted),
            None => made(self.pipe.body.stage.get(), &self.pipe.body.fitted),
        };
        self.open(site) && !made
    }

    fn ids(&self) -> Vec<&'a str> {
        match self.penetration {
            Some(hole) => vec![&hole.id],
            None => vec![&self.pipe.id, &self.element.id],
        }
    }

    fn words(&self) -> String {
        let body = &self.element.body;
        let build = body.build.get().map_or("", |w| w.0.as_str());
        format!("{} {build}", body.what.get().map_or("", |t| t.0.as_str()))
    }

    /// Brick, block, stone or concrete; a wall that is not said to be of timber or board counts.
    fn masonry(&self) -> bool {
        let words = self.words();
        let hard = ["brick", "block", "stone", "rubble", "concrete", "masonry", "flint", "slab", "screed"];
        says(&words, &hard) || stands(&words) && !says(&words, &["timber", "stud", "partition", "board"])
    }

    fn big(&self) -> bool {
        let hole = self.penetration.and_then(|p| p.body.hole.get()).map(|m| m.value);
        hole.or(self.outside).is_some_and(|across| across >= BIG)
    }
}

fn crossings<'a>(site: &Site<'a>) -> impl Iterator<Item = Through<'a>> {
    let certain = site.network.crossings.iter().filter(|c| c.certain);
    certain.filter_map(|c| Through::of(site, c)).collect::<Vec<_>>().into_iter()
}

fn to_make(site: &Site<'_>, fits: impl Fn(&Through<'_>) -> bool) -> Vec<String> {
    let holes = crossings(site).filter(|t| t.to_make(site) && fits(t));
    once(holes.flat_map(|t| t.ids()))
}

pub(super) fn holes(site: &Site<'_>) -> Vec<String> {
    to_make(site, |_| true)
}

/// Holes to make where the house is from before the ban on asbestos, which came late in 1999, or of unknown age.
pub(super) fn holes_in_old_houses(site: &Site<'_>) -> Vec<String> {
    let built = site.record.job.built.get().and_then(|w| year(&w.0));
    if built.is_some_and(|year| year >= 2000) { Vec::new() } else { holes(site) }
}

/// The first run of four digits.
fn year(words: &str) -> Option<u32> {
    words.split(|c: char| !c.is_ascii_digit()).find(|digits| digits.len() == 4)?.parse().ok()
}

pub(super) fn masonry_holes(site: &Site<'_>) -> Vec<String> {
    to_make(site, |t| t.masonry())
}

pub(super) fn big_cores(site: &Site<'_>) -> Vec<String> {
    to_make(site, |t| t.masonry() && t.big())
}

pub(super) fn timber_holes(site: &Site<'_>) -> Vec<String> {
    to_make(site, |t| !t.masonry() && (lies_flat(&t.words()) || stands(&t.words())))
}

pub(super) fn membranes(site: &Site<'_>) -> Vec<String> {
    to_make(site, |t| says(&t.words(), &["radon", "membrane"]))
}

pub(super) fn wall_openings(site: &Site<'_>) -> Vec<String> {
    let wide = |hole: &Item<Penetration>| {
        let across = hole.body.opening.get();
        across.is_some_and(|a| a.a > WIDE || a.b.is_some_and(|b| b > WIDE))
    };
    let open = |hole: &&Item<Penetration>| ours(hole.body.stage.get()) && !site.covered(&hole.id) && wide(hole);
    once(site.record.penetrations.iter().filter(open).map(|hole| hole.id.as_str()))
}

pub(super) fn fire_crossings(site: &Site<'_>) -> Vec<String> {
    let open = crossings(site).filter(|t| separates(&t.element.body) && t.open(site));
    once(open.flat_map(|t| t.ids()))
}

pub(super) fn solvent_joints(site: &Site<'_>) -> Vec<String> {
    let solvent = |item: &Item<Pipe>| item.body.joints.get().is_some_and(|j| says(&j.0, &["solvent"]));
    once(site.open_pipes().filter(|(_, item)| solvent(item)).map(|(_, item)| item.id.as_str()))
}

/// Pipes of these materials that are of this work and open, that are taken out, or that a new pipe joins.
fn handled(site: &Site<'_>, words: &[&str]) -> Vec<String> {
    let made_of = |item: &Item<Pipe>| item.body.material.get().is_some_and(|m| says_whole(&m.0, words));
    let new = site.open_pipes().map(|(_, item)| item);
    let old = site.old_pipes().filter(|(leg, _)| site.joined.contains(&leg.pipe)).map(|(_, item)| item);
    let gone = site.record.pipes.iter().filter(|p| p.body.stage.get() == Some(&Stage::Removed));
    once(new.chain(old).chain(gone).filter(|item| made_of(item)).map(|item| item.id.as_str()))
}

pub(super) fn metal_pipes(site: &Site<'_>) -> Vec<String> {
    handled(site, &["iron", "copper", "steel", "lead"])
}

/// Lead pipes, and lead that still has to be dressed round a pipe.
pub(super) fn lead(site: &Site<'_>) -> Vec<String> {
    let sealed = |hole: &Item<Penetration>| {
        let faces = [&hole.body.above, &hole.body.below];
        let mut seals = faces.into_iter().filter_map(|f| f.get()).filter_map(|f| f.seal.get());
        seals.any(|seal| says_whole(&seal.0, &["lead"]))
    };
    let open = |hole: &&Item<Penetration>| !made(hole.body.stage.get(), &hole.body.fitted) && !site.covered(&hole.id);
    let flashings = site.record.penetrations.iter().filter(open).filter(|hole| sealed(hole));
    let pipes = handled(site, &["lead"]);
    once(pipes.iter().map(String::as_str).chain(flashings.map(|hole| hole.id.as_str())))
}

/// Terminals in the open air that are not fitted yet.
pub(super) fn roof_work(site: &Site<'_>) -> Vec<String> {
    let valve = |words: &str| says(words, &["valve"]);
    let open =
        site.record.terminals.iter().filter(|t| ours(t.body.stage.get()) && !made(t.body.stage.get(), &t.body.fitted));
    once(open.filter(|t| t.body.what.get().is_none_or(|w| !valve(&w.0))).map(|t| t.id.as_str()))
}

/// The one person who is named for the work, when a trench or a roof is part of it.
pub(super) fn alone(site: &Site<'_>) -> Vec<String> {
    let not_working = ["client", "owner", "control", "surveyor", "inspector", "architect", "engineer", "neighbour"];
    let working = |role: &str| !says_whole(role, &not_working);
    let people = site.record.people.iter().filter(|p| p.body.role.get().is_some_and(|r| working(&r.0)));
    let people: Vec<&str> = people.map(|p| p.id.as_str()).collect();
    let dangerous = any_trench(site) || !roof_work(site).is_empty();
    if people.len() == 1 && dangerous { once(people) } else { Vec::new() }
}
