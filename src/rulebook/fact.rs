//! What a limit may depend on: a closed list, so that a rulebook needs no expression language.

use std::collections::BTreeMap;

use crate::base::size::Nominal;
use crate::base::units::Length;
use crate::rulebook::quantity::{Flow, Kind, Quantity, Units};

macro_rules! facts {
    ($($(#[$doc:meta])* $name:ident = $word:literal, $kind:ident, $asks:literal;)*) => {
        /// Something about an item that a limit may depend on.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Fact {
            $($(#[$doc])* $name,)*
        }

        impl Fact {
            /// Every fact.
            pub const ALL: &[Fact] = &[$(Fact::$name,)*];

            /// The word in a rulebook.
            pub fn word(self) -> &'static str {
                match self { $(Fact::$name => $word,)* }
            }

            /// What sort of value it has; a label fact has one word.
            pub fn kind(self) -> Kind {
                match self { $(Fact::$name => Kind::$kind,)* }
            }

            /// What somebody would have to say to settle it: "how many WCs the drain serves".
            pub fn asks(self) -> &'static str {
                match self { $(Fact::$name => $asks,)* }
            }
        }
    };
}

facts! {
    /// What sort of appliance, from [`APPLIANCES`] in the built-in rulebooks.
    Appliance = "appliance", Label, "what the appliance is";
    /// Nominal size of the pipe.
    Size = "size", Size, "the size of the pipe";
    /// The series a pipe is made to, from [`SERIES`] in the built-in rulebooks.
    PipeSeries = "pipe-series", Label, "what the pipe is made of, and how it is joined";
    /// Length of a branch discharge pipe, along the barrel.
    BranchLength = "branch-length", Length, "the length of the branch";
    /// The flush of a WC's cistern, from [`CISTERNS`] in the built-in rulebooks.
    Cistern = "cistern", Label, "how much the cistern flushes";
    /// How the branches enter a stack, from [`ENTRIES`] in the built-in rulebooks.
    BranchEntry = "branch-entry", Label, "whether the branches enter square or swept";
    /// Whether the appliance drains straight into a gully.
    IntoGully = "into-gully", YesNo, "whether it drains straight into a gully";
    /// Whether a basin has spray taps and a flush-grated waste without a plug.
    SprayTaps = "spray-taps", YesNo, "whether the basin has spray taps and a waste without a plug";
    /// Whether the appliance is flat-bottomed with a trailing waste.
    FlatBottomed = "flat-bottomed", YesNo, "whether the appliance is flat-bottomed with a trailing waste";
    /// Peak flow in the drain.
    PeakFlow = "peak-flow", Flow, "the peak flow";
    /// How many WCs the drain serves.
    WcCount = "wc-count", Count, "how many WCs it serves";
    /// How many appliances a branch drain serves.
    ApplianceCount = "appliance-count", Count, "how many appliances it serves";
    /// The access point, or start, at the upstream end of a length, from [`FROM_KINDS`] in the built-in rulebooks.
    FromKind = "from-kind", Label, "what is at the upstream end";
    /// The access point or junction at the downstream end, from [`TO_KINDS`] in the built-in rulebooks.
    ToKind = "to-kind", Label, "what is at the downstream end";
    /// What an access point is, by the word of the record.
    AccessKind = "access-kind", Label, "what it is";
    /// The shape of a chamber in plan: rectangular or round.
    Shape = "shape", Label, "its size across";
    /// Depth from cover to invert; of a manhole, to the soffit.
    Depth = "depth", Length, "its depth";
    /// What a drain is made of, from [`MATERIALS`] in the built-in rulebooks.
    PipeMaterial = "pipe-material", Label, "what the drain is made of";
    /// What lies over a drain, by the word of the record.
    Surface = "surface", Label, "what lies over it";
    /// The class of a drain's bed, from [`BED_CLASSES`] in the built-in rulebooks.
    BedClass = "bed-class", Label, "the class of its bed";
    /// Distance of a terminal from an opening into a building.
    OpeningDistance = "opening-distance", Length, "how far the opening is from the terminal";
    /// How many dwellings the drain serves.
    Dwellings = "dwellings", Count, "how many dwellings it serves";
    /// Storeys of the building.
    Storeys = "storeys", Count, "how many storeys the building has";
    /// Size of the larger of two branches that enter a stack.
    BranchSize = "branch-size", Size, "the size of the branch";
    /// Size of the outlet of a WC pan.
    Outlet = "outlet", Size, "the size of the pan's outlet";
    /// Length of a ventilating pipe.
    VentLength = "vent-length", Length, "the length of the ventilating pipe";
    /// Bends in it.
    Bends = "bends", Count, "how many bends it has";
    /// Dwellings in the building.
    BuildingDwellings = "building-dwellings", Count, "how many dwellings the building holds";
    /// Sum of discharge or fixture units, where a rulebook sizes by them.
    UnitSum = "unit-sum", Units, "the sum of the units it carries";
    /// The method of a test for tightness, from [`TEST_METHODS`] in the built-in rulebooks.
    TestMethod = "test-method", Label, "by which method it was tested";
    /// What a water test fills, from [`UNDER_TEST`] in the built-in rulebooks.
    UnderTest = "under-test", Label, "whether the chambers were filled too";
    /// Whether the pipes are of concrete that was not wetted.
    DryConcrete = "dry-concrete", YesNo, "whether the pipes are of dry concrete";
    /// Degrees by which a branch turns in the open channel of a chamber.
    Turn = "turn", Count, "by how many degrees it turns in the channel";
    /// Whether a basement drains.
    Basement = "basement", YesNo, "whether a basement drains";
    /// How likely the sewer is to surcharge, by the word of the record.
    SurchargeRisk = "surcharge-risk", Label, "how likely the sewer is to surcharge, as its undertaker says";
    /// Whether a pump stands inside a building.
    PumpInside = "pump-inside", YesNo, "whether it stands inside a building";
    /// Whether there is no room for more fall.
    ShortOfSpace = "short-of-space", YesNo, "what leaves no room for more fall";
    /// How what a pipe is made of behaves in fire, from [`FIRE_MATERIALS`] in the built-in rulebooks.
    FireMaterial = "fire-material", Label, "what the pipe is made of";
}

impl Fact {
    /// From the word in a rulebook.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.iter().copied().find(|fact| fact.word() == word)
    }

    pub(super) fn all_words() -> String {
        Self::ALL.iter().map(|fact| fact.word()).collect::<Vec<_>>().join(", ")
    }
}

