//! How full a pipe runs for a flow, and how fast the water then goes.

use crate::compute::formula::Pipe;
use crate::compute::formula::greatest::greatest;

/// How a pipe carries a flow.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Running {
    /// There is no flow.
    Dry,
    /// There is flow, and the pipe is level, falls backwards or has no bore: no depth at which the flow is even.
    Standing,
    /// Part full.
    PartFull {
        /// Depth of water over bore, at most that of the greatest discharge.
        filling: f64,
        /// Mean velocity, in metres a second.
        velocity_m_s: f64,
    },
    /// More than the pipe carries with a free surface.
    Surcharged,
}

/// Halvings of the bracket: after sixty nothing is left of it that f64 can tell.
const STEPS: u32 = 60;

/// Finds the filling at which a pipe carries a flow, and the velocity there: the test of whether it cleans itself.
///
/// - Meaning: at this depth the pull of the gradient and the friction of the wall are even.
/// - Symbols: see [`Pipe`]; `flow_m3_s` Q in m³/s; the filling is d/D without unit, the velocity in m/s.
/// - Range: from no flow to the greatest discharge. Above that of full bore two depths carry the flow; it is the lower.
/// - Errors: none; no flow, a level pipe or backfall, and more than the pipe carries are cases of their own.
/// - Source: bisection of the discharge, which rises with depth up to its greatest, with a fixed count of steps.
///   Example: half the discharge of full bore by Manning runs at d/D 0.50 with the velocity of full bore.
pub fn running(pipe: &Pipe, flow_m3_s: f64) -> Running {
    if flow_m3_s <= 0.0 {
        return Running::Dry;
    }
    let most = greatest(pipe);
    if most.discharge_m3_s <= 0.0 {
        return Running::Standing;
    }
    if flow_m3_s > most.discharge_m3_s {
        return Running::Surcharged;
    }
    let (mut low, mut high) = (0.0, most.filling);
    for _ in 0..STEPS {
        let middle = f64::midpoint(low, high);
        if pipe.discharge_m3_s(middle) < flow_m3_s {
            low = middle;
        } else {
            high = middle;
        }
    }
    Running::PartFull { filling: high, velocity_m_s: pipe.velocity_m_s(high) }
}
