//! The photos, two to a row, each with its id, what it shows and the day it was taken.

use crate::base::doc::Block;
use crate::base::doc::Photo;
use crate::base::doc::plain;
use crate::base::text::date;
use crate::pack::Desk;
use crate::pack::Part;
use crate::pack::words;
use crate::record::evidence::PhotoItem;
use crate::record::sections::Item;

/// Every photo of the record; one that cannot be shown has an empty frame with the reason.
pub(crate) fn plates(desk: &Desk<'_>) -> Part {
    let plates: Vec<Photo> = desk.job.record.photos.iter().map(|item| plate(desk, item)).collect();
    if plates.is_empty() {
        return Part::default();
    }
    let note = vec![plain("upright, reduced, without position; the days are from the files unless said")];
    Part { blocks: vec![Block::Photos(plates)], note }
}

/// A photo as the record has it.
pub(crate) fn plate(desk: &Desk<'_>, item: &Item<PhotoItem>) -> Photo {
    let fact = desk.job.photos.get(&item.id).cloned().unwrap_or_default();
    let shows: Vec<String> = item.body.shows.get().map_or(Vec::new(), |l| l.iter().map(|m| m.words()).collect());
    let shows = shows.join(", ");
    let looking = item.body.looking.get().map_or(String::new(), |t| format!(", looking {}", t.0));
    let tape = item.body.tape_in.get().filter(|w| w.yes()).map_or("", |_| ", tape in");
    let day = match (fact.taken, fact.from_file) {
        (Some(d), true) => date(d),
        (Some(d), false) => format!("{}, from the record", date(d)),
        (None, _) => "day not known".to_owned(),
    };
    let by = item.body.by.get().map_or(String::new(), |r| format!(", by {}", r.0));
    let caption = vec![plain(format!("{shows}{looking}{tape}. {day}{by}."))];
    let file = item.body.file.get().map(|t| t.0.clone()).filter(|_| fact.fault.is_none());
    Photo {
        id: item.id.clone(),
        anchor: words::anchor(&item.id),
        missing: fact.fault.map_or(String::new(), |f| format!("no photo: {f}")),
        file,
        caption,
        alt: format!("Photo {} of {shows}{looking}.", item.id),
    }
}
