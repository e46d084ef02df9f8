//! What pipes are to carry and what drains can carry, on the samples, by hand.

use crate::network::sample;
use fallmark::compute::Computed;
use fallmark::compute::capacity::Running;
use fallmark::compute::flow::DesignFlow;
use fallmark::compute::flow::Lack;
use fallmark::compute::formula::waste_water::waste_water_l_s;
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

/// Sum, largest, WCs, appliances and total flow in thousandths, as one line.
fn line(flow: &DesignFlow) -> String {
    format!(
        "{} {} {} {} {}{}",
        flow.units.thousandths(),
        flow.largest.thousandths(),
        flow.wcs,
        flow.appliances,
        flow.total.ml_s(),
        if flow.lacks.is_some() { " and more" } else { "" }
    )
}

/// Units of BS EN 12056-2 Table 2, third system, read: WC of 6 litres 1.7 (top of its range), basin 0.3, shower 0.4, bath
/// and sink 1.3, machine 0.6. K 0.5 (Table 3, read).
#[test]
fn the_schoolroom_s_flows() {
    with(&sample("schoolroom-flats"), |network, computed| {
        let flow = |id: &str| computed.flows[network.record.pipes.position(id).unwrap()];
        // WC 2 × 1.7, shower 0.4, basin 2 × 0.3, sink 2 × 1.3, bath 1.3, machine 2 × 0.6 = 9.5; 0.5·√9.5 = 1.541, less
        // than the WC's own 1.7.
        for id in ["S1", "D1", "D2", "D3"] {
            assert_eq!(line(&flow(id)), "9500 1700 2 10 1700", "{id}");
        }
        assert!((waste_water_l_s(0.5, 9.5, 0.0) - 1.541).abs() < 0.0005);
        // Sink and machine through one trap: 1.9; 0.5·√1.9 = 0.689, less than the sink's 1.3.
        assert_eq!(line(&flow("B4")), "1900 1300 0 2 1300");
        assert_eq!(line(&flow("B3")), "300 300 0 1 300");
        assert_eq!(line(&flow("V1")), "0 0 0 0 0");
        // D4 takes a dwelling more (5.5): 15.0; 0.5·√15 = 1.936.
        assert_eq!(line(&flow("D4")), "15000 1700 3 16 1936");
        assert_eq!(flow("D4").dwellings, 1);
    });
}

#[test]
fn the_mill_house_s_flows() {
    with(&sample("mill-house"), |network, computed| {
        let flow = |id: &str| computed.flows[network.record.pipes.position(id).unwrap()];
        // Shower 0.4, sink 1.3, machine 0.6, WC 1.7, bath 1.3, basin 0.3 = 5.6; 0.5·√5.6 = 1.183.
        assert_eq!(line(&flow("S1")), "5600 1700 1 6 1700");
        assert_eq!(line(&flow("D4")), "1700 1700 1 1 1700");
        // Both meet on D1: 7.3; 0.5·√7.3 = 1.351.
        assert_eq!(line(&flow("D1")), "7300 1700 2 7 1700");
        assert_eq!(line(&flow("D2")), "7300 1700 2 7 1700");
        // Nobody knows what OLD1 brings; D3 says what it carries besides: 12.8; 0.5·√12.8 = 1.789, believed.
        let old = network.record.pipes.position("OLD1").unwrap();
        assert_eq!(flow("OLD1").lacks, Some(Lack::Source(old)));
        assert_eq!(line(&flow("D3")), "12800 1700 3 13 1789");
        assert!(flow("D3").how == fallmark::base::known::How::Believed);
        assert_eq!(Lack::Source(old).words(network), "what comes in at the head of OLD1");
    });
}

