//! Legs: pipes with a length and a fall, and how one enters another.
//!
//! Each pipe is one leg. Where its gradient changes along the way, its knees part it into pieces.

use crate::base::known::How;
use crate::base::known::Known;
use crate::base::known::KnownGradient;
use crate::base::series::SeriesRow;
use crate::base::series::series;
use crate::base::size::Nominal;
use crate::base::units::Gradient;
use crate::base::units::Length;
use crate::network::ends::End;
use crate::network::ends::Ends;
use crate::network::kind::Derived;
use crate::network::kind::Kind;
use crate::record::pipework::Pipe;
use crate::record::quantity::Fall;
use crate::record::quantity::Station;
use crate::record::sections::Record;
use crate::record::words::Entry;
use crate::record::words::Meets;

/// Where a pipe enters another.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Join {
    /// The leg that receives it.
    pub receiver: usize,
    /// Distance from the receiver's upper end, along it; `None` on a stack.
    pub along: Option<Known<Length>>,
    /// Invert of the branch's lower end above the receiver's invert at that place.
    pub offset: Length,
    /// Which lines meet, and whether that is a default.
    pub meets: Meets,
    /// Whether `meets` was taken by default.
    pub by_default: bool,
}

/// A place between the ends of a leg at which the record gives its invert.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Knee {
    /// Its distance from the upper end.
    pub along: Known<Length>,
    /// Its entry in the pipe's `il-along`.
    pub entry: usize,
}

/// A pipe with what stands at its ends.
#[derive(Clone, Debug)]
pub struct Leg {
    /// Its pipe, by position in the record.
    pub pipe: usize,
    /// What it is, and why.
    pub derived: Derived,
    /// What stands at its ends.
    pub ends: Ends,
    /// Its size.
    pub nominal: Option<Nominal>,
    /// Inside diameter, as recorded or where its series is cited.
    pub bore: Option<Length>,
    /// Whether the inside diameter rests on a figure that was recalled and not read.
    pub bore_recalled: bool,
    /// Outside diameter, as recorded or where its series is cited.
    pub outside: Option<Length>,
    /// Its length as recorded.
    pub length: Option<Known<Length>>,
    /// The gradient as recorded, when the record gives one.
    pub given: Option<KnownGradient>,
    /// The fall over its length as recorded, or that follows from the recorded gradient.
    pub drop: Option<Known<Length>>,
    /// Where its invert is given between its ends, with the flow.
    pub knees: Vec<Knee>,
    /// Where it enters another pipe.
    pub join: Option<Join>,
    /// Height of its centre line above the foot of the stack it enters, when that is what the record gives.
    pub above_foot: Option<Known<Length>>,
}

/// Builds the legs of every pipe, in the order of the record.
pub fn build(record: &Record, ends: &[Ends], kinds: &[Derived]) -> Vec<Leg> {
    let mut legs: Vec<Leg> = record
        .pipes
        .iter()
        .enumerate()
        .zip(ends.iter().zip(kinds))
        .map(|((i, item), (ends, derived))| leg(record, i, &item.body, *ends, derived))
        .collect();
    for i in 0..legs.len() {
        let (join, knees) = (join(record, &legs, i), knees(record, &legs, i));
        if let Some(leg) = legs.get_mut(i) {
            (leg.join, leg.knees) = (join, knees);
        }
    }
    legs
}

fn leg(record: &Record, i: usize, pipe: &Pipe, ends: Ends, derived: &Derived) -> Leg {
    let nominal = pipe.size.get().map(|s| s.nominal);
    let words = |f: &crate::record::value::Field<crate::record::words::Words>| f.get().map(|w| w.0.clone());
    let (material, joints) = (words(&pipe.material), words(&pipe.joints));
    let row = nominal.and_then(|n| series(n, material.as_deref(), joints.as_deref()).and_then(|s| s.row(n)));
    let length = pipe.length.get().map(|m| Known { value: m.value, half: m.half, how: record.how(&pipe.length) });
    let given = gradient(record, pipe);
    let slope_length = matches!(derived.kind, Kind::Branch | Kind::CommonBranch);
    let drop = match pipe.fall.get() {
        Some(Fall::Drop(m)) => Some(Known { value: m.value, half: m.half, how: record.how(&pipe.fall) }),
        Some(Fall::Gradient { .. }) => given.zip(length).map(|(g, l)| drop_of(g, l, slope_length)),
        None => None,
    };
    Leg {
        pipe: i,
        derived: derived.clone(),
        ends,
        nominal,
        bore: pipe.bore.get().map(|m| m.value).or_else(|| row.map(SeriesRow::bore)),
        bore_recalled: pipe.bore.get().is_none() && row.is_some_and(SeriesRow::bore_recalled),
        outside: pipe.outside.get().map(|m| m.value).or_else(|| row.map(|r| r.outside)),
        length,
        given,
        drop,
        knees: Vec::new(),
        join: None,
        above_foot: match pipe.at.get() {
            Some(Station::AboveFoot(m)) => Some(Known { value: m.value, half: m.half, how: record.how(&pipe.at) }),
            Some(Station::Along { .. } | Station::Level(_)) | None => None,
        },
    }
}

