//! HTML packs before independent eyes: the Nu checker, and axe in Chromium, narrow and wide, light and dark.

use fallmark::render::Output;
use std::path::PathBuf;
use std::process::Command;

/// Where `.ci/prepare` puts Node packages.
fn packages() -> PathBuf {
    let dir = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("target/node");
    assert!(dir.join("node_modules").is_dir(), "no Node packages under target/node: run `bash .ci/prepare`");
    dir
}

/// Writes the packs of the samples into a folder of their own.
fn pages(dir: &std::path::Path) -> Vec<PathBuf> {
    let mut paths = Vec::new();
    for name in crate::network::SAMPLES {
        let owners = crate::handover::written(name, &crate::network::sample(name), Output::Html);
        for (pack, bytes) in [("inspection", crate::pack::written(name, Output::Html)), ("handover", owners)] {
            let path = dir.join(format!("{name}-{pack}.html"));
            std::fs::write(&path, bytes).unwrap();
            paths.push(path);
        }
    }
    paths
}

#[test]
fn the_nu_checker_finds_no_error() {
    let dir = tempfile::tempdir().unwrap();
    let jar = packages().join("node_modules/vnu-jar/build/dist/vnu.jar");
    let out = Command::new("java").arg("-jar").arg(jar).arg("--errors-only").args(pages(dir.path())).output();
    let out = out.expect("java is there: run `bash .ci/prepare`");
    let said = String::from_utf8_lossy(&out.stderr);
    assert!(out.status.success() && said.trim().is_empty(), "{said}");
}

#[test]
fn axe_finds_no_violation_and_nothing_is_asked_of_a_network() {
    let dir = tempfile::tempdir().unwrap();
    let script = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/axe.mjs");
    let out = Command::new("node").env("NODE_PACKAGES", packages()).arg(script).args(pages(dir.path())).output();
    let out = out.expect("node is there: run `bash .ci/prepare`");
    assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
    let told: serde_json::Value = serde_json::from_slice(&out.stdout).unwrap();
    assert_eq!(told["pages"], 2 * crate::network::SAMPLES.len());
    assert_eq!(told["found"].as_array().map(Vec::len), Some(0), "{:#}", told["found"]);
    assert_eq!(told["asked"].as_array().map(Vec::len), Some(0), "{:#}", told["asked"]);
}
