//! Changes of gradient, chambers as ports, backdrops and ground lines, against numbers worked by hand; and what holds of
//! levels whatever the network: on networks that a small generator with fixed seeds puts together.

use crate::network::SAMPLES;
use crate::network::sample;
use fallmark::base::files::FileError;
use fallmark::base::files::Files;
use fallmark::base::files::Reader;
use fallmark::base::known::How;
use fallmark::base::known::Known;
use fallmark::base::units::Length;
use fallmark::compute::chambers;
use fallmark::compute::cover;
use fallmark::network;
use fallmark::network::Network;
use fallmark::record;
use std::fmt::Write;

const HEAD: &str = "record: 1\njob: {id: T, title: levels}\nlevels: {TBM: 100.000 m}\n";

fn with<R>(text: &str, look: impl FnOnce(&Network<'_>) -> R) -> R {
    let reading = record::read("job.yaml", text);
    assert!(reading.whole && reading.faults.is_empty(), "{:#?}\n{text}", reading.faults);
    look(&network::link(&reading.record))
}

fn leg(net: &Network<'_>, id: &str) -> usize {
    net.record.pipes.position(id).unwrap()
}

fn up(net: &Network<'_>, id: &str) -> String {
    net.solved(leg(net, id)).up.and_then(|h| h.absolute()).map_or("unknown".into(), |l| l.metres(3))
}

fn down(net: &Network<'_>, id: &str) -> String {
    net.solved(leg(net, id)).down.and_then(|h| h.absolute()).map_or("unknown".into(), |l| l.metres(3))
}

/// `0 to 3.20 m: 1 in 50.0`, a piece each.
fn pieces(net: &Network<'_>, id: &str) -> Vec<String> {
    let told = |p: network::pieces::Piece| {
        let gradient = p.gradient.map_or("unknown".to_owned(), |g| g.value.in_words());
        format!("{}: {gradient}", p.words()).replace('\u{a0}', " ")
    };
    net.pieces(leg(net, id)).into_iter().map(told).collect()
}

/// 99.000 to 98.940 over 3.00 m is 1 in 50; to 98.890 over 5.00 m 1 in 100. At 5.00 m, two metres down the second piece,
/// the invert is 98.940 - 2.00 / 100 = 98.920; the straight line between the ends would give 99.000 - 0.110 x 5 / 8 =
/// 98.931. The branch of 82 mm meets invert to invert there, and rises 3.00 m at 1 in 40, 75 mm, to its head.
const KNEE: &str = "pipes:\n  \
    D1: {kind: drain, from: IC1, to: IC2, size: 110 mm, length: 8.00 m, il: [TBM - 1.000 m, TBM - 1.110 m], il-along: {5.00 m up from IC2: TBM - 1.060 m}}\n  \
    D2: {kind: drain, from: IC3, to: D1, at: 5.00 m down from IC1, entry: junction 45, meets: invert, size: 82 mm, length: 3.00 m, fall: 1 in 40}\n\
    access: {IC1: {what: inspection chamber}, IC2: {what: inspection chamber}, IC3: {what: inspection chamber}}\n";

#[test]
fn a_branch_has_its_level_from_the_piece_it_lies_on() {
    with(&format!("{HEAD}{KNEE}"), |net| {
        assert_eq!(pieces(net, "D1"), ["0 to 3.00 m: 1 in 50.0", "3.00 to 8.00 m: 1 in 100"]);
        assert_eq!((down(net, "D2").as_str(), up(net, "D2").as_str()), ("98.920", "98.995"));
        let governs = net.gradient(leg(net, "D1")).unwrap();
        assert_eq!(governs.value.in_words().replace('\u{a0}', " "), "1 in 100");
        assert_eq!(net.fall(leg(net, "D1")).unwrap().value, Length::from_mm(110));
        assert!(net.levels.misfits.is_empty());
    });
}

/// A drain that sags to 98.890 between its ends at 99.000 and 98.940, and humps to 99.010 before: the ends alone would
/// tell neither.
#[test]
fn the_lowest_and_the_highest_invert_of_a_drain_may_lie_between_its_ends() {
    let sag = KNEE.replace("TBM - 1.110 m]", "TBM - 1.060 m]").replace(
        "{5.00 m up from IC2: TBM - 1.060 m}",
        "{7.00 m up from IC2: TBM - 0.990 m, 2.00 m up from IC2: TBM - 1.110 m}",
    );
    let told = |net: &Network<'_>| {
        let (low, high) = net.extremes(leg(net, "D1")).unwrap();
        [low, high].map(|h| h.absolute().unwrap().metres(3))
    };
    with(&format!("{HEAD}{sag}"), |net| assert_eq!(told(net), ["98.890", "99.010"]));
    with(&format!("{HEAD}{KNEE}"), |net| assert_eq!(told(net), ["98.890", "99.000"]));
    let open = sag.replace("TBM - 1.110 m}", "unknown}");
    with(&format!("{HEAD}{open}"), |net| assert!(net.extremes(leg(net, "D1")).is_none()));
}

