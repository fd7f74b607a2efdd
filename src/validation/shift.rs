//! The rig between shots: charger, cable, thermal network, junction and sheet.

use std::f64::consts::PI;

use super::{Allowed, Check, Evidence, Source};
use arcplunge_core::Case;
use arcplunge_core::physics::cable::{Cable, adiabatic};
use arcplunge_core::physics::charging::{Supply, bleed_time};
use arcplunge_core::physics::junction::{Foster, even_pulse};
use arcplunge_core::physics::lumps::Lumps;
use arcplunge_core::physics::plate::Plate;
use arcplunge_core::physics::{air, lead, wear};
use arcplunge_core::study::shift::parts::cable;

const RATINGS: Source = Source {
    text: "welding cable H01N2-D, EN 50525-2-81, 85 degC in 25 degC",
    evidence: Evidence::Memory,
};
const SQUARES: Source = Source {
    text: "common rule I100/sqrt(duty), cycles short for the cable",
    evidence: Evidence::Practice,
};
const DUTIES: Source = Source {
    text: "the same tables, from memory; copper swings in 5 min",
    evidence: Evidence::Reported,
};
const IEC_60949: Source = Source {
    text: "IEC 60949, K = 226, beta = 234.5, resistance of class 5",
    evidence: Evidence::Memory,
};
const INCROPERA: Source = Source {
    text: "Incropera & DeWitt, table A.4",
    evidence: Evidence::Memory,
};
const PIPE: Source = Source {
    text: "Incropera & DeWitt, example 9.4, pipe of 0.1 m at 165 degC",
    evidence: Evidence::Memory,
};
const QUADRATURE: Source = Source {
    text: "C u/min(P, I u) du by quadrature",
    evidence: Evidence::ClosedForm,
};
const DECAY: Source = Source {
    text: "sums of exponentials, by hand",
    evidence: Evidence::ClosedForm,
};
const HEAT: Source = Source {
    text: "heat given to the room is heat lost by the lumps",
    evidence: Evidence::Conservation,
};
const SPREAD: Source = Source {
    text: "a point source keeps its heat, by quadrature",
    evidence: Evidence::Conservation,
};
const TEN_KELVIN: Source = Source {
    text: "ten-kelvin rule of aluminium electrolytics",
    evidence: Evidence::Practice,
};

/// Section \[mm²\] and current \[A\] at full duty.
const FULL: [(f64, f64); 6] = [
    (16.0, 135.0),
    (25.0, 180.0),
    (35.0, 225.0),
    (50.0, 285.0),
    (70.0, 355.0),
    (95.0, 430.0),
];

/// Duty and current of 35 mm² at it \[A\].
const DUTY: [(f64, f64); 2] = [(0.60, 290.0), (0.35, 375.0)];

const LIMIT: f64 = 273.15 + 85.0;
const AIR: f64 = 273.15 + 25.0;

pub(super) fn checks() -> Vec<Check> {
    let mut out = Vec::new();
    cables(&mut out);
    films(&mut out);
    charger(&mut out);
    lumps(&mut out);
    junction(&mut out);
    sheet(&mut out);
    out
}

fn rope(section: f64) -> Cable {
    cable(&Case::default(), section * 1e-6)
}

fn cables(out: &mut Vec<Check>) {
    for (section, amperes) in FULL {
        out.push(Check::new(
            format!("shift.cable.{section}"),
            format!("rating of {section} mm2, full duty"),
            RATINGS,
            "A",
            amperes,
            rope(section).rating(LIMIT, AIR),
            Allowed::Relative(0.10),
        ));
    }
    for (duty, amperes) in DUTY {
        out.push(Check::new(
            format!("shift.cable.short.{duty}"),
            format!("35 mm2, duty {duty}, cycle 10 s"),
            SQUARES,
            "A",
            rope(35.0).rating(LIMIT, AIR) / duty.sqrt(),
            rating_at(duty, 10.0),
            Allowed::Relative(0.02),
        ));
        out.push(Check::within(
            format!("shift.cable.duty.{duty}"),
            format!("35 mm2, duty {duty}, cycle 5 min"),
            DUTIES,
            "A",
            (0.85 * amperes, amperes),
            rating_at(duty, 300.0),
        ));
    }
    for (from, to) in [(20.0, 85.0), (60.0, 250.0)] {
        let k = 226e6 * 35e-6;
        // The rope's resistance in place of that of solid copper of its section.
        let share = 1.7241e-8 / (0.554e-3 * 35e-6);
        let action = k * k * f64::ln((to + 234.5) / (from + 234.5)) * share;
        out.push(Check::new(
            format!("shift.cable.adiabatic.{to}"),
            format!("35 mm2 from {from} degC, adiabatic"),
            IEC_60949,
            "degC",
            to,
            adiabatic(35e-6, 273.15 + from, action) - 273.15,
            Allowed::Relative(0.01),
        ));
    }
}

