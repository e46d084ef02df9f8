//! Long sections and the small plan, held on their marks: the two samples, and records that go wrong in known ways.

use crate::network::sample;
use fallmark::base::drawing::Anchor;
use fallmark::base::drawing::Drawing;
use fallmark::base::drawing::Face;
use fallmark::base::drawing::Mark;
use fallmark::base::drawing::Pen;
use fallmark::base::drawing::Point;
use fallmark::base::lettering;
use fallmark::network;
use fallmark::pack::figure::long_sections;
use fallmark::pack::figure::plan_strip;
use fallmark::record;

/// A text with the box that it takes up.
struct Said {
    words: String,
    bold: bool,
    x0: f64,
    y0: f64,
    x1: f64,
    y1: f64,
}

fn texts(drawing: &Drawing) -> Vec<Said> {
    let said = |mark: &Mark| {
        let Mark::Text { at, anchor, text, size, face, turned } = mark else { return None };
        let w = lettering::width(*face, text, *size);
        let bold = *face == Face::Bold;
        if *turned {
            let (x0, x1) = (at.x - 0.6 * size, at.x + 0.1 * size);
            return Some(Said { words: text.clone(), bold, x0, y0: at.y - w, x1, y1: at.y });
        }
        let x0 = match anchor {
            Anchor::Start => at.x,
            Anchor::Middle => at.x - w / 2.0,
            Anchor::End => at.x - w,
        };
        Some(Said { words: text.clone(), bold, x0, y0: at.y - 0.714 * size, x1: x0 + w, y1: at.y })
    };
    drawing.marks.iter().filter_map(said).collect()
}

fn lines(drawing: &Drawing, wanted: Pen) -> Vec<Vec<Point>> {
    let line = |mark: &Mark| match mark {
        Mark::Line { points, pen, .. } if *pen == wanted => Some(points.clone()),
        _ => None,
    };
    drawing.marks.iter().filter_map(line).collect()
}

fn all_words(drawings: &[Drawing]) -> String {
    drawings.iter().flat_map(texts).map(|t| t.words.replace('\u{a0}', " ") + "\n").collect()
}

/// What must hold for every drawing: its size, its text inside it and clear of other text, its alternative words.
fn sound(drawing: &Drawing) {
    let name = &drawing.title;
    assert!(drawing.height > 20.0 && drawing.height <= 250.0, "{name} is {} mm high", drawing.height);
    assert!(!drawing.alt.is_empty() && drawing.alt.chars().count() < 900, "{name}: {}", drawing.alt);
    let all = texts(drawing);
    assert!(!all.is_empty());
    for t in &all {
        assert!(t.x0 >= -0.01 && t.x1 <= drawing.width + 0.01, "{name}: `{}` from {} to {}", t.words, t.x0, t.x1);
        assert!(t.y0 >= 0.0 && t.y1 <= drawing.height, "{name}: `{}` at {}", t.words, t.y1);
        assert!(t.words.chars().all(lettering::can_show), "{name}: `{}` has a glyph that is missing", t.words);
    }
    for (i, a) in all.iter().enumerate() {
        for b in all.iter().skip(i + 1) {
            let apart = a.x1 <= b.x0 + 0.02 || b.x1 <= a.x0 + 0.02 || a.y1 <= b.y0 + 0.02 || b.y1 <= a.y0 + 0.02;
            assert!(apart, "{name}: `{}` stands on `{}`", a.words, b.words);
        }
    }
    for mark in &drawing.marks {
        if let Mark::Text { size, .. } = mark {
            assert!(*size >= 3.0, "{name}");
        }
    }
}

fn drawn(text: &str) -> Vec<Drawing> {
    let reading = record::read("job.yaml", text);
    let faults: Vec<String> = reading.faults.iter().map(|f| format!("{f:?}")).collect();
    assert!(faults.is_empty(), "{faults:?}");
    let net = network::link(&reading.record);
    let drawings = long_sections(&net);
    drawings.iter().for_each(sound);
    if let Some(plan) = plan_strip(&net) {
        sound(&plan);
        assert!((plan.width - 149.0).abs() < 1e-9);
    }
    drawings
}

fn plan(text: &str) -> Drawing {
    let reading = record::read("job.yaml", text);
    plan_strip(&network::link(&reading.record)).unwrap()
}

