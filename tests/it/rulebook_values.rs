//! What the cells of the built-in rulebook say, at their edges.

#![allow(clippy::unwrap_used, reason = "a helper of a test fails with its test")]

use fallmark::base::size::Nominal;
use fallmark::base::units::{Gradient, Length};
use fallmark::rulebook::{Answer, Fact, Facts, Flow, Key, key};

use crate::rulebook::{england, mm, says, um};

#[test]
fn trap_seals_ease_only_when_their_condition_is_shown() {
    let book = england();
    let ask = |facts: &Facts| book.ask(key::TRAP_SEAL_MINIMUM, facts);
    let basin = Facts::new().with(Fact::Appliance, "basin");
    let limit = ask(&basin).limit().cloned().unwrap();
    assert_eq!((limit.value, limit.would_ease.as_slice(), limit.recalled), (mm(75), &[Fact::SprayTaps][..], false));
    assert_eq!(limit.citation.short(), "AD H Table 1");
    let eased = ask(&basin.clone().with(Fact::SprayTaps, true)).limit().cloned().unwrap();
    assert_eq!((eased.value, eased.recalled), (mm(50), true));
    let plain = ask(&basin.with(Fact::SprayTaps, false)).limit().cloned().unwrap();
    assert_eq!((plain.value, plain.would_ease.is_empty()), (mm(75), true));
    for (appliance, open, gully) in [
        ("bath", "50 mm", "38 mm"),
        ("shower", "50 mm", "38 mm"),
        ("washing machine", "75 mm", "38 mm"),
        ("sink", "75 mm", "75 mm"),
        ("wc", "50 mm", "50 mm"),
        ("fountain", "silent", "silent"),
    ] {
        let facts = Facts::new().with(Fact::Appliance, appliance);
        assert_eq!(says(&ask(&facts)), open, "{appliance}");
        assert_eq!(says(&ask(&facts.with(Fact::IntoGully, true))), gully, "{appliance} into a gully");
    }
    assert_eq!(says(&ask(&Facts::new())), "unknown: appliance");
}

#[test]
fn the_basin_curve_is_read_on_the_safe_side() {
    let book = england();
    for (length, expect) in [
        (um(1), "87 mm/m"),
        (mm(700), "87 mm/m"),
        (um(700_001), "44 mm/m"),
        (mm(1100), "44 mm/m"),
        (um(1_100_001), "22 mm/m"),
        (mm(1700), "22 mm/m"),
        (um(1_700_001), "not permitted"),
    ] {
        let facts = Facts::new().with(Fact::BranchLength, length);
        assert_eq!(says(&book.ask(key::BRANCH_BASIN_32_SLOPE_MAXIMUM, &facts)), expect, "{length:?}");
    }
    let unknown = book.ask(key::BRANCH_BASIN_32_SLOPE_MAXIMUM, &Facts::new());
    assert_eq!(unknown, Answer::Unknown(vec![Fact::BranchLength]));
}

#[test]
fn spacing_follows_the_kinds_at_both_ends() {
    let book = england();
    for (from, to, expect) in [
        ("start of drain", "access fitting small", "12 m"),
        ("start of drain", "junction", "not permitted"),
        ("rodding eye", "inspection chamber shallow", "45 m"),
        ("access fitting small", "junction", "12 m"),
        ("inspection chamber shallow", "access fitting small", "22 m"),
        ("manhole or deep chamber", "manhole or deep chamber", "90 m"),
        ("manhole or deep chamber", "junction", "not permitted"),
    ] {
        let facts = Facts::new().with(Fact::FromKind, from).with(Fact::ToKind, to);
        assert_eq!(says(&book.ask(key::ACCESS_SPACING_MAXIMUM, &facts)), expect, "{from} to {to}");
    }
    let half = Facts::new().with(Fact::FromKind, "rodding eye").with(Fact::ToKind, None::<&str>);
    assert_eq!(says(&book.ask(key::ACCESS_SPACING_MAXIMUM, &half)), "unknown: to-kind");
}

