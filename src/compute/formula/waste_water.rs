//! The flow to design for, out of discharge units.

/// Gives the waste water flow of appliances in litres a second.
///
/// - Meaning: appliances are seldom used at once, so their flows add up as the square root: Qww = K·√ΣDU; and never
///   less than the largest of them alone.
/// - Symbols: `factor` K, how often they are used, without unit; `sum_l_s` ΣDU in l/s; `largest_l_s` the largest single
///   DU in l/s; Qww in l/s.
/// - Range: K from 0.5 (dwellings) to 1.2; sums of nothing give 0.
/// - Errors: none; less than nothing is taken as nothing.
/// - Source: BS EN 12056-2:2000, 6.3.1 for the formula and 6.4 for the least. Example: K 0.5, ΣDU 9.5 gives 1.541 l/s;
///   with a WC of 1.7 among them, 1.7 l/s.
pub fn waste_water_l_s(factor: f64, sum_l_s: f64, largest_l_s: f64) -> f64 {
    (factor.max(0.0) * sum_l_s.max(0.0).sqrt()).max(largest_l_s.max(0.0))
}

/// Gives the total flow to design for in litres a second.
///
/// - Meaning: what runs all the time and what is pumped comes at once, on top of the waste water flow.
/// - Symbols: `waste_water_l_s` Qww, `continuous_l_s` Qc and `pumped_l_s` Qp, all in l/s; Qtot = Qww + Qc + Qp.
/// - Range: none of them less than nothing.
/// - Errors: none; less than nothing is taken as nothing.
/// - Source: BS EN 12056-2:2000, 6.3.3 and 6.3.4. Example: 1.7 + 0.1 + 1.0 = 2.8 l/s.
pub fn total_l_s(waste_water_l_s: f64, continuous_l_s: f64, pumped_l_s: f64) -> f64 {
    waste_water_l_s.max(0.0) + continuous_l_s.max(0.0) + pumped_l_s.max(0.0)
}
