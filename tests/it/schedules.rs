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
