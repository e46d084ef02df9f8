//! The least size of a drain that serves more than one dwelling, which is a private sewer: by how many they are.

use crate::base::finding::Finding;
use crate::base::finding::Verdict;
use crate::base::known::How;
use crate::base::size::Nominal;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;
use crate::rulebook::Fact;
use crate::rulebook::Facts;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::drain::drain_size::narrow;
use crate::rules::drain::drain_size::sized;
use crate::rules::driver::Subject;
use crate::rules::driver::hold;
use crate::rules::driver::unsettled;

/// Nothing of a drain that serves one dwelling. While the record does not say how many dwellings the building holds,
/// each WC may be one of them: that can leave open whether the pipe is large enough, but shows nothing.
pub(super) fn judge(ctx: &Ctx<'_>, rule: &Rule, leg: usize, item: &Item<Pipe>) -> Option<Finding> {
    let flow = ctx.computed.flows.get(leg).filter(|flow| flow.served > 1)?;
    let held = |dwellings: u32| {
        let (subject, measure) = sized(ctx, rule, item, &format!(", {dwellings} dwellings"));
        let facts = Facts::new().with(Fact::Dwellings, dwellings);
        hold(&subject, &measure, &ctx.rulebook.ask(key::DRAIN_SEWER_SIZE_MINIMUM, &facts), |limit: &Nominal, _| {
            narrow(limit)
        })
    };
    let mut out = held(flow.served);
    let building = &ctx.record.job.dwellings;
    let counted = building.get().is_some() && ctx.record.how(building) != How::Believed;
    let (subject, _) = sized(ctx, rule, item, "");
    if out.verdict == Verdict::NotMet && !counted && held(flow.dwellings.saturating_add(1)).verdict == Verdict::Met {
        let subject = Subject { field: "job.dwellings".to_owned(), ..subject };
        unsettled(&mut out, &subject, "how many dwellings the building holds".to_owned());
    } else if out.verdict == Verdict::NotMet && flow.how == How::Believed {
        unsettled(&mut out, &subject, "how many dwellings drain through it, which is only believed".to_owned());
    }
    Some(out)
}
