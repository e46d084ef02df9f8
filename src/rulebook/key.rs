//! The keys that code asks for, each with the type of its answer.

use std::collections::BTreeSet;
use std::marker::PhantomData;

use crate::base::size::Nominal;
use crate::base::units::{Gradient, Length};
use crate::rulebook::coefficient::{Factor, Velocity, Viscosity};
use crate::rulebook::entry::Compare;
use crate::rulebook::quantity::{Flow, Kind, Quantity, Units, Window};

/// The name of an entry whose value is a `T`.
pub struct Key<T> {
    path: &'static str,
    gives: PhantomData<fn() -> T>,
}

impl<T> Clone for Key<T> {
    fn clone(&self) -> Self {
        *self
    }
}
impl<T> Copy for Key<T> {}

impl<T> Key<T> {
    /// A key by its path: `trap.seal.minimum`.
    pub const fn new(path: &'static str) -> Self {
        Self { path, gives: PhantomData }
    }

    /// Its path.
    pub const fn path(self) -> &'static str {
        self.path
    }
}

/// Marks the key of a clause list, whose lines each have a limit of their own.
#[derive(Clone, Copy, Debug)]
pub struct Clauses;

/// One or more words, of which one must hold.
pub type Words = BTreeSet<String>;

/// Something that a measured value can be held against.
pub trait Held {
    /// What is held against it.
    type Measured: ?Sized;
    /// The form that prints.
    fn quantity(&self) -> Quantity;
    /// Whether a value satisfies it.
    fn holds(&self, compare: Compare, measured: &Self::Measured) -> bool;
}

/// A type that a key can give.
pub trait LimitValue: Held + Sized {
    /// Its kind in a rulebook.
    const KIND: Kind;
    /// Out of a cell; `None` for a cell of another kind.
    fn from_quantity(quantity: &Quantity) -> Option<Self>;
}

macro_rules! ordered {
    ($($type:ty, $kind:ident;)*) => {$(
        impl LimitValue for $type {
            const KIND: Kind = Kind::$kind;
            fn from_quantity(quantity: &Quantity) -> Option<Self> {
                match quantity {
                    Quantity::$kind(value) => Some(*value),
                    _ => None,
                }
            }
        }

        impl Held for $type {
            type Measured = $type;
            fn quantity(&self) -> Quantity {
                Quantity::$kind(*self)
            }
            fn holds(&self, compare: Compare, measured: &Self) -> bool {
                match compare {
                    Compare::AtLeast => measured >= self,
                    Compare::AtMost => measured <= self,
                    Compare::Within | Compare::OneOf => measured == self,
                }
            }
        }
    )*};
}

ordered! {
    Length, Length;
    Gradient, Gradient;
    Flow, Flow;
    Units, Units;
    Factor, Factor;
    Velocity, Velocity;
    Viscosity, Viscosity;
    u32, Count;
    bool, YesNo;
    Nominal, Size;
}

impl LimitValue for Window {
    const KIND: Kind = Kind::Window;
    fn from_quantity(quantity: &Quantity) -> Option<Self> {
        match quantity {
            Quantity::Window(window) => Some(*window),
            _ => None,
        }
    }
}

impl Held for Window {
    type Measured = Gradient;
    fn quantity(&self) -> Quantity {
        Quantity::Window(*self)
    }
    fn holds(&self, _: Compare, measured: &Gradient) -> bool {
        *measured >= self.flattest && *measured <= self.steepest
    }
}

impl LimitValue for Words {
    const KIND: Kind = Kind::Label;
    fn from_quantity(quantity: &Quantity) -> Option<Self> {
        match quantity {
            Quantity::Label(words) => Some(words.clone()),
            _ => None,
        }
    }
}

impl Held for Words {
    type Measured = str;
    fn quantity(&self) -> Quantity {
        Quantity::Label(self.clone())
    }
    fn holds(&self, _: Compare, measured: &str) -> bool {
        self.contains(measured)
    }
}

/// A value of whatever kind; only a value of the same kind can be held against it.
impl Held for Quantity {
    type Measured = Quantity;
    fn quantity(&self) -> Quantity {
        self.clone()
    }
    fn holds(&self, compare: Compare, measured: &Quantity) -> bool {
        match (self, measured) {
            (Quantity::Window(window), Quantity::Gradient(gradient)) => window.holds(compare, gradient),
            (Quantity::Label(words), Quantity::Label(said)) => said.is_subset(words),
            _ if self.kind() != measured.kind() => false,
            _ => match compare {
                Compare::AtLeast => !Compare::AtLeast.looser(measured, self),
                Compare::AtMost => !Compare::AtMost.looser(measured, self),
                Compare::Within | Compare::OneOf => self == measured,
            },
        }
    }
}

