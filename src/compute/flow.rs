//! What each pipe is to carry: discharge units summed with the water, and the flow to design for.
//!
//! Sums go down the network once, each leg after all that run into it, so that a job of any size costs its length.
//! What a part is known to carry is summed even where the whole is not known; [`DesignFlow::lacks`] then says why.
//! [`by_dwellings`]: the flow of whole dwellings, by their number. [`rain`]: what rain is led in besides.

pub mod by_dwellings;
pub mod rain;

use crate::base::known::How;
use crate::compute::branches;
use crate::compute::formula::waste_water::total_l_s;
use crate::compute::formula::waste_water::waste_water_l_s;
use crate::network::Network;
use crate::network::ends::End;
use crate::network::kind::Kind;
use crate::record::facts::kind_of;
use crate::record::facts::stage_of;
use crate::record::pipework::Appliance;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;
use crate::record::value::Field;
use crate::record::words::ApplianceKind;
use crate::record::words::Stage;
use crate::record::words::Words;
use crate::rulebook::Answer;
use crate::rulebook::Fact;
use crate::rulebook::Factor;
use crate::rulebook::Facts;
use crate::rulebook::Flow;
use crate::rulebook::Rulebook;
use crate::rulebook::Units;
use crate::rulebook::key;

/// Appliances of the dwelling that stands behind the units of one: a WC, a bath, two basins, a sink and a machine.
const APPLIANCES_OF_A_DWELLING: u32 = 6;

/// What a leg carries, summed over everything that drains through it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DesignFlow {
    /// The sum of discharge units.
    pub units: Units,
    /// The largest discharge units of a single appliance.
    pub largest: Units,
    /// How many WCs.
    pub wcs: u32,
    /// How many appliances.
    pub appliances: u32,
    /// Whole dwellings among them, of which nothing but their number is known.
    pub dwellings: u32,
    /// Waste water flow Qww, never less than the largest appliance.
    pub waste_water: Flow,
    /// Total flow Qtot. Records say nothing of water that runs all the time or is pumped, so it is Qww.
    pub total: Flow,
    /// The dwellings that drain through it: those told by number, and no more of those drawn than the building holds.
    pub served: u32,
    /// What they make at the worst by the guidance's table, where some are told by number and the table reaches so far.
    pub by_dwellings: Option<Flow>,
    /// The rain that is led in at the worst, simply added.
    pub rain: Flow,
    /// How that is known.
    pub rain_how: How,
    /// What rain comes in besides is not known, the first of it.
    pub rain_lacks: Option<Lack>,
    /// How the sum is known.
    pub how: How,
    /// Whether a figure that it rests on was recalled and not read.
    pub recalled: bool,
    /// What is not known, the first of it; the sums are then those of the rest.
    pub lacks: Option<Lack>,
    /// What old pipes may bring that the record does not draw; apart until a pipe below says what it also carries.
    undrawn: Option<Lack>,
}

/// Why it is not known what a leg carries.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Lack {
    /// What comes in at the head of this leg.
    Source(usize),
    /// What else this existing leg carries.
    Existing(usize),
    /// How much rain this leg leads in.
    Rain(usize),
    /// What this appliance discharges, by position in the record.
    Appliance(usize),
    /// This leg runs in a ring.
    Ring(usize),
    /// The rulebook has no frequency factor.
    Factor,
}

impl Lack {
    /// In words that follow "the record does not show": `what else D3 carries`.
    pub fn words(self, network: &Network<'_>) -> String {
        match self {
            Lack::Source(leg) => format!("what comes in at the head of {}", network.id(leg)),
            Lack::Existing(leg) => format!("what else {} carries", network.id(leg)),
            Lack::Rain(leg) => format!("how much rain {} leads in", network.id(leg)),
            Lack::Appliance(i) => {
                format!("what {} discharges", network.record.appliances.at(i).map_or("", |a| a.id.as_str()))
            }
            Lack::Ring(leg) => format!("where {} leads, which runs in a ring", network.id(leg)),
            Lack::Factor => "how often the appliances are used, which the guidance in force leaves open".to_owned(),
        }
    }
}

impl DesignFlow {
    const NOTHING: Self = Self {
        units: Units::from_thousandths(0),
        largest: Units::from_thousandths(0),
        wcs: 0,
        appliances: 0,
        dwellings: 0,
        waste_water: Flow::from_ml_s(0),
        total: Flow::from_ml_s(0),
        served: 0,
        by_dwellings: None,
        rain: Flow::from_ml_s(0),
        rain_how: How::Computed,
        rain_lacks: None,
        how: How::Computed,
        recalled: false,
        lacks: None,
        undrawn: None,
    };

