//! Keys of a shift: charger, workshop, heat of the rig's parts, wear and limits.

use super::key::{Choice, Key, Kind, Place};
use super::number::{Number, Range};
use super::rig::number;
use super::work::bare;
use crate::case::quantity::Dimension;

/// A quantity in a list of the thermal data.
macro_rules! stage {
    ($path:literal, $dimension:ident, $unit:literal, $range:expr, $field:ident[$index:literal], $about:literal) => {
        Key {
            path: $path,
            about: $about,
            kind: Kind::Number(
                Number::new(Dimension::$dimension, $unit, $range),
                Place::Case(
                    |case| Some(case.thermal.$field[$index]),
                    |case| Some(&mut case.thermal.$field[$index]),
                ),
            ),
        }
    };
}

const fn celsius(low: f64, high: f64) -> Range {
    Range::from_to(273.15 + low, 273.15 + high)
}

const TO_AIR: Range = Range::from_to(1e-3, 1e3);
const HEAT: Range = Range::from_to(1.0, 1e6);
const STAGE: Range = Range::from_to(0.0, 10.0);
const TAU: Range = Range::from_to(1e-6, 1e3);
const LIMIT: Range = celsius(30.0, 400.0);

/// Bounds are generous: they keep absurdities from the solver and judge no rig.
#[rustfmt::skip]
pub(super) const KEYS: &[Key] = &[
    number!("charger.power", Power, "W", Range::from_to(1.0, 1e5), charger.power, "largest power into the bank"),
    number!("charger.current", Current, "A", Range::from_to(0.01, 1e4), charger.current, "largest current into the bank"),
    number!("charger.mains_voltage", Voltage, "V", Range::from_to(10.0, 1000.0), charger.mains_voltage, "voltage of the mains"),
    bare!("charger.power_factor", Range::from_to(0.05, 1.0), charger.power_factor, "power over apparent power at the mains"),
    bare!("charger.efficiency", Range::from_to(0.05, 1.0), charger.efficiency, "power into the bank over power from the mains"),
    bare!("charger.ready", Range::from_to(0.5, 1.0), charger.ready, "share of the set voltage from which on the set is ready"),
    Key {
        path: "charger.interlock",
        about: "whether the trigger is locked until the set is ready",
        kind: Kind::Choice(Choice {
            words: &["no", "yes"],
            get: |case| usize::from(case.charger.interlock),
            put: |case, index| case.charger.interlock = index == 1,
        }),
    },
    number!("charger.bleeder", Resistance, "ohm", Range::from_to(0.1, 1e6), charger.bleeder, "discharges the bank once the set is switched off"),

    number!("room.temperature", Temperature, "degC", celsius(-40.0, 80.0), room.temperature, "temperature of the air, and of the rig as the shift begins"),

    number!("thermal.jacket", Length, "mm", Range::from_to(1e-4, 0.02), thermal.jacket, "thickness of the leads' jacket"),
    number!("thermal.jacket_conductivity", Conductivity, "W/mK", Range::from_to(0.01, 10.0), thermal.jacket_conductivity, "its thermal conductivity"),
    number!("thermal.jacket_density", Density, "kg/m3", Range::from_to(100.0, 5000.0), thermal.jacket_density, "its density"),
    number!("thermal.jacket_heat", SpecificHeat, "J/kgK", Range::from_to(100.0, 5000.0), thermal.jacket_heat, "its specific heat"),
    bare!("thermal.emissivity", Range::from_to(0.0, 1.0), thermal.emissivity, "emissivity of its surface"),
    number!("thermal.lug_heat", HeatCapacity, "J/K", HEAT, thermal.lug_heat, "heat of a terminal with its lug"),
    number!("thermal.lug_resistance", ThermalResistance, "K/W", TO_AIR, thermal.lug_resistance, "from a terminal to the air"),
    number!("thermal.clamp_heat", HeatCapacity, "J/K", HEAT, thermal.clamp_heat, "heat of an earth clamp"),
    number!("thermal.clamp_resistance", ThermalResistance, "K/W", TO_AIR, thermal.clamp_resistance, "from an earth clamp to air and sheet"),
    number!("thermal.chuck_heat", HeatCapacity, "J/K", HEAT, thermal.chuck_heat, "heat of the chuck"),
    number!("thermal.chuck_resistance", ThermalResistance, "K/W", TO_AIR, thermal.chuck_resistance, "from the chuck to tool and air"),
    number!("thermal.core_heat", HeatCapacity, "J/K", HEAT, thermal.core_heat, "heat of the capacitors' windings"),
    number!("thermal.core_resistance", ThermalResistance, "K/W", TO_AIR, thermal.core_resistance, "from the windings to their cans"),
    number!("thermal.can_heat", HeatCapacity, "J/K", HEAT, thermal.can_heat, "heat of the cans and of what is bolted to them"),
    number!("thermal.can_resistance", ThermalResistance, "K/W", TO_AIR, thermal.can_resistance, "from the cans to the air"),
    stage!("thermal.junction_r1", ThermalResistance, "K/W", STAGE, junction_r[0], "Foster table of the switch, junction to heat sink: first resistance"),
    stage!("thermal.junction_tau1", Time, "ms", TAU, junction_tau[0], "its time constant"),
    stage!("thermal.junction_r2", ThermalResistance, "K/W", STAGE, junction_r[1], "second resistance"),
    stage!("thermal.junction_tau2", Time, "ms", TAU, junction_tau[1], "its time constant"),
    stage!("thermal.junction_r3", ThermalResistance, "K/W", STAGE, junction_r[2], "third resistance"),
    stage!("thermal.junction_tau3", Time, "ms", TAU, junction_tau[2], "its time constant"),
    stage!("thermal.junction_r4", ThermalResistance, "K/W", STAGE, junction_r[3], "fourth resistance"),
    stage!("thermal.junction_tau4", Time, "ms", TAU, junction_tau[3], "its time constant"),
    number!("thermal.sink_heat", HeatCapacity, "J/K", HEAT, thermal.sink_heat, "heat of the heat sink of switch and diode"),
    number!("thermal.sink_resistance", ThermalResistance, "K/W", TO_AIR, thermal.sink_resistance, "from that heat sink to the air"),
    number!("thermal.pitch", Length, "mm", Range::from_to(2e-3, 10.0), thermal.pitch, "distance from stud to stud, along a row and from row to row"),
    bare!("thermal.row", Range::from_to(1.0, 1000.0), thermal.row, "studs in a row"),
    bare!("thermal.studs", Range::from_to(1.0, 1000.0), thermal.studs, "studs on a sheet, after which a fresh one is laid in"),

    number!("wear.erosion", Erosion, "ug/C", Range::from_to(0.0, 1e-5), wear.erosion, "metal the arc of a parted joint takes off per charge"),
    bare!("wear.coefficient", Range::from_to(0.0, 0.1), wear.coefficient, "Archard's coefficient of the chuck's jaws"),
    number!("wear.stroke", Length, "mm", Range::from_to(0.0, 0.2), wear.stroke, "travel of a stud through the jaws"),
    number!("wear.hardness", Pressure, "MPa", Range::from_to(1e7, 1e11), wear.hardness, "hardness of the jaws"),
    number!("wear.allowance", Mass, "mg", Range::above_zero(1e-3), wear.allowance, "metal a joint can lose until nothing holds it any more"),
    bare!("wear.spread", Range::from_to(1.0, 100.0), wear.spread, "factor either way within which 95 of 100 chucks lie"),
    number!("wear.life", Time, "h", Range::from_to(3600.0, 3.6e9), wear.life, "life of the capacitors at life_temperature"),
    number!("wear.life_temperature", Temperature, "degC", celsius(20.0, 200.0), wear.life_temperature, "temperature of the windings at which that holds"),
    bare!("wear.capacitance_loss", Range::below(1.0), wear.capacitance_loss, "share of the capacitance lost by the end of that life"),
    bare!("wear.esr_rise", Range::from_to(1.0, 100.0), wear.esr_rise, "ESR at the end of that life over that of a new bank"),

    number!("limits.conductor", Temperature, "degC", LIMIT, limits.conductor, "conductor of a lead"),
    number!("limits.touch", Temperature, "degC", LIMIT, limits.touch, "what a hand touches: jackets, terminals, clamps, chuck"),
    number!("limits.joint", Temperature, "degC", LIMIT, limits.joint, "terminals, clamps and chuck"),
    number!("limits.core", Temperature, "degC", LIMIT, limits.core, "windings of the capacitors"),
    number!("limits.junction", Temperature, "degC", LIMIT, limits.junction, "junction of the switch"),
];
