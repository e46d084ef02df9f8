//! Published guidance as data: cited values, what they depend on, and what stands behind them.
//!
//! In: YAML texts that are built in, and overlays that are handed in. Out: a [`Rulebook`] that answers typed keys.
//! 1. [`load`] reads the limits of a rulebook's documents; every fault names its line and what would do.
//! 2. [`Rulebook::ask`] answers a [`Key`] for the [`Facts`] of an item: a limit, or why there is none.
//! 3. [`Rulebook::with_overlay`] changes single cells and marks those that it makes looser.
//! 4. [`prose`] reads the texts and the ledger, only when they are asked for.
//!
//! Never: a job, a verdict, a computed value.

pub mod key;

mod ask;
mod book;
mod coefficient;
mod condition;
mod conditions;
mod curve;
mod data;
mod entry;
mod fact;
mod fault;
mod fields;
mod held;
mod node;
mod overlap;
mod overlay;
mod parse;
mod prose;
mod quantity;
mod table;
mod witness;

pub use ask::{Answer, ClauseAnswer, Limit};
pub use book::{Cell, DocumentInfo, Rulebook, assemble, load, names, texts};
pub use coefficient::{Factor, Velocity, Viscosity};
pub use entry::{CellId, ClauseLine, Compare, Condition, InsteadOf};
pub use fact::{
    APPLIANCES, BED_CLASSES, CISTERNS, ENTRIES, FIRE_MATERIALS, FROM_KINDS, Fact, FactValue, Facts, MATERIALS, SERIES,
    TEST_METHODS, TO_KINDS, UNDER_TEST,
};
pub use fault::RulebookError;
pub use held::{Held, LimitValue, Words};
pub use key::{Clauses, Key};
pub use overlay::{Change, Overlay};
pub use parse::{Document, parse_document};
pub use prose::{Explanation, HEADS, LedgerEntry, Prose, STATES, State, Tally, prose};
pub use quantity::{Flow, Kind, Quantity, Units, Window};
