//! The ventilating pipe of a branch starts close to the trap, rises all the way, and ends where air can come from.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Weight;
use crate::base::known::How;
use crate::base::known::Known;
use crate::base::units::CentreLine;
use crate::base::units::Cover;
use crate::base::units::Length;
use crate::base::units::Spot;
use crate::compute::spacing::sum;
use crate::network::ends::End;
use crate::network::height::Height;
use crate::network::kind::Kind;
use crate::network::legs::Leg;
use crate::network::legs::from_upper_end;
use crate::record::pipework::Appliance;
use crate::record::pipework::Pipe;
use crate::record::quantity::Station;
use crate::record::sections::Item;
use crate::record::words::Stage;
use crate::record::words::YesNo;
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
    id: RuleId("branch-vent"),
    title: "Way of the ventilating pipe of a branch",
    weight: Weight::Clause,
    due: Moment::BeforeCover,
    keys: &[
        key::VENT_BRANCH_FROM_TRAP_MAXIMUM.path(),
        key::VENT_BRANCH_ENDS.path(),
        key::VENT_BRANCH_RISES.path(),
        key::VENT_BRANCH_ABOVE_SPILL_MINIMUM.path(),
    ],
    check,
};

/// A ventilating pipe on a branch.
struct OnBranch<'a> {
    item: &'a Item<Pipe>,
    leg: &'a Leg,
    branch: usize,
}

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    let new = |item: &&Item<Pipe>| !item.broken && !matches!(item.body.stage_now(), Stage::Existing | Stage::Removed);
    let vents = ctx.network.legs.iter().filter(|l| l.derived.kind == Kind::Vent);
    vents
        .filter_map(|leg| {
            let End::Pipe(branch) = leg.ends.from else { return None };
            let below = ctx.network.legs.get(branch)?.derived.kind;
            let item = ctx.record.pipes.at(leg.pipe).filter(new)?;
            let on_branch = matches!(below, Kind::Branch | Kind::CommonBranch);
            on_branch.then(|| judge(ctx, rule, &OnBranch { item, leg, branch }))?
        })
        .collect()
}

fn judge(ctx: &Ctx<'_>, rule: &Rule, vent: &OnBranch<'_>) -> Option<Finding> {
    let all = [Some(near_trap(ctx, rule, vent)), Some(ends(ctx, rule, vent))];
    // A valve stands on its branch: it has no way to rise and joins nothing.
    let way = if valve(ctx, vent).is_some() { None } else { Some(rises(ctx, rule, vent)) };
    governing(all.into_iter().chain([way, above_spill(ctx, rule, vent)]).flatten().collect())
}

/// What stands on top of it when that is an air admittance valve, and how that is known.
fn valve(ctx: &Ctx<'_>, vent: &OnBranch<'_>) -> Option<How> {
    let terminal = vent.item.body.top.get().and_then(|r| ctx.record.terminals.get(&r.0))?;
    let words = terminal.body.what.get()?;
    words.0.to_lowercase().contains("admittance").then(|| ctx.record.how(&terminal.body.what))
}

/// Along the branch from the trap to where it starts.
fn near_trap(ctx: &Ctx<'_>, rule: &Rule, vent: &OnBranch<'_>) -> Finding {
    let field = &vent.item.body.at;
    let measure = match from_trap(ctx, vent) {
        Some(known) => Measure::length(known, format!("{}\u{a0}m from the trap", known.value.metres(2))),
        None => Measure::Missing(format!("how far from the trap it starts on {}", ctx.network.id(vent.branch))),
    };
    let answer = ctx.rulebook.ask(key::VENT_BRANCH_FROM_TRAP_MAXIMUM, &Facts::new());
    hold(&laid::subject(vent.item, rule, "at", field), &measure, &answer, |limit: &Length, found| {
        let over = (*found - *limit).metres(2);
        (format!("{over}\u{a0}m too far for air to reach the trap in time"), "a start nearer to the trap".to_owned())
    })
}

fn from_trap(ctx: &Ctx<'_>, vent: &OnBranch<'_>) -> Option<Known<Length>> {
    let field = &vent.item.body.at;
    let Station::Along { distance, up, from } = field.get()? else { return None };
    let given = Known { value: distance.value, half: distance.half, how: ctx.record.how(field) };
    let mut at = ctx.network.legs.get(vent.branch)?;
    let mut whole = from_upper_end(ctx.record, at, given, *up, from);
    for _ in 0..ctx.network.legs.len() {
        let End::Pipe(above) = at.ends.from else { break };
        at = ctx.network.legs.get(above)?;
        whole = sum(whole, at.length);
    }
    matches!(at.ends.from, End::Appliance(_)).then_some(whole)?
}

