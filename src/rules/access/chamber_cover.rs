//! The cover of an access point is large enough, comes off, keeps drain air in, is held down where it has to be, and is
//! strong enough for what passes over it.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Verdict;
use crate::base::finding::Weight;
use crate::base::known::How;
use crate::base::known::Known;
use crate::base::units::Length;
use crate::record::words::AccessKind;
use crate::record::words::YesNo;
use crate::rulebook::Fact;
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
    id: RuleId("chamber-cover"),
    title: "Cover of an access point",
    weight: Weight::Clause,
    due: Moment::Completion,
    keys: &[
        key::ACCESS_COVER_REMOVABLE.path(),
        key::ACCESS_COVER_VENTILATED.path(),
        key::ACCESS_COVER_MANHOLE_LENGTH_MINIMUM.path(),
        key::ACCESS_COVER_MANHOLE_WIDTH_MINIMUM.path(),
        key::ACCESS_COVER_LENGTH_MINIMUM.path(),
        key::ACCESS_COVER_WIDTH_MINIMUM.path(),
        key::ACCESS_COVER_DEEP_MAXIMUM.path(),
        key::ACCESS_COVER_AIRTIGHT.path(),
        key::ACCESS_COVER_SECURED.path(),
        key::ACCESS_COVER_CLASS.path(),
    ],
    check,
};

/// Places that are in the open, in the words of the trade.
const OUTDOORS: [&str; 10] =
    ["garden", "yard", "drive", "street", "road", "path", "outside", "lane", "patio", "highway"];

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    point::new(ctx, rule).filter(|p| p.kind != AccessKind::Gully && spoken_of(p)).filter_map(|p| judge(&p)).collect()
}

/// A record that says nothing of a cover but its class is not asked; one that begins to speak of it is asked the rest.
fn spoken_of(p: &Point<'_>) -> bool {
    let b = &p.item.body;
    let silent = [b.opening.is_absent(), b.fixed.is_absent(), b.restricted.is_absent(), b.traffic.is_absent()];
    let silent_too = [b.removable.is_absent(), b.ventilated.is_absent(), b.airtight.is_absent()];
    silent.contains(&false) || silent_too.contains(&false)
}

fn judge(p: &Point<'_>) -> Option<Finding> {
    let mut all = opening(p);
    all.push(p.yes_no(&REMOVABLE, &p.item.body.removable, key::ACCESS_COVER_REMOVABLE));
    all.push(p.yes_no(&VENTILATED, &p.item.body.ventilated, key::ACCESS_COVER_VENTILATED));
    all.extend(strength(p));
    all.extend(held_down(p));
    governing(all)
}

const REMOVABLE: Asked<'static> = Asked {
    key: "removable",
    missing: "whether its cover comes off",
    words: ("cover comes off", "cover does not come off"),
    limit: "comes off",
    text: "nobody can open it to clear the drain",
    remedy: "a cover that comes off",
};

const VENTILATED: Asked<'static> = Asked {
    key: "ventilated",
    missing: "whether its cover lets drain air out",
    words: ("cover lets air out", "cover lets no air out"),
    limit: "lets no air out",
    text: "drain air comes out where people pass",
    remedy: "a cover without holes",
};

const AIRTIGHT: Asked<'static> = Asked {
    key: "airtight",
    missing: "whether its cover, which is inside a building, is airtight",
    words: ("airtight, indoors", "not airtight, indoors"),
    limit: "airtight",
    text: "drain air comes into the building",
    remedy: "a double-sealed cover that is screwed down",
};

const SECURED: Asked<'static> = Asked {
    key: "fixed",
    missing: "how its cover is held down",
    words: ("", ""),
    limit: "held down",
    text: "a child can lift it, or pressure in the drain",
    remedy: "a cover that is screwed or locked down",
};

const STRONG: Asked<'static> = Asked {
    key: "class",
    missing: "the class of its cover",
    words: ("", ""),
    limit: "",
    text: "the cover is too weak for what passes over it",
    remedy: "a cover of a class that the limit names",
};

/// The clear opening: large enough, and over a deep chamber small enough that nobody enters.
fn opening(p: &Point<'_>) -> Vec<Finding> {
    let depth = p.depth().map(|d| d.map(|d| d - soffit(p)));
    let (length, width) = match p.kind {
        AccessKind::Manhole => (key::ACCESS_COVER_MANHOLE_LENGTH_MINIMUM, key::ACCESS_COVER_MANHOLE_WIDTH_MINIMUM),
        _ => (key::ACCESS_COVER_LENGTH_MINIMUM, key::ACCESS_COVER_WIDTH_MINIMUM),
    };
    let mut out = vec![side(p, length, depth, true)];
    if p.item.body.opening.get().is_some_and(|o| o.b.is_some()) {
        out.push(side(p, width, depth, false));
    }
    out.push(deep(p, depth));
    out
}

