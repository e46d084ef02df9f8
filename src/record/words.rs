//! Closed lists of words, and free words. Longer than most files: every word of the format stands in one place.

use crate::record::node::Node;
use crate::record::quantity::Station;
use crate::record::value::Cx;
use crate::record::value::Scalar;
use crate::record::value::Value;
use serde_json::{Value as Json, json};

/// Free text, read as it stands.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Text(pub String);

impl Scalar for Text {
    const FORM: &'static str = "a few words; in quotes when they hold `: ` or `#`";
    const PATTERN: &'static str = r"[\s\S]*\S[\s\S]*";
    const KNOWN: bool = false;
    const FREE: bool = true;
    const BARE: bool = true;

    fn from_words(words: &str) -> Result<Self, (String, String)> {
        Ok(Self(words.to_owned()))
    }
}

/// A few words, after which may stand how they are known.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Words(pub String);

impl Scalar for Words {
    const FORM: &'static str = "a few words";
    const PATTERN: &'static str = r"[\s\S]*\S[\s\S]*";
    const FREE: bool = true;
    const BARE: bool = true;

    fn from_words(words: &str) -> Result<Self, (String, String)> {
        Ok(Self(words.to_owned()))
    }
}

/// The id of an item.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Ref(pub String);

impl Scalar for Ref {
    const FORM: &'static str = "the id of an item, such as `IC1`";
    const PATTERN: &'static str = r"\S+(?: +foot)?";
    const BARE: bool = true;

    fn from_words(words: &str) -> Result<Self, (String, String)> {
        let bare = words.strip_suffix(" foot").map_or(words, str::trim_end);
        if bare.is_empty() || bare.contains(char::is_whitespace) {
            return Err((String::new(), String::new()));
        }
        Ok(Self(bare.to_owned()))
    }
}

/// An item, or one part of it: `P1 above`, `B2 coupon`, `S1 foot`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Mention {
    /// The item's id.
    pub id: String,
    /// The part, when one is named.
    pub part: Option<String>,
}

impl Scalar for Mention {
    const FORM: &'static str = "an id, or an id and the part meant: `P1 above`, `B2 coupon`";
    const PATTERN: &'static str = r"\S+(?: [\s\S]*)?";
    const KNOWN: bool = false;
    const BARE: bool = true;

    fn from_words(words: &str) -> Result<Self, (String, String)> {
        let (id, part) = words.split_once(' ').map_or((words, None), |(id, part)| (id, Some(part.trim().to_owned())));
        if id.contains(char::is_whitespace) {
            return Err((String::new(), String::new()));
        }
        Ok(Self { id: id.to_owned(), part })
    }
}

impl Mention {
    /// As written: `P1 above`.
    pub fn words(&self) -> String {
        self.part.as_ref().map_or_else(|| self.id.clone(), |part| format!("{} {part}", self.id))
    }

    /// Where along the item, when the part is such a place: `D2 1.30 m up from IC1`.
    pub fn station(&self) -> Option<Station> {
        let part = self.part.as_deref().filter(|part| part.starts_with(|c: char| c.is_ascii_digit()))?;
        Station::from_words(part).ok()
    }
}

