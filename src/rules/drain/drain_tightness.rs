//! Each new drain has passed a test for tightness that still speaks for it, after it was covered.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Verdict;
use crate::base::finding::Weight;
use crate::base::known::How;
use crate::base::known::Known;
use crate::base::text::day;
use crate::base::units::Length;
use crate::compute::tightness::Outcome;
use crate::record::evidence::Test;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;
use crate::record::words::Stage;
use crate::record::words::TestKind;
use crate::rulebook::Facts;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::driver::Measure;
use crate::rules::driver::Subject;
use crate::rules::driver::hold;
use crate::rules::driver::unsettled;
use chrono::NaiveDate;

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("drain-tightness"),
    title: "Tightness of a drain under test",
    weight: Weight::Clause,
    due: Moment::AfterCover,
    check,
};

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    let drains = ctx.new_drains().map(|(leg, item)| drain(ctx, rule, leg, item));
    let mut all: Vec<Finding> = drains.collect();
    all.extend(ctx.record.tests.iter().zip(&ctx.computed.tests).filter_map(|(item, outcome)| {
        let later = outcome.replaced_by.and_then(|t| ctx.record.tests.at(t))?;
        let speaks = !item.broken && is_tightness(outcome);
        let mut out = speaks.then(|| lost(ctx, &of_test(rule, item), item, outcome))?;
        out.replaced_by = Some(later.id.clone());
        (out.verdict == Verdict::NotMet).then_some(out)
    }));
    all
}

fn is_tightness(outcome: &Outcome) -> bool {
    matches!(outcome.kind, Some(TestKind::DrainAir | TestKind::DrainWater))
}

fn of_test<'a>(rule: &'a Rule, item: &Item<Test>) -> Subject<'a> {
    let readings = &item.body.readings;
    Subject {
        id: item.id.clone(),
        span: if readings.is_absent() { item.id_span } else { readings.span },
        planned: false,
        field: format!("tests.{}.readings", item.id),
        rule,
    }
}

/// The latest standing test that covers a drain speaks for it.
fn drain(ctx: &Ctx<'_>, rule: &Rule, leg: usize, item: &Item<Pipe>) -> Finding {
    let own = Subject {
        id: item.id.clone(),
        span: item.id_span,
        planned: item.body.stage_now() == Stage::Planned,
        field: "tests".to_owned(),
        rule,
    };
    let pipe = ctx.network.legs.get(leg).map_or(leg, |l| l.pipe);
    let tests = ctx.record.tests.iter().zip(&ctx.computed.tests);
    let standing =
        tests.filter(|(t, o)| !t.broken && o.replaced_by.is_none() && is_tightness(o) && o.covers.contains(&pipe));
    let Some((test, outcome)) = standing.max_by_key(|(t, _)| t.body.date.get().copied()) else {
        return open(ctx, &own, format!("a test of {}", item.id));
    };
    let mut out =
        lost(ctx, &Subject { id: item.id.clone(), planned: own.planned, ..of_test(rule, test) }, test, outcome);
    out.measured =
        format!("{}{}", test.id, if out.measured.is_empty() { String::new() } else { format!(": {}", out.measured) });
    let stale = outcome.stale.iter().find(|(p, _)| *p == pipe).map(|(_, d)| *d);
    let day_of = test.body.date.get().copied();
    if let Some(changed) = stale {
        unsettled(&mut out, &own, format!("a test of {} since it was changed on {}", item.id, day(changed)));
    } else if day_of.is_none() {
        let own = Subject { field: format!("tests.{}.date", test.id), ..own };
        unsettled(&mut out, &own, format!("the day of {}", test.id));
    } else if let Some(cover) = covered(ctx, &item.id).filter(|c| day_of.is_some_and(|d| d < *c))
        && out.verdict == Verdict::Met
    {
        unsettled(&mut out, &own, format!("a test of {} after it was covered on {}", item.id, day(cover)));
    }
    out
}

/// The last day on which a closing that is done hid it.
fn covered(ctx: &Ctx<'_>, id: &str) -> Option<NaiveDate> {
    let done = ctx.record.closings.iter().map(|c| &c.value).filter(|c| c.stage.get() != Some(&Stage::Planned));
    let hides = done.filter(|c| c.hides.get().is_some_and(|l| l.0.iter().any(|m| m.value.id == id)));
    hides.filter_map(|c| c.date.get().copied()).max()
}

fn open(ctx: &Ctx<'_>, subject: &Subject<'_>, settle: String) -> Finding {
    let answer = ctx.rulebook.ask(key::DRAIN_AIR_TEST_LOSS_MAXIMUM, &Facts::new());
    let mut out =
        hold(subject, &Measure::Missing(settle.clone()), &answer, |_: &Length, _| (String::new(), String::new()));
    unsettled(&mut out, subject, settle);
    out
}

/// What a test lost, against what it may; a test that began too low or was too short shows nothing by a small loss.
fn lost(ctx: &Ctx<'_>, subject: &Subject<'_>, test: &Item<Test>, outcome: &Outcome) -> Finding {
    if outcome.kind == Some(TestKind::DrainWater) {
        return open(ctx, subject, "how many litres were added, over which the water test is judged".to_owned());
    }
    let (Some(loss), Some(minutes), Some((_, start))) = (outcome.lost, outcome.minutes, outcome.first) else {
        return open(ctx, subject, format!("two readings of {}", test.id));
    };
    let readings = test.body.readings.get();
    let widest = readings.into_iter().flat_map(|m| &m.0).filter_map(|(_, f)| f.get().map(|m| m.half)).max();
    let half = widest.map_or(Length::ZERO, |h| h + h);
    let believed = readings.into_iter().flat_map(|m| &m.0).any(|(_, f)| ctx.record.how(f) == How::Believed);
    let how = if believed { How::Believed } else { How::Computed };
    let words = format!("{}\u{a0}mm in {minutes}\u{a0}min", loss.millimetres());
    let answer = ctx.rulebook.ask(key::DRAIN_AIR_TEST_LOSS_MAXIMUM, &Facts::new());
    let mut out = hold(subject, &Measure::length(Known { value: loss, half, how }, words), &answer, |limit, found| {
        let over = (*found - *limit).millimetres();
        (format!("{over}\u{a0}mm more than may be lost"), "find the leak, then test again".to_owned())
    });
    let shortest = ctx.rulebook.ask(key::DRAIN_AIR_TEST_MINUTES_MINIMUM, &Facts::new());
    let lowest = ctx.rulebook.ask(key::DRAIN_AIR_TEST_START_MINIMUM, &Facts::new());
    if let (Some(limit), Some(least), Some(from)) = (answer.limit(), shortest.limit(), lowest.limit()) {
        let held = i64::from(least.value);
        out.limit = format!("{} in {held}\u{a0}min", limit.words());
        if out.verdict == Verdict::Met && minutes < held {
            unsettled(&mut out, subject, format!("a reading after {held} minutes"));
        } else if out.verdict == Verdict::NotMet && minutes > held {
            unsettled(
                &mut out,
                subject,
                format!("the reading after {held} minutes, for the loss is over a longer time"),
            );
        } else if out.verdict == Verdict::Met && !from.met_by(&start) {
            unsettled(&mut out, subject, format!("a test from {} on the gauge", from.words()));
        } else if out.verdict == Verdict::Met && loss < -half {
            unsettled(&mut out, subject, "a steady gauge: it rose during the test".to_owned());
        }
    }
    out
}
