//! A water test: the litres added, over the surface that was wet, and whether the drain stood full and high enough.

use crate::base::finding::Finding;
use crate::base::finding::Verdict;
use crate::base::known::How;
use crate::base::units::Length;
use crate::base::units::fixed;
use crate::base::water::PerArea;
use crate::base::water::Pressure;
use crate::base::water::Volume;
use crate::compute::tightness::in_minutes;
use crate::compute::tightness::wetted::Wetted;
use crate::record::gauge::Litres;
use crate::rulebook::Answer;
use crate::rulebook::Fact;
use crate::rulebook::Facts;
use crate::rulebook::Key;
use crate::rulebook::key;
use crate::rules::drain::drain_tightness::Judged;
use crate::rules::driver::Measure;
use crate::rules::driver::about;
use crate::rules::driver::hold;
use crate::rules::driver::unsettled;

/// What the record does not show: the field of the test, and in words.
type Open = (&'static str, String);

/// Whose test it is.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Basis {
    /// The guidance's own.
    Guidance,
    /// Method W of BS EN 1610.
    MethodW,
}

impl Basis {
    fn added(self) -> Key<PerArea> {
        match self {
            Basis::Guidance => key::DRAIN_WATER_TEST_ADDED_MAXIMUM,
            Basis::MethodW => key::TIGHTNESS_WATER_ADDED_MAXIMUM,
        }
    }

    fn minutes(self) -> Key<u32> {
        match self {
            Basis::Guidance => key::DRAIN_WATER_TEST_MINUTES_MINIMUM,
            Basis::MethodW => key::TIGHTNESS_WATER_MINUTES_MINIMUM,
        }
    }

    fn soak(self) -> Key<u32> {
        match self {
            Basis::Guidance => key::DRAIN_WATER_TEST_SOAK_MINIMUM,
            Basis::MethodW => key::TIGHTNESS_WATER_SOAK_MINIMUM,
        }
    }
}

/// What a test took, against what it may; one that was too short, too low or not soaked shows nothing by taking little.
pub(super) fn judge(j: &Judged<'_, '_>, basis: Basis) -> Finding {
    let outcome = j.outcome;
    let answer = j.ctx.rulebook.ask(basis.added(), &Facts::new().with(Fact::UnderTest, outcome.under_test()));
    let Some(added) = outcome.added else {
        let what = "how many litres were added, over which the water test is judged";
        return j.open(&answer, "added", what.to_owned());
    };
    let wetted = match &outcome.wetted {
        Some(Ok(wetted)) => *wetted,
        Some(Err(missing)) => return j.open_at(&answer, missing.field.clone(), missing.what.clone()),
        None => return j.open(&answer, "covers", "which pipes were filled".to_owned()),
    };
    let Some(measure) = measure(j, added, &wetted) else {
        return j.open(&answer, "added", "litres over a surface that is larger than its own spread".to_owned());
    };
    let mut out = hold(j.subject, &measure, &answer, |limit, _| {
        let over = (added.value - wetted.allowed(*limit)).litres(3);
        (format!("{over}\u{a0}l more than may be added"), "find the leak, then test again".to_owned())
    });
    if let Some(limit) = answer.limit() {
        out.limit = limit_words(j, basis, limit.value, &wetted);
    }
    let open = match out.verdict {
        Verdict::Met => lasted(j, basis, false).or_else(|| soaked(j, basis)).or_else(|| head(j, basis)),
        Verdict::NotMet => lasted(j, basis, true).or_else(|| too_high(j, basis)),
        Verdict::NotShown | Verdict::NotApplicable => None,
    };
    if let Some((field, what)) = open {
        unsettled(&mut out, &j.at(field), what);
    }
    out
}

