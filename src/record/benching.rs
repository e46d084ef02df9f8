//! The benching of a chamber: the sloped floor beside its channel.

use crate::record::item::item;
use crate::record::quantity::Fall;
use crate::record::quantity::Measure;

item! {
    /// The sloped floor beside the channel of a chamber.
    Benching {
        /// How far it comes up above the invert of the pipe that leaves.
        height "height": Measure = "110 mm";
        /// How it slopes from there back to the channel.
        slope "slope": Fall = "1 in 12";
        /// The radius of its edge at the channel.
        edge "edge": Measure = "25 mm";
    }
}