/// A manhole's depth is to the soffit of the pipe that leaves it.
fn soffit(p: &Point<'_>) -> Length {
    let bore = p.leaving().and_then(|leg| p.ctx.network.legs.get(leg)?.bore);
    bore.filter(|_| p.kind == AccessKind::Manhole).unwrap_or(Length::ZERO)
}

fn facts(p: &Point<'_>, depth: Option<Length>) -> Facts {
    let oblong = p.item.body.opening.get().is_some_and(|o| o.b.is_some());
    let shape = if oblong { "rectangular" } else { "round" };
    let facts = Facts::new().with(Fact::Shape, shape).with(Fact::Depth, depth);
    match p.kind {
        AccessKind::Manhole => facts.with(Fact::Size, p.largest()),
        kind => facts.with(Fact::AccessKind, kind.word()),
    }
}

/// What is wanting first: the opening, then the depth.
fn subject<'a>(p: &Point<'a>, depth: Option<Known<Length>>) -> Subject<'a> {
    let own = p.subject("opening", &p.item.body.opening);
    match (p.item.body.opening.get(), depth) {
        (Some(_), None) => Subject { field: p.depth_field(), ..own },
        _ => own,
    }
}

fn side(p: &Point<'_>, key: Key<Length>, depth: Option<Known<Length>>, longer: bool) -> Finding {
    let opening = p.item.body.opening.get();
    let measure = opening.map_or(Measure::Missing("the clear opening of its cover".to_owned()), |o| {
        let (long, short) = (o.a.max(o.b.unwrap_or(o.a)), o.a.min(o.b.unwrap_or(o.a)));
        let side = if longer { long } else { short };
        Measure::length(Known::exact(side, p.how(&p.item.body.opening)), format!("opening {}", o.words))
    });
    let held = |depth: Option<Length>| {
        hold(&subject(p, p.depth()), &measure, &p.ctx.rulebook.ask(key, &facts(p, depth)), |limit: &Length, found| {
            let text = format!("{}\u{a0}mm too small to work through", (*limit - *found).millimetres());
            (text, format!("a cover with a clear opening of {}\u{a0}mm or more", limit.millimetres()))
        })
    };
    let mut out = point::at_depths(p, depth, held);
    cite_table(p, &mut out);
    out
}

/// The table where its line is not shown, by its line for a small fitting.
fn cite_table(p: &Point<'_>, out: &mut Finding) {
    let line = Facts::new().with(Fact::AccessKind, AccessKind::SmallFitting.word());
    point::cited(out, p.ctx.rulebook.ask(key::ACCESS_COVER_LENGTH_MINIMUM, &line).citation());
}

/// Too large an opening over a deep chamber invites people in, unless it is narrowed below.
fn deep(p: &Point<'_>, depth: Option<Known<Length>>) -> Finding {
    let opening = p.item.body.opening.get();
    let restricted = p.item.body.restricted.get();
    let held = |depth: Option<Length>| {
        let answer = p.ctx.rulebook.ask(key::ACCESS_COVER_DEEP_MAXIMUM, &facts(p, depth));
        let side = opening.map(|o| o.a.max(o.b.unwrap_or(o.a)));
        let over = side.zip(answer.limit()).is_some_and(|(side, limit)| !limit.met_by(&side));
        let own = subject(p, p.depth());
        let (own, measure) = match (opening, restricted.map(|r| r.yes())) {
            (Some(o), Some(true)) => {
                let narrowed = answer.limit().map_or(o.a, |limit| limit.value.min(o.a));
                let words = format!("opening {}, narrowed below", o.words);
                (own, Measure::length(Known::exact(narrowed, p.how(&p.item.body.restricted)), words))
            }
            (Some(_), None) if over => {
                let field = p.subject("restricted", &p.item.body.restricted);
                (field, Measure::Missing("whether the way in is narrowed below its cover".to_owned()))
            }
            (Some(o), _) => {
                let side = Known::exact(side.unwrap_or(o.a), p.how(&p.item.body.opening));
                (own, Measure::length(side, format!("opening {}", o.words)))
            }
            (None, _) => (own, Measure::Missing("the clear opening of its cover".to_owned())),
        };
        hold(&own, &measure, &answer, |limit: &Length, _| {
            let text = "so deep a chamber can be entered through it, and should not be";
            (text.to_owned(), format!("a way in narrowed to {}\u{a0}mm below the cover", limit.millimetres()))
        })
    };
    if p.kind == AccessKind::Manhole {
        return nothing(p);
    }
    let mut out = point::at_depths(p, depth, held);
    cite_table(p, &mut out);
    out
}

