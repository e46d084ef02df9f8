//! Penetrations: what goes through what, face by face, with the photos beside; then crossings without a record.

use crate::base::doc::Align;
use crate::base::doc::Bar;
use crate::base::doc::Block;
use crate::base::doc::Case;
use crate::base::doc::Heading;
use crate::base::doc::Line;
use crate::base::doc::Penetration as PenetrationBlock;
use crate::base::doc::Photo;
use crate::base::doc::Row;
use crate::base::doc::Run;
use crate::base::doc::Schedule;
use crate::base::doc::bold;
use crate::base::doc::plain;
use crate::base::doc::soft;
use crate::base::finding::Finding;
use crate::base::finding::Verdict;
use crate::base::text::weekday;
use crate::compute::quantities::HoleFor;
use crate::pack::Desk;
use crate::pack::Part;
use crate::pack::drains::bar;
use crate::pack::drains::column;
use crate::pack::drains::reason;
use crate::pack::drains::verdict_key;
use crate::pack::first_page::bare_crossings;
use crate::pack::photos::plate;
use crate::pack::words;
use crate::record::about::Element;
use crate::record::evidence::Face;
use crate::record::evidence::Penetration;
use crate::record::sections::Item;
use crate::record::value::Field;
use crate::record::words::Stage;

/// The rules that speak of a penetration, or of one face of it.
const RULES: [&str; 2] = ["fire-separating-crossing", "drain-through-wall"];
/// The rule that wants a photo of it.
const PHOTO: &str = "photographed-before-cover";

/// A face as the record's words have it, and what the trade calls it here.
#[derive(Clone, Copy)]
struct Side {
    part: &'static str,
    name: &'static str,
    whole: &'static str,
}

/// Penetrations as recorded, then crossings that the record does not describe.
pub(crate) fn blocks(desk: &Desk<'_>) -> Part {
    let items = desk.job.record.penetrations.iter().enumerate();
    let mut blocks: Vec<Block> = items.map(|(i, item)| Block::Penetration(block(desk, i, item))).collect();
    blocks.extend(bare(desk));
    if blocks.is_empty() {
        return Part::default();
    }
    blocks.push(verdict_key());
    let note = vec![plain("as recorded, face by face; fire stopping is for the seal\u{2019}s maker and the body")];
    Part { blocks, note }
}

fn block(desk: &Desk<'_>, position: usize, item: &Item<Penetration>) -> PenetrationBlock {
    let body = &item.body;
    let pipe = body.pipe.get().map_or("", |r| r.0.as_str());
    let element = body.element.get().map_or("", |r| r.0.as_str());
    let part = desk.job.record.elements.get(element).map(|e| &e.body);
    let sides = sides(part);
    let whole = desk.worst_of(&RULES, &item.id);
    let of_face = |side: &Side| desk.worst_of(&[RULES[0], RULES[1], PHOTO], &format!("{} {}", item.id, side.part));
    let of_photo = desk.finding_of(PHOTO, &item.id);
    let found: Vec<&Finding> = sides.iter().filter_map(of_face).chain(whole).chain(of_photo).collect();
    let mut reasons: Vec<Line> = whole.into_iter().map(verdict_and_clause).collect();
    reasons.extend(found.iter().filter_map(|f| reason(f)));
    PenetrationBlock {
        id: item.id.clone(),
        anchor: words::anchor(&item.id),
        head: format!("{pipe} through {element}"),
        facts: facts(desk, position, item, part),
        faces: faces(desk, item, part, &sides),
        reasons,
        photos: photos(desk, item, &sides),
        bar: bar(found.into_iter()),
    }
}

fn is_called(part: Option<&Element>, word: &str) -> bool {
    part.and_then(|e| e.what.get()).is_some_and(|w| w.0.to_lowercase().contains(word))
}

/// The two faces of an element, or the one of a roof.
fn sides(part: Option<&Element>) -> Vec<Side> {
    if is_called(part, "wall") {
        let outer = Side { part: "below", name: "outer", whole: "the outer face" };
        return vec![outer, Side { part: "above", name: "inner", whole: "the inner face" }];
    }
    let upper = Side { part: "above", name: "above", whole: "the upper face" };
    if is_called(part, "roof") {
        return vec![upper];
    }
    vec![Side { part: "below", name: "below", whole: "the lower face" }, upper]
}

