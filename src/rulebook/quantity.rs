//! What a cell can hold: quantities with their unit, exact.

use std::collections::BTreeSet;

use crate::base::size::{self, Nominal};
use crate::base::units::{Gradient, Length, fixed};
use crate::base::water::{PerArea, Pressure};
use crate::rulebook::coefficient::{Factor, Velocity, Viscosity};

/// A flow in whole millilitres a second.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Flow(i64);

impl Flow {
    /// From whole millilitres a second.
    pub const fn from_ml_s(ml: i64) -> Self {
        Self(ml)
    }

    /// In millilitres a second.
    pub const fn ml_s(self) -> i64 {
        self.0
    }

    /// In litres a second, for hydraulics only.
    pub fn l_s(self) -> f64 {
        self.0 as f64 / 1000.0
    }
}

/// A sum of discharge or fixture units, in thousandths of one.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Units(i64);

impl Units {
    /// From thousandths of a unit.
    pub const fn from_thousandths(thousandths: i64) -> Self {
        Self(thousandths)
    }

    /// In thousandths of a unit.
    pub const fn thousandths(self) -> i64 {
        self.0
    }
}

/// The gradients between a flattest and a steepest, both included.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Window {
    /// The flattest that is allowed.
    pub flattest: Gradient,
    /// The steepest that is allowed.
    pub steepest: Gradient,
}

/// What a key gives.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// A length.
    Length,
    /// A gradient.
    Gradient,
    /// A window of gradients.
    Window,
    /// A flow.
    Flow,
    /// Discharge or fixture units.
    Units,
    /// A number without a unit.
    Factor,
    /// A velocity.
    Velocity,
    /// A kinematic viscosity.
    Viscosity,
    /// A pressure.
    Pressure,
    /// Water added to a wetted surface.
    PerArea,
    /// A whole number.
    Count,
    /// Yes or no.
    YesNo,
    /// A nominal size.
    Size,
    /// One or more words.
    Label,
}

impl Kind {
    const WORDS: [(Kind, &'static str, &'static str); 14] = [
        (Kind::Length, "length", "75 mm, 1.7 m, 6 in, 4 ft"),
        (Kind::Gradient, "gradient", "18 mm/m, 1 in 40, 1/4 in/ft"),
        (Kind::Window, "gradient-window", "18 to 22 mm/m, 1 in 80 to 1 in 40"),
        (Kind::Flow, "flow", "2.5 l/s"),
        (Kind::Units, "units", "6 units, 1.5 units"),
        (Kind::Factor, "factor", "0.75"),
        (Kind::Velocity, "velocity", "0.7 m/s"),
        (Kind::Viscosity, "viscosity", "1.31 mm2/s"),
        (Kind::Pressure, "pressure", "10 mbar"),
        (Kind::PerArea, "litres-per-area", "0.15 l/m2"),
        (Kind::Count, "count", "3"),
        (Kind::YesNo, "yes-no", "yes, no"),
        (Kind::Size, "size", "100 mm, 4 in"),
        (Kind::Label, "label", "a word"),
    ];

    /// The word in a rulebook.
    pub fn word(self) -> &'static str {
        Self::WORDS.iter().find(|(kind, _, _)| *kind == self).map_or("", |(_, word, _)| word)
    }

    /// From the word in a rulebook.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::WORDS.iter().find(|(_, w, _)| *w == word).map(|(kind, _, _)| *kind)
    }

    /// What a value of it looks like.
    pub fn example(self) -> &'static str {
        Self::WORDS.iter().find(|(kind, _, _)| *kind == self).map_or("", |(_, _, example)| example)
    }

    pub(super) fn all_words() -> String {
        Self::WORDS.map(|(_, word, _)| word).join(", ")
    }
}

/// A value with its kind.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Quantity {
    /// A length.
    Length(Length),
    /// A gradient.
    Gradient(Gradient),
    /// A window of gradients.
    Window(Window),
    /// A flow.
    Flow(Flow),
    /// Discharge or fixture units.
    Units(Units),
    /// A number without a unit.
    Factor(Factor),
    /// A velocity.
    Velocity(Velocity),
    /// A kinematic viscosity.
    Viscosity(Viscosity),
    /// A pressure.
    Pressure(Pressure),
    /// Water added to a wetted surface.
    PerArea(PerArea),
    /// A whole number.
    Count(u32),
    /// Yes or no.
    YesNo(bool),
    /// A nominal size.
    Size(Nominal),
    /// One or more words.
    Label(BTreeSet<String>),
}

