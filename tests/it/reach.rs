//! How far rods come, on networks drawn and solved by hand before the walk was written, and what must hold of any.
//!
//! Drawings run with the flow from left to right, lengths in metres. `[IC1]` is a chamber, `(AF1)` a fitting, `<RE1`
//! an eye, `S1` a stack's foot, `/` and `\` a branch that joins. The answer stands under each drawing: by leg, the
//! access point, the way, and from where to where from the leg's upper end; then what nobody reaches.

use fallmark::base::units::Length;
use fallmark::compute::reach;
use fallmark::compute::reach::Lean;
use fallmark::compute::reach::Way;
use fallmark::network::Network;

/// Rods of so many metres in a network; by leg what is reached, in the order of the record, and what is left bare.
fn solved(pipes: &str, access: &str, rods: i64) -> (Vec<String>, Vec<String>) {
    with(&record(pipes, access), |net| lines(net, rods))
}

fn lines(net: &Network<'_>, rods: i64) -> (Vec<String>, Vec<String>) {
    let found = reach::find(net, Length::from_mm(rods * 1000), Lean::Plain);
    let (mut parts, mut bare) = (Vec::new(), Vec::new());
    for (leg, list) in found.parts.iter().enumerate() {
        let id = net.id(leg);
        for part in list {
            let way = if part.way == Way::Down { "down" } else { "up" };
            let bend = if part.bend.is_some() { " to a bend" } else { "" };
            let to = part.to.map_or("?".to_owned(), |l| l.metres(2));
            parts.push(format!("{id}: {} {way} {}-{to}{bend}", part.door.id(net), part.from.metres(2)));
        }
        if let Some(length) = net.legs[leg].length {
            for (from, to) in reach::bare(list, length.value) {
                bare.push(format!("{id} {}-{}", from.metres(2), to.metres(2)));
            }
        }
    }
    (parts, bare)
}

fn record(pipes: &str, access: &str) -> String {
    format!(
        "record: 1\njob: {{id: T, title: rods}}\nappliances: {{WC1: {{}}, WB1: {{trap-out: by hand}}, BTH1: {{}}}}\n\
         pipes:\n{pipes}\naccess: {{{access}}}\noutfalls: {{OUT: {{what: public sewer}}}}\n"
    )
}

