//! An access point that serves more than one property lies where it can be found and reached in an emergency.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Weight;
use crate::record::words::YesNo;
use crate::rulebook::Facts;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::driver::Measure;
use crate::rules::point;
use crate::rules::point::Asked;
use crate::rules::point::Point;

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("shared-access-place"),
    title: "Place of an access point that several properties share",
    weight: Weight::Clause,
    due: Moment::BeforeCover,
    keys: &[key::ACCESS_SHARED_PLACE.path()],
    check,
};

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    let shared = |p: &Point<'_>| p.item.body.shared.get().is_some_and(|said| YesNo::yes(*said));
    point::new(ctx, rule).filter(shared).map(|p| judge(&p)).collect()
}

fn judge(p: &Point<'_>) -> Finding {
    let field = &p.item.body.lies;
    let answer = p.ctx.rulebook.ask(key::ACCESS_SHARED_PLACE, &Facts::new());
    let said = field.get().map(|place| place.word());
    let (answer, fits, words) = point::among(answer, said);
    let measure = match said {
        Some(said) => Measure::plain(fits, p.ctx.record.how(field), said),
        None => Measure::Missing("where it lies".to_owned()),
    };
    let asked = Asked {
        key: "lies",
        missing: "where it lies",
        words: ("", ""),
        limit: &words,
        text: "in an emergency others can neither find nor reach it",
        remedy: "an access point where all who share the drain may come",
    };
    p.plain(&asked, p.subject("lies", field), &measure, &answer)
}
