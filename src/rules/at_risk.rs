//! What a surcharge of the sewer would reach: the floor of each appliance against the level up to which the water may
//! stand; and what of that drains past a valve or pump for nothing.

use crate::base::finding::Finding;
use crate::base::known::How;
use crate::base::units::Cover;
use crate::network::height::Height;
use crate::record::pipework::Appliance;
use crate::record::sections::Item;
use crate::record::value::Field;
use crate::record::words::SurchargeRisk;
use crate::record::words::YesNo;
use crate::rulebook::Facts;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::driver::Measure;
use crate::rules::driver::Subject;
use crate::rules::driver::hold;

/// How an appliance stands to the water of a surcharge.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Risk {
    /// Its floor lies below that level.
    Below(How),
    /// Its floor lies on or above it, by so much.
    Above(How, String),
    /// Not known; this field would settle it.
    Unknown(String),
}

/// Words of a place that lies under the ground.
const UNDERGROUND: [&str; 3] = ["basement", "cellar", "lower ground"];

/// Whether an appliance stands in a place that is called a basement or cellar.
pub fn underground(item: &Item<Appliance>) -> bool {
    let place = item.body.place.get().map_or(String::new(), |p| p.0.to_lowercase());
    UNDERGROUND.iter().any(|word| place.contains(word))
}

/// How an appliance stands to the flood level: by levels, and where there are none by the name of its place.
pub fn of(ctx: &Ctx<'_>, item: &Item<Appliance>) -> Risk {
    let flood: Option<Height<Cover>> = ctx.network.height(&ctx.record.site.flood_level, None);
    let floor: Option<Height<Cover>> = ctx.network.height(&item.body.floor, None);
    let up = flood.zip(floor).and_then(|(flood, floor)| floor.above(&flood));
    match up {
        // What turns inside the readings is taken as below: a floor just at the water is no dry floor.
        Some(up) if up.value - up.half >= crate::base::units::Length::ZERO => {
            Risk::Above(up.how, format!("{}\u{a0}m above the flood level", up.value.metres(2)))
        }
        Some(up) => Risk::Below(up.how),
        None if underground(item) => Risk::Below(How::Stated),
        None if ctx.record.site.flood_level.get().is_none() => Risk::Unknown("site.flood-level".to_owned()),
        None => Risk::Unknown(format!("appliances.{}.floor", item.id)),
    }
}

/// Whether a yes or no is yes; `None` when it is not said, not known, or only believed.
pub fn yes(ctx: &Ctx<'_>, field: &Field<YesNo>) -> Option<bool> {
    field.get().filter(|_| ctx.record.how(field) != How::Believed).map(|word| word.yes())
}

/// Whether the sewer is said to surcharge, however seldom; a belief counts.
pub fn surcharges(ctx: &Ctx<'_>) -> bool {
    matches!(ctx.record.site.surcharge.get(), Some(SurchargeRisk::Low | SurchargeRisk::High))
}

/// What stands behind a valve or pump though no surcharge would reach it; `None` when nothing that is known drains
/// through it. `behind` picks the appliances.
pub fn bypass(ctx: &Ctx<'_>, subject: &Subject<'_>, behind: impl Fn(usize) -> Option<bool>) -> Option<Finding> {
    let (mut bad, mut good, mut open, mut how) = (Vec::new(), Vec::new(), None, How::Computed);
    for (position, item) in ctx.record.appliances.iter().enumerate() {
        let Some(sure) = behind(position) else { continue };
        match of(ctx, item) {
            Risk::Above(known, by) if sure && known != How::Believed => bad.push(format!("{} {by}", item.id)),
            Risk::Above(..) => {
                let field = if sure { format!("appliances.{}.floor", item.id) } else { subject.field.clone() };
                open.get_or_insert((format!("whether {} drains past it", item.id), field));
            }
            Risk::Below(known) => {
                how = how.with(known);
                good.push(item.id.clone());
            }
            Risk::Unknown(field) => {
                open.get_or_insert((format!("whether {} stands below the flood level", item.id), field));
            }
        }
    }
    let (measure, field) = match (bad.is_empty(), open) {
        (false, _) => (Measure::plain(false, How::Computed, crate::base::text::list(&bad, "and")), None),
        (true, Some((what, field))) => (Measure::Missing(what), Some(field)),
        (true, None) if good.is_empty() => return None,
        (true, None) => {
            let words = format!("only {}", crate::base::text::list(&good, "and"));
            (Measure::plain(true, how, words), None)
        }
    };
    let subject = Subject { field: field.unwrap_or_else(|| subject.field.clone()), ..subject.clone() };
    let answer = ctx.rulebook.ask(key::SURCHARGE_BYPASS, &Facts::new());
    let mut out = hold(&subject, &measure, &answer, |_: &bool, _| {
        let text =
            "it drains through what protects others, and stops when that is shut or fails, though no flood reaches it";
        (text.to_owned(), "a drain of its own past the protection, by gravity".to_owned())
    });
    out.limit = "only what a surcharge would reach".to_owned();
    Some(out)
}