const TOP: &str = "record: 1\njob: {id: a, title: b}\n";
const DATUM: &str = "levels:\n  TBM: {is: 10.000 m, at: a step}\n";

#[test]
fn the_mill_house_has_one_sheet_with_every_number_of_its_strip() {
    let drawings = drawn(&sample("mill-house"));
    assert_eq!(drawings.len(), 1);
    let all = all_words(&drawings);
    for told in [
        "Long section, S1 foot to MH0",
        "1 in 59.9",
        "1 in 80.0 = 12.5 mm/m",
        "99.119",
        "99.026",
        "98.881",
        "98.852",
        "100.165",
        "1.046",
        "0.994",
        "1.093",
        "16.45",
        "about 1.053",
        "IL about 99.112",
        "4.85 m, 81 mm",
        "laser-A, RT, ± 2 mm: 1 in 78 to 1 in 82",
        "fall unknown",
        "Branch D4, WC1 to D1",
    ] {
        assert!(all.lines().any(|l| l.contains(told)), "{told} is not in\n{all}");
    }
    for id in ["S1", "D1", "D2", "D3", "D4", "IC1", "MH0", "OLD1", "WA1", "N1", "WC1"] {
        assert!(texts(&drawings[0]).iter().any(|t| t.bold && t.words == id), "{id}");
    }
    assert!(drawings[0].alt.contains("D1: 110\u{a0}PVC-U, 4.85\u{a0}m, fall 81\u{a0}mm"), "{}", drawings[0].alt);
}

#[test]
fn the_schoolroom_has_its_three_drains_and_two_services() {
    let drawings = drawn(&sample("schoolroom-flats"));
    assert_eq!(drawings.len(), 1);
    let all = all_words(&drawings);
    for told in ["1 in 50.0", "1 in 60.0", "1 in 55.0", "underside 48.750", "29.50", "about 1 in 60"] {
        assert!(all.contains(told), "{told} is not in\n{all}");
    }
    for id in ["S1", "D1", "D2", "D3", "D4", "IC1", "IC2", "MH1", "WA1", "N1", "N2"] {
        assert!(texts(&drawings[0]).iter().any(|t| t.bold && t.words == id), "{id}");
    }
}

#[test]
fn two_builds_give_the_same_marks() {
    for name in crate::network::SAMPLES {
        assert_eq!(drawn(&sample(name)), drawn(&sample(name)));
        assert_eq!(plan(&sample(name)), plan(&sample(name)));
    }
}

#[test]
fn the_small_plan_shows_every_drain_and_what_is_not_known() {
    let mill = plan(&sample("mill-house"));
    let told = texts(&mill);
    for id in ["S1", "D1", "D2", "D3", "D4", "IC1", "MH0", "SEW", "OLD1", "WC1", "N1", "X2"] {
        assert!(told.iter().any(|t| t.bold && t.words == id), "{id}");
    }
    assert_eq!(told.iter().filter(|t| t.words == "?").count(), 2, "the wall under D4, and the far end of OLD1");
    assert!(told.iter().any(|t| t.words == "about\u{a0}1\u{a0}in\u{a0}40"));
    assert!(told.iter().any(|t| t.words == "existing") && !told.iter().any(|t| t.words == "planned"), "legend");
    assert!(mill.alt.contains("WC1 to D1 by D4"), "{}", mill.alt);
}

#[test]
fn a_record_without_drains_has_no_drawing() {
    assert!(drawn(TOP).is_empty());
    let reading = record::read("job.yaml", TOP);
    assert!(plan_strip(&network::link(&reading.record)).is_none());
}

/// One drain between two chambers with the given inverts.
fn one_drain(il: &str, more: &str) -> String {
    format!(
        "{TOP}{DATUM}pipes:\n  D1: {{kind: drain, from: IC1, to: IC2, size: 110 mm, length: 8.00 m, {il}}}\n{more}access:\n  IC1: {{what: inspection chamber, across: 450 mm, cover: 10.200 m}}\n  IC2: {{what: inspection chamber, across: 450 mm, cover: 10.100 m}}\n"
    )
}

/// Both ends of every pipe wall that runs along.
fn walls(drawing: &Drawing, pen: Pen) -> Vec<(Point, Point)> {
    let long = |p: &Vec<Point>| match p.as_slice() {
        [a, b] if (b.x - a.x).abs() > 20.0 => Some((*a, *b)),
        _ => None,
    };
    lines(drawing, pen).iter().filter_map(long).collect()
}

