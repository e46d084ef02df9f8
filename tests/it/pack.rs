//! Whole packs of the samples, in every output.

use crate::findings::SampleFiles;
use crate::network::sample;
use fallmark::base::finding::Moment;
use fallmark::pack;
use fallmark::render;
use fallmark::render::Output;

/// Photos of a sample, as the command line would hand them over.
struct SamplePictures(SampleFiles);

impl render::Pictures for SamplePictures {
    fn picture(&self, file: &str) -> Result<render::Picture, String> {
        let p = fallmark::photo::picture(&self.0, file, 1200).map_err(|e| e.to_string())?;
        Ok(render::Picture { jpeg: p.jpeg, width: p.width, height: p.height, grey: p.grey })
    }
}

/// Writes a sample's inspection pack in one output.
pub(crate) fn written(name: &'static str, output: Output) -> Vec<u8> {
    let text = sample(name);
    let reading = fallmark::record::read("job.yaml", &text);
    let rulebook = fallmark::rulebook::load("england-2015").unwrap();
    let prose = fallmark::rulebook::prose("england-2015").unwrap();
    let job = fallmark::examine(&reading.record, &rulebook, &SampleFiles(name));
    let moment = fallmark::readiness::moment(&reading.record, None).unwrap_or(Moment::Handover);
    let date = reading.record.newest_date().unwrap();
    let choice =
        pack::Choice { date, moment, record_digest: "0123456789abcdef".into(), source: &reading.source, prose: &prose };
    let pack = pack::inspection(&job, &choice);
    let job = render::Job {
        context: pack.context.clone(),
        parts: &pack.parts,
        template: pack.template,
        templates: &[],
        meta: render::Meta {
            title: pack.title.clone(),
            running_left: pack.running_left.clone(),
            running_right: pack.running_right.clone(),
            foot_left: pack.foot_left.clone(),
            lang: "en-GB".into(),
            date: pack.date,
            creator: "Fallmark test".into(),
        },
        record: render::Attachment {
            name: "job.yaml",
            media_type: "application/yaml",
            bytes: text.as_bytes(),
            description: "The job record",
        },
        photos: &SamplePictures(SampleFiles(name)),
    };
    let document = render::document(&job).unwrap();
    assert!(document.warnings.is_empty(), "{:?}", document.warnings);
    let mut out = Vec::new();
    render::write(&document, &job, output, &mut out).unwrap();
    out
}

#[test]
fn the_packs_of_the_samples_are_archival_and_accessible() {
    use page_validation::ValidationOptions;
    use page_validation::ValidationProfile;
    for name in ["mill-house", "schoolroom-flats"] {
        let bytes = written(name, Output::Pdf);
        if let Ok(dir) = std::env::var("FALLMARK_LOOK") {
            std::fs::write(format!("{dir}/{name}.pdf"), &bytes).unwrap();
            std::fs::write(format!("{dir}/{name}.html"), written(name, Output::Html)).unwrap();
            std::fs::write(format!("{dir}/{name}.md"), written(name, Output::Markdown)).unwrap();
        }
        for profile in [ValidationProfile::PdfA3a, ValidationProfile::PdfUa1] {
            let report =
                page_validation::validate_pdf_bytes(&bytes, &ValidationOptions::default().profile(profile)).unwrap();
            assert!(report.is_compliant, "{name}: {:?}", report.failures);
        }
    }
}