/// The recorded gradient, as wide as its last digit or its instrument's spread over a distance, whichever is wider.
fn gradient(record: &Record, pipe: &Pipe) -> Option<KnownGradient> {
    let Fall::Gradient { value, flattest, steepest, .. } = pipe.fall.get()? else { return None };
    let how = record.how(&pipe.fall);
    let known = KnownGradient { value: *value, flattest: *flattest, steepest: *steepest, how };
    let spread = record.spread(Some(&pipe.kit)).filter(|_| how == How::Measured);
    let Some((wide, over)) = spread.and_then(|s| s.over.map(|over| (s.value, over))) else { return Some(known) };
    // value ± wide/over, as one fraction: (fall·over ± wide·run) ÷ (run·over), kept small by working over one metre.
    let metre = Length::from_mm(1000);
    let fall = value.fall_over(metre);
    let by = wide.share(metre, over);
    let low = Gradient::new(fall - by, metre).unwrap_or(*flattest).min(*flattest);
    let high = Gradient::new(fall + by, metre).unwrap_or(*steepest).max(*steepest);
    Some(KnownGradient { flattest: low, steepest: high, ..known })
}

/// The fall over a length; a length along the barrel is first laid flat.
fn drop_of(g: KnownGradient, length: Known<Length>, slope_length: bool) -> Known<Length> {
    let plan = if slope_length { plan_of(length.value, g.value) } else { length.value };
    let value = g.value.fall_over(plan);
    let low = g.flattest.fall_over(plan);
    let high = g.steepest.fall_over(plan);
    let half = (high - value).abs().max((value - low).abs()) + g.value.fall_over(length.half).abs();
    Known { value, half, how: g.how.with(length.how) }
}

/// Plan length of a length along a barrel at a gradient: L ÷ √(1 + g²), in whole micrometres.
fn plan_of(length: Length, g: Gradient) -> Length {
    let (fall, run) = (i128::from(g.fall().um()), i128::from(g.run().um()));
    let hypotenuse = (fall * fall + run * run).unsigned_abs().isqrt();
    let hypotenuse = i64::try_from(hypotenuse).unwrap_or(i64::MAX);
    length.share(g.run(), Length::from_um(hypotenuse))
}

/// Plan length of a leg whose fall is known: as recorded for a drain, √(L² − fall²) for a length along the barrel.
pub fn plan_length(leg: &Leg, drop: Length) -> Option<Known<Length>> {
    let length = leg.length?;
    if !matches!(leg.derived.kind, Kind::Branch | Kind::CommonBranch) {
        return Some(length);
    }
    let (l, d) = (i128::from(length.value.um()), i128::from(drop.um()));
    let plan = i64::try_from((l * l - d * d).max(0).unsigned_abs().isqrt()).unwrap_or(i64::MAX);
    Some(Known { value: Length::from_um(plan), ..length })
}

/// How leg `i` enters another, when that can be said.
fn join(record: &Record, legs: &[Leg], i: usize) -> Option<Join> {
    let own = legs.get(i)?;
    let pipe = &record.pipes.at(own.pipe)?.body;
    let End::Pipe(r) = own.ends.to else { return None };
    let receiver = legs.get(r)?;
    if own.derived.kind == Kind::Stack {
        // A stack's foot and the upper end of its drain are one place: invert meets invert.
        let along = Some(Known::exact(Length::ZERO, How::Computed));
        return Some(Join { receiver: r, along, offset: Length::ZERO, meets: Meets::Invert, by_default: true });
    }
    let (meets, by_default) = meeting(pipe, own, receiver)?;
    if receiver.derived.kind == Kind::Stack {
        return Some(Join { receiver: r, along: None, offset: Length::ZERO, meets, by_default });
    }
    let along = match pipe.at.get() {
        Some(Station::Along { distance, up, from }) => {
            let distance = Known { value: distance.value, half: distance.half, how: record.how(&pipe.at) };
            from_upper_end(record, receiver, distance, *up, from)?
        }
        Some(Station::Level(_) | Station::AboveFoot(_)) => return None,
        None if receiver.ends.from == End::Pipe(i) => Known::exact(Length::ZERO, How::Computed),
        None => return None,
    };
    let offset = offset(meets, own.bore, receiver.bore)?;
    Some(Join { receiver: r, along: Some(along), offset, meets, by_default })
}

