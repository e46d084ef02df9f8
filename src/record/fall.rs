//! How far a pipe falls, as the trade writes it.

use crate::base::units::Gradient;
use crate::base::units::Length;
use crate::record::quantity::Measure;
use crate::record::quantity::Wrong;
use crate::record::quantity::decimal;
use crate::record::quantity::form;
use crate::record::quantity::measure;
use crate::record::quantity::no;
use crate::record::value::Scalar;

/// A fall as written.
#[derive(Clone, Debug, PartialEq)]
pub enum Fall {
    /// By a gradient, with the flattest and steepest that its last printed digit allows.
    Gradient {
        /// The gradient.
        value: Gradient,
        /// The flattest inside the last digit.
        flattest: Gradient,
        /// The steepest inside the last digit.
        steepest: Gradient,
        /// Whether it was written as 1 in n.
        one_in: bool,
        /// Decimals as written.
        decimals: u32,
    },
    /// By the drop over the pipe's length.
    Drop(Measure),
}

impl Scalar for Fall {
    const FORM: &'static str = "a fall: `1 in 40`, `22 mm/m`, `2.5 %`, `81 mm` over the length, or `level`";
    const PATTERN: &'static str =
        r"(?:1 in +[0-9]+(?:\.[0-9]+)?|1: *[0-9]+(?:\.[0-9]+)?|[0-9]+(?:\.[0-9]+)? *(?:mm/m|%|mm|cm|m|in|ft)|level)";

    fn from_words(words: &str) -> Result<Self, Wrong> {
        if words == "level" {
            let flat = Gradient::new(Length::ZERO, Length::from_mm(1)).ok_or_else(form)?;
            return Ok(Fall::Gradient { value: flat, flattest: flat, steepest: flat, one_in: false, decimals: 0 });
        }
        if let Some(n) = words.strip_suffix(":1") {
            return Err(no(
                format!("`{words}` would be a pipe that stands nearly upright"),
                format!("did you mean `1 in {n}`?"),
            ));
        }
        if let Some(n) = words.strip_prefix("1 in ").or_else(|| words.strip_prefix("1:")) {
            return one_in(n, words);
        }
        if let Some(n) = words.strip_suffix("mm/m") {
            return per_metre(n, 1);
        }
        if let Some(n) = words.strip_suffix('%') {
            return per_metre(n, 10);
        }
        measure(words).map(Fall::Drop)
    }
}

fn one_in(n: &str, words: &str) -> Result<Fall, Wrong> {
    let (digits, decimals) = decimal(n)?;
    let nothing = || no(format!("`{words}` divides by nothing"), "a level pipe is written `level`");
    let value = Gradient::one_in(digits, decimals).ok_or_else(nothing)?;
    // Half of the last digit: doubled digits on both sides keep it whole.
    let at = |twice: i64| Gradient::new(Length::from_um(2 * 10_i64.pow(decimals)), Length::from_um(twice));
    let steepest = at(digits.saturating_mul(2) - 1).unwrap_or(value);
    let flattest = at(digits.saturating_mul(2) + 1).unwrap_or(value);
    Ok(Fall::Gradient { value, flattest, steepest, one_in: true, decimals })
}

fn per_metre(n: &str, factor: i64) -> Result<Fall, Wrong> {
    let (digits, decimals) = decimal(n)?;
    let run = Length::from_um(2_000 * 10_i64.pow(decimals));
    let at = |twice: i64| Gradient::new(Length::from_um(twice.saturating_mul(factor)), run).ok_or_else(form);
    let value = at(digits.saturating_mul(2))?;
    let flattest = at(digits.saturating_mul(2).saturating_sub(1).max(0))?;
    let steepest = at(digits.saturating_mul(2).saturating_add(1))?;
    Ok(Fall::Gradient { value, flattest, steepest, one_in: false, decimals })
}
