//! The ground: limits of cover cell by cell, trenches beside foundations and volumes, each against figures of its source or
//! worked by hand.

use fallmark::base::finding::Finding;
use fallmark::base::finding::Verdict;
use fallmark::base::units::Length;
use fallmark::compute::Computed;
use fallmark::compute::trenches::Section;
use fallmark::compute::trenches::volumes;
use fallmark::network;
use fallmark::network::Network;
use fallmark::record;
use serde::Deserialize;

static BOOK: std::sync::OnceLock<fallmark::rulebook::Rulebook> = std::sync::OnceLock::new();

fn with<R>(text: &str, look: impl FnOnce(&Network<'_>, &Computed, &[Finding]) -> R) -> R {
    let reading = record::read("job.yaml", text);
    assert_eq!(reading.faults.first(), None);
    let network = network::link(&reading.record);
    let rulebook = BOOK.get_or_init(|| fallmark::rulebook::load("england-2015").unwrap());
    let computed = fallmark::compute::compute(&network, rulebook);
    let found = fallmark::examine_with(&reading.record, rulebook, std::collections::BTreeMap::new()).findings;
    look(&network, &computed, &found)
}

#[derive(Deserialize)]
struct Table {
    document: String,
    edition: String,
    table: String,
    seen: String,
    material: String,
    rows: Vec<Row>,
}

#[derive(Deserialize)]
struct Row {
    size: String,
    field: [f64; 2],
    drive: [f64; 2],
    road: [f64; 2],
}

fn cover(material: &str, size: &str, surface: &str, least: i64, greatest: i64) -> Verdict {
    let text = format!(
        "record: 1\njob: {{id: T, title: one cell}}\npipes:\n  D1: {{kind: drain, from: IC1, to: SEW, size: {size}, \
         material: {material}, surface: {surface}, least-cover: {least}.0 mm, greatest-cover: {greatest}.0 mm, bed: \
         {{class: B}}}}\naccess: {{IC1: {{what: manhole}}}}\noutfalls: {{SEW: {{what: public sewer}}}}\n"
    );
    with(&text, |_, _, found| found.iter().find(|f| f.rule.0 == "cover-over-drain").unwrap().verdict)
}

/// AD H Tables 8, 9 and 10, all from memory: each cell at its limit and a millimetre at each side of it.
#[test]
fn every_cell_of_the_tables_of_cover_turns_at_its_limit() {
    let tables: Vec<Table> = serde_yaml::from_str(include_str!("../published/cover.yaml")).unwrap();
    let mut cells = 0;
    for table in &tables {
        assert!([&table.document, &table.edition, &table.table].iter().all(|words| !words.is_empty()));
        assert_eq!(table.seen, "memory");
        for row in &table.rows {
            let surfaces = [("field", row.field), ("garden", row.field), ("drive", row.drive), ("road", row.road)];
            for (surface, [least, greatest]) in surfaces {
                let mm = |metres: f64| (metres * 1000.0).round() as i64;
                let (least, greatest) = (mm(least), mm(greatest));
                let of = |a: i64, b: i64| cover(&table.material, &row.size, surface, least + a, greatest + b);
                let what = format!("{} {} {surface}", table.material, row.size);
                assert_eq!(of(-1, -1), Verdict::NotMet, "{what} too shallow");
                assert_eq!([of(0, 0), of(1, -1)], [Verdict::Met; 2], "{what} at its limits");
                assert_eq!(of(1, 1), Verdict::NotMet, "{what} too deep");
                cells += 2;
            }
        }
    }
    assert_eq!(cells, 72);
}

/// By hand: 150 mm clay lies between the lines of 100 and 225 mm, of which the second is shallower: 5 m in a field.
#[test]
fn a_size_between_two_lines_takes_the_shallower() {
    assert_eq!(cover("clay", "150 mm", "field", 700, 5000), Verdict::Met);
    assert_eq!(cover("clay", "150 mm", "field", 700, 5001), Verdict::NotMet);
    assert_eq!(cover("concrete", "375 mm", "field", 700, 3001), Verdict::NotMet);
    // 225 mm concrete is in no line: a calculation is asked for.
    assert_eq!(cover("concrete", "225 mm", "field", 700, 900), Verdict::NotShown);
}

const BESIDE: &str = "record: 1
job: {id: T, title: beside a foundation}
places: [house, garden]
levels: {TBM: 10.000 m}
elements: {WA1: {what: outside wall, between: [house, garden], footing-underside: TBM - 0.600 m}}
pipes:
  D1: {kind: drain, from: IC1, to: IC2, size: 110 mm, material: PVC-U, length: 10.00 m, il: [TBM - 1.000 m, TBM - 1.200 m], bed: {stone: 10 mm, under: 100 mm, over: 100 mm}, foundations: {WA1: 0.80 m}}
access:
  IC1: {what: inspection chamber, cover: TBM}
  IC2: {what: inspection chamber, cover: TBM}
";

/// By hand: the trench bottom lies at 8.800 - 0.0032 (the wall of the pipe) - 0.100 = 8.6968. F is 9.400. Up to 1.000 m
/// off concrete reaches F: 0.7032 m of it. At 1.001 m it may stop 0.851 m lower, at 8.549: none. At 1.400 m: none.
#[test]
fn concrete_beside_a_foundation_follows_its_distance() {
    for (away, required, concrete) in [
        ("0.80 m", "9.400", "0.703"),
        ("1000 mm", "9.400", "0.703"),
        ("1001.0 mm", "8.549", "0.000"),
        ("1.40 m", "8.150", "0.000"),
    ] {
        with(&BESIDE.replace("0.80 m", away), |_, computed, _| {
            let beside = &computed.beside[0];
            assert_eq!(beside.required.unwrap().absolute().unwrap().metres(3), required, "{away}");
            assert_eq!(beside.concrete.unwrap().value.metres(3), concrete, "{away}");
            assert_eq!(beside.bottom.unwrap().absolute().unwrap().metres(4), "8.6968");
        });
    }
}

/// By hand, of a trench 10 m long, 0.410 m wide (110 + 2 x 150) and 1.200 m deep with 100 mm under and over the pipe:
/// dug 10 x 0.410 x 1.200 = 4.920; bed 10 x 0.410 x 0.100 = 0.410; pipe 10 x 0.785398 x 0.110^2 = 0.095033; surround
/// 10 x 0.410 x 0.210 - 0.095033 = 0.765967; backfill 4.920 - 0.410 - 0.861 = 3.649; led away 1.271 x 1.25 = 1.58875.
#[test]
fn volumes_of_a_trench_are_worked_by_hand() {
    let mm = Length::from_mm;
    let section = Section { outside: mm(110), width: mm(410), depth: mm(1200), under: mm(100), stone: mm(210) };
    let v = volumes(mm(10_000), section, 0.25);
    let near = |a: f64, b: f64| assert!((a - b).abs() < 1e-5, "{a} and {b}");
    near(v.dug, 4.92);
    near(v.bed, 0.41);
    near(v.pipe, 0.095_033);
    near(v.surround, 0.765_967);
    near(v.backfill, 3.649);
    near(v.spoil, 1.588_75);
    // Class B, stone up to the middle of the pipe: 10 x (0.410 x 0.055 - 0.0095033 / 2) = 0.177983.
    near(volumes(mm(10_000), Section { stone: mm(55), ..section }, 0.0).surround, 0.177_983);
    // A flat bed: no stone beside the pipe.
    near(volumes(mm(10_000), Section { stone: mm(0), ..section }, 0.0).surround, 0.0);
}

/// By hand: covers of the chambers 10.000; crowns at 9.000 + 0.1068 and 8.800 + 0.1068, so 0.8932 and 1.0932 m of cover,
/// 0.9932 on the mean; with the pipe and its bed 1.2032 m deep. Width 110 + 300 = 410 mm; by the standard 110 + 400 = 510
/// by its size and 800 by its depth. Dug 10 x 0.410 x 1.2032 = 4.933.
#[test]
fn a_drain_between_chambers_has_its_trench() {
    with(BESIDE, |_, computed, _| {
        let trench = &computed.trenches[0];
        assert_eq!(trench.depth.unwrap().value.metres(4), "1.2032");
        assert_eq!((trench.width.unwrap(), trench.usual), (Length::from_mm(410), true));
        assert_eq!(trench.standard.unwrap(), Length::from_mm(800));
        assert_eq!(format!("{:.3}", trench.volumes.unwrap().dug), "4.933");
        assert!(trench.wants.is_empty());
    });
    let wide = BESIDE.replace("length: 10.00 m", "length: 10.00 m, trench-width: 600 mm");
    with(&wide, |_, computed, _| {
        // 10 x 0.600 x 1.2032 = 7.219.
        assert_eq!(format!("{:.3}", computed.trenches[0].volumes.unwrap().dug), "7.219");
    });
    let bare = BESIDE.replace(", under: 100 mm", "").replace("length: 10.00 m, ", "");
    with(&bare, |_, computed, _| {
        assert_eq!(computed.trenches[0].wants, ["pipes.D1.length", "pipes.D1.bed.under"]);
        assert_eq!(computed.trenches[0].volumes, None);
    });
}