impl Quantity {
    /// Reads a text as a value of a kind; `None` when it is not one, or not exact in our units.
    pub fn read(kind: Kind, text: &str) -> Option<Self> {
        let text = text.trim();
        Some(match kind {
            Kind::Length => Self::Length(read_length(text)?),
            Kind::Gradient => Self::Gradient(read_gradient(text)?),
            Kind::Window => Self::Window(read_window(text)?),
            Kind::Flow => Self::Flow(Flow(scaled(text.strip_suffix("l/s")?, 1000)?)),
            Kind::Units => Self::Units(Units(scaled(strip_any(text, &["units", "unit", "DU", "FU"])?, 1000)?)),
            Kind::Factor => Self::Factor(Factor::from_thousandths(scaled(text, 1000)?)),
            Kind::Velocity => Self::Velocity(Velocity::from_thousandths(scaled(text.strip_suffix("m/s")?, 1000)?)),
            Kind::Viscosity => Self::Viscosity(Viscosity::from_thousandths(scaled(text.strip_suffix("mm2/s")?, 1000)?)),
            Kind::Pressure => Self::Pressure(Pressure::from_micro_mbar(scaled(text.strip_suffix("mbar")?, 1_000_000)?)),
            Kind::PerArea => Self::PerArea(PerArea::from_ul_m2(scaled(text.strip_suffix("l/m2")?, 1_000_000)?)),
            Kind::Count => Self::Count(text.parse().ok()?),
            Kind::YesNo => Self::YesNo(match text {
                "yes" => true,
                "no" => false,
                _ => return None,
            }),
            Kind::Size => Self::Size(size::read(text).ok()?.nominal),
            Kind::Label => Self::Label(text.split('|').map(|word| word.trim().to_owned()).collect()),
        })
    }

    /// Its kind.
    pub fn kind(&self) -> Kind {
        match self {
            Self::Length(_) => Kind::Length,
            Self::Gradient(_) => Kind::Gradient,
            Self::Window(_) => Kind::Window,
            Self::Flow(_) => Kind::Flow,
            Self::Units(_) => Kind::Units,
            Self::Factor(_) => Kind::Factor,
            Self::Velocity(_) => Kind::Velocity,
            Self::Viscosity(_) => Kind::Viscosity,
            Self::Pressure(_) => Kind::Pressure,
            Self::PerArea(_) => Kind::PerArea,
            Self::Count(_) => Kind::Count,
            Self::YesNo(_) => Kind::YesNo,
            Self::Size(_) => Kind::Size,
            Self::Label(_) => Kind::Label,
        }
    }

    /// As it is printed: `75 mm`, `1.7 m`, `18 mm/m`, `1 in 40`.
    pub fn words(&self) -> String {
        match self {
            Self::Length(length) => length_words(*length),
            Self::Gradient(gradient) => gradient_words(*gradient),
            Self::Window(w) => {
                let (flat, steep) = (gradient_words(w.flattest), gradient_words(w.steepest));
                // A unit that both ends share is said once.
                let flat =
                    flat.strip_suffix("\u{a0}mm/m").filter(|_| steep.ends_with("mm/m")).unwrap_or(&flat).to_owned();
                format!("{flat} to {steep}")
            }
            Self::Flow(flow) => format!("{}\u{a0}l/s", trimmed(flow.0, 1000)),
            Self::Units(units) => format!("{}\u{a0}units", trimmed(units.0, 1000)),
            Self::Factor(factor) => trimmed(factor.thousandths(), 1000),
            Self::Velocity(velocity) => format!("{}\u{a0}m/s", trimmed(velocity.thousandths(), 1000)),
            Self::Viscosity(viscosity) => format!("{}\u{a0}mm²/s", trimmed(viscosity.thousandths(), 1000)),
            Self::Pressure(pressure) => format!("{}\u{a0}mbar", trimmed(pressure.micro_mbar(), 1_000_000)),
            Self::PerArea(rate) => format!("{}\u{a0}l/m²", fixed(i128::from(rate.ul_m2()), 1_000_000, 2)),
            Self::Count(count) => count.to_string(),
            Self::YesNo(yes) => if *yes { "yes" } else { "no" }.to_owned(),
            Self::Size(nominal) => nominal.words(),
            Self::Label(words) => words.iter().cloned().collect::<Vec<_>>().join(" or "),
        }
    }

