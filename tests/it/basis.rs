//! One job under two bases: what the standard asks in place of the guidance, named on every page, and never both.

use crate::cli::{code, copy_of, err, fallmark, out};
use serde_json::Value;
use std::collections::BTreeMap;
use std::path::Path;

const OTHER: &str = "en-12056-system-3";

/// A finding: verdict, limit, clause.
type Told = (String, String, String);

fn told(folder: &Path, rulebook: &str) -> BTreeMap<(String, String), Told> {
    let output = fallmark(folder, &["check", "job.yaml", "--all", "--format", "json", "--rulebook", rulebook]);
    let value: Value = serde_json::from_slice(&output.stdout).unwrap_or_else(|_| panic!("{}", err(&output)));
    assert_eq!(value["rulebook"]["id"], rulebook);
    let text = |v: &Value| v.as_str().unwrap_or_default().replace('\u{a0}', " ");
    let all = value["findings"].as_array().unwrap().iter();
    all.map(|f| ((text(&f["rule"]), text(&f["item"])), (text(&f["verdict"]), text(&f["limit"]), text(&f["clause"]))))
        .collect()
}

/// Limits as recalled of BS EN 12056-2 Tables 6 and 11, beside those of AD H Tables 1 and 3 and Diagram 3.
#[test]
fn the_standard_s_limits_stand_in_place_of_the_guidance_s() {
    let folder = copy_of("bungalow-refit");
    let (first, second) = (told(folder.path(), "england-2015"), told(folder.path(), OTHER));
    let at = |all: &BTreeMap<_, Told>, rule: &str, item: &str| {
        let told = all.get(&(rule.to_owned(), item.to_owned())).cloned();
        told.map_or_else(|| "nothing".to_owned(), |(verdict, limit, clause)| format!("{verdict}; {limit}; {clause}"))
    };
    for (rule, item, guidance, standard) in [
        ("trap-seal", "SK2", "not shown; 75 mm; AD H Table 1", "not met; 75 mm; BS EN 12056-2 Table 6"),
        ("branch-slope", "B11", "met; 18 to 90 mm/m; AD H Diagram 3", "met; 18 to 44 mm/m; BS EN 12056-2 Table 6"),
        ("branch-slope", "B1", "not met; 18 to 90 mm/m; AD H Table 2", "not met; 18 mm/m; BS EN 12056-2 Table 6"),
        ("branch-length", "B2", "not met; 3 m; AD H Diagram 3", "nothing"),
        ("stack-size", "S2", "met; 50 mm; AD H 1.28, Table 3", "not met; 65 mm; BS EN 12056-2 Table 11"),
        ("ventilating-pipe-size", "V3", "met; 75 mm; AD H 1.32", "met; 100 mm; BS EN 12056-2 6.5"),
        ("stack-capacity-by-dwellings", "S1", "not met; 3.4 l/s; AD H 1.29, Table 3", "not applicable; ; "),
    ] {
        assert_eq!(at(&first, rule, item), guidance, "{rule} {item}");
        assert_eq!(at(&second, rule, item), standard, "{rule} {item} by the standard");
    }
    // Below ground both go by the same guidance.
    let ground = |all: &BTreeMap<(String, String), Told>| {
        let own = |rule: &str| rule.starts_with("drain-") || rule.starts_with("access-") || rule == "rod-reach";
        all.iter().filter(|((rule, _), _)| own(rule)).map(|(k, v)| (k.clone(), v.clone())).collect::<Vec<_>>()
    };
    assert!(ground(&first).len() > 20);
    assert_eq!(ground(&first), ground(&second));
}

#[test]
fn a_pack_names_its_basis_on_every_page_and_verifies_by_it() {
    let folder = copy_of("schoolroom-flats");
    for rulebook in ["england-2015", OTHER] {
        let args = ["build", "job.yaml", "--rulebook", rulebook, "--as", "pdf", "--out", rulebook];
        assert_eq!(code(&fallmark(folder.path(), &args)), 0);
        let pdf = folder.path().join(rulebook).join("FM-1-inspection.pdf");
        let text = std::process::Command::new("pdftotext").arg(&pdf).arg("-").output();
        let text = String::from_utf8(text.expect("pdftotext is there: run `bash .ci/prepare`").stdout).unwrap();
        let pages = text.split('\u{c}').filter(|page| !page.trim().is_empty()).collect::<Vec<_>>();
        assert!(pages.len() > 5 && pages.iter().all(|page| page.contains(rulebook)), "{rulebook}");
        let verified = fallmark(folder.path(), &["verify", pdf.to_str().unwrap()]);
        assert_eq!(code(&verified), 0, "{}", out(&verified));
        assert!(out(&verified).contains("findings stand in the pack"), "{}", out(&verified));
    }
    let keep = ["keep", "job.yaml", "--rulebook", OTHER, "--out", "bag"];
    assert_eq!(code(&fallmark(folder.path(), &keep)), 0);
    assert!(folder.path().join("bag/data/rulebook/en-12056-system-3.yaml").is_file());
    let verified = fallmark(folder.path(), &["verify", "bag"]);
    assert_eq!(code(&verified), 0, "{}{}", out(&verified), err(&verified));
}

#[test]
fn a_rulebook_that_is_not_there_is_told_with_those_that_are() {
    let folder = copy_of("schoolroom-flats");
    let output = fallmark(folder.path(), &["check", "job.yaml", "--rulebook", "atlantis"]);
    assert_eq!(code(&output), 2);
    assert!(err(&output).contains("atlantis") && err(&output).contains(OTHER), "{}", err(&output));
}