/// Makes an enum of a closed list of words.
macro_rules! words {
    ($($(#[doc = $doc:literal])* $name:ident { $($(#[doc = $vdoc:literal])* $variant:ident = $word:literal),* $(,)? })*) => {$(
        $(#[doc = $doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
        pub enum $name { $($(#[doc = $vdoc])* $variant),* }

        impl $name {
            /// Every word with its meaning.
            pub const WORDS: &'static [(&'static str, $name)] = &[$(($word, $name::$variant)),*];

            /// The word in a record.
            pub fn word(self) -> &'static str {
                match self { $($name::$variant => $word),* }
            }
        }

        impl Value for $name {
            const FORM: &'static str = concat!("one of ", words!(@list $($word),*));
            const NONE_IS_A_WORD: bool = words!(@none $($word),*);

            fn read(node: &Node, cx: &mut Cx<'_>) -> Option<Self> {
                one_of(node, cx, Self::WORDS)
            }

            fn schema() -> Json {
                let all: Vec<&str> = Self::WORDS.iter().map(|(word, _)| *word).collect();
                word_schema(&all)
            }
        }
    )*};
    (@list $first:literal $(, $rest:literal)*) => { concat!("`", $first, "`" $(, ", `", $rest, "`")*) };
    (@none $($word:literal),*) => { const { let all: &[&str] = &[$($word),*]; has_none(all) } };
}

const fn has_none(all: &[&str]) -> bool {
    let mut i = 0;
    while i < all.len() {
        let w = all[i].as_bytes();
        if w.len() == 4 && w[0] == b'n' && w[1] == b'o' && w[2] == b'n' && w[3] == b'e' {
            return true;
        }
        i += 1;
    }
    false
}

fn one_of<T: Copy>(node: &Node, cx: &mut Cx<'_>, all: &[(&str, T)]) -> Option<T> {
    let written = node.text().map(str::trim);
    if let Some((_, value)) = written.and_then(|w| all.iter().find(|(word, _)| *word == w)) {
        return Some(*value);
    }
    let list: Vec<String> = all.iter().map(|(word, _)| format!("`{word}`")).collect();
    let near = written.and_then(|w| crate::record::fault::nearest(w, all.iter().map(|(word, _)| *word)));
    let form = match near {
        Some(word) => format!("`{word}`? The words are {}", list.join(", ")),
        None => format!("one of {}", list.join(", ")),
    };
    cx.wrong(node, &form);
    None
}

/// The schema of a closed list; the words that say how a value is known may follow.
fn word_schema(all: &[&str]) -> Json {
    // A program that checks a record with this schema may take `true` and `yes` for a truth value.
    let kind = if all.contains(&"true") { json!(["string", "boolean"]) } else { json!("string") };
    json!({"type": kind, "pattern": format!("^\\s*(?:{})\\s*$", all.join("|"))})
}

words! {
    /// What a pipe is said to be; the program derives it and holds the two against one another.
    PipeKind {
        /// A branch discharge pipe.
        Branch = "branch",
        /// A discharge stack.
        Stack = "stack",
        /// A stub stack.
        StubStack = "stub stack",
        /// A ventilating pipe.
        Vent = "vent",
        /// A drain.
        Drain = "drain",
    }
    /// Where an item stands in the work.
    Stage {
        /// Not yet there.
        Planned = "planned",
        /// Fitted; the default once `fitted` has a date.
        Installed = "installed",
        /// There before, and kept.
        Existing = "existing",
        /// Taken out.
        Removed = "removed",
        /// There for a while.
        Temporary = "temporary",
    }
    /// How one pipe enters another.
    Entry {
        /// A swept junction.
        Swept = "swept",
        /// A plain (unswept) junction.
        Plain = "plain",
        /// A junction at 45 degrees.
        Junction45 = "junction 45",
        /// A boss.
        Boss = "boss",
        /// A saddle.
        Saddle = "saddle",
        /// Into the channel of a chamber.
        Channel = "channel",
        /// A backdrop.
        Backdrop = "backdrop",
        /// A ramp in the channel's benching.
        Ramp = "ramp",
        /// The back inlet of a gully.
        GullyBack = "gully-back",
        /// A pan connector.
        PanConnector = "pan connector",
    }
    /// Which lines of two pipes meet.
    Meets {
        /// Centre line to centre line.
        Centre = "centre",
        /// Invert to invert.
        Invert = "invert",
        /// Soffit to soffit.
        Soffit = "soffit",
        /// Into the channel.
        Channel = "channel",
    }
    /// The side of a stack an entry is on: by compass, or facing the wall.
    Side {
        /// North.
        North = "north",
        /// North-east.
        NorthEast = "north-east",
        /// East.
        East = "east",
        /// South-east.
        SouthEast = "south-east",
        /// South.
        South = "south",
        /// South-west.
        SouthWest = "south-west",
        /// West.
        West = "west",
        /// North-west.
        NorthWest = "north-west",
        /// Left, facing the wall.
        Left = "left",
        /// Right, facing the wall.
        Right = "right",
        /// Front, facing the wall.
        Front = "front",
        /// Back, facing the wall.
        Back = "back",
    }
    /// What a drain is for.
    Water {
        /// Water from appliances.
        Foul = "foul",
        /// Rainwater and what else runs off a surface.
        Rain = "rain",
    }
    /// The class of the bed of a pipe.
    BedClass {
        /// On the hand-trimmed bottom of the trench.
        D = "D",
        /// On a flat bed of stone or dug fill.
        N = "N",
        /// On a flat bed of single-size stone.
        F = "F",
        /// Stone up to the middle of the pipe.
        B = "B",
        /// Stone all round and over it.
        S = "S",
    }
    /// What lies over a drain.
    Surface {
        /// A field or other open ground.
        Field = "field",
        /// A garden or path without vehicles.
        Garden = "garden",
        /// A drive or light road.
        Drive = "drive",
        /// A main road.
        Road = "road",
        /// A building.
        Building = "building",
    }
    /// How likely a sewer is to surcharge.
    SurchargeRisk {
        /// Seldom, and not far.
        Low = "low",
        /// Likely.
        High = "high",
    }
    /// What was done with the disc of a drilled entry.
    Coupon {
        /// Taken out.
        Out = "out",
        /// Not taken out.
        Inside = "inside",
    }
    /// Yes or no, in words that YAML leaves alone.
    YesNo {
        /// Yes.
        Yes = "yes",
        /// Yes.
        True = "true",
        /// No.
        No = "no",
        /// No.
        False = "false",
    }
    /// What an access point is.
    AccessKind {
        /// A capped pipe brought up to the surface.
        RoddingEye = "rodding eye",
        /// A small access fitting, 150 mm or 150 × 100 mm.
        SmallFitting = "small access fitting",
        /// A large access fitting, 225 × 100 mm.
        LargeFitting = "large access fitting",
        /// A chamber worked in from ground level.
        InspectionChamber = "inspection chamber",
        /// A chamber worked in at drain level.
        Manhole = "manhole",
        /// A gully.
        Gully = "gully",
    }
    /// Where an access point lies that serves more than one property.
    AccessPlace {
        /// In the highway.
        Highway = "highway",
        /// In open space that everybody may enter.
        OpenSpace = "open space",
        /// In a front garden without a fence.
        FrontGarden = "unfenced front garden",
        /// In a drive that is shared.
        SharedDrive = "shared drive",
        /// Anywhere else.
        Elsewhere = "elsewhere",
    }
    /// The section of the branch by which a drain enters an open channel.
    BranchSection {
        /// A half-round branch.
        Half = "half",
        /// A branch of three-quarter section.
        ThreeQuarter = "three-quarter",
    }
    /// When something must be shown.
    MomentWord {
        /// Before anything is cut.
        BeforeStart = "before start",
        /// Before it is covered.
        BeforeCover = "before cover",
        /// After it is covered.
        AfterCover = "after cover",
        /// At a test.
        AtTest = "at test",
        /// At completion.
        Completion = "completion",
        /// At handover.
        Handover = "handover",
    }
    /// What a test is.
    TestKind {
        /// Air, in a drain.
        DrainAir = "drain air",
        /// Water, in a drain.
        DrainWater = "drain water",
        /// Air, above ground.
        AboveGroundAir = "above-ground air",
        /// Seals left after discharge.
        Performance = "performance",
        /// Dye, to see where water goes.
        Dye = "dye",
        /// A ball, to see that the bore is clear.
        Ball = "ball",
        /// A camera.
        Camera = "camera",
        /// Smoke.
        Smoke = "smoke",
    }
    /// Which way a camera looks.
    Looking {
        /// With the flow.
        Downstream = "downstream",
        /// Against the flow.
        Upstream = "upstream",
    }
    /// A method of BS EN 1610 by which a drain is tested.
    TestMethod {
        /// Air, from 10 mbar.
        La = "LA",
        /// Air, from 50 mbar.
        Lb = "LB",
        /// Air, from 100 mbar.
        Lc = "LC",
        /// Air, from 200 mbar.
        Ld = "LD",
        /// Water.
        W = "W",
    }
    /// How a value is known when its item says nothing.
    KnownWord {
        /// Read off with an instrument.
        Measured = "measured",
        /// Said by somebody.
        Stated = "stated",
        /// From a drawing.
        FromDrawing = "from drawing",
        /// From the maker.
        Maker = "maker",
        /// Believed.
        Believed = "believed",
    }
    /// What hangs on an appliance's outlet.
    ApplianceKind {
        /// A water closet.
        Wc = "wc",
        /// A washbasin.
        Basin = "basin",
        /// A bidet.
        Bidet = "bidet",
        /// A bath.
        Bath = "bath",
        /// A shower.
        Shower = "shower",
        /// A sink.
        Sink = "sink",
        /// A washing machine.
        WashingMachine = "washing machine",
        /// A dishwasher.
        Dishwasher = "dishwasher",
        /// A food waste unit.
        FoodWaste = "food waste",
        /// A urinal.
        Urinal = "urinal",
    }
}

impl YesNo {
    /// Whether it is yes.
    pub fn yes(self) -> bool {
        matches!(self, YesNo::Yes | YesNo::True)
    }
}

impl Side {
    /// Degrees clockwise from north, or from the back when facing the wall; the two families never compare.
    pub fn degrees(self) -> (bool, u16) {
        match self {
            Side::North => (true, 0),
            Side::NorthEast => (true, 45),
            Side::East => (true, 90),
            Side::SouthEast => (true, 135),
            Side::South => (true, 180),
            Side::SouthWest => (true, 225),
            Side::West => (true, 270),
            Side::NorthWest => (true, 315),
            Side::Back => (false, 0),
            Side::Right => (false, 90),
            Side::Front => (false, 180),
            Side::Left => (false, 270),
        }
    }
}
