//! The owner's pack of the samples and of small records, in every output.

use crate::network::SAMPLES;
use crate::network::sample;
use crate::pack::pdf_text;
use crate::pack::squeezed;
use crate::pack::without_tags;
use fallmark::base::units::Length;
use fallmark::pack;
use fallmark::render::Output;

/// Writes the owner's pack of a record, whose photos are those of a sample.
pub(crate) fn written(name: &'static str, text: &str, output: Output) -> Vec<u8> {
    crate::pack::assembled(name, text, fallmark::pack::handover, output)
}

#[test]
fn the_owners_packs_are_archival_and_accessible() {
    use page_validation::ValidationOptions;
    use page_validation::ValidationProfile;
    for name in SAMPLES {
        let bytes = written(name, &sample(name), Output::Pdf);
        if let Ok(dir) = std::env::var("FALLMARK_LOOK") {
            std::fs::write(format!("{dir}/{name}-handover.pdf"), &bytes).unwrap();
            std::fs::write(format!("{dir}/{name}-handover.html"), written(name, &sample(name), Output::Html)).unwrap();
            std::fs::write(format!("{dir}/{name}-handover.md"), written(name, &sample(name), Output::Markdown))
                .unwrap();
        }
        for profile in [ValidationProfile::PdfA3a, ValidationProfile::PdfUa1] {
            let report =
                page_validation::validate_pdf_bytes(&bytes, &ValidationOptions::default().profile(profile)).unwrap();
            assert!(report.is_compliant, "{name}: {:?}", report.failures);
        }
    }
}

#[test]
fn the_same_bytes_come_twice() {
    for name in SAMPLES {
        for output in [Output::Pdf, Output::Html, Output::Markdown] {
            assert!(written(name, &sample(name), output) == written(name, &sample(name), output), "{name} {output:?}");
        }
    }
}

/// What stands on the first page of the PDF.
fn first_page(text: &str) -> String {
    let pdf = pdf_text(&written("mill-house", text, Output::Pdf));
    pdf.split('\u{c}').next().unwrap().to_owned()
}

#[test]
fn the_first_page_holds_no_level_clause_or_verdict() {
    for name in SAMPLES {
        let pdf = pdf_text(&written(name, &sample(name), Output::Pdf));
        let pages: Vec<&str> = pdf.split('\u{c}').collect();
        let page = pages[0];
        for said in
            ["Blocked drain: start here", "Turn the rods clockwise only", "Never", "head or body into a chamber"]
        {
            assert!(page.contains(said), "{name} does not say `{said}` on its first page:\n{page}");
        }
        for word in
            ["AD H", "Table", "Regulation", "invert", "IL ", "TBM", "laser", "not met", "not shown", "1 in ", " met"]
        {
            assert!(!page.contains(word), "{name} says `{word}` on its first page:\n{page}");
        }
        assert!(pages[1].contains("Your drains in one picture"), "{name}: the guide follows on page 2");
    }
}

#[test]
fn paces_are_of_three_quarters_of_a_metre() {
    // 1.9 m / 0.75 m = 2.53; 2.4 / 0.75 = 3.2; 1.1 / 0.75 = 1.47; 11.6 / 0.75 = 15.47; 14.4 / 0.75 = 19.2.
    let told = [
        (100, "less than half a pace"),
        (190, "½\u{a0}pace"),
        (750, "1\u{a0}pace"),
        (1_100, "1½\u{a0}paces"),
        (1_900, "2½\u{a0}paces"),
        (2_400, "3\u{a0}paces"),
        (3_600, "5\u{a0}paces"),
        (4_100, "5\u{a0}paces"),
        (11_600, "15\u{a0}paces"),
        (14_400, "19\u{a0}paces"),
    ];
    for (mm, words) in told {
        assert_eq!(pack::paces(Length::from_mm(mm)), words, "{mm} mm");
    }
    assert_eq!(pack::rods(Length::from_mm(4_850)), "5\u{a0}m");
    assert_eq!(pack::rods(Length::from_mm(11_600)), "12\u{a0}m");
    assert_eq!(pack::rods(Length::from_mm(300)), "1\u{a0}m");
}

