//! What comes to each pump in a day.

use crate::base::known::How;
use crate::network::Network;
use crate::record::protection::Pump;
use crate::record::quantity::Count;
use crate::record::value::Field;
use crate::rulebook::Facts;
use crate::rulebook::Rulebook;
use crate::rulebook::key;

/// The foul water of a day that a pump lifts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Inflow {
    /// How many people.
    pub heads: u32,
    /// Litres of each in a day.
    pub each: u32,
    /// How much of it is pumped, per cent.
    pub percent: u32,
    /// How it is known.
    pub how: How,
}

impl Inflow {
    /// Hundredths of a litre in a day.
    pub fn centilitres(&self) -> u128 {
        u128::from(self.heads) * u128::from(self.each) * u128::from(self.percent)
    }

    /// Whole hours of it that a volume in microlitres holds; for no inflow at all the most there is.
    pub fn hours(&self, ul: i64) -> u32 {
        let scaled = u128::from(ul.max(0).unsigned_abs()) * 24;
        let hours = scaled.checked_div(self.centilitres() * 10_000).unwrap_or(u128::from(u32::MAX));
        u32::try_from(hours).unwrap_or(u32::MAX)
    }

    /// As it is printed: `900 l a day, 6 heads at 150 l`.
    pub fn words(&self) -> String {
        let litres = self.centilitres() / 100;
        let heads = if self.heads == 1 { "1 head".to_owned() } else { format!("{} heads", self.heads) };
        let part = if self.percent == 100 { String::new() } else { format!(", {}\u{a0}% of it pumped", self.percent) };
        format!("{litres}\u{a0}l a day, {heads} at {}\u{a0}l{part}", self.each)
    }
}

/// The inflow of every pump, in the order of the record; `None` where neither people nor bedrooms are known.
pub fn find(network: &Network<'_>, rulebook: &Rulebook) -> Vec<Option<Inflow>> {
    let answer = rulebook.ask(key::PUMP_LITRES_PER_HEAD, &Facts::new());
    let each = answer.limit().map(|limit| limit.value);
    network.record.pumps.iter().map(|item| inflow(network, &item.body, each?)).collect()
}

fn inflow(network: &Network<'_>, pump: &Pump, each: u32) -> Option<Inflow> {
    let said = |field: &Field<Count>| field.get().map(|c| (c.0, network.record.how(field)));
    // Two in the first bedroom of each dwelling, and one in every other bedroom.
    let (heads, how) = said(&pump.heads).or_else(|| {
        let (bedrooms, how) = said(&pump.bedrooms)?;
        let dwellings = said(&network.record.job.dwellings).map_or(1, |(n, _)| n.max(1));
        Some((bedrooms.saturating_add(dwellings), how.with(How::Computed)))
    })?;
    // Without a share all of it counts, which asks for the most.
    let (percent, share) = said(&pump.percent).unwrap_or((100, How::Computed));
    Some(Inflow { heads, each, percent, how: how.with(share) })
}
