//! Levels, falls, kinds and crossings of two samples, against numbers worked out by hand.

use fallmark::base::known::How;
use fallmark::base::units::Length;
use fallmark::network;
use fallmark::network::Network;
use fallmark::network::kind::Kind;
use fallmark::record;
use fallmark::record::sections::Record;

/// The folders of every sample.
pub(crate) const SAMPLES: [&str; 4] = ["mill-house", "schoolroom-flats", "bungalow-refit", "hanger-bank"];

pub(crate) fn sample(name: &str) -> String {
    let path = format!("{}/samples/{name}/job.yaml", env!("CARGO_MANIFEST_DIR"));
    std::fs::read_to_string(path).unwrap_or_default()
}

fn leg(net: &Network<'_>, id: &str) -> usize {
    net.record.pipes.position(id).unwrap_or(usize::MAX)
}

fn up(net: &Network<'_>, id: &str) -> String {
    let s = net.solved(leg(net, id));
    s.up.and_then(|h| h.absolute()).map_or("unknown".into(), |l| l.metres(3))
}

fn down(net: &Network<'_>, id: &str) -> String {
    let s = net.solved(leg(net, id));
    s.down.and_then(|h| h.absolute()).map_or("unknown".into(), |l| l.metres(3))
}

fn gradient(net: &Network<'_>, id: &str) -> String {
    net.gradient(leg(net, id)).map_or("unknown".into(), |g| g.value.in_words().replace('\u{a0}', " "))
}

