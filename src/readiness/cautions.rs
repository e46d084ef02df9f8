//! What can hurt on this job, and who it is left to: shown only when the record's facts call for it.
//!
//! The catalogue stands in `cautions.txt`, with source and `seen`. 1. [`Trigger`] is the closed list of what calls for
//! one. 2. [`site`] is what every trigger looks at; [`ground`] and [`building`] find the ids. No verdict, no method.

mod building;
mod ground;
mod site;

use crate::base::citation::Seen;
use crate::base::finding::Finding;
use crate::base::rows::rows;
use crate::compute::Computed;
use crate::network::Network;
use crate::readiness::cautions::site::Site;

/// The catalogue.
const CATALOGUE: &str = include_str!("cautions.txt");

/// Whose pack a caution stands in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reader {
    /// Whoever does or inspects the work.
    Work,
    /// The owner, afterwards.
    Owner,
    /// Both.
    Both,
}

impl Reader {
    fn from_word(word: &str) -> Option<Self> {
        [("work", Reader::Work), ("owner", Reader::Owner), ("both", Reader::Both)]
            .into_iter()
            .find(|(w, _)| *w == word)
            .map(|(_, reader)| reader)
    }

    /// Whether what is meant for this reader is shown to another.
    pub fn reaches(self, other: Reader) -> bool {
        self == other || self == Reader::Both || other == Reader::Both
    }
}

/// A caution of the catalogue.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Caution {
    /// Its id.
    pub id: &'static str,
    /// What in a record calls for it.
    pub trigger: Trigger,
    /// Whose pack it stands in.
    pub reader: Reader,
    /// The part of the catalogue that it belongs to.
    pub section: &'static str,
    /// Who it is left to.
    pub leave_to: &'static str,
    /// Who says so.
    pub source: &'static str,
    /// How that was seen.
    pub seen: Seen,
    /// What can hurt, in a sentence or two.
    pub words: &'static str,
}

/// A caution that a record calls for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Called {
    /// The caution.
    pub caution: Caution,
    /// The ids that call for it, in the order of the record.
    pub items: Vec<String>,
}

/// Every caution, in the order of the page; a line that is none is passed over, and a test counts that none is.
pub fn catalogue() -> impl Iterator<Item = Caution> {
    rows(CATALOGUE).filter_map(|cells| {
        let [id, trigger, reader, section, leave_to, source, seen, words] = cells.as_slice() else { return None };
        Some(Caution {
            id,
            trigger: Trigger::from_words(trigger)?,
            reader: Reader::from_word(reader)?,
            section,
            leave_to,
            source,
            seen: Seen::from_word(seen)?,
            words,
        })
    })
}

/// The cautions that a job calls for, in the order of the page, with the ids that call for each.
pub fn called(network: &Network<'_>, computed: &Computed, findings: &[Finding]) -> Vec<Called> {
    let site = Site::of(network, computed, findings);
    let called = catalogue().map(|caution| Called { items: caution.trigger.items(&site), caution });
    called.filter(|called| !called.items.is_empty()).collect()
}

