//! A branch turns by wide bends, and joins what it enters at a sweep or a slant, a small one at the top of a large one.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Weight;
use crate::base::known::Known;
use crate::base::size::Nominal;
use crate::base::units::Length;
use crate::network::ends::End;
use crate::network::kind::Kind;
use crate::record::facts::kind_of;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;
use crate::record::words::ApplianceKind;
use crate::record::words::Entry;
use crate::record::words::Meets;
use crate::record::words::Stage;
use crate::rulebook::Fact;
use crate::rulebook::Facts;
use crate::rulebook::Key;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::driver::Measure;
use crate::rules::driver::Subject;
use crate::rules::driver::governing;
use crate::rules::driver::hold;
use crate::rules::laid;
use crate::rules::single_branch;

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("branch-bends-and-junctions"),
    title: "Bends of a branch, and how it joins",
    weight: Weight::Clause,
    due: Moment::BeforeCover,
    keys: &[
        key::BRANCH_BEND_RADIUS_MINIMUM.path(),
        key::BRANCH_BEND_WIDE.path(),
        key::BRANCH_BENDS_MAXIMUM.path(),
        key::STACK_ENTRY_EASED.path(),
        key::BRANCH_JUNCTION_EASED.path(),
        key::BRANCH_JUNCTION_AT_TOP.path(),
    ],
    check,
};

/// Words of a bend that turns sharply; they are looked for before the others.
const SHARP: [&str; 5] = ["knuckle", "sharp", "short radius", "tight", "mitre"];

/// Words of a bend that turns in a wide curve. Two of 45 degrees are the trade's way to make one of 90 easy.
const WIDE: [&str; 6] = ["swept", "sweep", "long radius", "large radius", "easy", "45"];

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    let branch = |kind: Kind| matches!(kind, Kind::Branch | Kind::CommonBranch);
    let legs = ctx.network.legs.iter().enumerate().filter(|(_, l)| branch(l.derived.kind));
    let new = |item: &&Item<Pipe>| !item.broken && !matches!(item.body.stage_now(), Stage::Existing | Stage::Removed);
    legs.filter_map(|(leg, own)| judge(ctx, rule, leg, ctx.record.pipes.at(own.pipe).filter(new)?)).collect()
}

fn judge(ctx: &Ctx<'_>, rule: &Rule, leg: usize, item: &Item<Pipe>) -> Option<Finding> {
    let all = [wide(ctx, rule, leg, item), number(ctx, rule, leg, item)];
    governing(all.into_iter().chain(junction(ctx, rule, leg, item)).collect())
}

/// What the words of a bend tell of its curve.
enum Curve {
    Radius(Length),
    Wide(bool),
    NotSaid,
}

/// `swept 90, radius 80 mm` tells a figure, `swept 90` that it is wide, `90` nothing.
fn curve(words: &str) -> Curve {
    let words = words.to_lowercase();
    let says = |any: &[&str]| any.iter().any(|w| words.contains(w));
    let figure = words.split_once("radius").and_then(|(_, after)| after.split_once("mm"));
    if let Some(mm) = figure.and_then(|(figure, _)| figure.trim().parse::<i64>().ok()).filter(|mm| *mm < 100_000) {
        return Curve::Radius(Length::from_mm(mm));
    }
    match (says(&SHARP), says(&WIDE)) {
        (true, _) => Curve::Wide(false),
        (false, true) => Curve::Wide(true),
        (false, false) => Curve::NotSaid,
    }
}