/// The places inside a leg at which its invert is given, with the flow.
fn knees(record: &Record, legs: &[Leg], i: usize) -> Vec<Knee> {
    let mut all: Vec<Knee> =
        inverts_along(record, legs, i).filter(|k| k.along.value > Length::ZERO && !ends_at(legs.get(i), k)).collect();
    all.sort_by_key(|k| (k.along.value, k.entry));
    all
}

/// Every place of a leg's `il-along`, also those at its very ends.
pub fn inverts_along<'a>(record: &'a Record, legs: &'a [Leg], i: usize) -> impl Iterator<Item = Knee> + 'a {
    let leg = legs.get(i);
    let along = leg.and_then(|l| record.pipes.at(l.pipe)).and_then(|p| p.body.il_along.get());
    along.into_iter().flat_map(|m| m.iter()).enumerate().filter_map(move |(entry, (place, field))| {
        let distance = Known { value: place.distance.value, half: place.distance.half, how: record.how(field) };
        let along = from_upper_end(record, leg?, distance, place.up, &place.from)?;
        Some(Knee { along, entry })
    })
}

/// Whether a place is the lower end of its leg.
pub fn ends_at(leg: Option<&Leg>, knee: &Knee) -> bool {
    leg.and_then(|l| l.length).is_some_and(|l| knee.along.value == l.value)
}

/// A station's distance from the upper end of its leg; `None` when it is measured from something else, or lies outside.
pub fn from_upper_end(record: &Record, leg: &Leg, at: Known<Length>, up: bool, from: &str) -> Option<Known<Length>> {
    let lower = names(record, leg.ends.to, from);
    let upper = names(record, leg.ends.from, from);
    match (up, lower, upper) {
        (true, true, _) => {
            let length = leg.length?;
            let value = length.value - at.value;
            (value >= Length::ZERO).then_some(Known {
                value,
                half: at.half + length.half,
                how: at.how.with(length.how),
            })
        }
        (false, _, true) => {
            let inside = leg.length.is_none_or(|l| at.value <= l.value);
            inside.then_some(at)
        }
        _ => None,
    }
}

fn names(record: &Record, end: End, id: &str) -> bool {
    let found = match end {
        End::Appliance(i) => record.appliances.at(i).map(|x| x.id.as_str()),
        End::Pipe(i) => record.pipes.at(i).map(|x| x.id.as_str()),
        End::Access(i) => record.access.at(i).map(|x| x.id.as_str()),
        End::Outfall(i) => record.outfalls.at(i).map(|x| x.id.as_str()),
        End::Temporary | End::Unknown | End::Absent => None,
    };
    found == Some(id)
}

/// Which lines meet: as said, else centre for a boss or a stack, invert for an equal junction, soffit at a change of
/// size. An entry of which nothing is said gives none.
fn meeting(pipe: &Pipe, own: &Leg, receiver: &Leg) -> Option<(Meets, bool)> {
    if let Some(meets) = pipe.meets.get() {
        return Some((*meets, false));
    }
    if receiver.derived.kind == Kind::Stack {
        return Some((Meets::Centre, true));
    }
    let series = receiver.ends.from == End::Pipe(own.pipe);
    if pipe.entry.get().is_none() && !series {
        return None;
    }
    if pipe.entry.get() == Some(&Entry::Boss) {
        return Some((Meets::Centre, true));
    }
    let equal = own.nominal.is_some() && own.nominal == receiver.nominal;
    Some((if equal { Meets::Invert } else { Meets::Soffit }, true))
}

/// How far the invert of a pipe lies above that of the one it enters, by the lines that meet and both inside diameters.
pub fn offset(meets: Meets, own: Option<Length>, receiver: Option<Length>) -> Option<Length> {
    match meets {
        Meets::Invert => Some(Length::ZERO),
        Meets::Soffit => Some(receiver? - own?),
        Meets::Centre => Some(Length::from_um((receiver? - own?).um() / 2)),
        Meets::Channel => None,
    }
}