fn with<R>(text: &str, look: impl FnOnce(&Network<'_>) -> R) -> R {
    let reading = fallmark::record::read("job.yaml", text);
    assert!(reading.faults.is_empty(), "{text}\n{:#?}", reading.faults);
    look(&fallmark::network::link(&reading.record))
}

fn drain(id: &str, from: &str, to: &str, metres: &str, more: &str) -> String {
    let sized = if more.contains("size:") { "" } else { ", size: 110 mm" };
    let more = if more.is_empty() { String::new() } else { format!(", {more}") };
    format!("  {id}: {{kind: drain, from: {from}, to: {to}, length: {metres} m{sized}{more}}}\n")
}

#[track_caller]
fn check(found: (Vec<String>, Vec<String>), parts: &[&str], bare: &[&str]) {
    let sorted = |all: &mut Vec<String>| all.sort();
    let (mut found, mut parts) = (found, parts.iter().map(|p| (*p).to_owned()).collect::<Vec<_>>());
    sorted(&mut found.0);
    sorted(&mut parts);
    assert_eq!(found.0, parts, "reached");
    assert_eq!(found.1, bare, "left bare");
}

/// ```text
/// <RE1 ──D1 8──> [IC1] ──D2 10──> OUT          rods 45
/// ```
/// From RE1 down: 8 of D1, 37 left, through the open channel of IC1, all 10 of D2. From IC1: D1 up, D2 down.
#[test]
fn an_eye_is_rodded_down_only_and_a_chamber_both_ways() {
    let pipes = drain("D1", "RE1", "IC1", "8.00", "") + &drain("D2", "IC1", "OUT", "10.00", "");
    let access = "RE1: {what: rodding eye}, IC1: {what: inspection chamber}";
    let parts =
        ["D1: RE1 down 0.00-8.00", "D1: IC1 up 0.00-8.00", "D2: RE1 down 0.00-10.00", "D2: IC1 down 0.00-10.00"];
    check(solved(&pipes, access, 45), &parts, &[]);
    // <RE1 at the lower end instead: rods do not go up from an eye.
    let pipes = drain("D1", "unknown", "RE1", "8.00", "");
    check(solved(&pipes, "RE1: {what: rodding eye}", 45), &[], &["D1 0.00-8.00"]);
}

/// ```text
/// S1 ──D1 10──> (AF1) ──D2 10──> [IC9]         rods 6
/// ```
/// AF1 up: 10 - 6 = 4 to 10 of D1. AF1 down: 0 to 6 of D2. IC9 up: 4 to 10 of D2. Nobody: 0 to 4 of D1.
#[test]
fn a_fitting_is_rodded_both_ways_as_far_as_the_rods_go() {
    let pipes = stack("S1", "D1", "1 x 87.5", "")
        + &drain("D1", "S1", "AF1", "10.00", "")
        + &drain("D2", "AF1", "IC9", "10.00", "");
    let access = "AF1: {what: small access fitting}, IC9: {what: inspection chamber}";
    let parts = ["D1: AF1 up 4.00-10.00", "D2: AF1 down 0.00-6.00", "D2: IC9 up 4.00-10.00"];
    check(solved(&pipes, access, 6), &parts, &["D1 0.00-4.00"]);
}

fn stack(id: &str, into: &str, bend: &str, access: &str) -> String {
    let access = if access.is_empty() { String::new() } else { format!(", access: {{{access}}}") };
    format!("  {id}: {{kind: stack, size: 110 mm, foot: {{into: {into}, bend: {bend}}}{access}}}\n")
}

/// ```text
/// S1 ──D1 10──────────────────> [IC1]          rods 45
///        WC1 ──D4 2.1──/ 1.3 up from IC1
/// ```
/// Rods from IC1 run straight up D1 and pass the mouth of D4 by. WC1's pan is no access point to a drain.
#[test]
fn rods_from_downstream_miss_a_branch_at_its_junction() {
    let pipes = stack("S1", "D1", "1 x 87.5", "")
        + &drain("D1", "S1", "IC1", "10.00", "")
        + &drain("D4", "WC1", "D1", "2.10", "at: 1.30 m up from IC1, entry: junction 45");
    let found = solved(&pipes, "IC1: {what: inspection chamber}", 45);
    check(found, &["D1: IC1 up 0.00-10.00"], &["D4 0.00-2.10"]);
}

/// ```text
/// S1 ──D1 10──────────────────> [IC1]          rods 5
///       <RE1 ──D2 3──/ 4.0 up from IC1
/// ```
/// RE1 down: 3 of D2, 2 left; it enters D1 at 10 - 4 = 6 and ends at 8. IC1 up: 5 to 10. Nobody: 0 to 5 of D1.
#[test]
fn rods_down_a_branch_enter_the_main_and_go_on_down() {
    let pipes = stack("S1", "D1", "1 x 87.5", "")
        + &drain("D1", "S1", "IC1", "10.00", "")
        + &drain("D2", "RE1", "D1", "3.00", "at: 4.00 m up from IC1, entry: swept");
    let access = "RE1: {what: rodding eye}, IC1: {what: inspection chamber}";
    let parts = ["D1: RE1 down 6.00-8.00", "D1: IC1 up 5.00-10.00", "D2: RE1 down 0.00-3.00"];
    check(solved(&pipes, access, 5), &parts, &["D1 0.00-5.00"]);
    // A plain tee: rods meet its far wall, and do not turn into the main.
    let plain = pipes.replace("entry: swept", "entry: plain");
    let parts = ["D1: IC1 up 5.00-10.00", "D2: RE1 down 0.00-3.00"];
    check(solved(&plain, access, 5), &parts, &["D1 0.00-5.00"]);
}

/// ```text
/// [IC1] ──D1 12──┐ backdrop
///                └> [IC2] ──D2 10──> OUT       rods 45
/// ```
/// From IC1 down: D1 up to the drop and no further. From IC2 up: not into D1.
#[test]
fn a_backdrop_stops_rods_from_both_sides() {
    let pipes = drain("D1", "IC1", "IC2", "12.00", "entry: backdrop") + &drain("D2", "IC2", "OUT", "10.00", "");
    let access = "IC1: {what: inspection chamber}, IC2: {what: manhole}";
    let parts = ["D1: IC1 down 0.00-12.00", "D2: IC2 down 0.00-10.00"];
    check(solved(&pipes, access, 45), &parts, &[]);
    // With a rodding point at its top the drain above is rodded from IC2 after all, and still not down through the drop.
    let opened = pipes.replace("entry: backdrop", "entry: backdrop, backdrop: {encased: 150 mm, rodding: at top}");
    let parts = ["D1: IC1 down 0.00-12.00", "D1: IC2 up 0.00-12.00", "D2: IC2 down 0.00-10.00"];
    check(solved(&opened, access, 45), &parts, &[]);
}

/// ```text
/// GY1 ──D1 6──> [IC1] ──D2 10──> GY2           rods 4
/// ```
/// A gully's trap is in the way at either end: only IC1 gives, 2 to 6 of D1 and 0 to 4 of D2.
#[test]
fn a_gully_is_no_way_in() {
    let pipes = drain("D1", "GY1", "IC1", "6.00", "") + &drain("D2", "IC1", "GY2", "10.00", "");
    let access = "GY1: {what: gully}, IC1: {what: inspection chamber}, GY2: {what: gully}";
    let parts = ["D1: IC1 up 2.00-6.00", "D2: IC1 down 0.00-4.00"];
    check(solved(&pipes, access, 4), &parts, &["D1 0.00-2.00", "D2 4.00-10.00"]);
}

/// ```text
/// [IC1] ══D1 6, 160══ ──D2 6, 110──> [IC2]     rods 45
/// ```
/// IC1 down: D1, and not into the narrower D2. IC2 up: D2, and on into the wider D1. The other way about it is turned.
#[test]
fn a_narrower_pipe_ahead_stops_rods() {
    let laid = |first: &str, second: &str| {
        drain("D1", "IC1", "D2", "6.00", &format!("size: {first}"))
            + &drain("D2", "D1", "IC2", "6.00", &format!("size: {second}"))
    };
    let access = "IC1: {what: inspection chamber}, IC2: {what: inspection chamber}";
    let parts = ["D1: IC1 down 0.00-6.00", "D1: IC2 up 0.00-6.00", "D2: IC2 up 0.00-6.00"];
    check(solved(&laid("160 mm", "110 mm"), access, 45), &parts, &[]);
    let parts = ["D1: IC1 down 0.00-6.00", "D2: IC1 down 0.00-6.00", "D2: IC2 up 0.00-6.00"];
    check(solved(&laid("110 mm", "160 mm"), access, 45), &parts, &[]);
}

/// ```text
/// RP1, 1.0 above the foot
///  │
/// S1 ──D1 5──> [IC1]                           rods 4
/// ```
/// Through a foot of two 45s: 1 m down the stack, 3 m left, 0 to 3 of D1. IC1 up: 1 to 5. One tight bend lets nothing
/// through, and then 0 to 1 of D1 is left. Rods from below never go up the stack.
#[test]
fn an_access_piece_serves_the_drain_through_an_easy_foot_only() {
    let laid = |bend: &str| stack("S1", "D1", bend, "RP1: 1.00 m above foot") + &drain("D1", "S1", "IC1", "5.00", "");
    let access = "IC1: {what: inspection chamber}";
    let through = ["D1: RP1 down 0.00-3.00", "D1: IC1 up 1.00-5.00"];
    for easy in ["2 x 45", "long radius 87.5", "1 x 87.5 long radius"] {
        check(solved(&laid(easy), access, 4), &through, &[]);
    }
    for tight in ["1 x 87.5", "1 x 90", "knuckle 90", "1 x 45"] {
        check(solved(&laid(tight), access, 4), &["D1: IC1 up 1.00-5.00"], &["D1 0.00-1.00"]);
    }
}

/// ```text
/// RP1, 1.0 above the foot
///  │
/// S1 ──D1 5, one 45 on the way──> [IC1]        rods 45
/// ```
/// The two 45s of the foot use up what rods will bend. RP1 comes as far as the bend on the way, wherever that lies;
/// IC1 passes it, since it is the first.
#[test]
fn an_easy_foot_uses_up_the_bends() {
    let pipes = stack("S1", "D1", "2 x 45", "RP1: 1.00 m above foot")
        + &drain("D1", "S1", "IC1", "5.00", "bends: [swept 45], bends-at: none");
    let parts = ["D1: RP1 down 0.00-5.00 to a bend", "D1: IC1 up 0.00-5.00"];
    check(solved(&pipes, "IC1: {what: inspection chamber}", 45), &parts, &[]);
}

/// ```text
/// [IC1] ──D1 30, bends──> [IC2] ──D2 5──> OUT  rods 45
/// ```
/// One easy bend is passed both ways, and rods from IC1 go on through IC2. A knuckle stops both: each comes up to it,
/// and between them they reach all of D1, wherever the knuckle lies. What lies between two knuckles nobody reaches; as
/// nobody knows where they lie, no part of D1 is known to be reached.
/// Two easy bends: the second
/// that is met stops rods, which is the lower one from above and the upper one from below: all of D1 again.
#[test]
fn bends_on_the_way_use_up_what_rods_will_bend() {
    let laid = |bends: &str| {
        drain("D1", "IC1", "IC2", "30.00", &format!("bends: [{bends}], bends-at: none"))
            + &drain("D2", "IC2", "OUT", "5.00", "")
    };
    let access = "IC1: {what: inspection chamber}, IC2: {what: inspection chamber}";
    let one = ["D1: IC1 down 0.00-30.00", "D1: IC2 up 0.00-30.00", "D2: IC1 down 0.00-5.00", "D2: IC2 down 0.00-5.00"];
    check(solved(&laid("45"), access, 45), &one, &[]);
    let knuckle = ["D1: IC1 down 0.00-30.00 to a bend", "D1: IC2 up 0.00-30.00 to a bend", "D2: IC2 down 0.00-5.00"];
    check(solved(&laid("knuckle 90"), access, 45), &knuckle, &[]);
    check(solved(&laid("knuckle 90, knuckle 90"), access, 45), &knuckle, &["D1 0.00-30.00"]);
    check(solved(&laid("45, 45"), access, 45), &knuckle, &[]);
}

/// ```text
/// [IC1] ──D1 6──> [IC2] ──D2 8──> [IC3]        rods 45
/// <RE1  ──D4 4──/  (into the chamber)
/// ```
/// From IC3 up: D2, and no further, for two drains come into IC2 and rods take neither of themselves; IC2 opens both.
/// Down there is one way on: IC1 and RE1 both go through IC2 into D2.
#[test]
fn up_through_a_chamber_rods_go_on_only_where_one_drain_comes_in() {
    let two = drain("D1", "IC1", "IC2", "6.00", "")
        + &drain("D4", "RE1", "IC2", "4.00", "")
        + &drain("D2", "IC2", "IC3", "8.00", "");
    let access = "RE1: {what: rodding eye}, IC1: {what: inspection chamber}, IC2: {what: inspection chamber}, \
                  IC3: {what: inspection chamber}";
    let parts = [
        "D1: IC1 down 0.00-6.00",
        "D1: IC2 up 0.00-6.00",
        "D4: RE1 down 0.00-4.00",
        "D4: IC2 up 0.00-4.00",
        "D2: RE1 down 0.00-8.00",
        "D2: IC1 down 0.00-8.00",
        "D2: IC2 down 0.00-8.00",
        "D2: IC3 up 0.00-8.00",
    ];
    check(solved(&two, access, 45), &parts, &[]);
    // Where the record says which drain runs straight through, rods from IC3 take that one.
    let main = access.replacen("IC2: {what: inspection chamber", "IC2: {what: inspection chamber, main-run: D1", 1);
    let mut with_main = parts.to_vec();
    with_main.push("D1: IC3 up 0.00-6.00");
    check(solved(&two, &main, 45), &with_main, &[]);
    let one = drain("D1", "IC1", "IC2", "6.00", "") + &drain("D2", "IC2", "IC3", "8.00", "");
    let access = access.replace("RE1: {what: rodding eye}, ", "");
    let parts = [
        "D1: IC1 down 0.00-6.00",
        "D1: IC2 up 0.00-6.00",
        "D1: IC3 up 0.00-6.00",
        "D2: IC1 down 0.00-8.00",
        "D2: IC2 down 0.00-8.00",
        "D2: IC3 up 0.00-8.00",
    ];
    check(solved(&one, &access, 45), &parts, &[]);
}

/// ```text
/// [IC1] ──D1 3──> [IC2] ──D2 3──> [IC3]        rods 5
/// ```
/// An access point on the way does not stop rods: IC1 has 5 - 3 = 2 left for D2, IC3 as many for D1.
#[test]
fn access_points_do_not_stop_a_walk() {
    let pipes = drain("D1", "IC1", "IC2", "3.00", "") + &drain("D2", "IC2", "IC3", "3.00", "");
    let access = "IC1: {what: inspection chamber}, IC2: {what: small access fitting}, IC3: {what: inspection chamber}";
    let parts = [
        "D1: IC1 down 0.00-3.00",
        "D1: IC2 up 0.00-3.00",
        "D1: IC3 up 1.00-3.00",
        "D2: IC1 down 0.00-2.00",
        "D2: IC2 down 0.00-3.00",
        "D2: IC3 up 0.00-3.00",
    ];
    check(solved(&pipes, access, 5), &parts, &[]);
}

/// ```text
/// BTH1 ──B2 2──AC1, 1.0 up from S1─────> S1
///    WB1 ──B1 1.2──/ 0.5 up from S1            rods 45
/// ```
/// Above ground. WB1's trap comes out by hand: 1.2 of B1, and the last 0.5 of B2. Of BTH1's trap nothing is said, so it
/// is no way in. The cap AC1 serves B2 both ways: 0 to 1, and 1 to 2. Everything ends at the stack.
#[test]
fn above_ground_rods_go_in_at_removable_traps_and_caps() {
    let pipes = "  S1: {kind: stack, size: 110 mm, foot: {into: D1}}\n  D1: {kind: drain, from: S1, to: OUT, size: 110 mm}\n  \
                 B2: {kind: branch, from: BTH1, to: S1, at: 1.00 m above foot, size: 50 mm, length: 2.00 m, access: {AC1: 1.00 m up from S1}}\n  \
                 B1: {kind: branch, from: WB1, to: B2, at: 0.50 m up from S1, entry: swept, size: 32 mm, length: 1.20 m}\n";
    let parts = ["B2: AC1 down 1.00-2.00", "B2: AC1 up 0.00-1.00", "B2: WB1 down 1.50-2.00", "B1: WB1 down 0.00-1.20"];
    check(solved(pipes, "", 45), &parts, &[]);
}

/// ```text
/// WC1 ──B1 0.8──> S1        WC1 ──D4 2──> [IC1]
/// ```
/// A pan that is taken off opens the pipe it stands on above ground. It does not count for a drain.
#[test]
fn a_pan_opens_a_branch_and_no_drain() {
    let branch = "  S1: {kind: stack, size: 110 mm, foot: {into: D1}}\n  D1: {kind: drain, from: S1, to: OUT, size: 110 mm}\n  \
                  B1: {kind: branch, from: WC1, to: S1, at: 1.00 m above foot, size: 110 mm, length: 0.80 m}\n";
    check(solved(branch, "", 45), &["B1: WC1 down 0.00-0.80"], &[]);
    let drained = drain("D4", "WC1", "RE9", "2.00", "");
    check(solved(&drained, "RE9: {what: rodding eye}", 45), &[], &["D4 0.00-2.00"]);
}

/// ```text
/// [IC1] ──D1 10, valve at 6──> [IC2]           rods 45
/// ```
/// Its flap opens neither way for rods: 0 to 6 from IC1, 6 to 10 from IC2. At the lower end, where it stands when the
/// record does not say, nothing is left to IC2, and what is pumped on below is not entered from above.
#[test]
fn a_valve_and_a_pump_stop_rods() {
    let pipes = drain("D1", "IC1", "IC2", "10.00", "") + &drain("D2", "IC2", "OUT", "5.00", "");
    let access = "IC1: {what: inspection chamber}, IC2: {what: inspection chamber}";
    let found = |more: &str| {
        let text = record(&pipes, access) + more;
        with(&text, |net| lines(net, 45))
    };
    let parts = ["D1: IC1 down 0.00-6.00", "D1: IC2 up 6.00-10.00", "D2: IC2 down 0.00-5.00"];
    check(found("valves: {BV1: {on: D1, at: 6.00 m down from IC1}}\n"), &parts, &[]);
    check(found("valves: {BV1: {on: D1}}\n"), &["D1: IC1 down 0.00-10.00", "D2: IC2 down 0.00-5.00"], &[]);
    let parts = ["D1: IC1 down 0.00-10.00", "D1: IC2 up 0.00-10.00", "D2: IC2 down 0.00-5.00"];
    check(found("pumps: {PU1: {on: D2}}\n"), &parts, &[]);
}

/// ```text
/// [IC1] ──D1 4──> joins D2, which joins D1: a ring
/// ```
/// It ends, whatever comes out.
#[test]
fn a_ring_ends() {
    let pipes = drain("D1", "IC1", "D2", "4.00", "")
        + &drain("D2", "D1", "D3", "4.00", "")
        + &drain("D3", "D2", "D2", "1.00", "");
    let (parts, _) = solved(&pipes, "IC1: {what: inspection chamber}", 45);
    assert!(parts.contains(&"D1: IC1 down 0.00-4.00".to_owned()), "{parts:?}");
}

// What must hold of any network

/// Numbers that look like chance and are the same every time (a linear congruence; the figures are Knuth's).
struct Dice(u64);

impl Dice {
    fn below(&mut self, n: u64) -> u64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % n
    }
}