/// Only the level between the ends is known: with no fall recorded nothing follows from it for the ends, and a branch
/// that joins is not put on a line that nobody drew.
#[test]
fn an_invert_along_a_drain_gives_no_invented_ends() {
    let text = format!("{HEAD}{KNEE}").replace("il: [TBM - 1.000 m, TBM - 1.110 m], ", "");
    with(&text, |net| {
        assert_eq!(
            ["D1", "D2"].map(|id| (up(net, id), down(net, id))),
            [(); 2].map(|()| ("unknown".into(), "unknown".into()))
        );
        assert_eq!(pieces(net, "D1"), ["0 to 3.00 m: unknown", "3.00 to 8.00 m: unknown"]);
        assert!(net.gradient(leg(net, "D1")).is_none() && net.flattest(leg(net, "D1")).is_none());
        let needs: Vec<String> = network::gaps::find(net).into_iter().map(|g| g.needs).collect();
        assert_eq!(needs, ["both end inverts of D1"]);
    });
    // With one gradient for all of it the one level settles everything: 98.940 + 3.00 / 40 = 99.015, less 0.200 m.
    let text = text.replace("length: 8.00 m, il-along", "length: 8.00 m, fall: 1 in 40, il-along");
    with(&text, |net| assert_eq!((up(net, "D1").as_str(), down(net, "D1").as_str()), ("99.015", "98.815")));
}

/// 1 in 40 over 3.00 m is 75 mm; the invert read there lies only 60 mm down.
#[test]
fn an_invert_off_the_line_of_the_recorded_fall_is_a_misfit() {
    let text = format!("{HEAD}{KNEE}").replace(
        "length: 8.00 m, il: [TBM - 1.000 m, TBM - 1.110 m]",
        "length: 8.00 m, fall: 1 in 40, il: [TBM - 1.000 m, unknown]",
    );
    with(&text, |net| {
        let [misfit] = net.levels.misfits.as_slice() else { panic!("{:?}", net.levels.misfits) };
        assert_eq!((net.id(misfit.leg), misfit.by), ("D1", Length::from_mm(15)));
    });
}

/// The spread of an invert between two others: each reading counts by its share, and half of each of two that may be off
/// 2 mm is 2 mm again.
#[test]
fn a_level_between_two_readings_shares_their_spread() {
    let kit = "kit: {A: {what: laser, spread: 2 mm}}\nusual: {known: measured, kit: A}\n";
    with(&format!("{HEAD}{kit}{KNEE}"), |net| {
        let at = |mm: i64| net.invert_at(leg(net, "D1"), Known::exact(Length::from_mm(mm), How::Stated)).unwrap();
        assert_eq!((at(1500).level.metres(3), at(1500).half), ("98.970".to_owned(), Length::from_mm(2)));
        assert_eq!((at(0).level.metres(3), at(8000).level.metres(3)), ("99.000".to_owned(), "98.890".to_owned()));
        // Over 5.00 m both readings may be off by 2 mm, and the place and the length by 5 mm each: 46 mm over 5.01 m is
        // 1 in 109, 54 mm over 4.99 m is 1 in 92.
        let second = net.pieces(leg(net, "D1"))[1].gradient.unwrap();
        assert_eq!((second.flattest.n(0).unwrap(), second.steepest.n(0).unwrap()), ("109".to_owned(), "92".to_owned()));
    });
}

