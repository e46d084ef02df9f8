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
use crate::base::text::days;
use crate::record::evidence::PhotoItem;
use crate::record::sections::Item;
use crate::record::value::Field;
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
use std::collections::BTreeSet;

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("photographed-before-cover"),
    title: "Photographed between fitting and covering",
    weight: Weight::Advice,
    due: Moment::BeforeCover,
    keys: &[key::PHOTO_BEFORE_COVER.path()],
    check,
};

/// An item, or the part of it, that closings hide.
type Hidden<'a> = (&'a str, Option<&'a str>);

/// A closing that hides it: its day, whether it is still to come, and where the record says so.
#[derive(Clone, Copy)]
struct Cover<'a> {
    date: NaiveDate,
    planned: bool,
    what: &'a str,
    span: Span,
}

/// When something was fitted, or last changed.
enum Fitted {
    /// On this day.
    On(NaiveDate),
    /// The record has a field for it, this one, and says nothing.
    NotSaid(String),
    /// It is of a kind that is not fitted.
    Never,
    /// It was there before, was taken out, or cannot be read: the rule does not speak of it.
    Other,
}

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    let photos = photos(ctx);
    let mut order: Vec<&Mention> = Vec::new();
    let mut covers: BTreeMap<Hidden<'_>, Vec<Cover<'_>>> = BTreeMap::new();
    for closing in &ctx.record.closings {
        let Some(date) = closing.value.date.get() else { continue };
        let planned = closing.value.stage.get() == Some(&Stage::Planned);
        let what = closing.value.what.get().map_or("a closing", |t| t.0.as_str());
        for hidden in closing.value.hides.get().into_iter().flat_map(|l| &l.0) {
            let list = covers.entry(key_of(&hidden.value)).or_default();
            if list.is_empty() {
                order.push(&hidden.value);
            }
            list.push(Cover { date: *date, planned, what, span: hidden.span });
        }
    }
    let mut there = BTreeSet::new();
    ctx.record.each_id(|id, _, _| {
        there.insert(id);
    });
    // An id that is nowhere is a fault of the record, and nothing can be said of it.
    let judged = order.into_iter().filter(|hidden| there.contains(hidden.id.as_str())).filter_map(|hidden| {
        let covers = covers.get(&key_of(hidden))?;
        judge(ctx, rule, hidden, covers, photos.get(&key_of(hidden)).map_or(&[], Vec::as_slice))
    });
    judged.collect()
}

fn key_of(mention: &Mention) -> Hidden<'_> {
    (&mention.id, mention.part.as_deref())
}

/// The photos of each item, in the order of the record.
fn photos<'a>(ctx: &Ctx<'a>) -> BTreeMap<Hidden<'a>, Vec<&'a Item<PhotoItem>>> {
    let mut all: BTreeMap<Hidden<'a>, Vec<&Item<PhotoItem>>> = BTreeMap::new();
    for photo in &ctx.record.photos {
        for shown in photo.body.shows.get().into_iter().flat_map(|l| l.iter()) {
            all.entry(key_of(shown)).or_default().push(photo);
        }
    }
    all
}

