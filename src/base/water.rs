//! Exact volumes, pressures, and what is added to a wetted surface.

use crate::base::units::Length;
use crate::base::units::fixed;
use crate::base::units::round_div;
use std::ops::Add;
use std::ops::Sub;

/// Hundred-millionths of a pascal in a micrometre of water: 9.80665 Pa in a millimetre, the conventional one.
const A_MICROMETRE_OF_WATER: i64 = 980_665;

/// Hundred-millionths of a pascal in a millibar.
const A_MILLIBAR: i64 = 10_000_000_000;

macro_rules! whole {
    ($($(#[$doc:meta])* $name:ident;)*) => {$(
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(i64);

        impl $name {
            /// Nothing.
            pub const ZERO: Self = Self(0);
        }

        impl Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0.saturating_add(other.0))
            }
        }

        impl Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self(self.0.saturating_sub(other.0))
            }
        }
    )*};
}

whole! {
    /// A volume in whole microlitres; sums saturate.
    Volume;
    /// A pressure in hundred-millionths of a pascal, in which millibars and millimetres of water are both whole.
    Pressure;
    /// Water added to a square metre of wetted surface, in whole microlitres.
    PerArea;
}

impl Volume {
    /// From whole microlitres.
    pub const fn from_ul(ul: i64) -> Self {
        Self(ul)
    }

    /// In microlitres.
    pub const fn ul(self) -> i64 {
        self.0
    }

    /// In litres with so many decimals: `0.42`.
    pub fn litres(self, decimals: u32) -> String {
        fixed(i128::from(self.0), 1_000_000, decimals)
    }
}

impl Pressure {
    /// Of a column of water.
    pub const fn of_water(head: Length) -> Self {
        Self(head.um().saturating_mul(A_MICROMETRE_OF_WATER))
    }

    /// From hundredths of a millibar, which are pascals.
    pub const fn from_pa(pa: i64) -> Self {
        Self(pa.saturating_mul(100_000_000))
    }

    /// From millionths of a millibar.
    pub const fn from_micro_mbar(micro: i64) -> Self {
        Self(micro.saturating_mul(A_MILLIBAR / 1_000_000))
    }

    /// In millionths of a millibar, to the nearest.
    pub fn micro_mbar(self) -> i64 {
        round_div(i128::from(self.0), i128::from(A_MILLIBAR / 1_000_000))
    }

    /// The column of water that gives it, to the nearest micrometre: 10.197 mm for a millibar.
    pub fn head(self) -> Length {
        Length::from_um(round_div(i128::from(self.0), i128::from(A_MICROMETRE_OF_WATER)))
    }

    /// In millibars, for formulas only.
    pub fn mbar(self) -> f64 {
        self.0 as f64 / A_MILLIBAR as f64
    }

    /// In millibars with as many decimals as it needs, at most two: `2.5 mbar`.
    pub fn words(self) -> String {
        let text = fixed(i128::from(self.0), i128::from(A_MILLIBAR), 2);
        format!("{}\u{a0}mbar", text.trim_end_matches('0').trim_end_matches('.'))
    }

    /// Half of it.
    pub const fn half(self) -> Self {
        Self(self.0 / 2)
    }
}

impl PerArea {
    /// From whole microlitres a square metre.
    pub const fn from_ul_m2(ul: i64) -> Self {
        Self(ul)
    }

    /// In microlitres a square metre.
    pub const fn ul_m2(self) -> i64 {
        self.0
    }

    /// A volume over a surface in square millimetres, to the nearest microlitre a square metre; `None` over no surface.
    pub fn of(added: Volume, mm2: i64) -> Option<Self> {
        (mm2 > 0).then(|| Self(round_div(i128::from(added.0) * 1_000_000, i128::from(mm2))))
    }

    /// What so many square millimetres take.
    pub fn over(self, mm2: i64) -> Volume {
        Volume(round_div(i128::from(self.0) * i128::from(mm2), 1_000_000))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 1 mbar is 100 Pa; 100 ÷ 9.80665 is 10.1972 mm of water; 100 mm are 9.80665 mbar.
    #[test]
    fn millibars_and_millimetres_of_water_are_one_pressure() {
        assert_eq!(Pressure::from_pa(100).head().um(), 10_197);
        assert_eq!(Pressure::from_pa(1000).head().um(), 101_972);
        assert_eq!(Pressure::of_water(Length::from_mm(100)).words(), "9.81\u{a0}mbar");
        assert!(Pressure::of_water(Length::from_mm(100)) < Pressure::from_pa(1000));
        assert_eq!(Pressure::from_micro_mbar(2_500_000), Pressure::from_pa(250));
    }

    #[test]
    fn what_is_added_is_shared_out_over_the_surface() {
        let rate = PerArea::of(Volume::from_ul(300_000), 2_000_000).unwrap();
        assert_eq!((rate.ul_m2(), rate.over(4_000_000).litres(2)), (150_000, "0.60".to_owned()));
        assert_eq!(PerArea::of(Volume::from_ul(1), 0), None);
    }
}
