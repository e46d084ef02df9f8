//! An air test above ground held its pressure for its time without loss.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Weight;
use crate::base::known::How;
use crate::base::known::Known;
use crate::base::units::Length;
use crate::compute::tightness::Outcome;
use crate::record::evidence::Test;
use crate::record::sections::Item;
use crate::record::words::TestKind;
use crate::rulebook::Facts;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::driver::Measure;
use crate::rules::driver::Subject;
use crate::rules::driver::hold;
use crate::rules::driver::unsettled;

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("above-ground-air-test"),
    title: "Air test above ground",
    weight: Weight::Clause,
    due: Moment::AtTest,
    keys: &[
        key::AIR_TEST_LOSS_MAXIMUM.path(),
        key::AIR_TEST_PRESSURE_MINIMUM.path(),
        key::AIR_TEST_MINUTES_MINIMUM.path(),
    ],
    check,
};

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    let tests = ctx.record.tests.iter().zip(&ctx.computed.tests);
    let air = tests.filter(|(item, o)| !item.broken && o.kind == Some(TestKind::AboveGroundAir));
    air.map(|(item, outcome)| judge(ctx, rule, item, outcome)).collect()
}

fn judge(ctx: &Ctx<'_>, rule: &Rule, item: &Item<Test>, outcome: &Outcome) -> Finding {
    let readings = &item.body.readings;
    let subject = Subject {
        id: item.id.clone(),
        span: if readings.is_absent() { item.id_span } else { readings.span },
        planned: false,
        field: format!("tests.{}.readings", item.id),
        rule,
    };
    let ask = |k| ctx.rulebook.ask(k, &Facts::new());
    let (loss, start) = (ask(key::AIR_TEST_LOSS_MAXIMUM), ask(key::AIR_TEST_PRESSURE_MINIMUM));
    let time = ctx.rulebook.ask(key::AIR_TEST_MINUTES_MINIMUM, &Facts::new());
    let mut out = hold(&subject, &lost(ctx, item, outcome), &loss, |_: &Length, found| {
        (format!("{}\u{a0}mm lost", found.millimetres()), "find the leak and test again".to_owned())
    });
    let first = outcome.first.map(|(_, l)| l);
    let low = start.limit().zip(first).filter(|(limit, first)| !limit.met_by(first));
    let minutes = outcome.minutes.and_then(|m| u32::try_from(m).ok());
    let short = time.limit().zip(minutes).filter(|(limit, m)| !limit.met_by(m));
    if out.verdict == crate::base::finding::Verdict::Met {
        // A test that began too low, or was too short, shows nothing when it loses nothing.
        if let Some((limit, first)) = low {
            let began = first.millimetres();
            unsettled(
                &mut out,
                &subject,
                format!("a test that begins at {}; this one began at {began}\u{a0}mm", limit.words()),
            );
        } else if let Some((limit, minutes)) = short {
            let wanted = limit.value;
            unsettled(&mut out, &subject, format!("a test of {wanted}\u{a0}minutes; this one took {minutes}"));
        }
    }
    if let (Some(start), Some(time)) = (start.limit(), time.limit()) {
        out.limit = format!("{} for {}\u{a0}min, no loss", start.words(), time.value);
        out.recalled |= start.recalled || time.recalled;
    }
    let by = outcome.replaced_by.and_then(|t| ctx.record.tests.at(t));
    out.replaced_by = by.map(|t| t.id.clone());
    out
}

/// What was lost between first and last reading. Both are read off one gauge, so that its error is in both and what is
/// left is taken as read.
fn lost(ctx: &Ctx<'_>, item: &Item<Test>, outcome: &Outcome) -> Measure<Length> {
    let (Some((_, from)), Some(lost), Some(minutes)) = (outcome.first, outcome.lost, outcome.minutes) else {
        return Measure::Missing("two readings with their times".to_owned());
    };
    let fields = item.body.readings.get().into_iter().flat_map(|m| &m.0);
    let believed = fields.map(|(_, f)| ctx.record.how(f)).any(|how| how == How::Believed);
    let how = if believed { How::Believed } else { How::Computed };
    let words = format!("{}\u{a0}mm lost of {}\u{a0}mm in {minutes}\u{a0}min", lost.millimetres(), from.millimetres());
    Measure::length(Known::exact(lost, how), words)
}