fn measure(j: &Judged<'_, '_>, added: Litres, wetted: &Wetted) -> Option<Measure<PerArea>> {
    let how = j.ctx.record.how(&j.test.body.added).with(wetted.how);
    let least = Volume::from_ul((added.value - added.half).ul().max(0));
    let over = j.outcome.seconds.map_or(String::new(), |s| format!(" in {}", in_minutes(s)));
    Some(Measure::Is {
        value: PerArea::of(added.value, wetted.mm2)?,
        low: PerArea::of(least, wetted.mm2.saturating_add(wetted.half_mm2))?,
        high: PerArea::of(added.value + added.half, wetted.mm2.saturating_sub(wetted.half_mm2))?,
        how,
        words: about(how, &format!("{}{over}", added.words())),
    })
}

/// `0.488 l in 30 min (0.15 l/m² of 3.25 m²)`.
fn limit_words(j: &Judged<'_, '_>, basis: Basis, rate: PerArea, wetted: &Wetted) -> String {
    let minutes = j.ctx.rulebook.ask(basis.minutes(), &Facts::new()).limit().map(|l| l.value);
    let over = minutes.map_or(String::new(), |m| format!(" in {m}\u{a0}min"));
    let litres = wetted.allowed(rate).litres(3);
    let per = fixed(i128::from(rate.ul_m2()), 1_000_000, 2);
    let square = fixed(i128::from(wetted.mm2), 1_000_000, 2);
    let name = if basis == Basis::MethodW { "W: " } else { "" };
    format!("{name}{litres}\u{a0}l{over} ({per}\u{a0}l/m² of {square}\u{a0}m²)")
}

/// Whether it lasted as long as is asked; litres of a longer time say nothing when they are too many.
fn lasted(j: &Judged<'_, '_>, basis: Basis, failed: bool) -> Option<Open> {
    let least = i64::from(j.ctx.rulebook.ask(basis.minutes(), &Facts::new()).limit()?.value);
    let believed = j.ctx.record.how(&j.test.body.lasted) == How::Believed;
    match j.outcome.seconds.filter(|_| !believed) {
        None => Some(("lasted", "over how long the water was added".to_owned())),
        Some(s) if !failed && s < least * 60 => Some(("lasted", format!("what was added over {least} minutes"))),
        Some(s) if failed && s > least * 60 => {
            Some(("lasted", format!("what was added in {least} minutes, for this is over a longer time")))
        }
        Some(_) => None,
    }
}

fn soaked(j: &Judged<'_, '_>, basis: Basis) -> Option<Open> {
    let least = i64::from(j.ctx.rulebook.ask(basis.soak(), &Facts::new()).limit()?.value);
    let field = &j.test.body.soak;
    match field.get().filter(|_| j.ctx.record.how(field) != How::Believed) {
        None => Some(("soak", "how long it stood full before the test".to_owned())),
        Some(soak) if soak.seconds < least * 60 => {
            Some(("soak", format!("{least} minutes of standing full before the test; this one had {}", soak.words)))
        }
        Some(_) => None,
    }
}

/// Whether the water stood high enough, not too high, and steady. Chambers alone are filled to a depth, and have no
/// head to be held against.
fn head(j: &Judged<'_, '_>, basis: Basis) -> Option<Open> {
    if j.outcome.parts.is_empty() {
        return None;
    }
    let Some(head) = measured_head(j) else {
        return Some(("head", "how high the water stood above the highest invert".to_owned()));
    };
    let ask = |k| j.ctx.rulebook.ask(k, &Facts::new());
    let low = match basis {
        Basis::Guidance => low(&ask(key::DRAIN_WATER_TEST_HEAD_MINIMUM), &head, "above the highest invert"),
        Basis::MethodW => {
            let at_top = Pressure::of_water(head - bore(j, Ord::max));
            let answer = j.ctx.rulebook.ask(key::TIGHTNESS_WATER_PRESSURE_MINIMUM, &Facts::new());
            low(&answer, &at_top, "at the top of the highest pipe")
        }
    };
    let known_low = low_head(j).is_some();
    let lost = (!known_low).then(|| ("head-low", "how high the water stood above the lowest invert".to_owned()));
    low.map(|what| ("head", what)).or(lost).or_else(|| too_high(j, basis)).or_else(|| sunk(j, basis))
}

