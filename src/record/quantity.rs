//! Quantities as the trade writes them: lengths, levels, falls, stations, sizes, dates, times, readings.

use crate::base::size;
use crate::base::size::Size;
use crate::base::size::SizeFault;
use crate::base::units::Length;
pub use crate::record::fall::Fall;
use crate::record::value::Scalar;
use chrono::NaiveDate;
use chrono::NaiveTime;

pub(in crate::record) type Wrong = (String, String);

pub(in crate::record) fn no(what: impl Into<String>, help: impl Into<String>) -> Wrong {
    (what.into(), help.into())
}

pub(in crate::record) fn form() -> Wrong {
    (String::new(), String::new())
}

/// A decimal as written: its digits as a whole number and how many stand after the point.
pub(in crate::record) fn decimal(text: &str) -> Result<(i64, u32), Wrong> {
    let text = text.trim();
    if text.contains(',') {
        return Err(no(
            format!("`{text}` has a comma"),
            format!("write the decimal point as a point: `{}`", text.replace(',', ".")),
        ));
    }
    let (whole, part) = text.split_once('.').unwrap_or((text, ""));
    let digits = |s: &str| s.chars().all(|c| c.is_ascii_digit());
    if whole.is_empty() || !digits(whole) || !digits(part) || (text.contains('.') && part.is_empty()) {
        return Err(form());
    }
    if whole.len() + part.len() > 12 || part.len() > 6 {
        return Err(no(format!("`{text}` has more digits than any tape"), "write at most 6 decimals"));
    }
    let value = format!("{whole}{part}").parse().map_err(|_| form())?;
    Ok((value, u32::try_from(part.len()).unwrap_or(0)))
}

/// A length with the spread of its last printed digit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Measure {
    /// The length.
    pub value: Length,
    /// Half of the last printed digit.
    pub half: Length,
    /// How many decimals of a metre were written; `None` when it was written in millimetres.
    pub decimals: Option<u32>,
}

impl Measure {
    /// As the trade writes it: metres with the decimals of the record, or millimetres.
    pub fn words(&self) -> String {
        match self.decimals {
            Some(d) => format!("{}\u{a0}m", self.value.metres(d)),
            None => format!("{}\u{a0}mm", in_millimetres(self.value)),
        }
    }
}

/// In millimetres with as many decimals as it needs: `640`, `2.5`.
fn in_millimetres(length: Length) -> String {
    let um = length.um().unsigned_abs();
    let decimals = [1_000, 100, 10].iter().position(|unit| um.is_multiple_of(*unit)).unwrap_or(3);
    crate::base::units::fixed(i128::from(length.um()), 1_000, u32::try_from(decimals).unwrap_or(0))
}

/// Reads `0.64 m`, `640 mm`, `2.5 mm`, `4 in`, `6 ft`.
pub(in crate::record) fn measure(text: &str) -> Result<Measure, Wrong> {
    let text = text.trim();
    let (number, unit) = split_unit(text);
    let um = match unit {
        "m" => 1_000_000,
        "mm" => 1_000,
        "cm" => 10_000,
        "in" => 25_400,
        "ft" => 304_800,
        "" if decimal(number).is_ok() => {
            return Err(no(format!("`{text}` has no unit"), format!("write `{number} mm` or `{number} m`")));
        }
        _ => return Err(form()),
    };
    let (digits, decimals) = decimal(number)?;
    let scale = 10_i64.pow(decimals);
    let value = Length::from_um(crate::base::units::round_div(i128::from(digits) * i128::from(um), i128::from(scale)));
    Ok(Measure { value, half: Length::from_um(um / scale / 2), decimals: (unit == "m").then_some(decimals) })
}

fn split_unit(text: &str) -> (&str, &str) {
    let cut = text.find(|c: char| c.is_alphabetic()).unwrap_or(text.len());
    (text[..cut].trim(), text[cut..].trim())
}

impl Scalar for Measure {
    const FORM: &'static str = "a length with its unit, such as `2.20 m` or `640 mm`";
    const PATTERN: &'static str = r"[0-9]+(?:\.[0-9]+)? *(?:mm|cm|m|in|ft)";

    fn from_words(words: &str) -> Result<Self, Wrong> {
        if words.starts_with('-') || words.starts_with('\u{2212}') {
            return Err(no(format!("`{words}` is less than nothing"), "write a length from nothing upwards"));
        }
        measure(words)
    }
}