/// Bores of ring-seal PVC-U: 103.6 mm for 110 mm, 152 mm stated here for the larger one. Soffit to soffit end to end
/// the invert steps down by 152 - 103.6 = 48.4 mm: 98.800 becomes 98.7516.
#[test]
fn soffits_that_match_step_the_invert_by_the_bores() {
    let two = |end: &str, start: &str, rest: &str| {
        format!(
            "{HEAD}pipes:\n  D1: {{kind: drain, from: IC1, to: {end}, meets: soffit, size: 110 mm, bore: 103.6 mm, length: 8.00 m, il: [TBM - 1.000 m, TBM - 1.200 m]}}\n  \
             D2: {{kind: drain, from: {start}, to: IC9, size: 160 mm, bore: 152 mm, length: 6.00 m, fall: 60 mm}}\n\
             access: {{IC1: {{what: inspection chamber}}, IC9: {{what: inspection chamber}}{rest}}}\n"
        )
    };
    let check = |net: &Network<'_>| {
        assert_eq!(net.solved(leg(net, "D2")).up.unwrap().level.metres(4), "98.7516");
        assert_eq!(net.solved(leg(net, "D2")).down.unwrap().level.metres(4), "98.6916");
    };
    with(&two("D2", "D1", ""), check);
    with(&two("IC2", "IC2", ", IC2: {what: inspection chamber}"), check);
    // A chamber of which nothing is said ties nothing.
    let silent = two("IC2", "IC2", ", IC2: {what: inspection chamber}").replace(" meets: soffit,", "");
    with(&silent, |net| assert_eq!(up(net, "D2"), "unknown"));
}

const CHAMBER: &str = "pipes:\n  \
    D1: {kind: drain, from: IC1, to: MH1, size: 110 mm, length: 8.00 m, fall: 200 mm}\n  \
    D2: {kind: drain, from: IC2, to: MH1, entry: backdrop, size: 110 mm, length: 4.00 m, fall: 100 mm, il: [TBM - 0.300 m, unknown]}\n  \
    D3: {kind: drain, from: MH1, to: SEW, size: 110 mm, length: 6.00 m, il: [TBM - 1.250 m, unknown]}\n\
    access:\n  IC1: {what: inspection chamber}\n  IC2: {what: inspection chamber}\n  MH1: {what: manhole, cover: TBM + 0.050 m, channel-drop: 14 mm}\n\
    outfalls: {SEW: {what: public sewer}}\n";

