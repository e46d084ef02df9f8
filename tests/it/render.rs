//! Every kind of block, and hostile words, through all three outputs.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test that cannot go on says so")]

use chrono::NaiveDate;
use fallmark::base::doc::*;
use fallmark::base::drawing::*;
use fallmark::render::{self, Attachment, Document, Job, Meta, Output, Picture, Pictures, RenderError};
use std::collections::BTreeMap;
use std::process::Command;

/// All blocks by name, in the order in which this template places them.
const TEMPLATE: &str = r#"
# {{ title | text }}

```block facts
```
```block first-page
```

## Drains: levels and falls { #drains note=drains }

```block drains
```

## Branches { #branches }

```block branches
```

### What the words of the record do { #words }

{{ hostile | text }} and **bold**, *recalled*, [a page](<https://example.org/a b?q=ü>), [no page](javascript:alert(1)),
[the drains](#drains), [nowhere](#nowhere).

<script>alert(1)</script>

- one
- two **bold**

| thing | count |
|---|--:|
| pipe | 2 |

## Findings { #findings note=findings }

```block findings
```

## Drawings { #drawings }

```block drawings
```

## Photos { #photos }

```block photos
```

## Cautions { #cautions }

```block cautions
```
"#;

const HOSTILE: &str = "1. <script>alert('x')</script> | a | `code` [l](javascript:x) \u{202e}turned\u{202c} ~~no~~ \u{1f6bd}\n# no head &amp; $x$";

fn cell(lines: &[Line]) -> Vec<Line> {
    lines.to_vec()
}

fn one(text: &str) -> Line {
    vec![plain(text)]
}

fn link(text: &str, anchor: &str) -> Line {
    vec![Run::Link { text: text.into(), to: Target::Here(anchor.into()) }, plain(" "), Run::Page(anchor.into())]
}

fn verdict(shape: Shape, word: &str) -> Line {
    let word = if shape == Shape::Triangle { bold(word) } else { plain(word) };
    vec![Run::Shape(shape), word]
}

fn columns() -> Vec<Column> {
    let of = |head: &[&str], mm: f64, align: Align| Column {
        head: head.iter().map(|h| (*h).to_owned()).collect(),
        mm,
        align,
    };
    vec![
        of(&["id"], 12.0, Align::Left),
        of(&["from, to"], 26.0, Align::Left),
        of(&["size, length"], 25.0, Align::Left),
        of(&["invert"], 20.0, Align::Right),
        of(&["fall"], 22.0, Align::Right),
        of(&["length", "limit"], 18.0, Align::Right),
        of(&["verdict, clause"], 38.0, Align::Left),
        of(&["see"], 15.0, Align::Left),
    ]
}

fn row(id: &str, bar: Bar, shape: Shape, word: &str, reason: Option<Line>) -> Row {
    Row {
        id: id.into(),
        anchor: Some(format!("item-{id}")),
        cells: vec![
            cell(&[one("S1 foot"), one("IC1")]),
            cell(&[one("110 mm PVC-U"), one("4.85 m")]),
            cell(&[one("99.119"), one("99.038")]),
            cell(&[one("1 in 59.9"), one("= 16.7 mm/m")]),
            cell(&[one("1 in 80")]),
            cell(&[verdict(shape, word), vec![plain("AD H Table 6, "), italic("recalled")]]),
            cell(&[link("PH4", "photo-PH4"), link("drg 1", "plan")]),
        ],
        reasons: reason.into_iter().collect(),
        bar,
    }
}

fn drains() -> Vec<Block> {
    let mut rows = vec![
        row("D1", Bar::None, Shape::Disc, "met", None),
        row(
            "D2",
            Bar::None,
            Shape::HalfDisc,
            "met, inside the spread",
            Some(one("±2 mm at each reading puts the fall between 1 in 78 and 1 in 82.")),
        ),
        row(
            "D4",
            Bar::Hollow,
            Shape::Ring,
            "not shown",
            Some(one(
                "The fall is believed. Settled by: a level at WC1, or a fall read on the pipe. Joins D1 1.30 m up from IC1, inverts level.",
            )),
        ),
        row("OLD1", Bar::None, Shape::Dash, "existing, not judged", None),
        row(
            "B6",
            Bar::Solid,
            Shape::Triangle,
            "not met",
            Some(vec![
                bold("0.60 m too long for 32 mm pipe without its own vent."),
                plain(" Proposed: 40 mm pipe (3.0 m, 18 to 44 mm/m, "),
                italic("recalled"),
                plain(")."),
            ]),
        ),
    ];
    rows.push(Row { cells: vec![cell(&[one("AD H Diagram 10")]); 7], ..Row::default() });
    let key = vec![
        Run::Shape(Shape::Disc),
        plain("met  "),
        Run::Shape(Shape::Triangle),
        bold("not met"),
        plain("  Plain figure: measured (RT, laser-A or tape). = computed. "),
        bold("about"),
        plain(": believed, or computed from a belief."),
    ];
    vec![Block::Schedule(Schedule { summary: "Drains".into(), columns: columns(), rows }), Block::Key(key)]
}

fn branches() -> Vec<Block> {
    let mut rows: Vec<Row> = (1..60).map(|i| row(&format!("R{i}"), Bar::None, Shape::Disc, "met", None)).collect();
    rows[20] =
        row("ABCDEFGHIJKLMNOPQRSTUVWXYZ-0123456789-LONG", Bar::Hollow, Shape::Ring, "not shown", Some(one(HOSTILE)));
    rows[21].cells[0] = cell(&[one(&"W".repeat(200)), one("second")]);
    let key = Block::Key(one("Key of the branches."));
    vec![Block::Schedule(Schedule { summary: "Many rows".into(), columns: columns(), rows }), key]
}

fn side_row(ids: Line, text: Line, right: Line) -> SideRow {
    SideRow { ids, text, right, ..SideRow::default() }
}

fn first_page() -> Vec<Block> {
    let look_at = Side {
        head: "Today please look at".into(),
        anchor: "look-at".into(),
        strong: true,
        rows: vec![
            side_row(
                vec![id("S1 B1 B2 B3")],
                one("flat B: stack and three branches, open to view"),
                vec![plain("closes "), bold("Mon 23 Mar")],
            ),
            side_row(
                vec![id("P1"), plain(" above")],
                one("flat B floor, round S1: upper face of the seal in FL1"),
                one("no closing recorded"),
            ),
        ],
        ..Side::default()
    };
    let not_met = Side {
        head: "Not met".into(),
        note: "worst first".into(),
        anchor: "not-met".into(),
        bar: Bar::Solid,
        rows: vec![
            SideRow {
                anchor: Some("first-B6".into()),
                ..side_row(
                    vec![Run::Shape(Shape::Triangle), id("B6")],
                    vec![
                        bold("2.30 m"),
                        plain(" of 32 mm pipe, WB1 to S1; limit "),
                        bold("1.7 m"),
                        plain(". Not cut yet. Proposed: 40 mm pipe, limit there 3.0 m."),
                    ],
                    one("AD H Diagram 3"),
                )
            },
            side_row(
                vec![Run::Shape(Shape::Triangle), id("X2")],
                one(
                    "Rainwater led into foul chamber IC1 since 20 Feb; limit: kept apart. Proposed: out when the yard gully is laid.",
                ),
                vec![plain("AD H H5, "), italic("recalled")],
            ),
        ],
        ..Side::default()
    };
    let questions = Side {
        head: "Questions".into(),
        anchor: "questions".into(),
        rows: vec![SideRow {
            write_lines: 3,
            ..side_row(
                vec![id("Q1"), plain(" D4")],
                one("D4 went in after your visit. Will test and photos do, or open it?"),
                vec![],
            )
        }],
        ..Side::default()
    };
    let plan = Side {
        head: "Plan".into(),
        note: "not to scale; north not recorded".into(),
        anchor: "plan-head".into(),
        figure: Some(figure("plan", 149.0)),
        ..Side::default()
    };
    let not = Side {
        head: "This is not".into(),
        anchor: "this-is-not".into(),
        strong: true,
        rows: vec![side_row(
            vec![],
            vec![
                plain("an approval or a certificate. It is the installer’s record and the sums that follow from it. "),
                bold("About"),
                plain(": believed. Drains "),
                Run::Page("drains".into()),
                plain(", photos "),
                Run::Page("photos".into()),
                plain("."),
            ],
            vec![],
        )],
        ..Side::default()
    };
    vec![
        Block::Side(look_at),
        Block::Side(not_met),
        Block::Side(questions),
        Block::Side(plan),
        Block::Side(not),
        Block::NewPage,
    ]
}

fn facts() -> Vec<Block> {
    let fact = |label: &str, value: Line| Fact { label: label.into(), value };
    vec![Block::Facts(vec![
        fact("Application", vec![bold("EV/26/0417")]),
        fact("Body", vec![bold("Example Valley Council")]),
        fact("Visit on", vec![Run::WriteIn { mm: 31 }]),
        fact("Stage asked for", vec![bold("before boxing, flat B")]),
        fact("On site", one("RT installer, MK mate")),
        fact("Client", vec![Run::WriteIn { mm: 34 }]),
    ])]
}

fn figure(anchor: &str, width: f64) -> Figure {
    let text = |x: f64, y: f64, anchor: Anchor, words: &str, face: Face, turned: bool| Mark::Text {
        at: at(x, y),
        anchor,
        text: words.into(),
        size: 3.52,
        face,
        turned,
    };
    let mut marks = vec![
        Mark::Fill { points: vec![at(33.0, 1.0), at(36.4, 1.0), at(36.4, 34.5), at(33.0, 34.5)], paint: Paint::Grey },
        Mark::Line { points: vec![at(10.0, 13.0), at(60.0, 13.0)], pen: Pen::Run, closed: false },
        Mark::Line { points: vec![at(121.0, 1.0), at(121.0, 34.0)], pen: Pen::Limit, closed: false },
        Mark::Line { points: vec![at(100.0, 10.0), at(108.0, 10.0), at(108.0, 16.0)], pen: Pen::Wall, closed: true },
        Mark::Ellipse { centre: at(10.0, 13.0), rx: 2.1, ry: 2.1, pen: Some(Pen::Wall), paint: Some(Paint::Paper) },
        Mark::Ellipse { centre: at(10.0, 13.0), rx: 0.6, ry: 0.6, pen: None, paint: Some(Paint::Black) },
        text(10.0, 9.2, Anchor::Middle, "S1", Face::Bold, false),
        text(62.0, 12.0, Anchor::Start, "1 in 59.9", Face::Regular, false),
        text(width - 1.0, 34.0, Anchor::End, "street", Face::Italic, false),
        text(80.0, 30.0, Anchor::Start, "TURNED", Face::Regular, true),
    ];
    for (i, pen) in Pen::ALL.into_iter().enumerate() {
        let y = 16.0 + i as f64;
        marks.push(Mark::Line { points: vec![at(125.0, y), at(145.0, y)], pen, closed: false });
    }
    let drawing = Drawing {
        width,
        height: 41.0,
        marks,
        alt: "Plan of the drains, not to scale: S1 to IC1 by D1.".into(),
        title: "Plan of the drains".into(),
    };
    Figure { anchor: anchor.into(), drawing, upright: None, caption: vec![] }
}

fn findings() -> Vec<Block> {
    let item = |name: &str| FindingItem {
        ids: vec![id(name)],
        measured: vec![bold("2.30 m"), plain(", stated, planned")],
        limit: vec![plain("limit "), bold("1.7 m"), plain(": 0.60 m over")],
        line: "record line 83".into(),
        see: link(name, &format!("item-{name}")),
    };
    let finding = |shape: Shape, word: &str, bar: Bar, items: Vec<FindingItem>, anchor: &str| {
        Block::Finding(FindingBlock {
            shape,
            word: word.into(),
            note: if bar == Bar::None { "replaced by T3".into() } else { String::new() },
            title: "Longest basin branch in 32 mm pipe without its own vent".into(),
            clause: vec![plain("AD H Diagram 3, "), italic("recalled")],
            items,
            closing: vec![
                plain("Proposed: "),
                bold("size 40 mm"),
                plain("; limit then 3.0 m. "),
                italic("Limit recalled, confirm against the document."),
            ],
            bar,
            anchor: anchor.into(),
        })
    };
    vec![
        finding(Shape::Triangle, "not met", Bar::Solid, vec![item("B6")], "f1"),
        finding(Shape::Triangle, "not met", Bar::None, vec![item("D1"), item("D2")], "f2"),
        finding(Shape::Ring, "not shown", Bar::Hollow, (1..21).map(|i| item(&format!("R{i}"))).collect(), "f3"),
    ]
}

fn photos() -> Vec<Block> {
    let photo = |name: &str, file: Option<&str>| Photo {
        id: if file.is_some() { name.into() } else { String::new() },
        anchor: format!("photo-{name}"),
        file: file.map(str::to_owned),
        missing: "no photo of the upper face".into(),
        caption: one("P1 from below, in flat A, looking up. 10 Mar 2026, from the file."),
        alt: "P1 from below".into(),
    };
    vec![Block::Photos(vec![
        photo("PH4", Some("photos/wide.jpg")),
        photo("PH5", Some("photos/tall.jpg")),
        photo("P1", None),
        photo("PH6", Some("photos/wide.jpg")),
    ])]
}

fn cautions() -> Vec<Block> {
    let caution = |ids: &str| {
        Block::Caution(Caution {
            ids: ids.into(),
            text: one(
                "Air in a chamber can kill, at any depth that takes a head. Look and work from above; never follow anybody in.",
            ),
            leave_to: one("a trained confined-space contractor, or the sewerage undertaker."),
        })
    };
    vec![caution("IC1, MH0"), caution("N1")]
}

fn parts() -> Parts {
    let blocks = [
        ("facts", facts()),
        ("first-page", first_page()),
        ("drains", drains()),
        ("branches", branches()),
        ("findings", findings()),
        ("drawings", vec![Block::Figure(Figure { caption: one("Drawing 1."), ..figure("long", 170.0) })]),
        ("photos", photos()),
        ("cautions", cautions()),
    ];
    let notes = [
        ("drains", one("levels in m above TBM 100.000, ±2 mm (laser-A, RT, 18 Feb)")),
        ("findings", one("by rule and limit; the worst item stands first")),
    ];
    Parts {
        blocks: blocks.into_iter().map(|(n, b)| (n.to_owned(), b)).collect(),
        notes: notes.into_iter().map(|(n, l)| (n.to_owned(), l)).collect(),
    }
}

struct Album;

impl Pictures for Album {
    fn picture(&self, file: &str) -> Result<Picture, String> {
        let (width, height, grey) = match file {
            "photos/wide.jpg" => (160_u16, 90_u16, false),
            "photos/tall.jpg" => (60, 120, true),
            other => return Err(format!("there is no `{other}`")),
        };
        let channels = if grey { 1 } else { 3 };
        let pixels: Vec<u8> =
            (0..usize::from(width) * usize::from(height) * channels).map(|i| (i % 251) as u8).collect();
        let mut jpeg = Vec::new();
        let colour = if grey { jpeg_encoder::ColorType::Luma } else { jpeg_encoder::ColorType::Rgb };
        jpeg_encoder::Encoder::new(&mut jpeg, 80).encode(&pixels, width, height, colour).unwrap();
        Ok(Picture { jpeg, width: width.into(), height: height.into(), grey })
    }
}

fn meta() -> Meta {
    Meta {
        title: "Drying house, Teaselholm – Inspection pack".into(),
        running_left: vec![bold("TH-2"), plain("  Drying house, Teaselholm · Inspection pack")],
        running_right: one("england-2015: AD H, 2015 edition"),
        foot_left: one("record to 12 Mar 2026, digest 7f3c 91d2"),
        lang: "en-GB".into(),
        date: NaiveDate::from_ymd_opt(2026, 3, 12).unwrap(),
        creator: "Fallmark 0.1.0".into(),
    }
}

fn with_job<T>(parts: &Parts, template: &str, act: impl FnOnce(&Job) -> T) -> T {
    let templates = vec![("trial.md.tera".to_owned(), template.to_owned())];
    let job = Job {
        context: serde_json::json!({"title": "Drying house, Teaselholm: mill-house into two flats", "hostile": HOSTILE}),
        parts,
        template: "trial.md.tera",
        templates: &templates,
        meta: meta(),
        record: Attachment {
            name: "record.yaml",
            media_type: "application/yaml",
            bytes: b"job: TH-2\r",
            description: "The job record",
        },
        photos: &Album,
    };
    act(&job)
}

fn made(output: Output) -> (Document, Vec<u8>) {
    with_job(&parts(), TEMPLATE, |job| {
        let doc = render::document(job).unwrap();
        let mut bytes = Vec::new();
        render::write(&doc, job, output, &mut bytes).unwrap();
        (doc, bytes)
    })
}

/// Runs a program on a file; it must succeed and, when `quiet`, say nothing on stderr.
fn run(program: &str, arguments: &[&str], quiet: bool) -> String {
    let output = Command::new(program).args(arguments).output().unwrap_or_else(|e| panic!("{program}: {e}"));
    let said = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{program}: {said}");
    assert!(!quiet || said.trim().is_empty(), "{program}: {said}");
    String::from_utf8_lossy(&output.stdout).into_owned()
}

#[test]
fn pdf_conforms_to_both_standards() {
    use page_validation::{ValidationOptions, ValidationProfile, validate_pdf_bytes};
    let (_, bytes) = made(Output::Pdf);
    for profile in [ValidationProfile::PdfA3a, ValidationProfile::PdfUa1] {
        let report = validate_pdf_bytes(&bytes, &ValidationOptions::default().profile(profile)).unwrap();
        assert!(report.is_compliant, "{:#?}", report.failures);
    }
}

#[test]
fn writing_twice_gives_the_same_bytes() {
    for output in [Output::Markdown, Output::Html, Output::Pdf] {
        assert!(made(output).1 == made(output).1, "{output:?}");
    }
}

#[test]
fn pdf_holds_what_the_checker_does_not_ask_for() {
    let (_, bytes) = made(Output::Pdf);
    assert!(bytes.starts_with(b"%PDF-1.7\n"));
    let pdf = lopdf::Document::load_mem(&bytes).unwrap();
    let catalog = pdf.catalog().unwrap();
    assert_eq!(catalog.get(b"PageMode").unwrap().as_name().unwrap(), b"UseOutlines");
    for (number, page) in pdf.get_pages() {
        let page = pdf.get_dictionary(page).unwrap();
        assert_eq!(page.get(b"StructParents").unwrap().as_i64().unwrap(), i64::from(number) - 1);
        assert_eq!(page.get(b"Tabs").unwrap().as_name().unwrap(), b"S");
    }
    let mut figures = 0;
    for object in pdf.objects.values() {
        let Ok(dictionary) = object.as_dict() else { continue };
        let is_figure = dictionary.get(b"S").and_then(|s| s.as_name()).is_ok_and(|s| s == b"Figure");
        if is_figure {
            figures += 1;
            let attributes = dictionary.get(b"A").unwrap().as_dict().unwrap();
            assert_eq!(attributes.get(b"BBox").unwrap().as_array().unwrap().len(), 4);
            assert!(!dictionary.get(b"Alt").unwrap().as_str().unwrap().is_empty());
        }
    }
    assert_eq!(figures, 6, "two drawings and four photos");
    let info = pdf.get_dictionary(pdf.trailer.get(b"Info").unwrap().as_reference().unwrap()).unwrap();
    assert_eq!(info.get(b"CreationDate").unwrap().as_str().unwrap(), b"D:20260312000000Z");
    let xmp = catalog.get(b"Metadata").unwrap().as_reference().unwrap();
    let xmp = String::from_utf8(pdf.get_object(xmp).unwrap().as_stream().unwrap().content.clone()).unwrap();
    for part in
        ["<xmp:CreateDate>2026-03-12T00:00:00Z<", "Drying house, Teaselholm – Inspection pack", "Fallmark 0.1.0"]
    {
        assert!(xmp.contains(part), "{part}");
    }
    let file = catalog.get(b"AF").unwrap().as_array().unwrap()[0].as_reference().unwrap();
    let file = pdf.get_dictionary(file).unwrap();
    assert_eq!(file.get(b"Desc").unwrap().as_str().unwrap(), b"The job record");
    let stream = file.get(b"EF").unwrap().as_dict().unwrap().get(b"F").unwrap().as_reference().unwrap();
    let stream = pdf.get_object(stream).unwrap().as_stream().unwrap();
    let params = stream.dict.get(b"Params").unwrap().as_dict().unwrap();
    assert_eq!(params.get(b"Size").unwrap().as_i64().unwrap(), 10);
    assert_eq!(params.get(b"CheckSum").unwrap().as_str().unwrap().len(), 16);
    assert!(params.get(b"ModDate").is_ok());
}

#[test]
fn other_programs_read_the_pdf_in_silence() {
    let (_, bytes) = made(Output::Pdf);
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("pack.pdf");
    std::fs::write(&path, &bytes).unwrap();
    let path = path.to_str().unwrap();
    run("qpdf", &["--check", path], true);
    run("mutool", &["draw", "-q", "-r", "40", "-o", folder.path().join("m%d.png").to_str().unwrap(), path], false);
    run("pdftoppm", &["-r", "40", "-png", path, folder.path().join("p").to_str().unwrap()], true);
    let text = run("pdftotext", &["-layout", path, "-"], true);
    for id in ["D1", "D2", "D4", "OLD1", "B6", "X2", "R59", "PH4", "PH5", "PH6", "Q1", "TURNED", "16.7 mm/m", "not met"]
    {
        assert!(text.contains(id), "{id}");
    }
    let flat: String = text.split_whitespace().collect();
    assert!(flat.contains("ABCDEFGHIJKLMNOPQRSTUVWXYZ-0123456789-LONG"));
    assert!(flat.contains(&"W".repeat(8)), "a long word is broken, not lost");
    assert!(flat.contains("<script>alert('x')</script>"), "words from the record stay words");
    assert!(!text.contains('\u{202e}'));
    let record = folder.path().join("record.yaml");
    run("pdfdetach", &["-save", "1", "-o", record.to_str().unwrap(), path], true);
    assert_eq!(std::fs::read(record).unwrap(), b"job: TH-2\r");
}

#[test]
fn page_numbers_printed_are_the_pages() {
    let (_, bytes) = made(Output::Pdf);
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("pack.pdf");
    std::fs::write(&path, &bytes).unwrap();
    let text = run("pdftotext", &["-layout", path.to_str().unwrap(), "-"], true);
    let pages: Vec<&str> = text.split('\u{c}').collect();
    let on = pages
        .iter()
        .position(|p| p.contains("4 Photos") || p.contains("Photos") && p.contains("P1 from below"))
        .unwrap()
        + 1;
    assert!(pages[0].replace('\u{a0}', " ").contains(&format!("photos p {on}")), "{}", pages[0]);
    let branches: Vec<&&str> = pages.iter().filter(|p| p.contains("3 Branches")).collect();
    assert!(branches.len() > 2);
    for (i, page) in branches.iter().enumerate() {
        assert_eq!(page.contains("continued"), i > 0, "{page}");
        assert!(page.contains("Key of the branches."), "{page}");
        assert!(page.contains("verdict, clause"), "{page}");
    }
}

#[test]
fn characters_without_glyph_are_named() {
    let (doc, _) = made(Output::Markdown);
    assert_eq!(doc.warnings.len(), 2, "{:?}", doc.warnings);
    assert!(doc.warnings[0].contains("U+1F6BD"));
    assert!(doc.warnings[1].contains("nowhere"));
}

#[test]
fn html_has_no_script_and_no_foreign_address() {
    let (_, bytes) = made(Output::Html);
    let html = String::from_utf8(bytes).unwrap();
    assert!(!html.contains("<script"));
    assert!(!html.contains("javascript:x\""));
    assert!(!html.contains("href=\"javascript"));
    for id in ["D1", "OLD1", "R59", "PH6", "TURNED", "0.60 m too long"] {
        assert!(html.contains(id), "{id}");
    }
    assert!(html.contains("not in the record"), "write-in lines are said in words");
    assert!(html.contains("src=\"data:image/jpeg;base64,"));
    assert!(html.contains("default-src 'none'"));
    let mut ids: Vec<&str> = html.split(" id=\"").skip(1).filter_map(|rest| rest.split('"').next()).collect();
    let count = ids.len();
    ids.sort_unstable();
    ids.dedup();
    assert_eq!(ids.len(), count, "every id once");
    for target in html.split("href=\"#").skip(1).filter_map(|rest| rest.split('"').next()) {
        assert!(ids.contains(&target), "{target}");
    }
}

#[test]
fn markdown_tables_have_equal_rows() {
    let (_, bytes) = made(Output::Markdown);
    let text = String::from_utf8(bytes).unwrap();
    let mut widths: BTreeMap<usize, usize> = BTreeMap::new();
    for line in text.lines().filter(|l| l.starts_with('|')) {
        let bars = line.replace("\\|", "").matches('|').count();
        *widths.entry(bars).or_default() += 1;
    }
    // Two schedules of 8 columns (6 and 59 rows) and a table of 2; each has two lines of head.
    assert_eq!(widths, BTreeMap::from([(3, 3), (9, 6 + 59 + 4)]));
    assert!(text.contains("\\<script\\>"));
    assert!(text.contains("not in the record"));
}

#[test]
fn faults_name_the_template() {
    let faults = [
        ("```block none\n```\n", "no block `none`"),
        ("## A { #a note=none }\n", "no note `none`"),
        ("{{ nope }}", "trial.md.tera:1"),
        ("{% include \"/etc/passwd\" %}", "/etc/passwd"),
    ];
    for (template, wanted) in faults {
        let error = with_job(&parts(), template, |job| render::document(job).map(|_| ()).unwrap_err());
        assert!(error.to_string().contains(wanted), "{error}");
    }
    let deep = format!("{}deep", "> ".repeat(100));
    let error = with_job(&parts(), &deep, |job| render::document(job).map(|_| ()).unwrap_err());
    assert!(matches!(error, RenderError::Markdown { line: 1, .. }), "{error}");
}

#[test]
fn a_lost_photo_or_a_full_disk_is_an_error() {
    struct Full;
    impl std::io::Write for Full {
        fn write(&mut self, _: &[u8]) -> std::io::Result<usize> {
            Err(std::io::Error::other("disk full"))
        }
        fn flush(&mut self) -> std::io::Result<()> {
            Ok(())
        }
    }
    let mut parts = parts();
    with_job(&parts, TEMPLATE, |job| {
        let doc = render::document(job).unwrap();
        for output in [Output::Markdown, Output::Html, Output::Pdf] {
            assert!(matches!(render::write(&doc, job, output, &mut Full), Err(RenderError::Io(_))), "{output:?}");
        }
    });
    if let Some(Block::Photos(photos)) = parts.blocks.get_mut("photos").and_then(|b| b.first_mut()) {
        photos[0].file = Some("gone.jpg".into());
    }
    with_job(&parts, TEMPLATE, |job| {
        let doc = render::document(job).unwrap();
        for output in [Output::Html, Output::Pdf] {
            let error = render::write(&doc, job, output, &mut Vec::new()).unwrap_err();
            assert!(error.to_string().contains("gone.jpg"), "{error}");
        }
    });
}

#[test]
fn a_short_row_is_an_error() {
    let mut parts = parts();
    if let Some(Block::Schedule(table)) = parts.blocks.get_mut("drains").and_then(|b| b.first_mut()) {
        table.rows[0].cells.pop();
    }
    let error = with_job(&parts, TEMPLATE, |job| render::document(job).map(|_| ()).unwrap_err());
    assert!(matches!(error, RenderError::Cells { cells: 7, columns: 8, .. }), "{error}");
}

/// Blocks that no pack should make, but that must not bring the program down.
fn odd_blocks() -> Vec<Block> {
    let long: String = "word ".repeat(4000);
    let empty_table = Schedule { summary: String::new(), columns: vec![], rows: vec![] };
    let mut odd_columns = columns();
    odd_columns[0].mm = f64::NAN;
    odd_columns[1].mm = f64::INFINITY;
    odd_columns[2].mm = -5.0;
    let mut tall = row("D9", Bar::Solid, Shape::Triangle, "not met", Some(one(&long)));
    tall.cells[0] = vec![one(&"x".repeat(3000)), one(&long)];
    let mut huge = figure("huge", 170.0);
    huge.drawing.height = 900.0;
    let mut wild = figure("wild", f64::NAN);
    wild.drawing.marks.push(Mark::Line { points: vec![], pen: Pen::Thin, closed: true });
    wild.drawing.marks.push(Mark::Fill { points: vec![at(f64::NAN, f64::INFINITY)], paint: Paint::Grey });
    wild.caption = one(&long);
    let finding = FindingBlock {
        shape: Shape::Dash,
        word: "a very long word for a verdict that nobody would use".into(),
        note: String::new(),
        title: long.clone(),
        clause: one(&"A".repeat(300)),
        items: vec![],
        closing: vec![],
        bar: Bar::Hollow,
        anchor: String::new(),
    };
    vec![
        Block::NewPage,
        Block::Heading(Heading { level: 3, text: one(&long), note: one(&long), ..Heading::default() }),
        Block::Heading(Heading { level: 9, ..Heading::default() }),
        Block::Paragraph(vec![]),
        Block::Paragraph(one(&long)),
        Block::List(vec![vec![], one(&long)]),
        Block::Facts(vec![]),
        Block::Facts(vec![Fact { label: long.clone(), value: one(&long) }]),
        Block::Side(Side::default()),
        Block::Side(Side {
            head: long.clone(),
            rows: vec![SideRow { write_lines: 255, ..SideRow::default() }],
            bar: Bar::Hollow,
            ..Side::default()
        }),
        Block::Schedule(empty_table),
        Block::Schedule(Schedule { summary: "odd".into(), columns: odd_columns, rows: vec![tall] }),
        Block::Figure(huge),
        Block::Figure(wild),
        Block::Photos(vec![]),
        Block::Finding(finding),
        Block::Caution(Caution { ids: long.clone(), text: one(&long), leave_to: vec![] }),
        Block::Key(vec![Run::Page("none".into()), Run::WriteIn { mm: 9000 }, Run::Shape(Shape::Ring)]),
        Block::NewPage,
    ]
}

#[test]
fn odd_blocks_still_make_a_sound_pdf() {
    use page_validation::{ValidationOptions, ValidationProfile, validate_pdf_bytes};
    let all = odd_blocks();
    // Each alone, all together, and nothing at all.
    let sets = all.iter().map(|b| vec![b.clone()]).chain([all.clone(), vec![]]);
    for blocks in sets {
        let name = format!("{:.60}", format!("{:?}", blocks.first()));
        let mut parts = Parts::default();
        parts.blocks.insert("odd".into(), blocks);
        with_job(&parts, "```block odd\n```\n", |job| {
            let doc = render::document(job).unwrap();
            for output in [Output::Markdown, Output::Html] {
                render::write(&doc, job, output, &mut Vec::new()).unwrap();
            }
            let mut bytes = Vec::new();
            render::write(&doc, job, Output::Pdf, &mut bytes).unwrap_or_else(|e| panic!("{name}: {e}"));
            for profile in [ValidationProfile::PdfA3a, ValidationProfile::PdfUa1] {
                let report = validate_pdf_bytes(&bytes, &ValidationOptions::default().profile(profile)).unwrap();
                assert!(report.is_compliant, "{name}: {:#?}", report.failures);
            }
        });
    }
}

#[test]
fn nothing_leaves_the_text_block() {
    let mut parts = Parts::default();
    parts.blocks.insert("odd".into(), odd_blocks());
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("odd.pdf");
    with_job(&parts, "```block odd\n```\n", |job| {
        let doc = render::document(job).unwrap();
        let mut bytes = Vec::new();
        render::write(&doc, job, Output::Pdf, &mut bytes).unwrap();
        std::fs::write(&path, &bytes).unwrap();
    });
    let boxes = run("pdftotext", &["-bbox", path.to_str().unwrap(), "-"], false);
    let number = |line: &str, name: &str| -> f64 {
        let rest = line.split(&format!("{name}=\"")).nth(1).unwrap();
        rest.split('"').next().unwrap().parse().unwrap()
    };
    let mut words = 0;
    // The drawing of odd size is not text that was set.
    for line in boxes.lines().filter(|l| l.contains("<word") && l.contains(">word<")) {
        words += 1;
        assert!(number(line, "xMin") > 56.0 && number(line, "xMax") < 556.0, "{line}");
        assert!(number(line, "yMin") > 60.0 && number(line, "yMax") < 795.0, "{line}");
    }
    assert!(words > 20_000, "{words}");
}

#[test]
fn the_built_in_template_places_every_block() {
    let names = [
        "facts",
        "drains",
        "drains-laid",
        "branches",
        "stack",
        "chambers",
        "traps",
        "test-schedule",
        "drawings",
        "findings",
        "penetrations",
        "record",
        "photos",
        "cautions",
        "basis",
        "look-at",
    ];
    let blocks = names.iter().map(|n| ((*n).to_owned(), vec![Block::Paragraph(one(&format!("block-{n}")))]));
    let notes = [
        "drains",
        "drains-laid",
        "branches",
        "stack",
        "chambers",
        "traps",
        "tests",
        "drawings",
        "findings",
        "penetrations",
        "record",
        "photos",
        "basis",
    ];
    let notes = notes.iter().map(|n| ((*n).to_owned(), one("note")));
    let parts = Parts { blocks: blocks.collect(), notes: notes.collect() };
    let has: serde_json::Map<String, serde_json::Value> = [
        "drains",
        "drains_laid",
        "branches",
        "stack",
        "chambers",
        "traps",
        "tests",
        "drawings",
        "findings",
        "penetrations",
        "record",
        "photos",
        "cautions",
    ]
    .iter()
    .map(|n| ((*n).to_owned(), true.into()))
    .collect();
    with_job(&parts, "", |job| {
        let context = serde_json::json!({"title": "A *job*", "first_page": ["look-at"], "has": has});
        let job = Job {
            context,
            template: "inspection.md.tera",
            parts: job.parts,
            templates: &[],
            meta: meta(),
            record: Attachment { ..job.record },
            photos: job.photos,
        };
        let doc = render::document(&job).unwrap();
        let mut bytes = Vec::new();
        render::write(&doc, &job, Output::Markdown, &mut bytes).unwrap();
        let text = String::from_utf8(bytes).unwrap();
        for name in names {
            assert!(text.contains(&format!("block-{name}")), "{name}");
        }
        assert!(text.contains("# A \\*job\\*"));
        assert!(text.contains("## 3 Drains"));
        assert!(text.contains("## 15 What the answers rest on"), "{text}");
    });
}