/// Current of 35 mm² at a duty whose peaks in a `cycle` \[s\] come to the limit \[A\], by bisection over a network with
/// the film of the mean load.
fn rating_at(duty: f64, cycle: f64) -> f64 {
    /// Steps in a cycle; time until it repeats \[s\].
    const STEPS: usize = 100;
    const SETTLED: f64 = 4500.0;
    let step = cycle / STEPS as f64;
    let cycles = (SETTLED / cycle).ceil() as usize;
    let rope = rope(35.0);
    let peak = |amperes: f64| {
        let Some([mean, surface]) = rope.steady(amperes * duty.sqrt(), AIR) else {
            return f64::INFINITY;
        };
        let mut lumps = Lumps::new(rope.heat().to_vec());
        lumps.link(0, 1, rope.through());
        lumps.open(1, rope.to_air(surface, AIR));
        let rest = lumps.over(step);
        let heat = rope.heat()[0];
        let mut rises = [mean - AIR, surface - AIR];
        let mut most: f64 = 0.0;
        for n in 0..cycles * STEPS {
            if ((n % STEPS) as f64) < duty * STEPS as f64 {
                let resistance = lead::resistance(1.0, rope.section, AIR + rises[0]);
                rises[0] += amperes * amperes * resistance * step / heat;
            }
            if n >= (cycles - 1) * STEPS {
                most = most.max(AIR + rises[0]);
            }
            rest.apply(&mut rises, &mut [0.0; 2]);
        }
        most
    };
    let (mut low, mut high) = (100.0, 1000.0);
    for _ in 0..30 {
        let middle = 0.5 * (low + high);
        if peak(middle) <= LIMIT {
            low = middle;
        } else {
            high = middle;
        }
    }
    low
}

fn films(out: &mut Vec<Check>) {
    for (t, conductivity, viscosity) in [
        (300.0, 26.3, 15.89),
        (350.0, 30.0, 20.92),
        (400.0, 33.8, 26.41),
    ] {
        let [k, nu] = air::air(t);
        out.push(Check::new(
            format!("shift.air.k.{t}"),
            format!("air at {t} K, conductivity"),
            INCROPERA,
            "mW/mK",
            conductivity,
            k * 1e3,
            Allowed::Relative(0.01),
        ));
        out.push(Check::new(
            format!("shift.air.nu.{t}"),
            format!("air at {t} K, viscosity"),
            INCROPERA,
            "mm2/s",
            viscosity,
            nu * 1e6,
            Allowed::Relative(0.01),
        ));
    }
    let (hot, cold) = (438.15, 296.15);
    let film = air::convection(0.1, hot, cold) + air::radiation(0.85, hot, cold);
    out.push(Check::new(
        "shift.film.pipe",
        "heat lost by a level pipe",
        PIPE,
        "W/m",
        763.0,
        film * PI * 0.1 * (hot - cold),
        Allowed::Relative(0.03),
    ));
}

fn charger(out: &mut Vec<Check>) {
    let (c, supply) = (
        72e-3,
        Supply {
            power: 300.0,
            current: 5.0,
        },
    );
    for to in [40.0_f64, 112.0, 190.0] {
        const PARTS: usize = 200_000;
        let du = to / PARTS as f64;
        let one = |n: usize| {
            let u = (n as f64 + 0.5) * du;
            c * u / (supply.power).min(supply.current * u) * du
        };
        let published: f64 = (0..PARTS).map(one).sum();
        out.push(Check::new(
            format!("shift.charge.time.{to}"),
            format!("72 mF to {to} V, 5 A then 300 W"),
            QUADRATURE,
            "s",
            published,
            supply.time(c, 0.0, to),
            Allowed::Relative(1e-6),
        ));
        out.push(Check::new(
            format!("shift.charge.voltage.{to}"),
            format!("voltage after the time to {to} V"),
            QUADRATURE,
            "V",
            to,
            supply.voltage(c, 0.0, published, 1e3),
            Allowed::Relative(1e-6),
        ));
    }
    out.push(Check::new(
        "shift.charge.bleed",
        "72 mF, 120 to 60 V, 100 ohm",
        DECAY,
        "s",
        7.2 * std::f64::consts::LN_2,
        bleed_time(c, 100.0, 120.0, 60.0),
        Allowed::Relative(1e-12),
    ));
}

