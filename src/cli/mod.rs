//! Arguments, disk, clock and terminal: the only layer that meets the outside world.
//!
//! 1. [`args`] says what can be asked. 2. [`check`], [`build`], [`explain`], [`describe`], [`new`] and [`photos`] each
//!    answer a command or a few.
//! 3. [`job`] finds what a command speaks of; [`disk`], [`sink`], [`arrivals`] and [`pictures`] bring bytes
//!    in and out.
//! 4. [`findings`], [`json`], [`report`], [`excerpt`] and [`screen`] put answers into words.

pub mod args;
pub mod arrivals;
pub mod build;
pub mod check;
pub mod describe;
pub mod disk;
pub mod excerpt;
pub mod explain;
pub mod findings;
pub mod job;
pub mod json;
pub mod new;
pub mod photos;
pub mod pictures;
pub mod report;
pub mod screen;
pub mod sink;
pub mod trouble;

use crate::base::text::harmless;
use crate::cli::args::Arguments;
use crate::cli::args::Command;
use crate::cli::trouble::Trouble;
use clap::Parser as _;
use std::ffi::OsString;
use std::panic;
use std::process::ExitCode;

/// How a command ended, when it did.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ended {
    /// Nothing that is due is open, or what was asked for is done: exit status 0.
    Clear,
    /// Something that is due is open: exit status 1.
    Open,
}

/// Exit status when a command could not be carried out.
const UNABLE: u8 = 2;

/// Carries out what the arguments ask, the program's own name first.
pub fn run(args: impl IntoIterator<Item = OsString>) -> ExitCode {
    panic::set_hook(Box::new(own_fault));
    let args = match Arguments::try_parse_from(args) {
        Ok(args) => args,
        Err(told) => {
            // A help text that nobody reads any more is no failure.
            let _ = told.print();
            return ExitCode::from(if told.use_stderr() { UNABLE } else { 0 });
        }
    };
    match panic::catch_unwind(panic::AssertUnwindSafe(|| command(&args.command))) {
        Ok(Ok(Ended::Clear)) => ExitCode::SUCCESS,
        Ok(Ok(Ended::Open)) => ExitCode::from(1),
        Ok(Err(Trouble::Faults)) | Err(_) => ExitCode::from(UNABLE),
        Ok(Err(trouble)) => {
            screen::tell(&format!("fallmark: {}", trouble.line()));
            ExitCode::from(UNABLE)
        }
    }
}

fn command(command: &Command) -> Result<Ended, Trouble> {
    match command {
        Command::New(args) => new::run(args),
        Command::Photos(args) => photos::run(args),
        Command::Check(args) => check::run(args),
        Command::Build(args) => build::run(args),
        Command::Explain(args) => explain::run(args),
        Command::Schema => describe::schema(),
        Command::Guide => describe::guide(),
        Command::Rulebook(args) => describe::rulebook(args),
    }
}

/// Says on one line that the program itself is at fault, and where.
fn own_fault(panic: &panic::PanicHookInfo<'_>) {
    let place = panic.location().map_or(String::new(), |l| format!(" at {}:{}", l.file(), l.line()));
    let what = panic.payload_as_str().unwrap_or("it did not say what");
    let words = format!("fallmark met a fault of its own{place} ({what}); no file was changed. Please report it");
    screen::tell(&harmless(&words));
}