    /// A form that does not depend on how it was written, for digests.
    pub(super) fn canonical(&self) -> String {
        match self {
            Self::Length(length) => format!("{} um", length.um()),
            Self::Gradient(gradient) => canonical_gradient(*gradient),
            Self::Window(w) => format!("{}..{}", canonical_gradient(w.flattest), canonical_gradient(w.steepest)),
            Self::Flow(flow) => format!("{} ml/s", flow.0),
            Self::Units(units) => format!("{} milliunits", units.0),
            Self::Factor(factor) => format!("{} thousandths", factor.thousandths()),
            Self::Velocity(velocity) => format!("{} mm/s", velocity.thousandths()),
            Self::Viscosity(viscosity) => format!("{} thousandths of mm2/s", viscosity.thousandths()),
            Self::Pressure(pressure) => format!("{} millionths of a mbar", pressure.micro_mbar()),
            Self::PerArea(rate) => format!("{} ul/m2", rate.ul_m2()),
            Self::Count(count) => format!("{count} off"),
            Self::YesNo(_) => self.words(),
            Self::Size(nominal) => format!("nominal {}", nominal.0),
            Self::Label(words) => words.iter().cloned().collect::<Vec<_>>().join("|"),
        }
    }
}

fn canonical_gradient(gradient: Gradient) -> String {
    let (fall, run) = (gradient.fall().um(), gradient.run().um());
    let (mut a, mut b) = (fall.unsigned_abs(), run.unsigned_abs());
    while b != 0 {
        (a, b) = (b, a % b);
    }
    let common = i64::try_from(a.max(1)).unwrap_or(1);
    format!("{}/{}", fall / common, run / common)
}

fn strip_any<'t>(text: &'t str, units: &[&str]) -> Option<&'t str> {
    units.iter().find_map(|unit| text.strip_suffix(unit))
}

fn read_length(text: &str) -> Option<Length> {
    let units = [("mm", 1000), ("m", 1_000_000), ("in", 25_400), ("ft", 304_800)];
    let (number, scale) = units.iter().find_map(|(unit, um)| Some((text.strip_suffix(unit)?, *um)))?;
    scaled(number, scale).map(Length::from_um)
}

fn read_gradient(text: &str) -> Option<Gradient> {
    if let Some(number) = text.strip_suffix("mm/m") {
        return Gradient::new(Length::from_um(scaled(number, 1000)?), Length::from_mm(1000));
    }
    if let Some(number) = text.strip_suffix("in/ft") {
        return Gradient::new(Length::from_um(scaled(number, 25_400)?), Length::from_um(304_800));
    }
    let n = text.strip_prefix("1 in ")?.trim();
    let decimals = n.split_once('.').map_or(0, |(_, part)| part.len());
    let digits = n.replacen('.', "", 1).parse().ok()?;
    Gradient::one_in(digits, u32::try_from(decimals).ok()?)
}

fn read_window(text: &str) -> Option<Window> {
    let (first, second) = text.split_once(" to ")?;
    let steepest = read_gradient(second.trim())?;
    let unit = ["mm/m", "in/ft"].into_iter().find(|unit| second.trim().ends_with(unit)).unwrap_or("");
    let flattest = read_gradient(first.trim()).or_else(|| read_gradient(&format!("{} {unit}", first.trim())))?;
    (flattest <= steepest).then_some(Window { flattest, steepest })
}

/// `number × scale`, exact or `None`. The number is a decimal, or whole parts and fractions as in `1 1/2`.
fn scaled(number: &str, scale: i64) -> Option<i64> {
    let mut total = 0_i64;
    let mut any = false;
    for part in number.split_whitespace() {
        let (n, d) = match part.split_once('/') {
            Some((n, d)) => (n.parse::<i64>().ok()?, d.parse::<i64>().ok()?),
            None => decimal(part)?,
        };
        let whole = n.checked_mul(scale)?;
        if d <= 0 || whole % d != 0 {
            return None;
        }
        total = total.checked_add(whole / d)?;
        any = true;
    }
    any.then_some(total)
}

