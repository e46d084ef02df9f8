//! An air test by a method of BS EN 1610, LA to LD: the method's pressure, loss and time, and nothing of the guidance's.

use crate::base::finding::Finding;
use crate::base::finding::Verdict;
use crate::base::water::Pressure;
use crate::compute::formula::air_time;
use crate::compute::tightness::in_minutes;
use crate::record::words::TestMethod;
use crate::rulebook::Fact;
use crate::rulebook::Factor;
use crate::rulebook::Facts;
use crate::rulebook::Key;
use crate::rulebook::key;
use crate::rules::drain::drain_tightness::Judged;
use crate::rules::driver::Measure;
use crate::rules::driver::about;
use crate::rules::driver::hold;
use crate::rules::driver::unsettled;

/// What a test lost in the time that its method gives for the largest pipe under it; chambers alone take a share of it.
pub(super) fn judge(j: &Judged<'_, '_>, method: TestMethod) -> Finding {
    let facts = Facts::new().with(Fact::TestMethod, method.word()).with(Fact::DryConcrete, dry_concrete(j));
    let answer = j.ctx.rulebook.ask(key::TIGHTNESS_AIR_LOSS_MAXIMUM, &facts);
    let lowest = j.ctx.rulebook.ask(key::TIGHTNESS_AIR_START_MINIMUM, &facts);
    let (Some((first, last)), Some(seconds)) = (j.outcome.pressures, j.outcome.seconds) else {
        return j.open(&answer, "readings", format!("two readings of {}", j.test.id));
    };
    let size = match largest(j) {
        Ok(size) => size,
        Err((field, what)) => return j.open_at(&answer, field, what),
    };
    let lost = first - last;
    let half = j.widest().map_or(Pressure::ZERO, |g| g.half_pressure + g.half_pressure);
    let how = j.how_read();
    let words = about(how, &format!("{} in {}", lost.words(), in_minutes(seconds)));
    let measure = Measure::Is { value: lost, low: lost - half, high: lost + half, how, words };
    let mut out = hold(j.subject, &measure, &answer, |limit, found| {
        let over = (*found - *limit).words();
        (format!("{over} more than may be lost"), "find the leak, then test again".to_owned())
    });
    let (Some(limit), Some(from), Some(held)) = (answer.limit(), lowest.limit(), time(j, &facts, size)) else {
        return out;
    };
    let name = method.word();
    out.limit = format!("{name}: {} in {}", limit.words(), in_minutes(held));
    let open = match out.verdict {
        Verdict::Met if seconds < held => Some(format!("a reading after {}", in_minutes(held))),
        Verdict::NotMet if seconds > held => {
            Some(format!("the reading after {}, for the loss is over a longer time", in_minutes(held)))
        }
        Verdict::Met if !from.met_by(&first) => {
            let column = from.value.head().millimetres();
            Some(format!(
                "a test from {} on the gauge ({column}\u{a0}mm of water), as method {name} asks",
                from.words()
            ))
        }
        Verdict::Met if last > first + half => Some("a steady gauge: it rose during the test".to_owned()),
        _ => None,
    };
    if let Some(what) = open {
        unsettled(&mut out, j.subject, what);
    }
    out
}

/// The time that the method gives, in seconds.
fn time(j: &Judged<'_, '_>, facts: &Facts, size: u32) -> Option<i64> {
    let ask = |k: Key<Factor>| j.ctx.rulebook.ask(k, facts).limit().map(|l| l.value.value());
    let constant = air_time::constant(
        ask(key::TIGHTNESS_AIR_OVER_SIZE)?,
        ask(key::TIGHTNESS_AIR_CONSTANT_MAXIMUM)?,
        f64::from(size),
    );
    let pressure = |k: Key<Pressure>| j.ctx.rulebook.ask(k, facts).limit().map(|l| l.value.mbar());
    let (start, loss) = (pressure(key::TIGHTNESS_AIR_START_MINIMUM)?, pressure(key::TIGHTNESS_AIR_LOSS_MAXIMUM)?);
    let seconds = air_time::half_minutes(air_time::minutes(start, loss, constant)).saturating_mul(30);
    if !j.outcome.parts.is_empty() {
        return Some(seconds);
    }
    let share = ask(key::TIGHTNESS_AIR_CHAMBER_SHARE)?;
    Some(libm::ceil(seconds as f64 * share) as i64)
}

/// The largest pipe under test, which takes longest; or the field that would tell, and in words.
fn largest(j: &Judged<'_, '_>) -> Result<u32, (String, String)> {
    if j.outcome.parts.is_empty() && !j.outcome.chambers.is_empty() {
        return widest_chamber(j);
    }
    let mut size = None;
    for part in &j.outcome.parts {
        let id = j.ctx.network.id(part.pipe);
        let own = j.ctx.network.legs.get(part.pipe).and_then(|l| l.nominal);
        let own = own.ok_or_else(|| (format!("pipes.{id}.size"), format!("the size of {id}")))?;
        size = size.max(Some(u32::from(own.0)));
    }
    size.ok_or_else(|| (format!("tests.{}.covers", j.test.id), "which pipes were under test".to_owned()))
}

/// The inside size of the widest chamber under test, in whole millimetres.
fn widest_chamber(j: &Judged<'_, '_>) -> Result<u32, (String, String)> {
    let mut size = 0;
    for item in j.outcome.chambers.iter().filter_map(|at| j.ctx.record.access.at(*at)) {
        let across = item.body.across.get();
        let across =
            across.ok_or_else(|| (format!("access.{}.across", item.id), format!("the inside size of {}", item.id)))?;
        let widest = across.b.map_or(across.a, |b| b.max(across.a));
        size = size.max(u32::try_from(widest.um().saturating_add(999) / 1000).unwrap_or(u32::MAX));
    }
    Ok(size)
}

/// Whether every pipe under test is said to be of dry concrete, whose time is shorter.
fn dry_concrete(j: &Judged<'_, '_>) -> bool {
    let dry = |pipe: usize| {
        let said = j.ctx.record.pipes.at(pipe).and_then(|p| p.body.material.get());
        said.map(|w| w.0.to_lowercase()).is_some_and(|m| m.contains("dry") && m.contains("concrete"))
    };
    !j.outcome.parts.is_empty() && j.outcome.parts.iter().all(|p| dry(p.pipe))
}
