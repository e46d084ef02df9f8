//! Numbers of the schedules, worked by hand for the samples, and the schedules that hold them in every output.

use crate::network::sample;
use fallmark::base::units::Length;
use fallmark::compute::Computed;
use fallmark::compute::setting_out::SettingOut;
use fallmark::compute::setting_out::packer;
use fallmark::network;
use fallmark::network::Network;
use fallmark::record;

fn with<R>(text: &str, look: impl FnOnce(&Network<'_>, &Computed) -> R) -> R {
    let reading = record::read("job.yaml", text);
    assert_eq!(reading.faults.first(), None);
    let network = network::link(&reading.record);
    let rulebook = fallmark::rulebook::load("england-2015").unwrap();
    let computed = fallmark::compute::compute(&network, &rulebook);
    look(&network, &computed)
}

fn set_out<'c>(network: &Network<'_>, computed: &'c Computed, id: &str) -> &'c SettingOut {
    let leg = network.record.pipes.position(id).unwrap();
    computed.setting_out.iter().find(|s| s.leg == leg).unwrap()
}

/// Marks as `500:11`, brackets with a `b` after them.
fn marks(one: &SettingOut) -> Vec<String> {
    let mark = |m: &fallmark::compute::setting_out::Mark| {
        format!("{}:{}{}", m.at.millimetres(), m.down.millimetres(), if m.bracket { "b" } else { "" })
    };
    one.marks.iter().map(mark).collect()
}

/// By hand. B2: 2.20 m along the barrel at 22 mm/m falls 48.4 mm, 11.0 mm over each 0.5 m. B5: 2.60 m at 1 in 48 falls
/// 54.2 mm, 10.4 mm over each. B1: 0.64 m at 1 in 38 falls 16.8 mm. Spacing 0.5 m for 40 mm, 1 m for 110 mm.
#[test]
fn the_mill_house_s_branches_are_marked_at_their_brackets() {
    with(&sample("mill-house"), |network, computed| {
        let of = |id: &str| marks(set_out(network, computed, id));
        assert_eq!(of("B2"), ["0:0b", "500:11b", "1000:22b", "1500:33b", "2000:44b", "2200:48"]);
        assert_eq!(of("B5"), ["0:0b", "500:10b", "1000:21b", "1500:31b", "2000:42b", "2500:52b", "2600:54"]);
        assert_eq!(of("B1"), ["0:0b", "640:17"]);
    });
}

/// By hand: 600 and 1200 mm at 25 mm/m are 15 and 30 mm; 1200 mm at 1 in 60 is 20 mm.
#[test]
fn a_level_is_packed_up_by_its_length_times_the_fall() {
    with(&sample("schoolroom-flats"), |network, computed| {
        let g = set_out(network, computed, "B4").gradient.unwrap();
        assert_eq!(
            (packer(&g, Length::from_mm(600)), packer(&g, Length::from_mm(1200))),
            (Length::from_mm(15), Length::from_mm(30))
        );
    });
    let sixty = fallmark::base::units::Gradient::one_in(60, 0).unwrap();
    let g = fallmark::base::known::KnownGradient::exact(sixty, fallmark::base::known::How::Measured);
    assert_eq!(packer(&g, Length::from_mm(1200)), Length::from_mm(20));
}

/// A mark of a drain: down in mm, then metres under the laser and under the covers.
fn depths(one: &SettingOut, at: i64) -> (String, String, String) {
    let mark = one.marks.iter().find(|m| m.at == Length::from_mm(at)).unwrap();
    let metres = |k: Option<fallmark::base::known::Known<Length>>| k.map_or("none".into(), |k| k.value.metres(3));
    (mark.down.millimetres(), metres(mark.below_plane), metres(mark.below_cover))
}

/// By hand. D1 of the mill-house: 81 mm over 4.85 m; D4 joins 1.30 m up from IC1, at 3.55 m, 59.3 mm down. IC1's cover
/// lies 0.892 m under the laser. D2 of the schoolroom: 240 mm over 14.40 m; its covers lie 1.134 and 1.194 m under the
/// laser, so that a line between them is 1.159 m under it at 6 m, where the invert is 2.120 m under it.
#[test]
fn drains_are_set_out_under_the_laser_and_under_their_covers() {
    let is = |a: &str, b: &str, c: &str| (a.to_owned(), b.to_owned(), c.to_owned());
    with(&sample("mill-house"), |network, computed| {
        let d1 = set_out(network, computed, "D1");
        assert_eq!(depths(d1, 0), is("0", "1.793", "0.901"));
        assert_eq!(depths(d1, 1000), is("17", "1.810", "0.918"));
        assert_eq!(depths(d1, 3550), is("59", "1.852", "0.960"));
        assert_eq!(depths(d1, 4850), is("81", "1.874", "0.982"));
        let joins: Vec<usize> = d1.marks.iter().filter_map(|m| m.joins).collect();
        assert_eq!(joins, [network.record.pipes.position("D4").unwrap()]);
        assert_eq!(depths(set_out(network, computed, "D4"), 1000), is("25", "1.825", "none"));
    });
    with(&sample("schoolroom-flats"), |network, computed| {
        let d2 = set_out(network, computed, "D2");
        assert_eq!(depths(d2, 0), is("0", "2.020", "0.886"));
        assert_eq!(depths(d2, 6000), is("100", "2.120", "0.961"));
        assert_eq!(depths(d2, 14_400), is("240", "2.260", "1.066"));
        assert_eq!(d2.marks.len(), 16);
    });
}

/// By hand. Mill-house: S1's foot is 0.881 m under TBM, V1 stands at 4.455 m over it and ends at 8.515 m over it.
/// Schoolroom: 0.800 m under, 4.560 m and 8.250 m over. Brackets 1.8 m apart, and on 40 mm waste 0.5 m.
#[test]
fn upright_pipes_get_their_length_from_their_heights() {
    let check = |name: &str, expected: [(&str, &str, i64); 3]| {
        with(&sample(name), |network, computed| {
            for (id, metres, count) in expected {
                let leg = network.record.pipes.position(id).unwrap();
                assert_eq!(computed.lengths[leg].unwrap().value.metres(3), metres, "{name}, {id}");
                assert_eq!(computed.supports[leg].unwrap().brackets, Some(count), "{name}, {id}");
            }
        });
    };
    check("mill-house", [("S1", "5.336", 3), ("V1", "4.060", 3), ("B2", "2.200", 5)]);
    check("schoolroom-flats", [("S1", "5.360", 3), ("V1", "3.690", 3), ("B2", "1.500", 3)]);
}

#[test]
fn without_a_length_or_a_fall_there_are_no_marks_and_a_long_pipe_has_few() {
    let text = sample("mill-house");
    with(&text.replace("length: 2.20 m, fall: 22 mm/m", "fall: 22 mm/m"), |network, computed| {
        assert_eq!(set_out(network, computed, "B2").marks, []);
        assert!(set_out(network, computed, "B2").gradient.is_some());
    });
    with(&text.replace("length: 2.20 m", "length: 999.9 m"), |network, computed| {
        let b2 = set_out(network, computed, "B2");
        assert!(b2.stride > 1 && b2.marks.len() <= 50, "{} {}", b2.stride, b2.marks.len());
    });
}

/// Pipe as `110 mm PVC-U below 16.45`, with the count of pipes of which the length is not known.
fn pipe_lines(computed: &Computed) -> Vec<String> {
    let line = |l: &fallmark::compute::quantities::PipeLine| {
        format!(
            "{} {} {} {}{}",
            l.size.replace('\u{a0}', " "),
            l.material.as_deref().unwrap_or("unsaid"),
            if l.below { "below" } else { "above" },
            l.length.map_or("unknown".into(), |k| k.value.metres(2)),
            if l.missing.is_empty() { String::new() } else { format!(" and {}", l.missing.len()) }
        )
    };
    computed.quantities.pipes.iter().map(line).collect()
}

/// By hand, mill-house: 2.20 + 1.90 + 2.60; 0.64 + 4.060; 4.85 + 11.60. Schoolroom: 1.30 + 1.25; 1.50 + 2.10 + 1.80 +
/// 1.60; 0.90 + 0.80 + 5.360 + 3.690; 5.20 + 14.40 + 9.90. Existing drains do not count.
#[test]
fn pipe_is_summed_by_size_material_and_place() {
    with(&sample("mill-house"), |_, computed| {
        let expected = [
            "32 mm unsaid above 1.40",
            "40 mm unsaid above 6.70",
            "110 mm unsaid above 4.70",
            "110 mm PVC-U above 5.34",
            "110 mm unsaid below 2.10",
            "110 mm PVC-U below 16.45",
        ];
        assert_eq!(pipe_lines(computed), expected);
    });
    with(&sample("schoolroom-flats"), |_, computed| {
        let expected = [
            "32 mm PVC-U above 2.55",
            "40 mm PVC-U above 7.00",
            "110 mm PVC-U above 10.75",
            "110 mm PVC-U below 29.50",
        ];
        assert_eq!(pipe_lines(computed), expected);
    });
    with(&sample("schoolroom-flats").replace("length: 1.50 m, ", ""), |_, computed| {
        assert_eq!(pipe_lines(computed)[1], "40 mm PVC-U above 5.50 and 1");
    });
}

/// Counted by hand in the two records.
#[test]
fn fittings_and_brackets_are_counted_with_the_side_a_socket_faces() {
    let counted = |name: &str, what: &str, size: &str| {
        with(&sample(name), |_, computed| {
            let line =
                computed.quantities.fittings.iter().find(|f| f.what == what && f.size.replace('\u{a0}', " ") == size);
            line.map(|f| (f.count, f.sockets.iter().map(|(_, side)| *side).collect::<Vec<_>>()))
        })
    };
    let mill = |what: &str, size: &str| counted("mill-house", what, size);
    assert_eq!(mill("foot bend, 45", "110 mm"), Some((2, vec![])));
    assert_eq!(mill("boss", "40 mm into 110 mm"), Some((3, vec!["south", "south", "west"])));
    assert_eq!(mill("slip coupling", "110 mm"), Some((2, vec![])));
    assert_eq!(mill("junction 45", "110 mm into 110 mm"), Some((1, vec![])));
    assert_eq!(mill("spare boss", "on 110 mm"), Some((1, vec!["north"])));
    assert_eq!(counted("schoolroom-flats", "bend, swept 90", "40 mm"), Some((4, vec![])));
    let brackets =
        |name: &str| with(&sample(name), |_, c| c.quantities.brackets.iter().map(|b| b.count).collect::<Vec<_>>());
    // 1.40 m: 3. 2.20, 1.90, 2.60 m: 5 + 4 + 6. 0.64 m at 1 m: 1. 5.336 and 4.060 m at 1.8 m: 3 + 3.
    assert_eq!(brackets("mill-house"), [3, 15, 1, 6]);
    // 1.30, 1.25 m: 3 + 3. 1.50, 2.10, 1.80, 1.60 m: 3 + 5 + 4 + 4. 0.90, 0.80 m: 1 + 1. 5.360, 3.690 m: 3 + 3.
    assert_eq!(brackets("schoolroom-flats"), [6, 16, 2, 6]);
}

/// By hand: two faces of FL1, CE1 and WA1 and the one of RF1 are seven; the mill-house tells of four of them. A hole of
/// 127 mm leaves 8.5 mm round a pipe of 110 mm, an opening of 230 mm 60 mm; 127 mm is the larger usual cutter.
#[test]
fn holes_have_their_cutter_and_seals_are_held_against_crossings() {
    let totals = |text: &str| with(text, |_, c| c.quantities.seals.totals());
    assert_eq!(totals(&sample("mill-house")), (7, 3));
    assert_eq!(totals(&sample("schoolroom-flats")), (7, 0));
    assert_eq!(
        totals(&sample("schoolroom-flats").replace("below: {seal: collar, doc: C1, fixed-to: noggins}, ", "")),
        (7, 1)
    );
    with(&sample("mill-house"), |_, computed| {
        let holes = &computed.quantities.holes;
        let told: Vec<_> = holes.iter().map(|h| (h.recorded.map(Length::millimetres), h.gap.map(Length::um))).collect();
        let crossing = |mm: Option<&str>, um: Option<i64>| (mm.map(str::to_owned), um);
        assert_eq!(
            told[..4],
            [
                crossing(Some("127"), Some(8_500)),
                crossing(None, None),
                crossing(None, None),
                crossing(None, Some(60_000)),
            ]
        );
        assert!(holes[1].usual.as_ref().unwrap().contains("127 mm") && holes[3].usual.is_none());
        assert_eq!(holes.len(), 8);
    });
}

/// What of the schedules must stand in every output, word for word.
fn must_say(name: &str) -> &'static [&'static str] {
    match name {
        "mill-house" => &[
            "Setting out: branches",
            "below laser, m",
            "1.852",
            "not described",
            "no photo of the upper face",
            "= 8.5 mm all round if centred",
            "wanted 10 to 23 Mar",
            "closes Mon 23 Mar",
            "Crossings without a record",
            "B2 south, B4 south, B5 west",
            "D1 up 4.85, D2 down 11.60",
            "16.45",
            "carries, l/s",
        ],
        _ => &[
            "2.253",
            "48.851",
            "mineral wool",
            "C1 (EI 60-U/U)",
            "4 crossings",
            "29.50",
            "D2 up 14.40, D3 down 9.90",
            "= 10.75",
            "filling at",
        ],
    }
}

