//! Ties through chambers. A chamber by itself ties no invert to another: only what the record says does, which is a
//! fall through its channel, or which lines meet where a drain enters it.

use crate::base::known::How;
use crate::base::known::Known;
use crate::base::units::Length;
use crate::network::ends::End;
use crate::network::kind::Kind;
use crate::network::legs::Leg;
use crate::network::legs::offset;
use crate::record::sections::Record;
use crate::record::words::Entry;

/// An inlet tied to the outlet of its chamber.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tie {
    /// The leg that comes in.
    pub inlet: usize,
    /// The leg that leaves.
    pub outlet: usize,
    /// The chamber, by position in the record.
    pub access: usize,
    /// How far the inlet's invert lies above the outlet's.
    pub rise: Known<Length>,
}

/// Finds every tie, chamber by chamber.
pub fn find(record: &Record, legs: &[Leg]) -> Vec<Tie> {
    let mut into: Vec<Vec<usize>> = vec![Vec::new(); record.access.len()];
    let mut out: Vec<Vec<usize>> = vec![Vec::new(); record.access.len()];
    for (i, leg) in legs.iter().enumerate().filter(|(_, l)| l.derived.kind == Kind::Drain) {
        for (end, lists) in [(leg.ends.to, &mut into), (leg.ends.from, &mut out)] {
            if let End::Access(a) = end
                && let Some(list) = lists.get_mut(a)
            {
                list.push(i);
            }
        }
    }
    let mut ties = Vec::new();
    for (access, (into, out)) in into.iter().zip(&out).enumerate() {
        // With two drains leaving it is not told which of them is meant.
        let [outlet] = out.as_slice() else { continue };
        let channel = channel(record, legs, access, into);
        ties.extend(channel.map(|(inlet, rise)| Tie { inlet, outlet: *outlet, access, rise }));
        let meets = into.iter().filter_map(|i| meeting(record, legs, *i, *outlet).map(|rise| (*i, rise)));
        ties.extend(meets.map(|(inlet, rise)| Tie { inlet, outlet: *outlet, access, rise }));
    }
    ties
}

/// The fall through the channel, with the drain that runs straight through: the one named, else the only one that comes
/// in other than by a backdrop.
fn channel(record: &Record, legs: &[Leg], access: usize, into: &[usize]) -> Option<(usize, Known<Length>)> {
    let body = &record.access.at(access)?.body;
    let field = &body.channel_drop;
    let drop = field.get()?;
    let named = body.main_run.get().map(|main| record.pipes.position(&main.0));
    let straight: Vec<usize> = into.iter().copied().filter(|i| !drops_in(record, legs, *i)).collect();
    let main = match (named, straight.as_slice()) {
        (Some(main), _) => main.filter(|m| into.contains(m)),
        (None, [only]) => Some(*only),
        (None, _) => None,
    };
    Some((main?, Known { value: drop.value, half: drop.half, how: record.how(field) }))
}

/// Whether a drain comes in by a backdrop or a ramp, so that its invert is not that of the channel.
fn drops_in(record: &Record, legs: &[Leg], leg: usize) -> bool {
    let pipe = legs.get(leg).and_then(|l| record.pipes.at(l.pipe));
    pipe.is_some_and(|p| matches!(p.body.entry.get(), Some(Entry::Backdrop | Entry::Ramp)))
}

/// How far an inlet lies above the outlet where the record says which lines of the two meet.
fn meeting(record: &Record, legs: &[Leg], leg: usize, outlet: usize) -> Option<Known<Length>> {
    let (own, out) = (legs.get(leg)?, legs.get(outlet)?);
    let field = &record.pipes.at(own.pipe)?.body.meets;
    let meets = field.get().filter(|_| !drops_in(record, legs, leg))?;
    let how = match own.bore_recalled || out.bore_recalled {
        true => record.how(field).with(How::Computed),
        false => record.how(field),
    };
    offset(*meets, own.bore, out.bore).map(|rise| Known::exact(rise, how))
}