/// Places, pipe and hole, what is left round it, what the element must keep.
fn facts(desk: &Desk<'_>, position: usize, item: &Item<Penetration>, part: Option<&Element>) -> Vec<Line> {
    let body = &item.body;
    let mut all = Vec::new();
    if let Some(e) = part {
        let places: Vec<&str> = e.between.get().map_or(Vec::new(), |l| l.iter().map(|t| t.0.as_str()).collect());
        let what = e.what.get().map_or("", |t| t.0.as_str());
        let thick = e.thickness.get().map_or(String::new(), |m| format!(", {}", m.words()));
        all.push(format!("{}{thick}, {}", words::capital(what), places.join(" to ")));
    }
    let pipe = body.pipe.get().and_then(|r| desk.job.record.pipes.get(&r.0));
    let pipe =
        pipe.map_or("pipe not known".to_owned(), |p| crate::base::doc::words(&crate::pack::drains::size(&p.body)));
    let hole = body.hole.get().map(|m| format!("hole {}", m.words()));
    let opening = body.opening.get().map(|a| format!("opening {}", a.words));
    all.push(format!("{pipe}; {}", hole.or(opening).unwrap_or_else(|| "hole not in the record".to_owned())));
    if let Some(lintel) = body.lintel.get() {
        all.push(format!("Lintel: {}", lintel.0));
    }
    if let Some(clear) = body.clear.get() {
        all.push(format!("Clear all round: {}, as recorded", clear.words()));
    }
    let hole = desk.job.computed.quantities.holes.iter().find(|h| h.of == HoleFor::Penetration(position));
    if let Some(gap) = hole.and_then(|h| h.gap).filter(|_| body.clear.get().is_none()) {
        let mm = crate::base::units::fixed(i128::from(gap.um()), 1000, 1);
        all.push(format!("=\u{202f}{}\u{a0}mm all round if centred", mm.strip_suffix(".0").unwrap_or(&mm)));
    }
    let stage = body.stage.get().filter(|s| **s != Stage::Installed).map(|s| words::capital(s.word()));
    let fitted = body.fitted.get().map(|d| format!("Made {}", crate::base::text::date(*d)));
    all.extend(stage.or(fitted));
    let mut lines: Vec<Line> = all.into_iter().map(|text| vec![plain(text)]).collect();
    if let Some(fire) = part.and_then(|e| e.fire.get().map(|w| (w, e.fire.how))) {
        lines.push(vec![plain("Keeps: "), bold(words::known(&fire.0.0, fire.1))]);
    }
    lines
}

/// Each face, and what is between them.
fn faces(desk: &Desk<'_>, item: &Item<Penetration>, part: Option<&Element>, sides: &[Side]) -> Vec<Case> {
    let body = &item.body;
    let field = |side: &Side| if side.part == "below" { &body.below } else { &body.above };
    let named = |name: &str, then: Line| Case { found: vec![soft(name)], then };
    let mut all = Vec::new();
    // Words on both faces stand for each of which nothing else is said.
    let both = body.faces.get();
    for (i, side) in sides.iter().enumerate() {
        if i == 1 && (both.is_none() || !body.between.is_absent()) {
            all.push(named("between", between(body)));
        }
        if both.is_none() || !field(side).is_absent() {
            all.push(named(side.name, face(desk, &item.id, side, field(side))));
        }
    }
    if let Some(words) = both {
        all.push(named("faces", vec![plain(words.0.clone())]));
    }
    if is_called(part, "roof") && !body.below.is_absent() {
        let side = Side { part: "below", name: "below", whole: "the lower face" };
        all.push(named("below", face(desk, &item.id, &side, &body.below)));
    }
    all
}

fn between(body: &Penetration) -> Line {
    match body.between.get() {
        Some(words) => vec![plain(words.0.clone())],
        None if body.between.is_unknown() => vec![plain("unknown")],
        None if body.between.is_none() => vec![plain("nothing")],
        None => vec![plain("not in the record")],
    }
}

/// What seals a face, by which paper, held how; when it closes.
fn face(desk: &Desk<'_>, id: &str, side: &Side, field: &Field<Face>) -> Line {
    let mut line = Line::new();
    let mention = format!("{id} {}", side.part);
    if let Some(f) = desk.worst_of(&RULES, &mention) {
        line.extend(words::verdict(f));
        line.push(plain(": "));
    }
    match field.get() {
        None if field.is_unknown() => line.push(plain("unknown")),
        None => line.push(plain("not in the record")),
        Some(face) => {
            let seal = face.seal.get().map_or("seal not in the record".to_owned(), |w| w.0.clone());
            let doc = face.doc.get().map(|r| format!("{} {}", r.0, says(desk, &r.0)));
            let fixed = face.fixed_to.get().map(|w| format!("fixed to {}", w.0));
            let parts: Vec<String> = [Some(seal), doc, fixed].into_iter().flatten().collect();
            line.push(plain(parts.join(", ")));
        }
    }
    if let Some(run) = closes(desk, id, side.part) {
        line.push(plain("; "));
        line.push(run);
    }
    line
}

/// What a paper says, in brackets.
fn says(desk: &Desk<'_>, doc: &str) -> String {
    let said = desk.job.record.documents.get(doc).map(|d| &d.body.says);
    match said.and_then(|f| f.get()) {
        Some(words) => format!("({})", words.0),
        None => "(class unknown)".to_owned(),
    }
}