/// The bends of a narrow pipe: those of which a figure is told against the least radius, the others by their words.
fn wide(ctx: &Ctx<'_>, rule: &Rule, leg: usize, item: &Item<Pipe>) -> Finding {
    let field = &item.body.bends;
    let size = ctx.network.legs.get(leg).and_then(|l| l.nominal);
    let facts = Facts::new().with(Fact::Size, size);
    let key = if size.is_some() { "bends" } else { "size" };
    let subject = laid::subject(item, rule, key, field);
    let how = laid::by_size(ctx, item, ctx.record.how(field));
    let all: Vec<&str> = field.get().into_iter().flat_map(|list| list.iter()).map(|w| w.0.as_str()).collect();
    let tightest = all.iter().filter_map(|words| match curve(words) {
        Curve::Radius(radius) => Some((radius, *words)),
        Curve::Wide(_) | Curve::NotSaid => None,
    });
    let by_figure = tightest.min_by_key(|(radius, _)| *radius).map(|(radius, words)| {
        let answer = ctx.rulebook.ask(key::BRANCH_BEND_RADIUS_MINIMUM, &facts);
        let measure = Measure::length(Known::exact(radius, how), words.to_owned());
        hold(&subject, &measure, &answer, |_: &Length, _| too_sharp())
    });
    let sharp = all.iter().find(|words| matches!(curve(words), Curve::Wide(false)));
    let not_said = all.iter().find(|words| matches!(curve(words), Curve::NotSaid));
    let measure = match (sharp, not_said) {
        (Some(words), _) => Measure::plain(false, how, *words),
        (None, Some(words)) => Measure::Missing(format!("whether its bend ({words}) is swept or a knuckle")),
        (None, None) if field.is_none() => Measure::plain(true, how, "no bends"),
        (None, None) if all.is_empty() => Measure::Missing("what bends it has".to_owned()),
        (None, None) => Measure::plain(true, how, all.join(", ")),
    };
    let answer = ctx.rulebook.ask(key::BRANCH_BEND_WIDE, &facts);
    let mut by_words = hold(&subject, &measure, &answer, |_: &bool, _| too_sharp());
    let radius = ctx.rulebook.ask(key::BRANCH_BEND_RADIUS_MINIMUM, &facts);
    by_words.limit = radius.limit().map_or(String::new(), |l| format!("a radius of {} or more", l.words()));
    // Where every bend has a figure, the words settle nothing.
    let worded = all.iter().any(|words| !matches!(curve(words), Curve::Radius(_)));
    match by_figure {
        Some(figure) if !worded => figure,
        Some(figure) => governing(vec![figure, by_words.clone()]).unwrap_or(by_words),
        None => by_words,
    }
}

fn too_sharp() -> (String, String) {
    let text = "so sharp a turn holds the water back and draws the trap";
    (text.to_owned(), "swept bends, or two of 45 degrees".to_owned())
}

/// The appliance and the size on which a table of bends hangs.
fn facts(ctx: &Ctx<'_>, leg: usize) -> Facts {
    let own = single_branch::appliance(ctx, leg).and_then(kind_of);
    let size = ctx.network.legs.get(leg).and_then(|l| l.nominal);
    Facts::new().with(Fact::Appliance, own.map(ApplianceKind::word)).with(Fact::Size, size)
}

/// How many bends; only some tables count them.
fn number(ctx: &Ctx<'_>, rule: &Rule, leg: usize, item: &Item<Pipe>) -> Finding {
    let field = &item.body.bends;
    let measure = match laid::bends(ctx.record, &item.body) {
        Some(n) => Measure::plain(n, laid::by_size(ctx, item, ctx.record.how(field)), laid::bends_words(n)),
        None => Measure::Missing("what bends it has".to_owned()),
    };
    let subject = laid::subject(item, rule, "bends", field);
    let answer = ctx.rulebook.ask(key::BRANCH_BENDS_MAXIMUM, &facts(ctx, leg));
    hold(&subject, &measure, &answer, |_: &u32, _| {
        ("more bends than the branch of this appliance may have".to_owned(), "a straighter way".to_owned())
    })
}

