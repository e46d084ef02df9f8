//! Whose the pipes are as far as the record shows it, what was left open, and what this pack is not.

use crate::base::doc::Align;
use crate::base::doc::Block;
use crate::base::doc::Line;
use crate::base::doc::bold;
use crate::base::doc::plain;
use crate::base::finding::Verdict;
use crate::base::finding::Weight;
use crate::network::ends::End;
use crate::network::kind::Kind;
use crate::pack::Desk;
use crate::pack::Part;
use crate::pack::drains::column;
use crate::pack::handover::guide::one;
use crate::pack::handover::guide::row;
use crate::pack::handover::guide::table;
use crate::pack::words;
use crate::record::words::Stage;
use crate::rules::registry;

/// With more faults than these, one line a rule names what it finds; the inspection pack tells each.
const MOST_FAULTS: usize = 8;

/// Whose each old, shared or last drain is: what the record says, and who decides.
pub(super) fn whose(desk: &Desk<'_>) -> Part {
    let network = &desk.job.network;
    let mut rows = Vec::new();
    for (i, leg) in network.legs.iter().enumerate().filter(|(_, l)| l.derived.kind == Kind::Drain) {
        let Some(pipe) = network.record.pipes.at(leg.pipe) else { continue };
        let old = pipe.body.stage_now() == Stage::Existing;
        let outfall = match leg.ends.to {
            End::Outfall(o) => network.record.outfalls.at(o),
            _ => None,
        };
        if !old && outfall.is_none() && pipe.body.also_carries.get().is_none() {
            continue;
        }
        let (from, to) = (network.end_id(leg.ends.from), network.end_id(leg.ends.to));
        let ends = format!("from {} to {}", or_unknown(from), or_unknown(to));
        let mut says = Vec::new();
        says.extend(old.then(|| "it was there before".to_owned()));
        says.extend(
            pipe.body
                .also_carries
                .get()
                .map(|_| format!("also carries {}", desk.as_written(pipe.body.also_carries.span))),
        );
        if let Some(outfall) = outfall {
            says.extend(outfall.body.what.get().map(|t| format!("ends in a {}", t.0)));
            says.extend(outfall.body.sewer_map.get().map(|t| format!("sewer map {}", t.0)));
        }
        let sewer = outfall.and_then(|o| o.body.what.get()).is_some_and(|t| t.0.contains("sewer"));
        let decides = if sewer { "the sewerage company, by its map" } else { "your deeds and the sewerage company" };
        rows.push(row(
            network.id(i),
            vec![one(&ends), one(&words::sentence(&says.join("; "))), one("not shown"), one(decides)],
        ));
    }
    for row in &mut rows {
        // Its own row stands in the schedule of what is where.
        row.anchor = None;
    }
    let columns = vec![
        column(&["id"], 14.0, Align::Left),
        column(&["the pipe"], 40.0, Align::Left),
        column(&["what the record says"], 62.0, Align::Left),
        column(&["whose it is"], 22.0, Align::Left),
        column(&["who decides"], 38.0, Align::Left),
    ];
    let mut part = table(
        "Whose the pipes are",
        columns,
        rows,
        "the record does not settle it; every other drain here was laid for this job",
    );
    let nation = desk.job.record.job.nation.get().map_or("", |t| t.0.as_str());
    if !part.blocks.is_empty() && ["England", "Wales"].contains(&nation) {
        part.blocks.push(Block::Key(vec![plain(
            "As a rule in England and Wales: a drain that serves one property is its owner\u{2019}s as far as the boundary. \
             A pipe that serves two or more, or lies outside the boundary, went to the sewerage company on 1 October 2011 \
             if it was joined to a public sewer on 1 July 2011. Private sewers transfer, 2011, as solicitors\u{2019} notes \
             restate it.",
        )]));
    }
    part
}

fn or_unknown(id: &str) -> &str {
    if id.is_empty() { "somewhere unknown" } else { id }
}

