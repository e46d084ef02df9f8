//! A drain is nowhere narrower than what runs into it.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Weight;
use crate::base::size::Nominal;
use crate::network::kind::Kind;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;
use crate::record::words::Stage;
use crate::rulebook::Facts;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::driver::Measure;
use crate::rules::driver::hold;
use crate::rules::laid;

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("no-narrower-downstream"),
    title: "No drain narrower than what runs into it",
    weight: Weight::Advice,
    due: Moment::BeforeCover,
    keys: &[key::DOWNSTREAM_NO_NARROWER.path()],
    check,
};

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    let mut feeding: Vec<Vec<usize>> = vec![Vec::new(); ctx.network.legs.len()];
    for (i, leg) in ctx.network.legs.iter().enumerate() {
        let there = ctx.record.pipes.at(leg.pipe).is_some_and(|p| p.body.stage_now() != Stage::Removed);
        let carries = leg.derived.kind != Kind::Vent;
        if let Some(list) =
            ctx.network.downstream(i).filter(|_| there && carries).and_then(|next| feeding.get_mut(next))
        {
            list.push(i);
        }
    }
    ctx.new_drains().filter_map(|(leg, item)| judge(ctx, rule, leg, item, feeding.get(leg)?)).collect()
}

/// Held against the widest of what runs into it at its head or along it. A drain into which nothing runs is not asked.
fn judge(ctx: &Ctx<'_>, rule: &Rule, leg: usize, item: &Item<Pipe>, feeding: &[usize]) -> Option<Finding> {
    let size = |leg: usize| ctx.network.legs.get(leg).and_then(|l| l.nominal);
    let label = |leg: usize| {
        let pipe = ctx.network.legs.get(leg).and_then(|l| ctx.record.pipes.at(l.pipe));
        pipe.and_then(|p| p.body.size.get()).map_or(String::new(), |s| s.label.clone())
    };
    let known = feeding.iter().filter_map(|from| size(*from).map(|s| (s, *from)));
    let (widest, from): (Nominal, usize) = known.max_by_key(|(size, from)| (*size, std::cmp::Reverse(*from)))?;
    let above = ctx.network.legs.get(from).and_then(|l| ctx.record.pipes.at(l.pipe))?;
    let how = ctx.record.how(&item.body.size).with(ctx.record.how(&above.body.size));
    let measure = match size(leg) {
        Some(own) => {
            let words = format!("{}, {} in by {}", label(leg), label(from), ctx.network.id(from));
            Measure::plain(own >= widest, how, words)
        }
        None => Measure::Missing("its size".to_owned()),
    };
    let subject = laid::subject(item, rule, "size", &item.body.size);
    let answer = ctx.rulebook.ask(key::DOWNSTREAM_NO_NARROWER, &Facts::new());
    let mut out = hold(&subject, &measure, &answer, |_: &bool, _| {
        let text = "what the wider pipe lets through lodges where the narrower begins";
        (text.to_owned(), format!("at least the size of {}", ctx.network.id(from)))
    });
    out.limit = "no narrower than what runs in".to_owned();
    Some(out)
}