/// Out 98.750; the main run comes in 14 mm higher, 98.764, and starts 0.200 m higher, 98.964. The backdrop's drain comes
/// down to 99.700 - 0.100 = 99.600, 0.850 m above the channel. Depth 100.050 - 98.750 = 1.300 m.
#[test]
fn a_chamber_has_an_invert_for_each_port() {
    with(&format!("{HEAD}{CHAMBER}"), |net| {
        assert_eq!((down(net, "D1").as_str(), up(net, "D1").as_str()), ("98.764", "98.964"));
        let ports = chambers::ports(net);
        let mh1 = &ports[net.record.access.position("MH1").unwrap()];
        let told: Vec<(&str, i64)> = mh1.inlets.iter().map(|i| (net.id(i.leg), i.step.unwrap().value.um())).collect();
        assert_eq!(told, [("D1", 14_000), ("D2", 850_000)]);
        assert_eq!(mh1.inlets.iter().map(|i| i.by_backdrop()).collect::<Vec<_>>(), [false, true]);
        let depths = chambers::depths(net, &ports);
        assert_eq!(depths[net.record.access.position("MH1").unwrap()].unwrap().value, Length::from_mm(1300));
        // Both ways of coming to the invert that leaves differ by what the channel would have to fall.
        assert!(net.levels.misfits.is_empty());
    });
    // Read 20 mm above the outlet where the channel is said to fall 14 mm.
    let text = format!("{HEAD}{CHAMBER}").replace("fall: 200 mm}", "il: [TBM - 1.030 m, TBM - 1.230 m]}");
    with(&text, |net| {
        let [misfit] = net.levels.misfits.as_slice() else { panic!("{:?}", net.levels.misfits) };
        assert_eq!(misfit.by.abs(), Length::from_mm(6));
    });
    // With a third drain that is no backdrop it is not told which one runs straight through, until the record says it.
    let third = "  D4: {kind: drain, from: IC4, to: MH1, size: 110 mm, length: 4.00 m, fall: 100 mm}\naccess:\n  IC4: {what: inspection chamber}\n";
    let text = format!("{HEAD}{CHAMBER}").replace("access:\n", third);
    with(&text, |net| assert_eq!((down(net, "D1"), down(net, "D4")), ("unknown".into(), "unknown".into())));
    let text = text.replace("channel-drop: 14 mm", "channel-drop: 14 mm, main-run: D4");
    with(&text, |net| assert_eq!((down(net, "D1"), down(net, "D4")), ("unknown".into(), "98.764".into())));
}

/// An old manhole of which only its cover is known gives no invert to what runs through it; what would settle each set of
/// drains is told, and a channel that ties two sets makes them one.
#[test]
fn an_old_chamber_gives_no_invented_level() {
    let text = format!("{HEAD}{CHAMBER}")
        .replace(", il: [TBM - 1.250 m, unknown]", ", fall: 75 mm")
        .replace(", channel-drop: 14 mm", "")
        .replace(", il: [TBM - 0.300 m, unknown]", "");
    let needs = |text: &str| {
        with(text, |net| {
            assert!(["D1", "D2", "D3"].iter().all(|id| up(net, id) == "unknown" && down(net, id) == "unknown"));
            network::gaps::find(net).into_iter().map(|g| g.needs).collect::<Vec<_>>()
        })
    };
    assert_eq!(needs(&text), ["one level on D1", "one level on D2", "one level on D3"]);
    let tied = text.replace("cover: TBM + 0.050 m", "cover: TBM + 0.050 m, channel-drop: 14 mm");
    assert_eq!(needs(&tied), ["any one level on D1 and D3", "one level on D2"]);
}

/// Of 110 mm pipe the crown lies (110 + 103.6) / 2 = 106.8 mm above the invert. At 4.00 m the invert is 99.150 and the
/// ground 99.850: 0.700 - 0.1068 = 0.5932 m; at the ends 0.800 and 0.900 m less as much. Half-way to the dip, at 2.00 m,
/// the ground is 99.925 and the invert 99.175: more than at the dip.
#[test]
fn the_least_cover_lies_where_one_of_the_lines_bends() {
    let text = |line: &str| {
        format!(
            "{HEAD}access: {{IC1: {{what: inspection chamber, cover: TBM}}, IC2: {{what: inspection chamber, cover: TBM}}}}\npipes:\n  \
             D1: {{kind: drain, from: IC1, to: IC2, size: 110 mm, material: PVC-U, joints: ring-seal, length: 8.00 m, il: [TBM - 0.800 m, TBM - 0.900 m]{line}}}\n"
        )
    };
    let least = |text: &str| {
        with(text, |net| {
            let found = cover::least(net, 0).unwrap();
            (found.cover.value.metres(4), found.at, found.whole)
        })
    };
    assert_eq!(least(&text("")), ("0.6932".into(), Length::ZERO, true));
    let dip = text(", ground-line: {4.00 m down from IC1: TBM - 0.150 m}");
    assert_eq!(least(&dip), ("0.5932".into(), Length::from_mm(4000), true));
    // A bend of the drain counts as well: up to 99.600 at 2.00 m, under ground at 99.925, leaves 0.325 - 0.1068.
    let knee = dip.replace(", ground-line", ", il-along: {2.00 m down from IC1: TBM - 0.400 m}, ground-line");
    assert_eq!(least(&knee), ("0.2182".into(), Length::from_mm(2000), true));
    // Without the cover of one chamber the ground is not known from end to end.
    let open = dip.replace("IC2: {what: inspection chamber, cover: TBM}", "IC2: {what: inspection chamber}");
    assert_eq!(least(&open), ("0.5932".into(), Length::from_mm(4000), false));
}

