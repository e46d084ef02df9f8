//! Depths of chambers: cover level less outgoing invert.

use crate::base::known::Known;
use crate::base::units::Cover;
use crate::base::units::Invert;
use crate::base::units::Length;
use crate::network::Network;
use crate::network::height::Height;

/// Depth of each access point, in the order of the record: from its cover to the invert that leaves it, as recorded or
/// as the one pipe that leaves it has it. `None` when either is not known, or they have no datum in common.
pub fn depths(network: &Network<'_>) -> Vec<Option<Known<Length>>> {
    network
        .record
        .access
        .iter()
        .zip(&network.leaving)
        .map(|(item, leg)| {
            let cover: Height<Cover> = network.height(&item.body.cover, Some(&item.body.kit))?;
            let recorded: Option<Height<Invert>> = network.height(&item.body.il_out, Some(&item.body.kit));
            let invert = recorded.or_else(|| network.solved((*leg)?).up)?;
            cover.above(&invert)
        })
        .collect()
}
