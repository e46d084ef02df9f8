//! The air test of the guidance: what the gauge fell in so many minutes.

use crate::base::finding::Finding;
use crate::base::finding::Verdict;
use crate::base::known::Known;
use crate::base::units::Length;
use crate::compute::tightness::in_minutes;
use crate::record::words::TestMethod;
use crate::rulebook::Fact;
use crate::rulebook::Facts;
use crate::rulebook::key;
use crate::rules::drain::drain_tightness::Judged;
use crate::rules::driver::Measure;
use crate::rules::driver::hold;
use crate::rules::driver::unsettled;

/// What a test lost, against what it may; a test that began too low or was too short shows nothing by a small loss.
pub(super) fn judge(j: &Judged<'_, '_>) -> Finding {
    let answer = j.ctx.rulebook.ask(key::DRAIN_AIR_TEST_LOSS_MAXIMUM, &Facts::new());
    let outcome = j.outcome;
    let (Some(loss), Some(seconds), Some((_, start))) = (outcome.lost, outcome.seconds, outcome.first) else {
        return j.open(&answer, "readings", format!("two readings of {}", j.test.id));
    };
    let half = j.widest().map_or(Length::ZERO, |g| g.half + g.half);
    let words = format!("{}\u{a0}mm in {}", loss.millimetres(), in_minutes(seconds));
    let measure = Measure::length(Known { value: loss, half, how: j.how_read() }, words);
    let mut out = hold(j.subject, &measure, &answer, |limit, found| {
        let over = (*found - *limit).millimetres();
        (format!("{over}\u{a0}mm more than may be lost"), "find the leak, then test again".to_owned())
    });
    let shortest = j.ctx.rulebook.ask(key::DRAIN_AIR_TEST_MINUTES_MINIMUM, &Facts::new());
    let lowest = j.ctx.rulebook.ask(key::DRAIN_AIR_TEST_START_MINIMUM, &Facts::new());
    let (Some(limit), Some(least), Some(from)) = (answer.limit(), shortest.limit(), lowest.limit()) else {
        return out;
    };
    if let Some(what) = of_a_method(j) {
        return j.open(&answer, "method", what);
    }
    let held = i64::from(least.value);
    out.limit = format!("{} in {held}\u{a0}min", limit.words());
    let open = match out.verdict {
        Verdict::Met if seconds < held * 60 => Some(format!("a reading after {held} minutes")),
        Verdict::NotMet if seconds > held * 60 => {
            Some(format!("the reading after {held} minutes, for the loss is over a longer time"))
        }
        Verdict::Met if !from.met_by(&start) => Some(format!("a test from {} on the gauge", from.words())),
        Verdict::Met if loss < -half => Some("a steady gauge: it rose during the test".to_owned()),
        _ => None,
    };
    if let Some(what) = open {
        unsettled(&mut out, j.subject, what);
    }
    out
}

/// A gauge read as a pressure, or one that starts as high as the second method of BS EN 1610, is not read by the
/// guidance, which tells its test in millimetres of water: by what it is to be judged, only the record can say.
fn of_a_method(j: &Judged<'_, '_>) -> Option<String> {
    let facts = Facts::new().with(Fact::TestMethod, TestMethod::Lb.word());
    let answer = j.ctx.rulebook.ask(key::TIGHTNESS_AIR_START_MINIMUM, &facts);
    let (start, _) = j.outcome.pressures?;
    let high = answer.limit().is_some_and(|limit| limit.met_by(&start));
    let pressed = j.widest().is_some_and(|gauge| gauge.is_pressure());
    (high || pressed).then(|| "by which method it was done".to_owned())
}
