//! `fallmark explain`: a rule with its limits, a caution, or a word of the trade.

mod limits;

use crate::base::text::harmless;
use crate::base::text::list;
use crate::cli::Ended;
use crate::cli::args;
use crate::cli::screen;
use crate::cli::screen::Paint;
use crate::cli::screen::Screen;
use crate::cli::trouble::Trouble;
use crate::readiness::cautions::Caution;
use crate::readiness::cautions::catalogue;
use crate::record::fault::nearest;
use crate::rulebook;
use crate::rulebook::Explanation;
use crate::rulebook::Prose;
use crate::rules::registry;
use std::io::{self, Write};

/// So wide is the text set.
const WIDTH: usize = 88;

/// Explains a word, or lists all that can be explained.
///
/// # Errors
/// When the word is not known; the message names near ones.
pub fn run(args: &args::Explain) -> Result<Ended, Trouble> {
    let mut out = Screen::stdout();
    let paint = Paint(screen::colour_on_stdout());
    let word = args.word.join(" ");
    let books = texts()?;
    if word.trim().is_empty() {
        list_all(&books, paint, &mut out)?;
    } else if let Some(caution) = catalogue().find(|c| c.id == word.trim().to_lowercase()) {
        one_caution(&caution, paint, &mut out)?;
    } else {
        let found = books.iter().find_map(|prose| prose.explain(&word));
        let found = found.ok_or_else(|| unknown(&books, &word))?;
        one(found, paint, &mut out)?;
        if let Some(rule) = registry::rule(&found.name) {
            limits::tell(rule, paint, &mut out)?;
        }
    }
    out.flush()?;
    Ok(Ended::Clear)
}

fn texts() -> Result<Vec<Prose>, Trouble> {
    rulebook::names().iter().map(|name| Ok(rulebook::prose(name)?)).collect()
}

fn one(explanation: &Explanation, paint: Paint, out: &mut dyn Write) -> io::Result<()> {
    let title = registry::rule(&explanation.name).map_or("", |rule| rule.title);
    let also = list(&explanation.also, "and");
    let head = match (title.is_empty(), also.is_empty()) {
        (false, _) => format!("{}: {title}", explanation.name),
        (true, false) => format!("{} (also {also})", explanation.name),
        (true, true) => explanation.name.clone(),
    };
    writeln!(out, "{}", paint.bold(&head))?;
    for (head, text) in &explanation.parts {
        writeln!(out)?;
        if !head.is_empty() {
            writeln!(out, "{}", paint.bold(head))?;
        }
        wrapped(text, out)?;
    }
    Ok(())
}

fn one_caution(caution: &Caution, paint: Paint, out: &mut dyn Write) -> io::Result<()> {
    writeln!(out, "{}", paint.bold(&format!("{}: a caution ({})", caution.id, caution.section)))?;
    let source = format!("{} ({})", caution.source, caution.seen.word());
    let parts = [
        ("", caution.words),
        ("Shown when the record has", caution.trigger.words()),
        ("Leave to", caution.leave_to),
        ("Who says so", &source),
    ];
    for (head, text) in parts {
        writeln!(out)?;
        if !head.is_empty() {
            writeln!(out, "{}", paint.bold(head))?;
        }
        wrapped(text, out)?;
    }
    Ok(())
}

fn list_all(books: &[Prose], paint: Paint, out: &mut dyn Write) -> io::Result<()> {
    writeln!(out, "{}", paint.bold("Rules"))?;
    for rule in registry::RULES {
        writeln!(out, "  {}: {}", rule.id.0, rule.title)?;
    }
    writeln!(out)?;
    writeln!(out, "{}", paint.bold("Cautions"))?;
    wrapped(&catalogue().map(|c| c.id).collect::<Vec<_>>().join(", "), out)?;
    writeln!(out)?;
    writeln!(out, "{}", paint.bold("Words"))?;
    let mut words: Vec<&str> =
        names(books).filter(|name| registry::rule(name).is_none() && !is_caution(name)).collect();
    words.sort_by_key(|word| word.to_lowercase());
    words.dedup();
    wrapped(&words.join(", "), out)
}

/// Every name under which something can be explained.
fn names(books: &[Prose]) -> impl Iterator<Item = &str> {
    let all = books.iter().flat_map(|prose| prose.explanations());
    let own = all.flat_map(|e| std::iter::once(&e.name).chain(&e.also)).map(String::as_str);
    own.chain(catalogue().map(|c| c.id))
}

fn is_caution(name: &str) -> bool {
    catalogue().any(|c| c.id == name)
}

/// Names what could have been meant: what holds the word, and what is spelt nearly so.
fn unknown(books: &[Prose], word: &str) -> Trouble {
    let lower = word.trim().to_lowercase();
    let mut near: Vec<&str> = names(books).filter(|name| name.to_lowercase().contains(&lower)).collect();
    near.extend(nearest(&lower, names(books)).filter(|name| !near.contains(name)));
    near.truncate(5);
    let near = near.iter().map(|name| format!("`{name}`")).collect::<Vec<_>>();
    let help = match near.as_slice() {
        [] => "`fallmark explain` lists every rule, caution and word".to_owned(),
        some => format!("did you mean {}?", list(some, "or")),
    };
    Trouble::Told(format!("there is no rule, caution or word `{}` to explain; {help}", harmless(word)))
}

/// Writes a text in lines of bearable width, each set in a little.
fn wrapped(text: &str, out: &mut dyn Write) -> io::Result<()> {
    indented(text, 2, 2, out)
}

/// Writes a text in lines of bearable width: so far the first is set in, so far the others.
fn indented(text: &str, first: usize, others: usize, out: &mut dyn Write) -> io::Result<()> {
    let margin = |by: usize| " ".repeat(by.saturating_sub(1));
    let mut line = margin(first);
    for word in text.split(' ') {
        if line.chars().count() + 1 + word.chars().count() > WIDTH && !line.trim().is_empty() {
            writeln!(out, "{line}")?;
            line = margin(others);
        }
        line.push(' ');
        line.push_str(word);
    }
    writeln!(out, "{line}")
}
