//! Each ventilating pipe ends in open air, with a cage, well above every opening near it.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::Remedy;
use crate::base::finding::RuleId;
use crate::base::finding::Verdict;
use crate::base::finding::Weight;
use crate::base::known::How;
use crate::base::units::Length;
use crate::compute::terminals::End;
use crate::compute::terminals::Nearness;
use crate::compute::terminals::agreed;
use crate::compute::terminals::of_terminal;
use crate::compute::terminals::replaces_roofing;
use crate::compute::terminals::what_ends;
use crate::record::pipework::Terminal;
use crate::record::sections::Item;
use crate::record::words::Stage;
use crate::rulebook::Fact;
use crate::rulebook::Facts;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::driver::Measure;
use crate::rules::driver::Subject;
use crate::rules::driver::finding;
use crate::rules::driver::governing;
use crate::rules::driver::hold;
use crate::rules::driver::unsettled;

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("vent-terminal-clear-of-openings"),
    title: "End of a ventilating pipe: cage, open air, clear of openings",
    weight: Weight::Clause,
    due: Moment::Completion,
    keys: &[
        key::VENT_TERMINAL_CAGE.path(),
        key::VENT_TERMINAL_ROOFING.path(),
        key::VENT_TERMINAL_OPEN_AIR.path(),
        key::VENT_TERMINAL_CLEARANCE.path(),
    ],
    check,
};

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    let judged = |(_, item): &(usize, &Item<Terminal>)| {
        !item.broken
            && what_ends(&item.body) != End::Shut
            && !matches!(item.body.stage.get(), Some(Stage::Existing | Stage::Removed))
    };
    let terminals = ctx.record.terminals.iter().enumerate().filter(judged);
    terminals.filter_map(|(t, item)| governing(judge(ctx, rule, t, item))).collect()
}

fn judge(ctx: &Ctx<'_>, rule: &Rule, t: usize, item: &Item<Terminal>) -> Vec<Finding> {
    let subject = |key: &str, span| Subject {
        id: item.id.clone(),
        span,
        planned: item.body.stage.get() == Some(&Stage::Planned),
        field: format!("terminals.{}.{key}", item.id),
        rule,
    };
    let what = subject("what", item.body.what.span);
    let mut all: Vec<Finding> = openings(ctx, t, &subject("top", item.body.top.span));
    let how = ctx.record.how(&item.body.what);
    let words = item.body.what.get().map(|w| w.0.to_lowercase());
    let says = |any: &[&str]| words.as_ref().is_some_and(|w| any.iter().any(|a| w.contains(a)));
    let cage = if says(&["no cage", "without cage", "without a cage", "cage missing", "missing cage", "cage off"]) {
        Measure::plain(false, how, "no cage")
    } else if says(&["cage", "perforated", "grating"]) {
        Measure::plain(true, how, "with cage")
    } else {
        Measure::Missing("whether it has a cage or perforated cover".to_owned())
    };
    let roofing = replaces_roofing(&item.body);
    if roofing {
        all.extend(agreement(ctx, &subject("agreed", item.body.what.span), item));
    } else {
        let answer = ctx.rulebook.ask(key::VENT_TERMINAL_CAGE, &Facts::new());
        let held = hold(&what, &cage, &answer, |_: &bool, _| {
            ("it has no cage".to_owned(), "a cage or perforated cover".to_owned())
        });
        all.push(Finding { limit: "cage or perforated cover".to_owned(), ..held });
    }
    let inside = says(&["roof void", "loft", "inside"]);
    let open = match (inside, roofing || says(&["open", "outside", "through the roof", "above the roof"])) {
        (true, _) => Measure::plain(false, how, "ends inside"),
        (false, true) => Measure::plain(true, how, "ends in open air"),
        (false, false) => Measure::Missing("whether it ends in open air".to_owned()),
    };
    let answer = ctx.rulebook.ask(key::VENT_TERMINAL_OPEN_AIR, &Facts::new());
    let held = hold(&what, &open, &answer, |_: &bool, _| {
        ("it ends inside the building".to_owned(), "take it through the roof".to_owned())
    });
    all.push(Finding { limit: "in open air".to_owned(), ..held });
    all
}

