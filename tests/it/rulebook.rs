//! The rulebook: what it refuses, what it answers at every edge, and that nothing left unsaid makes a limit easier.

#![allow(clippy::unwrap_used, reason = "a helper of a test fails with its test")]

use std::collections::{BTreeMap, BTreeSet};

use fallmark::base::units::Length;
use fallmark::rulebook::{
    APPLIANCES, Answer, BED_CLASSES, CISTERNS, ENTRIES, FIRE_MATERIALS, FROM_KINDS, Fact, Facts, HEADS, Held, Kind,
    Quantity, Rulebook, RulebookError, SERIES, TEST_METHODS, TO_KINDS, UNDER_TEST, assemble, key, load, names, prose,
    texts,
};
use fallmark::rules::registry::RULES;

pub(crate) const ENGLAND: &str = include_str!("../../src/rulebook/data/england-2015.yaml");

/// Frozen: a number that changes is a new revision of the rulebook and a line under "changed numbers".
const DIGESTS: &[(&str, u32, &str)] = &[
    ("england-2015", 1, "9e3c17f818ad4d002d0ff6f0c171f7ff6452249609b0f29a29d96341cd44f7f2"),
    ("en-12056-system-3", 1, "304f775b985d02ba69faf08c1e878d237da0926d314986a022a4788d10fbc535"),
];

/// The limits of a built-in document by its name.
pub(crate) fn limits(document: &str) -> &'static str {
    let file = format!("{document}.limits.yaml");
    texts("england-2015").unwrap().into_iter().find(|(name, _)| *name == file).unwrap().1
}

/// The built-in rulebook with another text for Approved Document H.
pub(crate) fn england_with(ad_h: &str) -> Result<Rulebook, RulebookError> {
    let all = texts("england-2015").unwrap().into_iter();
    let documents = all.filter_map(|(file, text)| Some((file.strip_suffix(".limits.yaml")?.to_owned(), text)));
    let documents = documents.collect::<Vec<_>>();
    let text_of = |(name, text): &'_ (String, &'static str)| {
        if name == "ad-h-2015" { ad_h.to_owned() } else { (*text).to_owned() }
    };
    let texts = documents.iter().map(text_of).collect::<Vec<_>>();
    let named =
        documents.iter().zip(&texts).map(|((name, _), text)| (name.as_str(), text.as_str())).collect::<Vec<_>>();
    assemble(ENGLAND, &named)
}

pub(crate) fn england() -> Rulebook {
    load("england-2015").unwrap()
}

/// Every rulebook that is built in.
pub(crate) fn built_in() -> Vec<Rulebook> {
    names().iter().map(|name| load(name).unwrap()).collect()
}

pub(crate) fn toy() -> Rulebook {
    assemble(
        include_str!("../rulebooks/toy/rulebook.yaml"),
        &[
            ("normo", include_str!("../rulebooks/toy/normo.limits.yaml")),
            ("urbo", include_str!("../rulebooks/toy/urbo.limits.yaml")),
        ],
    )
    .unwrap()
}

pub(crate) fn mm(mm: i64) -> Length {
    Length::from_mm(mm)
}

pub(crate) fn um(um: i64) -> Length {
    Length::from_um(um)
}

/// The answer as it prints, or the kind of answer.
pub(crate) fn says<T: Held>(answer: &Answer<T>) -> String {
    match answer {
        Answer::Is(limit) => limit.words().replace('\u{a0}', " "),
        Answer::NeedsApproval(_) => "needs approval".to_owned(),
        Answer::NotPermitted(_) => "not permitted".to_owned(),
        Answer::AdopterFills(_) => "adopter fills".to_owned(),
        Answer::Silent => "silent".to_owned(),
        Answer::Unknown(facts) => {
            format!("unknown: {}", facts.iter().map(|f| f.word()).collect::<Vec<_>>().join(", "))
        }
    }
}

/// Whether `after` lets anything pass that `before` does not.
fn easier(before: &Answer<Quantity>, after: &Answer<Quantity>) -> bool {
    match (before, after) {
        (_, Answer::Unknown(_)) | (Answer::Silent, _) => false,
        (Answer::Is(strict), Answer::Is(loose)) => match &loose.value {
            Quantity::Window(w) => {
                !strict.met_by(&Quantity::Gradient(w.flattest)) || !strict.met_by(&Quantity::Gradient(w.steepest))
            }
            value => !strict.met_by(value),
        },
        (before, after) => before != after,
    }
}

// What is built in

#[test]
fn every_name_loads_and_another_is_refused_with_the_names() {
    for name in names() {
        assert_eq!(load(name).unwrap().id(), *name);
        prose(name).unwrap();
    }
    let error = load("atlantis-1").unwrap_err();
    assert!(error.to_string().contains("atlantis-1") && error.wants.contains("england-2015"), "{error}");
    assert!(prose("atlantis-1").is_err());
}