/// A small generator (SplitMix64), so that networks are the same on every machine.
struct Dice(u64);

impl Dice {
    fn throw(&mut self, sides: u64) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        (z ^ (z >> 31)) % sides
    }
}

/// A run of drains through chambers, some end to end, with branches along it, changes of gradient, channels that tie,
/// and levels here and there; `datum` in millimetres.
fn generated(seed: u64, count: u64, datum: i64) -> String {
    let mut dice = Dice(seed);
    let mut text = format!(
        "record: 1\njob: {{id: T, title: generated}}\nlevels: {{TBM: {}.{:03} m}}\nappliances: {{WC1: {{}}}}\n",
        datum / 1000,
        datum % 1000
    );
    let mut pipes = String::from("pipes:\n");
    let mut access = String::from("access:\n  C0: {what: inspection chamber, cover: TBM + 0.100 m}\n");
    let mut below = 900 + i64::try_from(dice.throw(300)).unwrap();
    let mut from = "C0".to_owned();
    for i in 1..=count {
        let length = 4 + dice.throw(9);
        let fall = i64::try_from(length * (10 + dice.throw(20))).unwrap();
        let straight = i < count && dice.throw(5) == 0;
        let to = if straight { format!("D{}", i + 1) } else { format!("C{i}") };
        let mut fields = format!("kind: drain, from: {from}, to: {to}, size: 110 mm, length: {length}.00 m");
        match dice.throw(4) {
            0 => {
                _ = write!(
                    fields,
                    ", il: [TBM - {:.3} m, TBM - {:.3} m]",
                    below as f64 / 1e3,
                    (below + fall) as f64 / 1e3
                )
            }
            1 => _ = write!(fields, ", fall: {fall} mm, il: [TBM - {:.3} m, unknown]", below as f64 / 1e3),
            _ => _ = write!(fields, ", fall: {fall} mm"),
        }
        if dice.throw(4) == 0 {
            let there = below + fall / 3;
            _ = write!(fields, ", il-along: {{2.00 m down from {from}: TBM - {:.3} m}}", there as f64 / 1e3);
        }
        _ = writeln!(pipes, "  D{i}: {{{fields}}}");
        if dice.throw(3) == 0 {
            let at = 1 + dice.throw(3);
            _ = writeln!(
                pipes,
                "  B{i}: {{kind: drain, from: E{i}, to: D{i}, at: {at}.00 m down from {from}, entry: junction 45, size: 110 mm, length: 3.00 m, fall: 1 in 40}}"
            );
            _ = writeln!(access, "  E{i}: {{what: rodding eye}}");
        }
        below += fall;
        if straight {
            from = format!("D{i}");
        } else {
            let drop = i64::try_from(dice.throw(15)).unwrap();
            let tie = if dice.throw(2) == 0 { format!(", channel-drop: {drop} mm") } else { String::new() };
            _ = writeln!(
                access,
                "  C{i}: {{what: inspection chamber, cover: TBM + 0.0{} m{tie}}}",
                10 + dice.throw(80)
            );
            below += drop;
            from = format!("C{i}");
        }
    }
    text.push_str(&pipes);
    text.push_str(&access);
    text
}

/// Level, spread and knowledge of an end.
type End = Option<(i64, Length, How)>;