/// Of several closings the first after the fitting counts: what comes later finds it hidden already.
fn judge(
    ctx: &Ctx<'_>,
    rule: &Rule,
    hidden: &Mention,
    covers: &[Cover<'_>],
    photos: &[&Item<PhotoItem>],
) -> Option<Finding> {
    let (fitted, unsaid) = match fitted(ctx, &hidden.id) {
        Fitted::On(day) => (Some(day), None),
        Fitted::NotSaid(field) => (None, Some(field)),
        Fitted::Never => (None, None),
        Fitted::Other => return None,
    };
    let first = covers.iter().filter(|c| fitted.is_none_or(|f| c.date >= f)).min_by_key(|c| c.date);
    let cover = first.or_else(|| covers.iter().max_by_key(|c| c.date))?;
    let field = unsaid.clone().unwrap_or_else(|| "photos".to_owned());
    let subject = Subject { id: hidden.words(), span: cover.span, planned: cover.planned, field, rule };
    let answer = ctx.rulebook.ask(key::PHOTO_BEFORE_COVER, &Facts::new());
    let (measure, why) = match (first, unsaid) {
        (None, _) => (Measure::Missing(String::new()), fitted.map(|f| too_late(hidden, f, cover))),
        (Some(_), Some(_)) if in_time(ctx, photos, None, cover.date).is_ok() => {
            let why = format!(
                "the record does not show when {} was fitted, so that no photo is known to be later",
                hidden.id
            );
            (Measure::Missing(String::new()), Some(why))
        }
        (Some(_), _) => match in_time(ctx, photos, fitted, cover.date) {
            Ok(measure) => (measure, None),
            Err(why) => (Measure::Missing(String::new()), why),
        },
    };
    let mut out = hold(&subject, &measure, &answer, |_: &bool, _| (String::new(), String::new()));
    let (window, settled) = window(hidden, fitted, first.map(|c| c.date));
    out.limit = window;
    if out.verdict == Verdict::NotShown {
        out.text = why.unwrap_or_else(|| format!("the record does not show {settled}"));
        out.remedy = Some(Remedy { field: Some(subject.field.clone()), change: None, text: settled });
    }
    Some(out)
}

/// The days between which a photo would do, and what would settle it.
fn window(hidden: &Mention, fitted: Option<NaiveDate>, closes: Option<NaiveDate>) -> (String, String) {
    let item = hidden.words();
    match (fitted, closes) {
        (Some(f), Some(c)) => (days(f, c), format!("a photo of {item} taken from {}", days(f, c))),
        (None, Some(c)) => (format!("by {}", day(c)), format!("a photo of {item} taken by {}", day(c))),
        (Some(f), None) => (
            format!("from {}", day(f)),
            format!("the day on which {item} was closed again, and a photo from before it"),
        ),
        (None, None) => (String::new(), format!("a photo of {item}")),
    }
}

fn too_late(hidden: &Mention, fitted: NaiveDate, cover: &Cover<'_>) -> String {
    format!(
        "{} was fitted or changed on {}, after {} of {}; the record does not show that it was closed again",
        hidden.id,
        day(fitted),
        cover.what,
        day(cover.date)
    )
}

/// The photo that shows it in time, or why those that the record has do not do. A photo of the day itself will do.
fn in_time(
    ctx: &Ctx<'_>,
    photos: &[&Item<PhotoItem>],
    fitted: Option<NaiveDate>,
    closes: NaiveDate,
) -> Result<Measure<bool>, Option<String>> {
    let mut why = None;
    for photo in photos.iter().filter(|p| !p.broken) {
        let fact = ctx.photos.get(&photo.id);
        if let Some(fault) = fact.and_then(|f| f.fault.as_ref()) {
            why = Some(format!("{} cannot be used: {fault}", photo.id));
            continue;
        }
        match fact.and_then(|f| f.taken) {
            Some(taken) if fitted.is_none_or(|f| taken >= f) && taken <= closes => {
                return Ok(Measure::plain(true, How::Measured, format!("{}, {}", photo.id, day(taken))));
            }
            Some(taken) => why = Some(format!("{} is of {}, outside those days", photo.id, day(taken))),
            None => why = Some(format!("{} does not say on which day it was taken", photo.id)),
        }
    }
    Err(why)
}

/// When an item was fitted, or last changed.
fn fitted(ctx: &Ctx<'_>, id: &str) -> Fitted {
    let record = ctx.record;
    if let Some(item) = record.pipes.get(id) {
        let days = [&item.body.changed, &item.body.fitted];
        return day_of("pipes", id, item.broken, &item.body.stage, &days);
    }
    if let Some(item) = record.access.get(id) {
        let days = [&item.body.changed, &item.body.fitted];
        return day_of("access", id, item.broken, &item.body.stage, &days);
    }
    if let Some(item) = record.penetrations.get(id) {
        return day_of("penetrations", id, item.broken, &item.body.stage, &[&item.body.fitted]);
    }
    if let Some(item) = record.appliances.get(id) {
        return day_of("appliances", id, item.broken, &item.body.stage, &[&item.body.fitted]);
    }
    if let Some(item) = record.terminals.get(id) {
        return day_of("terminals", id, item.broken, &item.body.stage, &[&item.body.fitted]);
    }
    Fitted::Never
}

fn day_of(section: &str, id: &str, broken: bool, stage: &Field<Stage>, days: &[&Field<NaiveDate>]) -> Fitted {
    if broken || matches!(stage.get(), Some(Stage::Existing | Stage::Removed)) {
        return Fitted::Other;
    }
    let last = days.iter().filter_map(|d| d.get().copied()).max();
    last.map_or_else(|| Fitted::NotSaid(format!("{section}.{id}.fitted")), Fitted::On)
}
