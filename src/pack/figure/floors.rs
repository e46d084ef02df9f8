//! The floors that heads of drain are measured from.

use crate::base::known::Known;
use crate::base::units::Level;
use crate::base::units::Spot;
use crate::network::Network;
use crate::network::ends::End;
use crate::pack::figure::model;
use crate::pack::figure::model::Datum;

/// The lowest floor of the appliances that feed a stack, with its place.
pub(super) fn floor_of_stack(net: &Network<'_>, stack: usize, datum: Datum) -> (Option<Known<Level<Spot>>>, String) {
    let feeding = net.feeding.get(stack).cloned().unwrap_or_default();
    let floors = feeding.iter().filter_map(|leg| match net.legs.get(*leg)?.ends.from {
        End::Appliance(a) => {
            let (level, place) = floor(net, a, datum);
            level.map(|l| (l, place))
        }
        _ => None,
    });
    let lowest = floors.min_by_key(|(level, _)| level.value.um());
    lowest.map_or((None, String::new()), |(level, place)| (Some(level), place))
}

/// The floor that an appliance stands on, with its place.
pub(super) fn floor(net: &Network<'_>, appliance: usize, datum: Datum) -> (Option<Known<Level<Spot>>>, String) {
    let Some(item) = net.record.appliances.at(appliance) else { return (None, String::new()) };
    let place = item.body.place.get().map_or("", |t| t.0.as_str()).to_owned();
    (model::on(datum, net.height(&item.body.floor, None)), place)
}