fn lumps(out: &mut Vec<Check>) {
    // One lump, 100 J/K with 0.5 W/K, 30 J every 7 s: a geometric sum.
    let mut one = Lumps::new(vec![100.0]);
    one.open(0, 0.5);
    let step = one.over(7.0);
    let (mut rises, mut given) = ([0.0], [0.0]);
    for _ in 0..50 {
        rises[0] += 0.3;
        step.apply(&mut rises, &mut given);
    }
    let q = f64::exp(-0.5 * 7.0 / 100.0);
    out.push(Check::new(
        "shift.lump.pulses",
        "a lump after 50 pulses of heat",
        DECAY,
        "K",
        0.3 * q * (1.0 - q.powi(50)) / (1.0 - q),
        rises[0],
        Allowed::Relative(1e-12),
    ));
    out.push(Check::new(
        "shift.lump.balance",
        "the same: heat given and held",
        HEAT,
        "J",
        50.0 * 30.0,
        given[0] + 100.0 * rises[0],
        Allowed::Relative(1e-12),
    ));
    // Two alike, each open to the room: sum and difference decay by themselves.
    let (c, g, link, t) = (200.0, 0.4, 1.5, 90.0);
    let mut two = Lumps::new(vec![c, c]);
    two.open(0, g);
    two.open(1, g);
    two.link(0, 1, link);
    let mut rises = [50.0, 0.0];
    let mut given = [0.0; 2];
    two.over(t).apply(&mut rises, &mut given);
    let [sum, difference] = [g, g + 2.0 * link].map(|rate| 25.0 * f64::exp(-rate / c * t));
    for (n, published) in [sum + difference, sum - difference].into_iter().enumerate() {
        out.push(Check::new(
            format!("shift.lump.two.{n}"),
            format!("lump {n} of two that cool"),
            DECAY,
            "K",
            published,
            rises[n],
            Allowed::Relative(1e-12),
        ));
    }
    out.push(Check::new(
        "shift.lump.two.balance",
        "the same: heat given and held",
        HEAT,
        "J",
        50.0 * c,
        given.iter().sum::<f64>() + c * rises.iter().sum::<f64>(),
        Allowed::Relative(1e-12),
    ));
}

fn junction(out: &mut Vec<Check>) {
    let thermal = Case::default().thermal;
    let foster = Foster {
        r: thermal.junction_r,
        tau: thermal.junction_tau,
    };
    // Two pulses, the second 50 ms after the first's end: superposition of steps.
    let (power, t, gap) = (2e3, 3e-3, 50e-3);
    let z = |t: f64| {
        let each = foster.r.iter().zip(foster.tau);
        each.map(|(r, tau)| r * (1.0 - f64::exp(-t / tau)))
            .sum::<f64>()
    };
    let published = power * (z(2.0 * t + gap) - z(t + gap) + z(t));
    let first = foster.pulse([0.0; 4], power * t, t);
    let second = foster.pulse(foster.rest(first, gap), power * t, t);
    out.push(Check::new(
        "shift.junction.pulses",
        "junction after two pulses",
        DECAY,
        "K",
        published,
        second.iter().sum(),
        Allowed::Relative(1e-12),
    ));
    out.push(Check::new(
        "shift.junction.even",
        "even pulse of half a sine of 4 ms",
        DECAY,
        "ms",
        8.0 / PI,
        even_pulse(2.0 / PI * 4.0 * 1e3, 1e3),
        Allowed::Relative(1e-12),
    ));
    out.push(Check::new(
        "shift.aging",
        "life of a capacitor 20 K cooler",
        TEN_KELVIN,
        "",
        4.0,
        1.0 / wear::aging(1.0, 338.15, 1.0, 358.15),
        Allowed::Relative(1e-12),
    ));
}

fn sheet(out: &mut Vec<Check>) {
    let plate = Plate {
        conductivity: 33.0,
        heat: 7850.0 * 680.0,
        thickness: 1.5e-3,
        film: 9.0,
    };
    for t in [5.0, 300.0] {
        const PARTS: usize = 20_000;
        let dr = 1.0 / PARTS as f64;
        let ring = |n: usize| {
            let r = (n as f64 + 0.5) * dr;
            plate.rise(100.0, r, t) * 2.0 * PI * r * dr * plate.heat * plate.thickness
        };
        let held: f64 = (0..PARTS).map(ring).sum();
        let left = f64::exp(-2.0 * 9.0 * t / (plate.heat * plate.thickness));
        out.push(Check::new(
            format!("shift.sheet.heat.{t}"),
            format!("heat in a sheet after {t} s"),
            SPREAD,
            "J",
            100.0 * left,
            held,
            Allowed::Relative(1e-5),
        ));
    }
}
