//! On land that was built on before, the local authority is asked about rats, and what it calls for is done.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Weight;
use crate::base::known::How;
use crate::base::span::Span;
use crate::record::protection::Rodents;
use crate::rulebook::Facts;
use crate::rulebook::Key;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::driver::Measure;
use crate::rules::driver::Subject;
use crate::rules::driver::governing;
use crate::rules::driver::hold;

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("rodent-measures"),
    title: "Asked about rats on land built on before",
    weight: Weight::Clause,
    due: Moment::Completion,
    keys: &[key::RODENTS_ASKED.path(), key::RODENTS_MEASURES.path()],
    check,
};

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    let before = &ctx.record.site.built_on_before;
    let subject = |field: &str, span: Span| Subject {
        id: "site".to_owned(),
        span: if span.len == 0 { before.span } else { span },
        planned: false,
        field: format!("site.{field}"),
        rule,
    };
    if before.is_unknown() {
        let open = Measure::Missing("whether the land was built on before".to_owned());
        return vec![held(ctx, &subject("built-on-before", before.span), &open, key::RODENTS_ASKED)];
    }
    if !before.get().is_some_and(|word| word.yes()) {
        // What is only believed not to be so is still asked.
        let believed = before.get().is_some() && ctx.record.how(before) == How::Believed;
        if !believed {
            return Vec::new();
        }
    }
    let none = Rodents::default();
    let rodents = ctx.record.site.rodents.get().unwrap_or(&none);
    let asked = held(ctx, &subject("rodents.asked", rodents.asked.span), &asked(rodents), key::RODENTS_ASKED);
    let taken = measures(ctx, rodents)
        .map(|(measure, field, span)| held(ctx, &subject(field, span), &measure, key::RODENTS_MEASURES));
    governing([asked].into_iter().chain(taken).collect()).into_iter().collect()
}

fn held(ctx: &Ctx<'_>, subject: &Subject<'_>, measure: &Measure<bool>, asked: Key<bool>) -> Finding {
    let answer = ctx.rulebook.ask(asked, &Facts::new());
    let of_asking = asked.path() == key::RODENTS_ASKED.path();
    let mut out = hold(subject, measure, &answer, |_: &bool, _| {
        let text = "rats from old drains come up through what is open";
        let remedy =
            if of_asking { "ask the local authority" } else { "what it calls for: sealed fittings, barriers, cages" };
        (text.to_owned(), remedy.to_owned())
    });
    out.limit = if of_asking { "the local authority asked" } else { "what it calls for, done" }.to_owned();
    out
}

fn asked(rodents: &Rodents) -> Measure<bool> {
    match rodents.asked.get() {
        Some(day) => Measure::plain(true, How::Stated, format!("asked {}", crate::base::text::date(*day))),
        None if rodents.asked.is_none() => Measure::plain(false, How::Stated, "not asked"),
        None => Measure::Missing("when the local authority was asked about rats".to_owned()),
    }
}

/// What was done, where something is called for; whether it is, where that is not said though it was asked.
fn measures(ctx: &Ctx<'_>, rodents: &Rodents) -> Option<(Measure<bool>, &'static str, Span)> {
    let (called, done) = (&rodents.called_for, &rodents.measures);
    match called.get() {
        Some(word) if !word.yes() && ctx.record.how(called) != How::Believed => None,
        None if rodents.asked.get().is_none() => None,
        None => {
            let open = Measure::Missing("whether it calls for measures".to_owned());
            Some((open, "rodents.called-for", called.span))
        }
        Some(_) => {
            let measure = match done.get() {
                Some(all) if !all.0.is_empty() => {
                    let words: Vec<&str> = all.iter().map(|w| w.0.as_str()).collect();
                    Measure::plain(true, How::Stated, crate::base::text::list(&words, "and"))
                }
                Some(_) => Measure::plain(false, How::Stated, "nothing done"),
                None if done.is_none() => Measure::plain(false, How::Stated, "nothing done"),
                None => Measure::Missing("what was done against rats".to_owned()),
            };
            Some((measure, "rodents.measures", done.span))
        }
    }
}
