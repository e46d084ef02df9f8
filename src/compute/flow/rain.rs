//! Rain that a pipe leads in: it comes at once and on top of what appliances bring.

use crate::base::known::How;
use crate::compute::flow::DesignFlow;
use crate::compute::flow::Lack;
use crate::compute::flow::pipe;
use crate::compute::flow::removed;
use crate::network::Network;
use crate::record::pipework::Pipe;
use crate::record::words::Water;
use crate::rulebook::Flow;

/// Whether a pipe is there for rain alone.
pub(super) fn only(pipe: &Pipe) -> bool {
    pipe.carries.get() == Some(&Water::Rain)
}

/// Adds what a leg leads in at its head: as recorded; of one that is there for rain and begins here, it is lacking.
pub(super) fn led_in(network: &Network<'_>, leg: usize, fed: bool, own: DesignFlow) -> DesignFlow {
    let Some(body) = pipe(network, leg).filter(|_| !removed(network, leg)) else { return own };
    match body.rain.get() {
        Some(said) => {
            DesignFlow { rain: Flow::from_ml_s(said.ml_s), rain_how: body.rain.how.unwrap_or(How::Stated), ..own }
        }
        None if only(body) && (!fed || !body.rain.is_absent()) => {
            DesignFlow { rain_lacks: Some(Lack::Rain(leg)), ..own }
        }
        None => own,
    }
}
