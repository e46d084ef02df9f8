//! Terminals of ventilating pipes: how far above each opening, and how far from it.

use crate::base::known::How;
use crate::base::known::Known;
use crate::base::units::Length;
use crate::base::units::Spot;
use crate::network::Network;
use crate::network::height::Height;
use crate::record::pipework::Opening;
use crate::record::pipework::Terminal;
use crate::record::sections::Item;
use crate::record::words::Stage;

/// A terminal held against an opening.
#[derive(Clone, Debug, PartialEq)]
pub struct Nearness {
    /// The terminal, by position in the record.
    pub terminal: usize,
    /// The opening, by position in the record.
    pub opening: usize,
    /// How far the terminal's top stands above the opening's head; negative when it is lower.
    pub above: Option<Known<Length>>,
    /// How far apart they are.
    pub distance: Option<Known<Length>>,
}

/// What the words of a terminal make of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum End {
    /// Air goes in and out.
    Vent,
    /// A valve or a plug: no air comes out.
    Shut,
    /// Nothing is said of it, or it has been taken away.
    Unsaid,
}

/// Words of a terminal that lets no air out.
const SHUT: [&str; 8] = ["admittance", "aav", "capped", "plugged", "bung", "blanked", "sealed", "access plug"];

/// Words of one that lets air in.
const VALVE: [&str; 2] = ["admittance", "aav"];

/// Whether a terminal lets air out, by its words.
pub fn what_ends(terminal: &Terminal) -> End {
    let Some(what) = terminal.what.get() else { return End::Unsaid };
    if matches!(terminal.stage.get(), Some(Stage::Removed | Stage::Temporary)) {
        return End::Unsaid;
    }
    let what = what.0.to_lowercase();
    if SHUT.iter().any(|word| what.contains(word)) { End::Shut } else { End::Vent }
}

/// Whether it is a valve that lets air in and none out.
pub fn is_valve(terminal: &Terminal) -> bool {
    let what = terminal.what.get().map_or(String::new(), |w| w.0.to_lowercase());
    VALVE.iter().any(|word| what.contains(word))
}

/// Whether it takes the place of a tile, a slate or a unit of the ridge.
pub fn replaces_roofing(terminal: &Terminal) -> bool {
    let what = terminal.what.get().map_or(String::new(), |w| w.0.to_lowercase());
    let covering = ["tile", "slate", "ridge"].iter().any(|word| what.contains(word));
    covering && !what.contains("pipe") && what_ends(terminal) == End::Vent
}

/// Whether the record says that a terminal was agreed with the building-control body.
pub fn agreed(terminal: &Terminal) -> bool {
    terminal.agreed.get().is_some_and(|words| !words.0.to_lowercase().starts_with("not"))
}

/// Every terminal held against every opening that opens, by terminal and then by opening in the
/// order of the record. An opening that is only believed not to open counts.
pub fn nearness(network: &Network<'_>) -> Vec<Nearness> {
    let record = network.record;
    let heads: Vec<Option<Height<Spot>>> = record.openings.iter().map(|o| network.height(&o.body.head, None)).collect();
    let fixed =
        |o: &Item<Opening>| o.body.opens.get().is_some_and(|w| !w.yes()) && record.how(&o.body.opens) != How::Believed;
    let mut all = Vec::new();
    for (t, terminal) in record.terminals.iter().enumerate() {
        let top: Option<Height<Spot>> = network.height(&terminal.body.top, None);
        for (o, opening) in record.openings.iter().enumerate().filter(|(_, o)| !fixed(o)) {
            let head = heads.get(o).copied().flatten();
            let distance = opening.body.from.get().and_then(|m| m.get(&terminal.id)).and_then(|field| {
                let m = field.get()?;
                Some(Known { value: m.value, half: m.half, how: record.how(field) })
            });
            let above = top.zip(head).and_then(|(top, head)| top.above(&head));
            all.push(Nearness { terminal: t, opening: o, above, distance });
        }
    }
    all
}

/// Those of one terminal.
pub fn of_terminal(all: &[Nearness], terminal: usize) -> &[Nearness] {
    let first = all.partition_point(|n| n.terminal < terminal);
    let after = all.partition_point(|n| n.terminal <= terminal);
    all.get(first..after).unwrap_or(&[])
}
