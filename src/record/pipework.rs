//! Kinds of item that carry water or air: appliances, pipes, outfalls, terminals, openings; access points stand in
//! [`chamber`](crate::record::chamber) and are found here too.

use crate::base::size::Size;
use crate::record::along::AlongPipe;
use crate::record::gauge::PeakFlow;
use crate::record::ground::Bed;
use crate::record::ground::Design;
use crate::record::ground::Protection;
use crate::record::ground::Settlement;
use crate::record::item::FieldSpec;
use crate::record::item::ItemKind;
use crate::record::item::item;
use crate::record::node::Body;
use crate::record::node::Node;
use crate::record::protection::Disused;
use crate::record::quantity::Count;
use crate::record::quantity::Fall;
use crate::record::quantity::LevelAt;
use crate::record::quantity::Measure;
use crate::record::quantity::Station;
use crate::record::value::Cx;
use crate::record::value::ListOf;
use crate::record::value::MapOf;
use crate::record::value::Value;
use crate::record::words::ApplianceKind;
use crate::record::words::BranchSection;
use crate::record::words::Coupon;
use crate::record::words::Entry;
use crate::record::words::Meets;
use crate::record::words::PipeKind;
use crate::record::words::Ref;
use crate::record::words::Side;
use crate::record::words::Stage;
use crate::record::words::Surface;
use crate::record::words::Text;
use crate::record::words::Water;
use crate::record::words::Words;
use crate::record::words::YesNo;
use chrono::NaiveDate;
use serde_json::Value as Json;
use serde_json::json;

pub use crate::record::chamber::Access;

item! {
    /// Something that discharges: its kind follows from the letters of its id (WC, WB, BTH, SHR, SK, WM, DW, BD, UR, FW) unless `what` says it.
    Appliance {
        /// What it is, when the letters of its id do not say.
        what "what": ApplianceKind = "basin";
        /// The place it stands in.
        place "in": Text = "flat 1";
        /// The level of the floor it stands on.
        floor "floor": LevelAt = "ground";
        /// The size of a pan's outlet.
        outlet "outlet": Size = "100 mm";
        /// The size of its trap.
        trap "trap": Size = "40 mm";
        /// The depth of its water seal.
        seal "seal": Measure = "75 mm";
        /// How its trap comes out.
        trap_out "trap-out": Words = "from above";
        /// The appliance whose trap it shares.
        into "into": Ref = "SK1";
        /// The height of its overflow above the floor.
        overflow "overflow": Measure = "860 mm";
        /// The volume of a cistern's flush, in words.
        cistern "cistern": Words = "6 litre";
        /// Where it stands in the work.
        stage "stage": Stage = "installed";
        /// When it was fitted.
        fitted "fitted": NaiveDate = "2026-03-05";
    }
}
item! {
    /// The foot of a stack.
    Foot {
        /// The drain it turns into.
        into "into": Ref = "D1" required;
        /// The bend or bends.
        bend "bend": Words = "2 x 45";
        /// The radius of its bend, at the centre line.
        radius "radius": Measure = "225 mm";
        /// The invert at the tail of the bend.
        il "il": LevelAt = "laser - 1.793 m";
    }
}
item! {
    /// A spare entry on a stack.
    Spare {
        /// Where.
        at "at": Station = "first + 420 mm" required;
        /// How it enters.
        entry "entry": Entry = "boss";
        /// On which side.
        side "side": Side = "north";
        /// Its size.
        size "size": Size = "40 mm";
        /// Not drilled; drilled and plugged; open.
        state "state": Words = "not drilled" required;
    }
}
item! {
    /// The upright pipe through which a drain drops into a chamber from well above its channel.
    BackdropSpec {
        /// How much concrete surrounds it.
        encased "encased": Measure = "150 mm";
        /// Where rods go into the drain above it.
        rodding "rodding": Words = "at top";
    }
}
/// What stands at the end of a stack's `foot` key: a map for a discharge stack, the stack's id for a vent.
#[derive(Clone, Debug, PartialEq)]
pub enum FootOf {
    /// A vent stands on a stack.
    On(String),
    /// A stack turns into a drain.
    Is(Box<Foot>),
}

impl Value for FootOf {
    const FORM: &'static str = "{into: D1, bend: 2 x 45, il: laser - 1.793 m}, or for a vent the id of its stack";
    const KNOWN: bool = false;

    fn read(node: &Node, cx: &mut Cx<'_>) -> Option<Self> {
        if let Body::Map(_) = node.body {
            return crate::record::item::decode(node, cx).map(|foot| FootOf::Is(Box::new(foot)));
        }
        match node.text().map(str::trim) {
            Some(id) if !id.contains(char::is_whitespace) && !id.is_empty() => Some(FootOf::On(id.to_owned())),
            _ => {
                cx.wrong(node, Self::FORM);
                None
            }
        }
    }

