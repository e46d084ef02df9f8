//! Lengths of drain from one access point, or the start of a drain, to the next access point with the flow.

use crate::base::known::Known;
use crate::base::units::Length;
use crate::network::Network;
use crate::network::ends::End;
use crate::network::kind::Kind;
use crate::record::words::Stage;

/// A length of drain between two places where it can be got at.
#[derive(Clone, Debug, PartialEq)]
pub struct Run {
    /// The first leg, whose id names the run.
    pub first: usize,
    /// Every leg it goes along, with the flow.
    pub legs: Vec<usize>,
    /// What stands at its upper end.
    pub from: End,
    /// What stands at its lower end; [`End::Absent`] when it cannot be followed so far.
    pub to: End,
    /// Its length; `None` when a part of it is not recorded.
    pub length: Option<Known<Length>>,
    /// The leg of which the length, or the place of its join, is missing.
    pub missing: Option<usize>,
}

/// Every run that starts at an access point, a stack's foot or an appliance, in the order of the record. Existing and
/// removed drains start none.
pub fn runs(network: &Network<'_>) -> Vec<Run> {
    let starts = |end: End| match end {
        End::Access(_) | End::Appliance(_) => true,
        End::Pipe(p) => network.legs.get(p).is_some_and(|l| l.derived.kind == Kind::Stack),
        End::Outfall(_) | End::Temporary | End::Unknown | End::Absent => false,
    };
    network
        .legs
        .iter()
        .enumerate()
        .filter(|(_, leg)| leg.derived.kind == Kind::Drain && starts(leg.ends.from))
        .filter(|(_, leg)| {
            let stage = network.record.pipes.at(leg.pipe).map(|p| p.body.stage_now());
            !matches!(stage, Some(Stage::Existing | Stage::Removed) | None)
        })
        .map(|(i, _)| follow(network, i))
        .collect()
}

fn follow(network: &Network<'_>, first: usize) -> Run {
    let from = network.legs.get(first).map_or(End::Absent, |l| l.ends.from);
    let mut run = Run { first, legs: Vec::new(), from, to: End::Absent, length: None, missing: None };
    let mut total: Option<Known<Length>> = Some(Known::exact(Length::ZERO, crate::base::known::How::Computed));
    let mut at = first;
    let mut skipped: Option<Known<Length>> = None;
    // A run never holds a leg twice: a ring ends it.
    while !run.legs.contains(&at) {
        let Some(leg) = network.legs.get(at) else { break };
        run.legs.push(at);
        let part = leg.length.map(|l| match skipped {
            Some(s) => Known { value: l.value - s.value, half: l.half + s.half, how: l.how.with(s.how) },
            None => l,
        });
        if part.is_none() {
            run.missing.get_or_insert(at);
        }
        total = total.zip(part).map(|(t, p)| Known {
            value: t.value + p.value,
            half: t.half + p.half,
            how: t.how.with(p.how),
        });
        match leg.ends.to {
            End::Pipe(next) => {
                skipped = leg.join.and_then(|j| j.along);
                if skipped.is_none() {
                    run.missing.get_or_insert(at);
                    total = None;
                }
                at = next;
            }
            end => {
                run.to = end;
                break;
            }
        }
    }
    run.length = total;
    run
}