/// How it joins the branch or stack that it enters on its way.
fn junction(ctx: &Ctx<'_>, rule: &Rule, leg: usize, item: &Item<Pipe>) -> Option<Finding> {
    let own = ctx.network.legs.get(leg)?;
    let receiver = match own.ends.to {
        End::Pipe(receiver) => receiver,
        End::Absent | End::Unknown if !item.body.to.is_faulty() => {
            let field = format!("pipes.{}.to", item.id);
            return Some(not_said(ctx, rule, item, field, "what it enters".to_owned()));
        }
        _ => return None,
    };
    let below = ctx.network.legs.get(receiver).filter(|b| receiver != leg && b.ends.from != End::Pipe(leg))?;
    let small = own.nominal?;
    let asks = match below.derived.kind {
        Kind::Stack => small >= Nominal(75),
        Kind::Branch | Kind::CommonBranch => true,
        Kind::Vent | Kind::Drain => return None,
    };
    let Some(large) = below.nominal else {
        let (id, field) = (ctx.network.id(receiver), format!("pipes.{}.size", ctx.network.id(receiver)));
        return asks.then(|| not_said(ctx, rule, item, field, format!("the size of {id}, which it enters")));
    };
    match below.derived.kind {
        Kind::Stack if small == large && small >= Nominal(75) => {
            eased(ctx, rule, item, receiver, key::STACK_ENTRY_EASED)
        }
        Kind::Branch | Kind::CommonBranch if small == large => {
            eased(ctx, rule, item, receiver, key::BRANCH_JUNCTION_EASED)
        }
        Kind::Branch | Kind::CommonBranch if small <= Nominal(40) && large >= Nominal(100) => {
            Some(at_top(ctx, rule, item, receiver))
        }
        _ => None,
    }
}

/// Nobody says what hangs on how it joins: what it enters, or the size of that.
fn not_said(ctx: &Ctx<'_>, rule: &Rule, item: &Item<Pipe>, field: String, what: String) -> Finding {
    let answer = ctx.rulebook.ask(key::BRANCH_JUNCTION_EASED, &Facts::new());
    let subject = Subject { field, ..laid::subject(item, rule, "to", &item.body.to) };
    let mut out = hold(&subject, &Measure::Missing(what), &answer, |_: &bool, _: &bool| (String::new(), String::new()));
    out.limit = "swept, or at 45 degrees".to_owned();
    out
}

/// Into a pipe of its own size: swept, or at 45 degrees.
fn eased(ctx: &Ctx<'_>, rule: &Rule, item: &Item<Pipe>, receiver: usize, asked: Key<bool>) -> Option<Finding> {
    let (entry, into) = (&item.body.entry, ctx.network.id(receiver));
    let plain = |good: bool, what: &str| Measure::plain(good, ctx.record.how(entry), format!("{what} into {into}"));
    let measure = match entry.get() {
        Some(Entry::Swept) => plain(true, "swept"),
        Some(Entry::Junction45) => plain(true, "at 45"),
        Some(Entry::Plain | Entry::Boss | Entry::Saddle) => plain(false, "square"),
        Some(_) => return None,
        None => Measure::Missing(format!("whether it enters {into} swept, at 45 degrees, or square")),
    };
    let answer = ctx.rulebook.ask(asked, &Facts::new());
    let mut out = hold(&laid::subject(item, rule, "entry", entry), &measure, &answer, |_: &bool, _| {
        let text = "water that comes in square runs up both ways and blocks the pipe for a moment";
        (text.to_owned(), "a swept junction, or one at 45 degrees".to_owned())
    });
    out.limit = "swept, or at 45 degrees".to_owned();
    Some(out)
}

/// A small branch joins a large one in the upper part of its wall.
fn at_top(ctx: &Ctx<'_>, rule: &Rule, item: &Item<Pipe>, receiver: usize) -> Finding {
    let (meets, into) = (&item.body.meets, ctx.network.id(receiver));
    let measure = match meets.get() {
        Some(meet) => {
            let top = *meet == Meets::Soffit;
            Measure::plain(top, ctx.record.how(meets), format!("{} to {} of {into}", meet.word(), meet.word()))
        }
        None => Measure::Missing(format!("whether it joins {into} at the top, soffit to soffit")),
    };
    let subject: Subject<'_> = laid::subject(item, rule, "meets", meets);
    let answer = ctx.rulebook.ask(key::BRANCH_JUNCTION_AT_TOP, &Facts::new());
    let mut out = hold(&subject, &measure, &answer, |_: &bool, _| {
        let text = "what the large pipe carries backs up into the small one";
        (text.to_owned(), "an entry in the upper part of the larger pipe".to_owned())
    });
    out.limit = "at the top".to_owned();
    out
}
