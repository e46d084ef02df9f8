//! A design by calculation, which the notes to the tables allow in place of their lines.

use crate::base::finding::Finding;
use crate::base::finding::Verdict;
use crate::base::known::How;
use crate::record::ground::Design;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;
use crate::rules::Ctx;
use crate::rules::driver::Subject;
use crate::rules::driver::unsettled;

/// The standards of such a calculation: for buried pipes, and the guide that goes with it.
const STANDARDS: [&str; 2] = ["1295", "9295"];

/// Where a table's line is missed, or there is none: met by a calculation that the record names and quotes, not shown
/// while part of that is wanting.
pub(super) fn instead(ctx: &Ctx<'_>, subject: &Subject<'_>, item: &Item<Pipe>, mut out: Finding) -> Finding {
    let design = &item.body.designed;
    let open = out.verdict == Verdict::NotMet || out.verdict == Verdict::NotShown && !out.measured.is_empty();
    if !open || design.is_absent() || design.is_none() || out.measured.starts_with("about") {
        return out;
    }
    match design.get().map(|design| named(ctx, item, design)) {
        Some(Ok(words)) => {
            out.verdict = Verdict::Met;
            out.inside_spread = false;
            (out.text, out.remedy) = (String::new(), None);
            out.measured = format!("{}; {words}", out.measured);
            out.limit = if out.limit.is_empty() {
                "by calculation".to_owned()
            } else {
                format!("{}, or by calculation", out.limit)
            };
        }
        Some(Err((field, what))) => unsettled(&mut out, &Subject { field, ..subject.clone() }, what),
        None => {
            let field = format!("pipes.{}.designed", item.id);
            unsettled(&mut out, &Subject { field, ..subject.clone() }, "the calculation it was designed by".to_owned());
        }
    }
    out
}

/// `designed to BS EN 1295 (C3)`, or the field and what is wanting in it.
fn named(ctx: &Ctx<'_>, item: &Item<Pipe>, design: &Design) -> Result<String, (String, String)> {
    let path = |key: &str| format!("pipes.{}.designed.{key}", item.id);
    let to = design.to.get().filter(|to| {
        STANDARDS.iter().any(|number| to.0.contains(number)) && ctx.record.how(&design.to) != How::Believed
    });
    let to = to.ok_or_else(|| (path("to"), "that it was designed to BS EN 1295".to_owned()))?;
    let doc = design.doc.get().ok_or_else(|| (path("doc"), "the paper with the calculation".to_owned()))?;
    let says = ctx.record.documents.get(&doc.0).and_then(|document| document.body.says.get());
    says.ok_or_else(|| (format!("documents.{}.says", doc.0), "what the calculation comes to".to_owned()))?;
    Ok(format!("designed to {} ({})", to.0, doc.0))
}
