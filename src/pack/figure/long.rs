//! Sheets of long sections put together: head, section, strip, a side drain's own section, key and notes.

use crate::base::drawing::Drawing;
use crate::base::drawing::Pen;
use crate::network::Network;
use crate::pack::figure::alt;
use crate::pack::figure::branch;
use crate::pack::figure::foot;
use crate::pack::figure::layout;
use crate::pack::figure::layout::Frame;
use crate::pack::figure::layout::LEFT;
use crate::pack::figure::layout::Part;
use crate::pack::figure::layout::Scales;
use crate::pack::figure::model::Section;
use crate::pack::figure::profile::Profile;
use crate::pack::figure::runs::Family;
use crate::pack::figure::sheet::HEIGHT;
use crate::pack::figure::sheet::Layer;
use crate::pack::figure::sheet::Rect;
use crate::pack::figure::sheet::Sheet;
use crate::pack::figure::sheet::WIDTH;
use crate::pack::figure::strip;
use crate::pack::figure::words;

/// Room above the highest level for tags and words; the later ones where labels that may not drop find no place.
const ABOVE: [f64; 5] = [18.5, 24.0, 32.0, 44.0, 60.0];
/// Height of the levels on paper; the lower ones where the strip needs the room.
const TALL: [f64; 3] = [95.0, 60.0, 36.0];
/// Where key and notes begin when something stands at their left.
const BESIDE: f64 = 94.0;

/// What stays the same on all sheets of a run.
struct Job<'a> {
    net: &'a Network<'a>,
    section: &'a Section,
    /// A side drain that may stand below on the last sheet.
    side: Option<&'a Section>,
    title: String,
}

/// One try at a sheet.
struct Made {
    sheet: Sheet,
    scales: Scales,
    /// Where the strip ends.
    end: f64,
    notes: Vec<String>,
}

/// All sheets of a family of runs.
pub(super) fn sheets(net: &Network<'_>, family: &Family) -> Vec<Drawing> {
    let main = Section::of(net, &family.main);
    let sides: Vec<Section> = family.sides.iter().map(|run| Section::of(net, run)).collect();
    let (mut drawings, used) = run_sheets(net, &main, sides.first());
    for side in sides.iter().skip(usize::from(used)) {
        drawings.extend(run_sheets(net, side, None).0);
    }
    drawings
}

/// The title of a run's sheets.
pub(super) fn title(section: &Section) -> String {
    let (first, last) = section.names();
    let short = |name: &str| words::fit(&words::clean(name), true, words::TITLE, 42.0);
    format!("Long section, {} to {}", short(&first), short(&last))
}

fn run_sheets(net: &Network<'_>, section: &Section, side: Option<&Section>) -> (Vec<Drawing>, bool) {
    let parts = layout::parts(section);
    let job = Job { net, section, side, title: title(section) };
    let mut used = false;
    let mut drawings = Vec::new();
    for part in &parts {
        let made = best(&job, &parts, part);
        let (drawing, more, took) = job.close(made, part);
        used |= took;
        drawings.extend(std::iter::once(drawing).chain(more));
    }
    (drawings, used)
}

/// The first try on which every label that may not drop has its place and the strip ends on the sheet.
fn best(job: &Job<'_>, parts: &[Part], part: &Part) -> Made {
    let mut fallback: Option<(usize, Made)> = None;
    for tall in TALL {
        let scales = layout::scales(job.section, parts, tall);
        for above in ABOVE {
            let made = job.make(part, scales, above);
            let lost = made.sheet.unplaced.iter().filter(|(rank, _)| *rank <= 4).count();
            let over = made.end > HEIGHT - 8.0;
            if lost == 0 && !over {
                return made;
            }
            if over && fallback.as_ref().is_some_and(|f| f.1.end <= HEIGHT - 8.0) {
                break;
            }
            let worth = lost + if over { 1000 } else { 0 };
            if fallback.as_ref().is_none_or(|(least, _)| worth < *least) {
                fallback = Some((worth, made));
            }
        }
    }
    match fallback {
        Some((_, made)) => made,
        None => job.make(part, layout::scales(job.section, parts, TALL[0]), ABOVE[0]),
    }
}