#[test]
fn what_is_not_said_is_lacking_downstream() {
    let changed = |from: &str, to: &str, id: &str| {
        let text = sample("mill-house");
        assert!(text.contains(from), "{from}");
        with(&text.replacen(from, to, 1), |network, computed| {
            line(&computed.flows[network.record.pipes.position(id).unwrap()])
        })
    };
    assert_eq!(changed(", also-carries: 1 dwelling believed", "", "D3"), "7300 1700 2 7 1700 and more");
    assert_eq!(
        changed("also-carries: 1 dwelling believed", "also-carries: a gully", "D3"),
        "7300 1700 2 7 1700 and more"
    );
    assert_eq!(changed("also-carries: 1 dwelling believed", "also-carries: none", "D3"), "7300 1700 2 7 1700");
    assert_eq!(changed("also-carries: 1 dwelling believed", "live: no", "D2"), "7300 1700 2 7 1700");
    assert_eq!(changed("  WB2:  {", "  WB2:  {what: food waste, ", "D2"), "7000 1700 2 7 1700 and more");
    assert_eq!(changed("seal: 50 mm}", "seal: 50 mm, cistern: 9 litre}", "D4"), "2000 2000 1 1 2000");
    assert_eq!(changed("seal: 50 mm}", "seal: 50 mm, cistern: 6/4 l dual flush}", "D4"), "1700 1700 1 1 1700");
    assert_eq!(changed("seal: 50 mm}", "seal: 50 mm, cistern: large}", "D4"), "0 0 1 1 0 and more");
    assert_eq!(changed("B5: {from: SHR1", "B5: {from: unknown", "S1"), "5200 1700 1 5 1700 and more");
    assert_eq!(
        changed("to: MH0, size: 110 mm", "to: D1, at: 1.0 m up from IC1, size: 110 mm", "D1"),
        "7300 1700 2 7 1700 and more"
    );
}

/// D2 of the schoolroom: 240 mm over 14.40 m is 1 in 60; bore 103.6 mm. V = −2·√(2·9.81·0.1036/60)·log₁₀(0.001/(3.7·0.1036)
/// + 2.51·1.31·10⁻⁶/(0.1036·0.184058)) = −0.368115·log₁₀(0.0026088 + 0.0001724) = 0.94082 m/s; times 0.00842965 m² it is
///   7.931 l/s.
#[test]
fn what_the_drains_of_the_samples_carry() {
    with(&sample("schoolroom-flats"), |network, computed| {
        let at = |id: &str| computed.capacities[network.record.pipes.position(id).unwrap()];
        let d2 = at("D2").unwrap();
        assert_eq!(
            (d2.bore.um(), d2.here.full.velocity.thousandths(), d2.here.full.flow.ml_s()),
            (103_600, 941, 7_931)
        );
        assert!(d2.recalled, "roughness and viscosity were not read");
        assert!(d2.flattest.full.flow < d2.here.full.flow && d2.here.full.flow < d2.steepest.full.flow);
        // By Manning three quarters full carries 0.912 of full bore; this equation gives about the same.
        let share = d2.here.allowed.flow.l_s() / d2.here.full.flow.l_s();
        assert!((share - 0.912).abs() < 0.005, "{share}");
        let Some(Running::PartFull { filling, velocity }) = d2.here.design else { panic!("{:?}", d2.here) };
        assert!((300..340).contains(&filling.thousandths()), "{filling:?}");
        assert!(velocity >= d2.self_cleansing && d2.here.design.unwrap().cleans(d2.self_cleansing) == Some(true));
        assert_eq!((at("S1"), at("B1"), at("D4")), (None, None, None), "no drain, no drain, no cited bore");
    });
    let level =
        sample("schoolroom-flats").replace("laser - 2.020 m, laser - 2.260 m", "laser - 2.020 m, laser - 2.020 m");
    with(&level, |network, computed| {
        let d2 = computed.capacities[network.record.pipes.position("D2").unwrap()].unwrap();
        assert_eq!((d2.here.full.flow.ml_s(), d2.here.design), (0, Some(Running::Standing)));
        assert_eq!(Running::Standing.cleans(d2.self_cleansing), Some(false));
    });
}