/// The day on which a face is closed over; a day to come has its weekday.
fn closes(desk: &Desk<'_>, id: &str, part: &str) -> Option<Run> {
    let hides = |m: &crate::record::words::Mention| m.id == id && m.part.as_deref().is_none_or(|p| p == part);
    let closing = desk.job.record.closings.iter().find(|c| c.value.hides.get().is_some_and(|l| l.iter().any(hides)))?;
    let day = closing.value.date.get().copied()?;
    let planned = closing.value.stage.get() == Some(&Stage::Planned);
    Some(if planned {
        bold(format!("closes {}", weekday(day)))
    } else {
        plain(format!("closed {}", crate::base::text::day(day)))
    })
}

fn verdict_and_clause(finding: &Finding) -> Line {
    let mut line = words::verdict(finding);
    let clause = words::clause(finding);
    if !clause.is_empty() {
        line.push(plain(", "));
        line.extend(clause);
    }
    line
}

/// A photo of each face: one that names the face, else one that shows the whole; an empty frame where there is none.
fn photos(desk: &Desk<'_>, item: &Item<Penetration>, sides: &[Side]) -> Vec<Photo> {
    let mut taken: Vec<&str> = Vec::new();
    let mut all = Vec::new();
    for named in [true, false] {
        for side in sides {
            let of_face = |m: &crate::record::words::Mention| {
                m.id == item.id && if named { m.part.as_deref() == Some(side.part) } else { m.part.is_none() }
            };
            let found =
                desk.job.record.photos.iter().find(|p| {
                    !taken.contains(&p.id.as_str()) && p.body.shows.get().is_some_and(|l| l.iter().any(of_face))
                });
            let open = !all.iter().any(|(part, _)| *part == side.part);
            if let Some(photo) = found.filter(|_| open) {
                taken.push(photo.id.as_str());
                let mut shown = plate(desk, photo);
                shown.caption.extend([plain(" "), Run::Page(std::mem::take(&mut shown.anchor))]);
                all.push((side.part, shown));
            }
        }
    }
    let missing = sides.iter().filter(|side| !all.iter().any(|(part, _)| *part == side.part));
    let frames: Vec<(&str, Photo)> = missing.map(|side| (side.part, frame(desk, &item.id, side))).collect();
    all.extend(frames);
    // In the order of the faces.
    all.sort_by_key(|(part, _)| sides.iter().position(|s| s.part == *part));
    all.into_iter().map(|(_, photo)| photo).collect()
}

fn frame(desk: &Desk<'_>, id: &str, side: &Side) -> Photo {
    let wanted = [format!("{id} {}", side.part), id.to_owned()];
    let finding = wanted.iter().find_map(|item| desk.finding_of(PHOTO, item));
    let open = finding.filter(|f| f.verdict == Verdict::NotShown && !f.limit.is_empty());
    let words =
        open.map_or(format!("{}: none in the record.", side.name), |f| format!("{}: wanted {}.", side.name, f.limit));
    Photo {
        missing: format!("no photo of {}", side.whole),
        caption: vec![bold(id), plain(format!(" {words}"))],
        ..Photo::default()
    }
}

/// Crossings that follow from the places at a pipe's ends and of which the record says nothing.
fn bare(desk: &Desk<'_>) -> Vec<Block> {
    let row = |(pipe, element, must): (String, String, bool)| {
        let part = desk.job.record.elements.get(&element).map(|e| &e.body);
        let what = part.and_then(|e| e.what.get()).map_or("", |t| t.0.as_str());
        let places =
            part.and_then(|e| e.between.get()).map_or(Vec::new(), |l| l.iter().map(|t| t.0.as_str()).collect());
        let (how, wanted) = if must {
            ("follows from the places at its ends", "hole and seal, face by face")
        } else {
            ("may be; the record does not say", "whether it goes through, and how it is kept clear")
        };
        let cells = vec![
            vec![vec![plain(format!("through {element}"))], vec![plain(what)]],
            vec![vec![plain(places.join(" to "))]],
            vec![vec![plain(how)]],
            vec![vec![plain(wanted)]],
        ];
        Row { id: pipe, anchor: None, cells, reasons: Vec::new(), bar: Bar::Hollow }
    };
    let rows: Vec<Row> = bare_crossings(desk).into_iter().map(row).collect();
    if rows.is_empty() {
        return Vec::new();
    }
    let columns = vec![
        column(&["id"], 12.0, Align::Left),
        column(&["through"], 34.0, Align::Left),
        column(&["between"], 42.0, Align::Left),
        column(&["how known"], 42.0, Align::Left),
        column(&["wanted in the record"], 46.0, Align::Left),
    ];
    let text = vec![plain("Crossings without a record")];
    let heading = Heading { level: 3, text, ..Heading::default() };
    let schedule = Schedule { summary: "Crossings without a record".to_owned(), columns, rows };
    vec![Block::Heading(heading), Block::Schedule(schedule)]
}
