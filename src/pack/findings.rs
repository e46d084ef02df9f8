//! Findings by rule, limit and verdict: what is open first, then what turns inside its spread, then what is met.

use crate::base::doc::Bar;
use crate::base::doc::Block;
use crate::base::doc::FindingBlock;
use crate::base::doc::FindingItem;
use crate::base::doc::Line;
use crate::base::doc::bold;
use crate::base::doc::italic;
use crate::base::doc::plain;
use crate::base::finding::Finding;
use crate::base::finding::Verdict;
use crate::base::finding::Weight;
use crate::pack::Desk;
use crate::pack::Part;
use crate::pack::words;
use crate::rules::registry;

/// Findings of one rule with one limit and one verdict.
type Group<'a> = Vec<&'a Finding>;

/// Every finding, grouped.
pub(crate) fn blocks(desk: &Desk<'_>) -> Part {
    let mut groups: Vec<Group<'_>> = Vec::new();
    for finding in desk.job.findings.iter().filter(|f| f.verdict != Verdict::NotApplicable) {
        let same = |g: &&mut Group<'_>| g.first().is_some_and(|f| alike(f, finding));
        match groups.iter_mut().find(same) {
            Some(group) => group.push(finding),
            None => groups.push(vec![finding]),
        }
    }
    groups.sort_by_key(|g| g.first().map(|f| (f.weight, order(f))));
    let blocks = groups.iter().enumerate().filter_map(|(i, g)| block(desk, i, g)).collect();
    Part { blocks, note: vec![plain("by rule and limit; clauses first, then good practice")] }
}

/// Open ones keep their limits and clauses apart; met ones of a rule stand together.
fn alike(a: &Finding, b: &Finding) -> bool {
    let open = matches!(a.verdict, Verdict::NotMet | Verdict::NotShown) && a.weight == Weight::Clause;
    a.rule == b.rule
        && a.verdict == b.verdict
        && a.inside_spread == b.inside_spread
        && a.planned == b.planned
        && a.replaced_by == b.replaced_by
        && (!open || (a.limit == b.limit && words::clause(a) == words::clause(b)))
}

fn order(f: &Finding) -> u8 {
    match (f.verdict, f.inside_spread) {
        (Verdict::NotMet, _) => 0,
        (Verdict::NotShown, _) => 1,
        (Verdict::Met, true) => 2,
        (Verdict::Met, false) if f.planned => 4,
        (Verdict::Met, false) => 3,
        (Verdict::NotApplicable, _) => 5,
    }
}

fn block(desk: &Desk<'_>, number: usize, group: &[&Finding]) -> Option<Block> {
    let first = group.first()?;
    let rule = registry::rule(first.rule.0)?;
    let items = group.iter().map(|f| item(desk, f)).collect();
    let replaced = group.iter().all(|f| f.replaced_by.is_some());
    let bar = match first.verdict {
        _ if replaced => Bar::None,
        Verdict::NotMet => Bar::Solid,
        Verdict::NotShown => Bar::Hollow,
        Verdict::Met | Verdict::NotApplicable => Bar::None,
    };
    let mut clause = words::clause(first);
    if clause.is_empty() {
        clause = vec![plain("no clause")];
    }
    Some(Block::Finding(FindingBlock {
        shape: words::shape(first),
        word: first.verdict.word().to_owned(),
        note: first.replaced_by.as_ref().map_or_else(|| note(first).to_owned(), |by| format!("replaced by {by}")),
        title: rule.title.to_owned(),
        clause,
        items,
        closing: closing(group),
        bar,
        anchor: format!("finding-{}", number + 1),
    }))
}

fn note(f: &Finding) -> &'static str {
    match (f.weight, f.inside_spread, f.planned) {
        (Weight::Advice, _, _) => "good practice, no clause",
        (Weight::Clause, true, _) => "inside the spread",
        (Weight::Clause, false, true) => "as planned",
        (Weight::Clause, false, false) => "",
    }
}

fn item(desk: &Desk<'_>, f: &Finding) -> FindingItem {
    let settle = f.remedy.as_ref().map_or("", |r| r.text.as_str());
    let measured = if f.measured.is_empty() { format!("wanted: {settle}") } else { f.measured.clone() };
    let strong = f.verdict == Verdict::NotMet;
    let line = desk.choice.source.line_of(f.span.start);
    FindingItem {
        ids: words::mention(&f.item),
        measured: vec![if strong { bold(measured) } else { plain(measured) }],
        limit: vec![plain(f.limit.clone())],
        line: format!("record line {line}"),
        see: see(desk, f),
    }
}

fn see(desk: &Desk<'_>, f: &Finding) -> Line {
    let id = f.item.split(' ').next().unwrap_or(&f.item);
    let record = desk.job.record;
    let has_row = record.pipes.get(id).is_some() || record.appliances.get(id).is_some();
    if has_row || record.penetrations.get(id).is_some() { words::see(id, &words::anchor(id)) } else { Line::new() }
}

fn remedy<'a>(f: &&'a Finding) -> Option<&'a str> {
    f.remedy.as_ref().map(|r| r.text.as_str())
}

/// By how much each misses and what is proposed; a proposal that is the same for all is said once.
fn missed(group: &[&Finding]) -> Line {
    let miss = |f: &&Finding| vec![bold(words::sentence(&f.text))];
    let propose = |f: &&Finding| remedy(f).map_or(Line::new(), |text| vec![plain(format!(" Proposed: {text}."))]);
    let first = group.first().map_or(Line::new(), propose);
    if group.iter().all(|f| propose(f) == first) {
        return [each(group.iter(), miss), first].concat();
    }
    each(group.iter(), |f| [miss(f), propose(f)].concat())
}

/// What is to be said of each: once where it is the same for all, else after each id.
fn each<'g, 'a: 'g>(group: impl Iterator<Item = &'g &'a Finding>, say: impl Fn(&&'a Finding) -> Line) -> Line {
    let said: Vec<(&str, Line)> = group.map(|f| (f.item.as_str(), say(f))).filter(|(_, l)| !l.is_empty()).collect();
    let Some((_, first)) = said.first() else { return Line::new() };
    if said.iter().all(|(_, l)| l == first) {
        return first.clone();
    }
    let mut line = Line::new();
    for (item, text) in said {
        if !line.is_empty() {
            line.push(plain(" "));
        }
        line.extend(words::mention(item));
        line.push(plain(" "));
        line.extend(text);
    }
    line
}

/// What is proposed or would settle them, said once where it is the same for all.
fn closing(group: &[&Finding]) -> Line {
    let Some(first) = group.first() else { return Line::new() };
    let mut line = Line::new();
    match first.verdict {
        Verdict::NotMet => line = missed(group),
        // What is wanted of one without a number stands in its row already.
        Verdict::NotShown => {
            line = each(group.iter().filter(|f| !f.measured.is_empty()), |f| {
                remedy(f).map_or(Line::new(), |text| vec![plain(format!("Settled by: {text}."))])
            })
        }
        Verdict::NotApplicable => {}
        Verdict::Met if first.inside_spread => line.push(plain("The verdict turns inside the spread of the reading.")),
        Verdict::Met if first.planned => line.push(plain("Not there yet: this is what the plan would give.")),
        Verdict::Met => {}
    }
    if group.iter().any(|f| f.recalled) {
        if !line.is_empty() {
            line.push(plain(" "));
        }
        line.push(italic("Limit recalled, confirm against the document."));
    }
    line
}
