//! Reading: samples read clean, every seeded mistake is reported at its line, hostile texts end in a message.

use fallmark::record;

fn sample(name: &str) -> String {
    let path = format!("{}/samples/{name}/job.yaml", env!("CARGO_MANIFEST_DIR"));
    std::fs::read_to_string(path).expect("a sample of the project")
}

#[test]
fn the_samples_read_without_a_fault() {
    for name in ["mill-house", "schoolroom-flats"] {
        let reading = record::read("job.yaml", &sample(name));
        let told: Vec<String> = reading
            .faults
            .iter()
            .map(|f| format!("{}: {} ({})", reading.source.line_of(f.span.start), f.what, f.help))
            .collect();
        assert!(told.is_empty(), "{name}: {told:#?}");
    }
}
