//! Kinds of entry that speak of the job as a whole: who, where, with what, in which stages.

use crate::record::item::item;
use crate::record::node::Body;
use crate::record::node::Node;
use crate::record::quantity::Count;
use crate::record::quantity::LevelAt;
use crate::record::quantity::Measure;
use crate::record::quantity::Spread;
use crate::record::value::Cx;
use crate::record::value::Field;
use crate::record::value::ListOf;
use crate::record::value::MapOf;
use crate::record::value::Value;
use crate::record::words::KnownWord;
use crate::record::words::MomentWord;
use crate::record::words::Ref;
use crate::record::words::Text;
use crate::record::words::Words;
use chrono::NaiveDate;
use serde_json::Value as Json;

item! {
    /// The job: what it is called, where it is, what is asked for.
    Job {
        /// The job's own number or short name; stands on every page.
        id "id": Text = "FM-1" required;
        /// The title on the first page.
        title "title": Text = "\"Old Schoolroom: two flats\"" required;
        /// The address of the site.
        address "address": Text = "\"Rookery Lane, Finchingmere\"";
        /// The nation, since guidance differs.
        nation "nation": Text = "England";
        /// How many storeys the building has.
        storeys "storeys": Count = "2";
        /// How many dwellings the building holds.
        dwellings "dwellings": Count = "2";
        /// When the building was built.
        built "built": Words = "1880s believed";
        /// The stage asked for, by its name under `stages`.
        stage "stage": Text = "completion";
        /// The day of the visit.
        visit "visit": NaiveDate = "2026-07-02";
    }
}
item! {
    /// A person on the job; the id is how the record names them.
    Person {
        /// What they do here.
        role "role": Text = "installer" required;
        /// Their name.
        name "name": Text = "Hedy Jarrow";
        /// The firm or body they belong to.
        body "body": Text = "Example Downs Council";
        /// Their telephone.
        phone "phone": Text = "01632 960121";
        /// Their reference for the job: the application number of a building-control body.
        reference "ref": Text = "ED/26/0388";
    }
}
item! {
    /// A stage as the building-control body named it, and the moment the rules know it by.
    StageEntry {
        /// The body's own words.
        name "name": Text = "drains before backfill" required;
        /// The moment it stands for.
        moment "moment": MomentWord = "before cover" required;
    }
}
item! {
    /// For the owner's page; what is unknown prints as a blank line.
    Home {
        /// Where the water is stopped, by dwelling.
        stop_taps "stop-taps": MapOf<Text> = "{flat 1: under the kitchen sink}";
        /// Whom to call, by what they are.
        call "call": MapOf<Text> = "{drain firm: unknown}";
    }
}
item! {
    /// An instrument.
    Kit {
        /// What it is.
        what "what": Text = "rotating laser" required;
        /// How far its readings may be off.
        spread "spread": Spread = "2 mm in 10 m";
        /// When it was last checked.
        checked "checked": NaiveDate = "2026-04-27";
        /// What is read off it.
        reads "reads": Text = "difference between the legs";
    }
}
item! {
    /// What holds wherever an item says nothing else.
    Usual {
        /// How values are known.
        known "known": KnownWord = "measured";
        /// Who took them.
        by "by": Ref = "HJ";
        /// With what.
        kit "kit": Ref = "laser-B";
    }
}
item! {
    /// A level in full: where its mark is.
    LevelMark {
        /// Its height above the site's datum, or from another level.
        is "is": LevelAt = "100.000 m" required;
        /// What the mark is.
        at "at": Text = "brass screw in the yard-door threshold";
        /// A photo of it.
        photo "photo": Ref = "PH1";
    }
}

/// A named level: a short expression, or a map with its mark.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct NamedLevel {
    /// The level in full; a short expression fills `is` alone.
    pub mark: LevelMark,
}

impl Value for NamedLevel {
    const FORM: &'static str = "a level such as `TBM + 0.912 m`, or {is: 100.000 m, at: where the mark is}";
    const KNOWN: bool = false;

