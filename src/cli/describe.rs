//! `fallmark schema`, `fallmark guide` and `fallmark rulebook`: what a record may hold, and what it is held against.

use crate::base::text::harmless;
use crate::cli::Ended;
use crate::cli::args;
use crate::cli::job::with_overlays;
use crate::cli::screen::Screen;
use crate::cli::trouble::Trouble;
use crate::record::guide;
use crate::record::schema;
use crate::rulebook;
use crate::rulebook::{Prose, Rulebook, STATES, State};
use std::io::Write;

/// Prints the JSON Schema of a record.
///
/// # Errors
/// When the output cannot be written.
pub fn schema() -> Result<Ended, Trouble> {
    let mut out = Screen::stdout();
    writeln!(out, "{:#}", schema::of_record())?;
    out.flush()?;
    Ok(Ended::Clear)
}

/// Prints the field guide.
///
/// # Errors
/// When the output cannot be written.
pub fn guide() -> Result<Ended, Trouble> {
    let mut out = Screen::stdout();
    out.write_all(guide::markdown().as_bytes())?;
    out.flush()?;
    Ok(Ended::Clear)
}

/// Lists rulebooks with their documents.
///
/// # Errors
/// When there is none of the name, an overlay does not fit it, or the output cannot be written.
pub fn rulebook(args: &args::Rulebook) -> Result<Ended, Trouble> {
    let mut out = Screen::stdout();
    let named: Vec<&str> = match &args.name {
        Some(name) => vec![name.as_str()],
        None => rulebook::names().to_vec(),
    };
    for name in named {
        let book = with_overlays(rulebook::load(name)?, &args.overlay)?;
        documents(&book, &mut out)?;
        changes(&book, &mut out)?;
        let prose = rulebook::prose(name)?;
        tallies(&prose, &mut out)?;
        if args.ledger {
            ledger(&prose, &mut out)?;
        }
    }
    out.flush()?;
    Ok(Ended::Clear)
}

fn documents(book: &Rulebook, out: &mut Screen) -> Result<(), Trouble> {
    writeln!(out, "{}, revision {}: {}", book.id(), book.revision(), book.title())?;
    writeln!(out, "digest {}", book.digest())?;
    for document in book.documents() {
        let (values, recalled) = (document.values, document.recalled);
        writeln!(out)?;
        writeln!(out, "{}: {}, {} ({})", document.short, document.title, document.edition, document.standing.word())?;
        writeln!(out, "  {values} values, {recalled} of them recalled and to be confirmed against the document")?;
        writeln!(out, "  answers {}", document.prefixes.join(", "))?;
    }
    Ok(())
}

fn changes(book: &Rulebook, out: &mut Screen) -> Result<(), Trouble> {
    for overlay in book.overlays() {
        writeln!(out)?;
        writeln!(out, "Overlay {} ({})", harmless(&overlay.name), overlay.standing.word())?;
        for c in &overlay.changes {
            let looser = if c.looser { "; looser than the document" } else { "" };
            let line = format!(
                "{}: {} instead of {}, asked by {}, {}, {}",
                c.cell, c.is, c.was, c.asked_by, c.date, c.evidence
            );
            writeln!(out, "  {}{looser}", harmless(&line))?;
        }
    }
    Ok(())
}

/// What is done about the clauses, a line for each part of a document.
fn tallies(prose: &Prose, out: &mut Screen) -> Result<(), Trouble> {
    writeln!(out)?;
    writeln!(out, "What is done about each clause (--ledger lists them)")?;
    for tally in prose.tallies() {
        let counted = STATES.iter().zip(tally.counts).filter(|(_, n)| *n > 0);
        let counted = counted.map(|(state, n)| format!("{n} {state}")).collect::<Vec<_>>();
        writeln!(out, "  {}: {}", tally.part, counted.join(", "))?;
    }
    Ok(())
}

fn ledger(prose: &Prose, out: &mut Screen) -> Result<(), Trouble> {
    let mut part = String::new();
    for entry in prose.ledger() {
        let head = format!("{}, {}", entry.document, entry.part);
        if head != part {
            writeln!(out)?;
            writeln!(out, "{head}")?;
            part = head;
        }
        let why = match &entry.state {
            State::Checked(rule) => format!(" by {rule}"),
            State::Computed(what) | State::Recorded(what) | State::Outside(what) => format!(": {what}"),
            State::NotYet => String::new(),
        };
        writeln!(out, "  {}  {}: {}{why}", entry.clause, entry.title, entry.state.word())?;
    }
    Ok(())
}
