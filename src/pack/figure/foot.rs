//! What stands around a section on its sheet: head, staff, key, notes and scale bar.

use crate::base::drawing::Anchor;
use crate::base::drawing::Face;
use crate::base::drawing::Paint;
use crate::base::drawing::Pen;
use crate::base::known::How;
use crate::base::units::Length;
use crate::network::Network;
use crate::pack::figure::layout;
use crate::pack::figure::layout::Frame;
use crate::pack::figure::layout::Scales;
use crate::pack::figure::model::Datum;
use crate::pack::figure::model::Section;
use crate::pack::figure::runs;
use crate::pack::figure::runs::Tail;
use crate::pack::figure::sheet::Layer;
use crate::pack::figure::sheet::Rect;
use crate::pack::figure::sheet::Sheet;
use crate::pack::figure::sheet::Sign;
use crate::pack::figure::sheet::WIDTH;
use crate::pack::figure::strip;
use crate::pack::figure::words;
use crate::pack::figure::words::SIZE;
use crate::pack::figure::words::STEP;
use crate::pack::figure::words::SUBHEAD;
use crate::pack::figure::words::TITLE;
use crate::record::words::Stage;

/// Draws title, job, rule and the lines under it; says where they end.
pub(super) fn head(net: &Network<'_>, sheet: &mut Sheet, title: &str, lines: &str) -> f64 {
    let job = &net.record.job;
    let id = job.id.get().map_or("", |t| t.0.as_str());
    let name = job.title.get().map_or("", |t| t.0.split(':').next().unwrap_or(""));
    let job = words::clean(&format!("{id} {name}"));
    let title = words::fit(&words::clean(title), true, TITLE, 118.0);
    let room = WIDTH - words::width(&title, true, TITLE) - 6.0;
    sheet.text(0.0, 5.2, Anchor::Start, &title, Face::Bold, TITLE);
    sheet.text(WIDTH, 5.2, Anchor::End, &words::fit(job.trim(), false, SIZE, room), Face::Regular, SIZE);
    sheet.line(Layer::Structure, Pen::Ground, &[(0.0, 7.2), (WIDTH, 7.2)]);
    let mut y = 11.6;
    for line in words::wrap(&words::clean(lines), false, SIZE, WIDTH) {
        sheet.words(0.0, y, &line);
        y += STEP;
    }
    y - STEP + 1.4
}

/// View, scales, datum and stages in words.
pub(super) fn head_words(net: &Network<'_>, section: &Section, scales: Scales) -> String {
    if layout::is_blank(section) {
        let stages = stage_words(net, section);
        return format!("Flow left to right. Not to scale: no level and no fall is recorded. {stages}");
    }
    let ratio = |r: f64| format!("1:{}", r.round() as i64);
    let steep = match scales.steeper() {
        s if (s - 1.0).abs() < 1e-9 => "heights in true proportion".to_owned(),
        s if s < 1.0 => "heights look flatter than they are".to_owned(),
        s => format!("heights look {} times too steep", s.round() as i64),
    };
    let (first, _) = section.names();
    let datum = match section.datum {
        Datum::Site => format!("Levels in metres above {}.", datum_words(net)),
        Datum::Floating(_) => format!(
            "Nothing ties the levels to a datum: heights in metres over the invert at {}, its start.",
            words::tag(&first)
        ),
        Datum::Bare => "No level in the record: drawn from falls and lengths alone, heights in metres over the first \
                        invert, without a step at chambers."
            .to_owned(),
    };
    let (across, up) = (ratio(scales.across), ratio(scales.up));
    format!("Flow left to right. Across {across}, up {up}: {steep}. {datum} {}", stage_words(net, section))
}

/// The named level that gives the datum its number.
fn datum_words(net: &Network<'_>) -> String {
    let absolute = net.record.levels.iter().find_map(|item| {
        let at = item.body.mark.is.get()?;
        at.base.is_none().then_some((item, at))
    });
    let Some((item, at)) = absolute else { return "the datum of the job".to_owned() };
    let mark = item.body.mark.at.get().map_or(String::new(), |t| format!(" ({})", words::fit(&t.0, false, SIZE, 90.0)));
    format!("{}\u{a0}=\u{a0}{}{mark}", words::tag(&item.id), at.offset.metres(3))
}

/// `Installed; MH0 and D3 existing.`
fn stage_words(net: &Network<'_>, section: &Section) -> String {
    let mut all: Vec<(&str, Stage)> = section.pieces.iter().map(|p| (p.id.as_str(), p.stage)).collect();
    all.extend(section.points.iter().filter(|p| !p.id.is_empty()).map(|p| (p.id.as_str(), p.stage)));
    if let Tail::Chamber(_, Some(out)) = section.tail {
        all.push((net.id(out), runs::stage(net, out)));
    }
    let mut told = Vec::new();
    if all.iter().any(|(_, s)| *s == Stage::Installed) {
        told.push("Installed".to_owned());
    }
    for (stage, word) in [(Stage::Existing, "existing"), (Stage::Planned, "planned"), (Stage::Temporary, "temporary")] {
        let mut ids: Vec<String> = all.iter().filter(|(_, s)| *s == stage).map(|(id, _)| words::tag(id)).collect();
        ids.dedup();
        if !ids.is_empty() {
            told.push(format!("{} {word}", crate::base::text::list(&ids, "and")));
        }
    }
    format!("{}.", told.join("; "))
}