#[test]
fn every_output_says_the_same_of_the_schedules() {
    use crate::pack::pdf_text;
    use crate::pack::squeezed;
    use crate::pack::without_tags;
    use crate::pack::written;
    use fallmark::render::Output;
    for name in ["mill-house", "schoolroom-flats"] {
        let pdf = squeezed(&pdf_text(&written(name, Output::Pdf)));
        let html = squeezed(&without_tags(&String::from_utf8(written(name, Output::Html)).unwrap()));
        let markdown = squeezed(&String::from_utf8(written(name, Output::Markdown)).unwrap());
        for (output, text) in [("pdf", &pdf), ("html", &html), ("md", &markdown)] {
            for said in must_say(name) {
                assert!(text.contains(&squeezed(said)), "{name}, {output}: {said}");
            }
        }
    }
}

/// Every schedule of a pack fills the text block, and no column of it is empty in every row.
#[test]
fn columns_fill_the_page_and_none_is_always_empty() {
    use fallmark::base::doc::Block;
    for name in ["mill-house", "schoolroom-flats", "bungalow-refit"] {
        let text = sample(name);
        let reading = record::read("job.yaml", &text);
        let rulebook = fallmark::rulebook::load("england-2015").unwrap();
        let prose = fallmark::rulebook::prose("england-2015").unwrap();
        let job = fallmark::examine(&reading.record, &rulebook, &crate::findings::SampleFiles(name));
        let moment = fallmark::base::finding::Moment::Completion;
        let date = reading.record.newest_date().unwrap();
        let source = &reading.source;
        let choice = fallmark::pack::Choice { date, moment, record_digest: "00".into(), source, prose: &prose };
        let pack = fallmark::pack::inspection(&job, &choice);
        let blocks = pack.parts.blocks.values().flatten();
        let tables = blocks.filter_map(|b| if let Block::Schedule(s) = b { Some(s) } else { None });
        let mut seen = 0;
        for table in tables {
            let sum: f64 = table.columns.iter().map(|c| c.mm).sum();
            assert!((sum - 176.0).abs() < 1e-6, "{name}: {} is {sum} mm wide", table.summary);
            let width = table.columns.len();
            let skipped = |row: &fallmark::base::doc::Row| usize::from(row.cells.len() < width);
            for (i, column) in table.columns.iter().enumerate().skip(1) {
                let is_told = |row: &fallmark::base::doc::Row| {
                    let cell = row.cells.get(i - skipped(row));
                    cell.is_some_and(|c| c.iter().any(|l| !fallmark::base::doc::words(l).trim().is_empty()))
                };
                assert!(table.rows.iter().any(is_told), "{name}: {}, {:?}", table.summary, column.head);
            }
            seen += 1;
        }
        assert!(seen > 15, "{name}: {seen}");
    }
}

