//! What the record says of fire: which parts of the building separate it, how long they must hold, how long a seal does.

use crate::record::about::Element;

/// How long something holds against fire, in minutes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Resistance {
    /// Minutes without letting flame through (E).
    pub integrity: u32,
    /// Minutes without letting heat through (I); 0 when the class does not speak of it.
    pub insulation: u32,
    /// The pipe ends of the test, furnace side first: `U/U`.
    pub ends: Option<String>,
}

impl Resistance {
    /// `EI 60`, `E 30`, `E 60 I 30`.
    pub fn words(&self) -> String {
        match (self.integrity, self.insulation) {
            (e, 0) => format!("E\u{a0}{e}"),
            (e, i) if e == i => format!("EI\u{a0}{e}"),
            (e, i) => format!("E\u{a0}{e} I\u{a0}{i}"),
        }
    }

    /// Whether it holds as long as another must.
    pub fn covers(&self, need: &Resistance) -> bool {
        self.integrity >= need.integrity && self.insulation >= need.insulation
    }
}

/// Minutes that classes are given in (EN 13501-2, from memory).
const MINUTES: [u32; 9] = [15, 20, 30, 45, 60, 90, 120, 180, 240];

/// Reads a class out of words: `EI 60-U/U`, `REI 30`, `60 minutes`. A bare number of minutes is taken to ask for both.
///
/// `None` when no class stands there, and when two differ, since it cannot be told which one is meant.
pub fn resistance(words: &str) -> Option<Resistance> {
    let pieces = pieces(words);
    let mut found: [Vec<u32>; 2] = [Vec::new(), Vec::new()];
    let mut bare: Vec<u32> = Vec::new();
    for (i, piece) in pieces.iter().enumerate() {
        let Some(minutes) = piece.parse().ok().filter(|n| MINUTES.contains(n)) else { continue };
        let before = i.checked_sub(1).and_then(|i| pieces.get(i)).map_or("", String::as_str);
        let class = !before.is_empty() && before.chars().all(|c| "REI".contains(c));
        for (letter, list) in ["E", "I"].iter().zip(&mut found) {
            if class && before.contains(letter) {
                list.push(minutes);
            }
        }
        if !class && pieces.get(i + 1).is_none_or(|next| next.to_ascii_lowercase().starts_with("min")) {
            bare.push(minutes);
        }
    }
    let [integrity, insulation] = found;
    let ends = one(&pieces.iter().filter(|p| is_ends(p)).cloned().collect::<Vec<_>>())?;
    if integrity.is_empty() {
        let minutes = one(&bare)??;
        return Some(Resistance { integrity: minutes, insulation: minutes, ends });
    }
    Some(Resistance { integrity: one(&integrity)??, insulation: one(&insulation)?.unwrap_or(0), ends })
}

/// The one value of a list: nothing of an empty one, and `None` when two differ.
fn one<T: Clone + PartialEq>(all: &[T]) -> Option<Option<T>> {
    all.iter().all(|x| Some(x) == all.first()).then(|| all.first().cloned())
}

fn is_ends(piece: &str) -> bool {
    matches!(piece, "U/U" | "U/C" | "C/U" | "C/C")
}

/// Runs of letters (with the stroke between the letters of pipe ends) and runs of digits.
fn pieces(words: &str) -> Vec<String> {
    let mut all: Vec<String> = Vec::new();
    let mut last = None;
    for c in words.chars() {
        let kind = if c.is_ascii_digit() {
            Some(true)
        } else if c.is_alphabetic() || c == '/' {
            Some(false)
        } else {
            None
        };
        match (kind, all.last_mut()) {
            (Some(k), Some(piece)) if last == Some(k) => piece.push(c),
            (Some(_), _) => all.push(c.to_string()),
            (None, _) => {}
        }
        last = kind;
    }
    all
}

/// The words of a text in small letters.
fn small(text: &str) -> Vec<String> {
    text.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty()).map(str::to_lowercase).collect()
}

