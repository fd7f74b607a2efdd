//! What the charger can do for a case: times, pace, what it draws, and how long the bank stays dangerous.

use crate::case::Case;
use crate::case::model::Bank;
use crate::physics::charging::{SAFE_VOLTAGE, Supply, bleed_time};

/// The charge of a bank.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Charge {
    /// From empty until the set is ready \[s\].
    pub first_ready: f64,
    /// From what a shot leaves until the set is ready \[s\].
    pub ready: f64,
    /// From what a shot leaves to the set voltage \[s\].
    pub full: f64,
    /// Largest power from the mains \[W\].
    pub mains_power: f64,
    /// Largest current from the mains, root mean square \[A\].
    pub mains_current: f64,
    /// From the set voltage down to [`SAFE_VOLTAGE`] through the bleeder, once switched off \[s\].
    pub bleed: f64,
}

impl Charge {
    /// Of a case whose shots leave `left` \[V\] in the bank.
    pub fn of(case: &Case, left: f64) -> Self {
        let (charger, bank) = (&case.charger, &case.bank);
        let supply = Supply {
            power: charger.power,
            current: charger.current,
        };
        let ready = charger.ready * bank.voltage;
        let power = supply.peak_power(bank.voltage) / charger.efficiency;
        Charge {
            first_ready: supply.time(bank.capacitance, 0.0, ready),
            ready: supply.time(bank.capacitance, left, ready),
            full: supply.time(bank.capacitance, left, bank.voltage),
            mains_power: power,
            mains_current: power / (charger.mains_voltage * charger.power_factor),
            bleed: bleed_time(
                bank.capacitance,
                charger.bleeder,
                bank.voltage,
                SAFE_VOLTAGE,
            ),
        }
    }

    /// Fastest pace at which every shot finds the set ready \[welds/s\]; `None` where it is always ready.
    pub fn pace(&self) -> Option<f64> {
        (self.ready > 0.0).then(|| 1.0 / self.ready)
    }
}

/// Voltage that the next charge goes on from \[V\], of the `joules` that a shot has left in the bank.
///
/// The diode lets the bank go below zero by its own drop: that is no charge to go on from, and 0 here.
pub fn left_voltage(bank: &Bank, joules: f64) -> f64 {
    let swung = 0.5 * bank.capacitance * bank.diode_drop * bank.diode_drop;
    if joules > 1.02 * swung {
        (2.0 * joules / bank.capacitance).sqrt()
    } else {
        0.0
    }
}
