//! Drawings from the network: long sections of drains, and the small plan of the inspector's first page.
//!
//! 1. [`runs`] finds drains in series; [`model`] gathers their points, pipes and levels, with [`stations`] along them
//!    and [`floors`] above.
//! 2. [`layout`] chooses sheets, scales and the datum; [`sheet`] and [`label`] keep text clear of all else.
//! 3. [`profile`], [`around`], [`walls`], [`joined`], [`depths`] and [`strip`] draw; [`foot`] adds key and notes;
//!    [`branch`] a side drain's own section.
//! 4. [`long`] puts sheets together, with [`alt`] for their words; [`plan`] is the small plan, with [`nodes`],
//!    [`arrivals`], [`texts`] and [`legend`]; [`mod@plan_upright`] is the same for a narrow screen.
//!
//! Every number is written by the functions of its own type; nothing here judges.

mod alt;
mod around;
mod arrivals;
mod branch;
mod depths;
mod drops;
mod floors;
mod foot;
mod joined;
mod label;
mod layout;
mod legend;
mod long;
mod model;
mod nodes;
pub mod owners_plan;
mod plan;
mod plan_upright;
mod profile;
mod runs;
mod sheet;
mod stations;
mod strip;
mod texts;
mod walls;
mod words;

use crate::base::drawing::Drawing;
use crate::network::Network;

/// Long sections: one drawing a main run of drains, more where it is cut at a chamber; a side drain has its own small
/// section below its main run, or a sheet. 170 mm wide and at most 250 mm high.
pub fn long_sections(network: &Network<'_>) -> Vec<Drawing> {
    runs::families(network).iter().flat_map(|family| long::sheets(network, family)).collect()
}

/// The same plan with the flow downwards, for a narrow screen: 80 mm wide; `None` without a drain.
pub fn plan_upright(network: &Network<'_>) -> Option<Drawing> {
    plan_upright::draw(network)
}

/// The small plan of the inspector's first page, 149 mm wide and not to scale; `None` without a drain.
pub fn plan_strip(network: &Network<'_>) -> Option<Drawing> {
    plan::strip(network)
}