/// Makes the list of triggers: the variant, its words in the catalogue, and what finds the ids.
macro_rules! triggers {
    ($($(#[doc = $doc:literal])* $name:ident = $words:literal => $find:path),* $(,)?) => {
        /// What in a record calls for a caution.
        #[derive(Clone, Copy, Debug, PartialEq, Eq)]
        pub enum Trigger { $($(#[doc = $doc])* $name),* }

        impl Trigger {
            /// Every trigger with its words.
            pub const WORDS: &'static [(&'static str, Trigger)] = &[$(($words, Trigger::$name)),*];

            /// The words in the catalogue.
            pub fn words(self) -> &'static str {
                match self { $(Trigger::$name => $words),* }
            }

            /// The ids of a record that call for it; none when nothing does.
            fn items(self, site: &Site<'_>) -> Vec<String> {
                match self { $(Trigger::$name => $find(site)),* }
            }
        }
    };
}

triggers! {
    /// A cable is recorded nearby.
    Cable = "a cable nearby" => ground::cables,
    /// A gas pipe is recorded nearby.
    Gas = "a gas pipe nearby" => ground::gas,
    /// A water pipe is recorded nearby.
    Water = "a water pipe nearby" => ground::water,
    /// Something else is recorded nearby.
    OtherService = "another service nearby" => ground::other_services,
    /// An overhead line is recorded nearby.
    Overhead = "an overhead line nearby" => ground::overhead,
    /// A flue is recorded nearby.
    Flue = "a flue nearby" => ground::flues,
    /// A new drain is not covered, and nothing is recorded nearby.
    NoService = "an open trench, and no service in the record" => ground::nothing_recorded,
    /// A new drain that is not covered lies deep.
    DeepTrench = "a trench 1.2 m deep or more" => ground::deep,
    /// A new drain that is not covered lies shallow, or how deep is not known.
    OpenTrench = "a trench that is not known to be that deep" => ground::shallow,
    /// A trench may undermine a foundation.
    Foundation = "a trench within its depth of a foundation" => ground::by_foundations,
    /// A new drain that is not covered reaches a street.
    Street = "new drain in a street" => ground::in_streets,
    /// There is a chamber that a head or body could enter.
    Chamber = "a chamber or manhole" => ground::chambers,
    /// The water ends in a tank or plant.
    Tank = "a tank, cesspool, plant or pump" => ground::tanks,
    /// Something is too heavy for one.
    Heavy = "a manhole cover or cast iron" => ground::heavy,
    /// A drain in use, or perhaps in use, is opened or joined.
    LiveDrain = "a live drain opened or joined" => ground::live,
    /// It carries the water of others.
    SharedDrain = "a drain that others use too" => ground::shared,
    /// A public sewer.
    PublicSewer = "a public sewer joined, or near" => ground::public_sewers,
    /// Rain meets foul water.
    RainInFoul = "rain in a foul drain" => ground::rain_in_foul,
    /// Clay that was there before and is worked on.
    OldClay = "an old clay pipe cut or opened" => ground::old_clay,
    /// A pipe that holds or may hold asbestos.
    FibrePipe = "asbestos cement or pitch fibre" => ground::fibre_pipes,
    /// An anti-flooding valve.
    Valve = "an anti-flooding valve" => ground::valves,
    /// A plug on a stack or drain.
    AccessPlug = "an access plug on a pipe" => ground::access_plugs,
    /// A bung that stands in a pipe for a while.
    Bung = "a bung or plug left in" => ground::bungs,
    /// A test whose plugs are pressed hard.
    TestPlug = "a test that presses 5 kg or more on a plug" => ground::test_plugs,
    /// A hole to make where asbestos may be.
    HoleInOldHouse = "a hole still to make in a house from before 2000" => building::holes_in_old_houses,
    /// A hole to make.
    Hole = "a hole still to make" => building::holes,
    /// A hole to make in brick, block, stone or concrete.
    MasonryHole = "a hole still to make in masonry" => building::masonry_holes,
    /// A large one.
    BigCore = "a hole of 100 mm or more still to make in masonry" => building::big_cores,
    /// A hole to make in timber.
    TimberHole = "a hole still to make in a floor, roof or partition of timber" => building::timber_holes,
    /// A wide opening that is not covered.
    WallOpening = "an opening wider than 225 mm in a wall" => building::wall_openings,
    /// A pipe through what separates fire, not covered.
    FireSeparation = "a part that separates fire, crossed and still open" => building::fire_crossings,
    /// A hole to make in a membrane.
    Membrane = "a membrane still to be pierced" => building::membranes,
    /// A joint made with solvent.
    SolventJoint = "a solvent joint not yet covered" => building::solvent_joints,
    /// A metal pipe that is worked on.
    MetalPipe = "a metal pipe cut or joined" => building::metal_pipes,
    /// Lead that is worked on.
    Lead = "lead handled" => building::lead,
    /// A terminal that is not yet there.
    Roof = "a terminal still to fit through a roof" => building::roof_work,
    /// One person for a trench or roof.
    Alone = "one person named for dangerous work" => building::alone,
}

impl Trigger {
    /// From the words in the catalogue.
    fn from_words(words: &str) -> Option<Self> {
        Self::WORDS.iter().find(|(w, _)| *w == words).map(|(_, trigger)| *trigger)
    }
}
