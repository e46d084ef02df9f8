//! The wetted part of a round pipe that runs part full.

/// A wetted cross-section.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Section {
    /// Wetted area A, in square metres.
    pub area_m2: f64,
    /// Wetted perimeter P, in metres; without the surface.
    pub perimeter_m: f64,
}

impl Section {
    /// Gives the wetted area and perimeter of a round pipe for how full it is.
    ///
    /// - Meaning: the segment of a circle under the water line.
    /// - Symbols: `bore_m` D in m; `filling` d/D, depth of water over bore, without unit; θ = 2·acos(1 − 2·d/D) in
    ///   radians, A = D²/8·(θ − sin θ) in m², P = D·θ/2 in m.
    /// - Range: 0 ≤ d/D ≤ 1; what lies outside is taken as empty or full, and a bore of nothing or less as no pipe.
    /// - Errors: none; an empty section has neither area nor perimeter.
    /// - Source: plane geometry. Half full A = πD²/8 and P = πD/2; d/D 0.25 gives A ÷ full A = 0.1955.
    pub fn of(bore_m: f64, filling: f64) -> Self {
        let bore_m = bore_m.max(0.0);
        let filling = filling.clamp(0.0, 1.0);
        let theta = 2.0 * libm::acos(1.0 - 2.0 * filling);
        Self {
            // Close to empty the difference may fall below nothing by a rounding.
            area_m2: (bore_m * bore_m / 8.0 * (theta - libm::sin(theta))).max(0.0),
            perimeter_m: bore_m * theta / 2.0,
        }
    }

    /// Gives the hydraulic radius R = A ÷ P in metres; nothing for an empty section.
    pub fn radius_m(&self) -> f64 {
        if self.perimeter_m > 0.0 { self.area_m2 / self.perimeter_m } else { 0.0 }
    }
}
