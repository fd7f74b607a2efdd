//! The demonstration case, which is what a case is unless a file says otherwise.

use std::collections::BTreeMap;
use std::f64::consts::FRAC_PI_2;

use super::catalogue;
use super::keys::MOST_EARTHS;
use super::model::{
    Arc, Attitude, Bank, Case, Charger, Earth, Joints, Lead, Limits, Method, Model, Polarity,
    Probe, Room, Sheet, Stud, Thermal, Tool, Wear,
};

/// Earth leads of the demonstration case.
pub(super) const EARTHS: usize = 2;

/// Default positions of the clamps of up to four earth leads \[m\].
const PLACES: [[f64; 2]; MOST_EARTHS] = [[-0.2, 0.0], [0.2, 0.0], [0.0, -0.2], [0.0, 0.2]];

/// The default earth lead of this number.
pub(super) fn earth(number: usize) -> Earth {
    Earth {
        length: 5.0,
        section: 25e-6,
        terminal: catalogue::joint("tight"),
        clamp: catalogue::joint("tight"),
        clamp_radius: 0.015,
        at: PLACES[number.min(MOST_EARTHS - 1)],
        elevation: 0.0,
        azimuth: 0.0,
    }
}

impl Default for Case {
    fn default() -> Self {
        let size = catalogue::stud("M5");
        Case {
            title: String::new(),
            bank: Bank {
                capacitance: 72e-3,
                voltage: 112.0,
                voltage_max: None,
                scale: None,
                esr: 2e-3,
                switch_drop: 1.1,
                switch_slope: 0.2e-3,
                internal_resistance: 0.3e-3,
                internal_inductance: 0.8e-6,
                diode_drop: 0.9,
            },
            lead: Lead {
                length: 5.0,
                section: 35e-6,
                spacing: 0.1,
                turns: 0.0,
                coil_diameter: 0.4,
                temperature: 293.15,
                elevation: FRAC_PI_2,
                direction: 0.0,
                height: 0.15,
                straight_length: 1.0,
            },
            earths: (0..EARTHS).map(earth).collect(),
            joints: Joints {
                bank: catalogue::joint("tight"),
                tool: catalogue::joint("tight"),
                chuck: catalogue::joint("tight"),
            },
            tool: tool(),
            stud: Stud {
                size: size.name.clone(),
                flange: size.flange,
                pip_diameter: size.pip_diameter,
                pip_length: size.pip_length,
                metal: catalogue::metal("mild steel"),
                polarity: Polarity::Negative,
                cone: 3f64.to_radians(),
                short_resistance: None,
            },
            sheet: Sheet {
                metal: catalogue::metal("mild steel"),
                thickness: 1.5e-3,
                centre_mark: None,
            },
            arc: Arc {
                fall: None,
                field: 3000.0,
                resistance: 0.0,
                to_cathode: 0.38,
                to_anode: 0.38,
            },
            model: Model {
                burst_share: 0.3,
                pip_share: 1.0,
                forge_resistance: 50e-6,
                stud_depth: 4e-3,
                end_time: 0.1,
                hot_share: 0.10,
                burn_share: 0.5,
                overfill: 3.0,
            },
            probe: Probe::default(),
            charger: Charger::default(),
            room: Room::default(),
            thermal: Thermal::default(),
            wear: Wear::default(),
            limits: Limits::default(),
            uncertainty: BTreeMap::new(),
        }
    }
}

/// The tool of the contact method.
fn tool() -> Tool {
    Tool {
        method: Method::Contact,
        lift: 0.3e-3,
        moving_mass: 0.120,
        spring_force: 80.0,
        spring_min: None,
        spring_max: None,
        scale: None,
        spring_rate: 3000.0,
        friction: 5.0,
        attitude: Attitude::Down,
        tilt: 0.0,
        tilt_towards: 12.0,
    }
}
