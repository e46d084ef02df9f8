//! What the rules on drains, and all that judge a slope, have in common: the drain as what is judged, and its measures.

use crate::base::known::How;
use crate::base::known::KnownGradient;
use crate::base::units::Gradient;
use crate::record::ground::bed_of;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;
use crate::record::sections::Record;
use crate::record::value::Field;
use crate::record::words::Stage;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::driver::Measure;
use crate::rules::driver::Subject;

/// A pipe as what is judged by one of its fields; where that says nothing, its id is the place.
pub fn subject<'r, T>(item: &Item<Pipe>, rule: &'r Rule, key: &str, field: &Field<T>) -> Subject<'r> {
    Subject {
        id: item.id.clone(),
        span: if field.is_absent() { item.id_span } else { field.span },
        planned: item.body.stage_now() == Stage::Planned,
        field: format!("pipes.{}.{key}", item.id),
        rule,
    }
}

/// What holds only for a size that is believed is itself only believed.
pub fn by_size(ctx: &Ctx<'_>, item: &Item<Pipe>, how: How) -> How {
    if ctx.record.how(&item.body.size) == How::Believed { How::Believed } else { how }
}

/// The slope of a leg, or that its fall is missing; `how` says how it is known from how the gradient is.
pub fn slope(
    ctx: &Ctx<'_>,
    leg: usize,
    how: impl Fn(How) -> How,
    words: impl Fn(Gradient) -> String,
) -> Measure<Gradient> {
    match ctx.network.gradient(leg) {
        Some(g) => Measure::gradient(KnownGradient { how: how(g.how), ..g }, words(g.value)),
        None if ctx.network.knees(leg) > 0 => {
            Measure::Missing("the inverts at both ends of each of its pieces".to_owned())
        }
        None => Measure::Missing("its fall".to_owned()),
    }
}

/// What the tables of drains have no column for.
pub const OTHER: &str = "other";

/// The class of a drain's material as those tables have it; `None` when the words do not tell.
pub fn class(words: &str) -> Option<&'static str> {
    let words = words.to_ascii_lowercase();
    let is = |list: &[&str]| list.iter().any(|word| words.contains(word));
    if is(&["clay"]) {
        Some("clay")
    } else if is(&["concrete"]) {
        Some("concrete")
    } else if is(&["pvc", "plastic", "pp", "pe", "polyprop", "polyeth"]) {
        Some("plastic")
    } else if is(&["iron", "steel"]) {
        Some(OTHER)
    } else {
        None
    }
}

/// Whether the record tells of concrete round a drain, which then carries it in place of a bed.
pub fn in_concrete(record: &Record, item: &Item<Pipe>) -> bool {
    let bed = bed_of(record, item).is_some_and(|(_, spec)| spec.concrete.get().is_some());
    bed || item.body.encasement().is_some()
}

/// ` over 3.20 to 8.00 m`, its flattest piece, after the gradient of a drain that changes it; nothing for another.
pub fn over_piece(ctx: &Ctx<'_>, leg: usize) -> String {
    if ctx.network.knees(leg) == 0 {
        return String::new();
    }
    ctx.network.flattest(leg).map_or(String::new(), |(piece, _, _)| format!(" over {}", piece.words()))
}

/// How many bends a pipe is recorded with: `2 x 45` are two; `None` when it is not said, or only believed.
pub fn bends(record: &Record, pipe: &Pipe) -> Option<u32> {
    let field = &pipe.bends;
    if field.is_none() {
        return Some(0);
    }
    let all = field.get().filter(|_| record.how(field) != How::Believed)?;
    let count = |words: &str| {
        let times = words.split_once(" x ").and_then(|(n, _)| n.trim().parse().ok());
        times.unwrap_or(1_u32)
    };
    Some(all.iter().fold(0_u32, |sum, w| sum.saturating_add(count(&w.0))))
}

/// `1 bend`, `2 bends`.
pub fn bends_words(count: u32) -> String {
    if count == 1 { "1\u{a0}bend".to_owned() } else { format!("{count}\u{a0}bends") }
}