/// The words for [`Fact::Appliance`] in the built-in rulebooks.
pub const APPLIANCES: &[&str] =
    &["basin", "bath", "bidet", "dishwasher", "food waste", "shower", "sink", "urinal", "washing machine", "wc"];

/// The words for [`Fact::Cistern`] in the built-in rulebooks.
pub const CISTERNS: &[&str] = &["4 litre", "4.5 litre", "6 litre", "7.5 litre", "9 litre"];

/// The words for [`Fact::PipeSeries`] in the built-in rulebooks.
pub const SERIES: &[&str] = &["pvc-u", "solvent", "push-fit", "cast-iron"];

/// The words for [`Fact::PipeMaterial`] in the built-in rulebooks.
pub const MATERIALS: &[&str] = &["clay", "concrete", "plastic"];

/// The words for [`Fact::BedClass`] in the built-in rulebooks.
pub const BED_CLASSES: &[&str] = &["N", "F", "B", "S"];

/// The words for [`Fact::BranchEntry`] in the built-in rulebooks.
pub const ENTRIES: &[&str] = &["square", "swept"];

/// The words for [`Fact::TestMethod`] in the built-in rulebooks.
pub const TEST_METHODS: &[&str] = &["LA", "LB", "LC", "LD"];

/// The words for [`Fact::UnderTest`] in the built-in rulebooks.
pub const UNDER_TEST: &[&str] = &["pipes", "pipes and chambers", "chambers"];

/// The words for [`Fact::FromKind`] in the built-in rulebooks.
pub const FROM_KINDS: &[&str] = &[
    "start of drain",
    "rodding eye",
    "access fitting small",
    "access fitting large",
    "inspection chamber shallow",
    "manhole or deep chamber",
];

/// The words for [`Fact::ToKind`] in the built-in rulebooks.
pub const TO_KINDS: &[&str] = &[
    "access fitting small",
    "access fitting large",
    "junction",
    "inspection chamber shallow",
    "manhole or deep chamber",
];

/// The words for [`Fact::FireMaterial`] in the built-in rulebooks: what keeps its shape in a fire, what a table names
/// beside PVC-U, and everything else.
pub const FIRE_MATERIALS: &[&str] = &["heatproof metal", "pvc-u and the like", "other"];

