//! placeholder
use crate::base::drawing::Drawing;
use crate::network::Network;
/// none yet
pub fn long_sections(_: &Network<'_>) -> Vec<Drawing> {
    Vec::new()
}
/// none yet
pub fn plan_strip(_: &Network<'_>) -> Option<Drawing> {
    None
}
