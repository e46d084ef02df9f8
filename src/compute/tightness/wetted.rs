//! The inside surface that a water test wets: the pipes between its plugs, and the chambers that were filled too.

use crate::base::known::How;
use crate::base::known::Known;
use crate::base::units::Length;
use crate::base::water::PerArea;
use crate::base::water::Volume;
use crate::compute::tightness::Outcome;
use crate::compute::tightness::coverage::Reach;
use crate::network::Network;
use crate::network::ends::End;
use crate::record::evidence::Test;
use crate::record::pipework::Access;
use crate::record::sections::Item;
use crate::record::words::AccessKind;

/// A surface.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wetted {
    /// In square millimetres.
    pub mm2: i64,
    /// How far it may be off, from the last digits of what was measured.
    pub half_mm2: i64,
    /// How it is known.
    pub how: How,
}

/// What is missing for it: in words, and the field of the record that would settle it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Missing {
    /// In words.
    pub what: String,
    /// The field.
    pub field: String,
}

type Found<T> = Result<T, Missing>;

fn missing<T>(what: String, field: String) -> Found<T> {
    Err(Missing { what, field })
}

impl Wetted {
    const NONE: Self = Self { mm2: 0, half_mm2: 0, how: How::Computed };

    fn plus(self, other: Self) -> Self {
        Self {
            mm2: self.mm2.saturating_add(other.mm2),
            half_mm2: self.half_mm2.saturating_add(other.half_mm2),
            how: self.how.with(other.how),
        }
    }

    /// The litres that it may take, for so much a square metre.
    pub fn allowed(&self, rate: PerArea) -> Volume {
        rate.over(self.mm2)
    }

    /// Of a surface so long and so wide, each with its spread.
    fn of(long: Known<Length>, wide: f64, wide_half: f64) -> Self {
        let half = wide * long.half.mm() + wide_half * long.value.mm();
        let whole = |mm2: f64| libm::round(mm2) as i64;
        Self { mm2: whole(wide * long.value.mm()), half_mm2: whole(half), how: long.how }
    }
}

/// The surface under a test.
///
/// # Errors
/// What the record lacks for it, the first of several.
pub fn wetted(network: &Network<'_>, test: &Item<Test>, outcome: &Outcome) -> Found<Wetted> {
    let mut all = Wetted::NONE;
    for covered in &outcome.parts {
        all = all.plus(pipe(network, test, covered.pipe, covered.reach)?);
    }
    for at in &outcome.chambers {
        all = all.plus(chamber(network, test, *at)?);
    }
    if all.mm2 > 0 {
        Ok(all)
    } else {
        missing("which pipes were filled".to_owned(), format!("tests.{}.covers", test.id))
    }
}

/// A pipe's inside, as long as the part under test less what lies inside a chamber.
fn pipe(network: &Network<'_>, test: &Item<Test>, pipe: usize, reach: Reach) -> Found<Wetted> {
    let id = network.id(pipe);
    let Some((leg, item)) = network.legs.get(pipe).zip(network.record.pipes.at(pipe)) else {
        return Ok(Wetted::NONE);
    };
    let (from, to) = match reach {
        Reach::Whole => (Length::ZERO, None),
        Reach::Between(from, to) => (from, to),
        Reach::Unclear => {
            let what = format!("where its plugs stood in {id}, and on which side of them it was");
            return missing(what, format!("tests.{}.plugs", test.id));
        }
    };
    let own = leg.length.map(|l| Known { value: l.value - from, ..l });
    let Some(mut long) = to.map(|to| Known::exact(to - from, How::Computed)).or(own) else {
        return missing(format!("the length of {id}"), format!("pipes.{id}.length"));
    };
    let Some(bore) = leg.bore else {
        return match leg.nominal {
            Some(_) => missing(format!("the inside diameter of {id}"), format!("pipes.{id}.bore")),
            None => missing(format!("the size of {id}"), format!("pipes.{id}.size")),
        };
    };
    let ends = [(leg.ends.from, from == Length::ZERO), (leg.ends.to, to.is_none())];
    for (end, _) in ends.into_iter().filter(|(_, reaches)| *reaches) {
        long = less_chamber(network, end, long)?;
    }
    let said = item.body.bore.get();
    let bore_half = said.map_or(0.0, |m| m.half.mm());
    let how = if said.is_some() { long.how.with(network.record.how(&item.body.bore)) } else { long.how };
    let pi = std::f64::consts::PI;
    Ok(Wetted::of(Known { value: long.value.max(Length::ZERO), how, ..long }, pi * bore.mm(), pi * bore_half))
}

