//! Rain that the work leads into a drain meets no foul water before the sewer, and foul water ends where it may.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Weight;
use crate::base::known::How;
use crate::compute::flow::Lack;
use crate::network::ends::End;
use crate::record::evidence::Temporary;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;
use crate::record::words::Stage;
use crate::record::words::Water;
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
    id: RuleId("foul-and-rain-apart"),
    title: "Rain and foul water kept apart",
    weight: Weight::Clause,
    due: Moment::Completion,
    keys: &[key::DRAIN_FOUL_OUTFALL.path(), key::DRAIN_RAIN_APART.path()],
    check,
};

/// Words with which a temporary arrangement speaks of rain.
const RAIN: [&str; 4] = ["rain", "downpipe", "surface water", "roof water"];

/// Words of an outfall into which rain may run: what is combined is met by both at that place only.
const TAKES_RAIN: [&str; 7] = ["combined", "rain", "surface", "storm", "soakaway", "watercourse", "ditch"];

/// Words of an outfall into which foul water may run.
const TAKES_FOUL: [&str; 7] = ["foul", "combined", "septic", "treatment", "cesspool", "cesspit", "sewage"];

/// Where rain ends up.
enum Course {
    /// At an outfall that takes it, without having met anything foul; with the field that says so.
    Apart(String, How, String),
    /// With foul water, first here.
    Together(String),
    /// This is not known, and this field would settle it.
    Open(String, String),
}

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    let pipes = ctx.new_drains().filter(|(_, item)| rain(&item.body)).map(|(leg, item)| pipe(ctx, rule, leg, item));
    let led = ctx.record.temporary.iter().filter(|item| !item.broken && leads_rain(&item.body));
    let ends = (0..ctx.record.outfalls.len()).filter_map(|outfall| foul_end(ctx, rule, outfall));
    pipes.chain(led.map(|item| temporary(ctx, rule, item))).chain(ends).collect()
}

/// An outfall to which foul water of the job comes: it takes foul water, and is not there for rain alone.
fn foul_end(ctx: &Ctx<'_>, rule: &Rule, outfall: usize) -> Option<Finding> {
    let item = ctx.record.outfalls.at(outfall).filter(|item| !item.broken)?;
    let ends_here = |leg: &usize| ctx.network.legs.get(*leg).is_some_and(|l| l.ends.to == End::Outfall(outfall));
    (0..ctx.network.legs.len()).filter(ends_here).find(|leg| foul(ctx, *leg))?;
    let carries = &item.body.carries;
    let what = item.body.what.get().map_or("", |w| w.0.as_str());
    let said = carries.get().map_or(what, |w| w.0.as_str());
    let words = said.to_lowercase();
    let any = |all: &[&str]| all.iter().any(|word| words.contains(word));
    let how = if carries.get().is_some() { ctx.record.how(carries) } else { How::Stated };
    let measure = match (any(&TAKES_FOUL), any(&TAKES_RAIN)) {
        (true, _) => Measure::plain(true, how, said),
        (false, true) => Measure::plain(false, how, format!("foul water to {said}")),
        (false, false) => Measure::Missing(format!("what {} carries", item.id)),
    };
    let span = if carries.is_absent() { item.id_span } else { carries.span };
    let field = format!("outfalls.{}.carries", item.id);
    let subject = Subject { id: item.id.clone(), span, planned: false, field, rule };
    let answer = ctx.rulebook.ask(key::DRAIN_FOUL_OUTFALL, &Facts::new());
    let mut out = hold(&subject, &measure, &answer, |_: &bool, _| {
        let text = "what is flushed runs into a stream or the ground untreated";
        (text.to_owned(), "a foul or combined sewer, a treatment plant, or a cesspool".to_owned())
    });
    out.limit = "an outfall for foul water".to_owned();
    Some(out)
}

fn rain(pipe: &Pipe) -> bool {
    pipe.carries.get() == Some(&Water::Rain)
}

/// Whether a temporary arrangement leads rain: as said, else by its words.
fn leads_rain(body: &Temporary) -> bool {
    match body.carries.get() {
        Some(water) => *water == Water::Rain,
        None => body.what.get().is_some_and(|what| {
            let what = what.0.to_lowercase();
            RAIN.iter().any(|word| what.contains(word))
        }),
    }
}

fn pipe(ctx: &Ctx<'_>, rule: &Rule, leg: usize, item: &Item<Pipe>) -> Finding {
    let subject = laid::subject(item, rule, "to", &item.body.carries);
    let course = follow(ctx, End::Pipe(leg), subject.field.clone());
    judge(ctx, &subject, course, ctx.record.how(&item.body.carries), None)
}

fn temporary(ctx: &Ctx<'_>, rule: &Rule, item: &Item<Temporary>) -> Finding {
    let field = format!("temporary.{}.into", item.id);
    let span = if item.body.what.is_absent() { item.id_span } else { item.body.what.span };
    let subject = Subject { id: item.id.clone(), span, planned: false, field: field.clone(), rule };
    let said = item.body.what.get().map_or("", |what| what.0.as_str());
    let into = match item.body.into.get() {
        Some(into) => place(ctx, &into.0),
        None => said.split(" into ").nth(1).map_or(End::Absent, |rest| {
            let id = rest.split(|c: char| c.is_whitespace() || c == ',').next().unwrap_or("");
            place(ctx, id)
        }),
    };
    let course = follow(ctx, into, field);
    judge(ctx, &subject, course, How::Stated, item.body.until.get().map(|until| until.0.as_str()))
}

