//! Keeping and verifying: bags that another program accepts, and bags and packs that tell when a byte was changed.

use crate::cli::{change, code, copy_of, err, fallmark, out};
use fallmark::render::Output;
use fallmark::render::pdf;
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

/// Every file below a folder, by its path from there.
fn tree(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let (mut all, mut open) = (BTreeMap::new(), vec![folder.to_owned()]);
    while let Some(path) = open.pop() {
        if path.is_dir() {
            open.extend(fs::read_dir(&path).unwrap().map(|e| e.unwrap().path()));
        } else {
            let name = path.strip_prefix(folder).unwrap().to_string_lossy().replace('\\', "/");
            all.insert(name, fs::read(&path).unwrap());
        }
    }
    all
}

fn kept(sample: &str, more: &[&str]) -> tempfile::TempDir {
    let folder = copy_of(sample);
    let output = fallmark(folder.path(), &[&["keep", "job.yaml", "--out", "bag"], more].concat());
    assert_eq!(code(&output), 0, "{}", err(&output));
    folder
}

fn verify(folder: &Path, what: &str) -> (i32, String) {
    let output = fallmark(folder, &["verify", what]);
    let said = out(&output) + &err(&output);
    assert!(!said.contains("panicked") && !said.contains("a fault of its own"), "{said}");
    (code(&output), said)
}

/// A byte in the middle of a file, changed.
fn flip(path: &Path) {
    let mut bytes = fs::read(path).unwrap();
    let middle = bytes.len() / 2;
    bytes[middle] ^= 1;
    fs::write(path, bytes).unwrap();
}

#[test]
fn the_library_of_congress_s_program_accepts_a_bag_and_finds_a_flipped_byte() {
    let folders = ["mill-house", "schoolroom-flats", "mill-house"].map(|sample| kept(sample, &[]));
    flip(&folders[2].path().join("bag/data/photos/IMG_2231.jpg"));
    let bags: Vec<PathBuf> = folders.iter().map(|f| f.path().join("bag")).collect();
    let python = std::env::var_os("FALLMARK_PYTHON")
        .map_or_else(|| crate::record::project("target/venv/bin/python"), PathBuf::from);
    let asked = Command::new(python).arg(crate::record::project("tests/records/bags.py")).args(&bags).output();
    let asked = asked.expect("Python is there: run `bash .ci/prepare`");
    assert!(asked.status.success(), "{}", err(&asked));
    let said: serde_json::Value = serde_json::from_slice(&asked.stdout).unwrap();
    assert!(said[0].is_null() && said[1].is_null(), "{said}");
    assert!(said[2].as_str().unwrap().contains("IMG_2231.jpg"), "{said}");
}

#[test]
fn a_bag_holds_the_job_whole_and_verifies() {
    let folder = kept("mill-house", &["--stage", "completion"]);
    let bag = tree(&folder.path().join("bag"));
    for (name, bytes) in tree(folder.path()).iter().filter(|(name, _)| name.ends_with(".jpg") && !name.contains('/')) {
        assert!(bag[&format!("data/photos/{name}")] == *bytes, "{name}");
    }
    assert!(bag["data/job.yaml"] == fs::read(folder.path().join("job.yaml")).unwrap());
    for name in ["packs/TH-2-inspection.pdf", "packs/TH-2-inspection.html", "rulebook/england-2015.yaml"] {
        assert!(bag.contains_key(&format!("data/{name}")), "{name}");
    }
    assert!(bag.contains_key("data/rulebook/ad-h-2015.limits.yaml"));
    let info = String::from_utf8(bag["bag-info.txt"].clone()).unwrap();
    let payload: Vec<usize> = bag.iter().filter(|(n, _)| n.starts_with("data/")).map(|(_, b)| b.len()).collect();
    let oxum = format!("Payload-Oxum: {}.{}", payload.iter().sum::<usize>(), payload.len());
    for line in ["Bagging-Date: 2026-03-", "Bag-Software-Agent: Fallmark ", "External-Identifier: TH-2", &oxum] {
        assert!(info.contains(line), "{line}: {info}");
    }
    let (ended, said) = verify(folder.path(), "bag");
    assert_eq!(ended, 0, "{said}");
    assert!(said.contains("Reckoned again: the ") && said.contains("findings are the same"), "{said}");
    let (ended, said) = verify(folder.path(), "bag/data/packs/TH-2-inspection.pdf");
    assert_eq!(ended, 0, "{said}");
    assert!(said.contains("findings stand in the pack"), "{said}");
}

