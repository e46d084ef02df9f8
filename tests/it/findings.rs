//! Findings of the samples, one by one, against what the record's notes say must come back.

use crate::network::sample;
use fallmark::base::files::FileError;
use fallmark::base::files::Files;
use fallmark::base::files::Reader;
use fallmark::base::finding::Finding;

/// The files of a sample folder.
pub(crate) struct SampleFiles(pub(crate) &'static str);

impl Files for SampleFiles {
    fn open(&self, name: &str) -> Result<Reader, FileError> {
        let path = format!("{}/samples/{}/{name}", env!("CARGO_MANIFEST_DIR"), self.0);
        let file = std::fs::File::open(path).map_err(|_| FileError::Missing(name.to_owned()))?;
        Ok(Box::new(file))
    }

    fn size(&self, name: &str) -> Result<u64, FileError> {
        let path = format!("{}/samples/{}/{name}", env!("CARGO_MANIFEST_DIR"), self.0);
        std::fs::metadata(path).map(|m| m.len()).map_err(|_| FileError::Missing(name.to_owned()))
    }
}

pub(crate) fn findings(name: &'static str, text: &str) -> Vec<Finding> {
    let reading = fallmark::record::read("job.yaml", text);
    let rulebook = fallmark::rulebook::load("england-2015").unwrap();
    fallmark::examine(&reading.record, &rulebook, &SampleFiles(name)).findings
}

#[test]
fn show() {
    for name in ["mill-house", "schoolroom-flats"] {
        for f in findings(name, &sample(name)) {
            eprintln!(
                "{:32} {:8} {:22} | {} | {} | {} | {}",
                f.rule.0,
                f.item,
                f.words(),
                f.measured,
                f.limit,
                f.text,
                f.citation.map_or(String::new(), |c| c.short())
            );
        }
    }
}
