//! What lies inside a chamber: benching that sheds water and gives a foothold, steps where somebody has to climb in, and
//! branches that enter the channel high enough and round enough.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Weight;
use crate::base::known::How;
use crate::base::known::Known;
use crate::base::size::Nominal;
use crate::base::units::Length;
use crate::network::ends::End;
use crate::network::kind::Kind;
use crate::record::chamber::Benching;
use crate::record::fall::Fall;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;
use crate::record::words::AccessKind;
use crate::record::words::BranchSection;
use crate::record::words::Entry;
use crate::rulebook::Fact;
use crate::rulebook::Facts;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::driver::Measure;
use crate::rules::driver::Subject;
use crate::rules::driver::governing;
use crate::rules::driver::hold;
use crate::rules::laid;
use crate::rules::point;
use crate::rules::point::Asked;
use crate::rules::point::Point;

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("chamber-channel-and-benching"),
    title: "Channel, benching and steps of a chamber",
    weight: Weight::Clause,
    due: Moment::BeforeCover,
    keys: &[
        key::ACCESS_STEPS.path(),
        key::ACCESS_BENCHING_RISE_MINIMUM.path(),
        key::ACCESS_BENCHING_SLOPE_MINIMUM.path(),
        key::ACCESS_BENCHING_EDGE_MINIMUM.path(),
        key::ACCESS_CHANNEL_BRANCH_ABOVE_MIDDLE_MINIMUM.path(),
        key::ACCESS_CHANNEL_THREE_QUARTER.path(),
    ],
    check,
};

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    let chambers = point::new(ctx, rule).filter_map(|p| chamber(&p));
    let branches = ctx.new_drains().filter_map(|(leg, item)| branch(ctx, rule, leg, item));
    chambers.chain(branches).collect()
}

/// An inspection chamber is asked for benching only where the record speaks of it: made ones come with theirs. A
/// manhole is built on site.
fn chamber(p: &Point<'_>) -> Option<Finding> {
    let said = !p.item.body.benching.is_absent();
    match p.kind {
        AccessKind::InspectionChamber if said => governing(benching(p)),
        AccessKind::Manhole => governing(benching(p).into_iter().chain([steps(p)]).collect()),
        _ => None,
    }
}

const STEPS: Asked<'static> = Asked {
    key: "steps",
    missing: "whether it has steps or a ladder",
    words: ("", ""),
    limit: "steps or a ladder",
    text: "nobody can climb in and out safely",
    remedy: "step irons, or a ladder",
};

fn steps(p: &Point<'_>) -> Finding {
    let field = &p.item.body.steps;
    let measure = match field.get() {
        Some(words) => Measure::plain(true, p.how(field), words.0.clone()),
        None if field.is_none() => Measure::plain(false, p.how(field), "no steps"),
        None => Measure::Missing(STEPS.missing.to_owned()),
    };
    point::at_depths(p, p.depth(), |depth| {
        let facts = Facts::new().with(Fact::AccessKind, p.kind.word()).with(Fact::Depth, depth);
        let own = p.subject("steps", field);
        let own = if depth.is_none() { Subject { field: p.depth_field(), ..own } } else { own };
        let mut out = p.plain(&STEPS, own, &measure, &p.ctx.rulebook.ask(key::ACCESS_STEPS, &facts));
        let line = facts.clone().with(Fact::Depth, Length::from_mm(2000));
        point::cited(&mut out, p.ctx.rulebook.ask(key::ACCESS_STEPS, &line).citation());
        out
    })
}

fn benching(p: &Point<'_>) -> Vec<Finding> {
    let field = &p.item.body.benching;
    let none = Benching::default();
    let b = field.get().unwrap_or(&none);
    let bare = field.is_none();
    vec![rise(p, b, bare), slope(p, b, bare), edge(p, b, bare)]
}

/// The benching as what is judged by one of its fields.
fn part<'a>(p: &Point<'a>, key: &str) -> Subject<'a> {
    p.subject(&format!("benching.{key}"), &p.item.body.benching)
}

