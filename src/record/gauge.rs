//! What is read at a test: pressures, litres, and how long something lasted.

use crate::base::units::Length;
use crate::base::units::fixed;
use crate::base::units::round_div;
use crate::base::water::Pressure;
use crate::base::water::Volume;
use crate::record::quantity::Measure;
use crate::record::quantity::Wrong;
use crate::record::quantity::decimal;
use crate::record::quantity::form;
use crate::record::quantity::measure;
use crate::record::quantity::no;
use crate::record::value::Scalar;
use chrono::NaiveTime;

/// The clock time of a reading, to the minute or to the second: `15:40`, `15:40:30`.
pub fn clock(text: &str) -> Option<NaiveTime> {
    let (minutes, seconds) = match text.match_indices(':').nth(1) {
        Some((at, _)) => (text.get(..at)?, text.get(at + 1..)?),
        None => (text, "00"),
    };
    let time = NaiveTime::from_words(minutes).ok()?;
    let whole = seconds.len() == 2 && seconds.bytes().all(|b| b.is_ascii_digit());
    let seconds = seconds.parse().ok().filter(|s| whole && *s < 60_i64)?;
    Some(time.overflowing_add_signed(chrono::TimeDelta::seconds(seconds)).0)
}

/// A reading of a gauge or of a height of water, with the spread of its last printed digit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Gauge {
    /// The column of water that it is, to the nearest micrometre.
    pub value: Length,
    /// Half of the last printed digit.
    pub half: Length,
    /// The pressure that it is, exact.
    pub pressure: Pressure,
    /// Half of the last printed digit.
    pub half_pressure: Pressure,
    written: Written,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Written {
    Column(Measure),
    /// So many decimals of a unit, so many pascals each.
    Pressure(u32, i64, &'static str),
}

impl Gauge {
    /// As it was written: `100 mm`, `10 mbar`.
    pub fn words(&self) -> String {
        match self.written {
            Written::Column(measure) => measure.words(),
            Written::Pressure(decimals, pa, unit) => {
                let micro = i128::from(self.pressure.micro_mbar());
                format!("{}\u{a0}{unit}", fixed(micro, i128::from(pa) * 10_000, decimals))
            }
        }
    }

    /// Whether it was read as a pressure and not as a height of water.
    pub fn is_pressure(&self) -> bool {
        matches!(self.written, Written::Pressure(..))
    }
}

impl Scalar for Gauge {
    const FORM: &'static str = "a reading with its unit: `100 mm` of water, `10 mbar` or `1 kPa`";
    const PATTERN: &'static str = r"[0-9]+(?:\.[0-9]+)? *(?:mm|cm|m|in|ft|mbar|kPa)";

    fn from_words(words: &str) -> Result<Self, Wrong> {
        if words.starts_with('-') || words.starts_with('\u{2212}') {
            return Err(no(format!("`{words}` is less than nothing"), "write what was read, from nothing upwards"));
        }
        for (unit, pa) in [("mbar", 100), ("kPa", 1000)] {
            if let Some(number) = words.strip_suffix(unit) {
                let (digits, decimals) = decimal(number)?;
                let micro = |n: i64| round_div(i128::from(n) * i128::from(pa) * 10_000, 10_i128.pow(decimals));
                let (pressure, half) = (Pressure::from_micro_mbar(micro(digits)), Pressure::from_micro_mbar(micro(1)));
                let half_pressure = half.half();
                return Ok(Self {
                    value: pressure.head(),
                    half: half_pressure.head(),
                    pressure,
                    half_pressure,
                    written: Written::Pressure(decimals, pa, unit),
                });
            }
        }
        let m = measure(words)?;
        let (pressure, half_pressure) = (Pressure::of_water(m.value), Pressure::of_water(m.half));
        Ok(Self { value: m.value, half: m.half, pressure, half_pressure, written: Written::Column(m) })
    }
}

/// A volume of water with the spread of its last printed digit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Litres {
    /// The volume.
    pub value: Volume,
    /// Half of the last printed digit.
    pub half: Volume,
    decimals: u32,
    millilitres: bool,
}

impl Litres {
    /// As it was written: `0.42 l`, `420 ml`.
    pub fn words(&self) -> String {
        if self.millilitres {
            return format!("{}\u{a0}ml", fixed(i128::from(self.value.ul()), 1000, self.decimals));
        }
        format!("{}\u{a0}l", self.value.litres(self.decimals))
    }
}

impl Scalar for Litres {
    const FORM: &'static str = "a volume with its unit: `0.42 l` or `420 ml`";
    const PATTERN: &'static str = r"[0-9]+(?:\.[0-9]+)? *m?l";

    fn from_words(words: &str) -> Result<Self, Wrong> {
        let (number, scale, millilitres) = match words.strip_suffix("ml") {
            Some(number) => (number, 1_000, true),
            None => (words.strip_suffix('l').ok_or_else(form)?, 1_000_000, false),
        };
        let (digits, decimals) = decimal(number)?;
        let ten = 10_i128.pow(decimals);
        let value = Volume::from_ul(round_div(i128::from(digits) * scale, ten));
        Ok(Self { value, half: Volume::from_ul(round_div(scale, ten * 2)), decimals, millilitres })
    }
}

