//! Velocity in a pipe by the equation of Colebrook and White.

use crate::compute::formula::GRAVITY;

/// Gives the mean velocity in a pipe, by the equation of Colebrook and White solved for velocity.
///
/// - Meaning: with the friction gradient known, friction factor and velocity fall out without trial:
///   V = −2·√(2g·D·S)·log₁₀(kₛ/(3.7·D) + 2.51·ν/(D·√(2g·D·S))).
/// - Symbols: `diameter_m` D in m, the bore of a full pipe, or four times the hydraulic radius of one that runs part
///   full; `slope` S, fall over run; `roughness_m` kₛ in m; `viscosity_m2_s` ν in m²/s; g = 9.81 m/s²; V in m/s.
/// - Range: turbulent flow (V·D/ν over about 4,000). A level pipe, a backfall and a diameter of nothing give 0; where
///   the water is so thin that the equation would turn negative it gives 0 too.
/// - Errors: none.
/// - Source: C. F. Colebrook, "Turbulent flow in pipes", J. Inst. Civ. Eng. 11 (1939); the form with V in front is that
///   of the charts for pipes and channels. Example: D 100 mm, kₛ 0.6 mm, ν 1.0·10⁻⁶ m²/s, 1 in 300 gives 0.439 m/s.
pub fn velocity_m_s(diameter_m: f64, slope: f64, roughness_m: f64, viscosity_m2_s: f64) -> f64 {
    let root = (2.0 * GRAVITY * diameter_m.max(0.0) * slope.max(0.0)).sqrt();
    if root <= 0.0 {
        return 0.0;
    }
    let inside = roughness_m.max(0.0) / (3.7 * diameter_m) + 2.51 * viscosity_m2_s.max(0.0) / (diameter_m * root);
    // A wall without roughness and water without viscosity would have no bound.
    if inside > 0.0 { (-2.0 * root * libm::log10(inside)).max(0.0) } else { 0.0 }
}