/// What is known of every leg's two ends, by its id.
fn known(net: &Network<'_>) -> Vec<(String, [End; 2])> {
    (0..net.legs.len())
        .map(|i| {
            let s = net.solved(i);
            (net.id(i).to_owned(), [s.up, s.down].map(|h| h.map(|h| (h.level.um(), h.half, h.how))))
        })
        .collect()
}

#[test]
fn a_joint_added_to_a_run_changes_no_level() {
    let mut knows = 0;
    for seed in 0..200 {
        let text = generated(seed, 3 + seed % 9, 100_000);
        let before = with(&text, known);
        knows += u32::from(before.iter().any(|(_, ends)| ends[0].is_some()));
        let (at, end) = with(&text, |net| {
            let pick = usize::try_from(seed).unwrap() % net.legs.len();
            (net.id(pick).to_owned(), net.end_id(net.legs[pick].ends.from).to_owned())
        });
        let more = "access:\n  NEW: {what: rodding eye}\n";
        let joint = format!(
            "  J1: {{kind: drain, from: NEW, to: {at}, at: 1.50 m down from {end}, entry: junction 45, size: 110 mm, length: 2.00 m, fall: 1 in 40}}\n{more}"
        );
        let after = with(&text.replace("access:\n", &joint), known);
        let kept: Vec<_> = after.into_iter().filter(|(id, _)| id != "J1").collect();
        assert_eq!(before, kept, "seed {seed}");
    }
    assert!(knows > 150, "only {knows} networks know any level");
}

#[test]
fn another_datum_shifts_every_level_by_as_much() {
    for seed in 0..200 {
        let by = i64::try_from(Dice(seed).throw(90_000)).unwrap();
        let (here, there) = (generated(seed, 8, 100_000), generated(seed, 8, 100_000 + by));
        let (a, b) = (with(&here, known), with(&there, known));
        let shifted: Vec<_> = a
            .into_iter()
            .map(|(id, ends)| (id, ends.map(|end| end.map(|(um, half, how)| (um + by * 1000, half, how)))))
            .collect();
        assert_eq!(shifted, b, "seed {seed}");
    }
}

struct NoFiles;

impl Files for NoFiles {
    fn open(&self, name: &str) -> Result<Reader, FileError> {
        Err(FileError::Missing(name.to_owned()))
    }

    fn size(&self, name: &str) -> Result<u64, FileError> {
        Err(FileError::Missing(name.to_owned()))
    }
}

/// Every verdict with what was measured: none of it is counted from the datum.
fn verdicts(text: &str) -> Vec<(String, String, String, String)> {
    let reading = record::read("job.yaml", text);
    let rulebook = fallmark::rulebook::load("england-2015").unwrap();
    let found = fallmark::examine(&reading.record, &rulebook, &NoFiles).findings;
    found.into_iter().map(|f| (f.rule.0.to_owned(), f.item.clone(), f.words().to_owned(), f.measured)).collect()
}

#[test]
fn another_datum_changes_no_verdict() {
    for seed in 0..12 {
        let (a, b) = (generated(seed, 6, 100_000), generated(seed, 6, 3_217));
        assert_eq!(verdicts(&a), verdicts(&b), "seed {seed}");
    }
    for name in SAMPLES {
        let text = sample(name);
        let datum = ["100.000 m", "50.000 m", "80.000 m"].into_iter().find(|d| text.contains(d)).unwrap();
        let moved = text.replace(datum, "212.345 m");
        assert!(moved != text);
        assert_eq!(verdicts(&text), verdicts(&moved), "{name}");
    }
}

#[test]
fn the_work_grows_with_the_network_and_no_faster() {
    let steps = |count: u64| with(&generated(7, count, 100_000), |net| (net.levels.steps, net.legs.len()));
    for count in [100, 200, 400, 800, 1600] {
        let (took, legs) = steps(count);
        assert!(took <= legs * 9, "{took} steps for {legs} pipes");
        assert!(took >= legs, "{took} steps for {legs} pipes");
    }
}