#[test]
fn two_bags_of_the_same_inputs_are_the_same_bytes() {
    let (here, there) = (kept("mill-house", &[]), kept("mill-house", &[]));
    assert!(tree(&here.path().join("bag")) == tree(&there.path().join("bag")));
}

#[test]
fn a_bag_is_never_written_over_and_appears_whole_or_not_at_all() {
    let folder = copy_of("mill-house");
    let keep = |out: &str| fallmark(folder.path(), &["keep", "job.yaml", "--out", out]);
    fs::create_dir(folder.path().join("full")).unwrap();
    fs::write(folder.path().join("full/file"), "mine").unwrap();
    for place in ["full", "job.yaml", ".", "full/.."] {
        let output = keep(place);
        assert_eq!(code(&output), 2, "{place}: {}", out(&output));
    }
    assert_eq!(fs::read_to_string(folder.path().join("full/file")).unwrap(), "mine");
    let before = tree(folder.path());
    change(folder.path(), "seal: 50 mm", "seal: fifty");
    assert_eq!(code(&keep("bag")), 2);
    change(folder.path(), "seal: fifty", "seal: 50 mm");
    // A limit on the size of files stands in for the full disk; the signal that comes with it is not wanted.
    let script =
        format!("trap '' XFSZ; ulimit -f 40; exec '{}' keep job.yaml --out bag", env!("CARGO_BIN_EXE_fallmark"));
    let full = Command::new("bash").args(["-c", &script]).current_dir(folder.path()).output().unwrap();
    assert_eq!(code(&full), 2, "{}", err(&full));
    assert!(tree(folder.path()) == before, "nothing is left behind");
    fs::create_dir(folder.path().join("empty")).unwrap();
    assert_eq!(code(&keep("empty")), 0);
    assert_eq!(verify(folder.path(), "empty").0, 0);
}

#[test]
fn what_is_missing_added_or_altered_is_named() {
    let folder = kept("mill-house", &[]);
    let bag = folder.path().join("bag");
    fs::remove_file(bag.join("data/photos/IMG_2240.jpg")).unwrap();
    fs::write(bag.join("data/photos/IMG_9999.jpg"), "extra").unwrap();
    fs::write(bag.join("notes.txt"), "extra").unwrap();
    flip(&bag.join("data/findings.json"));
    let (ended, said) = verify(folder.path(), "bag");
    assert_eq!(ended, 1, "{said}");
    for words in [
        "`data/photos/IMG_2240.jpg` is missing",
        "`data/photos/IMG_9999.jpg` is extra",
        "`notes.txt` is extra",
        "`data/findings.json` is altered",
    ] {
        assert!(said.contains(words), "{words}: {said}");
    }
}

/// Writes the manifests of a bag anew, as somebody would who wants a change to go unseen.
fn forge(bag: &Path) {
    let digest = |bytes: &[u8]| fallmark::keep::manifest::digest(bytes);
    let mut digests = fallmark::keep::manifest::Digests::new();
    let files = tree(bag);
    digests.extend(files.iter().filter(|(n, _)| n.starts_with("data/")).map(|(n, b)| (n.clone(), digest(b))));
    let manifest = fallmark::keep::manifest::text(&digests);
    let mut tags = fallmark::keep::manifest::Digests::new();
    for name in ["bagit.txt", "bag-info.txt"] {
        tags.insert(name.to_owned(), digest(&files[name]));
    }
    tags.insert("manifest-sha512.txt".to_owned(), digest(manifest.as_bytes()));
    fs::write(bag.join("manifest-sha512.txt"), manifest).unwrap();
    fs::write(bag.join("tagmanifest-sha512.txt"), fallmark::keep::manifest::text(&tags)).unwrap();
}