#[test]
fn a_reversed_fall_is_drawn_rising_with_the_flow() {
    let drawings = drawn(&one_drain("il: [9.000 m, 9.100 m]", ""));
    let all = all_words(&drawings);
    assert!(all.contains("rises, 1 in 80.0"), "{all}");
    let run = walls(&drawings[0], Pen::Wall);
    assert!(!run.is_empty() && run.iter().all(|(a, b)| b.x > a.x && b.y < a.y), "{run:?}");
    let tips: Vec<f64> = drawings[0].marks.iter().filter_map(arrow_points_right).collect();
    assert!(!tips.is_empty() && tips.iter().all(|dx| *dx > 0.0));
    let order: Vec<String> = texts(&drawings[0]).into_iter().filter(|t| t.bold).map(|t| t.words).collect();
    assert!(order.iter().any(|w| w.contains("IC1 to IC2")), "{order:?}");
}

/// For the four points of a flow arrow: how far its tip lies to the right of its tail.
fn arrow_points_right(mark: &Mark) -> Option<f64> {
    match mark {
        Mark::Fill { points, .. } => match points.as_slice() {
            [tip, a, _, b] if (a.x - b.x).abs() < 0.01 && (a.y - b.y).abs() > 1.8 && (a.y - b.y).abs() < 2.0 => {
                Some(tip.x - a.x)
            }
            _ => None,
        },
        _ => None,
    }
}

#[test]
fn a_chamber_stands_from_its_cover_to_its_lowest_invert() {
    let text = one_drain(
        "il: [9.000 m, 8.900 m]",
        "  D2: {kind: drain, from: IC2, to: IC3, size: 110 mm, length: 8.00 m, il: [8.850 m, 8.750 m]}\n",
    ) + "  IC3: {what: inspection chamber, across: 450 mm, cover: 10.000 m}\n";
    let drawings = drawn(&text);
    let covers = lines(&drawings[0], Pen::Cover);
    assert_eq!(covers.len(), 3);
    let middle = covers.iter().find(|c| c[0].x > 50.0 && c[0].x < 130.0).unwrap();
    let x = (middle[0].x + middle[1].x) / 2.0;
    let base = lines(&drawings[0], Pen::Wall)
        .into_iter()
        .filter(|p| p.len() == 2 && (p[0].y - p[1].y).abs() < 0.01 && ((p[0].x + p[1].x) / 2.0 - x).abs() < 0.1)
        .map(|p| p[0].y)
        .fold(0.0, f64::max);
    // 10.100 to 8.850 is 1.250 m; the sheet's vertical scale is read off its head.
    let head = all_words(&drawings);
    let up: f64 = head.split("up 1:").nth(1).unwrap().split(':').next().unwrap().parse().unwrap();
    assert!((base - middle[0].y - 1250.0 / up).abs() < 0.02, "{base} {} 1:{up}", middle[0].y);
}

#[test]
fn six_pipes_at_one_chamber_all_keep_their_ids() {
    let mut more = String::new();
    for i in 2..=6 {
        more += &format!(
            "  E{i}: {{kind: drain, from: G{i}, to: IC2, size: 110 mm, length: 3.00 m, il: [9.300 m, 9.0{i} m]}}\n"
        );
    }
    let mut text = one_drain("il: [9.100 m, 9.000 m]", &more.replace(" m]", "0 m]").replace("9.3000", "9.300"));
    for i in 2..=6 {
        text += &format!("  G{i}: {{what: gully, cover: 10.150 m}}\n");
    }
    let drawings = drawn(&text);
    let main = drawings.iter().find(|d| d.title.contains("IC1 to IC2")).unwrap();
    for id in ["D1", "E2", "E3", "E4", "E5", "E6", "IC2"] {
        assert!(texts(main).iter().any(|t| t.bold && t.words == id), "{id}");
    }
    assert_eq!(drawings.len(), 6);
}

