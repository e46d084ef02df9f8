//! What the rules on the branch of one appliance have in common: which branches, their slope and their length.

use crate::base::finding::Finding;
use crate::base::known::How;
use crate::base::known::Known;
use crate::base::size::Nominal;
use crate::base::span::Span;
use crate::base::units::Gradient;
use crate::base::units::Length;
use crate::compute::branches::Single;
use crate::network::ends::End;
use crate::network::kind::Kind;
use crate::record::facts::kind_of;
use crate::record::pipework::Appliance;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;
use crate::record::words::ApplianceKind;
use crate::record::words::Stage;
use crate::rulebook::Fact;
use crate::rulebook::Facts;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::driver::Measure;
use crate::rules::driver::Subject;
use crate::rules::driver::governing;
use crate::rules::laid;

/// A new branch of one appliance without a vent of its own.
pub struct Own<'a> {
    /// Its first pipe.
    pub item: &'a Item<Pipe>,
    /// Its pipes and their length.
    pub single: &'a Single,
    /// The appliance, where the pipes lead back to one.
    pub appliance: Option<&'a Item<Appliance>>,
    /// Its size.
    pub size: Option<Nominal>,
}

impl Own<'_> {
    /// The kind of its appliance; a kind that is only believed is not known.
    pub fn kind(&self, ctx: &Ctx<'_>) -> Option<ApplianceKind> {
        let item = self.appliance?;
        kind_of(item).filter(|_| item.body.what.is_absent() || ctx.record.how(&item.body.what) != How::Believed)
    }

    /// What its limits hang on.
    pub fn facts(&self, ctx: &Ctx<'_>) -> Facts {
        Facts::new().with(Fact::Appliance, self.kind(ctx).map(ApplianceKind::word)).with(Fact::Size, self.size)
    }

    /// The branch as what is judged by one of its fields, or by the fact on which everything hangs when that is open.
    pub fn subject<'r>(&self, ctx: &Ctx<'_>, rule: &'r Rule, key: &str, absent: bool, span: Span) -> Subject<'r> {
        let open = match (self.appliance, self.kind(ctx), self.size) {
            (None, ..) => Some(format!("pipes.{}.from", self.item.id)),
            (Some(a), None, _) => Some(format!("appliances.{}.what", a.id)),
            (_, _, None) => Some(format!("pipes.{}.size", self.item.id)),
            _ => None,
        };
        Subject {
            id: self.item.id.clone(),
            span: if absent { self.item.id_span } else { span },
            planned: self.item.body.stage_now() == Stage::Planned,
            field: open.unwrap_or_else(|| format!("pipes.{}.{key}", self.item.id)),
            rule,
        }
    }

    /// What holds only for a size that is believed is itself only believed.
    pub fn how(&self, ctx: &Ctx<'_>, how: How) -> How {
        laid::by_size(ctx, self.item, how)
    }
}

/// Judges every such branch, save those of 32 mm from a basin, which have a rule of their own.
pub fn each(ctx: &Ctx<'_>, judge: impl Fn(&Own<'_>) -> Vec<Finding>) -> Vec<Finding> {
    let all = ctx.record.pipes.iter().zip(&ctx.computed.singles);
    all.filter_map(|(item, single)| governing(judge(&own(ctx, item, single.as_ref()?)?))).collect()
}

fn own<'a>(ctx: &Ctx<'a>, item: &'a Item<Pipe>, single: &'a Single) -> Option<Own<'a>> {
    let there = |stage: Stage| !matches!(stage, Stage::Existing | Stage::Removed);
    let readable = |leg: &usize| ctx.record.pipes.at(*leg).is_some_and(|p| !p.broken);
    let vent = single.vent.and_then(|v| ctx.record.pipes.at(v));
    let ventilated = vent.is_some_and(|v| !v.broken && v.body.stage_now() != Stage::Removed);
    if !there(item.body.stage_now()) || !single.legs.iter().all(readable) || ventilated {
        return None;
    }
    let first = *single.legs.first()?;
    let size = ctx.network.legs.get(first)?.nominal;
    let out = Own { item, single, appliance: appliance(ctx, first), size };
    let basin = matches!(out.appliance.and_then(kind_of), Some(ApplianceKind::Basin | ApplianceKind::Bidet));
    (!(basin && size.is_none_or(|s| s == Nominal(32)))).then_some(out)
}

/// The one appliance at the upper end of a branch, whatever changes of size lie in between.
pub fn appliance<'a>(ctx: &Ctx<'a>, leg: usize) -> Option<&'a Item<Appliance>> {
    let mut at = leg;
    for _ in 0..=ctx.network.legs.len() {
        let own = ctx.network.legs.get(at).filter(|l| l.derived.kind == Kind::Branch)?;
        match own.ends.from {
            End::Appliance(a) => return ctx.record.appliances.at(a),
            End::Pipe(p) => at = p,
            End::Access(_) | End::Outfall(_) | End::Temporary | End::Unknown | End::Absent => return None,
        }
    }
    None
}

/// The length of a branch, or that it is missing.
pub fn length(ctx: &Ctx<'_>, own: &Own<'_>) -> Measure<Length> {
    match (own.single.length, own.item.body.length.get()) {
        (Some(known), Some(written)) => {
            let words = if own.single.legs.len() == 1 {
                written.words()
            } else {
                format!("{}\u{a0}m in {} pipes", known.value.metres(2), own.single.legs.len())
            };
            Measure::length(Known { how: own.how(ctx, known.how), ..known }, words)
        }
        _ => Measure::Missing("its length".to_owned()),
    }
}

/// The slope of one of its legs, or that its fall is missing.
pub fn slope(ctx: &Ctx<'_>, own: &Own<'_>, leg: usize) -> Measure<Gradient> {
    let words = |g: Gradient| format!("{}\u{a0}mm/m, {}", g.mm_per_m(), g.in_words());
    laid::slope(ctx, leg, |how| own.how(ctx, how), words)
}