#[test]
fn the_mill_house_is_told_from_the_house_outwards() {
    let page = squeezed(&first_page(&sample("mill-house")));
    for said in [
        "flat A and flat B share this drain",
        "under the sink",
        "1.9 m (2½ paces) out from yard-door jamb",
        "two lifting keys",
        "about 15 paces along the drain from cover 1",
        "Rod from cover 1 towards the house, about 5 m.",
        "Only the toilet in flat A blocked?",
        "Rod from cover 2 back towards cover 1, about 12 m.",
        "Call the sewerage company.",
        "rainwater pipe led into cover 1",
        "01632 960017",
        "Plug 3 is for a drain firm",
        "benching cracked",
        "Others are believed to drain through it too.",
    ] {
        let said = squeezed(said);
        let capital = said.replacen("flatA", "FlatA", 1);
        assert!(page.contains(&said) || page.contains(&capital), "`{said}` is not on the page:\n{page}");
    }
    // 700 mm across is of the chamber, which is no reason to print it as the cover's size.
    assert!(!page.contains("700×560"), "{page}");
}

#[test]
fn with_three_covers_the_third_is_for_the_firm() {
    let page = squeezed(&pdf_text(&written("schoolroom-flats", &sample("schoolroom-flats"), Output::Pdf)));
    for said in [
        "Rod from cover 1 towards the house, about 5 m.",
        "Rod from cover 2 back towards cover 1, about 14 m.",
        "Do not rod. Call a drain firm and tell them that cover 3 comes next, about 13 paces further on.",
        "Lowmead Drains, 01632 960118",
    ] {
        assert!(page.contains(&squeezed(said)), "`{said}` is not there:\n{page}");
    }
    assert!(!page.contains("Plug4"), "no fourth mark");
}

/// Counts what the Markdown says in place of a line to write on.
fn blanks(text: &str) -> usize {
    String::from_utf8(written("mill-house", text, Output::Markdown)).unwrap().matches("not in the record").count()
}

#[test]
fn what_is_unknown_is_a_line_to_write_on() {
    let whole = sample("mill-house");
    // Flat B's tap, the tool of MH0, and three to call.
    assert_eq!(blanks(&whole), 5);
    for (from, to, more) in [
        ("flat A: under the sink", "flat A: unknown", 1),
        (", phone: 01632 960017", "", 1),
        (", tool: two lifting keys", "", 1),
        ("length: 4.85 m, il", "length: unknown, il", 1),
        ("stop-taps: {flat A: under the sink, flat B: unknown}\n", "\n", 1),
    ] {
        let changed = whole.replacen(from, to, 1);
        assert_ne!(changed, whole, "{from}");
        assert_eq!(blanks(&changed), 5 + more, "{from} → {to}");
    }
    let no_place = whole.replacen("in: yard, across: 450 mm", "across: 450 mm", 1).replacen(
        ", where: 1.9 m out from yard-door jamb",
        "",
        1,
    );
    assert_eq!(blanks(&no_place), 6);
    assert!(!first_page(&no_place).contains("½"), "no paces without a place");
}

#[test]
fn a_record_without_covers_says_so_and_tells_nobody_to_rod() {
    let text = "record: 1
job: {id: N-1, title: Nothing known}
rulebook: england-2015
appliances:
  WC1: {in: the house, outlet: 100 mm, seal: 50 mm}
pipes:
  D1: {kind: drain, from: WC1, to: unknown, size: 110 mm}
";
    let page = first_page(text);
    assert!(page.contains("The record names no cover on this drain."), "{page}");
    assert!(page.contains("Call a drain firm"), "{page}");
    assert!(!page.contains("Rod from"), "{page}");
    let empty = "record: 1\njob: {id: N-2, title: Empty}\nrulebook: england-2015\n";
    assert!(first_page(empty).contains("The record names no cover on this drain."));
}

#[test]
fn one_cover_asks_one_question() {
    let whole = sample("mill-house");
    let one = whole.replacen("MH0: {what: manhole, stage: existing", "MH0: {what: rodding eye, stage: existing", 1);
    let page = squeezed(&first_page(&one));
    assert!(page.contains(&squeezed("Cover 1 is full The blockage is beyond cover 1")), "{page}");
    assert!(!page.contains("cover2"), "{page}");
}

