//! Stacks in the inspection pack: the foot as recorded, and the question that a terminal raises by itself.

use crate::network::sample;
use crate::pack::assembled;
use fallmark::pack;
use fallmark::render::Output;

fn markdown(text: &str) -> String {
    let bytes = assembled("schoolroom-flats", text, pack::inspection, Output::Markdown);
    String::from_utf8(bytes).unwrap().replace('\u{a0}', " ").split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn the_foot_of_a_stack_is_printed_as_recorded() {
    assert!(markdown(&sample("schoolroom-flats")).contains("Foot as recorded: bend 2 x 45."));
    let text = sample("schoolroom-flats").replace("bend: 2 x 45,", "bend: long radius, radius: 225 mm,");
    assert!(markdown(&text).contains("Foot as recorded: bend long radius, radius 225 mm."));
}

#[test]
fn a_terminal_that_replaces_a_tile_is_asked_about_by_itself_until_it_is_agreed() {
    let asks = "No text was found that allows or forbids its kind as such.";
    let open = "what: open pipe with cage";
    assert!(!markdown(&sample("schoolroom-flats")).contains(asks));
    let tile = sample("schoolroom-flats").replace(open, "what: tile vent terminal");
    assert!(markdown(&tile).contains(asks));
    let agreed = tile.replace("what: tile vent terminal", "what: tile vent terminal, agreed: BC on 2026-06-01");
    assert!(!markdown(&agreed).contains(asks));
    let asked = tile.replace("about: [P2, CE1]", "about: [P2, CE1, VT1]");
    assert!(!markdown(&asked).contains(asks), "the record asks it itself");
}