    /// The foul flow of a usual day when all of it is known; rain is no part of it.
    pub fn daily(&self) -> Option<Flow> {
        self.lacks.is_none().then_some(self.total)
    }

    /// The most that comes at once, as far as it is known: the greater of what appliances and dwellings make, and rain.
    pub fn peak(&self) -> Flow {
        let foul = self.by_dwellings.map_or(self.total, |flow| flow.max(self.total));
        Flow::from_ml_s(foul.ml_s().saturating_add(self.rain.ml_s()))
    }

    /// That when all of it is known.
    pub fn whole(&self) -> Option<Flow> {
        self.open().is_none().then(|| self.peak())
    }

    /// What is not known of its peak, the first of it.
    pub fn open(&self) -> Option<Lack> {
        self.lacks.or(self.rain_lacks)
    }

    /// How its peak is known.
    pub fn how_peak(&self) -> How {
        if self.rain.ml_s() > 0 { self.how.with(self.rain_how) } else { self.how }
    }

    /// Takes in what another carries.
    fn add(&mut self, other: &Self) {
        let sum = self.units.thousandths().saturating_add(other.units.thousandths());
        self.units = Units::from_thousandths(sum);
        self.largest = self.largest.max(other.largest);
        self.wcs = self.wcs.saturating_add(other.wcs);
        self.appliances = self.appliances.saturating_add(other.appliances);
        self.dwellings = self.dwellings.saturating_add(other.dwellings);
        self.how = self.how.with(other.how);
        self.recalled |= other.recalled;
        self.lacks = self.lacks.or(other.lacks);
        self.undrawn = self.undrawn.or(other.undrawn);
        self.rain = Flow::from_ml_s(self.rain.ml_s().saturating_add(other.rain.ml_s()));
        self.rain_how = self.rain_how.with(other.rain_how);
        self.rain_lacks = self.rain_lacks.or(other.rain_lacks);
    }
}

/// What every leg is to carry, in the order of the record; nothing for ventilating and removed pipes.
pub fn find(network: &Network<'_>, rulebook: &Rulebook) -> Vec<DesignFlow> {
    let next = next(network);
    let mut waits = vec![0_usize; next.len()];
    for to in next.iter().flatten() {
        if let Some(count) = waits.get_mut(*to) {
            *count += 1;
        }
    }
    let mut flows = own(network, rulebook, &waits);
    let mut ready: Vec<usize> = (0..next.len()).filter(|i| waits.get(*i) == Some(&0)).collect();
    let mut done = vec![false; next.len()];
    while let Some(i) = ready.pop() {
        let Some(flow) = flows.get_mut(i) else { continue };
        if pipe(network, i).is_some_and(tells_the_rest) {
            flow.undrawn = None;
        }
        let flow = *flow;
        if let Some(seen) = done.get_mut(i) {
            *seen = true;
        }
        let Some(to) = next.get(i).copied().flatten() else { continue };
        if let (Some(below), Some(count)) = (flows.get_mut(to), waits.get_mut(to)) {
            below.add(&flow);
            *count -= 1;
            if *count == 0 {
                ready.push(to);
            }
        }
    }
    for (i, flow) in flows.iter_mut().enumerate().filter(|(i, _)| done.get(*i) == Some(&false)) {
        flow.lacks = Some(Lack::Ring(i));
    }
    let factor = rulebook.ask(key::FLOW_FREQUENCY, &Facts::new());
    flows.iter_mut().for_each(|flow| design(flow, &factor));
    flows.iter_mut().for_each(|flow| by_dwellings::fill(flow, network, rulebook));
    flows
}

/// Where each leg's water goes: down its own lower end, else into the leg that says it comes from it.
fn next(network: &Network<'_>) -> Vec<Option<usize>> {
    let carries = |i: usize| network.legs.get(i).is_some_and(|l| l.derived.kind != Kind::Vent) && !removed(network, i);
    let legs = 0..network.legs.len();
    let mut next: Vec<Option<usize>> =
        legs.clone().map(|i| network.downstream(i).filter(|to| carries(i) && carries(*to))).collect();
    for i in legs.filter(|i| carries(*i)) {
        if let Some(End::Pipe(above)) = network.legs.get(i).map(|l| l.ends.from)
            && above != i
            && carries(above)
            && let Some(slot) = next.get_mut(above)
        {
            slot.get_or_insert(i);
        }
    }
    next
}

