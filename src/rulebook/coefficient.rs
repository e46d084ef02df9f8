//! Numbers that a flow is worked out with, exact to a thousandth of their unit.

macro_rules! thousandths {
    ($($(#[$doc:meta])* $name:ident;)*) => {$(
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(i64);

        impl $name {
            /// From whole thousandths.
            pub const fn from_thousandths(thousandths: i64) -> Self {
                Self(thousandths)
            }

            /// In thousandths.
            pub const fn thousandths(self) -> i64 {
                self.0
            }

            /// In its unit, for hydraulics only.
            pub fn value(self) -> f64 {
                self.0 as f64 / 1000.0
            }
        }
    )*};
}

thousandths! {
    /// A number without a unit: a frequency factor, a depth of water over bore.
    Factor;
    /// A velocity in metres a second.
    Velocity;
    /// A kinematic viscosity in square millimetres a second, which is 10⁻⁶ m²/s.
    Viscosity;
}
