//! Volumes of trenches: what is dug, what goes back and what is led away, of each new drain.
//!
//! A trench is taken as straight-sided, as long as its drain is from centre to centre, and as deep all along as the mean
//! of what is known of its depth. What chambers take is not counted.

use crate::base::known::How;
use crate::base::known::Known;
use crate::base::size::Nominal;
use crate::base::units::Length;
use crate::compute::cover;
use crate::network::Network;
use crate::network::kind::Kind;
use crate::record::ground::BedSpec;
use crate::record::ground::bed_of;
use crate::record::ground::bed_path;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;
use crate::record::words::BedClass;
use crate::record::words::Stage;
use crate::rulebook::Fact;
use crate::rulebook::Facts;
use crate::rulebook::Rulebook;
use crate::rulebook::key;

/// The trench of one new drain.
#[derive(Clone, Debug, PartialEq)]
pub struct Trench {
    /// The drain.
    pub leg: usize,
    /// Its length.
    pub length: Option<Known<Length>>,
    /// Its width, as recorded, else the pipe and the usual room at both sides.
    pub width: Option<Length>,
    /// Whether the width is that usual one.
    pub usual: bool,
    /// The least width by BS EN 1610, from the pipe and the depth.
    pub standard: Option<Length>,
    /// Its mean depth, from the surface to its bottom.
    pub depth: Option<Known<Length>>,
    /// Its volumes, when all they hang on is known.
    pub volumes: Option<Volumes>,
    /// The fields that would settle what is not known.
    pub wants: Vec<String>,
}

/// Volumes in cubic metres.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Volumes {
    /// What is dug.
    pub dug: f64,
    /// The bed under the pipe.
    pub bed: f64,
    /// Stone beside and over the pipe.
    pub surround: f64,
    /// What the pipe itself takes.
    pub pipe: f64,
    /// What is filled above.
    pub backfill: f64,
    /// What is led away, loose.
    pub spoil: f64,
}

impl std::ops::Add for Volumes {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self {
            dug: self.dug + other.dug,
            bed: self.bed + other.bed,
            surround: self.surround + other.surround,
            pipe: self.pipe + other.pipe,
            backfill: self.backfill + other.backfill,
            spoil: self.spoil + other.spoil,
        }
    }
}

/// What the volumes of a trench hang on.
#[derive(Clone, Copy, Debug)]
pub struct Section {
    /// Outside diameter of the pipe.
    pub outside: Length,
    /// Width of the trench.
    pub width: Length,
    /// Depth of the trench.
    pub depth: Length,
    /// Depth of the bed under the pipe.
    pub under: Length,
    /// How far the stone reaches above the underside of the pipe.
    pub stone: Length,
}

/// The share by which dug ground grows in bulk, by the rulebook; nothing where it is silent.
pub fn bulking(rulebook: &Rulebook) -> f64 {
    rulebook.ask(key::TRENCH_BULKING, &Facts::new()).limit().map_or(0.0, |limit| limit.value.value())
}

/// The trench of every new drain, in the order of the record.
pub fn find(network: &Network<'_>, rulebook: &Rulebook) -> Vec<Trench> {
    let drains = network.legs.iter().enumerate().filter(|(_, leg)| leg.derived.kind == Kind::Drain);
    let items = drains.filter_map(|(i, leg)| Some((i, network.record.pipes.at(leg.pipe)?)));
    let new = items.filter(|(_, item)| !matches!(item.body.stage_now(), Stage::Existing | Stage::Removed));
    new.map(|(leg, item)| trench(network, rulebook, leg, item)).collect()
}

fn trench(network: &Network<'_>, rulebook: &Rulebook, leg: usize, item: &Item<Pipe>) -> Trench {
    let (id, record) = (&item.id, network.record);
    let l = network.legs.get(leg);
    let outside = l.and_then(|l| l.outside);
    let side = rulebook.ask(key::TRENCH_SIDE_MINIMUM, &Facts::new()).limit().map(|limit| limit.value);
    let own = item.body.trench_width.get().map(|m| m.value);
    let width = own.or_else(|| outside.zip(side).map(|(pipe, side)| pipe + side + side));
    let length = l.and_then(|l| l.length);
    let bed = bed_of(record, item).map(|(_, spec)| spec);
    let under = bed.and_then(under);
    let stone = bed.zip(outside).and_then(|(spec, outside)| stone(spec, outside));
    let crown = mean_cover(network, leg, &item.body);
    let depth = crown.zip(outside).zip(under).map(|((cover, pipe), under)| cover.map(|c| c + pipe + under));
    let mut wants = Vec::new();
    let mut want = |missing: bool, field: String| wants.extend(missing.then_some(field));
    want(length.is_none(), format!("pipes.{id}.length"));
    want(outside.is_none(), format!("pipes.{id}.outside"));
    want(under.is_none(), bed_path(record, item, "under"));
    want(stone.is_none() && outside.is_some(), bed_path(record, item, "over"));
    want(crown.is_none(), format!("pipes.{id}.least-cover and greatest-cover"));
    let section = (|| {
        let depth = depth?.value;
        Some(Section { outside: outside?, width: width?, depth, under: under?, stone: stone? })
    })();
    Trench {
        leg,
        length,
        width,
        usual: own.is_none(),
        standard: standard(rulebook, l.and_then(|l| l.nominal), outside, depth.map(|d| d.value)),
        depth,
        volumes: length.zip(section).map(|(length, section)| volumes(length.value, section, bulking(rulebook))),
        wants,
    }
}