impl Job<'_> {
    fn sheet_title(&self, part: &Part) -> String {
        if part.of == 1 { self.title.clone() } else { format!("{}, sheet {} of {}", self.title, part.number, part.of) }
    }

    fn make(&self, part: &Part, scales: Scales, above: f64) -> Made {
        let mut sheet = Sheet::default();
        let lines = foot::head_words(self.net, self.section, scales);
        let head = foot::head(self.net, &mut sheet, &self.sheet_title(part), &lines);
        let (base, high) = layout::extent(self.section, &part.pieces);
        let tall = crate::base::units::Length::from_um(high.saturating_sub(base)).mm() / scales.up;
        let y_base = head + above + tall.max(24.0);
        let frame = Frame::new(self.section, &part.pieces, scales, LEFT, y_base);
        let area = Rect { x0: 26.4, y0: head + 0.8, x1: WIDTH, y1: y_base - 0.6 };
        let staff = frame.y(high).min(y_base - 24.0) - 2.0;
        foot::staff(&mut sheet, self.section, &frame, 24.6, staff);
        let mut profile = Profile {
            net: self.net,
            section: self.section,
            part,
            frame: &frame,
            sheet: &mut sheet,
            area,
            depths: Vec::new(),
            notes: Vec::new(),
            small: false,
        };
        profile.shapes();
        profile.labels();
        let mut notes = std::mem::take(&mut profile.notes);
        if layout::is_stepped(self.section, part) {
            notes.push("The datum is another on each sheet of this run.".to_owned());
        }
        sheet.line(Layer::Structure, Pen::Datum, &[(0.0, y_base), (WIDTH, y_base)]);
        let end = strip::draw(self.net, self.section, part, &frame, &mut sheet);
        Made { sheet, scales, end, notes }
    }

    /// Adds what stands under the strip; gives the sheet, further sheets for notes, and whether the side is on it.
    fn close(&self, made: Made, part: &Part) -> (Drawing, Vec<Drawing>, bool) {
        let Made { mut sheet, scales, end, notes: mut own } = made;
        let last = part.number == part.of;
        let side = self.side.filter(|_| last).and_then(|s| branch::small(self.net, s, scales, &sheet, end + 6.6));
        let took = side.is_some();
        let (mut low, mut sections) = (end, vec![self.section]);
        if let (Some(small), Some(section)) = (side, self.side) {
            sheet = small.sheet;
            low = small.end;
            own.extend(small.notes);
            sections.push(section);
        }
        let mut notes = if part.number == 1 || took { foot::notes(self.net, &sections) } else { Vec::new() };
        own.dedup();
        notes.extend(own);
        notes.extend(foot::own_notes(&sheet));
        let (low, left) = under(&mut sheet, self.section, scales, end + 6.6, low, took, &notes);
        let alt = alt::of(self.net, self.section, part, self.side.filter(|_| took));
        let title = self.sheet_title(part);
        let more = overflow(self.net, &title, left);
        (sheet.finish(title, alt, (low + 1.0).min(HEIGHT)), more, took)
    }
}

/// Key, notes and scale bar under a strip; says how low they reach and which lines of the notes are left over.
fn under(
    sheet: &mut Sheet,
    section: &Section,
    scales: Scales,
    y: f64,
    low: f64,
    beside: bool,
    notes: &[String],
) -> (f64, Vec<String>) {
    let lowest = HEIGHT - 1.0;
    let rows = sheet.signs.len() as f64 * 5.2 + 1.0;
    if y + rows > lowest {
        return (low, notes.to_vec());
    }
    let key_x = if beside { BESIDE } else { 0.0 };
    let key_end = foot::key(sheet, key_x, y);
    let notes_y = if beside { key_end + 5.4 } else { y };
    let bar = 7.0;
    let (notes_end, left) = foot::write(sheet, notes, BESIDE, notes_y, WIDTH - BESIDE, lowest - bar);
    let bar_y = notes_end.max(if beside { key_end } else { y }) + 1.8;
    let bar_end = foot::scale_bar(sheet, section, scales, BESIDE, bar_y.min(lowest - 5.6));
    (low.max(key_end + 1.0).max(bar_end), left)
}

/// Sheets for lines of notes that found no room under their section.
fn overflow(net: &Network<'_>, title: &str, mut lines: Vec<String>) -> Vec<Drawing> {
    let mut drawings = Vec::new();
    while !lines.is_empty() {
        let mut sheet = Sheet::default();
        let name = format!("Notes: {title}");
        let head = foot::head(net, &mut sheet, &name, "What found no room under the section.");
        let all = lines.join(" ");
        let (end, left) = foot::write(&mut sheet, &lines, 0.0, head + 6.0, WIDTH, HEIGHT - 2.0);
        let alt = words::clean(&all).chars().take(880).collect();
        drawings.push(sheet.finish(name, alt, end + 1.0));
        if left.len() >= lines.len() && left == lines {
            break;
        }
        lines = left;
    }
    drawings
}
