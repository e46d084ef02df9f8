//! Exact quantities: whole micrometres, typed levels, and gradients kept as fall and run.
//!
//! With floats, about a third of the runs built exactly at 1 in n come out too flat; with these none do.

use std::cmp::Ordering;
use std::fmt;
use std::marker::PhantomData;
use std::ops::{Add, Neg, Sub};

/// A length in whole micrometres; negative for a fall that rises. Range ±9,000 km; sums saturate.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Length(i64);

impl Length {
    /// No length.
    pub const ZERO: Self = Self(0);

    /// From whole micrometres.
    pub const fn from_um(um: i64) -> Self {
        Self(um)
    }

    /// From whole millimetres.
    pub const fn from_mm(mm: i64) -> Self {
        Self(mm.saturating_mul(1000))
    }

    /// In micrometres.
    pub const fn um(self) -> i64 {
        self.0
    }

    /// In millimetres, for drawing and hydraulics only.
    pub fn mm(self) -> f64 {
        self.0 as f64 / 1000.0
    }

    /// In metres, for drawing and hydraulics only.
    pub fn m(self) -> f64 {
        self.0 as f64 / 1_000_000.0
    }

    /// Without its sign.
    pub const fn abs(self) -> Self {
        Self(self.0.saturating_abs())
    }

    /// `self × part ÷ whole`, rounded to the nearest micrometre, halves away from zero; zero when `whole` is.
    pub fn share(self, part: Length, whole: Length) -> Self {
        if whole.0 == 0 {
            return Self::ZERO;
        }
        Self(round_div(i128::from(self.0) * i128::from(part.0), i128::from(whole.0)))
    }

    /// In metres with so many decimals, halves rounded away from zero: `4.85`.
    pub fn metres(self, decimals: u32) -> String {
        fixed(i128::from(self.0), 1_000_000, decimals)
    }

    /// In whole millimetres: `81`.
    pub fn millimetres(self) -> String {
        fixed(i128::from(self.0), 1000, 0)
    }
}

impl Add for Length {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0.saturating_add(other.0))
    }
}

impl Sub for Length {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0.saturating_sub(other.0))
    }
}

impl Neg for Length {
    type Output = Self;
    fn neg(self) -> Self {
        Self(self.0.saturating_neg())
    }
}

impl std::iter::Sum for Length {
    fn sum<I: Iterator<Item = Self>>(iter: I) -> Self {
        iter.fold(Self::ZERO, Add::add)
    }
}

/// Divides and rounds to the nearest whole number, halves away from zero; zero for a division by zero.
pub fn round_div(n: i128, d: i128) -> i64 {
    if d == 0 {
        return 0;
    }
    let (n, d) = if d < 0 { (-n, -d) } else { (n, d) };
    let half = d / 2;
    let q = if n >= 0 { (n + half) / d } else { (n - half) / d };
    i64::try_from(q).unwrap_or(if q < 0 { i64::MIN } else { i64::MAX })
}

/// `n ÷ d` as a decimal with so many places; a true minus sign (U+2212) before a negative one.
pub fn fixed(n: i128, d: i128, decimals: u32) -> String {
    let scale = 10_i128.pow(decimals.min(9));
    let scaled = i128::from(round_div(n.saturating_mul(scale), d));
    let (sign, size) = if scaled < 0 { ("\u{2212}", -scaled) } else { ("", scaled) };
    let (whole, part) = (size / scale, size % scale);
    let width = decimals.min(9) as usize;
    if width == 0 { format!("{sign}{whole}") } else { format!("{sign}{whole}.{part:0width$}") }
}

/// The line of a pipe, chamber or surface that a [`Level`] speaks of.
pub trait LevelLine: Copy + fmt::Debug + PartialEq {
    /// How the trade names it.
    const NAME: &'static str;
}

macro_rules! level_line {
    ($($(#[$doc:meta])* $name:ident = $word:literal),* $(,)?) => {$(
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name;
        impl LevelLine for $name {
            const NAME: &'static str = $word;
        }
    )*};
}

level_line! {
    /// The lowest line of the bore.
    Invert = "invert level",
    /// The axis of a pipe; never abbreviated "CL".
    CentreLine = "centre line",
    /// The highest line of the bore.
    Soffit = "soffit",
    /// The highest line of the outside.
    Crown = "crown",
    /// The top of a chamber's cover.
    Cover = "cover level",
    /// A floor, the ground, a bench mark, a terminal's top, an opening's head.
    Spot = "level",
}

/// A height above the site's datum in whole micrometres, of one kind of line. Two levels can be subtracted, not added.
pub struct Level<L> {
    um: i64,
    line: PhantomData<L>,
}

impl<L> Clone for Level<L> {
    fn clone(&self) -> Self {
        *self
    }
}
impl<L> Copy for Level<L> {}
impl<L> PartialEq for Level<L> {
    fn eq(&self, other: &Self) -> bool {
        self.um == other.um
    }
}
impl<L> Eq for Level<L> {}
impl<L> PartialOrd for Level<L> {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}
impl<L> Ord for Level<L> {
    fn cmp(&self, other: &Self) -> Ordering {
        self.um.cmp(&other.um)
    }
}
impl<L> fmt::Debug for Level<L> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.metres(6))
    }
}

impl<L> Level<L> {
    /// From whole micrometres above the datum.
    pub const fn from_um(um: i64) -> Self {
        Self { um, line: PhantomData }
    }

    /// In micrometres above the datum.
    pub const fn um(self) -> i64 {
        self.um
    }

    /// In metres above the datum, for drawing only.
    pub fn m(self) -> f64 {
        self.um as f64 / 1_000_000.0
    }

