//! An air admittance valve: made to its standard, inside, reached, high enough, large enough, and the drain below it
//! still ventilated by an open pipe.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Verdict;
use crate::base::finding::Weight;
use crate::base::known::How;
use crate::base::units::Length;
use crate::base::units::Spot;
use crate::compute::heads::Air;
use crate::compute::heads::tops;
use crate::compute::terminals::is_valve;
use crate::network::ends::End;
use crate::network::height::Height;
use crate::network::kind::Kind;
use crate::record::pipework::Terminal;
use crate::record::sections::Item;
use crate::record::value::Field;
use crate::record::words::Stage;
use crate::rulebook::Factor;
use crate::rulebook::Facts;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::driver::Measure;
use crate::rules::driver::Subject;
use crate::rules::driver::governing;
use crate::rules::driver::hold;
use crate::rules::driver::hold_named;
use crate::rules::driver::unsettled;
use crate::rules::spill_over;

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("air-admittance-valve"),
    title: "Air admittance valve: made, placed, reached, large enough",
    weight: Weight::Clause,
    due: Moment::Completion,
    keys: &[
        key::AAV_STANDARD.path(),
        key::AAV_INSIDE.path(),
        key::AAV_REACHABLE.path(),
        key::AAV_LEVEL_MINIMUM.path(),
        key::AAV_LEVEL_LETTER.path(),
        key::AAV_AIR_STACK_MINIMUM.path(),
        key::AAV_AIR_BRANCH_MINIMUM.path(),
        key::AAV_DRAIN_VENT.path(),
    ],
    check,
};

/// Last words of a place that lies outside.
const OUTSIDE: [&str; 8] = ["outside", "garden", "yard", "street", "road", "lane", "drive", "path"];

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    let ours = |item: &Item<Terminal>| {
        !item.broken
            && is_valve(&item.body)
            && !matches!(item.body.stage.get(), Some(Stage::Existing | Stage::Removed | Stage::Temporary))
    };
    let valves: Vec<_> = ctx.record.terminals.iter().enumerate().filter(|(_, item)| ours(item)).collect();
    if valves.is_empty() {
        return Vec::new();
    }
    let tops = tops(ctx.network);
    let judge = |(position, item): &(usize, &Item<Terminal>)| {
        let leg = served(ctx, &tops, *position, item);
        let own = [made(ctx, rule, item), inside(ctx, rule, item), reached(ctx, rule, item)];
        let by_leg = [height(ctx, rule, item, leg), air(ctx, rule, item, leg), drain(ctx, rule, item, leg, &tops)];
        let all: Vec<Finding> = own.into_iter().chain(by_leg).collect();
        let planned = all.iter().any(|f| f.planned);
        let mut out = governing(all)?;
        // An open vent that is still to come makes the valve a plan too.
        out.planned |= planned && out.verdict == Verdict::Met;
        Some(out)
    };
    valves.iter().filter_map(judge).collect()
}

/// The stack or the branch that a valve lets air into.
fn served(ctx: &Ctx<'_>, tops: &[Option<Air>], position: usize, item: &Item<Terminal>) -> Option<usize> {
    let on = |air: &Option<Air>| matches!(air, Some(Air::Shut { terminal: Some(t), .. }) if *t == position);
    let stack = || tops.iter().position(on);
    let of_branch = || {
        ctx.network.legs.iter().find_map(|leg| {
            let ends_here = ctx.record.pipes.at(leg.pipe)?.body.top.get()?.0 == item.id;
            let End::Pipe(below) = leg.ends.from else { return None };
            let kind = ctx.network.legs.get(below)?.derived.kind;
            (ends_here && matches!(kind, Kind::Branch | Kind::CommonBranch)).then_some(below)
        })
    };
    stack().or_else(of_branch)
}

fn subject<'r, T>(item: &Item<Terminal>, rule: &'r Rule, key: &str, field: &Field<T>) -> Subject<'r> {
    Subject {
        id: item.id.clone(),
        span: if field.is_absent() { item.id_span } else { field.span },
        planned: item.body.stage.get() == Some(&Stage::Planned),
        field: format!("terminals.{}.{key}", item.id),
        rule,
    }
}

fn made(ctx: &Ctx<'_>, rule: &Rule, item: &Item<Terminal>) -> Finding {
    let field = &item.body.standard;
    let said = match field.get() {
        Some(words) => Measure::plain(words.0.clone(), ctx.record.how(field), words.0.clone()),
        None if field.is_none() => Measure::plain(String::new(), How::Stated, "no standard"),
        None => Measure::Missing("the standard that it is made to".to_owned()),
    };
    let answer = ctx.rulebook.ask(key::AAV_STANDARD, &Facts::new());
    hold_named(&subject(item, rule, "standard", field), &said, &answer, |limit| {
        ("it is not shown to close when the air is pushed back".to_owned(), format!("a valve to {limit}"))
    })
}