/// A level by name, with an offset: `TBM`, `laser - 1.793 m`, `first + 118 mm`, or one above the datum: `100.000 m`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LevelAt {
    /// The level it starts from; `None` for one above the datum.
    pub base: Option<String>,
    /// The offset, upwards.
    pub offset: Length,
    /// Half of the offset's last printed digit.
    pub half: Length,
    /// As written.
    pub words: String,
    /// Decimals of a metre as written, for printing.
    pub decimals: u32,
}

impl Scalar for LevelAt {
    const FORM: &'static str = "a level, such as `laser - 1.793 m`, `first + 62 mm` or `100.000 m`";
    const PATTERN: &'static str =
        r"(?:-?[0-9]+(?:\.[0-9]+)? *m|[A-Za-z][A-Za-z0-9_-]*(?: +[+\u2212-] *[0-9]+(?:\.[0-9]+)? *(?:mm|cm|m|in|ft))?)";

    fn from_words(words: &str) -> Result<Self, Wrong> {
        let made = |base: Option<&str>, m: Measure, sign: i64| Self {
            base: base.map(str::to_owned),
            offset: Length::from_um(m.value.um() * sign),
            half: m.half,
            words: words.replace(" - ", " \u{2212} "),
            decimals: m.decimals.unwrap_or(3),
        };
        if let Some((base, sign, offset)) = offset(words) {
            name(base)?;
            return Ok(made(Some(base), measure(offset)?, sign));
        }
        let (body, sign) = words.strip_prefix('-').map_or((words, 1), |rest| (rest, -1));
        if body.starts_with(|c: char| c.is_ascii_digit()) {
            let m = measure(body)?;
            if m.decimals.is_none() {
                return Err(no(
                    format!("`{words}` is no level"),
                    "write a level in metres above the datum, or one from a named level: `first + 62 mm`",
                ));
            }
            return Ok(made(None, m, sign));
        }
        name(words)?;
        let none = Measure { value: Length::ZERO, half: Length::ZERO, decimals: Some(3) };
        Ok(made(Some(words), none, 1))
    }
}

/// A level's name, its sign and what stands after it: `laser`, −1 and `1.793 m`.
fn offset(words: &str) -> Option<(&str, i64, &str)> {
    let cut = words.find([' ', '\u{a0}'])?;
    let (base, rest) = (words.get(..cut)?, words.get(cut..)?.trim_start());
    let (sign, offset) = match rest.strip_prefix('+') {
        Some(offset) => (1, offset),
        None => (-1, rest.strip_prefix(['-', '\u{2212}'])?),
    };
    Some((base, sign, offset.trim_start()))
}

fn name(text: &str) -> Result<(), Wrong> {
    let starts = text.starts_with(|c: char| c.is_ascii_alphabetic());
    let fits = starts && text.chars().all(|c| c.is_ascii_alphanumeric() || c == '_' || c == '-');
    let glued =
        text.split_once(['+', '-', '\u{2212}']).filter(|(_, rest)| rest.starts_with(|c: char| c.is_ascii_digit()));
    match glued.filter(|(_, rest)| rest.ends_with('m')) {
        Some((base, rest)) => Err(no(
            format!("`{text}` has no spaces"),
            format!("put a space on both sides of the sign: `{base} - {rest}` or `{base} + {rest}`"),
        )),
        None if fits => Ok(()),
        None => Err(form()),
    }
}

/// Where on a pipe or stack something sits.
#[derive(Clone, Debug, PartialEq)]
pub enum Station {
    /// So far along, going up or down from one of its ends or from an access on it.
    Along {
        /// The distance.
        distance: Measure,
        /// Whether against the flow.
        up: bool,
        /// The end or access it is measured from.
        from: String,
    },
    /// So far above the invert at the tail of the foot bend.
    AboveFoot(Measure),
    /// At a level.
    Level(LevelAt),
}

impl Scalar for Station {
    const FORM: &'static str = "a place with the end it is measured from: `1.30 m up from IC1`, `610 mm above foot`, or a level: `first + 62 mm`";
    const PATTERN: &'static str = r"(?:[0-9]+(?:\.[0-9]+)? *(?:mm|cm|m|in|ft) +(?:(?:up|down) from +\S+|above foot)|[A-Za-z][A-Za-z0-9_-]*(?: +[+\u2212-] *[0-9]+(?:\.[0-9]+)? *(?:mm|cm|m|in|ft))?)";