    /// In metres above the datum with so many decimals: `99.060`.
    pub fn metres(self, decimals: u32) -> String {
        fixed(i128::from(self.um), 1_000_000, decimals)
    }

    /// The level of another line that lies so far above this one.
    pub fn to<M>(self, above: Length) -> Level<M> {
        Level::from_um(self.um.saturating_add(above.um()))
    }

    /// The difference to another level, of whatever line: positive when `self` is the higher.
    pub fn above<M>(self, other: Level<M>) -> Length {
        Length::from_um(self.um.saturating_sub(other.um))
    }
}

impl<L> Sub for Level<L> {
    type Output = Length;
    fn sub(self, other: Self) -> Length {
        self.above(other)
    }
}

impl<L> Add<Length> for Level<L> {
    type Output = Self;
    fn add(self, by: Length) -> Self {
        Self::from_um(self.um.saturating_add(by.um()))
    }
}

impl<L> Sub<Length> for Level<L> {
    type Output = Self;
    fn sub(self, by: Length) -> Self {
        Self::from_um(self.um.saturating_sub(by.um()))
    }
}

/// A fall over a plan length; steeper is greater. Level and rising pipes are ordinary values.
#[derive(Clone, Copy, Debug)]
pub struct Gradient {
    fall: Length,
    run: Length,
}

impl Gradient {
    /// Of a fall over a run; `None` unless the run is longer than nothing.
    pub fn new(fall: Length, run: Length) -> Option<Self> {
        (run.um() > 0).then_some(Self { fall, run })
    }

    /// `1 in n`, with n as digits and a count of decimals: `(599, 1)` is 1 in 59.9. `None` unless n is positive.
    pub fn one_in(digits: i64, decimals: u32) -> Option<Self> {
        Self::new(Length(10_i64.checked_pow(decimals)?), Length(digits))
    }

    /// The fall.
    pub const fn fall(self) -> Length {
        self.fall
    }

    /// The run it falls over.
    pub const fn run(self) -> Length {
        self.run
    }

    /// The fall over another run, to the nearest micrometre.
    pub fn fall_over(self, run: Length) -> Length {
        self.fall.share(run, self.run)
    }

    /// Fall ÷ run, for hydraulics only.
    pub fn ratio(self) -> f64 {
        self.fall.um() as f64 / self.run.um() as f64
    }

    /// n of `1 in n` with so many decimals; `None` for a pipe that is level or rises.
    pub fn n(self, decimals: u32) -> Option<String> {
        (self.fall.um() > 0).then(|| fixed(i128::from(self.run.um()), i128::from(self.fall.um()), decimals))
    }

    /// `1 in 59.9`, `level`, or `rises, 1 in 80.0`; one decimal under 100, none from 100.
    pub fn in_words(self) -> String {
        self.in_words_with(self.usual_decimals())
    }

    /// As [`Gradient::in_words`] with so many decimals.
    pub fn in_words_with(self, decimals: u32) -> String {
        match self.fall.um().cmp(&0) {
            Ordering::Greater => format!("1 in {}", self.n(decimals).unwrap_or_default()).replace(' ', "\u{a0}"),
            Ordering::Equal => "level".to_owned(),
            Ordering::Less => {
                let up = Self { fall: -self.fall, run: self.run };
                format!("rises, {}", up.in_words_with(decimals))
            }
        }
    }

    /// Decimals of n that are usual: one under 100, none from 100.
    pub fn usual_decimals(self) -> u32 {
        u32::from(self.run.um() < self.fall.um().abs().saturating_mul(100))
    }

    /// In words, with as many decimals as make it differ from `limit` when the two differ: never "1 in 80 is flatter
    /// than 1 in 80".
    pub fn told_from(self, limit: Self) -> String {
        let mut decimals = self.usual_decimals();
        while decimals < 6 && self != limit && self.in_words_with(decimals) == limit.in_words_with(decimals) {
            decimals += 1;
        }
        self.in_words_with(decimals)
    }

    /// Millimetres a metre with one decimal: `16.7`.
    pub fn mm_per_m(self) -> String {
        fixed(i128::from(self.fall.um()) * 1000, i128::from(self.run.um()), 1)
    }
}

impl PartialEq for Gradient {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}
impl Eq for Gradient {}
impl PartialOrd for Gradient {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}
impl Ord for Gradient {
    fn cmp(&self, other: &Self) -> Ordering {
        let ours = i128::from(self.fall.um()) * i128::from(other.run.um());
        let theirs = i128::from(other.fall.um()) * i128::from(self.run.um());
        ours.cmp(&theirs)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn runs_built_exactly_at_one_in_n_are_at_the_limit() {
        for n in 10..=900 {
            let limit = Gradient::one_in(n, 0).unwrap();
            let built = Gradient::new(Length::from_mm(10), Length::from_mm(10 * n)).unwrap();
            assert!(built >= limit && built == limit, "1 in {n}");
            let flatter = Gradient::new(Length::from_um(9_999), Length::from_mm(10 * n)).unwrap();
            assert!(flatter < limit, "1 in {n}");
        }
    }

    #[test]
    fn a_gradient_is_told_from_its_limit() {
        let limit = Gradient::one_in(80, 0).unwrap();
        let flat = Gradient::new(Length::from_um(99_990), Length::from_mm(8000)).unwrap();
        assert_eq!(flat.told_from(limit), "1\u{a0}in\u{a0}80.01");
        assert_eq!(limit.told_from(limit), "1\u{a0}in\u{a0}80.0");
    }

    #[test]
    fn rounding_is_half_away_from_zero() {
        assert_eq!(Length::from_um(-1_500).millimetres(), "\u{2212}2");
        assert_eq!(Length::from_um(4_855_000).metres(2), "4.86");
        assert_eq!(fixed(1, 0, 2), "0.00");
    }
}