fn pipe<'n>(network: &Network<'n>, leg: usize) -> Option<&'n Pipe> {
    let position = network.legs.get(leg)?.pipe;
    network.record.pipes.at(position).map(|item| &item.body)
}

fn removed(network: &Network<'_>, leg: usize) -> bool {
    pipe(network, leg).is_none_or(|p| p.stage_now() == Stage::Removed)
}

/// What each leg takes in by itself: its appliances, the dwellings it also carries, and what is not known of its head.
fn own(network: &Network<'_>, rulebook: &Rulebook, feeders: &[usize]) -> Vec<DesignFlow> {
    let mut flows: Vec<DesignFlow> = (0..network.legs.len())
        .map(|i| {
            let lack = lack(network, i, feeders.get(i).is_some_and(|n| *n > 0));
            let old = pipe(network, i).is_some_and(|p| p.stage_now() == Stage::Existing);
            let (lacks, undrawn) = if old { (None, lack) } else { (lack, None) };
            let own = DesignFlow { lacks, undrawn, ..DesignFlow::NOTHING };
            rain::led_in(network, i, feeders.get(i).is_some_and(|n| *n > 0), own)
        })
        .collect();
    for (a, leg) in outlets(network).into_iter().enumerate() {
        if let (Some(leg), Some(item)) = (leg, network.record.appliances.at(a))
            && stage_of(&item.body.stage) != Stage::Removed
            && let Some(flow) = flows.get_mut(leg)
        {
            flow.add(&of_appliance(rulebook, a, item));
        }
    }
    for (i, flow) in flows.iter_mut().enumerate() {
        if let Some((dwellings, how)) = pipe(network, i).and_then(|p| dwellings(&p.also_carries)) {
            flow.add(&of_dwellings(rulebook, dwellings, how));
        }
    }
    flows
}

/// What is not known of a leg's head, before anything runs into it.
fn lack(network: &Network<'_>, leg: usize, fed: bool) -> Option<Lack> {
    let (l, body) = (network.legs.get(leg)?, pipe(network, leg)?);
    if matches!(l.derived.kind, Kind::Vent | Kind::Stack) || body.stage_now() == Stage::Removed || dead(&body.live) {
        return None;
    }
    if tells_the_rest(body) || rain::only(body) {
        return None;
    }
    let old_chamber = match l.ends.from {
        End::Access(a) => network.record.access.at(a).is_some_and(|item| stage_of(&item.body.stage) == Stage::Existing),
        _ => false,
    };
    match l.ends.from {
        End::Unknown | End::Temporary | End::Outfall(_) => Some(Lack::Source(leg)),
        End::Absent if !fed => Some(Lack::Source(leg)),
        _ if old_chamber || body.stage_now() == Stage::Existing => Some(Lack::Existing(leg)),
        End::Absent | End::Appliance(_) | End::Pipe(_) | End::Access(_) => None,
    }
}

/// Whether an old pipe is said to carry nothing any more: `no`, with or without how that is known (`no by dye`).
fn dead(live: &Field<Words>) -> bool {
    let first = live.get().and_then(|w| w.0.split(|c: char| !c.is_alphanumeric()).find(|word| !word.is_empty()));
    live.is_none() || first.is_some_and(|word| word.eq_ignore_ascii_case("no"))
}

/// Whether a pipe says what it also carries: that answers for whatever old pipes bring to it undrawn.
fn tells_the_rest(pipe: &Pipe) -> bool {
    pipe.also_carries.is_none() || dwellings(&pipe.also_carries).is_some()
}

/// `1 dwelling`, `3 dwellings`, with how it is known.
fn dwellings(field: &Field<Words>) -> Option<(u32, How)> {
    let words = &field.get()?.0;
    let (number, what) = words.trim().split_once(' ')?;
    let count = number.parse().ok().filter(|_| matches!(what.trim(), "dwelling" | "dwellings"))?;
    Some((count, field.how.unwrap_or(How::Stated)))
}