    fn schema() -> Json {
        json!({"anyOf": [{"type": "string", "pattern": "^\\s*\\S+\\s*$"}, crate::record::schema::of_item::<Foot>()]})
    }

    fn parts() -> Vec<FieldSpec> {
        Foot::fields()
    }
}

/// Inverts of a pipe: of its upper and its lower end.
#[derive(Clone, Debug, PartialEq)]
pub struct Inverts {
    /// At the upper end.
    pub up: crate::record::value::Field<LevelAt>,
    /// At the lower end.
    pub down: crate::record::value::Field<LevelAt>,
}

impl Value for Inverts {
    const FORM: &'static str =
        "two inverts, the upper end's first: [laser - 1.793 m, laser - 1.874 m]; `unknown` may stand for one";
    const KNOWN: bool = false;

    fn read(node: &Node, cx: &mut Cx<'_>) -> Option<Self> {
        let Body::List(ends) = &node.body else {
            cx.wrong(node, Self::FORM);
            return None;
        };
        let [up, down] = ends.as_slice() else {
            let what = format!("`il` has {} values", ends.len());
            cx.fault(node.span, "not readable", what, format!("write {}", Self::FORM));
            return None;
        };
        let read = |n: &Node, cx: &mut Cx<'_>| crate::record::value::Field::read(n, cx);
        let inverts = Self { up: read(up, cx), down: read(down, cx) };
        (!inverts.up.is_faulty() && !inverts.down.is_faulty()).then_some(inverts)
    }

    fn schema() -> Json {
        let end = crate::record::schema::field::<LevelAt>();
        json!({"type": "array", "items": end, "minItems": 2, "maxItems": 2})
    }
}