/// Two chambers and the drains between them, everything said of them that there is a field for; two drains leave IC1.
const FULL: &str = r#"record: 1
job: {id: T, title: full schedules, storeys: 1, dwellings: 1}
people: {RT: {name: R. Tranter, role: installer}, BC: {name: K. Lund, role: inspector}}
kit: {laser-Q: {what: rotary laser, spread: 2 mm}, gauge-W: {what: water gauge, spread: 1 mm}}
levels: {TBM: {is: 50.000 m}}
appliances: {WC1: {cistern: 6 litre}}
pipes:
  D1: {kind: drain, from: WC1, to: IC1, entry: backdrop, backdrop: {encased: 160 mm, rodding: at top}, turn: 35, branch-section: three-quarter, size: 110 mm, length: 4.00 m, il: [TBM - 0.600 m, TBM - 0.650 m]}
  D2: {kind: drain, from: IC1, to: IC2, size: 110 mm, material: PVC-U, standard: BS EN 1401-1, joints: ring-seal, length: 12.00 m, il: [TBM - 0.910 m, TBM - 1.060 m], surface: garden, least-cover: 0.71 m, greatest-cover: 0.83 m, trench-width: 440 mm, bed: {class: S, stone: 10 mm, under: 105 mm, over: 115 mm, sides: 165 mm}, by: RT, kit: laser-Q, fitted: 2026-03-05}
  D5: {kind: drain, from: IC1, to: SEW, size: 110 mm, carries: rain, length: 9.00 m, il: [TBM - 0.920 m, TBM - 1.120 m]}
  D3: {kind: drain, from: IC2, to: SEW, size: 110 mm, length: 9.00 m, il: [TBM - 1.070 m, TBM - 1.180 m]}
