//! What new pictures could show: items that were fitted before they were taken and closed over after.

use crate::base::text::day;
use crate::base::text::list;
use crate::record::sections::Record;
use chrono::NaiveDate;

/// The most ids that a hint names one by one.
const MOST: usize = 6;

/// A line for each thing that a closing hides and that pictures of these days could show, in the record's order.
pub(super) fn of(record: &Record, pictures: &[(&str, NaiveDate)]) -> Vec<String> {
    let mut hints = Vec::new();
    for closing in &record.closings {
        let Some(closes) = closing.value.date.get().copied() else { continue };
        for hidden in closing.value.hides.get().into_iter().flat_map(|list| list.iter()) {
            let Some(fitted) = record.fitted_on(&hidden.id) else { continue };
            let within = |taken: NaiveDate| fitted <= taken && taken <= closes;
            let could: Vec<&str> = pictures.iter().filter(|(_, taken)| within(*taken)).map(|(id, _)| *id).collect();
            if !could.is_empty() {
                let days = format!("fitted {}, closed over {}", day(fitted), day(closes));
                hints.push(format!("{} could be in {} by the days ({days})", hidden.words(), named(&could)));
            }
        }
    }
    hints
}

fn named(ids: &[&str]) -> String {
    match ids {
        [first, .., last] if ids.len() > MOST => format!("{} photos from {first} to {last}", ids.len()),
        _ => list(ids, "or"),
    }
}
