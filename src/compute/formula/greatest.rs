//! The most that a pipe carries with a free surface: a little short of full.

use crate::compute::formula::Pipe;

/// The greatest discharge of a pipe, and how full it then is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Greatest {
    /// Depth of water over bore.
    pub filling: f64,
    /// Discharge, in cubic metres a second.
    pub discharge_m3_s: f64,
}

/// Between this and full lies the greatest discharge of every round pipe.
const FROM: f64 = 0.85;
/// Steps of the search: each leaves 0.618 of the bracket, so sixty leave less than f64 can tell.
const STEPS: u32 = 60;

/// Finds the greatest discharge of a pipe and its filling.
///
/// - Meaning: near the crown the wetted perimeter grows faster than the area, so a pipe carries most before it is full.
/// - Symbols: see [`Pipe`]; the filling is d/D without unit, the discharge in m³/s.
/// - Range: any pipe. With Colebrook and White the filling depends on size, wall and gradient: 0.936 to 0.940 in drains
///   of 75 mm and more with walls of 0.6 to 1.5 mm, a little more in smooth ones and less in narrow ones. With Manning
///   it is 0.938 and the discharge 1.076 of full bore, whatever the pipe.
/// - Errors: none; a level pipe or a backfall carries nothing, and the filling is then without meaning.
/// - Source: golden-section search over the discharge itself, with a fixed count of steps. Example: the Manning ratio.
pub fn greatest(pipe: &Pipe) -> Greatest {
    let ratio = (5.0_f64.sqrt() - 1.0) / 2.0;
    let (mut low, mut high) = (FROM, 1.0);
    let (mut a, mut b) = (high - ratio * (high - low), low + ratio * (high - low));
    let (mut at_a, mut at_b) = (pipe.discharge_m3_s(a), pipe.discharge_m3_s(b));
    for _ in 0..STEPS {
        if at_a < at_b {
            (low, a, at_a) = (a, b, at_b);
            b = low + ratio * (high - low);
            at_b = pipe.discharge_m3_s(b);
        } else {
            (high, b, at_b) = (b, a, at_a);
            a = high - ratio * (high - low);
            at_a = pipe.discharge_m3_s(a);
        }
    }
    let filling = f64::midpoint(low, high);
    Greatest { filling, discharge_m3_s: pipe.discharge_m3_s(filling) }
}