/// For each appliance, the leg that it discharges into: its own, or that of the one whose trap it shares.
fn outlets(network: &Network<'_>) -> Vec<Option<usize>> {
    let appliances = &network.record.appliances;
    let standing = |legs: Vec<usize>| legs.into_iter().find(|leg| !removed(network, *leg));
    let legs: Vec<Option<usize>> = branches::outlets(network).into_iter().map(standing).collect();
    let host = |a: usize| appliances.at(a).and_then(|x| x.body.into.get()).and_then(|r| appliances.position(&r.0));
    let outlet = |a: usize| {
        // A chain of shared traps is short; eight links end one that runs in a circle.
        let mut chain = std::iter::successors(Some(a), |at| host(*at)).take(8);
        chain.find_map(|at| legs.get(at).copied().flatten())
    };
    (0..appliances.len()).map(outlet).collect()
}

fn of_appliance(rulebook: &Rulebook, position: usize, item: &Item<Appliance>) -> DesignFlow {
    let kind = kind_of(item);
    let wcs = u32::from(kind == Some(ApplianceKind::Wc));
    let counted = DesignFlow { wcs, appliances: 1, ..DesignFlow::NOTHING };
    match units(rulebook, kind, &item.body) {
        Some((units, recalled)) => DesignFlow { units, largest: units, recalled, ..counted },
        None => DesignFlow { lacks: Some(Lack::Appliance(position)), ..counted },
    }
}

/// The discharge units of each appliance, in the order of the record, and whether they were recalled.
pub fn of_appliances(network: &Network<'_>, rulebook: &Rulebook) -> Vec<Option<(Units, bool)>> {
    network.record.appliances.iter().map(|item| units(rulebook, kind_of(item), &item.body)).collect()
}

/// The discharge units of an appliance, and whether they were recalled.
fn units(rulebook: &Rulebook, kind: Option<ApplianceKind>, body: &Appliance) -> Option<(Units, bool)> {
    let answer = match (kind?, body.cistern.get()) {
        (ApplianceKind::Wc, Some(words)) => {
            rulebook.ask(key::FLOW_UNITS_WC, &Facts::new().with(Fact::Cistern, cistern(&words.0)?.as_str()))
        }
        (kind, _) => rulebook.ask(key::FLOW_UNITS, &Facts::new().with(Fact::Appliance, kind.word())),
    };
    answer.limit().map(|limit| (limit.value, limit.recalled))
}

/// `6 litre` out of "6 litre", "6/4 l dual flush" or "siphon, 7.5 litres": the full flush, which is written first.
fn cistern(words: &str) -> Option<String> {
    let start = words.find(|c: char| c.is_ascii_digit())?;
    let rest = words.get(start..)?;
    let end = rest.find(|c: char| !c.is_ascii_digit() && c != '.').unwrap_or(rest.len());
    let (number, unit) = rest.split_at_checked(end)?;
    unit.contains('l').then(|| format!("{} litre", number.strip_suffix(".0").unwrap_or(number)))
}

fn of_dwellings(rulebook: &Rulebook, count: u32, how: How) -> DesignFlow {
    let one = rulebook.ask(key::FLOW_UNITS_DWELLING, &Facts::new());
    let wc = rulebook.ask(key::FLOW_UNITS, &Facts::new().with(Fact::Appliance, ApplianceKind::Wc.word()));
    let (Some(one), Some(wc)) = (one.limit(), wc.limit()) else {
        return DesignFlow { lacks: Some(Lack::Factor), ..DesignFlow::NOTHING };
    };
    let sum = one.value.thousandths().saturating_mul(i64::from(count));
    DesignFlow {
        units: Units::from_thousandths(sum),
        largest: if count == 0 { Units::default() } else { wc.value },
        wcs: count,
        appliances: count.saturating_mul(APPLIANCES_OF_A_DWELLING),
        dwellings: count,
        how,
        recalled: one.recalled || wc.recalled,
        ..DesignFlow::NOTHING
    }
}

/// Works the flow out of the sums.
fn design(flow: &mut DesignFlow, factor: &Answer<Factor>) {
    flow.lacks = flow.lacks.or(flow.undrawn.take());
    let litres = |units: Units| units.thousandths() as f64 / 1000.0;
    let factor = factor.limit();
    if factor.is_none() {
        flow.lacks = Some(Lack::Factor);
    }
    let k = factor.map_or(0.0, |limit| limit.value.value());
    flow.recalled |= factor.is_some_and(|limit| limit.recalled);
    let waste_water = waste_water_l_s(k, litres(flow.units), litres(flow.largest));
    flow.waste_water = millilitres(waste_water);
    flow.total = millilitres(total_l_s(waste_water, 0.0, 0.0));
}

/// Litres a second to whole millilitres a second.
fn millilitres(l_s: f64) -> Flow {
    Flow::from_ml_s((l_s * 1000.0).round() as i64)
}