macro_rules! keys {
    ($($(#[$doc:meta])* $name:ident: $type:ty = $path:literal;)*) => {
        $($(#[$doc])* pub const $name: Key<$type> = Key::new($path);)*

        /// Every key of a single limit, with the kind it gives.
        pub const ALL: &[(&str, Kind)] = &[$(($path, <$type as LimitValue>::KIND),)*];
    };
}

keys! {
    /// Least seal depth of a trap, by appliance.
    TRAP_SEAL_MINIMUM: Length = "trap.seal.minimum";
    /// Least seal left in a trap in use and under test.
    TRAP_SEAL_LEFT_MINIMUM: Length = "trap.seal.left.minimum";
    /// Longest run of a 32 mm branch from one basin or bidet.
    BRANCH_BASIN_32_LENGTH_MAXIMUM: Length = "branch.basin-32.length.maximum";
    /// Steepest slope of that branch, by its length.
    BRANCH_BASIN_32_SLOPE_MAXIMUM: Gradient = "branch.basin-32.slope.maximum";
    /// Flattest slope of a branch discharge pipe.
    BRANCH_SLOPE_MINIMUM: Gradient = "branch.slope.minimum";
    /// Longest run of an unventilated branch from one appliance, by appliance and size.
    BRANCH_LENGTH_MAXIMUM: Length = "branch.length.maximum";
    /// Slopes of an unventilated branch from one appliance, by appliance and size.
    BRANCH_SLOPE_WINDOW: Window = "branch.slope.window";
    /// Height of a terminal above an opening near it.
    VENT_TERMINAL_CLEARANCE: Length = "vent.terminal.clearance";
    /// Whether a terminal has a cage or perforated cover.
    VENT_TERMINAL_CAGE: bool = "vent.terminal.cage";
    /// Whether a ventilating pipe ends in open air.
    VENT_TERMINAL_OPEN_AIR: bool = "vent.terminal.open-air";
    /// Longest drain between two access points, by their kinds.
    ACCESS_SPACING_MAXIMUM: Length = "access.spacing.maximum";
    /// Peak flow of a number of dwellings of the usual kind.
    DRAIN_PEAK_FLOW: Flow = "drain.peak-flow";
    /// Deepest chamber that still counts as a shallow one.
    ACCESS_SHALLOW_DEPTH_MAXIMUM: Length = "access.shallow-depth.maximum";
    /// Flattest gradient of a foul drain.
    DRAIN_GRADIENT_MINIMUM: Gradient = "drain.gradient.minimum";
    /// Fullest that a foul drain may run, depth of water over bore.
    DRAIN_FILLING_MAXIMUM: Factor = "drain.filling.maximum";
    /// Whether a main drain is ventilated at or near its head.
    DRAIN_VENTILATED_AT_HEAD: bool = "drain.ventilated-at-head";
    /// Longest branch drain that needs no ventilating pipe of its own.
    DRAIN_UNVENTILATED_LENGTH_MAXIMUM: Length = "drain.unventilated-length.maximum";
    /// Smallest trap or outlet, by appliance.
    TRAP_SIZE_MINIMUM: Nominal = "trap.size.minimum";
    /// Whether a branch is at least as large as its trap.
    BRANCH_NOT_SMALLER_THAN_TRAP: bool = "branch.not-smaller-than-trap";
    /// Pressure at which an air test above ground begins.
    AIR_TEST_PRESSURE_MINIMUM: Length = "air-test.pressure.minimum";
    /// How many minutes it is held.
    AIR_TEST_MINUTES_MINIMUM: u32 = "air-test.minutes.minimum";
    /// What it may lose meanwhile.
    AIR_TEST_LOSS_MAXIMUM: Length = "air-test.loss.maximum";
    /// Whether the disc cut out for a boss was taken out.
    COUPON_OUT: bool = "coupon.out";
    /// Discharge units of an appliance, by what it is; of a WC while its cistern is not said.
    FLOW_UNITS: Units = "flow.units.appliance";
    /// Discharge units of a WC, by its cistern.
    FLOW_UNITS_WC: Units = "flow.units.wc";
    /// Discharge units of a whole dwelling of which nothing else is known.
    FLOW_UNITS_DWELLING: Units = "flow.units.dwelling";
    /// How often appliances of a dwelling are used: K.
    FLOW_FREQUENCY: Factor = "flow.frequency";
    /// Roughness of the wall of a drain in use.
    FLOW_ROUGHNESS: Length = "flow.roughness";
    /// Kinematic viscosity of the water.
    FLOW_VISCOSITY: Viscosity = "flow.viscosity";
    /// Most that a stack with a vent of its own at the top carries, by size and entry.
    STACK_FLOW_MAXIMUM: Flow = "stack.flow.maximum";
    /// Velocity that keeps a drain clean.
    SELF_CLEANSING_VELOCITY: Velocity = "self-cleansing.velocity.minimum";
    /// Whether an item is photographed between its fitting and its covering.
    PHOTO_BEFORE_COVER: bool = "photo.before-cover";
    /// Least size of a foul drain, by whether it carries a WC.
    DRAIN_SIZE_MINIMUM: Nominal = "drain.size.minimum";
    /// Whether rods come into every length of a drain.
    ACCESS_REACHED: bool = "access.reached";
    /// How far hand rods come into a drain.
    ACCESS_ROD_LENGTH_MAXIMUM: Length = "access.rod-length.maximum";
    /// Most that the gauge may fall in the air test of a drain.
    DRAIN_AIR_TEST_LOSS_MAXIMUM: Length = "drain.air-test.loss.maximum";
    /// Least minutes over which that is read.
    DRAIN_AIR_TEST_MINUTES_MINIMUM: u32 = "drain.air-test.minutes.minimum";
    /// Least reading of the gauge at the start.
    DRAIN_AIR_TEST_START_MINIMUM: Length = "drain.air-test.start.minimum";
    /// Whether a pipe through what separates fire is sealed no worse than what it goes through.
    FIRE_SEAL: bool = "fire.seal";
    /// Widest pipe that needs no seal of proven class, by what it is made of.
    FIRE_SMALL_PIPE_BORE_MAXIMUM: Length = "fire.small-pipe.bore.maximum";
    /// What may be packed round such a pipe.
    FIRE_SMALL_PIPE_STOPPING: Words = "fire.small-pipe.stopping";
    /// Pipe ends with which a seal must have been tested.
    FIRE_TEST_PIPE_ENDS: Words = "fire-test.pipe-ends";
}

/// What the end of a ventilating pipe must satisfy, a line each.
pub const VENT_TERMINAL: Key<Clauses> = Key::new("vent.terminal");

/// Every key of a clause list.
pub const ALL_LISTS: &[&str] = &[VENT_TERMINAL.path()];