#[test]
fn the_calendar_holds_what_the_record_has_and_says_who_says_so() {
    let markdown = String::from_utf8(written("mill-house", &sample("mill-house"), Output::Markdown)).unwrap();
    let calendar = markdown.split("## ").find(|s| s.contains("What needs doing, and when")).unwrap();
    for has in
        ["covers; **IC1** **MH0**", "plugs on the pipe; **RP1**", "shower traps; **SHR1**", "seals round pipes; **P1**"]
    {
        assert!(calendar.contains(has), "`{has}` is not in\n{calendar}");
    }
    for lacks in ["septic", "cesspool", "gullies", "rodding eyes", "air valves"] {
        assert!(!calendar.contains(lacks), "`{lacks}` is in\n{calendar}");
    }
    let rows = calendar.lines().filter(|l| l.starts_with('|')).skip(2);
    for row in rows {
        assert!(row.contains("no published source") || row.contains("recalled") || row.contains("SEPA"), "{row}");
    }
    let tank = sample("mill-house").replacen("SEW: {what: public sewer", "SEW: {what: septic tank", 1);
    let tank = String::from_utf8(written("mill-house", &tank, Output::Markdown)).unwrap();
    assert!(tank.contains("a licensed carrier"), "{tank}");
    assert!(tank.contains("It leads to a septic tank"), "{tank}");
}

#[test]
fn sections_count_on_from_the_steps() {
    let markdown = String::from_utf8(written("mill-house", &sample("mill-house"), Output::Markdown)).unwrap();
    assert!(markdown.contains("## 4 Call") && markdown.contains("## 5 Your drains in one picture"), "{markdown}");
}

#[test]
fn a_record_that_means_harm_still_gives_a_page() {
    let long = "x".repeat(3_000);
    let harm = sample("mill-house")
        .replacen("where: 1.9 m out from yard-door jamb", &format!("where: 999999999 m out from {long}"), 1)
        .replacen("in: yard, across: 450 mm", "in: \"<b>yard</b>\", across: 450 mm", 1)
        .replacen("tool: two lifting keys", "tool: \"</dd><script>alert(1)</script>\"", 1)
        .replacen("places: [flat A", "places: [\"<b>yard</b>\", flat A", 1);
    let html = String::from_utf8(written("mill-house", &harm, Output::Html)).unwrap();
    assert!(!html.contains("<script") && !html.contains("<b>yard"), "words of a record are words");
    assert!(pdf_text(&written("mill-house", &harm, Output::Pdf)).contains("Blocked drain: start here"));
}

#[test]
fn only_words_that_are_used_are_explained() {
    let markdown = String::from_utf8(written("mill-house", &sample("mill-house"), Output::Markdown)).unwrap();
    let glossary = markdown.split("## ").find(|s| s.contains("Words used here")).unwrap();
    assert!(glossary.contains("**manhole**") && glossary.contains("**benching**"), "{glossary}");
    assert!(!glossary.contains("cesspool") && !glossary.contains("soakaway"), "{glossary}");
}

#[test]
fn nothing_in_the_mill_house_is_left_out_of_what_is_open() {
    let markdown = String::from_utf8(written("mill-house", &sample("mill-house"), Output::Markdown)).unwrap();
    let open = markdown.split("## ").find(|s| s.contains("What was left open")).unwrap();
    for id in ["X1", "X2", "V1", "Q1", "Q2", "D2", "D4"] {
        assert!(open.contains(&format!("**{id}**")), "{id} is not in\n{open}");
    }
}

#[test]
fn screen_paper_and_markdown_say_the_same_on_the_first_page() {
    for name in SAMPLES {
        let text = sample(name);
        let html = squeezed(&without_tags(&String::from_utf8(written(name, &text, Output::Html)).unwrap()));
        let markdown = squeezed(&String::from_utf8(written(name, &text, Output::Markdown)).unwrap());
        let pdf = squeezed(&pdf_text(&written(name, &text, Output::Pdf)));
        for said in [
            "Rod from cover 2 back towards cover 1",
            "It lets go with a rush",
            "Lift cover 1, stand back, look in from above",
            "leave a cover off, or let children near it",
        ] {
            let said = squeezed(said);
            assert!(html.contains(&said) && markdown.contains(&said) && pdf.contains(&said), "{name}: {said}");
        }
    }
}
