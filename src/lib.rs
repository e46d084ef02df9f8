//! Fallmark: one job record in, a checked document for the inspector out.
//!
//! Layers, each importing only those above it in this list:
//! 0. [`base`]; 1. [`record`], [`rulebook`], [`photo`]; 2. [`network`]; 3. [`compute`]; 4. [`rules`];
//! 5. [`readiness`]; 6. [`pack`]; 7. [`render`]; 8. [`cli`].
//!
//! [`examine`] is the way from a record to its findings on one screen; [`cli`] calls it and nothing else does.

pub mod base;
pub mod cli;
pub mod compute;
pub mod network;
pub mod pack;
pub mod photo;
pub mod readiness;
pub mod record;
pub mod render;
pub mod rulebook;
pub mod rules;

use base::files::Files;
use base::finding::Finding;
use compute::Computed;
use network::Network;
use record::sections::Record;
use rulebook::Rulebook;
use rules::PhotoFact;
use std::collections::BTreeMap;

/// A job with everything that follows from its record.
pub struct Examined<'a> {
    /// The record.
    pub record: &'a Record,
    /// The network.
    pub network: Network<'a>,
    /// The numbers.
    pub computed: Computed,
    /// The guidance they are held against.
    pub rulebook: &'a Rulebook,
    /// What is known of each photo.
    pub photos: BTreeMap<String, PhotoFact>,
    /// The findings, in the order of the rules and the record.
    pub findings: Vec<Finding>,
}

/// Links, computes and checks a record. A bad job gives findings; nothing here fails.
pub fn examine<'a>(record: &'a Record, rulebook: &'a Rulebook, files: &dyn Files) -> Examined<'a> {
    examine_with(record, rulebook, photo_facts(record, files))
}

/// As [`examine`], with what is known of each photo, by its id, found beforehand.
pub fn examine_with<'a>(
    record: &'a Record,
    rulebook: &'a Rulebook,
    photos: BTreeMap<String, PhotoFact>,
) -> Examined<'a> {
    let network = network::link(record);
    let computed = compute::compute(&network, rulebook);
    let ctx = rules::Ctx { record, network: &network, computed: &computed, rulebook, photos: &photos };
    let findings = rules::check(&ctx);
    Examined { record, network, computed, rulebook, photos, findings }
}

/// Reads the header of every photo that the record names; its pixels stay where they are.
pub fn photo_facts(record: &Record, files: &dyn Files) -> BTreeMap<String, PhotoFact> {
    let fact = |item: &record::sections::Item<record::evidence::PhotoItem>| {
        let said = item.body.date.get().copied();
        let header = item.body.file.get().map(|name| photo::header(files, &name.0));
        match header {
            Some(Ok(header)) => {
                let in_file = header.taken.map(|t| t.date());
                PhotoFact { taken: in_file.or(said), from_file: in_file.is_some(), fault: None }
            }
            Some(Err(fault)) => PhotoFact { taken: said, from_file: false, fault: Some(fault.to_string()) },
            None => PhotoFact { taken: said, from_file: false, fault: None },
        }
    };
    record.photos.iter().map(|item| (item.id.clone(), fact(item))).collect()
}
