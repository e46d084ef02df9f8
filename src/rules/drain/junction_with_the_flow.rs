//! A drain joins another at a slant, down the flow, with a fitting made for it.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Weight;
use crate::network::ends::End;
use crate::network::kind::Kind;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;
use crate::record::words::Entry;
use crate::record::words::Stage;
use crate::rulebook::Facts;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::driver::Measure;
use crate::rules::driver::governing;
use crate::rules::driver::hold;
use crate::rules::laid;

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("junction-with-the-flow"),
    title: "Drains joined down the flow, with made fittings",
    weight: Weight::Clause,
    due: Moment::BeforeCover,
    keys: &[key::DRAIN_JUNCTION_OBLIQUE.path(), key::DRAIN_CONNECTION_MADE.path()],
    check,
};

/// Words of a hole that was broken in; they are looked for before the others.
const BROKEN: [&str; 7] = ["broken", "broke", "knocked", "hammer", "smashed", "punched", "chiselled"];

/// Words of a connection that is made.
const MADE: [&str; 8] = ["coupling", "drilled", "cored", "core", "junction", "saddle", "adaptor", "connector"];

/// Words of a junction that points against the flow.
const AGAINST: [&str; 3] = ["against the flow", "facing upstream", "wrong way round"];

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    let joins = ctx.new_drains().filter_map(|(leg, item)| joins_beside(ctx, leg).map(|receiver| (item, receiver)));
    joins.filter_map(|(item, receiver)| judge(ctx, rule, item, receiver)).collect()
}

/// The drain that a drain joins on its way; not one that it goes on as.
fn joins_beside(ctx: &Ctx<'_>, leg: usize) -> Option<usize> {
    let End::Pipe(receiver) = ctx.network.legs.get(leg)?.ends.to else { return None };
    let below = ctx.network.legs.get(receiver).filter(|l| l.derived.kind == Kind::Drain)?;
    (receiver != leg && below.ends.from != End::Pipe(leg)).then_some(receiver)
}

fn judge(ctx: &Ctx<'_>, rule: &Rule, item: &Item<Pipe>, receiver: usize) -> Option<Finding> {
    governing([Some(slant(ctx, rule, item, receiver)), made(ctx, rule, item, receiver)].into_iter().flatten().collect())
}

/// How the words of a connection read; empty when there are none.
fn how_words(item: &Item<Pipe>) -> String {
    item.body.how.get().map_or(String::new(), |w| w.0.to_lowercase())
}

fn says(words: &str, any: &[&str]) -> bool {
    any.iter().any(|word| words.contains(word))
}

fn slant(ctx: &Ctx<'_>, rule: &Rule, item: &Item<Pipe>, receiver: usize) -> Finding {
    let (entry, words) = (&item.body.entry, how_words(item));
    let into = ctx.network.id(receiver);
    let plain = |good: bool, what: &str| Measure::plain(good, ctx.record.how(entry), format!("{what} into {into}"));
    let by_words = || match (says(&words, &["45"]), says(&words, &["90", "square"])) {
        (true, false) => plain(true, "at 45"),
        (false, true) => plain(false, "square"),
        _ => Measure::Missing(format!("at what angle it enters {into}")),
    };
    let (measure, name) = match entry.get() {
        _ if says(&words, &AGAINST) => (plain(false, "against the flow"), "how"),
        Some(Entry::Junction45) => (plain(true, "junction at 45"), "entry"),
        Some(Entry::Swept) => (plain(true, "swept junction"), "entry"),
        Some(Entry::Plain) => (plain(false, "square junction"), "entry"),
        Some(Entry::Saddle | Entry::Boss) => (by_words(), "how"),
        Some(_) | None => (Measure::Missing(format!("how it enters {into}")), "entry"),
    };
    let subject = laid::subject(item, rule, name, entry);
    let answer = ctx.rulebook.ask(key::DRAIN_JUNCTION_OBLIQUE, &Facts::new());
    let mut out = hold(&subject, &measure, &answer, |_: &bool, _| {
        let text = "its water runs across or against the other\u{2019}s, and what both carry settles there";
        (text.to_owned(), "a junction at 45 degrees that points down the flow".to_owned())
    });
    out.limit = "at a slant, down the flow".to_owned();
    out
}

/// A junction that was laid with its drain is a made fitting; one into a drain that was there is asked how it got there.
fn made(ctx: &Ctx<'_>, rule: &Rule, item: &Item<Pipe>, receiver: usize) -> Option<Finding> {
    let (field, words) = (&item.body.how, how_words(item));
    let old = ctx.record.pipes.at(receiver).is_some_and(|p| p.body.stage_now() == Stage::Existing);
    let cut = matches!(item.body.entry.get(), Some(Entry::Saddle | Entry::Boss));
    let missing =
        || Measure::Missing("how the connection was made: cut in with couplings, drilled, or broken in".to_owned());
    let said = item.body.how.get().map_or(String::new(), |w| w.0.clone());
    let measure = match (says(&words, &BROKEN), says(&words, &MADE)) {
        (true, _) => Measure::plain(false, ctx.record.how(field), said),
        (false, true) => Measure::plain(true, ctx.record.how(field), said),
        (false, false) if !words.is_empty() || old || cut => missing(),
        (false, false) => return None,
    };
    let subject = laid::subject(item, rule, "how", field);
    let answer = ctx.rulebook.ask(key::DRAIN_CONNECTION_MADE, &Facts::new());
    let mut out = hold(&subject, &measure, &answer, |_: &bool, _| {
        let text = "a hole that is broken in leaves a ragged edge and a cracked pipe";
        (text.to_owned(), "a made junction with couplings, or a hole that is drilled for a saddle".to_owned())
    });
    out.limit = "made fittings; drilled, not broken in".to_owned();
    Some(out)
}