#[test]
fn findings_that_do_not_follow_from_the_record_are_found_under_new_manifests_too() {
    let folder = kept("mill-house", &[]);
    let bag = folder.path().join("bag");
    forge(&bag);
    assert_eq!(verify(folder.path(), "bag").0, 0, "nothing was changed yet");
    let findings = fs::read_to_string(bag.join("data/findings.json")).unwrap();
    fs::write(bag.join("data/findings.json"), findings.replacen("\"met\"", "\"not\"", 1)).unwrap();
    forge(&bag);
    let (ended, said) = verify(folder.path(), "bag");
    assert_eq!(ended, 1, "{said}");
    assert!(said.contains("does not follow: ") && said.contains("is not in `findings.json`: "), "{said}");

    fs::write(bag.join("data/findings.json"), &findings).unwrap();
    let limits = bag.join("data/rulebook/ad-h-2015.limits.yaml");
    let text = fs::read_to_string(&limits).unwrap();
    fs::write(&limits, text.replacen("50 mm", "20 mm", 1)).unwrap();
    forge(&bag);
    assert!(verify(folder.path(), "bag").1.contains("is not the text that the findings rest on"));
    fs::write(&limits, text).unwrap();

    let older =
        fs::read_to_string(bag.join("bag-info.txt")).unwrap().replacen("Agent: Fallmark ", "Agent: Fallmark 9", 1);
    let oxum = older.lines().find(|l| l.starts_with("Payload-Oxum")).unwrap().to_owned();
    fs::write(bag.join("bag-info.txt"), older.replace(&oxum, "Note: none")).unwrap();
    forge(&bag);
    let (ended, said) = verify(folder.path(), "bag");
    assert_eq!(ended, 0, "{said}");
    assert!(said.contains("only compared by their digest"), "{said}");
}

#[cfg(unix)]
#[test]
fn names_that_lead_out_and_links_are_refused() {
    let folder = kept("mill-house", &[]);
    let bag = folder.path().join("bag");
    fs::remove_file(bag.join("data/photos/IMG_2240.jpg")).unwrap();
    std::os::unix::fs::symlink(folder.path().join("IMG_2240.jpg"), bag.join("data/photos/IMG_2240.jpg")).unwrap();
    let manifest = fs::read_to_string(bag.join("manifest-sha512.txt")).unwrap();
    let record = fallmark::keep::manifest::digest(&fs::read(folder.path().join("job.yaml")).unwrap());
    let away = format!("{manifest}{record}  ../job.yaml\n{record}  data/../../job.yaml\n{record}  /etc/hosts\n");
    fs::write(bag.join("manifest-sha512.txt"), away).unwrap();
    let (ended, said) = verify(folder.path(), "bag");
    assert_eq!(ended, 1, "{said}");
    for words in ["`data/photos/IMG_2240.jpg` is a link", "`../job.yaml`, which leads out", "`/etc/hosts`, which leads"]
    {
        assert!(said.contains(words), "{words}: {said}");
    }
}

#[test]
fn what_is_neither_a_bag_nor_a_pack_ends_with_two() {
    let folder = copy_of("mill-house");
    fs::create_dir(folder.path().join("empty")).unwrap();
    fs::write(folder.path().join("cut.pdf"), "%PDF-1.7\n").unwrap();
    for what in ["nowhere", "empty", ".", "IMG_2231.jpg", "job.yaml"] {
        let (ended, said) = verify(folder.path(), what);
        assert_eq!(ended, 2, "{what}: {said}");
    }
    assert_eq!(verify(folder.path(), "cut.pdf").0, 1);
}