fn with<R>(text: &str, look: impl FnOnce(&Network<'_>) -> R) -> R {
    let reading = record::read("job.yaml", text);
    let record: &Record = &reading.record;
    look(&network::link(record))
}

#[test]
fn the_mill_house_has_the_levels_worked_by_hand() {
    with(&sample("mill-house"), |net| {
        assert_eq!((up(net, "D1").as_str(), down(net, "D1").as_str()), ("99.119", "99.038"));
        assert_eq!(gradient(net, "D1"), "1 in 59.9");
        assert_eq!(net.fall(leg(net, "D1")).map(|f| f.value), Some(Length::from_mm(81)));
        assert_eq!(gradient(net, "D2"), "1 in 80.0");
        let d2 = net.gradient(leg(net, "D2")).unwrap();
        assert_eq!((d2.steepest.n(0).unwrap(), d2.flattest.n(0).unwrap()), ("78".to_owned(), "82".to_owned()));
        assert_eq!((up(net, "D4").as_str(), down(net, "D4").as_str()), ("99.112", "99.060"));
        assert_eq!(net.solved(leg(net, "D4")).up.unwrap().how, How::Believed);
        assert_eq!(up(net, "D3"), "98.852");
        assert_eq!((down(net, "D3").as_str(), up(net, "OLD1").as_str()), ("unknown", "unknown"));
        assert!(net.levels.misfits.is_empty(), "{:?}", net.levels.misfits);
    });
}

#[test]
fn kinds_are_derived_with_their_reason() {
    with(&sample("mill-house"), |net| {
        let kind = |id: &str| net.legs[leg(net, id)].derived.kind;
        assert_eq!(
            ["S1", "V1", "B1", "B4", "D1", "D4", "OLD1"].map(kind),
            [Kind::Stack, Kind::Vent, Kind::Branch, Kind::Branch, Kind::Drain, Kind::Drain, Kind::Drain]
        );
        assert_eq!(net.legs[leg(net, "D1")].derived.reason, "starts under S1");
        assert!(net.legs.iter().all(|l| l.derived.contrary.is_none()));
    });
}

#[test]
fn crossings_follow_from_the_places() {
    with(&sample("mill-house"), |net| {
        let told: Vec<String> = net
            .crossings
            .iter()
            .map(|c| {
                let element = &net.record.elements.at(c.element).unwrap().id;
                let pipe = &net.record.pipes.at(c.pipe).unwrap().id;
                let by = c.penetration.map_or("none", |p| net.record.penetrations.at(p).unwrap().id.as_str());
                format!("{pipe} {element} {} {by}", if c.certain { "must" } else { "may" })
            })
            .collect();
        assert_eq!(
            told,
            ["S1 FL1 must P1", "V1 CE1 must none", "V1 RF1 must none", "D1 WA1 must P3", "D4 WA1 may none"]
        );
    });
}

#[test]
fn without_any_level_every_gradient_stays() {
    let text = sample("mill-house");
    let before: Vec<String> = with(&text, |net| net.record.pipes.iter().map(|p| gradient(net, &p.id)).collect());
    let floating = text.replace("{is: 100.000 m, at:", "{is: old-mark, at:");
    assert_ne!(text, floating);
    let start = text.find("\nlevels:").unwrap();
    let end = text.find("\nelements:").unwrap();
    let mut gone = text.clone();
    gone.replace_range(start..end, "");
    for (name, changed) in [("floating", floating), ("deleted", gone)] {
        let after: Vec<String> = with(&changed, |net| net.record.pipes.iter().map(|p| gradient(net, &p.id)).collect());
        assert_eq!(before, after, "{name}");
        with(&changed, |net| assert_eq!(up(net, "D1"), "unknown", "{name}: no absolute level is left"));
    }
}

#[test]
fn the_schoolroom_has_the_levels_worked_by_hand() {
    with(&sample("schoolroom-flats"), |net| {
        let ends = |id: &str| (up(net, id), down(net, id), gradient(net, id));
        assert_eq!(ends("D1"), ("49.200".into(), "49.096".into(), "1 in 50.0".into()));
        assert_eq!(ends("D2"), ("49.084".into(), "48.844".into(), "1 in 60.0".into()));
        assert_eq!(ends("D3"), ("48.834".into(), "48.654".into(), "1 in 55.0".into()));
        assert_eq!(down(net, "S1"), "49.200");
        assert!(net.levels.misfits.is_empty(), "{:?}", net.levels.misfits);
    });
}

#[test]
fn a_loop_is_answered_and_ends() {
    let text = "record: 1\njob: {id: a, title: b}\npipes:\n  D1: {kind: drain, from: D3, to: D2, entry: plain, size: 110 mm, length: 5 m, fall: 1 in 40}\n  D2: {kind: drain, from: D1, to: D3, entry: plain, size: 110 mm, length: 5 m, fall: 1 in 40}\n  D3: {kind: drain, from: D2, to: D1, entry: plain, size: 110 mm, length: 5 m, il: [10.000 m, unknown]}\n";
    with(text, |net| {
        // Each pipe falls 125 mm into the next, so the one that closes the ring has to rise by both: it is told so.
        assert_eq!(gradient(net, "D3"), "rises, 1 in 20.0");
        assert!(net.levels.steps < 30, "{}", net.levels.steps);
    });
}

#[test]
fn two_reckonings_that_differ_are_kept_as_a_misfit() {
    let text = "record: 1\njob: {id: a, title: b}\npipes:\n  D1: {kind: drain, size: 110 mm, length: 8.00 m, fall: 1 in 40, il: [10.000 m, 9.850 m]}\n";
    with(text, |net| {
        let [misfit] = net.levels.misfits.as_slice() else { panic!("{:?}", net.levels.misfits) };
        assert_eq!(misfit.by.abs(), Length::from_mm(50));
    });
}

#[test]
fn what_is_missing_is_named_once_for_all_that_waits_for_it() {
    let text = "record: 1\njob: {id: a, title: b}\npipes:\n  D1: {kind: drain, to: D2, entry: plain, at: 1.00 m up from D9, size: 110 mm, length: 8.00 m, fall: 1 in 40}\n  D2: {kind: drain, from: D1, size: 110 mm, length: 8.00 m, fall: 1 in 40}\n";
    let text = text.replace(", at: 1.00 m up from D9", "");
    with(&text, |net| {
        let gaps = network::gaps::find(net);
        assert_eq!(gaps.len(), 1);
        assert_eq!(gaps[0].needs, "any one level on D1 and D2");
    });
}