    fn from_words(words: &str) -> Result<Self, Wrong> {
        if let Some(rest) = words.strip_suffix(" above foot") {
            return measure(rest).map(Station::AboveFoot);
        }
        for (mark, up) in [(" up from ", true), (" down from ", false)] {
            if let Some((distance, from)) = words.split_once(mark) {
                let from = from.trim();
                if from.is_empty() || from.contains(' ') {
                    return Err(form());
                }
                return Ok(Station::Along { distance: measure(distance)?, up, from: from.to_owned() });
            }
        }
        let bare = words.strip_suffix("along").unwrap_or(words).trim();
        if bare.starts_with('-') {
            return Err(form());
        }
        if bare.starts_with(|c: char| c.is_ascii_digit()) {
            return Err(no(
                format!("`{words}` does not say from which end"),
                format!("write `{bare} up from` or `{bare} down from` and the end's id"),
            ));
        }
        LevelAt::from_words(words).map(Station::Level)
    }
}

impl Scalar for Size {
    const FORM: &'static str = "a size with its unit, such as `110 mm`, `40 mm` or `6 in`";
    const PATTERN: &'static str = concat!(
        r"(?:[Dd][Nn] *[0-9]{1,9}|[0-9]{1,9} *(?:[Mm][Mm]|(?:[Mm][Mm] *)?[Nn]ominal)|",
        r#"(?:[0-9]{1,9}|(?:[0-9]{1,8} *)?[½¼¾]|(?:[0-9]{1,8} +)?[0-9]{1,8}/[1248]) *(?:in|inch|inches|"|″))"#
    );

    fn from_words(words: &str) -> Result<Self, Wrong> {
        let other = |c: char| !c.is_alphanumeric() && !c.is_whitespace() && !"/½¼¾\"″".contains(c);
        if words.contains(other) {
            return Err(form());
        }
        size::read(words).map_err(|fault| match fault {
            SizeFault::NoUnit(n) if !n.bytes().all(|b| b.is_ascii_digit()) => form(),
            SizeFault::NotASize => form(),
            SizeFault::NoUnit(n) => no(format!("`{n}` has no unit"), format!("write `{n} mm` or `{n} in`")),
            SizeFault::Unknown(label) => no(
                format!("no pipe of the trade is called {label}"),
                "write the size printed on the pipe or fitting: 32, 40, 50, 75 (82), 100 (110) or 150 (160) mm, or inches",
            ),
            SizeFault::Ambiguous(both) => {
                no(format!("`{words}` could be two sizes"), format!("write {}", both.join(", or ")))
            }
        })
    }
}

/// One size across, or two: `450 mm`, `700 x 560 mm`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Across {
    /// The first, or only, measure.
    pub a: Length,
    /// The second, when it is not round.
    pub b: Option<Length>,
    /// As written, tidied.
    pub words: String,
}

impl Scalar for Across {
    const FORM: &'static str = "one size or two, in mm: `450 mm`, `230 x 230 mm`";
    const PATTERN: &'static str = r"[0-9]+(?:\.[0-9]+)?(?: *[x×] *[0-9]+(?:\.[0-9]+)?)? *(?:mm|m)";

    fn from_words(words: &str) -> Result<Self, Wrong> {
        let (numbers, unit) = match words.strip_suffix("mm") {
            Some(rest) => (rest, "mm"),
            None => (words.strip_suffix('m').ok_or_else(form)?, "m"),
        };
        let part = |n: &str| measure(&format!("{} {unit}", n.trim())).map(|m| m.value);
        let mut parts = numbers.split(['x', '×']);
        let a = part(parts.next().unwrap_or(""))?;
        let b = parts.next().map(part).transpose()?;
        if parts.next().is_some() {
            return Err(form());
        }
        let tidy = numbers.replace(" x ", " × ").replace('x', " × ");
        let tidy = tidy.split_whitespace().collect::<Vec<_>>().join("\u{a0}");
        Ok(Self { a, b, words: format!("{tidy}\u{a0}{unit}") })
    }
}

