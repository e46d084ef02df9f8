//! Access points to drains, and the benching inside them.

use crate::record::item::item;
use crate::record::quantity::Across;
use crate::record::quantity::Fall;
use crate::record::quantity::LevelAt;
use crate::record::quantity::Measure;
use crate::record::words::AccessKind;
use crate::record::words::AccessPlace;
use crate::record::words::Ref;
use crate::record::words::Stage;
use crate::record::words::Text;
use crate::record::words::Words;
use crate::record::words::YesNo;
use chrono::NaiveDate;

item! {
    /// A chamber, fitting or eye through which a drain can be got at.
    Access {
        /// What it is.
        what "what": AccessKind = "inspection chamber" required;
        /// The place it stands in.
        place "in": Text = "yard";
        /// Its inside size, one measure when round.
        across "across": Across = "450 mm";
        /// The level of its cover.
        cover "cover": LevelAt = "TBM + 0.020 m";
        /// The invert of the pipe that leaves it.
        il_out "il-out": LevelAt = "laser - 1.886 m";
        /// That invert as the drawing has it.
        il_drawn "il-drawn": LevelAt = "TBM - 1.250 m";
        /// How far its channel falls from the main drain that comes in to the one that leaves.
        channel_drop "channel-drop": Measure = "14 mm";
        /// The drain that runs straight through its channel, where several come in.
        main_run "main-run": Ref = "D1";
        /// Whether it holds an intercepting trap.
        interceptor "interceptor": YesNo = "no";
        /// The cover's class.
        class "class": Words = "A15";
        /// The cover's own size and shape.
        cover_size "cover-size": Across = "450 x 450 mm";
        /// Where to find it, from something fixed.
        place_from "where": Text = "1.9 m out from the yard-door jamb";
        /// What opens it.
        tool "tool": Words = "two lifting keys";
        /// Its state, when it was there before.
        state "state": Words = "benching cracked";
        /// What passes over it.
        traffic "traffic": Words = "no vehicles";
        /// The clear opening under its cover, one measure when round.
        opening "opening": Across = "430 mm";
        /// Whether the way in is narrowed below a larger cover, so that nobody enters.
        restricted "restricted": YesNo = "yes";
        /// How its cover is held down; `none` when it lies loose.
        fixed "fixed": Words = "two captive screws";
        /// Whether its cover comes off.
        removable "removable": YesNo = "yes";
        /// Whether its cover lets drain air out.
        ventilated "ventilated": YesNo = "no";
        /// Whether its cover is airtight.
        airtight "airtight": YesNo = "yes";
        /// Whether it stands inside a building, where its place does not say.
        indoors "indoors": YesNo = "no";
        /// The level of the paving round its cover.
        paving "paving": LevelAt = "TBM + 0.022 m";
        /// Its steps or ladder, with their spacing; `none` when it has none.
        steps "steps": Words = "step irons at 300 mm";
        /// The benching beside its channel.
        benching "benching": Benching = "{height: 110 mm, slope: 1 in 12, edge: 25 mm}";
        /// What it is built of, and to which standard.
        build "build": Words = "\"polypropylene, BS EN 13598-2\"";
        /// The concrete round it, least thickness.
        surround "surround": Measure = "150 mm";
        /// Whether it serves more than one property.
        shared "shared": YesNo = "no";
        /// Where it lies, when it serves more than one property.
        lies "lies": AccessPlace = "shared drive";
        /// The instrument its levels were read with.
        kit "kit": Ref = "laser-B";
        /// Where it stands in the work.
        stage "stage": Stage = "existing";
        /// When it was fitted.
        fitted "fitted": NaiveDate = "2026-02-20";
        /// When it was changed after that.
        changed "changed": NaiveDate = "2026-02-26";
    }
}
item! {
    /// The sloped floor beside the channel of a chamber.
    Benching {
        /// How far it comes up above the invert of the pipe that leaves.
        height "height": Measure = "110 mm";
        /// How it slopes from there back to the channel.
        slope "slope": Fall = "1 in 12";
        /// The radius of its edge at the channel.
        edge "edge": Measure = "25 mm";
    }
}
