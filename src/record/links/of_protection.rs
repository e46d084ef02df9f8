//! Ids that the site, its valves and its pumps speak of.

use crate::record::links::Links;
use crate::record::links::PIPES;
use crate::record::sections::Record;

/// Holds them against the record.
pub(super) fn check(record: &Record, links: &mut Links<'_, '_, '_>) {
    links.one(&record.site.said_by, &["people", "documents"], "site.said-by");
    links.one(&record.site.relief, &["access"], "site.relief");
    for item in &record.valves {
        let path = |key: &str| format!("valves.{}.{key}", item.id);
        links.one(&item.body.on, PIPES, &path("on"));
        links.station(&item.body.at, &path("at"));
        links.one(&item.body.photo, &["photos"], &path("photo"));
    }
    for item in &record.pumps {
        links.one(&item.body.on, PIPES, &format!("pumps.{}.on", item.id));
    }
}