/// The staff: blocks of black and white beside the section, with levels at whole steps; nothing without a datum.
pub(super) fn staff(sheet: &mut Sheet, section: &Section, frame: &Frame, x: f64, top: f64) {
    if section.datum != Datum::Site {
        return;
    }
    let tall = |mm: i64| frame.tall(Length::from_mm(mm));
    let block = [100, 500, 1000, 5000, 10_000].into_iter().find(|b| tall(*b) >= 0.9).unwrap_or(50_000);
    let label = [500, 1000, 2000, 5000, 10_000, 50_000].into_iter().find(|b| tall(*b) >= 5.4 && b % block == 0);
    let count = (((frame.y_base - top) / tall(block)).floor() as i64).clamp(1, 400);
    let bar = Rect { x0: x, y0: frame.y_base - tall(block) * count as f64, x1: x + 1.6, y1: frame.y_base };
    sheet.outline(Layer::Structure, Pen::Thin, bar);
    for i in (0..count).step_by(2) {
        let y = frame.y_base - tall(block) * (i + 1) as f64;
        sheet.block(Layer::Structure, Paint::Black, Rect { x0: x, y0: y, x1: x + 1.6, y1: y + tall(block) });
    }
    let level = |um: i64| crate::base::units::Level::<crate::base::units::Spot>::from_um(um).metres(2);
    let name = format!("datum {}", level(frame.base));
    let fits = |name: &String| words::width(name, false, SIZE) <= x - 1.0;
    let name = [name, level(frame.base)].into_iter().find(fits);
    let name = name.unwrap_or_else(|| words::fit(&level(frame.base), false, SIZE, x - 1.0));
    sheet.text(x - 0.9, frame.y_base - 1.3, Anchor::End, &name, Face::Regular, SIZE);
    let Some(label) = label else { return };
    let mut mm = frame.base / 1000 + label - (frame.base / 1000).rem_euclid(label);
    while frame.y(mm * 1000) > bar.y0 + 0.5 {
        let y = frame.y(mm * 1000);
        if y < frame.y_base - 5.0 && fits(&level(mm * 1000)) {
            sheet.text(x - 0.9, y + 0.92, Anchor::End, &level(mm * 1000), Face::Regular, SIZE);
        }
        mm += label;
    }
}

/// Explains the signs that stand on a sheet; says where it ends.
pub(super) fn key(sheet: &mut Sheet, x: f64, y: f64) -> f64 {
    sheet.text(x, y, Anchor::Start, "Key", Face::Bold, SUBHEAD);
    let mut row = y + 5.4;
    for sign in sheet.signs.clone() {
        sample(sheet, sign, x, row - 1.3);
        sheet.words(x + 11.5, row, sign_words(sign));
        row += 5.2;
    }
    row - 5.2
}

fn sign_words(sign: Sign) -> &'static str {
    match sign {
        Sign::Laid => "pipe laid: soffit above, invert below",
        Sign::Planned => "planned, not laid yet",
        Sign::Existing => "existing, kept: thin, double box",
        Sign::Temporary => "there for a while",
        Sign::Break => "break: unknown or not drawn beyond",
        Sign::Unsure => "surface or face not levelled here",
        Sign::EndOn => "pipe seen end on",
        Sign::Opening => "opening in wall, with any lintel",
    }
}

fn sample(sheet: &mut Sheet, sign: Sign, x: f64, y: f64) {
    let two = |sheet: &mut Sheet, pen: Pen, to: f64| {
        sheet.line(Layer::Pipe, pen, &[(x, y - 1.2), (x + to, y - 1.2)]);
        sheet.line(Layer::Pipe, pen, &[(x, y + 1.2), (x + to, y + 1.2)]);
    };
    match sign {
        Sign::Laid => two(sheet, Pen::Wall, 9.0),
        Sign::Planned => two(sheet, Pen::WallPlanned, 9.0),
        Sign::Existing => two(sheet, Pen::WallExisting, 9.0),
        Sign::Temporary => two(sheet, Pen::Temporary, 9.0),
        Sign::Break => {
            two(sheet, Pen::WallExisting, 5.2);
            sheet.break_strokes((x + 5.6, y), 3.6);
        }
        Sign::Unsure => sheet.line(Layer::Structure, Pen::GroundUnsure, &[(x, y), (x + 9.0, y)]),
        Sign::EndOn => sheet.ellipse(Layer::Symbol, (x + 4.5, y), (0.55, 1.9), Some(Pen::Fine), None),
        Sign::Opening => {
            sheet.block(Layer::Grey, Paint::Grey, Rect::new(x + 1.0, y - 2.2, 7.0, 4.4));
            let hole = [(x + 1.0, y), (x + 8.0, y), (x + 8.0, y + 2.2), (x + 1.0, y + 2.2), (x + 1.0, y)];
            sheet.block(Layer::Structure, Paint::Paper, Rect::new(x + 1.0, y - 1.2, 7.0, 3.4));
            sheet.faint(Layer::Structure, Pen::Structure, &hole);
            let lintel = [(x + 1.0, y), (x + 1.0, y - 1.2), (x + 8.0, y - 1.2), (x + 8.0, y)];
            sheet.faint(Layer::Structure, Pen::Fine, &lintel);
        }
    }
}

