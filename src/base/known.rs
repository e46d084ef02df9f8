//! How a value is known, and how far it may be off.

use crate::base::units::{Gradient, Length};

/// How a value is known, the strongest first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum How {
    /// Read off with an instrument.
    Measured,
    /// Said by somebody on the job.
    Stated,
    /// Taken from a drawing.
    FromDrawing,
    /// Given by the maker.
    Maker,
    /// Worked out by the program from values that are not believed.
    Computed,
    /// Believed, or worked out from a believed value: never yields a plain *met*.
    Believed,
}

impl How {
    /// The words that a record may use, with `about` for a value in front.
    pub const WORDS: [(&'static str, How); 5] = [
        ("measured", How::Measured),
        ("stated", How::Stated),
        ("from drawing", How::FromDrawing),
        ("maker", How::Maker),
        ("believed", How::Believed),
    ];

    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            How::Measured => "measured",
            How::Stated => "stated",
            How::FromDrawing => "from drawing",
            How::Maker => "maker",
            How::Computed => "computed",
            How::Believed => "believed",
        }
    }

    /// How something worked out of both is known: believed when either is, else computed.
    pub fn with(self, other: How) -> How {
        if self == How::Believed || other == How::Believed { How::Believed } else { How::Computed }
    }
}

/// A value with its half-width of uncertainty and how it is known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Known<T> {
    /// The value.
    pub value: T,
    /// How far it may be off, to either side.
    pub half: Length,
    /// How it is known.
    pub how: How,
}

impl<T> Known<T> {
    /// A value known exactly, in the way said.
    pub fn exact(value: T, how: How) -> Self {
        Self { value, half: Length::ZERO, how }
    }

    /// Whether it is only believed.
    pub fn believed(&self) -> bool {
        self.how == How::Believed
    }

    /// The same knowledge of another value.
    pub fn map<U>(self, f: impl FnOnce(T) -> U) -> Known<U> {
        Known { value: f(self.value), half: self.half, how: self.how }
    }
}

/// A gradient with the flattest and the steepest that its readings allow.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct KnownGradient {
    /// The gradient.
    pub value: Gradient,
    /// The flattest inside the spread.
    pub flattest: Gradient,
    /// The steepest inside the spread.
    pub steepest: Gradient,
    /// How it is known.
    pub how: How,
}

impl KnownGradient {
    /// From a fall and a run, each with its spread; `None` when the run is nothing or smaller than its own spread.
    pub fn of(fall: Known<Length>, run: Known<Length>) -> Option<Self> {
        let value = Gradient::new(fall.value, run.value)?;
        let ends = |f: Length| -> Option<(Gradient, Gradient)> {
            let short = Gradient::new(f, run.value - run.half)?;
            let long = Gradient::new(f, run.value + run.half)?;
            Some((short.min(long), short.max(long)))
        };
        let (flattest, _) = ends(fall.value - fall.half)?;
        let (_, steepest) = ends(fall.value + fall.half)?;
        Some(Self { value, flattest, steepest, how: fall.how.with(run.how) })
    }

    /// A gradient without spread.
    pub fn exact(value: Gradient, how: How) -> Self {
        Self { value, flattest: value, steepest: value, how }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The second drain of the mill-house: 145 ± 4 mm over 11.60 m; its expected ends are worked by hand
    /// (11,600 ÷ 149 = 77.9 and 11,600 ÷ 141 = 82.3).
    #[test]
    fn the_spread_of_two_readings_opens_the_gradient() {
        let fall = Known { value: Length::from_mm(145), half: Length::from_mm(4), how: How::Measured };
        let g = KnownGradient::of(fall, Known::exact(Length::from_mm(11_600), How::Measured)).unwrap();
        assert_eq!(g.steepest.n(1).unwrap(), "77.9");
        assert_eq!(g.flattest.n(1).unwrap(), "82.3");
        assert_eq!(g.how, How::Computed);
    }

    #[test]
    fn belief_is_never_lost() {
        assert_eq!(How::Measured.with(How::Believed), How::Believed);
        assert_eq!(How::Believed.with(How::Maker), How::Believed);
    }
}