/// Files of a bag held in memory, one of them with a changed byte.
struct Changed<'a> {
    files: &'a BTreeMap<String, Vec<u8>>,
    name: &'a str,
    bytes: &'a [u8],
}

impl fallmark::base::files::Files for Changed<'_> {
    fn open(&self, name: &str) -> Result<fallmark::base::files::Reader, fallmark::base::files::FileError> {
        let bytes = if name == self.name { self.bytes } else { &self.files[name] };
        Ok(Box::new(std::io::Cursor::new(bytes.to_vec())))
    }

    fn size(&self, name: &str) -> Result<u64, fallmark::base::files::FileError> {
        Ok(self.files[name].len() as u64)
    }
}

/// Every byte of the small files, and of the others as many as time allows: digests treat one like the other.
#[test]
fn a_flipped_byte_anywhere_in_a_bag_is_found() {
    let folder = kept("mill-house", &[]);
    let mut files = tree(&folder.path().join("bag"));
    // The large ones are cut, and the manifests made anew, so that thousands of flips take seconds.
    for bytes in files.values_mut().filter(|b| b.len() > 20_000) {
        bytes.truncate(20_000);
    }
    let small = tempfile::tempdir().unwrap();
    for (name, bytes) in &files {
        let path = small.path().join(name);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, bytes).unwrap();
    }
    let info = String::from_utf8(files["bag-info.txt"].clone()).unwrap();
    let kept: Vec<&str> = info.lines().filter(|l| !l.starts_with("Payload-Oxum")).collect();
    fs::write(small.path().join("bag-info.txt"), kept.join("\n") + "\n").unwrap();
    forge(small.path());
    let files = tree(small.path());
    let found: Vec<fallmark::keep::Found> = files
        .keys()
        .map(|path| fallmark::keep::Found { path: path.clone(), sort: fallmark::keep::Sort::File })
        .collect();
    let sound = |name: &str, bytes: &[u8]| {
        let checked = fallmark::keep::check(&found, &Changed { files: &files, name, bytes });
        checked.is_some_and(|c| c.problems.is_empty())
    };
    assert!(sound("", &[]), "nothing was changed yet");
    let mut flips = 0;
    for (name, bytes) in &files {
        let step = if name.starts_with("data/") { 9_973 } else { 29 };
        for at in (0..bytes.len()).step_by(step) {
            for bit in [0x01, 0x20] {
                let mut changed = bytes.clone();
                changed[at] ^= bit;
                assert!(!sound(name, &changed), "{name}, byte {at}, bit {bit:#x}");
                flips += 1;
            }
        }
    }
    assert!(flips > 100, "{flips}");
}

#[test]
fn a_flipped_byte_of_a_real_bag_ends_with_one_or_two() {
    let folder = kept("mill-house", &[]);
    let bag = folder.path().join("bag");
    for (name, bytes) in tree(&bag) {
        let mut changed = bytes.clone();
        let at = 997 % changed.len();
        changed[at] ^= 0x20;
        fs::write(bag.join(&name), &changed).unwrap();
        let (ended, said) = verify(folder.path(), "bag");
        assert!(matches!(ended, 1 | 2), "{name}: {said}");
        assert!(said.contains(&name), "{name}: {said}");
        fs::write(bag.join(&name), bytes).unwrap();
    }
    assert_eq!(verify(folder.path(), "bag").0, 0);
}

#[test]
fn a_flipped_byte_anywhere_in_a_pack_is_found() {
    use fallmark::pack::{Originals, archive};
    let (name, text) = ("mill-house", crate::network::sample("mill-house"));
    let packs = [
        crate::pack::written(name, Output::Pdf),
        crate::handover::written(name, &text, Output::Pdf),
        crate::pack::assembled(name, &text, |job, choice| archive(job, choice, &Originals::new()), Output::Pdf),
    ];
    for bytes in packs {
        let opened = pdf::open(&bytes).unwrap();
        assert_eq!(opened.record, text.as_bytes());
        assert_eq!(opened.creator, "Fallmark test");
        let end = bytes.len() - 1_200;
        for at in (0..end).step_by(1_999).chain((end..bytes.len()).step_by(3)) {
            for bit in [0x01, 0x20] {
                let mut changed = bytes.clone();
                changed[at] ^= bit;
                assert!(pdf::open(&changed).is_err(), "byte {at} of {}", bytes.len());
            }
        }
        assert!(pdf::open(&bytes[..bytes.len() - 1]).is_err());
        assert!(pdf::open(&[&bytes[..], b"\n"].concat()).is_err());
    }
}

