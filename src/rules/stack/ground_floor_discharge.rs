//! What discharges without a full stack goes where it may: a WC straight into the drain not far below its floor, a waste
//! into a gully under its grating, branches into a stub stack not far above the drain.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Weight;
use crate::base::known::How;
use crate::base::known::Known;
use crate::base::units::Cover;
use crate::base::units::Length;
use crate::compute::stacks::StackEntry;
use crate::compute::stacks::What;
use crate::network::ends::End;
use crate::network::height::Height;
use crate::network::kind::Kind;
use crate::record::facts::kind_of;
use crate::record::pipework::Appliance;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;
use crate::record::words::AccessKind;
use crate::record::words::ApplianceKind;
use crate::record::words::Entry;
use crate::record::words::PipeKind;
use crate::record::words::Stage;
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

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("ground-floor-discharge"),
    title: "Straight into a drain, a gully or a stub stack",
    weight: Weight::Clause,
    due: Moment::BeforeCover,
    keys: &[
        key::DRAIN_WC_BELOW_FLOOR_MAXIMUM.path(),
        key::DRAIN_GULLY_WASTE_ONLY.path(),
        key::DRAIN_GULLY_UNDER_GRATING.path(),
        key::STACK_ENTRY_STUB_HEIGHT_MAXIMUM.path(),
        key::STACK_ENTRY_STUB_TOP_CLOSED.path(),
    ],
    check,
};

/// Words of a waste that ends under the grating of its gully; they are looked for after the others.
const UNDER: [&str; 5] =
    ["under the grating", "below the grating", "through the grating", "through the grid", "under the grid"];

/// Words of one that does not.
const OVER: [&str; 5] = ["over the grating", "above the grating", "on the grating", "over the grid", "hopper"];

/// Words of one that dips into the water of the trap.
const DROWNED: [&str; 3] = ["into the water", "below the water", "under water"];

/// Words of what closes a stub stack: a valve, or a plug through which it is rodded.
const CLOSED: [&str; 4] = ["admittance", "plug", "cap", "access"];

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    let legs = ctx.network.legs.iter().enumerate();
    let new = |item: &&Item<Pipe>| !item.broken && !matches!(item.body.stage_now(), Stage::Existing | Stage::Removed);
    legs.filter_map(|(leg, own)| {
        let item = ctx.record.pipes.at(own.pipe).filter(new)?;
        match (own.derived.kind, own.ends.from, own.ends.to) {
            (Kind::Drain, End::Appliance(a), _) => straight(ctx, rule, leg, item, ctx.record.appliances.at(a)?),
            (Kind::Branch | Kind::CommonBranch, _, End::Access(a)) if gully(ctx, a) => {
                into_gully(ctx, rule, leg, item, a)
            }
            (Kind::Branch | Kind::CommonBranch, _, End::Pipe(s)) if stub(ctx, s) => into_stub(ctx, rule, leg, item, s),
            (Kind::Stack, ..) if stub(ctx, leg) => Some(top(ctx, rule, item)),
            _ => None,
        }
    })
    .collect()
}

fn gully(ctx: &Ctx<'_>, access: usize) -> bool {
    ctx.record.access.at(access).is_some_and(|a| a.body.what.get() == Some(&AccessKind::Gully))
}

fn stub(ctx: &Ctx<'_>, leg: usize) -> bool {
    let typed = ctx.network.legs.get(leg).and_then(|l| ctx.record.pipes.at(l.pipe)).and_then(|p| p.body.kind.get());
    typed == Some(&PipeKind::StubStack)
}

/// A WC on a drain of its own: from its floor down to the invert under it.
fn straight(ctx: &Ctx<'_>, rule: &Rule, leg: usize, item: &Item<Pipe>, pan: &Item<Appliance>) -> Option<Finding> {
    if kind_of(pan) != Some(ApplianceKind::Wc) {
        return None;
    }
    let floor: Option<Height<Cover>> = ctx.network.height(&pan.body.floor, None);
    let invert = ctx.network.solved(leg).up;
    let depth = floor.zip(invert).and_then(|(floor, invert)| floor.above(&invert));
    let mut subject = laid::subject(item, rule, "il", &item.body.il);
    if floor.is_none() {
        subject.field = format!("appliances.{}.floor", pan.id);
    }
    let measure = match depth {
        Some(d) => Measure::length(d, format!("{}\u{a0}m below the floor of {}", d.value.metres(3), pan.id)),
        None if floor.is_none() => Measure::Missing(format!("the level of the floor under {}", pan.id)),
        None => Measure::Missing("its invert at the upper end".to_owned()),
    };
    let answer = ctx.rulebook.ask(key::DRAIN_WC_BELOW_FLOOR_MAXIMUM, &Facts::new());
    Some(hold(&subject, &measure, &answer, |limit: &Length, found| {
        let over = (*found - *limit).metres(3);
        let text = format!("{over}\u{a0}m too deep for a pan without a stack");
        (text, "a stack or a stub stack, or a drain that lies higher".to_owned())
    }))
}

fn into_gully(ctx: &Ctx<'_>, rule: &Rule, leg: usize, item: &Item<Pipe>, access: usize) -> Option<Finding> {
    governing(vec![waste_only(ctx, rule, leg, item, access), under_grating(ctx, rule, item, access)])
}

