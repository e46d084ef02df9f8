//! Labels and where they stand: candidates in order, then the nearest free place with a leader, else none.

use crate::base::drawing::Anchor;
use crate::base::drawing::Face;
use crate::base::drawing::Pen;
use crate::pack::figure::sheet::Layer;
use crate::pack::figure::sheet::Rect;
use crate::pack::figure::sheet::Sheet;
use crate::pack::figure::sheet::Spot;
use crate::pack::figure::sheet::TAG;
use crate::pack::figure::sheet::TagStyle;
use crate::pack::figure::words;
use crate::pack::figure::words::SIZE;
use crate::pack::figure::words::STEP;

/// From a tag to the words beside it.
const GAP: f64 = 1.5;
/// From the words to an arrow's middle.
const TO_ARROW: f64 = 4.0;

/// A label: an id's tag, words in lines, a flow arrow.
#[derive(Clone, Debug)]
pub(super) struct Label {
    /// 1 is placed first and never drops; 9 drops first.
    pub(super) rank: u8,
    pub(super) tag: Option<(String, TagStyle)>,
    pub(super) lines: Vec<String>,
    pub(super) arrow: bool,
    /// A short stub with a break before the tag: something that is not put at a height.
    pub(super) stub: bool,
}

impl Label {
    /// Words alone.
    pub(super) fn of(rank: u8, lines: &[&str]) -> Self {
        let lines = lines.iter().map(|l| words::clean(l)).collect();
        Self { rank, tag: None, lines, arrow: false, stub: false }
    }

    /// A tag with words beside it.
    pub(super) fn tagged(rank: u8, id: &str, style: TagStyle, lines: &[String]) -> Self {
        let lines = lines.iter().map(|l| words::clean(l)).collect();
        Self { rank, tag: Some((id.to_owned(), style)), lines, arrow: false, stub: false }
    }

    fn indent(&self) -> f64 {
        let stub = if self.stub { 8.0 } else { 0.0 };
        stub + self.tag.as_ref().map_or(0.0, |(id, _)| Sheet::tag_width(id))
    }

    fn text_x(&self) -> f64 {
        self.indent() + if self.tag.is_some() { GAP } else { 0.0 }
    }

    fn first_width(&self) -> f64 {
        self.lines.first().map_or(0.0, |l| words::width(l, false, SIZE))
    }

    /// Width and height of all of it.
    pub(super) fn size(&self) -> (f64, f64) {
        let widest = self.lines.iter().map(|l| words::width(l, false, SIZE)).fold(0.0, f64::max);
        let text = if self.lines.is_empty() { self.indent() } else { self.text_x() + widest };
        let arrow = if self.arrow { self.text_x() + self.first_width() + TO_ARROW + 1.6 } else { 0.0 };
        let lines = self.lines.len().saturating_sub(1) as f64 * STEP;
        (text.max(arrow), TAG.max(3.5) + lines)
    }

    /// Width within which a leader may meet it from over or under.
    fn hit(&self) -> f64 {
        if self.tag.is_some() { self.indent() } else { self.size().0 }
    }

    /// All its words, for a note when it finds no place.
    pub(super) fn told(&self) -> String {
        let id = self.tag.as_ref().map_or("", |(id, _)| id.as_str());
        let all = format!("{id} {}", self.lines.join(" "));
        words::clean(all.trim())
    }

    fn draw(&self, sheet: &mut Sheet, x: f64, y: f64) {
        if self.stub {
            let m = y + TAG / 2.0;
            sheet.line(Layer::Pipe, Pen::WallExisting, &[(x, m - 0.6), (x + 7.6, m - 0.6)]);
            sheet.line(Layer::Pipe, Pen::WallExisting, &[(x, m + 0.6), (x + 7.6, m + 0.6)]);
            sheet.break_strokes((x + 2.4, m), 3.6);
        }
        if let Some((id, style)) = &self.tag {
            sheet.tag(x + if self.stub { 8.0 } else { 0.0 }, y, id, *style);
        }
        let left = x + self.text_x();
        for (i, line) in self.lines.iter().enumerate() {
            sheet.text(left, y + 3.08 + STEP * i as f64, Anchor::Start, line, Face::Regular, SIZE);
        }
        if self.arrow {
            sheet.arrow((left + self.first_width() + TO_ARROW, y + TAG / 2.0));
        }
    }

