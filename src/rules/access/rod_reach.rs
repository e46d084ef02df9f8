//! Rods come into the whole length of each new drain from one access point or another.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Verdict;
use crate::base::finding::Weight;
use crate::base::known::How;
use crate::base::units::Length;
use crate::compute::reach::Lean;
use crate::compute::reach::Reached;
use crate::compute::reach::Way;
use crate::compute::reach::find;
use crate::compute::reach::left_over;
use crate::network::ends::End;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;
use crate::record::words::Stage;
use crate::rulebook::Facts;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::driver::Measure;
use crate::rules::driver::Subject;
use crate::rules::driver::about;
use crate::rules::driver::hold;

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("rod-reach"),
    title: "Every length of drain within reach of rods",
    weight: Weight::Clause,
    due: Moment::BeforeCover,
    check,
};

/// The parts that rods come into, with lengths as recorded, at their longest and at their shortest.
struct Parts {
    plain: Vec<Vec<Reached>>,
    long: Vec<Vec<Reached>>,
    short: Vec<Vec<Reached>>,
}

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    let answer = ctx.rulebook.ask(key::ACCESS_ROD_LENGTH_MAXIMUM, &Facts::new());
    let Some(rods) = answer.limit().map(|limit| limit.value) else { return Vec::new() };
    let of = |lean| find(ctx.network, rods, lean);
    let parts = Parts { plain: of(Lean::Plain), long: of(Lean::Long), short: of(Lean::Short) };
    ctx.new_drains().map(|(leg, item)| judge(ctx, rule, leg, item, &parts)).collect()
}

fn judge(ctx: &Ctx<'_>, rule: &Rule, leg: usize, item: &Item<Pipe>, parts: &Parts) -> Finding {
    let subject = |key: &str| Subject {
        id: item.id.clone(),
        span: item.id_span,
        planned: item.body.stage_now() == Stage::Planned,
        field: format!("pipes.{}.{key}", item.id),
        rule,
    };
    let of = |list: &[Vec<Reached>]| list.get(leg).cloned().unwrap_or_default();
    let reached = of(&parts.plain);
    let answer = ctx.rulebook.ask(key::ACCESS_REACHED, &Facts::new());
    let (subject, measure) = match (ctx.network.legs.get(leg).and_then(|l| l.length), open_end(ctx, leg)) {
        (None, _) if !reached.is_empty() => (subject("length"), Measure::Missing("its length".to_owned())),
        (length, open) => {
            let bare = |list: &[Reached], l: Length| left_over(list, l);
            let value = length.map_or(Length::ZERO, |l| bare(&reached, l.value));
            let covered = length.is_some() && value == Length::ZERO;
            match open {
                Some((key, what)) if !covered => (subject(key), Measure::Missing(what)),
                _ => {
                    let at = |list: &[Vec<Reached>], by: fn(Length, Length) -> Length| {
                        length.is_some_and(|l| bare(&of(list), by(l.value, l.half)) == Length::ZERO)
                    };
                    let (long, short) = (at(&parts.long, |v, h| v + h), at(&parts.short, |v, h| v - h));
                    let how = how(&reached, covered);
                    let words = words(ctx, &reached, covered, length.map(|l| (l.value, value)));
                    let words = about(how, &words);
                    (subject("to"), Measure::Is { value: covered, low: long, high: short, how, words })
                }
            }
        }
    };
    let mut out = hold(&subject, &measure, &answer, |_: &bool, _| {
        ("rods from an access point do not come into all of it".to_owned(), "an access point at its head".to_owned())
    });
    out.limit = "all of it".to_owned();
    let planned = covered_by_plan(&reached);
    out.planned |= planned && out.verdict == Verdict::Met;
    out
}

/// An end of which the record does not say what stands there: an access point may.
fn open_end(ctx: &Ctx<'_>, leg: usize) -> Option<(&'static str, String)> {
    let l = ctx.network.legs.get(leg)?;
    let open = |end: End| matches!(end, End::Unknown | End::Absent);
    if open(l.ends.from) {
        return Some(("from", "what is at its upper end".to_owned()));
    }
    if open(l.ends.to) {
        return Some(("to", "what is at its lower end".to_owned()));
    }
    match (l.ends.to, l.join) {
        (End::Access(a), _) if ctx.record.access.at(a).is_some_and(|x| x.body.what.get().is_none()) => {
            Some(("to", format!("what {} is", ctx.network.end_id(l.ends.to))))
        }
        _ => None,
    }
}

/// Believed, when what is known for certain does not cover it.
fn how(reached: &[Reached], covered: bool) -> How {
    let believed = |list: &[Reached]| list.iter().any(|r| r.how == How::Believed);
    if covered && believed(reached) && reached.iter().all(|r| r.how == How::Believed) {
        How::Believed
    } else {
        How::Computed
    }
}

fn covered_by_plan(reached: &[Reached]) -> bool {
    !reached.is_empty() && reached.iter().all(|r| r.planned)
}

/// "from IC1 up", or how much of it is out of reach.
fn words(ctx: &Ctx<'_>, reached: &[Reached], covered: bool, length: Option<(Length, Length)>) -> String {
    if covered {
        let mut names: Vec<String> = Vec::new();
        for r in reached {
            let id = ctx.record.access.at(r.access).map_or("", |a| a.id.as_str());
            let way = if r.way == Way::Down { "down" } else { "up" };
            let name = format!("{id} {way}");
            if !names.contains(&name) && names.len() < 2 {
                names.push(name);
            }
        }
        return format!("from {}", names.join(" and "));
    }
    match length {
        Some((all, bare)) if bare < all => {
            format!("{}\u{a0}m of {}\u{a0}m out of reach", bare.metres(2), all.metres(2))
        }
        Some((all, _)) => format!("reached by no access point ({}\u{a0}m)", all.metres(2)),
        None => "reached by no access point".to_owned(),
    }
}
