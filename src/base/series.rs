//! What pipes of a size measure, by series. The figures stand with their sources in `pipe-series.txt`.

use crate::base::citation::Seen;
use crate::base::rows::rows;
use crate::base::size::Nominal;
use crate::base::units::Length;
use std::sync::LazyLock;

/// One size of a pipe series.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SeriesRow {
    /// The class.
    pub nominal: Nominal,
    /// Outside diameter.
    pub outside: Length,
    /// How the outside diameter was seen.
    pub outside_seen: Seen,
    /// Wall.
    pub wall: Length,
    /// How the wall was seen.
    pub wall_seen: Seen,
}

impl SeriesRow {
    /// Inside diameter.
    pub fn bore(&self) -> Length {
        self.outside - self.wall - self.wall
    }

    /// Whether the inside diameter rests on a figure that was recalled and not read.
    pub fn bore_recalled(&self) -> bool {
        [self.outside_seen, self.wall_seen].contains(&Seen::Memory)
    }
}

/// A pipe series: sizes with outside diameter and wall, and where they come from.
#[derive(Clone, Debug, PartialEq)]
pub struct Series {
    /// The word that rulebooks and tables call it by.
    pub word: &'static str,
    /// What it is.
    pub name: &'static str,
    /// Where the figures come from.
    pub source: &'static str,
    rows: Vec<SeriesRow>,
}

impl Series {
    /// The row of a size.
    pub fn row(&self, size: Nominal) -> Option<&SeriesRow> {
        self.rows.iter().find(|r| r.nominal == size)
    }
}

static ALL: LazyLock<Vec<Series>> = LazyLock::new(|| parsed(include_str!("pipe-series.txt")));

/// The series of a table; a line that is none is passed over, and a test counts that none is.
fn parsed(text: &'static str) -> Vec<Series> {
    let mut all: Vec<Series> = Vec::new();
    for cells in rows(text) {
        match cells.as_slice() {
            ["series", word, name, source] => all.push(Series { word, name, source, rows: Vec::new() }),
            ["size", word, sizes @ ..] => {
                let series = all.iter_mut().find(|series| series.word == *word);
                if let Some((series, row)) = series.zip(size(sizes)) {
                    series.rows.push(row);
                }
            }
            _ => {}
        }
    }
    all
}

fn size(cells: &[&str]) -> Option<SeriesRow> {
    let [nominal, outside, outside_seen, wall, wall_seen] = cells else { return None };
    Some(SeriesRow {
        nominal: Nominal(nominal.parse().ok()?),
        outside: millimetres(outside)?,
        outside_seen: Seen::from_word(outside_seen)?,
        wall: millimetres(wall)?,
        wall_seen: Seen::from_word(wall_seen)?,
    })
}

/// `82.4` as a length; whole micrometres, so that nothing is rounded.
fn millimetres(text: &str) -> Option<Length> {
    let (whole, part) = text.split_once('.')?;
    let part: i64 = format!("{part:0<3}").parse().ok().filter(|part| *part < 1000)?;
    Some(Length::from_um(whole.parse::<i64>().ok()?.checked_mul(1000)? + part))
}

/// The series of a pipe by its size and, where said, its material and joints; `None` for clay and whatever else has no
/// cited table.
pub fn series(size: Nominal, material: Option<&str>, joints: Option<&str>) -> Option<&'static Series> {
    let material = material.map(str::to_ascii_lowercase);
    let is = |word: &str| material.as_deref().is_some_and(|m| m.contains(word));
    if is("clay") || is("concrete") || is("pitch") || is("lead") || is("copper") || is("hdpe") || is("pe-hd") {
        return None;
    }
    let push_fit = is("pp") || is("polypropylene") || joints.is_some_and(|j| j.contains("push"));
    let word = match (is("cast iron"), size.0 >= 75, push_fit) {
        (true, _, _) => "cast-iron",
        (false, true, _) => "pvc-u",
        (false, false, true) => "push-fit",
        (false, false, false) => "solvent",
    };
    ALL.iter().find(|series| series.word == word)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_line_of_the_table_is_read() {
        let lines = rows(include_str!("pipe-series.txt")).count();
        assert_eq!(ALL.iter().map(|s| 1 + s.rows.len()).sum::<usize>(), lines);
        assert!(ALL.iter().all(|s| !s.source.is_empty() && !s.name.is_empty()));
        for (words, um) in [("82.4", 82_400), ("1.85", 1_850), ("110.0", 110_000)] {
            assert_eq!(millimetres(words), Some(Length::from_um(um)));
        }
    }

    #[test]
    fn the_bore_of_110_pvc_u_is_103_6() {
        let row = series(Nominal(100), Some("PVC-U"), None).unwrap().row(Nominal(100)).unwrap();
        assert_eq!(row.bore(), Length::from_um(103_600));
        assert!(row.bore_recalled());
        let cast = series(Nominal(100), Some("Cast iron"), None).unwrap().row(Nominal(100)).unwrap();
        assert_eq!(cast.bore(), Length::from_um(103_000));
        assert_eq!(series(Nominal(40), None, Some("push-fit")).unwrap().word, "push-fit");
    }
}
