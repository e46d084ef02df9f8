//! Every level expression of a record, with its place and its path.

use crate::base::span::Span;
use crate::record::along::AlongPipe;
use crate::record::ground::Bed;
use crate::record::pipework::FootOf;
use crate::record::quantity::LevelAt;
use crate::record::quantity::Station;
use crate::record::sections::Record;
use crate::record::value::Field;

impl Record {
    /// Calls with every level expression of the record, its place and its path.
    pub fn each_level(&self, mut call: impl FnMut(&LevelAt, Span, String)) {
        let mut see = |field: &Field<LevelAt>, path: String| {
            if let Some(at) = field.get() {
                call(at, field.span, path);
            }
        };
        for item in &self.levels {
            see(&item.body.mark.is, format!("levels.{}", item.id));
        }
        for item in &self.elements {
            see(&item.body.footing_underside, format!("elements.{}.footing-underside", item.id));
            see(&item.body.level, format!("elements.{}.level", item.id));
        }
        for item in &self.appliances {
            see(&item.body.floor, format!("appliances.{}.floor", item.id));
        }
        for item in &self.access {
            see(&item.body.cover, format!("access.{}.cover", item.id));
            see(&item.body.il_out, format!("access.{}.il-out", item.id));
            see(&item.body.il_drawn, format!("access.{}.il-drawn", item.id));
            see(&item.body.paving, format!("access.{}.paving", item.id));
        }
        see(&self.site.flood_level, "site.flood-level".to_owned());
        for item in &self.terminals {
            see(&item.body.top, format!("terminals.{}.top", item.id));
        }
        for item in &self.openings {
            see(&item.body.head, format!("openings.{}.head", item.id));
        }
        for item in &self.penetrations {
            see(&item.body.il, format!("penetrations.{}.il", item.id));
        }
        for item in &self.pipes {
            let path = |key: &str| format!("pipes.{}.{key}", item.id);
            if let Some(il) = item.body.il.get() {
                see(&il.up, path("il"));
                see(&il.down, path("il"));
            }
            for (key, along) in [("il-along", &item.body.il_along), ("ground-line", &item.body.ground_line)] {
                for (place, level) in along.get().into_iter().flat_map(AlongPipe::iter) {
                    see(level, format!("{}, {}", path(key), place.words()));
                }
            }
            see(&item.body.joins_at, path("joins-at"));
            if let Some(FootOf::Is(foot)) = item.body.foot.get() {
                see(&foot.il, path("foot.il"));
            }
            if let Some(Bed::Is(bed)) = item.body.bed.get() {
                see(&bed.concrete_to, path("bed.concrete-to"));
            }
            let mut station = |field: &Field<Station>, path: String| {
                if let Some(Station::Level(at)) = field.get() {
                    let whole = Field { said: crate::record::value::Said::Is(at.clone()), span: field.span, how: None };
                    see(&whole, path);
                }
            };
            station(&item.body.at, path("at"));
            for (key, at) in item.body.access.get().into_iter().flat_map(|m| &m.0) {
                station(at, path(&key.value));
            }
            for (key, spare) in item.body.spare.get().into_iter().flat_map(|m| &m.0) {
                if let Some(spare) = spare.get() {
                    station(&spare.at, path(&key.value));
                }
            }
        }
    }
}