/// A gully takes waste water and no WC.
fn waste_only(ctx: &Ctx<'_>, rule: &Rule, leg: usize, item: &Item<Pipe>, access: usize) -> Finding {
    let into = ctx.record.access.at(access).map_or("", |a| a.id.as_str());
    let measure = match ctx.computed.flows.get(leg) {
        Some(flow) if flow.wcs > 0 => Measure::plain(false, How::Computed, format!("a WC into {into}")),
        Some(flow) if flow.lacks.is_none() => Measure::plain(true, How::Computed, format!("no WC into {into}")),
        _ => Measure::Missing(format!("what it brings into {into}")),
    };
    let answer = ctx.rulebook.ask(key::DRAIN_GULLY_WASTE_ONLY, &Facts::new());
    let subject = laid::subject(item, rule, "from", &item.body.from);
    let mut out = hold(&subject, &measure, &answer, |_: &bool, _| {
        ("its solids stay in the gully".to_owned(), "a stack, a stub stack or a drain".to_owned())
    });
    out.limit = "waste water only".to_owned();
    out
}

/// It ends between the grating and the water of the gully's trap.
fn under_grating(ctx: &Ctx<'_>, rule: &Rule, item: &Item<Pipe>, access: usize) -> Finding {
    let into = ctx.record.access.at(access).map_or("", |a| a.id.as_str());
    let (entry, how) = (&item.body.entry, &item.body.how);
    let words = how.get().map_or(String::new(), |w| w.0.to_lowercase());
    let says = |any: &[&str]| any.iter().any(|w| words.contains(w));
    let by_words = |good: bool, what: &str| Measure::plain(good, ctx.record.how(how), format!("{what} of {into}"));
    let measure = if says(&OVER) {
        by_words(false, "over the grating")
    } else if says(&DROWNED) {
        by_words(false, "into the water")
    } else if says(&UNDER) {
        by_words(true, "under the grating")
    } else if entry.get() == Some(&Entry::GullyBack) {
        // A back inlet lies between grating and water by its making.
        Measure::plain(true, How::Stated, format!("by the back inlet of {into}"))
    } else {
        Measure::Missing(format!("whether it ends under the grating of {into}, above its water"))
    };
    let subject =
        if how.is_absent() { laid::subject(item, rule, "entry", entry) } else { laid::subject(item, rule, "how", how) };
    let answer = ctx.rulebook.ask(key::DRAIN_GULLY_UNDER_GRATING, &Facts::new());
    let mut out = hold(&subject, &measure, &answer, |_: &bool, _| {
        let text = "above the grating it splashes and fouls the ground; in the water the trap no longer parts it from the drain";
        (text.to_owned(), "an end below the grating and above the water, or a back inlet".to_owned())
    });
    out.limit = "between grating and water".to_owned();
    out
}

/// How high a branch enters a stub stack.
fn into_stub(ctx: &Ctx<'_>, rule: &Rule, leg: usize, item: &Item<Pipe>, stack: usize) -> Option<Finding> {
    let fits = |e: &&StackEntry| e.what == What::Branch(leg);
    let height: Option<Known<Length>> = ctx.computed.entries.iter().find(fits)?.height;
    let flow = ctx.computed.flows.get(leg);
    // One WC among them is enough, whatever else is not known.
    let wcs = flow.filter(|f| f.lacks.is_none() || f.wcs > 0).map(|f| f.wcs);
    let stub = ctx.network.id(stack);
    let no_foot = item.body.at.get().is_some() && ctx.network.solved(stack).down.is_none();
    let field = match (wcs, no_foot) {
        (None, _) => format!("pipes.{}.from", item.id),
        (Some(_), true) => format!("pipes.{stub}.foot.il"),
        (Some(_), false) => format!("pipes.{}.at", item.id),
    };
    let measure = match height {
        Some(h) => {
            let what = if wcs.is_some_and(|n| n > 0) { ", with a WC" } else { "" };
            Measure::length(h, format!("{}\u{a0}m above the foot of {stub}{what}", h.value.metres(3)))
        }
        None if no_foot => Measure::Missing(format!("the invert at the foot of {stub}")),
        None => Measure::Missing(format!("how high it enters {stub}")),
    };
    let subject = Subject { field, ..laid::subject(item, rule, "at", &item.body.at) };
    let answer = ctx.rulebook.ask(key::STACK_ENTRY_STUB_HEIGHT_MAXIMUM, &Facts::new().with(Fact::WcCount, wcs));
    Some(hold(&subject, &measure, &answer, |limit: &Length, found| {
        let over = (*found - *limit).metres(3);
        (format!("{over}\u{a0}m too high for a stack without a vent"), "a stack with an open vent".to_owned())
    }))
}

/// A stub stack is closed at its top by a plug or a valve.
fn top(ctx: &Ctx<'_>, rule: &Rule, item: &Item<Pipe>) -> Finding {
    let field = &item.body.top;
    let terminal = field.get().and_then(|r| ctx.record.terminals.get(&r.0));
    let words = terminal.and_then(|t| t.body.what.get().map(|w| (w.0.as_str(), ctx.record.how(&t.body.what))));
    let measure = match words {
        Some((words, how)) => {
            let closed = CLOSED.iter().any(|w| words.to_lowercase().contains(w));
            Measure::plain(closed, how, words)
        }
        None => Measure::Missing("what closes its top: a plug, or an air admittance valve".to_owned()),
    };
    let answer = ctx.rulebook.ask(key::STACK_ENTRY_STUB_TOP_CLOSED, &Facts::new());
    let mut out = hold(&laid::subject(item, rule, "top", field), &measure, &answer, |_: &bool, _| {
        ("drain air comes out of it".to_owned(), "a sealed access plug, or an air admittance valve".to_owned())
    });
    out.limit = "a sealed plug, or an air admittance valve".to_owned();
    out
}