#[test]
fn drains_take_the_steeper_line_at_the_edge_and_every_deciding_cell_counts() {
    let book = england();
    let ask = |size: u16, ml: i64, wcs: Option<u32>| {
        let flow = Flow::from_ml_s(ml);
        let facts = Facts::new().with(Fact::Size, Nominal(size)).with(Fact::PeakFlow, flow).with(Fact::WcCount, wcs);
        book.ask(key::DRAIN_GRADIENT_MINIMUM, &facts)
    };
    assert_eq!(says(&ask(100, 1000, Some(1))), "1 in 40");
    assert_eq!(says(&ask(100, 1001, Some(1))), "1 in 80");
    assert_eq!(says(&ask(100, 2500, None)), "unknown: wc-count");
    assert_eq!(says(&ask(100, 2500, Some(0))), "silent");
    assert_eq!(says(&ask(150, 2500, Some(4))), "silent");
    assert_eq!(says(&ask(150, 2500, Some(5))), "1 in 150");
    let (low, high) = (ask(100, 500, Some(1)), ask(100, 2500, Some(1)));
    assert!(!low.limit().unwrap().recalled, "value and axes were read");
    assert!(high.limit().unwrap().recalled, "its condition was recalled");
    assert!(high.limit().unwrap().met_by(&Gradient::one_in(80, 0).unwrap()));
    assert!(!high.limit().unwrap().met_by(&Gradient::one_in(801, 1).unwrap()));
}

#[test]
fn a_terminal_is_held_to_each_line_of_its_list() {
    let book = england();
    let lines = |distance: Option<Length>| {
        let facts = Facts::new().with(Fact::OpeningDistance, distance);
        let answers = book.clauses(key::VENT_TERMINAL, &facts).into_iter();
        answers.map(|a| format!("{} {}", a.line.name, says(&a.answer))).collect::<Vec<_>>()
    };
    let all = ["clearance 900 mm", "cage yes", "open-air yes", "roofing needs approval"];
    assert_eq!(lines(Some(mm(2200))), all);
    assert_eq!(lines(Some(mm(3000)))[0], "clearance 900 mm");
    assert_eq!(lines(Some(um(3_000_001)))[0], "clearance silent");
    assert_eq!(lines(None)[0], "clearance unknown: opening-distance");
    assert_eq!(says(&book.ask(key::VENT_TERMINAL_CAGE, &Facts::new())), "yes");
}

#[test]
fn branches_have_their_length_and_slopes_by_appliance_and_size() {
    let book = england();
    let facts =
        |appliance: &str, size: u16| Facts::new().with(Fact::Appliance, appliance).with(Fact::Size, Nominal(size));
    assert_eq!(says(&book.ask(key::BRANCH_LENGTH_MAXIMUM, &facts("basin", 32))), "1.7 m");
    assert_eq!(says(&book.ask(key::BRANCH_LENGTH_MAXIMUM, &facts("bath", 50))), "4 m");
    assert_eq!(says(&book.ask(key::BRANCH_LENGTH_MAXIMUM, &facts("bath", 32))), "silent");
    assert_eq!(says(&book.ask(key::BRANCH_SLOPE_WINDOW, &facts("bidet", 40))), "18 to 44 mm/m");
    let wc = book.ask(key::BRANCH_SLOPE_WINDOW, &facts("wc", 100)).limit().cloned().unwrap();
    let slope = |mm_per_m: i64| Gradient::new(mm(mm_per_m), mm(1000)).unwrap();
    assert!(wc.met_by(&slope(18)) && wc.met_by(&slope(90)) && !wc.met_by(&slope(17)) && !wc.met_by(&slope(91)));
    assert!(!wc.met_by(&Gradient::one_in(60, 0).unwrap()), "1 in 60 is too flat for a WC branch");
}

