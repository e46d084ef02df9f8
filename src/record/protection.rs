//! Kinds of entry that speak of what the sewer and the ground may do to the house, and of what is fitted against it.

use crate::record::gauge::Litres;
use crate::record::item::item;
use crate::record::quantity::Count;
use crate::record::quantity::LevelAt;
use crate::record::quantity::Measure;
use crate::record::quantity::Station;
use crate::record::value::ListOf;
use crate::record::words::Ref;
use crate::record::words::Stage;
use crate::record::words::SurchargeRisk;
use crate::record::words::Text;
use crate::record::words::Words;
use crate::record::words::YesNo;
use chrono::NaiveDate;

item! {
    /// What the local authority was asked about rats, and what was done.
    Rodents {
        /// When it was asked whether special measures are needed.
        asked "asked": NaiveDate = "2026-03-02";
        /// Whether it calls for measures.
        called_for "called-for": YesNo = "yes";
        /// What was done against them.
        measures "measures": ListOf<Words> = "[sealed access fittings]";
    }
}
item! {
    /// How the site lies to the sewer, and what was there before: whether the sewer may back up, and who says so.
    Site {
        /// Whether a basement or cellar drains.
        basement "basement": YesNo = "no";
        /// Whether it lies so low that water standing in the sewer may come up inside, without a basement.
        low_lying "low-lying": YesNo = "yes";
        /// How likely the sewer is to surcharge; `none` when it is said not to.
        surcharge "surcharge": SurchargeRisk = "low stated";
        /// Who says so: a person, or the document of the undertaker.
        said_by "said-by": Ref = "C1";
        /// The level up to which the water may stand when it does: as a rule that of the lowest cover in the road.
        flood_level "flood-level": LevelAt = "TBM - 0.160 m";
        /// The outside gully where it comes up first, and does no harm.
        relief "relief": Ref = "GY1";
        /// Whether the land was built on before.
        built_on_before "built-on-before": YesNo = "yes";
        /// What was asked and done about rats.
        rodents "rodents": Rodents = "{asked: 2026-03-02, called-for: no}";
    }
}
item! {
    /// An anti-flooding valve. All that drains through the pipe it is fitted on, from above it, is behind it.
    Valve {
        /// The pipe it is fitted on.
        on "on": Ref = "D1" required;
        /// Where on that pipe; at its lower end when nothing is said.
        at "at": Station = "1.0 m up from IC1";
        /// Where to find it.
        place_from "where": Text = "in the chamber by the area steps";
        /// Whether it closes twice.
        double "double": YesNo = "yes";
        /// How it is closed by hand.
        closure "closure": Words = "lever under the cover";
        /// The standard that it is made to.
        standard "standard": Words = "EN 13564-1 type 3";
        /// How many buildings drain through it.
        buildings "buildings": Count = "1";
        /// Where in the building the notice about it hangs.
        notice "notice": Words = "inside the meter cupboard";
        /// A photo of that notice.
        photo "photo": Ref = "PH1";
        /// Where it stands in the work.
        stage "stage": Stage = "planned";
        /// When it was fitted.
        fitted "fitted": NaiveDate = "2026-03-09";
    }
}
item! {
    /// A pump or lifting station. All that drains through the pipe it pumps into is lifted by it.
    Pump {
        /// The pipe it pumps into.
        on "on": Ref = "D1" required;
        /// Where it stands.
        place_from "where": Text = "under the area steps";
        /// Whether it stands inside a building.
        inside "inside": YesNo = "yes";
        /// What its chamber holds between the level at which it starts and the level at which it would flood.
        holds "holds": Litres = "900 l";
        /// How many people drain to it.
        heads "heads": Count = "4";
        /// How many bedrooms the dwellings have that drain to it, where the people are not known.
        bedrooms "bedrooms": Count = "3";
        /// How much of their foul water is pumped, per cent; all of it when nothing is said.
        percent "percent": Count = "50";
        /// The standards that it is made and designed to.
        standard "standard": Words = "\"EN 12050-1, EN 12056-4\"";
        /// Why the drain does not run by gravity.
        why "why": Text = "the sewer lies above the cellar floor";
        /// What tells that it has stopped.
        alarm "alarm": Words = "sounder in the hall";
        /// Where it stands in the work.
        stage "stage": Stage = "planned";
        /// When it was fitted.
        fitted "fitted": NaiveDate = "2026-03-09";
    }
}
item! {
    /// What was done with a drain that carries nothing any more.
    Disused {
        /// Where it was cut off from the live system.
        cut_at "cut-at": Text = "at the junction with D1";
        /// How far that is from the live system.
        left "left": Measure = "100 mm";
        /// How deep it lies, from the surface down to its invert.
        depth "depth": Measure = "0.80 m";
        /// Whether the ground over it is open.
        open_ground "open-ground": YesNo = "yes";
        /// Whether it was dug out.
        dug_out "dug-out": YesNo = "yes";
        /// The ends and connections that were sealed.
        sealed "sealed": ListOf<Words> = "[upper end, lower end]";
        /// What it was filled with.
        filled "filled": Words = "grout";
    }
}