access:
  IC1: {what: inspection chamber, across: 470 mm, cover: TBM + 0.010 m, class: B125, cover-size: 460 x 460 mm, opening: 435 mm, fixed: two captive screws, airtight: yes, benching: {height: 112 mm, slope: 1 in 11, edge: 26 mm}, steps: step irons at 310 mm, build: "polypropylene, BS EN 13598-2", where: 1.7 m out from the yard door, state: sound, tool: lifting keys, kit: laser-Q, fitted: 2026-03-06}
  IC2: {what: inspection chamber, across: 450 mm, cover: TBM + 0.020 m}
outfalls: {SEW: {what: public sewer}}
photos: {PH1: {file: a.jpg, date: 2026-03-05, shows: [D2, IC1]}, PH2: {file: b.jpg, date: 2026-03-06, shows: [IC1]}}
tests: {T1: {what: drain air, date: 2026-03-07, covers: [D2], plugs: [IC1, IC2], readings: {"10:00": 110 mm, "10:07": 100 mm}, kit: gauge-W}}
visits: [{stage: drains before backfill, came: 2026-03-09, by: BC, saw: [D2, IC1]}]
"#;

/// What is usual in a schedule of chambers and one of drains, and the figures of the record above under each head; depth
/// by hand: 50.010 - 49.090. D1 lies 0.260 m above what leaves IC1.
#[test]
fn every_usual_column_of_chambers_and_drains_stands_in_the_inspection_pack() {
    use crate::pack::squeezed;
    let columns = [
        ("chamber: type and water", "inspection chamber, foul and rain"),
        ("chamber: plan size and class of cover", "470 mm; B125"),
        ("chamber: cover level and invert out", "50.010; 49.090"),
        ("chamber: depth", "= 0.920"),
        (
            "chamber: connection in",
            "In D1 from WC1, 110 mm, 49.350, 260 mm above what leaves by a backdrop; turns 35 degrees, three-quarter section",
        ),
        ("chamber: connection out", "Out D2 to IC2, 110 mm PVC-U, 49.090"),
        ("chamber: second connection out", "Out D5 to SEW, 110 mm, 49.080"),
        ("chamber: several out", "Two drains leave it; what leaves here means D2"),
        ("chamber: cover and frame", "cover 460 × 460 mm"),
        ("chamber: clear opening", "opening 435 mm"),
        ("chamber: locked, sealed", "held down by two captive screws"),
        ("chamber: sealed", "airtight"),
        ("chamber: benching", "benching: height 112 mm, slope 1 in 11.0, edge 26 mm"),
        ("chamber: steps", "steps: step irons at 310 mm"),
        ("chamber: base and build", "built of polypropylene, BS EN 13598-2"),
        ("chamber: place", "1.7 m out from the yard door"),
        ("chamber: notes", "sound lifting keys"),
        (
            "chamber: date, seen by, photos",
            "Fitted 6 Mar 2026; seen by BC 9 Mar 2026; photos PH1 and PH2; read with laser-Q",
        ),
        ("drain: size and material", "110 mm PVC-U"),
        ("drain: standard", "standard BS EN 1401-1"),
        ("drain: inverts", "49.090; 48.940"),
        ("drain: gradient", "1 in 80"),
        ("drain: cover, least", "0.71"),
        ("drain: cover, greatest", "greatest cover 0.83 m"),
        ("drain: trench width", "trench width 440 mm"),
        ("drain: bed and class", "class S"),
        ("drain: bed", "105 mm under, 115 mm over"),
        ("drain: design flow", "peak flow, l/s"),
        ("drain: capacity", "carries, l/s"),
        ("drain: velocity", "velocity, m/s"),
        ("drain: self-cleansing", "Keeps itself clean:"),
        (
            "drain: test, photos, how verified",
            "Fitted 5 Mar 2026; seen by BC 9 Mar 2026; test T1; photo PH1; measured by RT; read with laser-Q",
        ),
    ];
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("job.yaml"), FULL).unwrap();
    let built = crate::cli::fallmark(folder.path(), &["build", "job.yaml", "--as", "md", "--out", "out"]);
    assert!(folder.path().join("out/T-inspection.md").is_file(), "{}", crate::cli::err(&built));
    let text = std::fs::read_to_string(folder.path().join("out/T-inspection.md")).unwrap();
    let told = squeezed(&text);
    let missing: Vec<_> = columns.iter().filter(|(_, words)| !told.contains(&squeezed(words))).collect();
    assert!(missing.is_empty(), "{missing:#?}\n{text}");
}
