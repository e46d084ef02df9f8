//! How long a check takes by the size of the record, and whether that grows faster than the record: medians of whole
//! checks in this process, of a long row of houses. `cargo bench` prints a line for each size.

#![allow(clippy::unwrap_used, clippy::print_stdout, reason = "a bench stops at what it cannot read, and prints")]

#[path = "../estate/mod.rs"]
mod estate;

use fallmark::base::files::{FileError, Files, Reader};
use std::time::{Duration, Instant};

/// No photo is looked at.
struct NoFiles;

impl Files for NoFiles {
    fn open(&self, name: &str) -> Result<Reader, FileError> {
        Err(FileError::Missing(name.to_owned()))
    }

    fn size(&self, name: &str) -> Result<u64, FileError> {
        Err(FileError::Missing(name.to_owned()))
    }
}

fn main() {
    println!("{:>8} {:>10} {:>9} {:>9} {:>12}", "pipes", "bytes", "findings", "seconds", "us a pipe");
    for size in [1_250, 2_500, 5_000, 10_000] {
        let text = estate::big_record(size);
        let (mut times, mut pipes, mut findings) = (Vec::new(), 0, 0);
        for _ in 0..7 {
            let begin = Instant::now();
            let reading = fallmark::record::read("job.yaml", &text);
            let rulebook = fallmark::rulebook::load("england-2015").unwrap();
            let found = fallmark::examine(&reading.record, &rulebook, &NoFiles).findings;
            times.push(begin.elapsed());
            (pipes, findings) = (reading.record.pipes.len(), found.len());
            assert!(reading.faults.is_empty());
        }
        times.sort();
        let median: Duration = times[times.len() / 2];
        let each = median.as_secs_f64() * 1e6 / pipes as f64;
        println!("{pipes:>8} {:>10} {findings:>9} {:>9.3} {each:>12.1}", text.len(), median.as_secs_f64());
    }
}