/// A tree of drains towards an outfall: each runs into the next, into a chamber, or joins an earlier one.
fn tree(dice: &mut Dice, count: u64) -> (Vec<String>, Vec<String>) {
    let (mut pipes, mut access) = (vec![drain("D0", "C0", "OUT", "20.00", "")], vec!["C0: {what: manhole}".to_owned()]);
    let kinds = ["rodding eye", "small access fitting", "inspection chamber", "gully"];
    for i in 1..count {
        let onto = dice.below(i);
        let length = format!("{}.00", 3 + dice.below(20));
        let kind = kinds[dice.below(4) as usize];
        access.push(format!("C{i}: {{what: {kind}}}"));
        let size = ["110 mm", "160 mm"][dice.below(2) as usize];
        let bends =
            ["", ", bends: [45], bends-at: none", ", bends: [knuckle 90], bends-at: none"][dice.below(3) as usize];
        let (to, more) = match dice.below(3) {
            0 => (format!("C{onto}"), String::new()),
            1 => (format!("C{onto}"), ", entry: backdrop".to_owned()),
            _ => {
                (format!("D{onto}"), format!(", at: {}.00 m down from C{onto}, entry: junction 45", 1 + dice.below(2)))
            }
        };
        pipes.push(drain(&format!("D{i}"), &format!("C{i}"), &to, &length, &format!("size: {size}{more}{bends}")));
    }
    (pipes, access)
}

