//! Numbers that follow from the network and the rulebook's coefficients. Never a verdict.
//!
//! 1. [`stacks`]: heights of entries above the foot. 2. [`chambers`]: ports and depths; [`cover`]: the
//!    ground over drains. 3. [`terminals`]: heights and distances.
//! 4. [`spacing`]: lengths from one access point to the next. 5. [`heads`]: what ventilates each drain.
//! 6. [`tightness`]: what each test lost, and what it no longer speaks for. 7. [`branches`]: the pipes of one appliance.
//! 8. [`flow`]: the flow to design for. 9. [`capacity`]: what each drain can carry, and how it runs.
//!
//! 10. [`supports`]: lengths and brackets. 11. [`setting_out`]: marks to set a pipe out by.
//! 12. [`quantities`]: pipe, fittings, brackets, holes and seals, counted. 13. [`foundations`]: trenches beside them.
//! 14. [`trenches`]: volumes dug, filled and led away. 15. [`guards`]: the valve and the pump between each appliance
//!     and the sewer. 16. [`pumped`]: what comes to a pump.
//!
//! [`formula`] holds the formulas of the last two; [`order`] lets the network be walked once.

pub mod adrift;
pub mod branches;
pub mod capacity;
pub mod chambers;
pub mod cover;
pub mod flow;
pub mod formula;
pub mod foundations;
pub mod guards;
pub mod heads;
pub mod order;
pub mod pumped;
pub mod quantities;
pub mod reach;
pub mod setting_out;
pub mod spacing;
pub mod stacks;
pub mod supports;
pub mod terminals;
pub mod tightness;
pub mod trenches;

use crate::base::known::Known;
use crate::base::units::Length;
use crate::compute::adrift::Adrift;
use crate::compute::branches::Single;
use crate::compute::capacity::Capacity;
use crate::compute::chambers::Chamber;
use crate::compute::flow::DesignFlow;
use crate::compute::foundations::Beside;
use crate::compute::guards::Guarded;
use crate::compute::heads::Head;
use crate::compute::pumped::Inflow;
use crate::compute::quantities::Quantities;
use crate::compute::reach::Reached;
use crate::compute::setting_out::SettingOut;
use crate::compute::spacing::Run;
use crate::compute::stacks::StackEntry;
use crate::compute::supports::Support;
use crate::compute::terminals::Nearness;
use crate::compute::tightness::Outcome;
use crate::compute::tightness::coverage::Bare;
use crate::compute::trenches::Trench;
use crate::network::Network;
use crate::rulebook::Rulebook;
use crate::rulebook::Units;

/// Every number that the rules and the pack ask for.
#[derive(Clone, Debug, Default)]
pub struct Computed {
    /// Entries, spare entries and access pieces on stacks, with their heights.
    pub entries: Vec<StackEntry>,
    /// Depth of each access point from cover to outgoing invert, in the order of the record.
    pub depths: Vec<Option<Known<Length>>>,
    /// Each access point with the drains that come in and the one that leaves, in the order of the record.
    pub chambers: Vec<Chamber>,
    /// Each terminal held against each opening, by terminal.
    pub nearness: Vec<Nearness>,
    /// Drains from one access point to the next.
    pub runs: Vec<Run>,
    /// What ventilates each leg that is a drain; `None` for other legs.
    pub heads: Vec<Option<Head>>,
    /// What stands between each appliance and the sewer, in the order of the record.
    pub guards: Vec<Guarded>,
    /// What comes to each pump in a day, in the order of the record.
    pub inflows: Vec<Option<Inflow>>,
    /// For each leg that starts at an appliance's trap, its branch; `None` for other legs.
    pub singles: Vec<Option<Single>>,
    /// For each appliance the legs that start at it, in the order of the record.
    pub outlets: Vec<Vec<usize>>,
    /// What each test gave, in the order of the record.
    pub tests: Vec<Outcome>,
    /// Pipes that no standing test speaks for over their whole length, by position in the record.
    pub untested: Vec<usize>,
    /// What is left of each of them.
    pub bare: Vec<Bare>,
    /// What leads nowhere that the record shows.
    pub adrift: Adrift,
    /// What each leg is to carry.
    pub flows: Vec<DesignFlow>,
    /// What each leg that is a drain can carry; `None` for other legs, and where bore or gradient is not known.
    pub capacities: Vec<Option<Capacity>>,
    /// Discharge units of each appliance, in the order of the record, and whether they were recalled.
    pub units: Vec<Option<(Units, bool)>>,
    /// For each leg, the parts of it that rods come into from each access point.
    pub reached: Vec<Vec<Reached>>,
    /// Length of each leg: as recorded, or, of an upright one, from the heights of its ends.
    pub lengths: Vec<Option<Known<Length>>>,
    /// How each leg is held up; `None` for drains, and where no spacing is told.
    pub supports: Vec<Option<Support>>,
    /// Marks to set every new sloping pipe out by.
    pub setting_out: Vec<SettingOut>,
    /// New drains beside foundations.
    pub beside: Vec<Beside>,
    /// Trenches of new drains, with their volumes.
    pub trenches: Vec<Trench>,
    /// Pipe, fittings, brackets, holes and seals.
    pub quantities: Quantities,
}

/// Computes everything that follows from a network and the rulebook's coefficients.
pub fn compute(network: &Network<'_>, rulebook: &Rulebook) -> Computed {
    let flows = flow::find(network, rulebook);
    let tests = tightness::outcomes(network);
    let (untested, bare) = tightness::untested(network, &tests).into_iter().unzip();
    let entries = stacks::entries(network);
    let lengths = supports::lengths(network, &entries);
    let supports = supports::find(network, rulebook, &lengths);
    let outlets = branches::outlets(network);
    let chambers = chambers::ports(network);
    Computed {
        adrift: adrift::find(network, rulebook, &flows, &outlets),
        guards: guards::find(network, &outlets),
        inflows: pumped::find(network, rulebook),
        setting_out: setting_out::find(network, &supports),
        quantities: quantities::count(network, rulebook, &lengths, &supports),
        beside: foundations::find(network, rulebook),
        trenches: trenches::find(network, rulebook),
        units: flow::of_appliances(network, rulebook),
        reached: reach::by_rods(network, rulebook),
        lengths,
        supports,
        entries,
        depths: chambers::depths(network, &chambers),
        chambers,
        nearness: terminals::nearness(network),
        runs: spacing::runs(network),
        heads: heads::find(network),
        singles: branches::singles(network),
        outlets,
        tests,
        untested,
        bare,
        capacities: capacity::find(network, rulebook, &flows),
        flows,
    }
}
