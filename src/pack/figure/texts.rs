//! Texts of the small plan: set once its lines are drawn, shortened before they drop.

use crate::base::drawing::Anchor;
use crate::base::drawing::Face;
use crate::base::lettering;
use crate::pack::figure::plan::ID;
use crate::pack::figure::plan::Plan;
use crate::pack::figure::plan::WORD;
use crate::pack::figure::plan::Words;
use crate::pack::figure::sheet::Rect;
use crate::pack::figure::sheet::Sheet;
use crate::pack::figure::sheet::Spot;
use crate::pack::figure::words;

impl Plan<'_> {
    /// Words to be set at one of some base-line places once the row's lines are drawn: whole, else without what stands
    /// behind the id.
    pub(super) fn put(&mut self, words: &[Words], spots: &[Spot]) {
        let mut ways = vec![words.to_vec()];
        if let [first, _, ..] = words {
            ways.push(vec![first.clone()]);
        }
        self.texts.push((ways, spots.to_vec()));
    }

    /// Sets words at the first free of some places, or at the nearest free one between two heights; says whether it did.
    pub(super) fn set(&mut self, words: &[Words], spots: &[Spot], rows: Option<Spot>) -> bool {
        let (w, up, down) = (run_width(words), 0.735 * ID, 0.235 * ID);
        let area = Rect { x0: 0.0, y0: 0.2, x1: self.wide, y1: 1e4 };
        let free = |s: &Sheet, (x, y): Spot| s.is_free(Rect { x0: x, y0: y - up, x1: x + w, y1: y + down }, &area);
        let all = match (rows, spots.first()) {
            (Some(rows), Some(first)) => near(*first, w, self.wide, rows),
            (Some(_), None) | (None, _) => spots.to_vec(),
        };
        let Some((mut x, y)) = all.into_iter().find(|s| free(&self.sheet, *s)) else { return false };
        for (text, face, size) in words {
            self.sheet.text(x, y, Anchor::Start, text, *face, *size);
            x += lettering::width(*face, text, *size) + 1.2;
        }
        true
    }
}

/// Base-line places between two heights, the nearest first.
fn near(first: Spot, w: f64, wide: f64, (top, bottom): Spot) -> Vec<Spot> {
    let mut grid: Vec<(i64, Spot)> = Vec::new();
    let mut y = top + 3.2;
    while y < bottom - 0.6 {
        let mut x = 0.0;
        while x + w <= wide {
            let far = (x - first.0).abs() + 1.5 * (y - first.1).abs();
            grid.push(((far * 10.0).round() as i64, (x, y)));
            x += 1.0;
        }
        y += 1.0;
    }
    grid.sort_by_key(|(far, _)| *far);
    grid.into_iter().map(|(_, spot)| spot).collect()
}

/// Width of words set one after another.
pub(super) fn run_width(words: &[Words]) -> f64 {
    let text: f64 = words.iter().map(|(t, face, size)| lettering::width(*face, t, *size)).sum();
    text + 1.2 * words.len().saturating_sub(1) as f64
}

/// An id with words behind it, ever fewer of them, at last alone.
pub(super) fn ways(id: &str, tries: &[String]) -> Vec<Vec<Words>> {
    let id = (words::tag(id), Face::Bold, ID);
    let with = |t: &String| vec![id.clone(), (words::clean(t), Face::Regular, WORD)];
    tries.iter().map(with).chain([vec![id.clone()]]).collect()
}
