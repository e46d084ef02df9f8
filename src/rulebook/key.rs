//! The keys that code asks for, each with the type of its answer. Longer than most files: every key stands in one place.

use std::marker::PhantomData;

use crate::base::size::Nominal;
use crate::base::units::{Gradient, Length};
use crate::base::water::{PerArea, Pressure};
use crate::rulebook::coefficient::{Factor, Velocity, Viscosity};
use crate::rulebook::held::{LimitValue, Words};
use crate::rulebook::quantity::{Flow, Kind, Units, Window};

/// The name of an entry whose value is a `T`.
pub struct Key<T> {
    path: &'static str,
    gives: PhantomData<fn() -> T>,
}

impl<T> Clone for Key<T> {
    fn clone(&self) -> Self {
        *self
    }
}
impl<T> Copy for Key<T> {}

impl<T> Key<T> {
    /// A key by its path: `trap.seal.minimum`.
    pub const fn new(path: &'static str) -> Self {
        Self { path, gives: PhantomData }
    }

    /// Its path.
    pub const fn path(self) -> &'static str {
        self.path
    }
}

/// Marks the key of a clause list, whose lines each have a limit of their own.
#[derive(Clone, Copy, Debug)]
pub struct Clauses;

/// What a key of a single limit is about, in a sentence without its stop.
pub fn about(path: &str) -> Option<&'static str> {
    ABOUT.iter().find(|(key, _)| *key == path).map(|(_, words)| words.trim().trim_end_matches('.'))
}

