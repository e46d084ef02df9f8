//! A drain runs into none that is narrower than itself.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Weight;
use crate::network::kind::Kind;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;
use crate::rulebook::Facts;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::driver::Measure;
use crate::rules::driver::Subject;
use crate::rules::driver::hold;
use crate::rules::laid;

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("not-narrower-downstream"),
    title: "No drain narrower than the one above it",
    weight: Weight::Advice,
    due: Moment::BeforeCover,
    check,
};

/// Where both are there already, nothing was changed; the drain above is judged, and the one below is named.
fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    ctx.new_drains().filter_map(|(leg, item)| judge(ctx, rule, leg, item)).collect()
}

fn judge(ctx: &Ctx<'_>, rule: &Rule, leg: usize, item: &Item<Pipe>) -> Option<Finding> {
    let below = ctx.network.downstream(leg)?;
    let next = ctx.network.legs.get(below).filter(|l| l.derived.kind == Kind::Drain)?;
    let next = ctx.record.pipes.at(next.pipe).filter(|next| !next.broken)?;
    let own = item.body.size.get()?;
    let field = format!("pipes.{}.size", next.id);
    let subject = Subject { field, ..laid::subject(item, rule, "size", &item.body.size) };
    let measure = match next.body.size.get() {
        None => Measure::Missing(format!("the size of {}", next.id)),
        Some(size) => {
            let how = ctx.record.how(&item.body.size).with(ctx.record.how(&next.body.size));
            let words = format!("{} into {} of {}", own.label, next.id, size.label);
            Measure::plain(size.nominal >= own.nominal, how, words)
        }
    };
    let answer = ctx.rulebook.ask(key::NARROWING_NONE, &Facts::new());
    let mut out = hold(&subject, &measure, &answer, |_: &bool, _| {
        let text = format!("what comes down {} catches where {} begins", item.id, next.id);
        (text, format!("{} in the size of {}, or larger", next.id, item.id))
    });
    out.limit = "no narrower than the drain above".to_owned();
    Some(out)
}
