//! What is hidden was photographed after it was fitted and before it was hidden. No clause asks for it; it advises.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::Remedy;
use crate::base::finding::RuleId;
use crate::base::finding::Verdict;
use crate::base::finding::Weight;
use crate::base::known::How;
use crate::base::span::Span;
use crate::base::text::day;
use crate::record::evidence::Closing;
use crate::record::evidence::PhotoItem;
use crate::record::sections::Item;
use crate::record::words::Mention;
use crate::record::words::Stage;
use crate::rulebook::Facts;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::driver::Measure;
use crate::rules::driver::Subject;
use crate::rules::driver::hold;
use chrono::NaiveDate;
use std::collections::BTreeMap;

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("photographed-before-cover"),
    title: "Photographed between fitting and covering",
    weight: Weight::Advice,
    due: Moment::BeforeCover,
    check,
};

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    let photos = by_item(ctx);
    let mut all = Vec::new();
    for closing in &ctx.record.closings {
        let Some(date) = closing.value.date.get() else { continue };
        for hidden in closing.value.hides.get().into_iter().flat_map(|l| &l.0) {
            let shown = photos.get(&(hidden.value.id.as_str(), hidden.value.part.as_deref()));
            let photos = shown.map_or(&[][..], Vec::as_slice);
            all.push(judge((ctx, rule, photos), (&closing.value, *date), &hidden.value, hidden.span));
        }
    }
    all
}

/// Photos by the item, and the part of it, that they show, each list in the order of the record.
type ByItem<'a> = BTreeMap<(&'a str, Option<&'a str>), Vec<&'a Item<PhotoItem>>>;

fn by_item<'a>(ctx: &Ctx<'a>) -> ByItem<'a> {
    let mut all = ByItem::new();
    for photo in &ctx.record.photos {
        for mention in photo.body.shows.get().into_iter().flat_map(|l| l.iter()) {
            let shown = all.entry((mention.id.as_str(), mention.part.as_deref())).or_default();
            if shown.last().is_none_or(|last| last.id != photo.id) {
                shown.push(photo);
            }
        }
    }
    all
}

fn judge(
    (ctx, rule, photos): (&Ctx<'_>, &Rule, &[&Item<PhotoItem>]),
    closing: (&Closing, NaiveDate),
    hidden: &Mention,
    span: Span,
) -> Finding {
    let (body, date) = closing;
    let planned = body.stage.get() == Some(&Stage::Planned);
    let subject = Subject { id: hidden.words(), span, planned, field: "photos".to_owned(), rule };
    let fitted = fitted(ctx, &hidden.id);
    let answer = ctx.rulebook.ask(key::PHOTO_BEFORE_COVER, &Facts::new());
    let (measure, why) = measure((ctx, photos), hidden, fitted, date);
    let mut out = hold(&subject, &measure, &answer, |_: &bool, _| (String::new(), String::new()));
    out.limit = match fitted {
        Some(fitted) => format!("{} to {}", day(fitted), day(date)),
        None => format!("by {}", day(date)),
    };
    if out.verdict == Verdict::NotShown {
        let window = fitted.map_or(format!("by {}", day(date)), |f| format!("from {} to {}", day(f), day(date)));
        let settled = format!("a photo of {} taken {window}", hidden.words());
        out.text = why.unwrap_or_else(|| format!("the record does not show {settled}"));
        out.remedy = Some(Remedy { field: Some(subject.field.clone()), change: None, text: settled });
    }
    out
}

/// The photo that shows it in time, or why those that the record has do not do.
fn measure(
    (ctx, photos): (&Ctx<'_>, &[&Item<PhotoItem>]),
    hidden: &Mention,
    fitted: Option<NaiveDate>,
    closes: NaiveDate,
) -> (Measure<bool>, Option<String>) {
    let mut why = None;
    for photo in photos {
        let fact = ctx.photos.get(&photo.id);
        if let Some(fault) = fact.and_then(|f| f.fault.as_ref()) {
            why = Some(format!("{} cannot be used: {fault}", photo.id));
            continue;
        }
        match fact.and_then(|f| f.taken) {
            Some(taken) if fitted.is_none_or(|f| taken >= f) && taken <= closes => {
                return (Measure::plain(true, How::Measured, format!("{}, {}", photo.id, day(taken))), None);
            }
            Some(taken) => why = Some(format!("{} is of {}, outside those days", photo.id, day(taken))),
            None => why = Some(format!("{} does not say on which day it was taken", photo.id)),
        }
    }
    (Measure::Missing(format!("a photo of {}", hidden.words())), why)
}

/// When an item was fitted, or last changed.
fn fitted(ctx: &Ctx<'_>, id: &str) -> Option<NaiveDate> {
    let record = ctx.record;
    if let Some(pipe) = record.pipes.get(id) {
        return pipe.body.changed.get().or_else(|| pipe.body.fitted.get()).copied();
    }
    if let Some(access) = record.access.get(id) {
        return access.body.changed.get().or_else(|| access.body.fitted.get()).copied();
    }
    record.penetrations.get(id).and_then(|p| p.body.fitted.get().copied())
}
