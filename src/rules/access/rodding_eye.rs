//! A rodding eye has a chamber below it from which what is loosened can be taken out, lies no deeper than rods serve, and
//! is held in concrete; so are fittings and gullies, and a cover lies level with its paving.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Weight;
use crate::base::known::How;
use crate::base::known::Known;
use crate::base::units::Cover;
use crate::base::units::Length;
use crate::network::ends::End;
use crate::network::height::Height;
use crate::record::words::AccessKind;
use crate::rulebook::Facts;
use crate::rulebook::Key;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::driver::Measure;
use crate::rules::driver::Subject;
use crate::rules::driver::governing;
use crate::rules::driver::hold;
use crate::rules::point;
use crate::rules::point::Asked;
use crate::rules::point::Point;

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("rodding-eye"),
    title: "Rodding eyes, small fittings and covers as the trade sets them",
    weight: Weight::Advice,
    due: Moment::BeforeCover,
    keys: &[
        key::EYE_SURROUND_MINIMUM.path(),
        key::FITTING_SURROUND_MINIMUM.path(),
        key::EYE_CHAMBER_BELOW.path(),
        key::EYE_DEPTH_MAXIMUM.path(),
        key::COVER_BELOW_PAVING_MAXIMUM.path(),
        key::COVER_ABOVE_PAVING_MAXIMUM.path(),
    ],
    check,
};

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    point::new(ctx, rule).filter_map(|p| judge(&p)).collect()
}

/// An eye is asked for all of it; of other points what the record speaks of.
fn judge(p: &Point<'_>) -> Option<Finding> {
    let mut all: Vec<Finding> = match p.kind {
        AccessKind::RoddingEye => vec![chamber_below(p), depth(p), surround(p, key::EYE_SURROUND_MINIMUM)],
        AccessKind::SmallFitting | AccessKind::LargeFitting | AccessKind::Gully
            if !p.item.body.surround.is_absent() =>
        {
            vec![surround(p, key::FITTING_SURROUND_MINIMUM)]
        }
        _ => Vec::new(),
    };
    if !p.item.body.paving.is_absent() {
        all.extend(level_with_paving(p));
    }
    governing(all)
}

/// The first chamber or fitting with the flow: nothing can be taken out at an eye.
fn chamber_below(p: &Point<'_>) -> Finding {
    let network = p.ctx.network;
    let mut at = p.leaving();
    let mut found = None;
    for _ in 0..network.legs.len() {
        let Some(leg) = at else { break };
        if let Some(End::Access(a)) = network.legs.get(leg).map(|l| l.ends.to)
            && let Some(item) = p.ctx.record.access.at(a)
            && let Some(AccessKind::InspectionChamber | AccessKind::Manhole) = item.body.what.get()
        {
            found = Some((item.id.as_str(), p.ctx.record.how(&item.body.what)));
            break;
        }
        at = network.downstream(leg);
    }
    let asked = Asked {
        key: "what",
        missing: "where the drain from it leads",
        words: ("", ""),
        limit: "a chamber below it",
        text: "what rods loosen from it can be taken out nowhere",
        remedy: "an inspection chamber further down",
    };
    let measure = match (found, p.leaving()) {
        (Some((id, how)), _) => Measure::plain(true, how, format!("{id} below")),
        (None, Some(_)) => Measure::plain(false, How::Computed, "no chamber below"),
        (None, None) => Measure::Missing(asked.missing.to_owned()),
    };
    let own = Subject { field: "pipes".to_owned(), ..p.subject("what", &p.item.body.what) };
    p.plain(&asked, own, &measure, &p.ctx.rulebook.ask(key::EYE_CHAMBER_BELOW, &Facts::new()))
}

fn depth(p: &Point<'_>) -> Finding {
    let depth = p.ctx.computed.depths.get(p.position).copied().flatten();
    let measure = depth.map_or(Measure::Missing("its depth".to_owned()), |known| {
        Measure::length(known, format!("{}\u{a0}m deep", known.value.metres(2)))
    });
    let own = Subject { field: p.depth_field(), ..p.subject("cover", &p.item.body.cover) };
    let answer = p.ctx.rulebook.ask(key::EYE_DEPTH_MAXIMUM, &Facts::new());
    hold(&own, &measure, &answer, |limit: &Length, found| {
        let over = (*found - *limit).metres(2);
        (format!("{over}\u{a0}m deeper than an eye serves"), "an inspection chamber in its place".to_owned())
    })
}

fn surround(p: &Point<'_>, least: Key<Length>) -> Finding {
    let field = &p.item.body.surround;
    let measure = match field.get() {
        Some(m) => {
            let known = Known { value: m.value, half: m.half, how: p.how(field) };
            Measure::length(known, format!("{} of concrete", m.words()))
        }
        None if field.is_none() => Measure::plain(Length::ZERO, p.how(field), "no concrete round it"),
        None => Measure::Missing("how much concrete is round it".to_owned()),
    };
    let answer = p.ctx.rulebook.ask(least, &Facts::new());
    hold(&p.subject("surround", field), &measure, &answer, |limit: &Length, _| {
        let text = "it moves when it is rodded or driven over";
        (text.to_owned(), format!("{}\u{a0}mm of concrete round it", limit.millimetres()))
    })
}

/// Neither above its paving nor far below.
fn level_with_paving(p: &Point<'_>) -> Vec<Finding> {
    let body = &p.item.body;
    let cover: Option<Height<Cover>> = p.ctx.network.height(&body.cover, Some(&body.kit));
    let paving: Option<Height<Cover>> = p.ctx.network.height(&body.paving, Some(&body.kit));
    let above = cover.zip(paving).and_then(|(cover, paving)| cover.above(&paving));
    let key = if body.paving.get().is_none() { "paving" } else { "cover" };
    let below = p.ctx.rulebook.ask(key::COVER_BELOW_PAVING_MAXIMUM, &Facts::new());
    let words = below.limit().map_or("level".to_owned(), |limit| format!("level, or up to {} below", limit.words()));
    let held = |limit: Key<Length>, sign: i64| {
        let measure = above.map_or(Measure::Missing("the levels of its cover and of the paving".to_owned()), |known| {
            let mm = known.value.abs().millimetres();
            let side = if known.value < Length::ZERO { "below" } else { "above" };
            let words = format!("cover {mm}\u{a0}mm {side} its paving");
            Measure::length(known.map(|v| Length::from_um(v.um() * sign)), words)
        });
        let answer = p.ctx.rulebook.ask(limit, &Facts::new());
        let mut out = hold(&p.subject(key, &body.paving), &measure, &answer, |_: &Length, _| {
            ("feet catch on it, or water stands over it".to_owned(), "set the cover level with its paving".to_owned())
        });
        if answer.limit().is_some() {
            out.limit = words.clone();
        }
        out
    };
    vec![held(key::COVER_ABOVE_PAVING_MAXIMUM, 1), held(key::COVER_BELOW_PAVING_MAXIMUM, -1)]
}