/// What is known of a fact.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum FactValue {
    /// It is this.
    Known(Quantity),
    /// It was looked for and is not known, or was never said.
    Unknown,
}

macro_rules! known_from {
    ($($source:ty => $make:expr;)*) => {$(
        impl From<$source> for FactValue {
            fn from(value: $source) -> Self {
                let make: fn($source) -> Quantity = $make;
                FactValue::Known(make(value))
            }
        }
    )*};
}

known_from! {
    Quantity => |quantity| quantity;
    Length => Quantity::Length;
    Flow => Quantity::Flow;
    Units => Quantity::Units;
    Nominal => Quantity::Size;
    u32 => Quantity::Count;
    bool => Quantity::YesNo;
    &str => |word| Quantity::Label([word.to_owned()].into());
}

impl<T: Into<FactValue>> From<Option<T>> for FactValue {
    fn from(value: Option<T>) -> Self {
        value.map_or(FactValue::Unknown, Into::into)
    }
}

/// What is known of an item, for one question. What is absent is unknown.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Facts(BTreeMap<Fact, FactValue>);

impl Facts {
    /// Nothing known.
    pub fn new() -> Self {
        Self::default()
    }

    /// With one more fact; `None` is unknown, and so is a value of another sort than the fact has.
    #[must_use]
    pub fn with(mut self, fact: Fact, value: impl Into<FactValue>) -> Self {
        self.0.insert(fact, value.into());
        self
    }

    /// Without a fact.
    #[must_use]
    pub fn without(mut self, fact: Fact) -> Self {
        self.0.remove(&fact);
        self
    }

    /// The facts that are known, in order.
    pub fn known(&self) -> impl Iterator<Item = (Fact, &Quantity)> {
        self.0.iter().filter_map(|(fact, value)| match value {
            FactValue::Known(quantity) => Some((*fact, quantity)),
            FactValue::Unknown => None,
        })
    }

    pub(super) fn point(&self, fact: Fact) -> Option<Point> {
        match self.0.get(&fact)? {
            FactValue::Known(quantity) => Point::of(quantity).filter(|_| quantity.kind() == fact.kind()),
            FactValue::Unknown => None,
        }
    }
}

/// A fact's value as conditions compare it.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Point {
    Number(i64),
    Word(String),
}

impl Point {
    /// Of a quantity; `None` for gradients, which no fact has, and for several words.
    pub fn of(quantity: &Quantity) -> Option<Self> {
        Some(match quantity {
            Quantity::Length(length) => Self::Number(length.um()),
            Quantity::Flow(flow) => Self::Number(flow.ml_s()),
            Quantity::Units(units) => Self::Number(units.thousandths()),
            Quantity::Factor(factor) => Self::Number(factor.thousandths()),
            Quantity::Velocity(velocity) => Self::Number(velocity.thousandths()),
            Quantity::Viscosity(viscosity) => Self::Number(viscosity.thousandths()),
            Quantity::Pressure(pressure) => Self::Number(pressure.micro_mbar()),
            Quantity::PerArea(rate) => Self::Number(rate.ul_m2()),
            Quantity::Count(count) => Self::Number(i64::from(*count)),
            Quantity::YesNo(yes) => Self::Number(i64::from(*yes)),
            Quantity::Size(nominal) => Self::Number(i64::from(nominal.0)),
            Quantity::Label(words) if words.len() == 1 => Self::Word(words.first()?.clone()),
            Quantity::Label(_) | Quantity::Gradient(_) | Quantity::Window(_) => return None,
        })
    }

    /// Back to a value of a fact; `None` when the number does not fit it.
    pub fn to_value(&self, fact: Fact) -> Option<Quantity> {
        Some(match (fact.kind(), self) {
            (Kind::Length, Self::Number(um)) => Quantity::Length(Length::from_um(*um)),
            (Kind::Flow, Self::Number(ml)) => Quantity::Flow(Flow::from_ml_s(*ml)),
            (Kind::Units, Self::Number(n)) => Quantity::Units(Units::from_thousandths(*n)),
            (Kind::Count, Self::Number(n)) => Quantity::Count(u32::try_from(*n).ok()?),
            (Kind::YesNo, Self::Number(n)) => Quantity::YesNo(*n != 0),
            (Kind::Size, Self::Number(n)) => Quantity::Size(Nominal(u16::try_from(*n).ok()?)),
            (Kind::Label, Self::Word(word)) => Quantity::Label([word.clone()].into()),
            _ => return None,
        })
    }
}
