//! A drain is not narrower than the guidance asks for what it carries.

mod rain;
mod sewer;

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Verdict;
use crate::base::finding::Weight;
use crate::base::known::How;
use crate::base::size::Nominal;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;
use crate::rulebook::Fact;
use crate::rulebook::Facts;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::driver::Measure;
use crate::rules::driver::Subject;
use crate::rules::driver::hold;
use crate::rules::driver::unsettled;
use crate::rules::laid;

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("drain-size"),
    title: "Size of a drain",
    weight: Weight::Clause,
    due: Moment::BeforeCover,
    keys: &[key::DRAIN_SIZE_MINIMUM.path(), key::DRAIN_RAIN_SIZE_MINIMUM.path(), key::DRAIN_SEWER_SIZE_MINIMUM.path()],
    check,
};

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    let foul = ctx.foul_drains().map(|(leg, item)| {
        let own = judge(ctx, rule, leg, item);
        let sewer = sewer::judge(ctx, rule, leg, item).filter(|_| own.verdict != Verdict::NotMet);
        sewer.filter(|sewer| sewer.verdict != Verdict::Met).unwrap_or(own)
    });
    let rain = ctx.rain_drains().map(|(_, item)| rain::judge(ctx, rule, item));
    foul.chain(rain).collect()
}

/// The size of a drain as what is judged, and as it is measured; `more` follows it in words.
fn sized<'r>(ctx: &Ctx<'_>, rule: &'r Rule, item: &Item<Pipe>, more: &str) -> (Subject<'r>, Measure<Nominal>) {
    let size = &item.body.size;
    let measure = match size.get() {
        Some(s) => Measure::plain(s.nominal, ctx.record.how(size), format!("{}{more}", s.label)),
        None => Measure::Missing("its size".to_owned()),
    };
    (laid::subject(item, rule, "size", size), measure)
}

fn narrow(limit: &Nominal) -> (String, String) {
    (format!("narrower than {}", limit.words()), format!("a pipe of {} or more", limit.words()))
}

/// Where a WC may come down that the record does not show, the size for one is asked for first.
fn judge(ctx: &Ctx<'_>, rule: &Rule, leg: usize, item: &Item<Pipe>) -> Finding {
    let (subject, measure) = sized(ctx, rule, item, "");
    let flow = ctx.computed.flows.get(leg);
    let wcs = flow.map_or(0, |f| f.wcs);
    let lack = flow.and_then(|f| f.lacks).map(|lack| lack.words(ctx.network));
    let open = lack.or_else(|| flow.is_none_or(|f| f.appliances == 0).then(|| "what it carries".to_owned()));
    let Some(lack) = open.filter(|_| wcs == 0) else { return held(ctx, &subject, &measure, wcs) };
    let mut out = held(ctx, &subject, &measure, 1);
    if out.verdict == Verdict::NotMet && held(ctx, &subject, &measure, 0).verdict != Verdict::NotMet {
        let subject = Subject { field: format!("pipes.{}.from", item.id), ..subject };
        unsettled(&mut out, &subject, lack);
    }
    out
}

fn held(ctx: &Ctx<'_>, subject: &Subject<'_>, measure: &Measure<Nominal>, wcs: u32) -> Finding {
    let answer = ctx.rulebook.ask(key::DRAIN_SIZE_MINIMUM, &Facts::new().with(Fact::WcCount, wcs));
    let mut out = hold(subject, measure, &answer, |limit: &Nominal, _| narrow(limit));
    let believed = matches!(measure, Measure::Is { how: How::Believed, .. });
    if believed && out.verdict == Verdict::NotMet {
        unsettled(&mut out, subject, "its size, which is only believed".to_owned());
    }
    out
}