    fn read(node: &Node, cx: &mut Cx<'_>) -> Option<Self> {
        match &node.body {
            Body::Map(_) => crate::record::item::decode(node, cx).map(|mark| Self { mark }),
            Body::Scalar(_) | Body::List(_) => {
                let is: Field<LevelAt> = Field::read(node, cx);
                (!is.is_faulty()).then(|| Self { mark: LevelMark { is, ..LevelMark::default() } })
            }
        }
    }

    fn schema() -> Json {
        serde_json::json!({"anyOf": [crate::record::schema::field::<LevelAt>(), crate::record::schema::of_item::<LevelMark>()]})
    }
}

item! {
    /// A part of the building that pipes may cross: a wall, floor, ceiling or roof.
    Element {
        /// What it is.
        what "what": Text = "compartment floor" required;
        /// The two places it stands between, or a place and `outside`.
        between "between": ListOf<Text> = "[flat 1, flat 2]" required;
        /// The fire resistance it must keep.
        fire "fire": Words = "EI 60 from drawing";
        /// Its thickness.
        thickness "thickness": Measure = "315 mm";
        /// What hangs below it.
        ceiling "ceiling": Words = "2 x 15 mm fire board";
        /// What it is made of.
        build "build": Words = "rubble";
        /// The level of the underside of its footing.
        footing_underside "footing-underside": LevelAt = "TBM - 1.250 m";
        /// The level of its top or underside, where known.
        level "level": LevelAt = "ground + 2.700 m";
        /// Holes of other trades in the same element.
        others "others": ListOf<Words> = "[two cables beside S1]";
        /// The state of its edges.
        edges "edges": Words = "sealed to the outside wall";
    }
}
item! {
    /// A visit of the building-control surveyor.
    Visit {
        /// The stage, by its name under `stages`.
        stage "stage": Text = "drains before backfill";
        /// When the body was told.
        told "told": NaiveDate = "2026-02-23";
        /// When somebody came.
        came "came": NaiveDate = "2026-02-25";
        /// Who came.
        by "by": Ref = "BC";
        /// What was seen.
        saw "saw": ListOf<crate::record::words::Mention> = "[D1, D2]";
        /// What was said.
        said "said": Text = "test again after backfill";
    }
}
item! {
    /// A question that is open.
    Question {
        /// To whom.
        to "to": Text = "BC" required;
        /// The question.
        ask "ask": Text = "\"Will test and photos do, or open it?\"" required;
        /// What it is about.
        about "about": ListOf<crate::record::words::Mention> = "[D4]";
        /// The answer, once there is one.
        answer "answer": Text = "photos will do";
    }
}
item! {
    /// A decision with its reason.
    Decision {
        /// What was decided.
        what "what": Text = "kitchen to S1 and not to the yard gully" required;
        /// Why.
        why "why": Text = "the gully runs to the beck" required;
        /// By whom.
        by "by": Ref = "RT";
        /// When.
        date "date": NaiveDate = "2026-02-17";
    }
}
item! {
    /// A departure from the approved drawing.
    Departure {
        /// As it was drawn.
        drawn "drawn": Text = "WC1 on S1" required;
        /// As it was built.
        built "built": Text = "WC1 on D1 by D4" required;
        /// Why.
        why "why": Text = "joists run the wrong way";
        /// The day it was agreed, or `not yet`.
        agreed "agreed": Text = "not yet";
    }
}
item! {
    /// A paper that the job rests on: a maker's classification, a map, a letter.
    Document {
        /// What it is.
        what "what": Text = "collar classification" required;
        /// What it says.
        says "says": Text = "EI 60-U/U";
        /// The pipe it speaks of.
        pipe "pipe": Text = "PVC-U 110 mm";
        /// The element it speaks of.
        element "element": Text = "joisted floor with 2 x 15 mm board";
        /// Its file, beside the record.
        file "file": Text = "collar.pdf";
    }
}