#[test]
fn joins_close_together_keep_their_order_in_the_strip() {
    let more = "  E1: {kind: drain, from: WC1, to: D1, at: 3.00 m down from IC1, entry: junction 45, meets: invert, size: 110 mm, length: 1.00 m, fall: 1 in 40}\n  E2: {kind: drain, from: WC2, to: D1, at: 3.10 m down from IC1, entry: junction 45, meets: invert, size: 110 mm, length: 1.00 m, fall: 1 in 40}\n";
    let text = one_drain("il: [9.100 m, 9.000 m]", more)
        + "appliances:\n  WC1: {in: a, floor: 10.300 m}\n  WC2: {in: a, floor: 10.300 m}\n";
    let drawings = drawn(&text);
    let all = texts(&drawings[0]);
    let x = |words: &str| all.iter().find(|t| t.words == words).unwrap().x0;
    assert!(x("E1 joins") < x("E2 joins"));
    assert!(x("3.00") < x("3.10"));
}

#[test]
fn a_branch_that_ends_over_the_soffit_is_drawn_and_told_so() {
    let more = "  E1: {kind: drain, from: WC1, to: D1, at: 4.00 m down from IC1, entry: saddle, size: 110 mm, length: 1.00 m, il: [9.400 m, 9.300 m]}\n";
    let text = one_drain("il: [9.100 m, 9.000 m]", more) + "appliances:\n  WC1: {in: a, floor: 10.300 m}\n";
    let drawings = drawn(&text);
    let all = all_words(&drawings);
    assert!(all.contains("over the soffit"), "{all}");
    let seen = drawings[0].marks.iter().find_map(|m| match m {
        Mark::Ellipse { centre, ry, pen: Some(Pen::Fine), .. } => Some(centre.y + ry),
        _ => None,
    });
    let soffit = walls(&drawings[0], Pen::Wall).into_iter().map(|(a, b)| a.y.min(b.y)).fold(f64::MAX, f64::min);
    assert!(seen.unwrap() < soffit, "the ellipse stands on its own invert, clear over the pipe");
}

#[test]
fn a_step_up_through_a_chamber_is_told() {
    let more = "  D2: {kind: drain, from: IC2, to: IC3, size: 110 mm, length: 8.00 m, il: [9.040 m, 8.900 m]}\n";
    let text = one_drain("il: [9.100 m, 9.000 m]", more) + "  IC3: {what: inspection chamber, cover: 10.000 m}\n";
    assert!(all_words(&drawn(&text)).contains("rises 40 mm through"));
}

#[test]
fn a_level_run_is_called_level() {
    let all = all_words(&drawn(&one_drain("il: [9.000 m, 9.000 m]", "")));
    assert!(all.lines().any(|l| l == "level"), "{all}");
    assert!(!all.contains("1 in inf") && !all.contains("NaN"), "{all}");
}

#[test]
fn without_levels_there_is_no_datum_and_no_nought() {
    let text = sample("mill-house");
    let (start, end) = (text.find("\nlevels:").unwrap(), text.find("\nelements:").unwrap());
    let floating = text.replace("{is: 100.000 m, at:", "{is: old-mark, at:");
    let bare = format!(
        "{TOP}pipes:\n  D1: {{kind: drain, from: IC1, to: IC2, size: 110 mm, length: 8.00 m, fall: 1 in 59.9}}\n  D2: {{kind: drain, from: IC2, to: unknown, size: 110 mm, length: 8.00 m, fall: 1 in 80.0}}\naccess:\n  IC1: {{what: gully}}\n  IC2: {{what: gully}}\n"
    );
    let mut gone = text.clone();
    gone.replace_range(start..end, "");
    for (name, changed) in [("floating", floating), ("gone", gone), ("bare", bare)] {
        let reading = record::read("job.yaml", &changed);
        let drawings = long_sections(&network::link(&reading.record));
        drawings.iter().for_each(sound);
        let all = all_words(&drawings);
        assert!(!all.contains("0.000") && !all.contains("datum 9"), "{name}: {all}");
        assert!(all.contains("1 in 59.9") && all.contains("1 in 80.0"), "{name}: {all}");
    }
}

