//! Whole packs of the samples, in every output.

use crate::findings::SampleFiles;
use crate::network::sample;
use fallmark::base::finding::Moment;
use fallmark::pack;
use fallmark::render;
use fallmark::render::Output;

/// Photos of a sample, as the command line would hand them over.
pub(crate) struct SamplePictures(pub(crate) SampleFiles);

impl render::Pictures for SamplePictures {
    fn picture(&self, file: &str) -> Result<render::Picture, String> {
        let p = fallmark::photo::picture(&self.0, file, 1200).map_err(|e| e.to_string())?;
        Ok(render::Picture { jpeg: p.jpeg, width: p.width, height: p.height, grey: p.grey })
    }
}

/// Writes a sample's inspection pack in one output.
pub(crate) fn written(name: &'static str, output: Output) -> Vec<u8> {
    assembled(name, &sample(name), pack::inspection, output)
}

/// Writes a pack of a record, whose photos are those of a sample, in one output.
pub(crate) fn assembled(
    name: &'static str,
    text: &str,
    kind: impl Fn(&fallmark::Examined<'_>, &pack::Choice<'_>) -> pack::Pack,
    output: Output,
) -> Vec<u8> {
    let reading = fallmark::record::read("job.yaml", text);
    assert!(reading.faults.is_empty(), "{:?}", reading.faults);
    let rulebook = fallmark::rulebook::load("england-2015").unwrap();
    let prose = fallmark::rulebook::prose("england-2015").unwrap();
    let job = fallmark::examine(&reading.record, &rulebook, &SampleFiles(name));
    let moment = fallmark::readiness::moment(&reading.record, None).unwrap_or(Moment::Handover);
    let date = reading.record.newest_date().unwrap_or_else(|| chrono::NaiveDate::from_ymd_opt(2026, 1, 1).unwrap());
    let choice =
        pack::Choice { date, moment, record_digest: "0123456789abcdef".into(), source: &reading.source, prose: &prose };
    let pack = kind(&job, &choice);
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
    for name in crate::network::SAMPLES {
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

/// The text of a PDF in the order of its content, as poppler reads it, with nothing on its error channel.
pub(crate) fn pdf_text(bytes: &[u8]) -> String {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("pack.pdf");
    std::fs::write(&path, bytes).unwrap();
    let out = std::process::Command::new("pdftotext").args(["-raw", "-enc", "UTF-8"]).arg(&path).arg("-").output();
    let out = out.expect("pdftotext is there: run `bash .ci/prepare`");
    assert!(out.stderr.is_empty(), "{}", String::from_utf8_lossy(&out.stderr));
    String::from_utf8(out.stdout).unwrap()
}

/// Without white space and marks of Markdown or HTML, so that broken lines and spacing do not matter.
pub(crate) fn squeezed(text: &str) -> String {
    let plain: String = text.chars().filter(|c| !c.is_whitespace() && !matches!(c, '\\' | '*' | '`')).collect();
    plain.replace("&nbsp;", "").replace("&#39;", "'").replace("&amp;", "&")
}

/// HTML without its tags.
pub(crate) fn without_tags(html: &str) -> String {
    let body = &html[html.find("<main").unwrap_or(0)..];
    let mut out = String::new();
    let mut inside = false;
    for c in body.chars() {
        match c {
            '<' => {
                inside = true;
                out.push(' ');
            }
            '>' => inside = false,
            c if !inside => out.push(c),
            _ => {}
        }
    }
    out
}

#[test]
fn every_id_of_the_record_is_in_every_output() {
    for name in crate::network::SAMPLES {
        let text = sample(name);
        let reading = fallmark::record::read("job.yaml", &text);
        let mut ids: Vec<String> = Vec::new();
        reading.record.each_id(|id, _, _| ids.push(id.to_owned()));
        for pipe in &reading.record.pipes {
            ids.extend(pipe.body.access.get().into_iter().flat_map(|m| &m.0).map(|(k, _)| k.value.clone()));
            ids.extend(pipe.body.spare.get().into_iter().flat_map(|m| &m.0).map(|(k, _)| k.value.clone()));
        }
        assert!(ids.len() > 50, "{name}: {}", ids.len());
        let pdf = pdf_text(&written(name, Output::Pdf));
        let html = without_tags(&String::from_utf8(written(name, Output::Html)).unwrap());
        let markdown = String::from_utf8(written(name, Output::Markdown)).unwrap();
        for (output, text) in [("pdf", pdf), ("html", html), ("md", markdown)] {
            let words: std::collections::BTreeSet<&str> =
                text.split(|c: char| !(c.is_alphanumeric() || c == '-' || c == '_')).collect();
            let lost: Vec<&String> = ids.iter().filter(|id| !words.contains(id.as_str())).collect();
            assert!(lost.is_empty(), "{name}, {output}: {lost:?}");
        }
    }
}

#[test]
fn every_output_gives_each_finding_with_its_number_and_verdict() {
    for name in crate::network::SAMPLES {
        let findings = crate::findings::findings(name, &sample(name));
        let pdf = squeezed(&pdf_text(&written(name, Output::Pdf)));
        let html = squeezed(&without_tags(&String::from_utf8(written(name, Output::Html)).unwrap()));
        let markdown = squeezed(&String::from_utf8(written(name, Output::Markdown)).unwrap());
        let mut seen = 0;
        for f in findings.iter().filter(|f| f.verdict != fallmark::base::finding::Verdict::NotApplicable) {
            let number =
                if f.measured.is_empty() { f.remedy.as_ref().unwrap().text.clone() } else { f.measured.clone() };
            for (output, text) in [("pdf", &pdf), ("html", &html), ("md", &markdown)] {
                assert!(text.contains(&squeezed(&number)), "{name}, {output}: {} on {}: {number}", f.rule.0, f.item);
                assert!(text.contains(&squeezed(f.verdict.word())), "{name}, {output}: {}", f.verdict.word());
            }
            seen += 1;
        }
        assert!(seen > 20, "{name}");
    }
}

#[test]
fn a_first_page_that_runs_over_breaks_before_the_tests() {
    let pages = |name: &'static str| -> Vec<String> {
        let pdf = assembled(name, &sample(name), fallmark::pack::inspection, Output::Pdf);
        pdf_text(&pdf).split('\u{c}').map(str::to_owned).collect()
    };
    let mill = pages("mill-house");
    let first = |page: &str| page.lines().any(|l| l.starts_with("Tests"));
    assert!(!first(&mill[0]) && first(&mill[1]), "{}\n{}", mill[0], mill[1]);
    assert!(mill[1].contains("This is not"), "{}", mill[1]);
    // What fits on one page stays on one.
    let school = pages("schoolroom-flats");
    assert!(first(&school[0]) && school[0].contains("This is not"), "{}", school[0]);
}