fn nothing(p: &Point<'_>) -> Finding {
    crate::rules::driver::finding(&p.subject("opening", &p.item.body.opening), Verdict::NotApplicable)
}

/// Whether it stands inside a building: as said, else by its place. `None` when that does not tell.
fn indoors(p: &Point<'_>) -> Option<bool> {
    if let Some(said) = p.item.body.indoors.get() {
        return Some(YesNo::yes(*said));
    }
    let place = p.item.body.place.get()?.0.as_str();
    let lived_in = p.ctx.record.appliances.iter().any(|a| a.body.place.get().is_some_and(|at| at.0 == place));
    if lived_in {
        return Some(true);
    }
    let words = place.to_lowercase();
    OUTDOORS.iter().any(|out| words.contains(out)).then_some(false)
}

/// Indoors a cover is airtight and held down, unless what it covers is a fitting with a watertight door of its own.
/// Outdoors a light one is held down.
fn held_down(p: &Point<'_>) -> Vec<Finding> {
    let body = &p.item.body;
    let own_door = matches!(p.kind, AccessKind::SmallFitting | AccessKind::LargeFitting | AccessKind::RoddingEye);
    match indoors(p) {
        Some(true) if own_door => vec![secured(p)],
        Some(true) => vec![p.yes_no(&AIRTIGHT, &body.airtight, key::ACCESS_COVER_AIRTIGHT), secured(p)],
        Some(false) if own_door || (light(p) && p.kind != AccessKind::Manhole) => vec![secured(p)],
        Some(false) => Vec::new(),
        None => {
            let asked = Asked { key: "indoors", missing: "whether it stands inside a building", ..AIRTIGHT };
            let missing = Measure::Missing(asked.missing.to_owned());
            let answer = p.ctx.rulebook.ask(key::ACCESS_COVER_AIRTIGHT, &Facts::new());
            vec![p.plain(&asked, p.subject("indoors", &body.indoors), &missing, &answer)]
        }
    }
}

/// Light enough for a child to lift: of the class for pedestrians.
fn light(p: &Point<'_>) -> bool {
    p.item.body.class.get().is_none_or(|class| class.0.trim().eq_ignore_ascii_case("A15"))
}

fn secured(p: &Point<'_>) -> Finding {
    let field = &p.item.body.fixed;
    let measure = match field.get() {
        Some(words) => Measure::plain(true, p.how(field), words.0.clone()),
        None if field.is_none() => Measure::plain(false, p.how(field), "cover lies loose"),
        None => Measure::Missing(SECURED.missing.to_owned()),
    };
    let answer = p.ctx.rulebook.ask(key::ACCESS_COVER_SECURED, &Facts::new());
    p.plain(&SECURED, p.subject("fixed", field), &measure, &answer)
}

/// What passes over, as the rulebook calls it; `None` where the words do not tell.
fn load_of(words: &str) -> Option<&'static str> {
    let words = words.to_lowercase();
    let any = |list: &[&str]| list.iter().any(|w| words.contains(w));
    if any(&["no vehicle", "foot", "pedestrian"]) {
        return Some("garden");
    }
    if any(&["lorr", "road", "highway", "street", "delivery"]) {
        return Some("road");
    }
    any(&["car", "drive", "van", "vehicle"]).then_some("drive")
}

/// The class of its cover against what passes over it.
fn strength(p: &Point<'_>) -> Vec<Finding> {
    let (class, traffic) = (&p.item.body.class, &p.item.body.traffic);
    let load = traffic.get().filter(|_| p.ctx.record.how(traffic) != How::Believed);
    let load = load.and_then(|words| load_of(&words.0));
    let said = class.get().map(|words| words.0.trim().to_uppercase());
    let answer = p.ctx.rulebook.ask(key::ACCESS_COVER_CLASS, &Facts::new().with(Fact::Surface, load));
    let (answer, fits, words) = point::among(answer, said.as_deref());
    let (subject, measure) = match (&said, load) {
        (_, None) => {
            let missing = Measure::Missing("what passes over it".to_owned());
            (p.subject("traffic", traffic), missing)
        }
        (None, _) => (p.subject("class", class), Measure::Missing(STRONG.missing.to_owned())),
        (Some(said), Some(_)) => {
            let over = traffic.get().map_or(String::new(), |words| words.0.clone());
            (p.subject("class", class), Measure::plain(fits, p.how(class), format!("{said} under {over}")))
        }
    };
    let mut out = p.plain(&Asked { limit: &words, ..STRONG }, subject, &measure, &answer);
    let line = Facts::new().with(Fact::Surface, "garden");
    point::cited(&mut out, p.ctx.rulebook.ask(key::ACCESS_COVER_CLASS, &line).citation());
    vec![out]
}