#[test]
fn a_lone_pack_of_each_kind_verifies_and_tells_a_flipped_byte() {
    let folder = copy_of("mill-house");
    for (kind, said_of_findings) in [
        ("inspection", "findings stand in the pack"),
        ("archive", "findings stand in the pack"),
        ("handover", "It is no pack that lists findings"),
    ] {
        let output = fallmark(folder.path(), &["build", "job.yaml", "--pack", kind, "--as", "pdf", "--out", "out"]);
        assert_eq!(code(&output), 0, "{}", err(&output));
        let name = format!("out/TH-2-{kind}.pdf");
        let (ended, said) = verify(folder.path(), &name);
        assert!(ended == 0 && said.contains(said_of_findings) && said.contains("Sound: every byte"), "{kind}: {said}");
        flip(&folder.path().join(&name));
        let (ended, said) = verify(folder.path(), &name);
        assert!(ended == 1 && said.contains("Altered"), "{kind}: {ended} {said}");
    }
}

const STRICTER: &str = "overlay: The builder's own seals
standing: custom
changes:
- {key: trap.seal.minimum, cell: appliance=wc, was: 50 mm, is: 60 mm, asked-by: the builder, date: 2026-01-10, evidence: letter 4}
";

#[test]
fn an_overlay_is_in_the_bag_and_reckoned_with_again() {
    let folder = copy_of("mill-house");
    fs::write(folder.path().join("seals.yaml"), STRICTER).unwrap();
    let output = fallmark(folder.path(), &["keep", "job.yaml", "--overlay", "seals.yaml", "--out", "bag"]);
    assert_eq!(code(&output), 0, "{}", err(&output));
    let bag = folder.path().join("bag");
    let kept = bag.join("data/rulebook/overlays/001-seals.yaml");
    assert_eq!(fs::read_to_string(&kept).unwrap(), STRICTER);
    assert!(fs::read_to_string(bag.join("data/findings.json")).unwrap().contains("60\u{a0}mm"), "its limit decides");
    let (ended, said) = verify(folder.path(), "bag");
    assert!(ended == 0 && said.contains("findings are the same"), "{said}");
    let (ended, said) = verify(folder.path(), "bag/data/packs/TH-2-inspection.pdf");
    assert!(ended == 0 && said.contains("made by other guidance, or an overlay"), "{said}");

    // Another overlay, or none, under manifests that were made anew.
    fs::write(&kept, STRICTER.replace("60 mm", "55 mm")).unwrap();
    forge(&bag);
    let (ended, said) = verify(folder.path(), "bag");
    assert!(ended == 1 && said.contains("the overlays in the bag are not those"), "{said}");
    fs::remove_file(&kept).unwrap();
    forge(&bag);
    assert_eq!(verify(folder.path(), "bag").0, 1);
    fs::write(&kept, STRICTER).unwrap();
    forge(&bag);
    assert_eq!(verify(folder.path(), "bag").0, 0);
}

