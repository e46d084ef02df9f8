//! What things are called on the owner's pages: in the words of a home, not of the trade.

use crate::network::Network;
use crate::record::facts::kind_of;
use crate::record::pipework::Appliance;
use crate::record::sections::Item;
use crate::record::words::ApplianceKind;

/// What an appliance is called in a home.
pub(crate) fn appliance(item: &Item<Appliance>) -> &'static str {
    match kind_of(item) {
        Some(ApplianceKind::Wc) => "toilet",
        Some(ApplianceKind::Basin) => "basin",
        Some(ApplianceKind::Bidet) => "bidet",
        Some(ApplianceKind::Bath) => "bath",
        Some(ApplianceKind::Shower) => "shower",
        Some(ApplianceKind::Sink) => "sink",
        Some(ApplianceKind::WashingMachine) => "washing machine",
        Some(ApplianceKind::Dishwasher) => "dishwasher",
        Some(ApplianceKind::FoodWaste) => "food waste unit",
        Some(ApplianceKind::Urinal) => "urinal",
        None => "fitting",
    }
}

/// "the toilet in flat A".
pub(crate) fn appliance_in(item: &Item<Appliance>) -> String {
    let place = item.body.place.get().map_or(String::new(), |p| format!(" in {}", p.0));
    format!("the {}{place}", appliance(item))
}

/// A person by name, else by the id that the record knows them by.
pub(crate) fn person(network: &Network<'_>, role: &str) -> Option<(String, Option<String>)> {
    let found =
        network.record.people.iter().find(|p| p.body.role.get().is_some_and(|r| r.0.eq_ignore_ascii_case(role)))?;
    let name = found.body.name.get().map_or_else(|| found.id.clone(), |n| n.0.clone());
    Some((name, found.body.phone.get().map(|p| p.0.clone())))
}

/// Words with ids of the record replaced by what the owner's page calls them.
pub(crate) fn renamed(words: &str, names: &[(String, String)]) -> String {
    let inside = |c: char| c.is_alphanumeric() || c == '-' || c == '_';
    let mut out = String::new();
    let mut word = String::new();
    for c in words.chars().chain(std::iter::once('\n')) {
        if inside(c) {
            word.push(c);
            continue;
        }
        let known = names.iter().find(|(id, _)| *id == word).map(|(_, name)| name.as_str());
        out.push_str(known.unwrap_or(&word));
        word.clear();
        if c != '\n' {
            out.push(c);
        }
    }
    out
}

/// Whether words speak of an id.
pub(crate) fn mentions(words: &str, id: &str) -> bool {
    words.split(|c: char| !(c.is_alphanumeric() || c == '-' || c == '_')).any(|w| w == id)
}