#[test]
fn an_old_drain_of_which_nothing_is_known_is_a_stub_with_a_break() {
    let text = format!(
        "{TOP}pipes:\n  OLD1: {{kind: drain, stage: existing, from: unknown, to: MH0, size: 4 in, material: clay, live: unknown}}\naccess:\n  MH0: {{what: manhole, stage: existing, across: 700 x 560 mm}}\n"
    );
    let drawings = drawn(&text);
    assert_eq!(drawings.len(), 1);
    assert!(texts(&drawings[0]).iter().any(|t| t.bold && t.words == "OLD1"));
    assert!(all_words(&drawings).contains("level not recorded"));
    let with_sample = drawn(&sample("mill-house"));
    let stubs = lines(&with_sample[0], Pen::WallExisting);
    let tag = texts(&with_sample[0]).into_iter().find(|t| t.bold && t.words == "OLD1").unwrap();
    let beside =
        |p: &&Vec<Point>| p.len() == 2 && (p[0].y - tag.y1).abs() < 3.0 && p[1].x < tag.x0 && tag.x0 - p[1].x < 3.0;
    let stub: Vec<f64> = stubs.iter().filter(beside).map(|p| p[1].x - p[0].x).collect();
    assert_eq!(stub.len(), 2, "two walls of a stub at its tag");
    assert!(stub.iter().all(|l| *l <= 8.0));
}

#[test]
fn a_long_run_is_cut_at_chambers_with_match_lines_and_one_datum() {
    let mut text = format!("{TOP}{DATUM}pipes:\n");
    let mut level = 9_000;
    for i in 1..=5 {
        text += &format!(
            "  D{i}: {{kind: drain, from: IC{i}, to: IC{}, size: 110 mm, length: 24.00 m, il: [{}.{:03} m, {}.{:03} m]}}\n",
            i + 1,
            level / 1000,
            level % 1000,
            (level - 400) / 1000,
            (level - 400) % 1000
        );
        level -= 420;
    }
    text += "  E1: {kind: drain, from: WC1, to: D3, at: 0.30 m down from IC3, entry: junction 45, meets: invert, size: 110 mm, length: 0.30 m, fall: 1 in 40}\n";
    text += "access:\n";
    for i in 1..=6 {
        text += &format!("  IC{i}: {{what: inspection chamber, across: 450 mm, cover: 10.{}00 m}}\n", 7 - i);
    }
    text += "appliances:\n  WC1: {in: a, floor: 10.300 m}\n";
    let drawings = drawn(&text);
    let sheets: Vec<&Drawing> = drawings.iter().filter(|d| d.title.contains("sheet")).collect();
    assert!(sheets.len() >= 4, "{:?}", drawings.iter().map(|d| &d.title).collect::<Vec<_>>());
    for sheet in &sheets {
        let told: Vec<String> = texts(sheet).into_iter().map(|t| t.words).collect();
        assert!(told.iter().any(|w| w.starts_with("match line at IC")), "{told:?}");
        assert!(told.iter().any(|w| w == "datum 6.50" || w == "datum 6.00"), "{told:?}");
    }
    let all = all_words(&drawings);
    for id in ["D1", "D2", "D3", "D4", "D5", "IC1", "IC6", "E1"] {
        assert!(all.lines().any(|l| l == id), "{id}");
    }
    assert!(all.contains("120.00"), "chainage runs on");
}

#[test]
fn one_very_long_pipe_is_shortened_by_a_break() {
    let text = one_drain("il: [9.500 m, 9.000 m]", "").replace("length: 8.00 m", "length: 120.00 m");
    let drawings = drawn(&text);
    let all = all_words(&drawings);
    assert!(all.contains("shortened by a break"), "{all}");
    assert!(all.contains("120.00"));
}

#[test]
fn long_and_hostile_ids_are_cut_in_their_tags_and_whole_in_the_notes() {
    let long = "D-behind-the-old-wash-house-and-round-it";
    let hostile = "<b>";
    let text = one_drain("il: [9.100 m, 9.000 m]", "").replace("D1:", &format!("{long}:")).replace("IC2", hostile);
    let text = text.replace("to: <b>", "to: \"<b>\"").replace("  <b>:", "  \"<b>\":");
    let drawings = drawn(&text);
    let all = texts(&drawings[0]);
    assert!(all.iter().any(|t| t.bold && t.words == "D-behind-the-old-wash-h\u{2026}"));
    assert!(all.iter().any(|t| t.bold && t.words == hostile), "escaping is the renderer's");
    let joined: String = all.iter().map(|t| t.words.as_str()).collect();
    assert!(joined.replace(' ', "").contains(long), "{joined}");
}

