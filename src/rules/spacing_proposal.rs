//! What would bring a run of drain into line with the guidance's table: another kind of access point at its lower end,
//! or one more on the way, and where.

use crate::base::finding::Remedy;
use crate::base::units::Length;
use crate::compute::spacing::Run;
use crate::network::ends::End;
use crate::record::facts::stage_of;
use crate::record::words::Stage;
use crate::rulebook::Fact;
use crate::rulebook::Facts;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::spacing::DEEP;
use crate::rules::spacing::SHALLOW;
use crate::rules::spacing::name;

/// What may be put in, with the words of the table that it may count as. A chamber of either depth comes first: how
/// deep the drain lies on the way is seldom known.
const KINDS: [(&str, &[&str]); 3] = [
    ("an inspection chamber", &[SHALLOW, DEEP]),
    ("an inspection chamber no deeper than a shallow one", &[SHALLOW]),
    ("a manhole, or a deep inspection chamber", &[DEEP]),
];

/// What would do for a run that the table does not allow.
pub fn remedy(ctx: &Ctx<'_>, run: &Run, from: &[&str], to: &[&str]) -> Option<Remedy> {
    let length = run.length?.value;
    let text = in_place(ctx, run, from, length).or_else(|| on_the_way(ctx, run, (from, to), length))?;
    Some(Remedy { field: Some("access".to_owned()), change: None, text })
}

/// The longest run that the table allows between any of some kinds and any of others; `None` where one pair of them is
/// not permitted.
fn longest(ctx: &Ctx<'_>, from: &[&str], to: &[&str]) -> Option<Length> {
    let mut least = None;
    for (f, t) in from.iter().flat_map(|f| to.iter().map(move |t| (*f, *t))) {
        let facts = Facts::new().with(Fact::FromKind, f).with(Fact::ToKind, t);
        let limit = ctx.rulebook.ask(key::ACCESS_SPACING_MAXIMUM, &facts).limit().map(|l| l.value)?;
        least = Some(least.map_or(limit, |least: Length| least.min(limit)));
    }
    least
}

/// A chamber instead of the new access point at the lower end, if so long a run may end in one.
fn in_place(ctx: &Ctx<'_>, run: &Run, from: &[&str], length: Length) -> Option<String> {
    let End::Access(a) = run.to else { return None };
    let item = ctx.record.access.at(a).filter(|item| stage_of(&item.body.stage) != Stage::Existing)?;
    let fits = |(_, kind): &&(&str, &[&str])| longest(ctx, from, kind).is_some_and(|most| length <= most);
    let is = item.body.what.get().map(|kind| kind.word());
    let (words, _) = KINDS.iter().find(fits).filter(|_| !matches!(is, Some("inspection chamber" | "manhole")))?;
    Some(format!("{words} in place of {}", item.id))
}

/// One chamber on the way and between which places it may lie, or how many are wanted.
fn on_the_way(ctx: &Ctx<'_>, run: &Run, (from, to): (&[&str], &[&str]), length: Length) -> Option<String> {
    let start = name(ctx, run.from);
    for (words, kind) in KINDS {
        let (Some(first), Some(last)) = (longest(ctx, from, kind), longest(ctx, kind, to)) else { continue };
        if first + last >= length {
            let (least, most) = ((length - last).max(Length::ZERO), first.min(length));
            return Some(format!("{words}, {} to {}\u{a0}m down from {start}", least.metres(2), most.metres(2)));
        }
        let Some(between) = longest(ctx, kind, kind).filter(|l| *l > Length::ZERO) else { continue };
        // One chamber at either end of what is left, and one for each further whole length between them.
        let left = (length - first - last).um();
        let chambers = 1 + (left + between.um() - 1) / between.um();
        let most = first.metres(2);
        return Some(format!(
            "{chambers} inspection chambers on the way, the first no more than {most}\u{a0}m down from {start}"
        ));
    }
    None
}
