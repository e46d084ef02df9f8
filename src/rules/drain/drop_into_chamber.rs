//! A drain that comes in well above the channel of its chamber drops through a backdrop, which is surrounded with
//! concrete and can be rodded from its top.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Weight;
use crate::base::known::Known;
use crate::base::units::Length;
use crate::compute::chambers::Chamber;
use crate::compute::chambers::Inlet;
use crate::record::pipework::BackdropSpec;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;
use crate::rulebook::Facts;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::driver::Measure;
use crate::rules::driver::Subject;
use crate::rules::driver::governing;
use crate::rules::driver::hold;
use crate::rules::laid;

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("drop-into-chamber"),
    title: "A drop into a chamber, by ramp or backdrop",
    weight: Weight::Advice,
    due: Moment::BeforeCover,
    keys: &[
        key::BACKDROP_WITHOUT_HEIGHT_MAXIMUM.path(),
        key::BACKDROP_ENCASEMENT_MINIMUM.path(),
        key::BACKDROP_RODDING.path(),
    ],
    check,
};

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    let ports: Vec<(&Chamber, &Inlet)> =
        ctx.computed.chambers.iter().flat_map(|c| c.inlets.iter().map(move |inlet| (c, inlet))).collect();
    let one = |(leg, item): (usize, &Item<Pipe>)| {
        let (chamber, inlet) = ports.iter().find(|(_, inlet)| inlet.leg == leg)?;
        if inlet.by_backdrop() { backdrop(ctx, rule, item) } else { height(ctx, rule, item, chamber, inlet) }
    };
    ctx.new_drains().filter_map(one).collect()
}

/// A drop that begins over the soffit of the pipe that leaves: over so much, a ramp in the benching will not do.
fn height(ctx: &Ctx<'_>, rule: &Rule, item: &Item<Pipe>, chamber: &Chamber, inlet: &Inlet) -> Option<Finding> {
    let step = inlet.step?;
    let out = chamber.outlet.and_then(|leg| ctx.network.legs.get(leg));
    let bore = out.and_then(|l| l.bore.or(l.nominal.map(|n| Length::from_mm(i64::from(n.0)))));
    if step.value <= bore.unwrap_or(Length::from_mm(100)) {
        return None;
    }
    let subject = laid::subject(item, rule, "entry", &item.body.entry);
    let words = format!("{}\u{a0}m above the invert that leaves", step.value.metres(3));
    let answer = ctx.rulebook.ask(key::BACKDROP_WITHOUT_HEIGHT_MAXIMUM, &Facts::new());
    Some(hold(&subject, &Measure::length(step, words), &answer, |_: &Length, _| {
        let text = "too high for a ramp: it splashes, and fouls the benching";
        (text.to_owned(), "a backdrop, surrounded with concrete and rodded from its top".to_owned())
    }))
}

fn backdrop(ctx: &Ctx<'_>, rule: &Rule, item: &Item<Pipe>) -> Option<Finding> {
    let field = &item.body.backdrop;
    let none = BackdropSpec::default();
    let spec = field.get().unwrap_or(&none);
    let subject = |key: &str| Subject {
        field: format!("pipes.{}.backdrop.{key}", item.id),
        ..laid::subject(item, rule, "backdrop", field)
    };
    governing(vec![encased(ctx, &subject("encased"), spec), rodded(ctx, &subject("rodding"), spec)])
}

fn encased(ctx: &Ctx<'_>, subject: &Subject<'_>, spec: &BackdropSpec) -> Finding {
    let measure = match spec.encased.get() {
        Some(m) => {
            // A thickness of concrete is said as it was shuttered, not read.
            let known = Known::exact(m.value, ctx.record.how(&spec.encased));
            Measure::length(known, format!("{} of concrete", m.words()))
        }
        None if spec.encased.is_none() => {
            Measure::plain(Length::ZERO, ctx.record.how(&spec.encased), "no concrete round it")
        }
        None => Measure::Missing("how much concrete surrounds its backdrop".to_owned()),
    };
    let answer = ctx.rulebook.ask(key::BACKDROP_ENCASEMENT_MINIMUM, &Facts::new());
    hold(subject, &measure, &answer, |limit: &Length, found| {
        let short = (*limit - *found).millimetres();
        (format!("{short}\u{a0}mm too little round its backdrop"), "concrete all round the upright pipe".to_owned())
    })
}

fn rodded(ctx: &Ctx<'_>, subject: &Subject<'_>, spec: &BackdropSpec) -> Finding {
    let how = ctx.record.how(&spec.rodding);
    let measure = match spec.rodding.get() {
        Some(words) => {
            let at_top = words.0.to_ascii_lowercase().split(|c: char| !c.is_alphanumeric()).any(|w| w == "top");
            Measure::plain(at_top, how, format!("rodding: {}", words.0))
        }
        None if spec.rodding.is_none() => Measure::plain(false, how, "no rodding access"),
        None => Measure::Missing("where rods go into the drain above its backdrop".to_owned()),
    };
    let answer = ctx.rulebook.ask(key::BACKDROP_RODDING, &Facts::new());
    let mut out = hold(subject, &measure, &answer, |_: &bool, _| {
        let text = "rods do not pass a backdrop from below";
        (text.to_owned(), "carry the drain on through the wall of the chamber, with a stopper".to_owned())
    });
    out.limit = "at its top".to_owned();
    out
}
