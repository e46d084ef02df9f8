//! The samples' files, and the findings of each.

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

/// The findings of a record, with the photos of a sample beside it.
pub(crate) fn findings(name: &'static str, text: &str) -> Vec<Finding> {
    let reading = fallmark::record::read("job.yaml", text);
    let rulebook = fallmark::rulebook::load("england-2015").unwrap();
    fallmark::examine(&reading.record, &rulebook, &SampleFiles(name)).findings
}

#[test]
fn every_finding_of_a_sample_rests_on_a_clause_or_says_that_it_advises() {
    use fallmark::base::finding::Weight;
    for name in ["mill-house", "schoolroom-flats"] {
        let all = findings(name, &crate::network::sample(name));
        assert!(all.len() > 20, "{name}");
        for f in all {
            let citation = f.citation.as_ref().map(|c| c.short()).unwrap_or_default();
            assert!(!citation.is_empty(), "{name}: {} on {}", f.rule.0, f.item);
            assert_eq!(f.weight == Weight::Advice, citation.starts_with("Custom"), "{name}: {}", f.rule.0);
        }
    }
}