/// A drain is measured from centre to centre of its chambers, and what lies in a chamber is open channel.
fn less_chamber(network: &Network<'_>, end: End, long: Known<Length>) -> Found<Known<Length>> {
    let End::Access(at) = end else { return Ok(long) };
    let Some(item) = network.record.access.at(at) else { return Ok(long) };
    let id = &item.id;
    match item.body.what.get() {
        Some(AccessKind::InspectionChamber | AccessKind::Manhole) => {}
        Some(_) => return Ok(long),
        None => return missing(format!("what {id} is"), format!("access.{id}.what")),
    }
    let (a, b) = across(item)?;
    let how = long.how.with(network.record.how(&item.body.across));
    Ok(Known { value: long.value - Length::from_um(a.max(b).um() / 2), half: long.half, how })
}

fn across(item: &Item<Access>) -> Found<(Length, Length)> {
    match item.body.across.get() {
        Some(across) => Ok((across.a, across.b.unwrap_or(across.a))),
        None => missing(format!("the inside size of {}", item.id), format!("access.{}.across", item.id)),
    }
}

/// Walls up to the water, and the bottom.
fn chamber(network: &Network<'_>, test: &Item<Test>, at: usize) -> Found<Wetted> {
    let Some(item) = network.record.access.at(at) else { return Ok(Wetted::NONE) };
    let (a, b) = across(item)?;
    let depth = test.body.filled.get().and_then(|m| m.get(&item.id));
    let Some((field, depth)) = depth.and_then(|f| f.get().map(|m| (f, m))) else {
        return missing(format!("how deep the water stood in {}", item.id), format!("tests.{}.filled", test.id));
    };
    let round = item.body.across.get().is_some_and(|x| x.b.is_none());
    let pi = std::f64::consts::PI;
    let (around, bottom) =
        if round { (pi * a.mm(), pi / 4.0 * a.mm() * a.mm()) } else { (2.0 * (a.mm() + b.mm()), a.mm() * b.mm()) };
    let how = network.record.how(field).with(network.record.how(&item.body.across));
    let walls = Wetted::of(Known { value: depth.value, half: depth.half, how }, around, 0.0);
    Ok(Wetted { mm2: walls.mm2.saturating_add(libm::round(bottom) as i64), ..walls })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record;

    fn of(pipe: &str, access: &str, test: &str) -> Result<Wetted, Missing> {
        let text = format!(
            "record: 1\njob: {{id: T, title: T}}\nappliances: {{WC1: {{}}}}\npipes:\n  D1: {{kind: drain, from: WC1, {pipe}}}\n\
             access: {{IC1: {{what: inspection chamber{access}}}}}\noutfalls: {{SEW: {{what: sewer}}}}\n\
             tests:\n  T1: {{what: drain water, date: 2026-03-01, {test}}}\n"
        );
        let reading = record::read("job.yaml", &text);
        assert!(reading.faults.is_empty(), "{:?}", reading.faults);
        let network = crate::network::link(&reading.record);
        crate::compute::tightness::outcomes(&network)[0].wetted.clone().unwrap()
    }

    fn litres(rate: i64, wetted: &Wetted) -> String {
        wetted.allowed(PerArea::from_ul_m2(rate)).litres(3)
    }

    /// Litres a metre by size in 30 minutes, as a clay-pipe maker prints them (225 mm by hand): π × D × 0.15 l/m².
    const A_METRE: [(u32, &str, &str); 7] = [
        (100, "100 mm", "0.05"),
        (125, "125 mm", "0.06"),
        (150, "150 mm", "0.07"),
        (200, "200 mm", "0.09"),
        (225, "225 mm", "0.106"),
        (250, "250 mm", "0.12"),
        (300, "300 mm", "0.14"),
    ];

    #[test]
    fn a_metre_of_each_size_takes_what_is_printed() {
        for (size, bore, printed) in A_METRE {
            let pipe = format!("to: SEW, size: 100 mm, material: clay, length: 1.000 m, bore: {bore}");
            let wetted = of(&pipe, "", "covers: [D1], plugs: [WC1]").unwrap();
            let decimals = u32::try_from(printed.len() - 2).unwrap();
            let allowed = wetted.allowed(PerArea::from_ul_m2(150_000));
            assert_eq!(allowed.litres(decimals), printed, "DN {size}");
        }
    }

    /// 103.6 mm of bore over 10 m: π × 0.1036 × 10 = 3.2547 m², and 0.15 l of it 0.488 l. Half of the last digit of
    /// the length, 5 mm, is 0.0016 m².
    #[test]
    fn a_drain_is_wet_over_its_bore_and_length() {
        let wetted = of("to: SEW, size: 110 mm, length: 10.00 m", "", "covers: [D1], plugs: [WC1]").unwrap();
        assert_eq!((wetted.mm2, wetted.half_mm2, litres(150_000, &wetted).as_str()), (3_254_690, 1_627, "0.488"));
        // Four metres between its plugs: 1.3019 m² and 0.195 l.
        let plugs = "covers: [D1], plugs: [WC1, D1 6.00 m up from SEW]";
        let part = of("to: SEW, size: 110 mm, length: 10.00 m", "", plugs).unwrap();
        assert_eq!((part.mm2, litres(150_000, &part).as_str()), (1_301_876, "0.195"));
    }

    /// 0.225 m of the 10 m lie in the chamber: π × 0.1036 × 9.775 = 3.1815 m². The chamber to 0.90 m: walls
    /// π × 0.45 × 0.90 = 1.2723 m², bottom π/4 × 0.45² = 0.1590 m². Together 4.6129 m², and 0.20 l of it 0.923 l.
    #[test]
    fn a_chamber_takes_from_the_drain_and_adds_its_walls_and_bottom() {
        let pipe = "to: IC1, size: 110 mm, length: 10.00 m";
        let alone = of(pipe, ", across: 450 mm", "covers: [D1], plugs: [WC1]").unwrap();
        assert_eq!(alone.mm2, 3_181_459);
        let both = of(pipe, ", across: 450 mm", "covers: [D1, IC1], plugs: [WC1], filled: {IC1: 0.90 m}").unwrap();
        assert_eq!((both.mm2, litres(200_000, &both).as_str()), (4_612_847, "0.923"));
        // 1000 × 500 mm to 0.50 m: walls 1.5 m², bottom 0.5 m²; 0.40 l of 2 m² are 0.8 l.
        let square = of(pipe, ", across: 1000 x 500 mm", "covers: [IC1], filled: {IC1: 0.50 m}").unwrap();
        assert_eq!((square.mm2, litres(400_000, &square).as_str()), (2_000_000, "0.800"));
    }

    #[test]
    fn what_is_missing_is_named_with_its_field() {
        let field = |pipe: &str, access: &str, test: &str| of(pipe, access, test).unwrap_err().field;
        assert_eq!(field("to: SEW, size: 110 mm", "", "covers: [D1], plugs: [WC1]"), "pipes.D1.length");
        assert_eq!(field("to: SEW, size: unknown, length: 1.0 m", "", "covers: [D1], plugs: [WC1]"), "pipes.D1.size");
        assert_eq!(
            field("to: SEW, size: 100 mm, material: clay, length: 1.0 m", "", "covers: [D1], plugs: [WC1]"),
            "pipes.D1.bore"
        );
        assert_eq!(
            field("to: IC1, size: 110 mm, length: 1.0 m", "", "covers: [D1], plugs: [WC1]"),
            "access.IC1.across"
        );
        assert_eq!(
            field("to: SEW, size: 110 mm, length: 1.0 m", ", across: 450 mm", "covers: [IC1]"),
            "tests.T1.filled"
        );
        assert_eq!(field("to: SEW, size: 110 mm, length: 1.0 m", "", "covers: []"), "tests.T1.covers");
        let plug = "covers: [D1], plugs: [D1 0.40 m up from SEW]";
        assert_eq!(field("to: SEW, size: 110 mm, length: 1.0 m", "", plug), "tests.T1.plugs");
    }
}