#[test]
fn branch_drains_and_photos_have_their_cells() {
    let book = england();
    let length = |count: u32| {
        let facts = Facts::new().with(Fact::ApplianceCount, count);
        says(&book.ask(key::DRAIN_UNVENTILATED_LENGTH_MAXIMUM, &facts))
    };
    assert_eq!((length(1).as_str(), length(2).as_str()), ("6 m", "12 m"));
    let flow = |n: u32| says(&book.ask(key::DRAIN_PEAK_FLOW, &Facts::new().with(Fact::Dwellings, n)));
    assert_eq!([1, 2, 5, 6, 30, 31].map(flow), ["2.5 l/s", "3.5 l/s", "3.5 l/s", "4.1 l/s", "5.8 l/s", "silent"]);
    let photo = book.ask(key::PHOTO_BEFORE_COVER, &Facts::new()).limit().cloned().unwrap();
    assert_eq!(photo.citation.standing.word(), "custom");
    assert!(photo.value && !photo.recalled);
    assert!(book.ask(key::DRAIN_VENTILATED_AT_HEAD, &Facts::new()).limit().unwrap().met_by(&true));
    assert_eq!(book.ask(key::TRAP_SEAL_LEFT_MINIMUM, &Facts::new()).limit().unwrap().value, mm(25));
    assert_eq!(book.ask(key::BRANCH_BASIN_32_LENGTH_MAXIMUM, &Facts::new()).limit().unwrap().value, mm(1700));
    assert_eq!(says(&book.ask(key::BRANCH_SLOPE_MINIMUM, &Facts::new())), "18 mm/m");
    assert_eq!(says(&book.ask(Key::<Length>::new("no.such.key"), &Facts::new())), "silent");
}

#[test]
fn a_fact_of_the_wrong_sort_is_unknown() {
    let facts = Facts::new().with(Fact::BranchLength, 3_u32);
    assert_eq!(says(&england().ask(key::BRANCH_BASIN_32_SLOPE_MAXIMUM, &facts)), "unknown: branch-length");
}

/// AD H 2.62 (recalled) and BS EN 1610 method W, whose litres agree; methods LA to LD as their table prints them.
#[test]
fn tests_of_drains_have_their_own_figures_by_document() {
    let book = england();
    for (under, litres) in [("pipes", "0.15 l/m²"), ("pipes and chambers", "0.20 l/m²"), ("chambers", "0.40 l/m²")] {
        let facts = Facts::new().with(Fact::UnderTest, under);
        let (ours, standard) = (
            book.ask(key::DRAIN_WATER_TEST_ADDED_MAXIMUM, &facts),
            book.ask(key::TIGHTNESS_WATER_ADDED_MAXIMUM, &facts),
        );
        assert_eq!((says(&ours).as_str(), says(&standard).as_str()), (litres, litres), "{under}");
        let cited = |a: &Answer<_>| a.limit().map(|l| (l.citation.short(), l.recalled)).unwrap();
        assert_eq!(cited(&ours), ("AD H 2.62".to_owned(), true));
        assert_eq!(cited(&standard).0, "BS EN 1610 13.3, method W");
    }
    for (method, start, loss) in [
        ("LA", "10 mbar", "2.5 mbar"),
        ("LB", "50 mbar", "10 mbar"),
        ("LC", "100 mbar", "15 mbar"),
        ("LD", "200 mbar", "15 mbar"),
    ] {
        let facts = Facts::new().with(Fact::TestMethod, method);
        assert_eq!(says(&book.ask(key::TIGHTNESS_AIR_START_MINIMUM, &facts)), start, "{method}");
        assert_eq!(says(&book.ask(key::TIGHTNESS_AIR_LOSS_MAXIMUM, &facts)), loss, "{method}");
    }
    let over = |facts: &Facts| says(&book.ask(key::TIGHTNESS_AIR_OVER_SIZE, facts));
    assert_eq!((over(&Facts::new()), over(&Facts::new().with(Fact::DryConcrete, true))), ("12".into(), "16".into()));
    assert_eq!(says(&book.ask(key::TIGHTNESS_WATER_PRESSURE_MINIMUM, &Facts::new())), "100 mbar");
}
