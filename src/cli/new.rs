//! `fallmark new`.

use crate::base::text::harmless;
use crate::cli::Ended;
use crate::cli::args;
use crate::cli::arrivals;
use crate::cli::screen::Screen;
use crate::cli::sink::file_stem;
use crate::cli::trouble::Trouble;
use crate::record::start;
use crate::rulebook;
use chrono::Local;
use std::fs;
use std::io::Write as _;
use std::path::Path;

/// What a job's record is called.
const RECORD: &str = "job.yaml";

/// Makes a folder with a first record.
///
/// # Errors
/// When there is a record already, or the folder or the record cannot be written; nothing is ever written over.
pub fn run(args: &args::New) -> Result<Ended, Trouble> {
    let path = args.folder.join(RECORD);
    if fs::symlink_metadata(&path).is_ok() {
        let path = path.display();
        return Err(Trouble::Told(format!("`{path}` is there already, and a record is never written over")));
    }
    let unmade = |source| Trouble::Write { path: args.folder.clone(), source };
    fs::create_dir_all(&args.folder).map_err(unmade)?;
    let whole = args.folder.canonicalize().map_err(unmade)?;
    let id = file_stem(&whole.file_name().map_or(String::new(), |name| name.to_string_lossy().into_owned()));
    let rulebook = rulebook::names().first().copied().unwrap_or_default();
    let text = start::record(&id, args.title.as_deref(), rulebook);
    arrivals::put_new(&args.folder, RECORD, text.as_bytes())?;
    let mut out = Screen::stdout();
    let record = shown(&path);
    let pack = shown(&args.folder.join("out"));
    // Nothing in the record has a day yet, and a pack bears one.
    let today = Local::now().date_naive();
    writeln!(out, "{record}")?;
    writeln!(out)?;
    writeln!(out, "Open it in any text editor and put in what you know. Then:")?;
    writeln!(out, "  fallmark check {record}")?;
    writeln!(out, "  fallmark photos {record} FOLDER-WITH-PICTURES")?;
    writeln!(out, "  fallmark build {record} --out {pack} --date {today}")?;
    out.flush()?;
    Ok(Ended::Clear)
}

/// A path as one would type it.
fn shown(path: &Path) -> String {
    let words = harmless(&path.display().to_string());
    let plain = |c: char| c.is_alphanumeric() || matches!(c, '/' | '\\' | '.' | '-' | '_' | ':' | '~');
    if words.chars().all(plain) { words } else { format!("\"{words}\"") }
}
