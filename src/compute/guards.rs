//! What stands between each appliance and the sewer: the first anti-flooding valve and the first pump on its way down.

use crate::base::known::Known;
use crate::base::units::Length;
use crate::compute::order::downstream_first;
use crate::network::Network;
use crate::network::ends::End;
use crate::network::kind::Kind;
use crate::network::legs::from_upper_end;
use crate::record::quantity::Station;
use crate::record::value::Field;
use crate::record::words::Ref;
use crate::record::words::Stage;

/// A valve or pump that water comes to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Met {
    /// It, by position in the record's section.
    pub guard: usize,
    /// Whether the water surely comes to it; not where it joins the pipe beside it, at a place that is not known.
    pub sure: bool,
}

/// What the water of an appliance comes to on its way.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Guarded {
    /// The first valve.
    pub valve: Option<Met>,
    /// The first pump.
    pub pump: Option<Met>,
    /// Whether the appliance drains anywhere that the record shows.
    pub drains: bool,
}

impl Guarded {
    fn or(self, further: Guarded) -> Guarded {
        Guarded { valve: self.valve.or(further.valve), pump: self.pump.or(further.pump), drains: true }
    }

    /// What only may be met is not sure.
    fn perhaps(self) -> Guarded {
        let doubt = |met: Option<Met>| met.map(|m| Met { sure: false, ..m });
        Guarded { valve: doubt(self.valve), pump: doubt(self.pump), ..self }
    }
}

/// For each appliance, in the order of the record, what guards it. One walk up the network.
pub fn find(network: &Network<'_>, outlets: &[Vec<usize>]) -> Vec<Guarded> {
    let record = network.record;
    let valves = on_legs(network, record.valves.iter().map(|v| (&v.body.on, v.body.stage.get(), Some(&v.body.at))));
    let pumps = on_legs(network, record.pumps.iter().map(|p| (&p.body.on, p.body.stage.get(), None)));
    let own = |leg: usize| Guarded {
        valve: slot(&valves, leg).map(|on| Met { guard: on.guard, sure: true }),
        pump: slot(&pumps, leg).map(|on| Met { guard: on.guard, sure: true }),
        drains: true,
    };
    // What water meets that comes in at the upper end of each leg, and what it meets after that leg.
    let mut at_top = vec![Guarded::default(); network.legs.len()];
    let mut after = at_top.clone();
    for leg in downstream_first(network) {
        let below = enters(network, leg, &at_top, &after, (&valves, &pumps));
        if let Some(place) = after.get_mut(leg) {
            *place = below;
        }
        if let Some(place) = at_top.get_mut(leg) {
            *place = own(leg).or(below);
        }
    }
    (0..record.appliances.len()).map(|a| of_appliance(network, a, outlets, &at_top)).collect()
}

/// A guard on a leg, and how far down from its upper end; at the lower end when nothing is said.
#[derive(Clone, Copy)]
struct On {
    guard: usize,
    along: Along,
}

#[derive(Clone, Copy)]
enum Along {
    End,
    At(Known<Length>),
    Unknown,
}

fn slot(all: &[Option<On>], leg: usize) -> Option<On> {
    all.get(leg).copied().flatten()
}

type Guard<'r> = (&'r Field<Ref>, Option<&'r Stage>, Option<&'r Field<Station>>);

fn on_legs<'r>(network: &Network<'r>, guards: impl Iterator<Item = Guard<'r>>) -> Vec<Option<On>> {
    let record = network.record;
    let mut all = vec![None; network.legs.len()];
    for (guard, (on, stage, at)) in guards.enumerate() {
        let leg = on.get().and_then(|r| record.pipes.position(&r.0)).filter(|_| stage != Some(&Stage::Removed));
        let Some((leg, place)) = leg.and_then(|l| Some((network.legs.get(l)?, all.get_mut(l)?))) else { continue };
        let along = match at.filter(|at| !at.is_absent()) {
            None => Along::End,
            Some(at) => match at.get() {
                Some(Station::Along { distance, up, from }) => {
                    let known = Known { value: distance.value, half: distance.half, how: record.how(at) };
                    from_upper_end(record, leg, known, *up, from).map_or(Along::Unknown, Along::At)
                }
                Some(Station::Level(_) | Station::AboveFoot(_)) | None => Along::Unknown,
            },
        };
        place.get_or_insert(On { guard, along });
    }
    all
}

/// What the water that leaves a leg comes to.
fn enters(
    network: &Network<'_>,
    leg: usize,
    at_top: &[Guarded],
    after: &[Guarded],
    (valves, pumps): (&[Option<On>], &[Option<On>]),
) -> Guarded {
    let nothing = Guarded { drains: true, ..Guarded::default() };
    let Some(next) = network.downstream(leg).filter(|n| *n != leg) else { return nothing };
    let whole = at_top.get(next).copied().unwrap_or(nothing);
    let Some((own, receiver)) = network.legs.get(leg).zip(network.legs.get(next)) else { return nothing };
    let by_side = own.ends.to == End::Pipe(next) && receiver.ends.from != End::Pipe(leg);
    if !by_side || own.derived.kind == Kind::Stack || receiver.derived.kind == Kind::Stack {
        return whole;
    }
    // From the side: behind the guard when it joins above it, past it when below.
    let past = after.get(next).copied().unwrap_or(nothing);
    let join = own.join.and_then(|j| j.along);
    let behind = |on: Option<On>| match (on.map(|on| on.along), join) {
        (None, _) => Some(false),
        (Some(Along::End), _) => Some(true),
        (Some(Along::At(place)), Some(join)) if (place.value - join.value).abs() > place.half + join.half => {
            Some(join.value < place.value)
        }
        (Some(Along::At(_) | Along::Unknown), _) => None,
    };
    let choose = |on: Option<On>, whole: Option<Met>, past: Option<Met>| match behind(on) {
        Some(true) => whole,
        Some(false) => past,
        None => whole.map(|m| Met { sure: false, ..m }),
    };
    Guarded {
        valve: choose(slot(valves, next), whole.valve, past.valve),
        pump: choose(slot(pumps, next), whole.pump, past.pump),
        drains: true,
    }
}

/// What guards an appliance: the pipe from its own trap, or from the trap that it shares.
fn of_appliance(network: &Network<'_>, appliance: usize, outlets: &[Vec<usize>], at_top: &[Guarded]) -> Guarded {
    let record = network.record;
    let mut at = appliance;
    // Each step goes on to another trap, so there are never more steps than appliances.
    for _ in 0..=record.appliances.len() {
        let legs = outlets.get(at).map_or(&[][..], Vec::as_slice);
        let ways = legs.iter().filter_map(|leg| at_top.get(*leg).copied());
        if let Some(found) = ways.reduce(|a, b| if a == b { a } else { a.or(b).perhaps() }) {
            return found;
        }
        let into = record.appliances.at(at).and_then(|a| a.body.into.get());
        match into.and_then(|r| record.appliances.position(&r.0)) {
            Some(next) => at = next,
            None => break,
        }
    }
    Guarded::default()
}
