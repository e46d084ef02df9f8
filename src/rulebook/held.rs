//! Values that a measure can be held against, each with its kind in a rulebook.

use std::collections::BTreeSet;

use crate::base::size::Nominal;
use crate::base::units::{Gradient, Length};
use crate::base::water::{PerArea, Pressure};
use crate::rulebook::coefficient::{Factor, Velocity, Viscosity};
use crate::rulebook::entry::Compare;
use crate::rulebook::quantity::{Flow, Kind, Quantity, Units, Window};

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
    Pressure, Pressure;
    PerArea, PerArea;
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