    /// Puts it at the first free of the given left top corners, else at the nearest free place in an area with a
    /// leader to its object, else notes it as unplaced. Says where it stands.
    pub(super) fn place(&self, sheet: &mut Sheet, spots: &[Spot], object: Option<Spot>, area: &Rect) -> Option<Rect> {
        let (w, h) = self.size();
        let pad = if self.tag.as_ref().is_some_and(|(_, s)| s.existing) { 0.75 } else { 0.0 };
        let free = |sheet: &Sheet, x: f64, y: f64| sheet.is_free(Rect::new(x, y, w, h).grown(pad), area);
        if let Some((x, y)) = spots.iter().copied().find(|(x, y)| free(sheet, *x, *y)) {
            self.draw(sheet, x, y);
            return Some(Rect::new(x, y, w, h));
        }
        let toward = object.or_else(|| spots.first().copied())?;
        for (x, y) in grid(toward, w, h, area) {
            if !free(sheet, x, y) {
                continue;
            }
            let r = Rect::new(x, y, w, h);
            let Some(object) = object else {
                self.draw(sheet, x, y);
                return Some(r);
            };
            let path = leader(object, &r.grown(pad), self.hit() + pad).filter(|p| clear(sheet, p));
            if let Some(path) = path {
                self.draw(sheet, x, y);
                draw_leader(sheet, &path);
                return Some(r);
            }
        }
        sheet.unplaced.push((self.rank, self.told()));
        None
    }

    /// Puts it with a leader at the first given corner where both are clear, else as [`Label::place`] does.
    pub(super) fn lead(&self, sheet: &mut Sheet, spots: &[Spot], object: Spot, area: &Rect) -> Option<Rect> {
        let (w, h) = self.size();
        for (x, y) in spots {
            let r = Rect::new(*x, *y, w, h);
            let path = leader(object, &r, self.hit()).filter(|p| clear(sheet, p));
            if let (true, Some(path)) = (sheet.is_free(r, area), path) {
                self.draw(sheet, *x, *y);
                draw_leader(sheet, &path);
                return Some(r);
            }
        }
        self.place(sheet, &[], Some(object), area)
    }
}

/// Left top corners in an area, the nearest to an object first; ties by height, then from the left.
fn grid(toward: Spot, w: f64, h: f64, area: &Rect) -> Vec<Spot> {
    let mut all = Vec::new();
    let mut y = area.y0;
    while y + h <= area.y1 {
        let mut x = area.x0;
        while x + w <= area.x1 {
            let dx = (x - toward.0).max(toward.0 - x - w).max(0.0);
            let dy = (y - toward.1).max(toward.1 - y - h).max(0.0);
            // Whole tenths make the order the same on every machine.
            let far = ((dx * dx + dy * dy).sqrt() * 10.0).round() as i64;
            all.push((far, (x, y)));
            x += 1.5;
        }
        y += 1.5;
    }
    all.sort_by_key(|(far, _)| *far);
    all.into_iter().map(|(_, spot)| spot).collect()
}

/// From an object to a box: straight where its tag, or its words when it has none, stands over or under the object;
/// else with an elbow and a level last piece. `None` where either would run through the label.
fn leader(object: Spot, r: &Rect, hit: f64) -> Option<Vec<Spot>> {
    let (x, y) = object;
    if x > r.x0 + 0.8 && x < r.x0 + hit - 0.8 {
        let edge = if y > r.y1 { r.y1 } else { r.y0 };
        return Some(vec![object, (x, edge)]);
    }
    let level = r.y0 + TAG / 2.0;
    if x <= r.x0 - 0.6 {
        return Some(vec![object, ((r.x0 - 1.8).max(x), level), (r.x0, level)]);
    }
    if x >= r.x1 + 0.6 {
        return Some(vec![object, ((r.x1 + 1.8).min(x), level), (r.x1, level)]);
    }
    None
}

fn clear(sheet: &Sheet, path: &[Spot]) -> bool {
    let holds = |r: &Rect| path.first().is_some_and(|p| p.0 >= r.x0 && p.0 <= r.x1 && p.1 >= r.y0 && p.1 <= r.y1);
    let crosses = |a: Spot, b: Spot| {
        sheet.leaders.iter().any(|(c, d)| meet(a, b, *c, *d)) || sheet.boxes.iter().any(|r| r.cut_by(a, b) && !holds(r))
    };
    !path.windows(2).any(|pair| match pair {
        [a, b] => crosses(*a, *b),
        _ => false,
    })
}

fn draw_leader(sheet: &mut Sheet, path: &[Spot]) {
    if let Some(first) = path.first() {
        sheet.dot(*first);
    }
    sheet.faint(Layer::Dimension, Pen::Thin, path);
    for pair in path.windows(2) {
        if let [a, b] = pair {
            sheet.leaders.push((*a, *b));
        }
    }
}

/// Whether two straight pieces cross.
fn meet(a: Spot, b: Spot, c: Spot, d: Spot) -> bool {
    let side = |p: Spot, q: Spot, r: Spot| (q.0 - p.0) * (r.1 - p.1) - (q.1 - p.1) * (r.0 - p.0);
    side(a, b, c) * side(a, b, d) < 0.0 && side(c, d, a) * side(c, d, b) < 0.0
}
