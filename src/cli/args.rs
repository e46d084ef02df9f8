//! What can be asked on the command line. No behaviour.

use chrono::NaiveDate;
use clap::{Args, Parser, Subcommand, ValueEnum};
use std::path::PathBuf;

const AFTER: &str = "Exit status:
  0  nothing that is due is open; a pack was written
  1  something that is due is not met or not shown; what was verified is altered or incomplete
  2  the record has faults, the command was not understood, or a file could not be read or written

Fallmark certifies nothing. The building-control body decides.";

/// Holds a job record of soil, waste and drain work against published guidance, and writes the inspector's pack.
#[derive(Debug, Parser)]
#[command(name = "fallmark", version, after_help = AFTER, max_term_width = 100, disable_help_subcommand = true)]
pub struct Arguments {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

/// What to do.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Make a folder with a first record to fill in
    New(New),
    /// Take new pictures into a record and its folder
    Photos(Photos),
    /// Tell the installer what is not met or not shown, and what is due now
    Check(Check),
    /// Write the pack that the inspector reads on site
    Build(Build),
    /// Keep the record, the original photos, packs and findings in one folder that can be proved whole
    Keep(Keep),
    /// Find out whether such a folder, or a pack as PDF, is as it was written
    Verify(Verify),
    /// Say what a rule asks, or what a word of the trade means
    Explain(Explain),
    /// Print the JSON Schema of a record, for an editor that checks while you type
    Schema,
    /// Print the field guide: every section and field of a record, each with an example
    Guide,
    /// List the guidance a job is held against: documents, editions, counts of values
    Rulebook(Rulebook),
}

/// `fallmark new`
#[derive(Debug, Args)]
pub struct New {
    /// The job's folder; made when it is not there
    #[arg(value_name = "DIR")]
    pub folder: PathBuf,
    /// The title on the first page of the pack
    #[arg(long)]
    pub title: Option<String>,
}

/// `fallmark photos`
#[derive(Debug, Args)]
pub struct Photos {
    /// The job record; pictures are copied beside it and entered under its `photos`
    pub record: PathBuf,
    /// The folder that the pictures are in, as they came from the phone or camera
    #[arg(value_name = "FOLDER")]
    pub folder: PathBuf,
    /// Say what would be done and do nothing
    #[arg(long)]
    pub dry_run: bool,
}

/// What names a job and what it is held against.
#[derive(Debug, Args)]
pub struct Job {
    /// The job record, a YAML file; its photos stand in the same folder
    pub record: PathBuf,
    /// Ask for what is due at this stage: a name under `stages` in the record, or one of: before start, before cover,
    /// after cover, at test, completion, handover [default: the stage the record asks for]
    #[arg(long, value_name = "NAME")]
    pub stage: Option<String>,
    /// Hold the job against this guidance instead of the one that the record names; `fallmark rulebook` lists them
    #[arg(long, value_name = "NAME")]
    pub rulebook: Option<String>,
    /// Lay a file of agreed changes over the guidance; may be given more than once, the last one on top
    #[arg(long, value_name = "FILE")]
    pub overlay: Vec<PathBuf>,
}

/// `fallmark check`
#[derive(Debug, Args)]
pub struct Check {
    /// The job.
    #[command(flatten)]
    pub job: Job,
    /// Print for people, or for another program
    #[arg(long, value_enum, default_value_t = Format::Text)]
    pub format: Format,
    /// List what is met too, each with its numbers
    #[arg(long)]
    pub all: bool,
}

/// How findings are printed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Format {
    /// For people.
    Text,
    /// For another program.
    Json,
}

/// `fallmark build`
#[derive(Debug, Args)]
pub struct Build {
    /// The job.
    #[command(flatten)]
    pub job: Job,
    /// Whom the pack is for
    #[arg(long, value_enum, default_value_t = PackName::Inspection)]
    pub pack: PackName,
    /// What to write, parted by commas
    #[arg(long = "as", value_enum, value_delimiter = ',', default_value = "pdf,html")]
    pub outputs: Vec<As>,
    /// The folder to write to; made when it is not there
    #[arg(long, value_name = "DIR", default_value = "out")]
    pub out: PathBuf,
    /// The date on the pack [default: the newest date in the record]
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = day)]
    pub date: Option<NaiveDate>,
    /// A folder with the firm's own templates and style; a file there stands in for the built-in one of its name
    #[arg(long, value_name = "DIR")]
    pub templates: Option<PathBuf>,
    /// Exit with 1, once the pack is written, when something that is due is open
    #[arg(long)]
    pub strict: bool,
}

/// Whom a pack is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum PackName {
    /// The inspector, on site.
    Inspection,
    /// The owner, at night, with a blocked drain.
    Handover,
    /// Whoever asks in ten years: everything, unrounded, with what it rests on.
    Archive,
}

/// What a pack is written as.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, ValueEnum)]
pub enum As {
    /// To print and to file: PDF/A-3a and PDF/UA-1, with the record inside.
    Pdf,
    /// To read on a phone: one file, no network.
    Html,
    /// To paste elsewhere: Markdown.
    Md,
    /// For another program: what `check --format json --all` prints.
    Json,
}

/// `fallmark keep`
#[derive(Debug, Args)]
pub struct Keep {
    /// The job.
    #[command(flatten)]
    pub job: Job,
    /// The folder to make: a bag after RFC 8493; nothing may stand there yet
    #[arg(long, value_name = "BAG")]
    pub out: PathBuf,
    /// The date on the packs and the bag [default: the newest date in the record]
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = day)]
    pub date: Option<NaiveDate>,
}

/// `fallmark verify`
#[derive(Debug, Args)]
pub struct Verify {
    /// A folder that `keep` wrote, or a pack as PDF
    #[arg(value_name = "BAG|PDF")]
    pub path: PathBuf,
}

/// `fallmark explain`
#[derive(Debug, Args)]
pub struct Explain {
    /// A rule's id, or a word such as fall, boss or terminal; without one, all are listed
    #[arg(num_args = 0.., value_name = "WORD")]
    pub word: Vec<String>,
}

/// `fallmark rulebook`
#[derive(Debug, Args)]
pub struct Rulebook {
    /// One rulebook by its name [default: all]
    pub name: Option<String>,
    /// List every clause, with what is done about it
    #[arg(long)]
    pub ledger: bool,
    /// Lay a file of agreed changes over the guidance, and list what it changes
    #[arg(long, value_name = "FILE")]
    pub overlay: Vec<PathBuf>,
}

fn day(words: &str) -> Result<NaiveDate, String> {
    NaiveDate::parse_from_str(words, "%Y-%m-%d").map_err(|_| "write it as 2026-03-25".to_owned())
}
