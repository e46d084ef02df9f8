//! What a pipe's label means. A size is a class, not a number to compare: 110 mm outside is 100 nominal. What pipes of a
//! class measure is in `series.rs`.

/// A nominal size: the class that rules compare.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Nominal(pub u16);

impl Nominal {
    /// `100 mm`.
    pub fn words(self) -> String {
        format!("{}\u{a0}mm", self.0)
    }
}

/// A size as the record writes it, with its class.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Size {
    /// As written, tidied: `110 mm`, `6 in`.
    pub label: String,
    /// Its class.
    pub nominal: Nominal,
}

/// Why a label has no class.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum SizeFault {
    /// It is not a size at all.
    NotASize,
    /// A number without a unit.
    NoUnit(String),
    /// No pipe of the trade has this size.
    Unknown(String),
    /// It could be either; the candidates, each as it should be written.
    Ambiguous(Vec<String>),
}

/// Labels in millimetres that the trade uses, with their class.
const METRIC: [(u32, u16); 25] = [
    (25, 25),
    (30, 30),
    (32, 32),
    (36, 32),
    (40, 40),
    (43, 40),
    (50, 50),
    (55, 50),
    (56, 50),
    (65, 65),
    (75, 75),
    (82, 75),
    (100, 100),
    (110, 100),
    (150, 150),
    (160, 150),
    (200, 225),
    (225, 225),
    (300, 300),
    (315, 300),
    (375, 375),
    (400, 400),
    (450, 450),
    (525, 525),
    (600, 600),
];

/// Labels that could be two sizes, with what to write instead.
const EITHER: [(u32, [&str; 2]); 4] = [
    (63, ["50 mm (63 mm outside, PE)", "65 mm"]),
    (80, ["75 mm", "82 mm"]),
    (90, ["75 mm (90 mm outside, PE)", "100 mm"]),
    (125, ["100 mm (125 mm outside)", "150 mm"]),
];

/// Old sizes in inches, in eighths, with their class.
const INCHES: [(u32, u16); 10] =
    [(10, 32), (12, 40), (16, 50), (24, 75), (32, 100), (48, 150), (72, 225), (20, 65), (96, 300), (144, 450)];

/// Reads a label: `110 mm`, `40 mm`, `6 in`, `1 1/2 in`, `1½ in`, `DN 100`, `100 nominal`.
///
/// # Errors
/// A [`SizeFault`] that says what it could not make of the label, with the candidates where there are two.
pub fn read(label: &str) -> Result<Size, SizeFault> {
    let text = label.trim();
    let lower = text.to_ascii_lowercase();
    if let Some(rest) = lower.strip_prefix("dn") {
        return metric(text, rest.trim());
    }
    if let Some(number) = lower.strip_suffix("nominal") {
        return metric(text, number.trim().trim_end_matches("mm").trim());
    }
    if let Some(number) = lower.strip_suffix("mm") {
        return metric(text, number.trim());
    }
    let inch = ["inches", "inch", "in", "\"", "″"].into_iter().find_map(|unit| lower.strip_suffix(unit));
    if let Some(number) = inch {
        let eighths = eighths(number.trim()).ok_or(SizeFault::NotASize)?;
        let nominal = INCHES.iter().find(|(e, _)| *e == eighths).map(|(_, n)| Nominal(*n));
        return nominal
            .map(|nominal| Size { label: tidy(text), nominal })
            .ok_or_else(|| SizeFault::Unknown(tidy(text)));
    }
    if lower.parse::<f64>().is_ok() { Err(SizeFault::NoUnit(tidy(text))) } else { Err(SizeFault::NotASize) }
}

fn metric(label: &str, number: &str) -> Result<Size, SizeFault> {
    let mm: u32 = number.parse().map_err(|_| SizeFault::NotASize)?;
    if let Some((_, candidates)) = EITHER.iter().find(|(m, _)| *m == mm) {
        return Err(SizeFault::Ambiguous(candidates.iter().map(|c| (*c).to_owned()).collect()));
    }
    let nominal = METRIC.iter().find(|(m, _)| *m == mm).map(|(_, n)| Nominal(*n));
    nominal.map(|nominal| Size { label: tidy(label), nominal }).ok_or_else(|| SizeFault::Unknown(tidy(label)))
}

fn tidy(label: &str) -> String {
    label.split_whitespace().collect::<Vec<_>>().join("\u{a0}")
}

/// `1 1/2`, `1½`, `4`, `6` in eighths of an inch.
fn eighths(number: &str) -> Option<u32> {
    let spaced = number.replace('½', " 1/2").replace('¼', " 1/4").replace('¾', " 3/4");
    let mut total = 0_u32;
    for part in spaced.split_whitespace() {
        let add = match part.split_once('/') {
            Some((n, d)) => {
                let (n, d): (u32, u32) = (n.parse().ok()?, d.parse().ok()?);
                if d == 0 || n.checked_mul(8)? % d != 0 {
                    return None;
                }
                n * 8 / d
            }
            None => part.parse::<u32>().ok()?.checked_mul(8)?,
        };
        total = total.checked_add(add)?;
    }
    (total > 0).then_some(total)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Classes as the trade has them: "75" = 82 mm, "100" = 110 mm, "150" = 160 mm outside in plastics.
    #[test]
    fn one_class_has_many_labels() {
        for (label, nominal) in [
            ("110 mm", 100),
            ("100 mm", 100),
            ("DN 100", 100),
            ("4 in", 100),
            ("160mm", 150),
            ("6 in", 150),
            ("82 mm", 75),
            ("1 1/2 in", 40),
            ("1½ in", 40),
            ("32 mm", 32),
            ("100 nominal", 100),
        ] {
            assert_eq!(read(label).unwrap().nominal, Nominal(nominal), "{label}");
        }
    }

    #[test]
    fn a_label_that_could_be_two_sizes_names_both() {
        assert!(matches!(read("125 mm"), Err(SizeFault::Ambiguous(c)) if c.len() == 2));
        assert_eq!(read("110"), Err(SizeFault::NoUnit("110".into())));
        assert_eq!(read("37 mm"), Err(SizeFault::Unknown("37\u{a0}mm".into())));
        assert_eq!(read("big"), Err(SizeFault::NotASize));
        assert_eq!(read("1/0 in"), Err(SizeFault::NotASize));
    }
}