/// What was still open when this pack was made.
pub(super) fn left_open(desk: &Desk<'_>) -> Part {
    let record = desk.job.record;
    let network = &desk.job.network;
    let mut items: Vec<Line> = Vec::new();
    let mut say = |id: &str, text: String| {
        let mut line = if id.is_empty() { Line::new() } else { words::mention(id) };
        line.push(plain(format!("{}{}", if id.is_empty() { "" } else { " " }, words::sentence(&text))));
        items.push(line);
    };
    for item in &record.temporary {
        let until = item.body.until.get().map_or(String::new(), |u| format!(", until {}", u.0));
        say(&item.id, format!("For now: {}{until}", item.body.what.get().map_or("", |t| t.0.as_str())));
    }
    for pipe in record.pipes.iter().filter(|p| p.body.stage_now() == Stage::Planned) {
        say(&pipe.id, "This pipe is planned and not there yet".to_owned());
    }
    for closing in record.closings.iter().filter(|c| c.value.stage.get() == Some(&Stage::Planned)) {
        say("", format!("Still to be closed: {}", closing.value.what.get().map_or("", |t| t.0.as_str())));
    }
    for item in record.questions.iter().filter(|q| q.body.answer.is_absent()) {
        let to = item.body.to.get().map_or("", |t| t.0.as_str());
        let to = record.people.get(to).and_then(|p| p.body.role.get()).map_or(to, |r| r.0.as_str());
        say(
            &item.id,
            format!("Asked of the {to}, no answer yet: {}", item.body.ask.get().map_or("", |t| t.0.as_str())),
        );
    }
    for change in record.changes.iter().filter(|c| c.value.agreed.get().is_none_or(|a| a.0 == "not yet")) {
        let built = change.value.built.get().map_or("", |t| t.0.as_str());
        say("", format!("Built otherwise than drawn, and not agreed: {built}"));
    }
    let unmet = |f: &&crate::base::finding::Finding| {
        f.verdict == Verdict::NotMet && f.replaced_by.is_none() && f.weight == Weight::Clause
    };
    let unmet: Vec<&crate::base::finding::Finding> = desk.job.findings.iter().filter(unmet).collect();
    let title = |rule: &str| registry::rule(rule).map_or("", |r| r.title);
    if unmet.len() <= MOST_FAULTS {
        for finding in unmet {
            say(&finding.item, format!("Not as the guidance asks. {}: {}", title(finding.rule.0), finding.text));
        }
    } else {
        for of_one in unmet.chunk_by(|a, b| a.rule == b.rule) {
            let items: Vec<&str> = of_one.iter().map(|f| f.item.as_str()).collect();
            let about = of_one.first().map_or("", |f| title(f.rule.0));
            say("", format!("Not as the guidance asks. {about}: {}", items.join(", ")));
        }
    }
    let unread = desk.job.findings.iter().filter(|f| f.verdict == Verdict::NotShown).count();
    if unread > 0 {
        let things = if unread == 1 { "1 more thing" } else { &format!("{unread} more things") };
        say("", format!("{things} could not be shown from the record; the inspection pack lists what"));
    }
    let untested: Vec<&str> = desk.job.computed.untested.iter().map(|l| network.id(*l)).collect();
    if !untested.is_empty() {
        let mut line = words::ids(untested);
        line.push(plain(" Not tested, or changed since the test."));
        items.push(line);
    }
    if items.is_empty() {
        items.push(vec![plain("Nothing that this record tells of.")]);
    }
    Part { blocks: vec![Block::List(items)], note: vec![plain("ask whoever laid it to close these")] }
}

/// What the pack is not.
pub(super) fn this_is_not() -> Part {
    let line = vec![
        plain("It is "),
        bold("no approval and no certificate"),
        plain(
            ". It is what the installer recorded, and what follows from that. Whether the work meets the Regulations is for \
             the building-control body. Gas, electricity, fire and structure are for their own trades. Keep this pack with \
             the papers of the house, and hand it on when you sell.",
        ),
    ];
    Part { blocks: vec![Block::Paragraph(line)], note: Line::new() }
}