fn decimal(text: &str) -> Option<(i64, i64)> {
    let (whole, part) = text.split_once('.').unwrap_or((text, ""));
    let plain = !whole.is_empty() && whole.bytes().chain(part.bytes()).all(|b| b.is_ascii_digit());
    let digits = plain.then(|| format!("{whole}{part}").parse().ok()).flatten()?;
    Some((digits, 10_i64.checked_pow(u32::try_from(part.len()).ok()?)?))
}

fn trimmed(n: i64, scale: i64) -> String {
    let text = fixed(i128::from(n), i128::from(scale), 3);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// Metres from 1 m, whole or broken millimetres under it.
fn length_words(length: Length) -> String {
    if length.um().abs() >= 1_000_000 {
        format!("{}\u{a0}m", trimmed(length.um(), 1_000_000))
    } else {
        format!("{}\u{a0}mm", trimmed(length.um(), 1000))
    }
}

/// Millimetres a metre where it was written so, else 1 in n.
fn gradient_words(gradient: Gradient) -> String {
    if gradient.run() == Length::from_mm(1000) {
        return format!("{}\u{a0}mm/m", trimmed(gradient.fall().um(), 1000));
    }
    let whole = gradient.n(2).unwrap_or_default();
    if whole.ends_with(".00") { gradient.in_words_with(0) } else { gradient.in_words() }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn words(kind: Kind, text: &str) -> Option<String> {
        Quantity::read(kind, text).map(|q| q.words().replace('\u{a0}', " "))
    }

    #[test]
    fn values_are_read_with_their_unit_and_printed_back() {
        for (kind, text, printed) in [
            (Kind::Length, "75 mm", "75 mm"),
            (Kind::Length, "1.70 m", "1.7 m"),
            (Kind::Length, "1 1/2 in", "38.1 mm"),
            (Kind::Length, "6 ft", "1.829 m"),
            (Kind::Gradient, "18 mm/m", "18 mm/m"),
            (Kind::Gradient, "1 in 40", "1 in 40"),
            (Kind::Gradient, "1/4 in/ft", "1 in 48"),
            (Kind::Window, "18 to 22 mm/m", "18 to 22 mm/m"),
            (Kind::Flow, "2.5 l/s", "2.5 l/s"),
            (Kind::Units, "1.5 units", "1.5 units"),
            (Kind::Size, "4 in", "100 mm"),
            (Kind::Factor, "0.50", "0.5"),
            (Kind::Velocity, "0.7 m/s", "0.7 m/s"),
            (Kind::Viscosity, "1.31 mm2/s", "1.31 mm²/s"),
            (Kind::Pressure, "2.5 mbar", "2.5 mbar"),
            (Kind::PerArea, "0.2 l/m2", "0.20 l/m²"),
        ] {
            assert_eq!(words(kind, text).as_deref(), Some(printed), "{text}");
        }
    }

    #[test]
    fn what_lacks_a_unit_or_is_not_exact_is_refused() {
        for (kind, text) in [
            (Kind::Length, "75"),
            (Kind::Length, "mm"),
            (Kind::Length, "1e3 mm"),
            (Kind::Length, "-5 mm"),
            (Kind::Length, "0.0001 mm"),
            (Kind::Gradient, "1:40"),
            (Kind::Gradient, "1 in 0"),
            (Kind::Window, "22 to 18 mm/m"),
            (Kind::Flow, "2.5"),
            (Kind::Factor, "0.5 units"),
            (Kind::Velocity, "0.7"),
            (Kind::Velocity, "0.7 mm/s"),
            (Kind::Viscosity, "1.31e-6 m2/s"),
            (Kind::Pressure, "1 kPa"),
            (Kind::PerArea, "0.15 l"),
            (Kind::YesNo, "true"),
            (Kind::Count, "-1"),
        ] {
            assert_eq!(Quantity::read(kind, text), None, "{text}");
        }
    }
}