/// What a rulebook leaves out, since its documents have no such table: then its rule does not apply.
const LEFT_OUT: &[(&str, &str)] = &[
    ("england-2015", "branch.slope.flattest"),
    ("england-2015", "branch.bends.maximum"),
    ("england-2015", "branch.common.bends.maximum"),
    ("en-12056-system-3", "stack.size.flow.maximum"),
];

#[test]
fn every_key_of_the_code_is_in_every_rulebook_and_every_entry_is_a_key() {
    let asked: BTreeSet<&str> = key::ALL.iter().map(|(path, _)| *path).collect();
    for book in built_in() {
        let mut held: BTreeSet<&str> = book.keys().collect();
        for (_, path) in LEFT_OUT.iter().filter(|(name, _)| *name == book.id()) {
            assert!(held.insert(path), "{} holds {path} after all", book.id());
        }
        assert_eq!(held, asked, "{}", book.id());
        assert_eq!(book.list_keys().collect::<Vec<_>>(), key::ALL_LISTS, "{}", book.id());
    }
    assert!(key::ALL.iter().any(|(_, kind)| *kind == Kind::Window));
}

#[test]
fn editions_are_frozen() {
    assert_eq!(DIGESTS.iter().map(|(name, _, _)| *name).collect::<Vec<_>>(), names());
    for (name, revision, digest) in DIGESTS {
        let book = load(name).unwrap();
        assert_eq!((book.revision(), book.digest().as_str()), (*revision, *digest), "{name}");
    }
}

#[test]
fn the_digest_is_of_what_was_understood_not_of_how_it_was_written() {
    let with = |ad_h: &str| england_with(ad_h).unwrap().digest();
    let ad_h = limits("ad-h-2015");
    let plain = with(ad_h);
    assert_eq!(plain, england().digest());
    assert_eq!(plain, with(&format!("# a remark\n{}", ad_h.replace("is: 1.7 m,", "is: 1700 mm,"))));
    assert_ne!(plain, with(&ad_h.replacen("is: 25 mm", "is: 24 mm", 1)));
    assert_ne!(plain, with(&ad_h.replace("at-edge: lower, names", "at-edge: upper, names")));
    assert_ne!(plain, with(&ad_h.replacen("seen: read", "seen: memory", 1)));
}

#[test]
fn documents_say_how_many_values_were_recalled() {
    let book = england();
    let ad_h = &book.documents()[0];
    assert_eq!((ad_h.short.as_str(), ad_h.edition.as_str()), ("AD H", "2015 edition"));
    let cells: Vec<_> = book.cells().into_iter().filter(|cell| cell.citation.document == "AD H").collect();
    assert_eq!(ad_h.values, cells.len());
    assert_eq!(ad_h.recalled, cells.iter().filter(|cell| cell.recalled).count());
    assert!(ad_h.recalled > 0 && ad_h.recalled < ad_h.values);
    let recalled = |short: &str| book.documents().iter().find(|d| d.short == short).unwrap().recalled;
    assert!(recalled("BS EN 12056-2") > 0);
    assert_eq!((recalled("BS EN 752"), recalled("Custom of the trade")), (0, 0));
}

#[test]
fn labels_of_the_built_in_rulebooks_are_the_words_that_code_uses() {
    let mut said: BTreeMap<Fact, BTreeSet<String>> = BTreeMap::new();
    for cell in built_in().iter().flat_map(Rulebook::cells) {
        for facts in &cell.witnesses {
            for (fact, value) in facts.known() {
                if let Quantity::Label(words) = value {
                    said.entry(fact).or_default().extend(words.iter().cloned());
                }
            }
        }
    }
    let set = |words: &[&str]| words.iter().map(|word| (*word).to_owned()).collect::<BTreeSet<_>>();
    assert_eq!(said[&Fact::Appliance], set(APPLIANCES));
    assert_eq!(said[&Fact::FromKind], set(FROM_KINDS));
    assert_eq!(said[&Fact::ToKind], set(TO_KINDS));
    assert_eq!(said[&Fact::Cistern], set(CISTERNS));
    assert_eq!(said[&Fact::PipeSeries], set(SERIES));
    assert_eq!(said[&Fact::TestMethod], set(TEST_METHODS));
    assert_eq!(said[&Fact::BedClass], set(BED_CLASSES));
    assert_eq!(said[&Fact::UnderTest], set(UNDER_TEST));
    assert_eq!(said[&Fact::FireMaterial], set(FIRE_MATERIALS));
    assert!(said[&Fact::BranchEntry].is_subset(&set(ENTRIES)));
}

