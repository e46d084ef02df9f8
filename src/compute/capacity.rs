//! What each drain can carry, and how full and how fast it runs with the flow it is to carry. Numbers, no verdict.

use crate::base::known::KnownGradient;
use crate::base::units::Gradient;
use crate::base::units::Length;
use crate::compute::flow::DesignFlow;
use crate::compute::formula::Pipe;
use crate::compute::formula::Wall;
use crate::compute::formula::normal_depth;
use crate::compute::formula::normal_depth::running;
use crate::network::Network;
use crate::network::kind::Kind;
use crate::rulebook::Factor;
use crate::rulebook::Facts;
use crate::rulebook::Flow;
use crate::rulebook::Rulebook;
use crate::rulebook::Velocity;
use crate::rulebook::Viscosity;
use crate::rulebook::key;

/// What a drain can carry, with what that rests on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Capacity {
    /// Inside diameter.
    pub bore: Length,
    /// Its gradient with the spread of its readings.
    pub gradient: KnownGradient,
    /// Roughness of its wall.
    pub roughness: Length,
    /// Viscosity of the water.
    pub viscosity: Viscosity,
    /// How full the guidance lets it run, depth of water over bore.
    pub filling: Factor,
    /// The velocity that keeps it clean.
    pub self_cleansing: Velocity,
    /// At the gradient as it is.
    pub here: Carries,
    /// At the flattest gradient inside the spread.
    pub flattest: Carries,
    /// At the steepest gradient inside the spread.
    pub steepest: Carries,
    /// Whether the bore or one of the coefficients was recalled and not read.
    pub recalled: bool,
}

/// What a drain carries at one gradient.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Carries {
    /// Running full.
    pub full: Stream,
    /// At the filling that the guidance allows.
    pub allowed: Stream,
    /// With the most that it is to carry; `None` when that is not known.
    pub design: Option<Running>,
    /// With the foul flow of a usual day, which is what keeps it clean; `None` when that is not known.
    pub daily: Option<Running>,
}

/// A flow and its mean velocity.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stream {
    /// The flow.
    pub flow: Flow,
    /// The velocity.
    pub velocity: Velocity,
}

/// How a drain runs with a flow.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Running {
    /// Nothing runs in it.
    Dry,
    /// It is level or falls backwards, so the water stands.
    Standing,
    /// Part full.
    PartFull {
        /// Depth of water over bore.
        filling: Factor,
        /// Mean velocity.
        velocity: Velocity,
    },
    /// More than it carries with a free surface.
    Surcharged,
}

impl Running {
    /// Whether the flow is as fast as keeps the drain clean; `None` when nothing runs, or it runs under pressure.
    pub fn cleans(&self, asked: Velocity) -> Option<bool> {
        match self {
            Running::Dry | Running::Surcharged => None,
            Running::Standing => Some(false),
            Running::PartFull { velocity, .. } => Some(*velocity >= asked),
        }
    }
}

/// What is the same for every drain.
struct Coefficients {
    roughness: Length,
    viscosity: Viscosity,
    filling: Factor,
    self_cleansing: Velocity,
    recalled: bool,
}

impl Coefficients {
    /// `None` when the rulebook leaves one of them open.
    fn of(rulebook: &Rulebook) -> Option<Self> {
        let none = Facts::new();
        let roughness = rulebook.ask(key::FLOW_ROUGHNESS, &none).limit().cloned()?;
        let viscosity = rulebook.ask(key::FLOW_VISCOSITY, &none).limit().cloned()?;
        let filling = rulebook.ask(key::DRAIN_FILLING_MAXIMUM, &none).limit().cloned()?;
        let self_cleansing = rulebook.ask(key::SELF_CLEANSING_VELOCITY_MINIMUM, &none).limit().cloned()?;
        let recalled = [roughness.recalled, viscosity.recalled, filling.recalled, self_cleansing.recalled];
        Some(Self {
            roughness: roughness.value,
            viscosity: viscosity.value,
            filling: filling.value,
            self_cleansing: self_cleansing.value,
            recalled: recalled.contains(&true),
        })
    }
}

/// For each leg that is a drain, what it can carry; `None` for other legs, and where bore or gradient is not known.
pub fn find(network: &Network<'_>, rulebook: &Rulebook, flows: &[DesignFlow]) -> Vec<Option<Capacity>> {
    let coefficients = Coefficients::of(rulebook);
    let one = |(i, leg): (usize, &crate::network::legs::Leg)| {
        let c = coefficients.as_ref().filter(|_| leg.derived.kind == Kind::Drain)?;
        let flow = flows.get(i);
        let flows = [flow.and_then(DesignFlow::whole), flow.and_then(DesignFlow::daily)];
        let capacity = capacity(c, leg.bore?, network.gradient(i)?, flows)?;
        Some(Capacity { recalled: capacity.recalled || leg.bore_recalled, ..capacity })
    };
    network.legs.iter().enumerate().map(one).collect()
}

fn capacity(c: &Coefficients, bore: Length, gradient: KnownGradient, flows: [Option<Flow>; 2]) -> Option<Capacity> {
    (bore > Length::ZERO).then(|| Capacity {
        bore,
        gradient,
        roughness: c.roughness,
        viscosity: c.viscosity,
        filling: c.filling,
        self_cleansing: c.self_cleansing,
        here: carries(c, bore, gradient.value, flows),
        flattest: carries(c, bore, gradient.flattest, flows),
        steepest: carries(c, bore, gradient.steepest, flows),
        recalled: c.recalled,
    })
}

fn carries(c: &Coefficients, bore: Length, gradient: Gradient, [peak, daily]: [Option<Flow>; 2]) -> Carries {
    let wall = Wall::ColebrookWhite { roughness_m: c.roughness.m(), viscosity_m2_s: c.viscosity.value() / 1_000_000.0 };
    let pipe = Pipe { bore_m: bore.m(), slope: gradient.ratio(), wall };
    let stream = |filling: f64| Stream {
        flow: Flow::from_ml_s(whole(pipe.discharge_m3_s(filling) * 1_000_000.0)),
        velocity: Velocity::from_thousandths(whole(pipe.velocity_m_s(filling) * 1000.0)),
    };
    let running = |flow: Option<Flow>| flow.map(|flow| runs(&pipe, flow));
    let design = running(peak);
    let daily = if daily == peak { design } else { running(daily) };
    Carries { full: stream(1.0), allowed: stream(c.filling.value()), design, daily }
}

fn runs(pipe: &Pipe, flow: Flow) -> Running {
    match running(pipe, flow.l_s() / 1000.0) {
        normal_depth::Running::Dry => Running::Dry,
        normal_depth::Running::Standing => Running::Standing,
        normal_depth::Running::Surcharged => Running::Surcharged,
        normal_depth::Running::PartFull { filling, velocity_m_s } => Running::PartFull {
            filling: Factor::from_thousandths(whole(filling * 1000.0)),
            velocity: Velocity::from_thousandths(whole(velocity_m_s * 1000.0)),
        },
    }
}

fn whole(number: f64) -> i64 {
    number.round() as i64
}