fn rise(p: &Point<'_>, b: &Benching, bare: bool) -> Finding {
    let leaving = p.leaving().and_then(|leg| p.ctx.network.legs.get(leg));
    let bore = leaving.and_then(|leg| leg.bore.or(leg.nominal.map(|n| Length::from_mm(i64::from(n.0)))));
    let own = part(p, "height");
    let (own, measure) = match (b.height.get(), bore) {
        _ if bare => (own, Measure::plain(-bore.unwrap_or(Length::from_mm(1)), How::Stated, "no benching")),
        (Some(h), Some(bore)) => {
            let words = format!("benching {} high, pipe of {}\u{a0}mm", h.words(), bore.millimetres());
            let known = Known { value: h.value - bore, half: h.half, how: p.how(&b.height) };
            (own, Measure::length(known, words))
        }
        (None, _) => (own, Measure::Missing("how high its benching comes".to_owned())),
        (Some(_), None) => {
            let field = leaving
                .and_then(|leg| p.ctx.record.pipes.at(leg.pipe))
                .map_or("pipes".to_owned(), |pipe| format!("pipes.{}.size", pipe.id));
            (Subject { field, ..own }, Measure::Missing("the size of the pipe that leaves it".to_owned()))
        }
    };
    let answer = p.ctx.rulebook.ask(key::ACCESS_BENCHING_RISE_MINIMUM, &Facts::new());
    let mut out = hold(&own, &measure, &answer, |_: &Length, short| {
        let text = format!("it ends {}\u{a0}mm below the top of the pipe that leaves", short.abs().millimetres());
        let text = if bare { "water and solids come to lie beside the channel".to_owned() } else { text };
        (text, "benching up to the top of that pipe or higher".to_owned())
    });
    if answer.limit().is_some() {
        out.limit = "up to the top of the pipe that leaves".to_owned();
    }
    out
}

fn slope(p: &Point<'_>, b: &Benching, bare: bool) -> Finding {
    let measure = match b.slope.get() {
        _ if bare => return nothing(p),
        Some(Fall::Gradient { value, flattest, steepest, .. }) => {
            let known = crate::base::known::KnownGradient {
                value: *value,
                flattest: *flattest,
                steepest: *steepest,
                how: p.how(&b.slope),
            };
            Measure::gradient(known, format!("benching {}", value.in_words()))
        }
        Some(Fall::Drop(_)) | None => Measure::Missing("how its benching slopes, as a gradient".to_owned()),
    };
    let answer = p.ctx.rulebook.ask(key::ACCESS_BENCHING_SLOPE_MINIMUM, &Facts::new());
    hold(&part(p, "slope"), &measure, &answer, |limit, _| {
        ("too flat to shed what is washed on to it".to_owned(), format!("a slope of {} or steeper", limit.in_words()))
    })
}

fn edge(p: &Point<'_>, b: &Benching, bare: bool) -> Finding {
    let measure = match b.edge.get() {
        _ if bare => return nothing(p),
        Some(r) => {
            let known = Known { value: r.value, half: r.half, how: p.how(&b.edge) };
            Measure::length(known, format!("edge rounded {}", r.words()))
        }
        None => Measure::Missing("how far its edge is rounded".to_owned()),
    };
    let answer = p.ctx.rulebook.ask(key::ACCESS_BENCHING_EDGE_MINIMUM, &Facts::new());
    hold(&part(p, "edge"), &measure, &answer, |limit: &Length, _| {
        ("paper hangs on a sharp edge".to_owned(), format!("a radius of {}\u{a0}mm or more", limit.millimetres()))
    })
}

fn nothing(p: &Point<'_>) -> Finding {
    let own = p.subject("benching", &p.item.body.benching);
    crate::rules::driver::finding(&own, crate::base::finding::Verdict::NotApplicable)
}

/// A drain that enters the channel of a chamber from the side: another comes in too.
fn branch(ctx: &Ctx<'_>, rule: &Rule, leg: usize, item: &Item<Pipe>) -> Option<Finding> {
    let End::Access(a) = ctx.network.legs.get(leg)?.ends.to else { return None };
    let main = ctx.record.access.at(a).and_then(|x| x.body.main_run.get());
    if item.body.entry.get() != Some(&Entry::Channel) || main.is_some_and(|main| main.0 == item.id) {
        return None;
    }
    let arrives = |(i, l): (usize, &crate::network::legs::Leg)| {
        i != leg && l.ends.to == End::Access(a) && l.derived.kind == Kind::Drain
    };
    if !ctx.network.legs.iter().enumerate().any(arrives) {
        return None;
    }
    governing(vec![high_enough(ctx, rule, (leg, item), a), round_enough(ctx, rule, item)])
}