item! {
    /// A pipe: a branch, stack, ventilating pipe or drain. A branch says from, to, at, size, length and fall; a drain from, to, size, length and a fall or two inverts; a stack its top and foot.
    Pipe {
        /// What it is said to be; the program derives it too.
        kind "kind": PipeKind = "drain";
        /// Where its water comes from: an appliance, stack, chamber or pipe.
        from "from": Ref = "WC1";
        /// Where its water goes.
        to "to": Ref = "S1";
        /// Where on `to` it joins; for a vent, where it starts.
        at "at": Station = "first + 118 mm";
        /// How it enters.
        entry "entry": Entry = "boss";
        /// On which side of a stack.
        side "side": Side = "south";
        /// Which lines meet there.
        meets "meets": Meets = "invert";
        /// How it was put in.
        how "how": Words = "cut in with 2 slip couplings";
        /// What was done with the disc of a drilled entry.
        coupon "coupon": Coupon = "out";
        /// Its size.
        size "size": Size = "110 mm" required;
        /// Its inside diameter, where no table of its material gives it.
        bore "bore": Measure = "102 mm";
        /// Its outside diameter, where no table of its material gives it.
        outside "outside": Measure = "132 mm";
        /// What it is made of.
        material "material": Words = "PVC-U";
        /// The standard that it is made to.
        standard "standard": Words = "BS EN 1401";
        /// How it is joined.
        joints "joints": Words = "ring-seal";
        /// Its length: along the barrel for a branch, centre to centre of chambers for a drain.
        length "length": Measure = "2.20 m";
        /// Its fall.
        fall "fall": Fall = "22 mm/m";
        /// What leaves no room for more fall, on a branch that carries several WCs; `none` when nothing does.
        short_of_space "short-of-space": Words = "depth of the joists";
        /// Its inverts, the upper end's first.
        il "il": Inverts = "[laser - 1.793 m, laser - 1.874 m]";
        /// Inverts between its ends: wherever its gradient changes, and wherever else one was read.
        il_along "il-along": AlongPipe<LevelAt> = "{3.20 m down from IC1: TBM - 1.214 m}";
        /// Its bends.
        bends "bends": ListOf<Words> = "[swept 90]";
        /// The chamber, or the stack whose foot it is, at which each bend of a drain lies; `none` when they lie elsewhere.
        bends_at "bends-at": ListOf<Ref> = "[IC1]";
        /// How it is held up.
        supports "supports": Words = "clips at 0.5 m";
        /// The backdrop through which it drops into its chamber, where it enters by one.
        backdrop "backdrop": BackdropSpec = "{encased: 150 mm, rodding: at top}";
        /// Bed and surround, for a drain.
        bed "bed": Bed = "{stone: 10 mm, under: 100 mm, over: 100 mm}";
        /// Whether a ventilating pipe rises all the way.
        rises "rises": YesNo = "yes";
        /// The level at which a ventilating pipe joins another.
        joins_at "joins-at": LevelAt = "first + 1.20 m";
        /// What stands on top of a stack: a vent, a terminal, an air admittance valve.
        top "top": Ref = "V1";
        /// The foot of a stack; for a vent the stack it stands on.
        foot "foot": FootOf = "{into: D1, bend: 2 x 45, il: laser - 1.793 m}";
        /// Access pieces on it, with their places.
        access "access": MapOf<Station> = "{RP1: ground + 1.10 m}";
        /// Spare entries on it.
        spare "spare": MapOf<Spare> = "{B9: {at: first + 420 mm, entry: boss, state: not drilled}}";
        /// How it is got at once all is closed.
        reach "reach": Words = "boxed";
        /// What a drain is for: foul water unless it says otherwise.
        carries "carries": Water = "rain";
        /// The most rain that it leads in at its head, beside what other pipes bring.
        rain "rain": PeakFlow = "1.2 l/s";
        /// What else it is known to carry.
        also_carries "also-carries": Words = "1 dwelling believed";
        /// Whether an old pipe still carries anything.
        live "live": Words = "unknown";
        /// The state of an old pipe, and how that is known.
        state "state": Words = "sound by camera";
        /// What was done with an old drain that carries nothing any more.
        disused "disused": Disused = "{cut-at: MH1, sealed: [upper end, lower end]}";
        /// What passes over a drain.
        traffic "traffic": Words = "\"garden, no vehicles\"";
        /// How far the trench stays clear of each foundation beside it, by the element that stands on it.
        foundations "foundations": MapOf<Measure> = "{WA1: 0.70 m}";
        /// What lies over a drain.
        surface "surface": Surface = "garden";
        /// The least depth from that surface down to the crown of a drain.
        least_cover "least-cover": Measure = "0.68 m";
        /// The greatest depth from that surface down to the crown of a drain.
        greatest_cover "greatest-cover": Measure = "0.94 m";
        /// The level of that surface at places along it; the covers of the chambers at its ends count without being said here.
        ground_line "ground-line": AlongPipe<LevelAt> = "{4.00 m down from IC1: TBM + 0.080 m}";
        /// What protects a drain that lies shallow.
        protection "protection": Protection = "{slab: {cushion: 75 mm, bearing: 300 mm}}";
        /// The calculation by which a drain was designed where the tables of cover do not fit it.
        designed "designed": Design = "{to: BS EN 1295, doc: C3}";
        /// What lets a drain under a building follow a ground that settles more than usual; `none` when none is expected.
        settlement "settlement": Settlement = "{extra-joints: yes}";
        /// The width of its trench beside the pipe.
        trench_width "trench-width": Measure = "450 mm";
        /// How it was laid.
        laid "laid": Words = "from IC1 up the fall with sockets upwards";
        /// The warning tape in the fill over it.
        tape "tape": Words = "350 mm below the surface";
        /// The instrument its fall or levels were read with.
        kit "kit": Ref = "laser-B";
        /// Who measured it.
        by "by": Ref = "HJ";
        /// Where it stands in the work.
        stage "stage": Stage = "planned";
        /// When it was fitted.
        fitted "fitted": NaiveDate = "2026-03-05";
        /// By how many degrees its water turns in the channel of the chamber that it enters.
        turn "turn": Count = "30";
        /// The section of the branch by which it enters that channel.
        branch_section "branch-section": BranchSection = "three-quarter";
        /// When it was changed after it was fitted: tests before that day no longer speak for it.
        changed "changed": NaiveDate = "2026-02-26";
    }
}
item! {
    /// Where the water leaves the job: a sewer, a cesspool, a treatment plant, a watercourse.
    Outfall {
        /// What it is.
        what "what": Text = "public sewer" required;
        /// The place it lies in.
        place "in": Text = "street";
        /// What it carries.
        carries "carries": Words = "foul";
        /// What the sewer map shows.
        sewer_map "sewer-map": Words = "seen 2026-04-30";
    }
}
item! {
    /// Where a ventilating pipe ends.
    Terminal {
        /// What it is; say whether it has a cage.
        what "what": Words = "open pipe with cage" required;
        /// The level of its top.
        top "top": LevelAt = "ground + 8.350 m";
        /// The place an air admittance valve stands in.
        place "in": Text = "roof void";
        /// The standard that a valve is made to.
        standard "standard": Words = "BS EN 12380";
        /// The letter and number of its designation.
        class "class": Words = "A I";
        /// How much air it lets in.
        air "air": PeakFlow = "32 l/s";
        /// How it is got at.
        reach "reach": Words = "through a door in the boxing";
        /// With whom, and when, a terminal that no text speaks of was agreed.
        agreed "agreed": Words = "BC on 2026-06-01";
        /// Where it stands in the work.
        stage "stage": Stage = "planned";
        /// When it was fitted.
        fitted "fitted": NaiveDate = "2026-06-10";
    }
}
item! {
    /// A window, rooflight or other opening near a terminal.
    Opening {
        /// What it is.
        what "what": Words = "rooflight" required;
        /// Whether it opens.
        opens "opens": YesNo = "yes";
        /// The level of its head.
        head "head": LevelAt = "ground + 7.100 m";
        /// Its distance from each terminal.
        from "from": MapOf<Measure> = "{VT1: 2.20 m}";
        /// On which side of the building.
        side "side": Side = "south";
    }
}
