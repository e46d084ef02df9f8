//! The least size of a drain for rain.

use crate::base::finding::Finding;
use crate::base::size::Nominal;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;
use crate::rulebook::Facts;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::drain::drain_size::narrow;
use crate::rules::drain::drain_size::sized;
use crate::rules::driver::hold;

pub(super) fn judge(ctx: &Ctx<'_>, rule: &Rule, item: &Item<Pipe>) -> Finding {
    let (subject, measure) = sized(ctx, rule, item, ", rain");
    let answer = ctx.rulebook.ask(key::DRAIN_RAIN_SIZE_MINIMUM, &Facts::new());
    hold(&subject, &measure, &answer, |limit: &Nominal, _| narrow(limit))
}