/// No text allows or forbids a terminal of this kind as such: the body says, until the record shows that it has.
fn agreement(ctx: &Ctx<'_>, subject: &Subject<'_>, item: &Item<Terminal>) -> Option<Finding> {
    if agreed(&item.body) && ctx.record.how(&item.body.agreed) != How::Believed {
        return None;
    }
    let answer = ctx.rulebook.ask(key::VENT_TERMINAL_ROOFING, &Facts::new());
    let measure = Measure::plain(true, How::Stated, "replaces roof covering");
    let held = hold(subject, &measure, &answer, |_: &bool, _| (String::new(), String::new()));
    Some(Finding { limit: "agreed with the building-control body".to_owned(), ..held })
}

/// One line for each opening; one that asks for them when the record has none at all.
fn openings(ctx: &Ctx<'_>, t: usize, subject: &Subject<'_>) -> Vec<Finding> {
    let near = of_terminal(&ctx.computed.nearness, t);
    if near.is_empty() && ctx.record.openings.is_empty() {
        let mut out = finding(subject, Verdict::NotShown);
        let answer =
            ctx.rulebook.ask(key::VENT_TERMINAL_CLEARANCE, &Facts::new().with(Fact::OpeningDistance, Length::ZERO));
        out.citation = answer.citation().cloned();
        unsettled(&mut out, subject, "which windows and rooflights are near it, and how high".to_owned());
        return vec![out];
    }
    near.iter().map(|n| clearance(ctx, n, subject)).collect()
}

fn clearance(ctx: &Ctx<'_>, near: &Nearness, subject: &Subject<'_>) -> Finding {
    let opening = ctx.record.openings.at(near.opening);
    let id = opening.map_or("", |o| o.id.as_str());
    let distance = near.distance.filter(|d| !d.believed());
    // The nearest it may be counts: a distance inside its own spread of the limit is taken as near. Where it is not
    // known, a terminal that is high enough for an opening beside it is high enough for one further away.
    let nearest = distance.map_or(Length::ZERO, |d| d.value - d.half);
    let ask = |d: Option<Length>| {
        ctx.rulebook.ask(key::VENT_TERMINAL_CLEARANCE, &Facts::new().with(Fact::OpeningDistance, d))
    };
    let answer = ask(Some(nearest));
    let away = near.distance.map_or(String::new(), |d| format!(", {}\u{a0}m away", d.value.metres(2)));
    let measure = match near.above {
        Some(above) => Measure::length(above, format!("{}\u{a0}m above {id}{away}", above.value.metres(2))),
        None => Measure::Missing(format!("its height above the head of {id}")),
    };
    let mut out = hold(subject, &measure, &answer, |limit: &Length, found| {
        let words = if *found < Length::ZERO {
            format!("{}\u{a0}m below the head of {id}", (-*found).metres(2))
        } else {
            format!("{}\u{a0}m too low over {id}", (*limit - *found).metres(2))
        };
        (words, "a taller terminal, or one further away".to_owned())
    });
    if let Some(limit) = answer.limit() {
        out.limit = format!("{}\u{a0}m above it", limit.value.metres(2));
    }
    if distance.is_none() && out.verdict != Verdict::Met {
        let field = format!("openings.{id}.from");
        let subject = Subject { field, ..subject.clone() };
        unsettled(&mut out, &subject, format!("how far {id} is from it"));
    } else if near.above.is_none() && no_head(ctx, near) {
        out.remedy = out.remedy.map(|r| Remedy { field: Some(format!("openings.{id}.head")), ..r });
    }
    out
}

/// Whether it is the opening's head that is not known, and not the terminal's top.
fn no_head(ctx: &Ctx<'_>, near: &Nearness) -> bool {
    let top = ctx.record.terminals.at(near.terminal).is_some_and(|t| t.body.top.get().is_some());
    top && ctx.record.openings.at(near.opening).is_some_and(|o| o.body.head.get().is_none())
}