fn low<T: crate::rulebook::LimitValue>(answer: &Answer<T>, found: &T::Measured, place: &str) -> Option<String> {
    let limit = answer.limit().filter(|l| !l.met_by(found))?;
    Some(format!("a test with at least {} of water {place}", limit.words()))
}

/// Water that stands too high asks more than the test does, and may itself push a joint open.
fn too_high(j: &Judged<'_, '_>, basis: Basis) -> Option<Open> {
    let head = low_head(j)?;
    let most = match basis {
        Basis::Guidance => {
            let answer = j.ctx.rulebook.ask(key::DRAIN_WATER_TEST_HEAD_MAXIMUM, &Facts::new());
            answer.limit().filter(|l| !l.met_by(&head)).map(|l| format!("{} above the lowest invert", l.words()))
        }
        Basis::MethodW => {
            let answer = j.ctx.rulebook.ask(key::TIGHTNESS_WATER_PRESSURE_MAXIMUM, &Facts::new());
            let at_top = Pressure::of_water(head - bore(j, Ord::min));
            answer
                .limit()
                .filter(|l| !l.met_by(&at_top))
                .map(|l| format!("{} at the top of the lowest pipe", l.words()))
        }
    };
    most.map(|m| ("head-low", format!("a test with at most {m}")))
}

fn sunk(j: &Judged<'_, '_>, basis: Basis) -> Option<Open> {
    let sank = j.outcome.sank?;
    let words = match basis {
        Basis::Guidance => {
            let answer = j.ctx.rulebook.ask(key::DRAIN_WATER_TEST_SINKING_MAXIMUM, &Facts::new());
            answer.limit().filter(|l| !l.met_by(&sank)).map(|l| l.words())
        }
        Basis::MethodW => {
            let answer = j.ctx.rulebook.ask(key::TIGHTNESS_WATER_SINKING_MAXIMUM, &Facts::new());
            answer.limit().filter(|l| !l.met_by(&Pressure::of_water(sank))).map(|l| l.words())
        }
    };
    words.map(|w| ("readings", format!("water that was topped up before it sank by more than {w}")))
}

fn measured_head(j: &Judged<'_, '_>) -> Option<Length> {
    let field = &j.test.body.head;
    field.get().filter(|_| j.ctx.record.how(field) != How::Believed).map(|m| m.value)
}

/// The height above the lowest invert: as recorded, or what the inverts make of the height above the highest.
fn low_head(j: &Judged<'_, '_>) -> Option<Length> {
    let field = &j.test.body.head_low;
    if let Some(said) = field.get() {
        return (j.ctx.record.how(field) != How::Believed).then_some(said.value);
    }
    let head = measured_head(j)?;
    let network = j.ctx.network;
    let (mut top, mut bottom) = (None, None);
    for part in &j.outcome.parts {
        let (lowest, highest) = network.extremes(part.pipe)?;
        let (high, deep) = (*top.get_or_insert(highest), *bottom.get_or_insert(lowest));
        if highest.above(&high)?.value > Length::ZERO {
            top = Some(highest);
        }
        if deep.above(&lowest)?.value > Length::ZERO {
            bottom = Some(lowest);
        }
    }
    let between = top?.above(&bottom?)?;
    (between.how != How::Believed).then_some(head + between.value)
}

/// The largest or smallest bore under test; each is known once the wetted surface is.
fn bore(j: &Judged<'_, '_>, pick: fn(Length, Length) -> Length) -> Length {
    let bores = j.outcome.parts.iter().filter_map(|p| j.ctx.network.legs.get(p.pipe)?.bore);
    bores.reduce(pick).unwrap_or(Length::ZERO)
}