#[test]
fn files_of_documents_are_in_the_bag() {
    let folder = copy_of("mill-house");
    fs::create_dir(folder.path().join("papers")).unwrap();
    fs::write(folder.path().join("papers/collar.pdf"), "a collar's classification").unwrap();
    change(folder.path(), "C1: {what: collar", "C1: {file: papers/collar.pdf, what: collar");
    change(folder.path(), "C2: {what: mastic", "C2: {file: lost.pdf, what: mastic");
    let output = fallmark(folder.path(), &["keep", "job.yaml", "--out", "bag"]);
    assert_eq!(code(&output), 0, "{}", err(&output));
    assert!(err(&output).contains("document C2: there is no file `lost.pdf`"), "{}", err(&output));
    assert!(out(&output).contains("documents name are in it too: 1."), "{}", out(&output));
    let kept = folder.path().join("bag/data/documents/papers/collar.pdf");
    assert_eq!(fs::read_to_string(&kept).unwrap(), "a collar's classification");
    assert_eq!(verify(folder.path(), "bag").0, 0);
    flip(&kept);
    let (ended, said) = verify(folder.path(), "bag");
    assert!(ended == 1 && said.contains("`data/documents/papers/collar.pdf` is altered"), "{said}");
}

#[cfg(unix)]
#[test]
fn what_a_killed_run_leaves_is_taken_away_by_the_next() {
    let folder = copy_of("mill-house");
    let aside = || {
        let names = fs::read_dir(folder.path()).unwrap().map(|e| e.unwrap().file_name().into_string().unwrap());
        names.filter(|n| n.starts_with(".fallmark-bag-")).count()
    };
    let mut child = Command::new(env!("CARGO_BIN_EXE_fallmark"))
        .args(["keep", "job.yaml", "--out", "bag"])
        .current_dir(folder.path())
        .stdout(std::process::Stdio::null())
        .stderr(std::process::Stdio::null())
        .spawn()
        .unwrap();
    while aside() == 0 && child.try_wait().unwrap().is_none() {
        std::thread::sleep(std::time::Duration::from_millis(1));
    }
    child.kill().unwrap();
    child.wait().unwrap();
    assert_eq!(aside(), 1, "it was killed in the middle");
    let output = fallmark(folder.path(), &["keep", "job.yaml", "--out", "bag"]);
    assert_eq!(code(&output), 0, "{}", err(&output));
    assert!(err(&output).contains("was left by a run that was cut short"), "{}", err(&output));
    assert_eq!(aside(), 0);
}

#[test]
fn the_archive_packs_of_the_samples_are_archival_accessible_and_unrounded() {
    use page_validation::{ValidationOptions, ValidationProfile, validate_pdf_bytes};
    for (sample, id) in [("mill-house", "TH-2"), ("schoolroom-flats", "")] {
        let folder = copy_of(sample);
        let args = ["build", "job.yaml", "--pack", "archive", "--as", "pdf,md", "--out", "out"];
        let output = fallmark(folder.path(), &args);
        assert_eq!(code(&output), 0, "{}", err(&output));
        let files = tree(&folder.path().join("out"));
        let ending = |end: &str| files.iter().find(|(n, _)| n.starts_with(id) && n.ends_with(end)).unwrap().1;
        for profile in [ValidationProfile::PdfA3a, ValidationProfile::PdfUa1] {
            let report =
                validate_pdf_bytes(ending("-archive.pdf"), &ValidationOptions::default().profile(profile)).unwrap();
            assert!(report.is_compliant, "{sample}: {:?}", report.failures);
        }
        let text = String::from_utf8(ending("-archive.md").clone()).unwrap();
        let reading = fallmark::record::read_bytes("job.yaml", &fs::read(folder.path().join("job.yaml")).unwrap());
        assert!(reading.record.photos.iter().all(|p| text.contains(&p.body.file.get().unwrap().0.replace('_', "\\_"))
            || text.contains(&p.body.file.get().unwrap().0)));
        if sample == "mill-house" {
            assert!(text.contains("98.881250") || text.contains("98.881000"), "the invert of D2, to the micrometre");
            // A gradient that was recorded stands as it was given, and one that was levelled as fall over run.
            assert!(text.contains("1 in 38") && text.contains("22 mm/m") && text.contains("0.145000 over 11.600000"));
            assert!(!text.contains("over 0.000") && text.contains("up to 1.1 m"), "{text}");
            assert!(text.contains("not met, replaced by T3"));
        }
    }
}
