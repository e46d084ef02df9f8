//! Velocity in a pipe by the equation of Manning.

/// Gives the mean velocity in a pipe, by the equation of Manning.
///
/// - Meaning: V = R^(2/3)·√S ÷ n.
/// - Symbols: `radius_m` R in m, wetted area over wetted perimeter, a quarter of the bore for a full pipe; `slope` S,
///   fall over run; `n` in s/m^(1/3); V in m/s.
/// - Range: rough turbulent flow; n of 0.010 to 0.015 for pipes. A level pipe, a backfall, a radius of nothing and an n
///   of nothing give 0.
/// - Errors: none.
/// - Source: R. Manning, "On the flow of water in open channels and pipes", Trans. Inst. Civ. Eng. Ireland 20 (1891), in
///   the metric form in use. Example: D 0.1 m full, 1 in 80, n 0.011: R 0.025 m, V = 0.0855·0.1118 ÷ 0.011 = 0.869 m/s.
pub fn velocity_m_s(radius_m: f64, slope: f64, n: f64) -> f64 {
    if radius_m <= 0.0 || slope <= 0.0 || n <= 0.0 {
        return 0.0;
    }
    libm::pow(radius_m, 2.0 / 3.0) * slope.sqrt() / n
}
