//! What must hold of an entry's cells together: each can be reached, no two answer at once, and what relieves a cell
//! is looser than it and answers only where it does.

use crate::rulebook::condition::{Atom, MOST_ALTERNATIVES, When, compatible};
use crate::rulebook::entry::{Entry, Row};
use crate::rulebook::fault::RulebookError;

type Ways = Vec<Vec<Atom>>;

/// Checks an entry and ties each relieving row to the row it lies over.
pub(super) fn settle(document: &str, mut entry: Entry) -> Result<Entry, RulebookError> {
    let ways = entry.rows.iter().map(|row| ways(document, row)).collect::<Result<Vec<Ways>, _>>()?;
    for (i, row) in entry.rows.iter().enumerate() {
        for (j, other) in entry.rows.iter().enumerate().skip(i + 1) {
            if row.eases == other.eases && meet(&ways, i, j) {
                let read = format!("`{}`, which overlaps `{}` (line {})", other.id, row.id, row.line);
                return Err(RulebookError::new(document, other.line, read, "cells that cannot both answer"));
            }
        }
    }
    let bases: Vec<Option<usize>> = entry
        .rows
        .iter()
        .enumerate()
        .map(|(i, row)| base(document, &entry, &ways, i, row))
        .collect::<Result<_, _>>()?;
    let whens: Vec<When> = entry.rows.iter().map(|row| row.when.clone()).collect();
    for (row, base) in entry.rows.iter_mut().zip(bases) {
        if let Some(when) = base.and_then(|b| whens.get(b)) {
            row.when = When::All(vec![when.clone(), row.when.clone()]);
        }
    }
    Ok(entry)
}

/// Checks once more, after an overlay, that what relieves a cell is not stricter than it.
pub(super) fn check_relief(document: &str, entry: &Entry) -> Result<(), RulebookError> {
    let ways = entry.rows.iter().map(|row| ways(document, row)).collect::<Result<Vec<Ways>, _>>()?;
    entry.rows.iter().enumerate().try_for_each(|(i, row)| base(document, entry, &ways, i, row).map(|_| ()))
}

fn meet(ways: &[Ways], i: usize, j: usize) -> bool {
    let (Some(one), Some(other)) = (ways.get(i), ways.get(j)) else { return false };
    one.iter().any(|a| other.iter().any(|b| compatible(a, b)))
}

/// The ways in which a row can answer, without those that contradict themselves.
fn ways(document: &str, row: &Row) -> Result<Ways, RulebookError> {
    let all = row.when.alternatives().ok_or_else(|| {
        let wants = format!("a condition with at most {MOST_ALTERNATIVES} ways to hold");
        RulebookError::new(document, row.line, format!("`{}`", row.id), wants)
    })?;
    let ways: Ways = all.into_iter().filter(|way| compatible(way, way)).collect();
    if ways.is_empty() {
        let read = format!("`{}`, which can never answer", row.id);
        return Err(RulebookError::new(document, row.line, read, "conditions that do not exclude one another"));
    }
    Ok(ways)
}

/// The row that a relieving row lies over.
fn base(document: &str, entry: &Entry, ways: &[Ways], i: usize, row: &Row) -> Result<Option<usize>, RulebookError> {
    if !row.eases {
        return Ok(None);
    }
    let under = entry.rows.iter().enumerate().filter(|(j, other)| !other.eases && meet(ways, i, *j));
    let under: Vec<(usize, &Row)> = under.collect();
    let [(j, beneath)] = under.as_slice() else {
        let read = format!("`{}`, which lies over {} cells", row.id, under.len());
        return Err(RulebookError::new(document, row.line, read, "a relieving cell over exactly one other"));
    };
    if row.outcome.loosened_by(&beneath.outcome, entry.compare) {
        let read = format!("`{}`, which is stricter than `{}`", row.id, beneath.id);
        return Err(RulebookError::new(document, row.line, read, "a relieving cell that is looser"));
    }
    Ok(Some(*j))
}
