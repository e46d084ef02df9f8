//! The flattest gradient of a drain for rain, by its size alone.

use crate::base::finding::Finding;
use crate::base::known::How;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;
use crate::rulebook::Fact;
use crate::rulebook::Facts;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::drain::drain_gradient::held_flattest;
use crate::rules::driver::Subject;
use crate::rules::laid;

pub(super) fn judge(ctx: &Ctx<'_>, rule: &Rule, leg: usize, item: &Item<Pipe>) -> Finding {
    let own = ctx.network.legs.get(leg);
    let size = own.and_then(|l| l.nominal);
    let span = laid::subject(item, rule, "fall", &item.body.fall);
    let levels = laid::subject(item, rule, "fall", &item.body.il);
    let span = if item.body.fall.is_absent() { levels.span } else { span.span };
    let key = if size.is_none() { "size" } else { "fall" };
    let subject = Subject { span, ..laid::subject(item, rule, key, &item.body.fall) };
    let answer = ctx.rulebook.ask(key::DRAIN_RAIN_GRADIENT_MINIMUM, &Facts::new().with(Fact::Size, size));
    held_flattest(ctx, &subject, (leg, item), ("rain", How::Computed), &answer)
}
