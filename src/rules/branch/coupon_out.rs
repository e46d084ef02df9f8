//! The disc cut from a stack for a boss was taken out. No clause asks for it; it advises.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Weight;
use crate::base::known::How;
use crate::network::ends::End;
use crate::network::kind::Kind;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;
use crate::record::words::Coupon;
use crate::record::words::Entry;
use crate::record::words::Stage;
use crate::rulebook::Facts;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::driver::Measure;
use crate::rules::driver::Subject;
use crate::rules::driver::hold;

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("coupon-out"),
    title: "Coupon of a boss taken out",
    weight: Weight::Advice,
    due: Moment::BeforeCover,
    keys: &[key::COUPON_OUT.path()],
    check,
};

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    let stack =
        |to| matches!(to, End::Pipe(p) if ctx.network.legs.get(p).is_some_and(|l| l.derived.kind == Kind::Stack));
    let legs = ctx.network.legs.iter().filter(|l| stack(l.ends.to));
    legs.filter_map(|leg| judge(ctx, rule, ctx.record.pipes.at(leg.pipe)?)).collect()
}

fn judge(ctx: &Ctx<'_>, rule: &Rule, item: &Item<Pipe>) -> Option<Finding> {
    let body = &item.body;
    let drilled = matches!(body.entry.get(), Some(Entry::Boss | Entry::Saddle));
    if item.broken || !drilled || matches!(body.stage_now(), Stage::Existing | Stage::Removed) {
        return None;
    }
    let subject = Subject {
        id: item.id.clone(),
        span: if body.coupon.is_absent() { item.id_span } else { body.coupon.span },
        planned: body.stage_now() == Stage::Planned,
        field: format!("pipes.{}.coupon", item.id),
        rule,
    };
    let how = ctx.record.how(&body.coupon);
    let measure = match (body.coupon.get(), photo(ctx, &item.id)) {
        (Some(Coupon::Inside), _) => Measure::plain(false, how, "inside the stack"),
        (Some(Coupon::Out), _) if how != How::Believed => Measure::plain(true, how, "out"),
        (_, Some(photo)) => Measure::plain(true, How::Measured, format!("out, {photo}")),
        (_, None) => Measure::Missing("that its coupon was taken out, or a photo of it".to_owned()),
    };
    let answer = ctx.rulebook.ask(key::COUPON_OUT, &Facts::new());
    let mut out = hold(&subject, &measure, &answer, |_: &bool, _| {
        ("the disc lies in the stack and can block it".to_owned(), "take it out before the stack is closed".to_owned())
    });
    out.limit = "out".to_owned();
    Some(out)
}

/// The first usable photo of its coupon.
fn photo<'a>(ctx: &Ctx<'a>, branch: &str) -> Option<&'a str> {
    let shows = |m: &crate::record::words::Mention| m.id == branch && m.part.as_deref() == Some("coupon");
    let of = ctx.record.photos.iter().filter(|p| !p.broken && p.body.shows.get().is_some_and(|l| l.iter().any(shows)));
    let usable = |id: &str| ctx.photos.get(id).is_none_or(|f| f.fault.is_none());
    of.map(|p| p.id.as_str()).find(|id| usable(id))
}