fn bare_in_all(pipes: &[String], access: &[String], rods: i64) -> i64 {
    let text = record(&pipes.concat(), &access.join(", "));
    with(&text, |net| {
        let found = reach::find(net, Length::from_mm(rods * 1000), Lean::Plain);
        let of = |(leg, list): (usize, &Vec<reach::Reached>)| {
            let all = reach::bare(list, net.legs[leg].length.unwrap().value);
            all.into_iter().map(|(from, to)| (to - from).um()).sum::<i64>()
        };
        found.parts.iter().enumerate().map(of).sum()
    })
}

#[test]
fn longer_rods_never_reach_less() {
    let mut dice = Dice(7);
    for _ in 0..60 {
        let (pipes, access) = tree(&mut dice, 12);
        let bare: Vec<i64> = [2, 5, 10, 20, 45, 90].map(|rods| bare_in_all(&pipes, &access, rods)).to_vec();
        assert!(bare.is_sorted_by(|a, b| a >= b), "{bare:?}\n{}", pipes.concat());
    }
}

#[test]
fn an_added_access_point_never_reduces_what_is_reached() {
    let mut dice = Dice(11);
    let mut gained = 0;
    for _ in 0..60 {
        let (pipes, access) = tree(&mut dice, 12);
        let before = bare_in_all(&pipes, &access, 15);
        // A cap on one of the drains.
        let i = dice.below(12) as usize;
        let mut capped = pipes.clone();
        capped[i] = pipes[i].replace("}\n", &format!(", access: {{AC1: 2.00 m down from C{i}}}}}\n"));
        let after = bare_in_all(&capped, &access, 15);
        assert!(after <= before, "{before} {after}\n{}", capped.concat());
        gained += i32::from(after < before);
        // An eye made into a chamber, a gully into a fitting.
        let better: Vec<String> = access
            .iter()
            .map(|a| a.replace("rodding eye", "inspection chamber").replace("gully", "small access fitting"))
            .collect();
        assert!(bare_in_all(&pipes, &better, 15) <= before, "{}", pipes.concat());
    }
    assert!(gained > 10, "{gained}");
}

#[test]
fn steps_grow_with_the_drains_and_not_faster() {
    let steps = |count: usize| {
        let pipes: String = (0..count)
            .map(|i| drain(&format!("D{i}"), &format!("C{i}"), &format!("C{}", i + 1), "15.00", ""))
            .collect();
        let access: Vec<String> = (0..=count).map(|i| format!("C{i}: {{what: inspection chamber}}")).collect();
        with(&record(&pipes, &access.join(", ")), |net| reach::find(net, Length::from_mm(45_000), Lean::Plain).steps)
    };
    let (few, many) = (steps(200), steps(400));
    // Each chamber meets three drains of 15 m on either side.
    assert!((1..=200 * 6).contains(&few) && many <= 2 * few + 6, "{few} {many}");
}