fn place(ctx: &Ctx<'_>, id: &str) -> End {
    let record = ctx.record;
    let access = record.access.position(id).map(End::Access);
    let pipe = || record.pipes.position(id).map(End::Pipe);
    access.or_else(pipe).or_else(|| record.outfalls.position(id).map(End::Outfall)).unwrap_or(End::Absent)
}

fn judge(ctx: &Ctx<'_>, subject: &Subject<'_>, course: Course, known: How, until: Option<&str>) -> Finding {
    let (measure, field) = match course {
        Course::Apart(words, how, field) => {
            let field = if known == How::Believed { None } else { Some(field) };
            let how = if known == How::Believed { known } else { how };
            (Measure::Is { value: true, low: true, high: true, how, words }, field)
        }
        Course::Together(words) => (Measure::plain(false, How::Stated, words), None),
        Course::Open(what, field) => (Measure::Missing(what), Some(field)),
    };
    let subject = Subject { field: field.unwrap_or_else(|| subject.field.clone()), ..subject.clone() };
    let answer = ctx.rulebook.ask(key::DRAIN_RAIN_APART, &Facts::new());
    let mut out = hold(&subject, &measure, &answer, |_: &bool, _| {
        let until = until.map_or(String::new(), |until| format!("; meant to last until: {until}"));
        let text = format!("in a downpour rain fills the foul drain and backs up through the lowest appliance{until}");
        (text, "a drain of its own for the rain, as far as the sewer".to_owned())
    });
    out.limit = "apart to the sewer".to_owned();
    out
}

/// Follows rain from a place down to where it meets foul water, or leaves the job.
fn follow(ctx: &Ctx<'_>, start: End, field: String) -> Course {
    let (mut at, mut field, mut doubt) = (start, field, None);
    for _ in 0..=ctx.network.legs.len().saturating_mul(2) {
        let next = match at {
            End::Outfall(o) => return leaves(ctx, o, doubt),
            End::Access(a) => {
                let near = |leg: &usize| {
                    let ends = ctx.network.legs.get(*leg).map(|l| l.ends);
                    ends.is_some_and(|e| e.from == End::Access(a) || e.to == End::Access(a))
                };
                if (0..ctx.network.legs.len()).filter(near).any(|leg| foul(ctx, leg)) {
                    return Course::Together(format!("into {}, which carries foul water", ctx.network.end_id(at)));
                }
                field = format!("access.{}", ctx.network.end_id(at));
                ctx.network.leaving.get(a).copied().flatten().map(End::Pipe)
            }
            End::Pipe(p) => {
                if foul(ctx, p) {
                    return Course::Together(format!("in {}, which carries foul water", ctx.network.id(p)));
                }
                doubt = doubt.or_else(|| unsure(ctx, p));
                field = format!("pipes.{}.to", ctx.network.id(p));
                ctx.network.legs.get(p).map(|l| l.ends.to)
            }
            End::Appliance(_) | End::Temporary | End::Unknown | End::Absent => None,
        };
        match next {
            Some(next) => at = next,
            None => break,
        }
    }
    Course::Open("where the rain runs".to_owned(), field)
}

/// Whether a leg is known to carry foul water.
fn foul(ctx: &Ctx<'_>, leg: usize) -> bool {
    let pipe = ctx.record.pipes.at(leg).filter(|p| !p.broken && p.body.stage_now() != Stage::Removed);
    let said = pipe.is_some_and(|p| p.body.carries.get() == Some(&Water::Foul));
    said || ctx.computed.flows.get(leg).is_some_and(|flow| flow.appliances > 0)
}

/// What is not known of a leg's sources, unless they are said to be rain.
fn unsure(ctx: &Ctx<'_>, leg: usize) -> Option<(String, String)> {
    let of_rain = |leg: usize| ctx.record.pipes.at(leg).is_some_and(|p| rain(&p.body));
    let lack = ctx.computed.flows.get(leg)?.lacks.filter(|_| !of_rain(leg))?;
    match lack {
        Lack::Source(source) if of_rain(source) => None,
        lack => Some((lack.words(ctx.network), format!("pipes.{}.carries", ctx.network.id(leg)))),
    }
}

/// Whether the outfall takes rain.
fn leaves(ctx: &Ctx<'_>, outfall: usize, doubt: Option<(String, String)>) -> Course {
    let Some(item) = ctx.record.outfalls.at(outfall) else {
        return Course::Open("where the rain runs".to_owned(), String::new());
    };
    let carries = item.body.carries.get().map(|w| w.0.to_lowercase());
    let what = item.body.what.get().map_or(String::new(), |w| w.0.to_lowercase());
    let said = carries.clone().unwrap_or(what);
    let how = if carries.is_some() { ctx.record.how(&item.body.carries) } else { How::Stated };
    let takes = TAKES_RAIN.iter().any(|word| said.contains(word));
    match (takes, carries, doubt) {
        (true, _, Some((what, field))) => Course::Open(what, field),
        (true, _, None) => {
            let field = format!("outfalls.{}.carries", item.id);
            Course::Apart(format!("to {}, nothing foul on the way", item.id), how, field)
        }
        (false, Some(carries), _) if carries.contains("foul") => {
            Course::Together(format!("to {}, which carries foul water", item.id))
        }
        (false, ..) => Course::Open(format!("what {} carries", item.id), format!("outfalls.{}.carries", item.id)),
    }
}