fn inside(ctx: &Ctx<'_>, rule: &Rule, item: &Item<Terminal>) -> Finding {
    let field = &item.body.place;
    let measure = match field.get() {
        Some(place) => {
            let last = place.0.to_lowercase().split_whitespace().last().map_or(String::new(), str::to_owned);
            let outside = OUTSIDE.contains(&last.as_str());
            Measure::plain(!outside, ctx.record.how(field), place.0.clone())
        }
        None => Measure::Missing("where it stands".to_owned()),
    };
    let answer = ctx.rulebook.ask(key::AAV_INSIDE, &Facts::new());
    let mut out = hold(&subject(item, rule, "in", field), &measure, &answer, |_: &bool, _| {
        let text = "out of doors it freezes, and dust and leaves keep it from closing";
        (text.to_owned(), "the valve inside the building, or an open pipe in its place".to_owned())
    });
    out.limit = "inside".to_owned();
    out
}

fn reached(ctx: &Ctx<'_>, rule: &Rule, item: &Item<Terminal>) -> Finding {
    let field = &item.body.reach;
    let measure = match field.get() {
        Some(words) => Measure::plain(true, ctx.record.how(field), words.0.clone()),
        None if field.is_none() => Measure::plain(false, How::Stated, "not reached"),
        None => Measure::Missing("how it is got at once all is closed".to_owned()),
    };
    let answer = ctx.rulebook.ask(key::AAV_REACHABLE, &Facts::new());
    let mut out = hold(&subject(item, rule, "reach", field), &measure, &answer, |_: &bool, _| {
        let text = "closed in, it gets no air and cannot be taken off, to mend it or to clear the stack";
        (text.to_owned(), "a door or grille where it stands, that lets air in and a hand through".to_owned())
    });
    out.limit = "reached, and in the air".to_owned();
    out
}

/// The same, settled by what the record says of pipes.
fn no_leg<'r>(subject: &Subject<'r>) -> Subject<'r> {
    Subject { field: "pipes".to_owned(), ..subject.clone() }
}

/// Above what spills over; a valve of letter A may lie lower.
fn height(ctx: &Ctx<'_>, rule: &Rule, item: &Item<Terminal>, leg: Option<usize>) -> Finding {
    let own = subject(item, rule, "top", &item.body.top);
    let answer = ctx.rulebook.ask(key::AAV_LEVEL_MINIMUM, &Facts::new());
    let letter = letter(ctx, item);
    let by_letter = || {
        let answer = ctx.rulebook.ask(key::AAV_LEVEL_LETTER, &Facts::new());
        let said = match letter {
            Some((letter, how)) => Measure::plain(letter.to_owned(), how, format!("letter {letter}")),
            None => Measure::Missing("the letter of its designation, since it stands no higher".to_owned()),
        };
        let mut out = hold_named(&subject(item, rule, "class", &item.body.class), &said, &answer, |_| {
            let text = "when the stack fills, the water reaches the valve before it shows in any appliance";
            (text.to_owned(), "the valve above every basin and sink on it, or one of letter A".to_owned())
        });
        out.limit = "above what spills over, or of letter A".to_owned();
        out
    };
    if matches!(letter, Some(("A", how)) if how != How::Believed) {
        return by_letter();
    }
    let Some(leg) = leg else {
        return hold(
            &no_leg(&own),
            &Measure::Missing("which pipe it stands on".to_owned()),
            &answer,
            |_: &Length, _| (String::new(), String::new()),
        );
    };
    let all = spill_over::highest(ctx, &spill_over::through(ctx, leg));
    let top: Option<Height<Spot>> = ctx.network.height(&item.body.top, None);
    let above = spill_over::above(ctx, &all, &own.field, |floor| top.and_then(|top| top.above(floor)));
    if above.least.is_some_and(|(k, _)| answer.limit().is_some_and(|l| !l.met_by(&k.value)) && !k.believed()) {
        let measured = above.least.map_or(String::new(), |(k, id)| spill_over::words(&k, id));
        return Finding { measured, ..by_letter() };
    }
    let measure = match above.least {
        Some((known, id)) => Measure::length(known, spill_over::words(&known, id)),
        None => Measure::Missing(above.lack.as_ref().map_or("what drains there".to_owned(), |(what, _)| what.clone())),
    };
    let mut out = hold(&own, &measure, &answer, |_: &Length, _| (String::new(), String::new()));
    if let Some((what, field)) = above.lack {
        unsettled(&mut out, &Subject { field, ..own }, what);
    } else if above.least.is_some_and(|(known, _)| known.believed()) {
        unsettled(&mut out, &own, "how high it stands, which is only believed".to_owned());
    }
    out.limit = "above what spills over, or of letter A".to_owned();
    out
}

