//! How long each pipe is and how it is held up: the spacing of brackets by its kind and size, and how many that makes.

use crate::base::known::Known;
use crate::base::series::series;
use crate::base::units::Length;
use crate::compute::stacks::StackEntry;
use crate::compute::stacks::What;
use crate::network::Network;
use crate::network::height::Height;
use crate::network::kind::Kind;
use crate::record::pipework::Pipe;
use crate::record::words::Words;
use crate::rulebook::Fact;
use crate::rulebook::Facts;
use crate::rulebook::Rulebook;
use crate::rulebook::key;

/// How a pipe is held up.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Support {
    /// Farthest from one bracket to the next.
    pub spacing: Length,
    /// Whether that was recalled and not read.
    pub recalled: bool,
    /// Whether the pipe stands upright.
    pub upright: bool,
    /// How many brackets its length asks for; `None` when that is not known.
    pub brackets: Option<i64>,
}

/// Length of each leg, in the order of the record: as recorded; else, of a stack, from the invert at its foot to where
/// its ventilating pipe stands, and of that pipe up to its terminal, straight up.
pub fn lengths(network: &Network<'_>, entries: &[StackEntry]) -> Vec<Option<Known<Length>>> {
    let legs = network.legs.iter().enumerate();
    legs.map(|(i, leg)| match leg.derived.kind {
        _ if leg.length.is_some() => leg.length,
        Kind::Stack => vent_on(entries, i).and_then(|e| e.height),
        Kind::Vent => upright(network, entries, i),
        Kind::Branch | Kind::CommonBranch | Kind::Drain => None,
    })
    .collect()
}

fn vent_on(entries: &[StackEntry], stack: usize) -> Option<&StackEntry> {
    entries.iter().find(|e| e.stack == stack && matches!(e.what, What::Vent(_)))
}

/// From where a ventilating pipe stands on its stack to the top of its terminal.
fn upright(network: &Network<'_>, entries: &[StackEntry], vent: usize) -> Option<Known<Length>> {
    let start = entries.iter().find(|e| e.what == What::Vent(vent))?;
    let top = pipe(network, vent)?.top.get()?;
    let terminal = network.record.terminals.get(&top.0)?;
    let top: Height<crate::base::units::Spot> = network.height(&terminal.body.top, None)?;
    let whole = top.above(&network.solved(start.stack).down?)?;
    let below = start.height?;
    let half = whole.half + below.half;
    Some(Known { value: whole.value - below.value, half, how: whole.how.with(below.how) })
}

fn pipe<'n>(network: &Network<'n>, leg: usize) -> Option<&'n Pipe> {
    let position = network.legs.get(leg)?.pipe;
    network.record.pipes.at(position).map(|item| &item.body)
}

/// How each leg is held up, in the order of the record; `None` for drains, which lie on their bed, and for pipes of
/// which no spacing is told.
pub fn find(network: &Network<'_>, rulebook: &Rulebook, lengths: &[Option<Known<Length>>]) -> Vec<Option<Support>> {
    let one = |i: usize| {
        let kind = network.legs.get(i)?.derived.kind;
        let upright = matches!(kind, Kind::Stack | Kind::Vent);
        let limit = (kind != Kind::Drain).then(|| spacing(rulebook, pipe(network, i)?, upright))??;
        let length = lengths.get(i).copied().flatten();
        let brackets = length.map(|l| brackets(l.value, limit.0));
        Some(Support { spacing: limit.0, recalled: limit.1, upright, brackets })
    };
    (0..network.legs.len()).map(one).collect()
}

/// The spacing of a pipe's series and size, and whether it was recalled.
fn spacing(rulebook: &Rulebook, pipe: &Pipe, upright: bool) -> Option<(Length, bool)> {
    let words = |f: &crate::record::value::Field<Words>| f.get().map(|w| w.0.clone());
    let size = pipe.size.get()?.nominal;
    let series = series(size, words(&pipe.material).as_deref(), words(&pipe.joints).as_deref())?;
    let facts = Facts::new().with(Fact::PipeSeries, series.word).with(Fact::Size, size);
    let key = if upright { key::SUPPORT_SPACING_UPRIGHT_MAXIMUM } else { key::SUPPORT_SPACING_SLOPING_MAXIMUM };
    rulebook.ask(key, &facts).limit().map(|l| (l.value, l.recalled)).filter(|(spacing, _)| *spacing > Length::ZERO)
}

/// One bracket at the upper end and one after each whole spacing; the lower end is held by what the pipe enters.
fn brackets(length: Length, spacing: Length) -> i64 {
    let (length, spacing) = (length.um().max(0), spacing.um().max(1));
    length / spacing + i64::from(length % spacing > 0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: 2.20 m at 0.5 m has brackets at 0, 0.5, 1.0, 1.5 and 2.0 m; 1.50 m has them at 0, 0.5 and 1.0 m, and
    /// its end lies a spacing after the last.
    #[test]
    fn brackets_stand_at_whole_spacings_short_of_the_lower_end() {
        let half = Length::from_mm(500);
        for (mm, count) in [(0, 0), (1, 1), (500, 1), (501, 2), (1500, 3), (2200, 5)] {
            assert_eq!(brackets(Length::from_mm(mm), half), count, "{mm} mm");
        }
    }
}
