//! Terminals of ventilating pipes: how far above each opening, and how far from it.

use crate::base::known::Known;
use crate::base::units::Length;
use crate::base::units::Spot;
use crate::network::Network;
use crate::network::height::Height;

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

/// Every terminal held against every opening that opens, in the order of the record.
pub fn nearness(network: &Network<'_>) -> Vec<Nearness> {
    let record = network.record;
    let mut all = Vec::new();
    for (t, terminal) in record.terminals.iter().enumerate() {
        let top: Option<Height<Spot>> = network.height(&terminal.body.top, None);
        for (o, opening) in record.openings.iter().enumerate() {
            if opening.body.opens.get().is_some_and(|w| !w.yes()) {
                continue;
            }
            let head: Option<Height<Spot>> = network.height(&opening.body.head, None);
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