/// What was taken and not measured, sentence by sentence.
pub(super) fn notes(net: &Network<'_>, sections: &[&Section]) -> Vec<String> {
    let mut notes = Vec::new();
    let mut bores = Vec::new();
    for piece in sections.iter().flat_map(|s| &s.pieces) {
        let Some(leg) = net.legs.get(piece.leg) else { continue };
        let size = strip::size_words(net, piece.leg);
        match (leg.bore, leg.outside) {
            (Some(bore), Some(outside)) => {
                let wall = Length::from_um((outside - bore).um() / 2);
                let wall = crate::base::units::fixed(i128::from(wall.um()), 1000, 1);
                if !bores.contains(&bore) {
                    notes.push(format!("Soffit = IL + {}: bore of {size}, {wall} wall taken.", bore.metres(4)));
                    bores.push(bore);
                }
            }
            _ => {
                notes.push(format!("{}: no bore is cited for {size}, so its soffit is unknown.", words::tag(&piece.id)))
            }
        }
        if piece.drop.is_some_and(|d| d.how == How::Believed) {
            notes.push(format!("{}: fall believed, so is what follows from it.", words::tag(&piece.id)));
        }
        for crossing in net.crossings.iter().filter(|c| c.pipe == leg.pipe && !c.certain && c.penetration.is_none()) {
            let element = net.record.elements.at(crossing.element).map_or("", |e| e.id.as_str());
            notes.push(format!("{} may cross {element}: no penetration recorded.", words::tag(&piece.id)));
        }
        for misfit in net.levels.misfits.iter().filter(|m| m.leg == piece.leg) {
            let by = misfit.by.abs().millimetres();
            notes
                .push(format!("{}: two reckonings differ by {by}\u{a0}mm; the first is drawn.", words::tag(&piece.id)));
        }
    }
    let mut seen = std::collections::BTreeSet::new();
    notes.retain(|n| seen.insert(n.clone()));
    notes
}

/// What the sheet itself has to add: ids that its tags cut, labels that found no place.
pub(super) fn own_notes(sheet: &Sheet) -> Vec<String> {
    let mut notes: Vec<String> =
        sheet.cut.iter().map(|id| format!("{} is {}.", words::tag(id), words::clean(id))).collect();
    notes.extend(sheet.unplaced.iter().filter(|(rank, _)| *rank <= 4).map(|(_, told)| format!("Also here: {told}.")));
    notes
}

/// The scale bar; says where it ends.
pub(super) fn scale_bar(sheet: &mut Sheet, section: &Section, scales: Scales, x: f64, y: f64) -> f64 {
    if layout::is_blank(section) {
        return y;
    }
    let wide = |m: f64| m * 1000.0 / scales.across;
    let metres = [50.0, 20.0, 10.0, 5.0, 2.0, 1.0, 0.5, 0.2].into_iter().find(|m| wide(*m) <= 42.0).unwrap_or(0.1);
    let part = wide(metres) / 5.0;
    sheet.outline(Layer::Structure, Pen::Thin, Rect::new(x, y, wide(metres), 1.2));
    for i in [0.0, 2.0, 4.0] {
        sheet.block(Layer::Structure, Paint::Black, Rect::new(x + part * i, y, part, 1.2));
    }
    sheet.words(x, y + 4.6, "0");
    let end = if metres < 1.0 { format!("{metres:.1}\u{a0}m") } else { format!("{}\u{a0}m", metres.round() as i64) };
    sheet.text(x + wide(metres).max(14.0), y + 4.6, Anchor::End, &end, Face::Regular, SIZE);
    if section.datum == Datum::Site {
        sheet.words(x + wide(metres).max(14.0) + 3.0, y + 2.2, "up: by the staff");
    }
    y + 5.6
}

/// Notes in lines of a width from a place; says where they end and what was left when the room was used up.
pub(super) fn write(sheet: &mut Sheet, notes: &[String], x: f64, y: f64, room: f64, lowest: f64) -> (f64, Vec<String>) {
    let mut lines: std::collections::VecDeque<String> =
        words::wrap(&words::clean(&notes.join(" ")), false, SIZE, room).into();
    let mut row = y;
    while row + 1.0 <= lowest {
        let Some(line) = lines.pop_front() else { break };
        sheet.words(x, row, &line);
        row += STEP;
    }
    (row - STEP + 1.0, lines.into_iter().filter(|l| !l.is_empty()).collect())
}