/// The invert of the branch above the middle of the channel, which runs at the invert that leaves.
fn high_enough(ctx: &Ctx<'_>, rule: &Rule, (leg, item): (usize, &Item<Pipe>), access: usize) -> Finding {
    let own = laid::subject(item, rule, "il", &item.body.il);
    let out = ctx.network.leaving.get(access).copied().flatten();
    let bore = out.and_then(|out| ctx.network.legs.get(out)?.bore);
    let chamber = ctx.record.access.at(access);
    let recorded = chamber.and_then(|x| ctx.network.height(&x.body.il_out, Some(&x.body.kit)));
    let channel = recorded.or_else(|| ctx.network.solved(out?).up);
    let id = ctx.network.end_id(End::Access(access));
    let branch = ctx.network.solved(leg).down;
    let above = branch.zip(channel).and_then(|(branch, channel)| branch.above(&channel));
    let size = ctx.network.legs.get(leg).and_then(|l| l.nominal);
    let (field, measure) = match (above, bore) {
        (Some(above), Some(bore)) => {
            let middle = Length::from_um(bore.um() / 2);
            let words = format!(
                "{}\u{a0}mm over the invert of {id}, middle at {}\u{a0}mm",
                above.value.millimetres(),
                middle.millimetres()
            );
            (own.field.clone(), Measure::length(above.map(|v| v - middle), words))
        }
        (None, _) if branch.is_none() => (own.field.clone(), Measure::Missing(format!("at what level it enters {id}"))),
        (None, _) => (format!("access.{id}.il-out"), Measure::Missing(format!("the invert that leaves {id}"))),
        (Some(_), None) => ("pipes".to_owned(), Measure::Missing(format!("the bore of the pipe that leaves {id}"))),
    };
    let facts = Facts::new().with(Fact::Size, size);
    let answer = ctx.rulebook.ask(key::ACCESS_CHANNEL_BRANCH_ABOVE_MIDDLE_MINIMUM, &facts);
    let mut found = hold(&Subject { field, ..own }, &measure, &answer, |_: &Length, short| {
        let text = format!("water in the channel backs {}\u{a0}mm up into it", short.abs().millimetres());
        (text, "enter the channel at its middle or above".to_owned())
    });
    if answer.limit().is_some() {
        found.limit = "at the middle of the channel or above".to_owned();
    }
    let line = Facts::new().with(Fact::Size, Nominal(100));
    let answer = ctx.rulebook.ask(key::ACCESS_CHANNEL_BRANCH_ABOVE_MIDDLE_MINIMUM, &line);
    point::cited(&mut found, answer.citation());
    found
}

/// What turns sharply enters by a branch of three-quarter section.
fn round_enough(ctx: &Ctx<'_>, rule: &Rule, item: &Item<Pipe>) -> Finding {
    let (turn, section) = (&item.body.turn, &item.body.branch_section);
    let believed = ctx.record.how(turn) == How::Believed;
    let degrees = turn.get().filter(|_| !believed).map(|count| count.0);
    let how = ctx.record.how(turn).with(How::Stated);
    let said = degrees.map_or(String::new(), |d| format!("turns {d} degrees, "));
    let measure = match section.get() {
        Some(s) => Measure::plain(*s == BranchSection::ThreeQuarter, how, format!("{said}{} section", s.word())),
        None => Measure::Missing("by a branch of what section it enters the channel".to_owned()),
    };
    let own = match degrees {
        None => laid::subject(item, rule, "turn", turn),
        Some(_) => laid::subject(item, rule, "branch-section", section),
    };
    let answer = ctx.rulebook.ask(key::ACCESS_CHANNEL_THREE_QUARTER, &Facts::new().with(Fact::Turn, degrees));
    let mut out = hold(&own, &measure, &answer, |_: &bool, _| {
        ("so sharp a turn throws water over the benching".to_owned(), "a branch of three-quarter section".to_owned())
    });
    if answer.limit().is_some() {
        out.limit = "three-quarter section".to_owned();
    }
    let line = Facts::new().with(Fact::Turn, u32::MAX);
    point::cited(&mut out, ctx.rulebook.ask(key::ACCESS_CHANNEL_THREE_QUARTER, &line).citation());
    out
}