/// So much water in a second.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PeakFlow {
    /// In millilitres a second.
    pub ml_s: i64,
    decimals: u32,
}

impl PeakFlow {
    /// As it was written: `1.2 l/s`.
    pub fn words(&self) -> String {
        format!("{}\u{a0}l/s", fixed(i128::from(self.ml_s), 1000, self.decimals))
    }
}

impl Scalar for PeakFlow {
    const FORM: &'static str = "a flow with its unit: `1.2 l/s`";
    const PATTERN: &'static str = r"[0-9]+(?:\.[0-9]+)? *l/s";

    fn from_words(words: &str) -> Result<Self, Wrong> {
        let number = words.strip_suffix("l/s").ok_or_else(form)?;
        let (digits, decimals) = decimal(number)?;
        Ok(Self { ml_s: round_div(i128::from(digits) * 1000, 10_i128.pow(decimals)), decimals })
    }
}

/// How long something lasted, in whole seconds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Lasting {
    /// In seconds; a part of one is left out.
    pub seconds: i64,
    /// As written, tidied.
    pub words: String,
}

impl Scalar for Lasting {
    const FORM: &'static str = "how long: `30 min`, `1 h`, `1 h 30 min`, `90 s`";
    const PATTERN: &'static str =
        r"(?:[0-9]+(?:\.[0-9]+)? *(?:h|min|s)|[0-9]+(?:\.[0-9]+)? *h +[0-9]+(?:\.[0-9]+)? *min)";

    fn from_words(words: &str) -> Result<Self, Wrong> {
        let part = |number: &str, seconds: i64| -> Result<i64, Wrong> {
            let (digits, decimals) = decimal(number)?;
            Ok(i64::try_from(i128::from(digits) * i128::from(seconds) / 10_i128.pow(decimals)).unwrap_or(i64::MAX))
        };
        let tidy = words.split_whitespace().collect::<Vec<_>>().join("\u{a0}");
        let seconds = match words.strip_suffix("min") {
            Some(rest) => match rest.split_once('h') {
                Some((hours, minutes)) if minutes.starts_with(' ') => {
                    part(hours, 3600)?.saturating_add(part(minutes, 60)?)
                }
                Some(_) => return Err(form()),
                None => part(rest, 60)?,
            },
            None => match words.strip_suffix('h') {
                Some(hours) => part(hours, 3600)?,
                None => part(words.strip_suffix('s').ok_or_else(form)?, 1)?,
            },
        };
        Ok(Self { seconds, words: tidy })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_gauge_is_read_in_the_unit_it_has() {
        let read = |text: &str| Gauge::from_words(text).unwrap();
        assert_eq!(read("10 mbar").pressure, read("1 kPa").pressure);
        assert_eq!((read("10 mbar").value.um(), read("7.5 mbar").words()), (101_972, "7.5\u{a0}mbar".to_owned()));
        assert_eq!(read("0.75 kPa").words(), "0.75\u{a0}kPa");
        // A reading in whole millibars may be off by half of one, which is 5.1 mm of water.
        assert_eq!(read("10 mbar").half.um(), 5_099);
        assert_eq!((read("100 mm").words(), read("1.20 m").words()), ("100\u{a0}mm".into(), "1.20\u{a0}m".into()));
        assert!(Gauge::from_words("100").is_err() && Gauge::from_words("1 bar").is_err());
    }

    #[test]
    fn litres_and_times_are_read_with_their_unit() {
        let read = |text: &str| Litres::from_words(text).unwrap();
        assert_eq!((read("0.42 l").value.ul(), read("0.42 l").half.ul()), (420_000, 5_000));
        assert_eq!((read("420 ml").words(), read("0.50 l").words()), ("420\u{a0}ml".into(), "0.50\u{a0}l".into()));
        let lasted = |text: &str| Lasting::from_words(text).map(|l| l.seconds).ok();
        assert_eq!(lasted("1 h"), Some(3600));
        assert_eq!((lasted("1 h 30 min"), lasted("1.5 min"), lasted("90 s")), (Some(5400), Some(90), Some(90)));
        assert_eq!((lasted("30"), lasted("1 h30 min"), lasted("half an hour")), (None, None, None));
    }

    #[test]
    fn a_flow_is_read_in_litres_a_second() {
        let read = |text: &str| PeakFlow::from_words(text).map(|f| (f.ml_s, f.words())).ok();
        assert_eq!(read("1.2 l/s"), Some((1_200, "1.2\u{a0}l/s".to_owned())));
        assert_eq!((read("0.75 l/s").map(|f| f.0), read("2 l/s").map(|f| f.0)), (Some(750), Some(2_000)));
        assert_eq!((read("1.2"), read("1.2 l"), read("-1 l/s")), (None, None, None));
    }

    #[test]
    fn clock_times_may_have_seconds() {
        assert_eq!(clock("15:40").map(|t| t.to_string()).as_deref(), Some("15:40:00"));
        assert_eq!(clock("15:40:30").map(|t| t.to_string()).as_deref(), Some("15:40:30"));
        assert!(["15", "15:4", "25:00", "15:40:60", "15:40:3", "15:40:+3"].iter().all(|t| clock(t).is_none()));
    }
}