/// The letter of a designation such as `A I`, `AI` or `type B II`.
fn letter(ctx: &Ctx<'_>, item: &Item<Terminal>) -> Option<(&'static str, How)> {
    let field = &item.body.class;
    let words = field.get()?.0.to_uppercase();
    let number = |rest: &str| rest.chars().all(|c| matches!(c, 'I' | '1' | '2' | '3'));
    let found = words.split(|c: char| !c.is_alphanumeric()).find_map(|token| {
        let of = |letter: &'static str| token.strip_prefix(letter).filter(|rest| number(rest)).map(|_| letter);
        of("A").or_else(|| of("B"))
    });
    Some((found?, ctx.record.how(field)))
}

/// So many times the flow in the pipe that it serves.
fn air(ctx: &Ctx<'_>, rule: &Rule, item: &Item<Terminal>, leg: Option<usize>) -> Finding {
    let field = &item.body.air;
    let own = subject(item, rule, "air", field);
    let stack = leg.and_then(|leg| ctx.network.legs.get(leg)).is_some_and(|l| l.derived.kind == Kind::Stack);
    let key = if stack { key::AAV_AIR_STACK_MINIMUM } else { key::AAV_AIR_BRANCH_MINIMUM };
    let answer = ctx.rulebook.ask(key, &Facts::new());
    let flow = leg.and_then(|leg| ctx.computed.flows.get(leg)).filter(|f| f.total.ml_s() > 0);
    let (measure, own) = match (field.get(), flow) {
        (None, _) => (Measure::Missing("how much air it lets in".to_owned()), own),
        (Some(_), None) => (Measure::Missing("what drains through the pipe it stands on".to_owned()), no_leg(&own)),
        (Some(said), Some(flow)) => {
            let times = said.ml_s.saturating_mul(1000) / flow.total.ml_s();
            let how = ctx.record.how(field);
            let how = if flow.how == How::Believed { How::Believed } else { how };
            let words = format!("{} of air for {}\u{a0}l/s of water", said.words(), tenths(flow.total.ml_s()));
            (Measure::plain(Factor::from_thousandths(times), how, words), own)
        }
    };
    let mut out = hold(&own, &measure, &answer, |_: &Factor, _| {
        let text = "it lets in too little air for what comes down, and the traps are drawn";
        (text.to_owned(), "a larger valve, or an open pipe".to_owned())
    });
    out.recalled |= flow.is_some_and(|f| f.recalled) && !out.limit.is_empty();
    if let (Verdict::Met, Some(lack)) = (out.verdict, flow.and_then(|f| f.lacks)) {
        unsettled(&mut out, &no_leg(&own), lack.words(ctx.network));
    }
    if let Some(limit) = answer.limit() {
        out.limit = format!("{} times the flow", limit.value.thousandths() / 1000);
    }
    out
}

/// One decimal of thousandths.
fn tenths(thousandths: i64) -> String {
    let tenths = thousandths.saturating_add(50) / 100;
    format!("{}.{}", tenths / 10, tenths % 10)
}

/// The drain that its water comes to has an open vent: at its head, or brought in by another above or below.
fn drain(ctx: &Ctx<'_>, rule: &Rule, item: &Item<Terminal>, leg: Option<usize>, tops: &[Option<Air>]) -> Finding {
    let own = subject(item, rule, "what", &item.body.what);
    let mut best = Air::None;
    let (mut old, mut last) = (false, leg);
    let down = std::iter::successors(leg, |at| ctx.network.downstream(*at));
    for at in down.take(ctx.network.legs.len()) {
        let head = ctx.computed.heads.get(at).copied().flatten();
        let here = head.map_or(Air::None, |h| h.air.better(h.along));
        best = best.better(here).better(tops.get(at).copied().flatten().unwrap_or(Air::None));
        old |= ctx.record.pipes.at(at).is_some_and(|p| p.body.stage_now() == Stage::Existing);
        last = Some(at);
    }
    let drains = last.and_then(|at| ctx.network.legs.get(at)).is_some_and(|l| l.derived.kind == Kind::Drain);
    let (measure, planned) = match best {
        Air::Vent { terminal, planned, how, .. } => {
            let id = ctx.record.terminals.at(terminal).map_or("", |t| t.id.as_str());
            (Measure::plain(true, how, format!("its drain open at {id}")), planned)
        }
        // What was there before may have a vent that nobody has written down.
        Air::Shut { .. } | Air::None if drains && !old => {
            (Measure::plain(false, How::Computed, "no open vent on its drain"), false)
        }
        _ => (Measure::Missing("an open vent on the drain that its water comes to".to_owned()), false),
    };
    let answer = ctx.rulebook.ask(key::AAV_DRAIN_VENT, &Facts::new());
    let own = Subject { field: "terminals".to_owned(), planned: own.planned || planned, ..own };
    let mut out = hold(&own, &measure, &answer, |_: &bool, _| {
        let text = "a valve lets no air out, and the drain has no other way for it";
        (text.to_owned(), "an open ventilating pipe on another stack, or at the head of the drain".to_owned())
    });
    out.limit = "an open vent on the drain".to_owned();
    out
}
