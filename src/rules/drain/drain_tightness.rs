//! Each new drain has passed a test for tightness that still speaks for it, over its whole length, after it was covered.
//!
//! Which tests speak is said here; [`air`] and [`water`] hold one against the guidance, [`en_1610`] against a method of
//! BS EN 1610 where the record names one. The bases are never mixed: a test is held against one of them alone.

mod air;
mod en_1610;
mod water;

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Verdict;
use crate::base::finding::Weight;
use crate::base::known::How;
use crate::base::text::day;
use crate::base::units::Length;
use crate::compute::tightness::Outcome;
use crate::compute::tightness::cover::covered_on;
use crate::compute::tightness::coverage::Bare;
use crate::compute::tightness::coverage::Reach;
use crate::compute::tightness::coverage::bare;
use crate::record::evidence::Test;
use crate::record::gauge::Gauge;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;
use crate::record::words::Stage;
use crate::record::words::TestKind;
use crate::record::words::TestMethod;
use crate::rulebook::Answer;
use crate::rulebook::Facts;
use crate::rulebook::LimitValue;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::drain::drain_tightness::water::Basis;
use crate::rules::driver::Measure;
use crate::rules::driver::Subject;
use crate::rules::driver::governing;
use crate::rules::driver::hold;
use crate::rules::driver::unsettled;

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("drain-tightness"),
    title: "Tightness of a drain under test",
    weight: Weight::Clause,
    due: Moment::AfterCover,
    keys: &[
        key::DRAIN_AIR_TEST_LOSS_MAXIMUM.path(),
        key::TIGHTNESS_AIR_CONSTANT_MAXIMUM.path(),
        key::DRAIN_AIR_TEST_MINUTES_MINIMUM.path(),
        key::DRAIN_AIR_TEST_START_MINIMUM.path(),
        key::TIGHTNESS_AIR_START_MINIMUM.path(),
        key::TIGHTNESS_AIR_LOSS_MAXIMUM.path(),
        key::TIGHTNESS_AIR_OVER_SIZE.path(),
        key::TIGHTNESS_AIR_CHAMBER_SHARE.path(),
        key::DRAIN_WATER_TEST_ADDED_MAXIMUM.path(),
        key::TIGHTNESS_WATER_ADDED_MAXIMUM.path(),
        key::DRAIN_WATER_TEST_MINUTES_MINIMUM.path(),
        key::TIGHTNESS_WATER_MINUTES_MINIMUM.path(),
        key::DRAIN_WATER_TEST_SOAK_MINIMUM.path(),
        key::TIGHTNESS_WATER_SOAK_MINIMUM.path(),
        key::DRAIN_WATER_TEST_HEAD_MINIMUM.path(),
        key::TIGHTNESS_WATER_PRESSURE_MINIMUM.path(),
        key::DRAIN_WATER_TEST_HEAD_MAXIMUM.path(),
        key::TIGHTNESS_WATER_PRESSURE_MAXIMUM.path(),
        key::DRAIN_WATER_TEST_SINKING_MAXIMUM.path(),
        key::TIGHTNESS_WATER_SINKING_MAXIMUM.path(),
    ],
    check,
};

/// A test that is held against its basis.
struct Judged<'a, 'c> {
    ctx: &'a Ctx<'c>,
    subject: &'a Subject<'a>,
    test: &'a Item<Test>,
    outcome: &'a Outcome,
}