/// Volumes over a length: dug is length by width by depth; the bed lies under the pipe, the stone beside and over it takes
/// what the pipe leaves; the rest is filled with what was dug, and what it does not take is led away, grown in bulk.
pub fn volumes(length: Length, section: Section, bulking: f64) -> Volumes {
    let m2 = |a: Length, b: Length| a.m() * b.m();
    let radius = section.outside.m() / 2.0;
    let pipe = std::f64::consts::PI * radius * radius;
    // Of the pipe as much lies in the stone as the stone reaches up: none, half or all.
    let share = match section.stone {
        s if s >= section.outside => 1.0,
        s if s > Length::ZERO => 0.5,
        _ => 0.0,
    };
    let dug = m2(section.width, section.depth);
    let bed = m2(section.width, section.under);
    let surround = m2(section.width, section.stone) - share * pipe;
    let backfill = (dug - bed - surround - pipe).max(0.0);
    let over = |area: f64| area * length.m();
    Volumes {
        dug: over(dug),
        bed: over(bed),
        surround: over(surround),
        pipe: over(pipe),
        backfill: over(backfill),
        spoil: over(dug - backfill) * (1.0 + bulking),
    }
}

/// The depth of a bed under its pipe; none on a trimmed bottom.
fn under(spec: &BedSpec) -> Option<Length> {
    let trimmed = spec.class.get() == Some(&BedClass::D);
    spec.under.get().map(|m| m.value).or(trimmed.then_some(Length::ZERO))
}

/// How far the stone of a bed reaches above the underside of the pipe: by its class, else by what lies over the pipe.
fn stone(spec: &BedSpec, outside: Length) -> Option<Length> {
    match spec.class.get() {
        Some(BedClass::D | BedClass::N | BedClass::F) => Some(Length::ZERO),
        Some(BedClass::B) => Some(Length::from_um(outside.um() / 2)),
        Some(BedClass::S) | None => spec.over.get().map(|m| outside + m.value),
    }
}

/// The least width by the standard: the greater of what the size and what the depth ask for.
fn standard(
    rulebook: &Rulebook,
    size: Option<Nominal>,
    outside: Option<Length>,
    depth: Option<Length>,
) -> Option<Length> {
    let over = rulebook.ask(key::TRENCH_WIDTH_OVER_PIPE_MINIMUM, &Facts::new().with(Fact::Size, size));
    let deep = rulebook.ask(key::TRENCH_WIDTH_BY_DEPTH_MINIMUM, &Facts::new().with(Fact::Depth, depth));
    let by_size = over.limit().zip(outside).map(|(limit, pipe)| pipe + limit.value)?;
    Some(deep.limit().map_or(by_size, |limit| by_size.max(limit.value)))
}

/// The mean cover along a drain: from the ground line and the chambers at its ends, else of its least and greatest as
/// recorded; of part of it, or one such figure alone, it is only a guess.
fn mean_cover(network: &Network<'_>, leg: usize, pipe: &Pipe) -> Option<Known<Length>> {
    let record = network.record;
    let said = [&pipe.least_cover, &pipe.greatest_cover];
    let said = said.map(|f| f.get().map(|m| Known { value: m.value, half: m.half, how: record.how(f) }));
    let guess = |known: Known<Length>| Known { how: How::Believed, ..known };
    match (cover::mean(network, leg), said) {
        (Some((mean, true)), _) => Some(mean),
        (_, [Some(a), Some(b)]) => {
            let value = Length::from_um((a.value + b.value).um() / 2);
            Some(Known { value, half: a.half.max(b.half), how: a.how.with(b.how) })
        }
        (Some((part, false)), _) => Some(guess(part)),
        (None, [Some(one), None] | [None, Some(one)]) => Some(guess(one)),
        (None, [None, None]) => None,
    }
}
