//! What is not met, on the first page: each finding where they are few, one row a rule where they are many.

use crate::base::doc::Bar;
use crate::base::doc::Line;
use crate::base::doc::Run;
use crate::base::doc::Shape;
use crate::base::doc::Side;
use crate::base::doc::SideRow;
use crate::base::doc::bold;
use crate::base::doc::plain;
use crate::base::finding::Finding;
use crate::base::finding::Verdict;
use crate::base::finding::Weight;
use crate::pack::Desk;
use crate::pack::words;
use crate::readiness::is_due;
use crate::rules::registry;

/// Most rows that stand apart, and most of one a rule; what is over stands deeper in the pack.
const MOST: usize = 6;
const MOST_RULES: usize = 14;

/// The block, with a solid bar where there is any.
pub(super) fn not_met(desk: &Desk<'_>) -> Side {
    let open = |f: &&Finding| f.verdict == Verdict::NotMet && f.replaced_by.is_none() && f.weight == Weight::Clause;
    let mut found: Vec<&Finding> = desk.job.findings.iter().filter(open).collect();
    found.sort_by_key(|f| !is_due(f, desk.choice.moment));
    let any = !found.is_empty();
    let (note, rows) = if found.len() > MOST {
        let mut rows = by_rule(&found);
        super::capped(&mut rows, MOST_RULES, "findings");
        (format!("{} in all; what each misses and what is proposed stands in the findings", found.len()), rows)
    } else {
        ("due now first".to_owned(), found.into_iter().map(not_met_row).collect())
    };
    let none =
        "Nothing that was checked shows less than is asked. What was checked, and what not, stands on the basis page.";
    let mut side = super::side("Not met", &note, "not-met", rows, none, false);
    side.bar = if any { Bar::Solid } else { Bar::None };
    side
}

fn title(f: &Finding) -> &'static str {
    registry::rule(f.rule.0).map_or("", |rule| rule.title)
}

fn not_met_row(f: &Finding) -> SideRow {
    let mut ids = vec![Run::Shape(Shape::Triangle), plain(" ")];
    ids.extend(words::mention(&f.item));
    let mut text = vec![plain(format!("{}: ", title(f))), bold(f.measured.clone()), plain("; limit ")];
    text.push(bold(f.limit.clone()));
    text.push(plain(format!(". {}", words::sentence(&f.text))));
    if let Some(remedy) = &f.remedy {
        text.push(plain(format!(" Proposed: {}.", remedy.text)));
    }
    SideRow { ids, text, right: words::clause(f), ..SideRow::default() }
}

/// One row a rule and clause where there are many: else the first rules would fill the page and hide the rest.
fn by_rule(found: &[&Finding]) -> Vec<SideRow> {
    let mut groups: Vec<Vec<&Finding>> = Vec::new();
    for f in found {
        match groups
            .iter_mut()
            .find(|g| g.first().is_some_and(|first| first.rule == f.rule && words::clause(first) == words::clause(f)))
        {
            Some(group) => group.push(f),
            None => groups.push(vec![f]),
        }
    }
    let row = |group: Vec<&Finding>| {
        let mut ids = vec![Run::Shape(Shape::Triangle), plain(" ")];
        ids.extend(words::ids(group.iter().map(|f| f.item.as_str())));
        let first = group.first();
        let mut text = vec![plain(format!("{}: ", first.map_or("", |f| title(f))))];
        for (n, f) in group.iter().enumerate() {
            text.push(plain(if n == 0 { "" } else { "; " }));
            if group.len() > 1 {
                text.extend(words::mention(&f.item));
                text.push(plain(" "));
            }
            text.push(bold(f.measured.clone()));
            let last_of_limit = group.get(n + 1).is_none_or(|next| next.limit != f.limit);
            text.push(plain(if last_of_limit { format!(", limit {}", f.limit) } else { String::new() }));
        }
        text.push(plain("."));
        SideRow { ids, text, right: first.map_or(Line::new(), |f| words::clause(f)), ..SideRow::default() }
    };
    groups.into_iter().map(row).collect()
}
