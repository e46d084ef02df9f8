//! The terminal: output that outlives its reader, colour where it is wanted, and progress on long work.

use crate::base::text::harmless;
use std::io::{self, BufWriter, IsTerminal as _, Write};
use std::time::{Duration, Instant};

/// Standard output. Once its reader has gone, as `head` does, what follows is thrown away without a word.
pub struct Screen {
    out: BufWriter<io::Stdout>,
    gone: bool,
}

impl Screen {
    /// Standard output.
    pub fn stdout() -> Self {
        Self { out: BufWriter::with_capacity(1 << 16, io::stdout()), gone: false }
    }

    /// Takes a write as done when there is nobody left to read it.
    fn heed<T>(&mut self, result: io::Result<T>, instead: T) -> io::Result<T> {
        match result {
            Err(error) if error.kind() == io::ErrorKind::BrokenPipe => {
                self.gone = true;
                Ok(instead)
            }
            other => other,
        }
    }
}

impl Write for Screen {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        if self.gone {
            return Ok(bytes.len());
        }
        let written = self.out.write(bytes);
        self.heed(written, bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        if self.gone {
            return Ok(());
        }
        let flushed = self.out.flush();
        self.heed(flushed, ())
    }
}

/// Writes one line to standard error. That it cannot be written is no reason to stop.
pub fn tell(line: &str) {
    let _ = writeln!(io::stderr().lock(), "{line}");
}

/// Whether colour is wanted on standard output: a terminal that knows it, and nobody has said `NO_COLOR`.
pub fn colour_on_stdout() -> bool {
    io::stdout().is_terminal() && colour_allowed()
}

/// As [`colour_on_stdout`], for standard error.
pub fn colour_on_stderr() -> bool {
    io::stderr().is_terminal() && colour_allowed()
}

fn colour_allowed() -> bool {
    let set = |name: &str| std::env::var_os(name).is_some_and(|v| !v.is_empty());
    !set("NO_COLOR") && std::env::var_os("TERM").is_none_or(|t| t != "dumb")
}

/// Colours and weights, or none.
#[derive(Clone, Copy, Debug)]
pub struct Paint(pub bool);

impl Paint {
    /// Bold, for a verdict or a head.
    pub fn bold(self, words: &str) -> String {
        self.with("1", words)
    }

    /// Bold red, for what is not met. The words say it too.
    pub fn bad(self, words: &str) -> String {
        self.with("1;31", words)
    }

    /// Bold yellow, for what is not shown. The words say it too.
    pub fn open(self, words: &str) -> String {
        self.with("1;33", words)
    }

    /// Dim, for helping words.
    pub fn soft(self, words: &str) -> String {
        self.with("2", words)
    }

    fn with(self, code: &str, words: &str) -> String {
        if self.0 { format!("\u{1b}[{code}m{words}\u{1b}[0m") } else { words.to_owned() }
    }
}

/// Progress of long work, on standard error when that is a terminal, from the second second on.
pub struct Progress {
    started: Instant,
    wanted: bool,
    shown: bool,
}

impl Progress {
    /// Starts the watch.
    pub fn start() -> Self {
        Self { started: Instant::now(), wanted: io::stderr().is_terminal(), shown: false }
    }

    /// Says what is being done now.
    pub fn step(&mut self, words: &str) {
        if self.wanted && self.started.elapsed() > Duration::from_secs(1) {
            self.shown = true;
            let _ = write!(io::stderr().lock(), "\r\u{1b}[2K{}\u{2026}", harmless(words));
        }
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        if self.shown {
            let _ = write!(io::stderr().lock(), "\r\u{1b}[2K");
        }
    }
}