#[test]
fn a_glyph_that_is_missing_or_turns_the_reading_never_reaches_a_sheet() {
    let text = one_drain("il: [9.100 m, 9.000 m]", "")
        .replace("title: b", "title: \"\u{202e}\u{4e95}\u{6238} \u{5d0}\u{5d1} well\"");
    let drawings = drawn(&text);
    let all = all_words(&drawings);
    assert!(all.contains("well") && !all.contains('\u{202e}'), "{all}");
}

#[test]
fn planned_work_is_broken_and_called_so() {
    let text = one_drain("il: [9.100 m, 9.000 m], stage: planned", "");
    let drawings = drawn(&text);
    assert!(!walls(&drawings[0], Pen::WallPlanned).is_empty());
    assert!(walls(&drawings[0], Pen::Wall).is_empty());
    assert!(all_words(&drawings).lines().any(|l| l == "planned"));
}

#[test]
fn a_ring_of_drains_is_drawn_and_ends() {
    let text = format!(
        "{TOP}pipes:\n  D1: {{kind: drain, from: D3, to: D2, entry: plain, size: 110 mm, length: 5 m, fall: 1 in 40, bed: {{stone: 10 mm}}}}\n  D2: {{kind: drain, from: D1, to: D3, entry: plain, size: 110 mm, length: 5 m, fall: 1 in 40, bed: {{stone: 10 mm}}}}\n  D3: {{kind: drain, from: D2, to: D1, entry: plain, size: 110 mm, length: 5 m, fall: 1 in 40, bed: {{stone: 10 mm}}}}\n"
    );
    let reading = record::read("job.yaml", &text);
    let drawings = long_sections(&network::link(&reading.record));
    drawings.iter().for_each(sound);
    assert!(!drawings.is_empty());
}

#[test]
fn twenty_five_joins_on_one_drain_turn_their_values_and_keep_their_ids() {
    let mut more = String::new();
    let mut rooms = "appliances:\n".to_owned();
    for i in 0..25 {
        more += &format!(
            "  E{i}: {{kind: drain, from: WC{i}, to: D1, at: {}.{:02} m down from IC1, entry: junction 45, meets: invert, size: 110 mm, length: 1.00 m, fall: 1 in 40}}\n",
            (100 + i * 90) / 100,
            (100 + i * 90) % 100
        );
        rooms += &format!("  WC{i}: {{in: a, floor: 10.300 m}}\n");
    }
    let text = one_drain("il: [9.100 m, 8.600 m]", &more).replace("length: 8.00 m", "length: 30.00 m") + &rooms;
    let drawings = drawn(&text);
    let turned = |m: &&Mark| matches!(m, Mark::Text { turned: true, .. });
    assert!(drawings[0].marks.iter().filter(turned).count() > 100);
    let all = all_words(&drawings);
    for i in 0..25 {
        assert!(all.lines().any(|l| l == format!("E{i} joins")), "E{i}");
    }
    assert!(all_words(&[plan(&text)]).contains("and 20 more join"));
}

#[test]
fn a_run_that_falls_deeply_steps_its_datum_and_says_so() {
    let mut text = format!("{TOP}{DATUM}pipes:\n");
    for i in 0..6 {
        let up = 60 - 3 * i;
        text += &format!(
            "  D{i}: {{kind: drain, from: IC{i}, to: IC{}, size: 110 mm, length: 30.00 m, il: [{up}.000 m, {}.500 m]}}\n",
            i + 1,
            up - 3
        );
    }
    text += "access:\n";
    for i in 0..7 {
        text += &format!("  IC{i}: {{what: inspection chamber, across: 450 mm, cover: {}.200 m}}\n", 61 - 3 * i);
    }
    let drawings = drawn(&text);
    assert!(drawings.len() >= 6);
    assert!(
        drawings
            .iter()
            .all(|d| all_words(std::slice::from_ref(d)).replace('\n', " ").contains("another on each sheet"))
    );
}

#[test]
fn absurd_levels_and_lengths_are_answered() {
    let text = one_drain("il: [99999.100 m, -9999.600 m]", "").replace("length: 8.00 m", "length: 900000.00 m");
    assert!(all_words(&drawn(&text)).contains("99999.100"));
    let nothing = one_drain("il: [9.100 m, 9.000 m]", "").replace("length: 8.00 m", "length: 0.00 m");
    assert!(all_words(&drawn(&nothing)).contains("0.00 m"));
}