#[test]
fn every_fact_is_used_by_some_rulebook() {
    let mut used = BTreeSet::new();
    for cell in built_in().iter().chain([&toy()]).flat_map(Rulebook::cells) {
        used.extend(cell.witnesses.iter().flat_map(|facts| facts.known().map(|(fact, _)| fact).collect::<Vec<_>>()));
    }
    assert_eq!(used, Fact::ALL.iter().copied().collect());
}

// Over all cells

#[test]
fn every_cell_can_be_reached() {
    for book in built_in().into_iter().chain([toy()]) {
        let cells = book.cells();
        let ids: BTreeSet<_> = cells.iter().map(|cell| cell.id.clone()).collect();
        assert_eq!(ids.len(), cells.len(), "cell names are unique");
        for cell in cells {
            assert!(!cell.witnesses.is_empty(), "{} is never the answer", cell.id);
            for facts in &cell.witnesses {
                let answer = book.ask_path(&cell.key, facts);
                assert_eq!(answer.citation(), Some(&cell.citation), "{} for {facts:?}", cell.id);
                if let Answer::Is(limit) = answer {
                    assert_eq!(limit.cell, cell.id);
                    assert_eq!(limit.recalled, cell.recalled);
                }
            }
        }
    }
}

#[test]
fn a_fact_taken_away_never_makes_a_limit_easier() {
    let mut seen = 0;
    for book in built_in().into_iter().chain([toy()]) {
        for cell in book.cells() {
            for witness in &cell.witnesses {
                for facts in with_yes_and_no(witness) {
                    let before = book.ask_path(&cell.key, &facts);
                    let known: Vec<Fact> = facts.known().map(|(fact, _)| fact).collect();
                    for fact in known {
                        let after = book.ask_path(&cell.key, &facts.clone().without(fact));
                        let (was, is) = (says(&before), says(&after));
                        assert!(!easier(&before, &after), "{}: {was} became {is} without {}", cell.id, fact.word());
                        seen += 1;
                    }
                }
            }
        }
    }
    assert!(seen > 1000, "{seen}");
}

/// The facts, with every combination of the yes-no facts that they leave open, and some counts.
fn with_yes_and_no(facts: &Facts) -> Vec<Facts> {
    let known: BTreeSet<Fact> = facts.known().map(|(fact, _)| fact).collect();
    let mut all = vec![facts.clone()];
    for fact in [Fact::IntoGully, Fact::SprayTaps, Fact::FlatBottomed].into_iter().filter(|f| !known.contains(f)) {
        all = all.iter().flat_map(|f| [f.clone(), f.clone().with(fact, true), f.clone().with(fact, false)]).collect();
    }
    if !known.contains(&Fact::WcCount) {
        all = all.iter().flat_map(|f| [f.clone(), f.clone().with(Fact::WcCount, 5_u32)]).collect();
    }
    all
}

// Prose and ledger

#[test]
fn every_rule_is_explained_under_five_heads_and_words_in_a_sentence_or_two() {
    let prose = prose("england-2015").unwrap();
    let mut names = BTreeSet::new();
    let mut rules = BTreeSet::new();
    for explanation in prose.explanations() {
        for name in std::iter::once(&explanation.name).chain(&explanation.also) {
            assert!(names.insert(name.to_lowercase()), "{name} twice");
        }
        if explanation.parts.len() == HEADS.len() {
            rules.insert(explanation.name.as_str());
        } else {
            let text = &explanation.parts[0].1;
            assert!(text.ends_with('.') && text.matches(". ").count() <= 2, "{}: {text}", explanation.name);
        }
    }
    assert_eq!(rules, RULES.iter().map(|rule| rule.id.0).collect());
    assert!(names.len() - rules.len() >= 30);
    for word in ["fall", "Invert level", "IL", "terminal", "stub stacks", "TRAP"] {
        assert!(prose.explain(word).is_some() || word == "{word}");
    }
    assert!(prose.explain("flux capacitor").is_none());
    assert!(prose.what_it_is_not().len() >= 3);
}

#[test]
fn the_ledger_accounts_for_each_provision_once_and_for_every_cell() {
    let prose = prose("england-2015").unwrap();
    let mut references = BTreeSet::new();
    let mut clauses = BTreeSet::new();
    for entry in prose.ledger() {
        assert!(clauses.insert((&entry.document, &entry.part, &entry.clause)), "{} twice", entry.clause);
        for reference in &entry.references {
            assert!(references.insert(reference.as_str()), "{reference} twice");
        }
    }
    let cells = built_in().iter().flat_map(Rulebook::cells).collect::<Vec<_>>();
    for cell in cells.iter().filter(|cell| cell.citation.document != "Custom of the trade") {
        let reference = cell.reference.as_deref().unwrap_or_default();
        for one in reference.split(" and ") {
            assert!(references.contains(one), "{}: `{one}` is not in the ledger", cell.id);
        }
    }
}
