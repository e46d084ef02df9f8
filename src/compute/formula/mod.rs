//! Published formulas, one a file: numbers in, a number out. Nothing here knows a job, a rulebook or a limit.
//!
//! 1. [`section`]: the wetted part of a round pipe.
//! 2. [`colebrook_white`]: velocity by one equation.
//! 3. [`manning`]: velocity by another.
//! 4. [`greatest`]: the most that a pipe carries.
//! 5. [`normal_depth`]: how full it runs for a flow.
//! 6. [`waste_water`]: the flow to design for, out of discharge units.
//! 7. [`air_time`]: how long an air test lasts.
//!
//! Units are SI: metres, metres a second, cubic metres a second; waste water flow is in litres a second and the time of
//! an air test in minutes, as their formulas are published. A level pipe, a backfall, no flow and a pipe of no size are legal and give 0 or a named case,
//! never something that is no number. Everything beyond the four operations and the square root goes through `libm`,
//! and every search takes a fixed number of steps, so that results are the same on every machine.

pub mod air_time;
pub mod colebrook_white;
pub mod greatest;
pub mod manning;
pub mod normal_depth;
pub mod section;
pub mod waste_water;

/// Acceleration of free fall that drainage tables are made with, in metres a second squared.
pub const GRAVITY: f64 = 9.81;

/// How a pipe resists the flow.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Wall {
    /// By the equation of Colebrook and White.
    ColebrookWhite {
        /// Roughness kₛ of the wall, in metres.
        roughness_m: f64,
        /// Kinematic viscosity ν of the water, in square metres a second.
        viscosity_m2_s: f64,
    },
    /// By the equation of Manning.
    Manning {
        /// Manning's n, in s/m^(1/3).
        n: f64,
    },
}

/// A straight round pipe.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pipe {
    /// Inside diameter D, in metres; never the nominal size.
    pub bore_m: f64,
    /// Gradient S: fall ÷ plan length; nothing for a level pipe, less for a backfall.
    pub slope: f64,
    /// How its wall resists.
    pub wall: Wall,
}

impl Pipe {
    /// Mean velocity in metres a second at a filling d/D, by whichever equation the wall follows.
    pub fn velocity_m_s(&self, filling: f64) -> f64 {
        let radius_m = section::Section::of(self.bore_m, filling).radius_m();
        match self.wall {
            Wall::ColebrookWhite { roughness_m, viscosity_m2_s } => {
                colebrook_white::velocity_m_s(4.0 * radius_m, self.slope, roughness_m, viscosity_m2_s)
            }
            Wall::Manning { n } => manning::velocity_m_s(radius_m, self.slope, n),
        }
    }

    /// Discharge in cubic metres a second at a filling d/D: velocity × wetted area.
    pub fn discharge_m3_s(&self, filling: f64) -> f64 {
        self.velocity_m_s(filling) * section::Section::of(self.bore_m, filling).area_m2
    }
}