/// Words for a part of a building that separates fire.
const SEPARATES: [&str; 6] = ["compartment", "party", "separating", "fire", "firewall", "protected"];
/// Words with which the name of a dwelling begins.
const DWELLINGS: [&str; 7] = ["flat", "maisonette", "apartment", "dwelling", "house", "cottage", "bungalow"];
/// Words of a place that belongs to several dwellings, or to the next one.
const SHARED: [&str; 5] = ["common", "communal", "shared", "neighbour", "neighbours"];

/// Whether a part of the building separates fire: the record says what it must hold, names it so, or puts it between
/// two dwellings, a dwelling and what is shared, or a house and its garage.
pub fn separates(element: &Element) -> bool {
    let said = !element.fire.is_absent() && !element.fire.is_none();
    let what = element.what.get().map_or(Vec::new(), |t| small(&t.0));
    let has = |words: &[&str]| what.iter().any(|w| words.contains(&w.as_str()));
    said || has(&SEPARATES) || (!has(&["outside", "external", "roof"]) && parts_dwellings(element))
}

fn parts_dwellings(element: &Element) -> bool {
    let sides: Vec<Vec<String>> = element.between.get().map_or(Vec::new(), |l| l.iter().map(|t| small(&t.0)).collect());
    let [a, b] = sides.as_slice() else { return false };
    let first = |side: &[String], words: &[&str]| side.first().is_some_and(|w| words.contains(&w.as_str()));
    let any = |side: &[String]| side.iter().any(|w| SHARED.contains(&w.as_str()));
    let dwelling = |side: &[String]| first(side, &DWELLINGS);
    let garage = |side: &[String]| side.iter().any(|w| w == "garage");
    (dwelling(a) && dwelling(b) && a != b)
        || (dwelling(a) && any(b))
        || (dwelling(b) && any(a))
        || garage(a) != garage(b)
}

/// Whether it lies flat: a floor, ceiling, slab or roof.
pub fn lies_flat(what: &str) -> bool {
    small(what).iter().any(|w| matches!(w.as_str(), "floor" | "ceiling" | "slab" | "roof"))
}

/// Whether it stands: a wall or partition.
pub fn stands(what: &str) -> bool {
    small(what).iter().any(|w| matches!(w.as_str(), "wall" | "partition" | "firewall" | "shaft"))
}

/// How what a pipe is made of behaves in a fire, in the words of the rulebook.
pub fn material(words: &str) -> &'static str {
    let words = words.to_lowercase();
    let is = |word: &str| words.contains(word);
    if is("cast iron") || is("copper") || is("steel") {
        return "heatproof metal";
    }
    let tough = is("mupvc") || is("pvc-c") || is("cpvc") || is("c-pvc") || is("foam");
    let named = is("pvc-u") || is("pvcu") || is("upvc") || is("u-pvc");
    if !tough && (named || is("aluminium") || is("fibre cement") || is("fibre-cement") || is("lead")) {
        return "pvc-u and the like";
    }
    "other"
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(words: &str) -> Option<(u32, u32, Option<String>)> {
        resistance(words).map(|r| (r.integrity, r.insulation, r.ends))
    }

    #[test]
    fn classes_are_read_out_of_words() {
        let ends = |e: &str| Some(e.to_owned());
        assert_eq!(told("EI 60-U/U"), Some((60, 60, ends("U/U"))));
        assert_eq!(told("EI60 U/C to EN 13501-2"), Some((60, 60, ends("U/C"))));
        assert_eq!(told("REI 30"), Some((30, 30, None)));
        assert_eq!(told("R 30, EI 15"), Some((15, 15, None)));
        assert_eq!(told("E 60, I 30"), Some((60, 30, None)));
        assert_eq!(told("60 minutes"), Some((60, 60, None)));
        assert_eq!(told("30"), Some((30, 30, None)));
        for none in ["tested", "EI 37", "R 60 only", "110 mm pipe", "EI 30-U/C, EI 60-U/U", "EI 60-U/U, EI 60-U/C"] {
            assert_eq!(told(none), None, "{none}");
        }
        // A number that is no time of fire resistance: a pipe of 60 mm.
        assert_eq!(told("60 mm collar"), None);
    }
}