impl Scalar for NaiveDate {
    const FORM: &'static str = "a date as year-month-day: `2026-03-05`";
    const PATTERN: &'static str = r"[0-9]{4}-[0-9]{2}-[0-9]{2}";
    const KNOWN: bool = false;

    fn from_words(words: &str) -> Result<Self, Wrong> {
        let shape = words.len() == 10
            && words.bytes().enumerate().all(|(i, b)| if i == 4 || i == 7 { b == b'-' } else { b.is_ascii_digit() });
        if !shape {
            return Err(form());
        }
        NaiveDate::parse_from_str(words, "%Y-%m-%d")
            .map_err(|_| no(format!("`{words}` is no day of the calendar"), "look at the month and the day"))
    }
}

impl Scalar for NaiveTime {
    const FORM: &'static str = "a clock time in quotes: `\"15:40\"`";
    const PATTERN: &'static str = r"[0-9]{1,2}:[0-9]{2}";
    const KNOWN: bool = false;

    fn from_words(words: &str) -> Result<Self, Wrong> {
        let minutes = words.split_once(':').map_or("", |(_, minutes)| minutes);
        if minutes.len() != 2 {
            return Err(form());
        }
        NaiveTime::parse_from_str(words, "%H:%M").map_err(|_| form())
    }
}

/// A whole number.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Count(pub u32);

impl Scalar for Count {
    const FORM: &'static str = "a whole number";
    const PATTERN: &'static str = r"[0-9]{1,6}";

    fn from_words(words: &str) -> Result<Self, Wrong> {
        if words.len() > 6 || !words.bytes().all(|b| b.is_ascii_digit()) {
            return Err(form());
        }
        words.parse().map(Self).map_err(|_| form())
    }
}

/// The spread of an instrument: `2 mm in 10 m`, `1 mm`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Spread {
    /// How far one reading may be off.
    pub value: Length,
    /// Over which distance, where that is said.
    pub over: Option<Length>,
}

impl Scalar for Spread {
    const FORM: &'static str = "a spread such as `2 mm`, or `2 mm in 10 m`";
    const PATTERN: &'static str = r"[0-9]+(?:\.[0-9]+)? *mm(?: in +[0-9]+(?:\.[0-9]+)? *(?:mm|cm|m|in|ft))?";

    fn from_words(words: &str) -> Result<Self, Wrong> {
        let (spread, over) = words.split_once(" in ").unwrap_or((words, ""));
        let over = if over.is_empty() { None } else { Some(measure(over)?.value) };
        if !spread.trim_end().ends_with("mm") {
            return Err(form());
        }
        Ok(Self { value: measure(spread)?.value, over })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_are_exact_and_carry_their_last_digit() {
        let m = Measure::from_words("4.85 m").unwrap();
        assert_eq!((m.value.um(), m.half.um(), m.words().as_str()), (4_850_000, 5_000, "4.85\u{a0}m"));
        assert_eq!(Measure::from_words("1_000 mm"), Err(form()));
        assert!(Measure::from_words("1,5 m").unwrap_err().1.contains("1.5"));
        assert!(Measure::from_words("110").unwrap_err().1.contains("110 mm"));
    }

    #[test]
    fn a_ratio_the_wrong_way_round_is_asked_about() {
        assert_eq!(Fall::from_words("60:1").unwrap_err().1, "did you mean `1 in 60`?");
        assert!(Fall::from_words("1 in 0").is_err());
        assert!(matches!(Fall::from_words("81 mm").unwrap(), Fall::Drop(_)));
    }

    #[test]
    fn a_station_says_from_which_end() {
        assert!(Station::from_words("1.3 m along").unwrap_err().0.contains("from which end"));
        assert!(Station::from_words("1.3 m").is_err());
        assert!(matches!(Station::from_words("1.30 m up from IC1").unwrap(), Station::Along { up: true, .. }));
        assert!(
            matches!(Station::from_words("ground - 90 mm").unwrap(), Station::Level(l) if l.offset == Length::from_mm(-90))
        );
    }

    #[test]
    fn the_thirtieth_of_february_is_no_day() {
        assert!(NaiveDate::from_words("2026-02-30").unwrap_err().0.contains("no day"));
        assert_eq!(NaiveDate::from_words("26-02-03"), Err(form()));
    }
}