macro_rules! keys {
    ($($(#[doc = $doc:literal])* $name:ident: $type:ty = $path:literal;)*) => {
        $($(#[doc = $doc])* pub const $name: Key<$type> = Key::new($path);)*

        /// What each of these keys is about: the sentence beside its name here.
        const ABOUT: &[(&str, &str)] = &[$(($path, concat!($($doc),*)),)*];

        /// Every key of a single limit, with the kind it gives.
        pub const ALL: &[(&str, Kind)] = &[$(($path, <$type as LimitValue>::KIND),)*];
    };
}

keys! {
    /// Least seal depth of a trap, by appliance.
    TRAP_SEAL_MINIMUM: Length = "trap.seal.minimum";
    /// Least seal left in a trap in use and under test.
    TRAP_SEAL_LEFT_MINIMUM: Length = "trap.seal.left.minimum";
    /// Longest run of a 32 mm branch from one basin or bidet.
    BRANCH_BASIN_32_LENGTH_MAXIMUM: Length = "branch.basin-32.length.maximum";
    /// Steepest slope of a 32 mm branch from one basin or bidet, by its length.
    BRANCH_BASIN_32_SLOPE_MAXIMUM: Gradient = "branch.basin-32.slope.maximum";
    /// Flattest slope of a branch discharge pipe.
    BRANCH_SLOPE_MINIMUM: Gradient = "branch.slope.minimum";
    /// Longest run of an unventilated branch from one appliance, by appliance and size.
    BRANCH_LENGTH_MAXIMUM: Length = "branch.length.maximum";
    /// Slopes of an unventilated branch from one appliance, by appliance and size.
    BRANCH_SLOPE_WINDOW: Window = "branch.slope.window";
    /// Flattest slope of such a branch from one appliance, where there is no steepest one.
    BRANCH_SLOPE_FLATTEST: Gradient = "branch.slope.flattest";
    /// Least size of a common branch, by what discharges into it.
    BRANCH_COMMON_SIZE_MINIMUM: Nominal = "branch.common.size.minimum";
    /// Most appliances on a common branch, by their kind and its size.
    BRANCH_COMMON_APPLIANCES_MAXIMUM: u32 = "branch.common.appliances.maximum";
    /// Longest common branch without a vent of its own, by the same.
    BRANCH_COMMON_LENGTH_MAXIMUM: Length = "branch.common.length.maximum";
    /// Flattest slope of a common branch, by the same.
    BRANCH_COMMON_SLOPE_MINIMUM: Gradient = "branch.common.slope.minimum";
    /// Steepest slope of a common branch, by the same.
    BRANCH_COMMON_SLOPE_MAXIMUM: Gradient = "branch.common.slope.maximum";
    /// Whether the bends of a branch turn in a wide curve.
    BRANCH_BEND_WIDE: bool = "branch.bend.wide";
    /// Least radius of a bend in a narrow branch, by its size.
    BRANCH_BEND_RADIUS_MINIMUM: Length = "branch.bend.radius.minimum";
    /// Most bends in the branch of one appliance, where a table counts them.
    BRANCH_BENDS_MAXIMUM: u32 = "branch.bends.maximum";
    /// Whether a branch joins one of its own size swept or at 45 degrees.
    BRANCH_JUNCTION_EASED: bool = "branch.junction.eased";
    /// Whether a small branch joins a large one in the upper part of its wall.
    BRANCH_JUNCTION_AT_TOP: bool = "branch.junction.at-top";
    /// Whether a large branch enters a stack of its own size swept or at 45 degrees.
    STACK_ENTRY_EASED: bool = "stack.entry.eased";
    /// Highest entry of a stub stack over its foot, by whether the branch carries a WC.
    STACK_ENTRY_STUB_HEIGHT_MAXIMUM: Length = "stack.entry.stub.height.maximum";
    /// Whether the top of a stub stack is closed by a plug or a valve.
    STACK_ENTRY_STUB_TOP_CLOSED: bool = "stack.entry.stub.top-closed";
    /// Greatest depth from the floor of a WC to the invert of a drain that it discharges straight into.
    DRAIN_WC_BELOW_FLOOR_MAXIMUM: Length = "drain.wc-below-floor.maximum";
    /// Whether a gully takes waste water only.
    DRAIN_GULLY_WASTE_ONLY: bool = "drain.gully.waste-only";
    /// Whether a waste ends between the grating of its gully and the water.
    DRAIN_GULLY_UNDER_GRATING: bool = "drain.gully.under-grating";
    /// Farthest from the trap that the vent of a branch starts.
    VENT_BRANCH_FROM_TRAP_MAXIMUM: Length = "vent.branch.from-trap.maximum";
    /// Whether it ends in open air, in a ventilating pipe or in a valve.
    VENT_BRANCH_ENDS: bool = "vent.branch.ends";
    /// Whether it rises all the way.
    VENT_BRANCH_RISES: bool = "vent.branch.rises";
    /// How far over every overflow that it serves it joins another ventilating pipe.
    VENT_BRANCH_ABOVE_SPILL_MINIMUM: Length = "vent.branch.above-spill.minimum";
    /// Whether an appliance has a trap.
    TRAP_PRESENT: bool = "trap.present";
    /// Whether a trap comes out, or has a cleaning eye.
    TRAP_REMOVABLE: bool = "trap.removable";
    /// Most bends in a common branch, where a table counts them.
    BRANCH_COMMON_BENDS_MAXIMUM: u32 = "branch.common.bends.maximum";
    /// Height of a terminal above an opening near it.
    VENT_TERMINAL_CLEARANCE: Length = "vent.terminal.clearance";
    /// What a terminal that replaces roof covering needs, which no text allows or forbids as such.
    VENT_TERMINAL_ROOFING: bool = "vent.terminal.roofing";
    /// Whether a terminal has a cage or perforated cover.
    VENT_TERMINAL_CAGE: bool = "vent.terminal.cage";
    /// Whether a ventilating pipe ends in open air.
    VENT_TERMINAL_OPEN_AIR: bool = "vent.terminal.open-air";
    /// Longest drain between two access points, by their kinds.
    ACCESS_SPACING_MAXIMUM: Length = "access.spacing.maximum";
    /// Peak flow of a number of dwellings of the usual kind.
    DRAIN_PEAK_FLOW: Flow = "drain.peak-flow";
    /// Deepest chamber that still counts as a shallow one.
    ACCESS_SHALLOW_DEPTH_MAXIMUM: Length = "access.shallow-depth.maximum";
    /// Flattest gradient of a foul drain.
    DRAIN_GRADIENT_MINIMUM: Gradient = "drain.gradient.minimum";
    /// Fullest that a foul drain may run, depth of water over bore.
    DRAIN_FILLING_MAXIMUM: Factor = "drain.filling.maximum";
    /// Whether a main drain is ventilated at or near its head.
    DRAIN_VENTILATED_AT_HEAD: bool = "drain.ventilated-at-head";
    /// Longest branch drain that needs no ventilating pipe of its own.
    DRAIN_UNVENTILATED_LENGTH_MAXIMUM: Length = "drain.unventilated-length.maximum";
    /// Smallest trap or outlet, by appliance.
    TRAP_SIZE_MINIMUM: Nominal = "trap.size.minimum";
    /// Whether a branch is at least as large as its trap.
    BRANCH_NOT_SMALLER_THAN_TRAP: bool = "branch.not-smaller-than-trap";
    /// Pressure at which an air test above ground begins.
    AIR_TEST_PRESSURE_MINIMUM: Length = "air-test.pressure.minimum";
    /// How many minutes an air test above ground is held.
    AIR_TEST_MINUTES_MINIMUM: u32 = "air-test.minutes.minimum";
    /// What an air test above ground may lose meanwhile.
    AIR_TEST_LOSS_MAXIMUM: Length = "air-test.loss.maximum";
    /// Whether the disc cut out for a boss was taken out.
    COUPON_OUT: bool = "coupon.out";
    /// Discharge units of an appliance, by what it is; of a WC while its cistern is not said.
    FLOW_UNITS: Units = "flow.units.appliance";
    /// Discharge units of a WC, by its cistern.
    FLOW_UNITS_WC: Units = "flow.units.wc";
    /// Discharge units of a whole dwelling of which nothing else is known.
    FLOW_UNITS_DWELLING: Units = "flow.units.dwelling";
    /// How often appliances of a dwelling are used: K.
    FLOW_FREQUENCY: Factor = "flow.frequency";
    /// Roughness of the wall of a drain in use.
    FLOW_ROUGHNESS: Length = "flow.roughness";
    /// Kinematic viscosity of the water.
    FLOW_VISCOSITY: Viscosity = "flow.viscosity";
    /// Most that a stack with a vent of its own at the top carries, by size and entry.
    STACK_FLOW_MAXIMUM: Flow = "stack.flow.maximum";
    /// Greatest flow in a stack by the table of the guidance, which goes with its flows by dwellings.
    STACK_SIZE_FLOW_MAXIMUM: Flow = "stack.size.flow.maximum";
    /// How far apart, centre line to centre line, branches enter opposite sides of a stack, by the larger of the two.
    STACK_ENTRY_APART_MINIMUM: Length = "stack.entry.apart.minimum";
    /// Height of the lowest branch over the invert at the tail of the foot bend.
    STACK_ENTRY_LOWEST_MINIMUM: Length = "stack.entry.lowest.minimum";
    /// Least size of a stack, by the WCs on it.
    STACK_SIZE_MINIMUM: Nominal = "stack.size.minimum";
    /// Least radius of the bend at the foot of a stack, at its centre line.
    STACK_FOOT_RADIUS_MINIMUM: Length = "stack.foot.radius.minimum";
    /// Whether two bends of 45 degrees make that foot.
    STACK_FOOT_TWO_45: bool = "stack.foot.two-45";
    /// Whether a discharge stack is ventilated.
    STACK_VENTILATED: bool = "stack.ventilated";
    /// Height of an access piece on a stack above the spill-over level of the lowest floor's appliances.
    STACK_ACCESS_ABOVE_SPILL_OVER_MINIMUM: Length = "stack.access.above-spill-over.minimum";
    /// The standard of an air admittance valve.
    AAV_STANDARD: Words = "aav.standard";
    /// Whether it stands inside the building.
    AAV_INSIDE: bool = "aav.inside";
    /// Whether it is got at once all is closed.
    AAV_REACHABLE: bool = "aav.reachable";
    /// Whether an open vent remains on the drain below it.
    AAV_DRAIN_VENT: bool = "aav.drain-vent";
    /// Height of the valve above the spill-over level of the appliances that it serves.
    AAV_LEVEL_MINIMUM: Length = "aav.level.minimum";
    /// The letter of a valve that may lie lower.
    AAV_LEVEL_LETTER: Words = "aav.level.letter";
    /// How many times the flow in its stack a valve at the top lets in as air.
    AAV_AIR_STACK_MINIMUM: Factor = "aav.air.stack.minimum";
    /// How many times the flow in its branch a valve on a branch lets in as air.
    AAV_AIR_BRANCH_MINIMUM: Factor = "aav.air.branch.minimum";
    /// Whether a stack is at least as large as every branch that enters it.
    STACK_SIZE_NOT_SMALLER_THAN_BRANCH: bool = "stack.size.not-smaller-than-branch";
    /// Least size of the ventilating part of a stack, by the size of the stack.
    VENT_SIZE_MINIMUM: Nominal = "vent.size.minimum";
    /// Least size of a ventilating pipe on a branch.
    VENT_BRANCH_SIZE_MINIMUM: Nominal = "vent.branch-size.minimum";
    /// Whether a spare entry or the end of a pipe is closed.
    OPEN_END_CLOSED: bool = "open-end.closed";
    /// Velocity that keeps a drain clean.
    SELF_CLEANSING_VELOCITY_MINIMUM: Velocity = "self-cleansing.velocity.minimum";
    /// Gradient by size that keeps a drain clean whatever runs in it.
    SELF_CLEANSING_GRADIENT_MINIMUM: Gradient = "self-cleansing.gradient.minimum";
    /// Flattest gradient by an old rule of thumb, by size.
    MAGUIRE_GRADIENT_MINIMUM: Gradient = "maguire.gradient.minimum";
    /// Least size of a private sewer, by the dwellings that drain through it.
    DRAIN_SEWER_SIZE_MINIMUM: Nominal = "drain.sewer-size.minimum";
    /// Least size of a drain for rain.
    DRAIN_RAIN_SIZE_MINIMUM: Nominal = "drain.rain-size.minimum";
    /// Flattest gradient of a drain for rain, by size.
    DRAIN_RAIN_GRADIENT_MINIMUM: Gradient = "drain.rain-gradient.minimum";
    /// Whether water put in at a foul drain is seen to come down it and nowhere else.
    DRAIN_FOUL_TO_FOUL: bool = "drain.foul-to-foul";
    /// Least clearance round a drain through an opening in a wall.
    DRAIN_WALL_CLEARANCE_MINIMUM: Length = "drain.wall.clearance.minimum";
    /// Whether a lintel carries the wall over the opening for a drain.
    DRAIN_WALL_LINTEL: bool = "drain.wall.lintel";
    /// Farthest that the first joint lies from the face of a wall into which a drain is built.
    DRAIN_WALL_JOINT_DISTANCE_MAXIMUM: Length = "drain.wall.joint-distance.maximum";
    /// Longest rocker pipe beyond the first joint outside a wall.
    DRAIN_WALL_ROCKER_LENGTH_MAXIMUM: Length = "drain.wall.rocker-length.maximum";
    /// Farthest trench that still counts as close to a foundation.
    DRAIN_TRENCH_NEAR_MAXIMUM: Length = "drain.trench.near.maximum";
    /// How far below the foundation the concrete in a close trench may stop.
    DRAIN_TRENCH_BELOW_FOUNDATION_MAXIMUM: Length = "drain.trench.below-foundation.maximum";
    /// By how much the distance of a trench farther off exceeds how far its concrete stops below the foundation.
    DRAIN_TRENCH_SET_BACK_MINIMUM: Length = "drain.trench.set-back.minimum";
    /// Least larger side, or diameter, of an access fitting or inspection chamber, by depth.
    ACCESS_CHAMBER_LENGTH_MINIMUM: Length = "access.chamber.length.minimum";
    /// Least smaller side of an access fitting or inspection chamber that is not round.
    ACCESS_CHAMBER_WIDTH_MINIMUM: Length = "access.chamber.width.minimum";
    /// Least larger side, or diameter, of a manhole, by depth and largest pipe.
    ACCESS_MANHOLE_LENGTH_MINIMUM: Length = "access.manhole.length.minimum";
    /// Least smaller side of a manhole that is not round.
    ACCESS_MANHOLE_WIDTH_MINIMUM: Length = "access.manhole.width.minimum";
    /// Least larger side, or diameter, of a manhole on a sewer that serves more than one property.
    ACCESS_MANHOLE_SHARED_LENGTH_MINIMUM: Length = "access.manhole.shared.length.minimum";
    /// Least smaller side of one that is not round.
    ACCESS_MANHOLE_SHARED_WIDTH_MINIMUM: Length = "access.manhole.shared.width.minimum";
    /// Least larger side, or diameter, of the clear opening over a fitting or inspection chamber.
    ACCESS_COVER_LENGTH_MINIMUM: Length = "access.cover.length.minimum";
    /// Least smaller side of one that is not round.
    ACCESS_COVER_WIDTH_MINIMUM: Length = "access.cover.width.minimum";
    /// Largest opening over a deep inspection chamber of which the way in is not narrowed.
    ACCESS_COVER_DEEP_MAXIMUM: Length = "access.cover.deep.maximum";
    /// Least larger side, or diameter, of the clear opening over a manhole.
    ACCESS_COVER_MANHOLE_LENGTH_MINIMUM: Length = "access.cover.manhole.length.minimum";
    /// Least smaller side of one that is not round.
    ACCESS_COVER_MANHOLE_WIDTH_MINIMUM: Length = "access.cover.manhole.width.minimum";
    /// Whether a cover comes off.
    ACCESS_COVER_REMOVABLE: bool = "access.cover.removable";
    /// Whether a cover lets drain air out.
    ACCESS_COVER_VENTILATED: bool = "access.cover.ventilated";
    /// Whether a light cover, or one inside a building, is held down.
    ACCESS_COVER_SECURED: bool = "access.cover.secured";
    /// Whether a cover inside a building is airtight.
    ACCESS_COVER_AIRTIGHT: bool = "access.cover.airtight";
    /// Classes of cover for what passes over.
    ACCESS_COVER_CLASS: Words = "access.cover.class";
    /// Whether a manhole has steps or a ladder, by its depth.
    ACCESS_STEPS: bool = "access.steps";
    /// How far benching comes up above the top of the pipe that leaves.
    ACCESS_BENCHING_RISE_MINIMUM: Length = "access.benching.rise.minimum";
    /// Flattest slope of benching.
    ACCESS_BENCHING_SLOPE_MINIMUM: Gradient = "access.benching.slope.minimum";
    /// Least radius of its edge at the channel.
    ACCESS_BENCHING_EDGE_MINIMUM: Length = "access.benching.edge.minimum";
    /// How far the invert of a branch lies above the middle of the open channel that it enters.
    ACCESS_CHANNEL_BRANCH_ABOVE_MIDDLE_MINIMUM: Length = "access.channel.branch-above-middle.minimum";
    /// Whether a branch enters the channel by a three-quarter section, by how sharply it turns.
    ACCESS_CHANNEL_THREE_QUARTER: bool = "access.channel.three-quarter";
    /// Where an access point lies that serves more than one property.
    ACCESS_SHARED_PLACE: Words = "access.shared.place";
    /// Whether a chamber that opens stands below a rodding eye.
    EYE_CHAMBER_BELOW: bool = "eye.chamber-below";
    /// Greatest depth of a rodding eye.
    EYE_DEPTH_MAXIMUM: Length = "eye.depth.maximum";
    /// Least concrete round a rodding eye.
    EYE_SURROUND_MINIMUM: Length = "eye.surround.minimum";
    /// Least concrete round an access fitting or gully.
    FITTING_SURROUND_MINIMUM: Length = "fitting.surround.minimum";
    /// How far a cover may stand above its paving.
    COVER_ABOVE_PAVING_MAXIMUM: Length = "cover.above-paving.maximum";
    /// How far it may lie below.
    COVER_BELOW_PAVING_MAXIMUM: Length = "cover.below-paving.maximum";
    /// Whether all ways of reckoning a level or fall agree within what the readings may be off.
    LEVELS_AGREE: bool = "levels.agree";
    /// How far an invert that comes into a chamber lies at least above the one that leaves.
    LEVELS_STEP_MINIMUM: Length = "levels.step.minimum";
    /// How far a soffit that comes into a chamber lies at least above that of a larger pipe that leaves.
    LEVELS_SOFFIT_STEP_MINIMUM: Length = "levels.soffit-step.minimum";
    /// How far the invert of a chamber may lie from where the drawing has it.
    LEVELS_TOLERANCE_MAXIMUM: Length = "levels.tolerance.maximum";
    /// Whether a drain is nowhere narrower than what runs into it.
    DOWNSTREAM_NO_NARROWER: bool = "downstream.no-narrower";
    /// Greatest drop into a chamber without a backdrop.
    BACKDROP_WITHOUT_HEIGHT_MAXIMUM: Length = "backdrop.without.height.maximum";
    /// Least concrete round a backdrop.
    BACKDROP_ENCASEMENT_MINIMUM: Length = "backdrop.encasement.minimum";
    /// Whether a backdrop can be rodded from its top.
    BACKDROP_RODDING: bool = "backdrop.rodding";
    /// Whether rain and foul water run apart up to the sewer.
    DRAIN_RAIN_APART: bool = "drain.rain-apart";
    /// Least cover over a drain, by its material and what lies over it.
    DRAIN_COVER_MINIMUM: Length = "drain.cover.minimum";
    /// Greatest cover over a drain, by its material, its size and what lies over it.
    DRAIN_COVER_MAXIMUM: Length = "drain.cover.maximum";
    /// Least thickness of concrete round a drain that lies shallow.
    DRAIN_PROTECTION_ENCASEMENT_MINIMUM: Length = "drain.protection.encasement.minimum";
    /// Least depth of soft fill between a drain and the slab that bridges it.
    DRAIN_PROTECTION_CUSHION_MINIMUM: Length = "drain.protection.cushion.minimum";
    /// How far a slab that bridges a drain bears on undug ground at each side.
    DRAIN_PROTECTION_BEARING_MINIMUM: Length = "drain.protection.bearing.minimum";
    /// Whether the concrete over a flexible pipe under traffic is reinforced.
    DRAIN_PROTECTION_REINFORCED: bool = "drain.protection.reinforced";
    /// Whether concrete round a drain close under a slab is one with it.
    DRAIN_PROTECTION_WITH_SLAB: bool = "drain.protection.with-slab";
    /// Least surround of a drain under a building.
    DRAIN_UNDER_BUILDING_SURROUND_MINIMUM: Length = "drain.under-building.surround.minimum";
    /// Whether a drain under a building can follow a ground that settles more than usual.
    DRAIN_UNDER_BUILDING_SETTLEMENT: bool = "drain.under-building.settlement";
    /// Whether concrete round a drain has movement joints.
    DRAIN_CONCRETE_JOINTS: bool = "drain.concrete.joints";
    /// Farthest from one of them to the next, where they are not at every socket.
    DRAIN_CONCRETE_JOINT_SPACING_MAXIMUM: Length = "drain.concrete.joint-spacing.maximum";
    /// Least thickness of the board in them.
    DRAIN_CONCRETE_JOINT_BOARD_MINIMUM: Length = "drain.concrete.joint-board.minimum";
    /// Whether rigid sheets close the gap round a drain on both sides of a wall.
    DRAIN_WALL_GAP_SHEET: bool = "drain.wall.gap-sheet";
    /// Whether a sealant closes the gap round a drain in a wall against gas.
    DRAIN_WALL_GAP_SEALANT: bool = "drain.wall.gap-sealant";
    /// Whether stone lies all round a flexible drain.
    DRAIN_BED_ALL_ROUND: bool = "drain.bed.all-round";
    /// Least depth of the bed under a drain, by its class.
    DRAIN_BED_UNDER_MINIMUM: Length = "drain.bed.under.minimum";
    /// Least depth of stone over a flexible drain.
    DRAIN_BED_OVER_MINIMUM: Length = "drain.bed.over.minimum";
    /// How far over a drain the fill is selected, by its material.
    DRAIN_BED_SELECTED_FILL_MINIMUM: Length = "drain.bed.selected-fill.minimum";
    /// Largest stone of a bed, by the size of the drain.
    DRAIN_BED_STONE_MAXIMUM: Length = "drain.bed.stone.maximum";
    /// What lies clear under the sockets of a rigid drain.
    DRAIN_BED_SOCKET_CLEARANCE_MINIMUM: Length = "drain.bed.socket-clearance.minimum";
    /// Least room at each side of a drain in its trench.
    TRENCH_SIDE_MINIMUM: Length = "trench.side.minimum";
    /// By what share dug ground grows in bulk.
    TRENCH_BULKING: Factor = "trench.bulking";
    /// What is added to the outside diameter for the width of a trench by BS EN 1610, by size.
    TRENCH_WIDTH_OVER_PIPE_MINIMUM: Length = "trench-width.over-pipe.minimum";
    /// Least width of a trench by BS EN 1610, by its depth.
    TRENCH_WIDTH_BY_DEPTH_MINIMUM: Length = "trench-width.by-depth.minimum";
    /// Whether a run of drain has an access point on or near its head.
    ACCESS_AT_HEAD: bool = "access.at-head";
    /// Whether a bend, or a change of gradient, has an access point.
    ACCESS_AT_BEND: bool = "access.at-bend";
    /// Whether a change of size has an access point.
    ACCESS_AT_CHANGE_OF_SIZE: bool = "access.at-change-of-size";
    /// Whether a junction has an access point, or each run there can be cleared from another.
    ACCESS_AT_JUNCTION: bool = "access.at-junction";
    /// Whether an item is photographed between its fitting and its covering.
    PHOTO_BEFORE_COVER: bool = "photo.before-cover";
    /// Least size of a foul drain, by whether it carries a WC.
    DRAIN_SIZE_MINIMUM: Nominal = "drain.size.minimum";
    /// Whether rods come into every length of a drain.
    ACCESS_REACHED: bool = "access.reached";
    /// How far hand rods come into a drain.
    ACCESS_ROD_LENGTH_MAXIMUM: Length = "access.rod-length.maximum";
    /// Most that the gauge may fall in the air test of a drain.
    DRAIN_AIR_TEST_LOSS_MAXIMUM: Length = "drain.air-test.loss.maximum";
    /// Least minutes over which the fall of the gauge is read.
    DRAIN_AIR_TEST_MINUTES_MINIMUM: u32 = "drain.air-test.minutes.minimum";
    /// Least reading of the gauge at the start of the air test of a drain.
    DRAIN_AIR_TEST_START_MINIMUM: Length = "drain.air-test.start.minimum";
    /// Farthest from one bracket of a sloping pipe to the next, by series and size.
    SUPPORT_SPACING_SLOPING_MAXIMUM: Length = "support.spacing.sloping.maximum";
    /// Farthest from one bracket of an upright pipe to the next, by series and size.
    SUPPORT_SPACING_UPRIGHT_MAXIMUM: Length = "support.spacing.upright.maximum";
    /// Diameter of the cutter that the trade uses for a hole, by the size of the pipe.
    HOLE_CUTTER: Words = "hole.cutter";
    /// Most water that a drain may take in its water test, by what is filled.
    DRAIN_WATER_TEST_ADDED_MAXIMUM: PerArea = "drain.water-test.added.maximum";
    /// Minutes over which the water of a water test is measured.
    DRAIN_WATER_TEST_MINUTES_MINIMUM: u32 = "drain.water-test.minutes.minimum";
    /// Least minutes that a drain stands full before its water test.
    DRAIN_WATER_TEST_SOAK_MINIMUM: u32 = "drain.water-test.soak.minimum";
    /// Least height of the water above the highest invert under test.
    DRAIN_WATER_TEST_HEAD_MINIMUM: Length = "drain.water-test.head.minimum";
    /// Greatest height of the water above the lowest invert under test.
    DRAIN_WATER_TEST_HEAD_MAXIMUM: Length = "drain.water-test.head.maximum";
    /// How far the water may sink before it is topped up.
    DRAIN_WATER_TEST_SINKING_MAXIMUM: Length = "drain.water-test.sinking.maximum";
    /// Pressure at which an air test by a method of BS EN 1610 begins.
    TIGHTNESS_AIR_START_MINIMUM: Pressure = "tightness.air.start.minimum";
    /// What an air test by a method of BS EN 1610 may lose.
    TIGHTNESS_AIR_LOSS_MAXIMUM: Pressure = "tightness.air.loss.maximum";
    /// What is divided by the nominal size to give the constant of the time of such a test.
    TIGHTNESS_AIR_OVER_SIZE: Factor = "tightness.air.over-size";
    /// The greatest that the constant of the time of such a test may be.
    TIGHTNESS_AIR_CONSTANT_MAXIMUM: Factor = "tightness.air.constant.maximum";
    /// What share of the time of a pipe of the same size a chamber tested with air takes.
    TIGHTNESS_AIR_CHAMBER_SHARE: Factor = "tightness.air.chamber-share";
    /// Most water that may be added by method W, by what is filled.
    TIGHTNESS_WATER_ADDED_MAXIMUM: PerArea = "tightness.water.added.maximum";
    /// Minutes over which the water of method W is measured.
    TIGHTNESS_WATER_MINUTES_MINIMUM: u32 = "tightness.water.minutes.minimum";
    /// Least minutes that a drain stands full before method W.
    TIGHTNESS_WATER_SOAK_MINIMUM: u32 = "tightness.water.soak.minimum";
    /// Least pressure at the top of the pipe.
    TIGHTNESS_WATER_PRESSURE_MINIMUM: Pressure = "tightness.water.pressure.minimum";
    /// Greatest pressure at the top of the pipe.
    TIGHTNESS_WATER_PRESSURE_MAXIMUM: Pressure = "tightness.water.pressure.maximum";
    /// How far the pressure may sink before it is topped up.
    TIGHTNESS_WATER_SINKING_MAXIMUM: Pressure = "tightness.water.sinking.maximum";
    /// Whether a pipe through what separates fire is sealed no worse than what it goes through.
    FIRE_SEAL: bool = "fire.seal";
    /// Widest pipe that needs no seal of proven class, by what it is made of.
    FIRE_SMALL_PIPE_BORE_MAXIMUM: Length = "fire.small-pipe.bore.maximum";
    /// What may be packed round a pipe that needs no seal of proven class.
    FIRE_SMALL_PIPE_STOPPING: Words = "fire.small-pipe.stopping";
    /// Pipe ends with which a seal must have been tested.
    FIRE_TEST_PIPE_ENDS: Words = "fire-test.pipe-ends";
    /// Whether what lies below the water of a surcharge is pumped.
    SURCHARGE_PUMPED: bool = "surcharge.pumped";
    /// Whether what a surcharge could reach is behind a valve, or pumped.
    SURCHARGE_PROTECTED: bool = "surcharge.protected";
    /// How far the top of the outside gully lies below the lowest floor.
    SURCHARGE_GULLY_BELOW_FLOOR_MINIMUM: Length = "surcharge.gully-below-floor.minimum";
    /// Whether what is not at risk drains past valve and pump.
    SURCHARGE_BYPASS: bool = "surcharge.bypass";
    /// Whether a valve can be closed by hand.
    VALVE_MANUAL_CLOSURE: bool = "valve.manual-closure";
    /// The standard of an anti-flooding valve.
    VALVE_STANDARD: Words = "valve.standard";
    /// Most buildings that drain through a valve that closes once.
    VALVE_BUILDINGS_MAXIMUM: u32 = "valve.buildings.maximum";
    /// Whether a notice tells of the valve.
    VALVE_NOTICE: bool = "valve.notice";
    /// Whether there is a reason to pump.
    PUMP_REASON: bool = "pump.reason";
    /// The standard of a pump, by whether it stands inside.
    PUMP_STANDARD: Words = "pump.standard";
    /// The standard to which a pump inside is designed.
    PUMP_DESIGN: Words = "pump.design";
    /// Least hours of inflow that are stored ahead of a pump.
    PUMP_STORAGE_HOURS_MINIMUM: u32 = "pump.storage.hours.minimum";
    /// Litres a head and day of a dwelling.
    PUMP_LITRES_PER_HEAD: u32 = "pump.litres-per-head";
    /// Whether the local authority was asked about rats.
    RODENTS_ASKED: bool = "rodents.asked";
    /// Whether measures against them were taken where they are called for.
    RODENTS_MEASURES: bool = "rodents.measures";
    /// Whether a drain has an open vent.
    DRAIN_OPEN_VENT: bool = "drain.open-vent";
    /// Whether a drain joins another at a slant, with the flow.
    DRAIN_JUNCTION_OBLIQUE: bool = "drain.junction-oblique";
    /// Whether a connection is made with made fittings.
    DRAIN_CONNECTION_MADE: bool = "drain.connection-made";
    /// Whether foul water ends where it may.
    DRAIN_FOUL_OUTFALL: bool = "drain.foul-outfall";
    /// Whether a drain out of use was cut off near the live system.
    DISUSED_CUT_OFF: bool = "disused.cut-off";
    /// From this depth on a drain out of use need not be dug out.
    DISUSED_DUG_OUT_ABOVE_MINIMUM: Length = "disused.dug-out-above.minimum";
    /// How many ends of a disused drain are sealed.
    DISUSED_SEALED_ENDS_MINIMUM: u32 = "disused.sealed-ends.minimum";
    /// Whether a disused drain is filled, by its size.
    DISUSED_FILLED: bool = "disused.filled";
}

/// What the end of a ventilating pipe must satisfy, a line each.
pub const VENT_TERMINAL: Key<Clauses> = Key::new("vent.terminal");

/// Every key of a clause list.
pub const ALL_LISTS: &[&str] = &[VENT_TERMINAL.path()];