/// Three dwellings by their number: 3.5 l/s, the entry for 5 (AD H Table 5); by units 3 × 5.5 = 16.5, 0.5·√16.5 = 2.031.
/// A WC of the job's own house is a fourth dwelling, and still 3.5 l/s. Past the last entry of the table, at 31, units
/// count alone: 170.5, 0.5·√170.5 = 6.529.
#[test]
fn dwellings_told_by_number_make_what_the_guidance_s_table_says() {
    let of = |job: &str, carries: &str| {
        let text = format!(
            "record: 1\njob: {{id: T, title: T{job}}}\nappliances: {{WC1: {{}}}}\npipes:\n  D1: {{kind: drain, from: WC1, \
             to: SEW, size: 110 mm, also-carries: {carries}}}\noutfalls: {{SEW: {{what: sewer}}}}\n"
        );
        with(&text, |_, computed| {
            let flow = computed.flows[0];
            (flow.served, flow.by_dwellings.map(|f| f.ml_s()), flow.peak().ml_s())
        })
    };
    assert_eq!(of(", dwellings: 1", "3 dwellings"), (4, Some(3_500), 3_500));
    assert_eq!(of("", "4 dwellings"), (5, Some(3_500), 3_500));
    assert_eq!(of("", "5 dwellings"), (6, Some(4_100), 4_100));
    assert_eq!(of(", dwellings: 1", "none"), (1, None, 1_700));
    let (served, by_number, peak) = of("", "30 dwellings");
    // 30 × 5.5 + 1.7 = 166.7; 0.5·√166.7 = 6.456.
    assert_eq!((served, by_number, peak), (31, None, 6_456));
}

/// A WC is 1.7 l/s; the rain of two pipes comes on top, and that of the third is not said.
#[test]
fn rain_comes_on_top_where_it_is_said() {
    let of = |more: &str| {
        let text = format!(
            "record: 1\njob: {{id: T, title: T}}\nappliances: {{WC1: {{}}}}\naccess: {{IC1: {{what: inspection \
             chamber}}, GY1: {{what: gully}}, GY2: {{what: gully}}}}\npipes:\n  D1: {{kind: drain, from: WC1, to: IC1, \
             size: 110 mm}}\n  D2: {{kind: drain, from: IC1, to: SEW, size: 110 mm}}\n  R1: {{kind: drain, from: GY1, to: \
             IC1, size: 110 mm, carries: rain, rain: 1.2 l/s}}\n  R2: {{kind: drain, from: GY2, to: R1, size: 82 mm, \
             carries: rain{more}}}\noutfalls: {{SEW: {{what: sewer}}}}\n"
        );
        with(&text, |network, computed| {
            let flow = computed.flows[network.record.pipes.position("D2").unwrap()];
            (flow.peak().ml_s(), flow.daily().map(|f| f.ml_s()), flow.open().map(|lack| lack.words(network)))
        })
    };
    assert_eq!(of(", rain: 0.75 l/s"), (3_650, Some(1_700), None));
    assert_eq!(of(""), (2_900, Some(1_700), Some("how much rain R2 leads in".to_owned())));
    assert_eq!(of(", rain: unknown").2, of("").2);
}

#[test]
fn ten_thousand_pipes_are_summed_once_each() {
    let text = crate::estate::big_record(10_000);
    with(&text, |network, computed| {
        let houses = computed.flows.len() / 9;
        let last = computed.flows[network.record.pipes.position(&format!("M{}", houses - 1)).unwrap()];
        // A house: WC 1.7, bath 1.3, basin 0.3, sink 1.3, shower 0.4 = 5.0.
        assert_eq!(last.units.thousandths(), 5_000 * i64::try_from(houses).unwrap());
        assert_eq!((last.wcs as usize, last.appliances as usize, last.lacks), (houses, 5 * houses, None));
        assert_eq!(computed.capacities.iter().flatten().count(), 2 * houses);
    });
}

#[test]
fn a_ring_of_pipes_ends_and_says_so() {
    let text = sample("schoolroom-flats").replace("from: IC2, to: MH1", "from: IC2, to: IC1");
    with(&text, |network, computed| {
        let at = |id: &str| network.record.pipes.position(id).unwrap();
        assert_eq!(computed.flows[at("D2")].lacks, Some(Lack::Ring(at("D2"))));
        assert_eq!(Lack::Ring(at("D2")).words(network), "where D2 leads, which runs in a ring");
        assert_eq!(computed.capacities[at("D2")].unwrap().here.design, None);
        assert_eq!(line(&computed.flows[at("D1")]), "9500 1700 2 10 1700", "above the ring all is known");
    });
}
