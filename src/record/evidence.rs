//! Kinds of item that show something: penetrations, services nearby, tests, closings, photos, temporary arrangements.

use crate::record::gauge::Gauge;
use crate::record::gauge::Lasting;
use crate::record::gauge::Litres;
use crate::record::item::item;
use crate::record::quantity::Across;
use crate::record::quantity::LevelAt;
use crate::record::quantity::Measure;
use crate::record::value::ListOf;
use crate::record::value::MapOf;
use crate::record::words::Looking;
use crate::record::words::Mention;
use crate::record::words::Ref;
use crate::record::words::Stage;
use crate::record::words::TestKind;
use crate::record::words::TestMethod;
use crate::record::words::Text;
use crate::record::words::Water;
use crate::record::words::Words;
use crate::record::words::YesNo;
use chrono::NaiveDate;

item! {
    /// One face of a penetration.
    Face {
        /// What seals it.
        seal "seal": Words = "collar";
        /// The paper that classes the seal.
        doc "doc": Ref = "C1";
        /// What it is fixed to.
        fixed_to "fixed-to": Words = "noggins";
    }
}
item! {
    /// What closes the gap round a drain that goes through a wall.
    Gap {
        /// Whether a rigid sheet covers it on both sides, against fill and vermin.
        sheet "sheet": YesNo = "yes";
        /// Whether a compressible sealant closes it, against gas.
        sealant "sealant": YesNo = "yes";
    }
}
item! {
    /// A pipe through a part of the building.
    Penetration {
        /// The pipe.
        pipe "pipe": Ref = "S1" required;
        /// The element it goes through.
        element "element": Ref = "FL1" required;
        /// The hole's diameter.
        hole "hole": Measure = "127 mm";
        /// The opening's size, when it is not a drilled hole.
        opening "opening": Across = "230 x 230 mm";
        /// What carries the wall over it.
        lintel "lintel": Words = "concrete 100 x 140 mm";
        /// The least clearance round the pipe.
        clear "clear": Measure = "60 mm";
        /// What closes the gap round a drain.
        gap "gap": Gap = "{sheet: yes, sealant: yes}";
        /// For a pipe built in: how far the first flexible joint lies from each face.
        joints "joints": ListOf<Measure> = "[120 mm, 140 mm]";
        /// For a pipe built in: the length of the rocker pipe beyond each of those joints.
        rockers "rockers": ListOf<Measure> = "[600 mm, 600 mm]";
        /// The invert of a drain where it goes through.
        il "il": LevelAt = "TBM - 0.850 m";
        /// The lower or outer face.
        below "below": Face = "{seal: collar, doc: C1}";
        /// What fills the depth between the faces.
        between "between": Words = "mineral wool";
        /// The upper or inner face.
        above "above": Face = "{seal: mastic, doc: C2}";
        /// Both faces of a wall, in words.
        faces "faces": Words = "boarded and sealed";
        /// Where it stands in the work.
        stage "stage": Stage = "planned";
        /// When it was made.
        fitted "fitted": NaiveDate = "2026-03-10";
    }
}
item! {
    /// A service near the work.
    Nearby {
        /// What it is.
        what "what": Words = "electricity cable" required;
        /// Its distance from each pipe.
        from "from": MapOf<Measure> = "{D2: 0.70 m}";
        /// What its owner agreed to, such as building over a sewer or near it.
        agreed "agreed": Words = "build-over agreement B/77";
        /// How it was found.
        found_by "found-by": Words = "scan and hand dig";
        /// When.
        date "date": NaiveDate = "2026-02-17";
    }
}
item! {
    /// A test: its readings, never its result.
    Test {
        /// What it is; left out when it repeats another.
        what "what": TestKind = "drain air";
        /// The test it repeats and replaces.
        again "again": Ref = "T2";
        /// The pipes it speaks for.
        covers "covers": ListOf<Mention> = "[D1]";
        /// The method of BS EN 1610 by which it was done; without one it is the test of the guidance.
        method "method": TestMethod = "LA";
        /// Where it was plugged: at an end, or so far along a pipe, `D2 1.30 m up from IC1`.
        plugs "plugs": ListOf<Mention> = "[S1 foot, IC1 inlet]";
        /// When.
        date "date": NaiveDate = "2026-02-24";
        /// With what.
        kit "kit": Ref = "gauge-U";
        /// What was read on the gauge, by clock time; in a water test the height of the water.
        readings "readings": MapOf<Gauge> = "{\"15:40\": 100 mm, \"15:47\": 83 mm}";
        /// How long it took, when that is not in the clock times.
        lasted "lasted": Lasting = "30 min";
        /// How long the drain stood full, or under pressure, before.
        soak "soak": Lasting = "1 h";
        /// The water added meanwhile to keep its height.
        added "added": Litres = "0.42 l";
        /// The height of the water above the highest invert under test.
        head "head": Measure = "1.20 m";
        /// The height of the water above the lowest invert under test.
        head_low "head-low": Measure = "2.10 m";
        /// The depth of water in each chamber that was filled too.
        filled "filled": MapOf<Measure> = "{IC1: 0.90 m}";
        /// The seals left after it, by appliance.
        seals_left "seals-left": MapOf<Measure> = "{WC2: 47 mm}";
        /// How long the youngest joint under test had set before it.
        joints_set "joints-set": Lasting = "26 h";
        /// Whether the drain was cleaned and flushed before.
        flushed "flushed": YesNo = "yes";
        /// Where a camera went in.
        from "from": Ref = "IC1";
        /// How far it came.
        to "to": Ref = "MH1";
        /// Which way it looked.
        looking "looking": Looking = "downstream";
        /// What the survey graded the drain, in its own words.
        grade "grade": Words = "\"structural 1, service 2\"";
        /// By how much of its diameter it found a pipe out of round.
        deformed "deformed": Words = "at most 3 %";
        /// What was found.
        found "found": Text = "weep at B2 boss";
        /// Who saw it; `nobody` when nobody did.
        seen_by "seen-by": Text = "BC";
        /// Where dye was put in.
        put_in "put-in": Ref = "WC1";
        /// Where it was seen.
        seen_at "seen-at": Mention = "MH0 from D2";
        /// Where it was looked for and not seen.
        not_at "not-at": ListOf<Mention> = "[OLD1]";
    }
}
item! {
    /// Something that hides items, or one face of one, on a day.
    Closing {
        /// What closes.
        what "what": Text = "yard backfill" required;
        /// When.
        date "date": NaiveDate = "2026-02-27" required;
        /// What it hides.
        hides "hides": ListOf<Mention> = "[D1, P1 above]" required;
        /// Whether it is still to come.
        stage "stage": Stage = "planned";
    }
}
item! {
    /// Something that is there for a while.
    Temporary {
        /// What.
        what "what": Text = "bung in top of S1" required;
        /// The water it leads, when it leads any.
        carries "carries": Water = "rain";
        /// Where it leads that.
        into "into": Ref = "IC1";
        /// Since when.
        since "since": NaiveDate = "2026-03-12";
        /// What ends it.
        until "until": Text = "V1 fitted";
    }
}
item! {
    /// A photo.
    PhotoItem {
        /// Its file, in the record's folder or one inside it.
        file "file": Text = "IMG_2240.jpg" required;
        /// What it shows.
        shows "shows": ListOf<Mention> = "[D1, P3]" required;
        /// Which way it looks.
        looking "looking": Text = "towards IC1";
        /// Whether a tape can be read in it.
        tape_in "tape-in": YesNo = "yes";
        /// When it was taken, where the file does not say.
        date "date": NaiveDate = "2026-02-24";
        /// Who took it.
        by "by": Ref = "MK";
    }
}