impl Judged<'_, '_> {
    /// The subject, to be settled by another field of the test.
    fn at(&self, field: &str) -> Subject<'_> {
        Subject { field: format!("tests.{}.{field}", self.test.id), ..self.subject.clone() }
    }

    /// Not shown, for want of something in a field of the test.
    fn open<T: LimitValue>(&self, answer: &Answer<T>, field: &str, what: String) -> Finding
    where
        T::Measured: Sized + Clone,
    {
        self.open_at(answer, format!("tests.{}.{field}", self.test.id), what)
    }

    /// Not shown, for want of something in a field of the record.
    fn open_at<T: LimitValue>(&self, answer: &Answer<T>, field: String, what: String) -> Finding
    where
        T::Measured: Sized + Clone,
    {
        let subject = Subject { field, ..self.subject.clone() };
        let mut out = hold(&subject, &Measure::Missing(what.clone()), answer, |_, _| (String::new(), String::new()));
        unsettled(&mut out, &subject, what);
        out
    }

    /// The reading with the widest spread.
    fn widest(&self) -> Option<Gauge> {
        let readings = self.test.body.readings.get().into_iter().flat_map(|m| &m.0);
        readings.filter_map(|(_, f)| f.get().copied()).max_by_key(|g| g.half_pressure)
    }

    /// How what was read is known.
    fn how_read(&self) -> How {
        let body = &self.test.body;
        let mut readings = body.readings.get().into_iter().flat_map(|m| &m.0);
        let believed = readings.any(|(_, f)| self.ctx.record.how(f) == How::Believed);
        let lasted = body.lasted.get().is_some() && self.ctx.record.how(&body.lasted) == How::Believed;
        if believed || lasted { How::Believed } else { How::Computed }
    }
}

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    let drains = ctx.new_drains().map(|(leg, item)| drain(ctx, rule, leg, item));
    let mut all: Vec<Finding> = drains.collect();
    all.extend(ctx.record.tests.iter().zip(&ctx.computed.tests).filter_map(|(item, outcome)| {
        let later = outcome.replaced_by.and_then(|t| ctx.record.tests.at(t));
        let by_air = outcome.kind == Some(TestKind::DrainAir) && outcome.method.is_some();
        let of_chambers = outcome.parts.is_empty() && !outcome.chambers.is_empty();
        let alone = of_chambers && (by_air || outcome.kind == Some(TestKind::DrainWater));
        // A test that was repeated stays while it failed; one of chambers alone speaks for no drain, but for itself.
        let speaks = !item.broken && is_tightness(outcome) && (later.is_some() || alone);
        let mut out = speaks.then(|| judge(ctx, &of_test(rule, item), item, outcome))?;
        out.replaced_by = later.map(|t| t.id.clone());
        (later.is_none() || out.verdict == Verdict::NotMet).then_some(out)
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

/// The newest standing tests that cover a drain speak for it, each for its part.
fn drain(ctx: &Ctx<'_>, rule: &Rule, leg: usize, item: &Item<Pipe>) -> Finding {
    let own = Subject {
        id: item.id.clone(),
        span: item.id_span,
        planned: item.body.stage_now() == Stage::Planned,
        field: "tests".to_owned(),
        rule,
    };
    let pipe = ctx.network.legs.get(leg).map_or(leg, |l| l.pipe);
    let length = ctx.network.legs.get(leg).and_then(|l| l.length).map(|l| l.value);
    let tests = ctx.record.tests.iter().zip(&ctx.computed.tests);
    let mut standing: Vec<(&Item<Test>, &Outcome, Reach)> = tests
        .filter(|(t, o)| !t.broken && o.replaced_by.is_none() && is_tightness(o))
        .filter_map(|(t, o)| o.reach(pipe).map(|reach| (t, o, reach)))
        .collect();
    standing.sort_by_key(|(t, ..)| t.body.date.get().copied());
    let (mut reached, mut left) = (Vec::new(), bare(length, &[]));
    let mut found = Vec::new();
    for (test, outcome, reach) in standing.into_iter().rev() {
        let before = left;
        reached.push(reach);
        left = bare(length, &reached);
        // An older test speaks for what the newer ones leave; one whose place is not told is never passed over.
        if left != before || found.is_empty() || reach == Reach::Unclear || before == Bare::Unmeasured {
            found.push(spoken(ctx, &own, pipe, item, (test, outcome, reach)));
        }
        if left == Bare::Nothing {
            break;
        }
    }
    if found.is_empty() {
        return open(ctx, &own, format!("a test of {}", item.id));
    }
    match left {
        Bare::Nothing => {}
        Bare::Of(rest) => {
            let what = format!("a test of the {}\u{a0}m of {} that no test covers", rest.metres(2), item.id);
            found.push(open(ctx, &own, what));
        }
        Bare::Unmeasured => found.push(open(ctx, &own, format!("a test of all of {}", item.id))),
    }
    let first = found.first().cloned();
    governing(found).or(first).unwrap_or_else(|| open(ctx, &own, format!("a test of {}", item.id)))
}

/// What one test says of a drain, and whether it still speaks for it.
fn spoken(
    ctx: &Ctx<'_>,
    own: &Subject<'_>,
    pipe: usize,
    item: &Item<Pipe>,
    (test, outcome, reach): (&Item<Test>, &Outcome, Reach),
) -> Finding {
    let subject = Subject { id: item.id.clone(), planned: own.planned, ..of_test(own.rule, test) };
    let mut out = judge(ctx, &subject, test, outcome);
    out.measured =
        format!("{}{}", test.id, if out.measured.is_empty() { String::new() } else { format!(": {}", out.measured) });
    let stale = outcome.stale.iter().find(|(p, _)| *p == pipe).map(|(_, d)| *d);
    let day_of = test.body.date.get().copied();
    let at = |field: &str| Subject { field: format!("tests.{}.{field}", test.id), ..own.clone() };
    if let Some(changed) = stale {
        unsettled(&mut out, own, format!("a test of {} since it was changed on {}", item.id, day(changed)));
    } else if day_of.is_none() {
        unsettled(&mut out, &at("date"), format!("the day of {}", test.id));
    } else if out.verdict == Verdict::Met && reach == Reach::Unclear {
        let what = if outcome.plugged {
            format!("where the plug of {} stood in {}, and on which side of it the test was", test.id, item.id)
        } else {
            format!("where {} was plugged", test.id)
        };
        unsettled(&mut out, &at("plugs"), what);
    } else if let Some(cover) = covered_on(ctx.record, &item.id).filter(|c| day_of.is_some_and(|d| d < *c))
        && out.verdict == Verdict::Met
    {
        unsettled(&mut out, own, format!("a test of {} after it was covered on {}", item.id, day(cover)));
    }
    out
}

fn open(ctx: &Ctx<'_>, subject: &Subject<'_>, settle: String) -> Finding {
    let answer = ctx.rulebook.ask(key::DRAIN_AIR_TEST_LOSS_MAXIMUM, &Facts::new());
    let mut out =
        hold(subject, &Measure::Missing(settle.clone()), &answer, |_: &Length, _| (String::new(), String::new()));
    unsettled(&mut out, subject, settle);
    out
}

/// Holds a test against its basis: a method of BS EN 1610 where the record names one, else the guidance.
fn judge(ctx: &Ctx<'_>, subject: &Subject<'_>, test: &Item<Test>, outcome: &Outcome) -> Finding {
    let j = Judged { ctx, subject, test, outcome };
    let water = outcome.kind == Some(TestKind::DrainWater);
    if let Some(at) = outcome.open_channel.filter(|_| !water).and_then(|a| ctx.record.access.at(a)) {
        let what = format!("an air test of each length by itself: {} between them has an open channel", at.id);
        return j.open(&ctx.rulebook.ask(key::DRAIN_AIR_TEST_LOSS_MAXIMUM, &Facts::new()), "plugs", what);
    }
    match (outcome.method, water) {
        (None, false) => air::judge(&j),
        (None, true) => water::judge(&j, Basis::Guidance),
        (Some(TestMethod::W), true) => water::judge(&j, Basis::MethodW),
        (Some(method @ (TestMethod::La | TestMethod::Lb | TestMethod::Lc | TestMethod::Ld)), false) => {
            en_1610::judge(&j, method)
        }
        (Some(method), _) => {
            let kind = if water { "a water test: W" } else { "an air test: LA, LB, LC or LD" };
            let answer = ctx.rulebook.ask(key::TIGHTNESS_AIR_CONSTANT_MAXIMUM, &Facts::new());
            let mut out =
                j.open(&answer, "method", format!("a method that is one of {kind}; {} is not", method.word()));
            out.limit = String::new();
            out
        }
    }
}
