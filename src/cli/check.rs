//! `fallmark check`.

use crate::cli::Ended;
use crate::cli::args;
use crate::cli::args::Format;
use crate::cli::findings;
use crate::cli::findings::View;
use crate::cli::job::Opened;
use crate::cli::json;
use crate::cli::report;
use crate::cli::screen;
use crate::cli::screen::Paint;
use crate::cli::screen::Screen;
use crate::cli::trouble::Trouble;
use crate::examine;
use crate::readiness;
use std::io::Write as _;

/// Tells what is open.
///
/// # Errors
/// When the record has faults or cannot be read, or the output cannot be written.
pub fn run(args: &args::Check) -> Result<Ended, Trouble> {
    let opened = Opened::read(&args.job)?;
    let mut out = Screen::stdout();
    let colour = screen::colour_on_stdout();
    if !opened.reading.faults.is_empty() {
        match args.format {
            Format::Text => report::faults(&opened.reading, &mut out, colour)?,
            Format::Json => json::faults(&opened.reading, &mut out)?,
        }
        out.flush()?;
        return Err(Trouble::Faults);
    }
    let ready = opened.ready(&args.job)?;
    let examined = examine(&opened.reading.record, &ready.rulebook, &ready.files);
    match args.format {
        Format::Text => {
            let (source, stage) = (&opened.reading.source, ready.stage.as_deref());
            let view = View { source, moment: ready.moment, stage, all: args.all, paint: Paint(colour) };
            findings::write(&view, &examined, &mut out)?;
        }
        Format::Json => json::findings((&opened, &ready, &examined), args.all, &mut out)?,
    }
    out.flush()?;
    let due = readiness::counts(&examined.findings, ready.moment).due;
    Ok(if due == 0 { Ended::Clear } else { Ended::Open })
}