/// Open air, a ventilating pipe or a valve.
fn ends(ctx: &Ctx<'_>, rule: &Rule, vent: &OnBranch<'_>) -> Finding {
    let body = &vent.item.body;
    let joins = match vent.leg.ends.to {
        End::Pipe(p) => ctx.network.legs.get(p).map(|l| (p, l.derived.kind)),
        _ => None,
    };
    let top = body.top.get().map(|r| r.0.as_str());
    let terminal = top.and_then(|id| ctx.record.terminals.get(id));
    let measure = match (joins, terminal) {
        (Some((p, Kind::Vent | Kind::Stack)), _) => {
            Measure::plain(true, ctx.record.how(&body.to), format!("into {}", ctx.network.id(p)))
        }
        (Some((p, kind)), _) => {
            let words = format!("into {}, a {}", ctx.network.id(p), kind.words());
            Measure::plain(false, ctx.record.how(&body.to), words)
        }
        (None, Some(terminal)) => match terminal.body.what.get() {
            Some(what) => Measure::plain(true, ctx.record.how(&terminal.body.what), what.0.clone()),
            None => Measure::Missing(format!("what {} is", terminal.id)),
        },
        (None, None) if body.top.is_none() => Measure::plain(false, How::Stated, "ends in nothing"),
        (None, None) => Measure::Missing("where it ends: in open air, in a ventilating pipe, or in a valve".to_owned()),
    };
    let answer = ctx.rulebook.ask(key::VENT_BRANCH_ENDS, &Facts::new());
    let mut out = hold(&laid::subject(vent.item, rule, "top", &body.top), &measure, &answer, |_: &bool, _| {
        let text = "no air comes in there";
        (text.to_owned(), "open air, a ventilating pipe, or an air admittance valve".to_owned())
    });
    out.limit = "open air, a ventilating pipe, or a valve".to_owned();
    out
}

fn rises(ctx: &Ctx<'_>, rule: &Rule, vent: &OnBranch<'_>) -> Finding {
    let field = &vent.item.body.rises;
    let measure = match field.get().copied().map(YesNo::yes) {
        Some(true) => Measure::plain(true, ctx.record.how(field), "rises all the way"),
        Some(false) => Measure::plain(false, ctx.record.how(field), "does not rise all the way"),
        None => Measure::Missing("whether it rises all the way".to_owned()),
    };
    let answer = ctx.rulebook.ask(key::VENT_BRANCH_RISES, &Facts::new());
    let mut out = hold(&laid::subject(vent.item, rule, "rises", field), &measure, &answer, |_: &bool, _| {
        ("water stands in the low part and shuts off the air".to_owned(), "a way that rises all along".to_owned())
    });
    out.limit = "rises all the way".to_owned();
    out
}

/// Where it joins another ventilating pipe it does so above everything that may spill over into it.
fn above_spill(ctx: &Ctx<'_>, rule: &Rule, vent: &OnBranch<'_>) -> Option<Finding> {
    let End::Pipe(_) = vent.leg.ends.to else { return None };
    let field = &vent.item.body.joins_at;
    let mut subject = laid::subject(vent.item, rule, "joins-at", field);
    let joins: Option<Height<CentreLine>> = ctx.network.height(field, Some(&vent.item.body.kit));
    let measure = match (joins, spills(ctx, vent.branch)) {
        (None, _) => Measure::Missing("at what level it joins".to_owned()),
        (Some(_), Err((open, what))) => {
            subject.field = open;
            Measure::Missing(what)
        }
        (Some(joins), Ok(all)) => {
            let above = all.into_iter().filter_map(|(id, spill)| joins.above(&spill).map(|up| (up, id)));
            match above.min_by_key(|(up, _)| up.value) {
                Some((up, id)) => {
                    let side = if up.value < Length::ZERO { "below" } else { "above" };
                    let words = format!("{}\u{a0}m {side} the overflow of {id}", up.value.abs().metres(2));
                    Measure::length(up, words)
                }
                None => Measure::Missing("levels that can be held against one another".to_owned()),
            }
        }
    };
    let answer = ctx.rulebook.ask(key::VENT_BRANCH_ABOVE_SPILL_MINIMUM, &Facts::new());
    let mut out = hold(&subject, &measure, &answer, |_: &Length, _| {
        let text = "when the branch is blocked its water runs off by the ventilating pipe, and nobody sees it";
        (text.to_owned(), "a junction above the highest overflow".to_owned())
    });
    out.limit = "above every overflow that it serves".to_owned();
    Some(out)
}

type Spill<'a> = (&'a str, Height<Spot>);

/// The overflow of everything that drains through a branch, or the field that would tell one.
fn spills<'a>(ctx: &Ctx<'a>, branch: usize) -> Result<Vec<Spill<'a>>, (String, String)> {
    let (mut all, mut seen, mut open) = (Vec::new(), Vec::new(), vec![branch]);
    while let Some(at) = open.pop() {
        let Some(leg) = ctx.network.legs.get(at).filter(|_| !seen.contains(&at)) else { continue };
        seen.push(at);
        open.extend(ctx.network.feeding.get(at).into_iter().flatten());
        if let End::Appliance(a) = leg.ends.from
            && let Some(item) = ctx.record.appliances.at(a)
        {
            all.push((item.id.as_str(), spill(ctx, item)?));
        }
    }
    Ok(all)
}

fn spill(ctx: &Ctx<'_>, item: &Item<Appliance>) -> Result<Height<Spot>, (String, String)> {
    let field = |key: &str| format!("appliances.{}.{key}", item.id);
    let floor: Option<Height<Cover>> = ctx.network.height(&item.body.floor, None);
    let floor = floor.ok_or_else(|| (field("floor"), format!("the level of the floor under {}", item.id)))?;
    let overflow = item.body.overflow.get().filter(|_| ctx.record.how(&item.body.overflow) != How::Believed);
    let overflow = overflow.ok_or_else(|| (field("overflow"), format!("how high the overflow of {} lies", item.id)))?;
    Ok(floor.to(overflow.value))
}
