//! The published experiments, one entry each. None gives every input of a shot, so each lists what was assumed.

use super::bench::{or_none, shot};
use super::experiment::{Experiment, Found, Stated};
use super::trade::{figure, steel};
use super::whole_welds::{
    alike, drop_rig, half_inch, sensitivity, small_bank, voltage_to_melt, window, with_pip,
};
use arcplunge_core::case::Case;
use arcplunge_core::physics::arc;
use arcplunge_core::simulation::shot::Shot;

const READ: &str = "abstract read";
const UNREAD: &str = "not read";

/// What stands for everything that a source leaves out.
const DEMONSTRATION: &str =
    "all of the demonstration case: M5, 72 mF, 112 V, leads of 5 m, spring of 80 N";

/// Every experiment, in the order of the page.
pub(super) const EXPERIMENTS: &[Experiment] = &[
    Experiment {
        id: "danks",
        source: "Danks, thesis, Oregon Graduate Center (1985)",
        known: READ,
        states: "carbon steel welds best near 100 V; a falling weight sets speed and force",
        assumed: "M5, 72 mF and leads of 5 m as in the demonstration case; 1 kg falling 10 mm; best: the middle of the sound voltages; near: within 10 V",
        stated: number("steel, falling weight: best voltage", "V", (90.0, 110.0)),
        known_miss: true,
        fired: best_voltage,
    },
    Experiment {
        id: "danks.half-inch",
        source: "Danks, thesis, Oregon Graduate Center (1985)",
        known: READ,
        states: "capacitance goes with the stud's cross-section; rods of 1/2 inch welded to full strength",
        assumed: "tip of 1.47 mm, 1.56 mm long, cone 3°, plate of 12.7 mm (lengths of the demonstration case by 1.95); 275 mF, conductors and a weight of 3.8 kg (by 3.82), falling 10 mm; full strength: melt fills the wedge all round",
        stated: number("rod of 1/2 inch: welded share at best", "", (0.999, 1.0)),
        known_miss: false,
        fired: full_strength,
    },
    Experiment {
        id: "benjarattananon",
        source: "Benjarattananon, thesis, Oregon State University (1998)",
        known: READ,
        states: "two stainless steels and two coppers: conductivity and absorbed gas matter for the scatter of strength",
        assumed: "18/8 as M5 at 100 V, copper as M3 at 141 V, 3 mm sheets; the rest as in the demonstration case",
        stated: None,
        known_miss: false,
        fired: conductivity,
    },
    Experiment {
        id: "thaneepakorn",
        source: "Thaneepakorn, thesis, Oregon State University (1999)",
        known: READ,
        states: "copper cools at 1e5 to 1e6 K/s; least fusion zone 91.5 µm",
        assumed: "91.5 µm melted of each face, by the voltage that melts as much; M3 on 3 mm, the rest as in the demonstration case",
        stated: number("copper: cooling of the joint", "1e6 K/s", (0.1, 1.0)),
        known_miss: true,
        fired: copper_cooling,
    },
    Experiment {
        id: "wilson.cooling",
        source: "Wilson et al., MRS Proc. (1993; vol. 314 from memory)",
        known: READ,
        states: "joints cool at 1e6 K/s (so do Dogan, Wilson & Hawk, abstract read: it can exceed that)",
        assumed: DEMONSTRATION,
        stated: number("steel: cooling of the joint", "1e6 K/s", (0.32, 3.2)),
        known_miss: false,
        fired: || {
            let rate = 1e-6 * figure(&Case::default(), |f| f.cooling_rate_K_per_s);
            found(
                rate,
                format!("{rate:.1}e6 K/s"),
                "An order of magnitude is stated, so half a decade either way counts as a hit.",
            )
        },
    },
    Experiment {
        id: "wilson.tip",
        source: "Wilson et al., MRS Proc. (1993; vol. 314 from memory)",
        known: READ,
        states: "the tip's length sets the weld time",
        assumed: "the demonstration case with tips of 0.6 and 1.0 mm; bounds of the ratio are ours",
        stated: number("arc time, tip of 1.0 over 0.6 mm", "", (1.05, 1.7)),
        known_miss: false,
        fired: || {
            let [short, long] = [0.6e-3, 1e-3].map(|l| arc_time(&with_pip(l)));
            found(
                long / short,
                format!("arc of {short:.2} and {long:.2} ms"),
                "A direction, no figure.",
            )
        },
    },
    Experiment {
        id: "wilson.drop",
        source: "Wilson et al., MRS Proc. (1993; vol. 314 from memory)",
        known: READ,
        states: "so does the height of the drop",
        assumed: "M5, 110 V, 1 kg falling 10 and 20 mm, the rest as in the demonstration case; bounds of the ratio are ours",
        stated: number("arc time, drop of 20 over 10 mm", "", (0.2, 0.95)),
        known_miss: false,
        fired: || {
            let [low, high] = [10e-3, 20e-3].map(|h| arc_time(&drop_rig(1.0, h, 110.0)));
            found(
                high / low,
                format!("arc of {low:.2} and {high:.2} ms"),
                "A direction, no figure.",
            )
        },
    },
    Experiment {
        id: "wilson.spread",
        source: "Wilson et al., MRS Proc. (1993; vol. 314 from memory)",
        known: READ,
        states: "the arc travels at 109 m/s round tube welds",
        assumed: "that it crosses the face of an M5 as fast; the rest as in the demonstration case; 5 % of the arc time, ours, as what may be left out",
        stated: number("arc time before it is at the rim", "%", (0.0, 5.0)),
        known_miss: false,
        fired: spread,
    },
    Experiment {
        id: "wilson.ejected",
        source: "Wilson et al., MRS Proc. (1993; vol. 314 from memory)",
        known: READ,
        states: "metal leaves all the while as plasma, and is not squeezed out at contact",
        assumed: DEMONSTRATION,
        stated: None,
        known_miss: true,
        fired: || {
            let share = 100.0 * figure(&Case::default(), |f| f.vapour_share);
            found(
                f64::NAN,
                format!(
                    "{share:.0} % of the arc's joules boil metal away; all melt waits for the squeeze"
                ),
                "The model has no spray: it overstates what is squeezed out, and the fill with it.",
            )
        },
    },
    Experiment {
        id: "venkataraman",
        source: "Venkataraman & Devletian, Weld. J. (1988), from memory",
        known: UNREAD,
        states: "stainless steel cools at 1e5 to 1e6 K/s",
        assumed: "18/8 as M5 at 100 V on 3 mm, the rest as in the demonstration case",
        stated: number("18/8: cooling of the joint", "1e6 K/s", (0.1, 1.0)),
        known_miss: false,
        fired: || {
            let rate = |volts| {
                1e-6 * figure(&alike("M5", "stainless 18/8", volts), |f| {
                    f.cooling_rate_K_per_s
                })
            };
            found(
                rate(100.0),
                format!(
                    "{:.2}e6 K/s; {:.2}e6 at 90 V, {:.2}e6 at 120 V",
                    rate(100.0),
                    rate(90.0),
                    rate(120.0)
                ),
                "The less was melted, the faster it cools.",
            )
        },
    },
    Experiment {
        id: "oh-yoo",
        source: "Oh & Yoo, study of voids (2007, authors from memory)",
        known: READ,
        states: "voids are fewer, not gone, for currents at touchdown of 1.2 to 1.7 kA, on their rig",
        assumed: DEMONSTRATION,
        stated: number("sound M5: current at touchdown", "kA", (1.2, 1.7)),
        known_miss: false,
        fired: touchdown_current,
    },
    Experiment {
        id: "yamaguchi",
        source: "Yamaguchi, Hiramoto & Nishio, from memory",
        known: UNREAD,
        states: "copper on aluminium with 18.8 mF at 140 V: 2.51 kN",
        assumed: "M5, the least size whose copper thread holds that much; gap method with its usual tool; 3 mm of aluminium Mg alloy; leads and loop of the demonstration case",
        stated: number(
            "copper on aluminium: load it holds",
            "kN",
            (2.51, f64::INFINITY),
        ),
        known_miss: true,
        fired: copper_on_aluminium,
    },
    Experiment {
        id: "jmse",
        source: "J. Manuf. Sci. Eng. 144 (2022) 011007",
        known: READ,
        states: "20-grade carbon steel: best at 90 V and 5 mm of stud extension",
        assumed: "mild steel, size not known to us: M4 and M5; no stud extension; the rest as in the demonstration case",
        stated: None,
        known_miss: false,
        fired: best_extension,
    },
];

const fn number(quantity: &'static str, unit: &'static str, range: (f64, f64)) -> Option<Stated> {
    Some(Stated {
        quantity,
        unit,
        range,
    })
}

fn found(value: f64, gives: String, remark: impl Into<String>) -> Found {
    Found {
        value,
        gives,
        remark: remark.into(),
    }
}

/// Time of the arc \[ms\].
fn arc_time(case: &Case) -> f64 {
    1e3 * figure(case, |f| f.arc_time_s)
}

/// A window in words.
fn sound(window: Option<(f64, f64)>) -> String {
    match window {
        Some((low, high)) => format!("sound from {low} to {high} V"),
        None => "sound at no voltage".into(),
    }
}

fn best_voltage() -> Found {
    let of = |lead: f64, height: f64| {
        window(
            |volts| {
                let mut case = drop_rig(1.0, height, volts);
                case.lead.length = lead;
                case.earths.iter_mut().for_each(|earth| earth.length = lead);
                case
            },
            1,
            180,
        )
    };
    let own = of(5.0, 10e-3);
    let spring = window(|volts| steel("M5", volts), 1, 180);
    found(
        or_none(own.map(|(low, high)| 0.5 * (low + high))),
        sound(own),
        format!(
            "What is assumed decides: with leads of 2 m and a fall of 15 mm it is {}; with the demonstration case's spring, {}.",
            sound(of(2.0, 15e-3)),
            sound(spring),
        ),
    )
}

fn full_strength() -> Found {
    let all = window(half_inch, 1, 240);
    let middle = all.and_then(|(low, high)| shot(&half_inch(0.5 * (low + high))));
    let share = middle.as_ref().and_then(|shot| shot.figures.welded_share);
    let fill = or_none(middle.as_ref().and_then(|shot| shot.figures.fill_ratio));
    found(
        or_none(share),
        format!("{}, in its middle fill {fill:.2}", sound(all)),
        "Strength is an upper bound here: no pores.",
    )
}

fn best_extension() -> Found {
    let windows = ["M4", "M5"].map(|size| window(|volts| steel(size, volts), 1, 180));
    let [m4, m5] = windows.map(sound);
    let [with_m4, with_m5] = windows.map(|window| {
        let met = window.is_some_and(|(low, high)| (low..=high).contains(&90.0));
        if met { "sound" } else { "not sound" }
    });
    found(
        f64::NAN,
        format!("M4 {m4}, M5 {m5}"),
        format!(
            "At 90 V an M4 is {with_m4}, an M5 {with_m5}. Residual stress and hardness, which it measures, are not computed."
        ),
    )
}

fn conductivity() -> Found {
    let [steel, copper] = [("M5", "stainless 18/8", 100.0), ("M3", "copper", 141.0)]
        .map(|(size, metal, volts)| 100.0 * sensitivity(|v| alike(size, metal, v), volts));
    found(
        f64::NAN,
        format!(
            "1 % more voltage moves the fill of 18/8 by {steel:.1} %, of copper by {copper:.1} %"
        ),
        "Conductivity matters here too; gas, pores and the strength that follows from them are not computed.",
    )
}

fn copper_cooling() -> Found {
    let copper = |volts| alike("M3", "copper", volts);
    let at = |melt: f64| {
        let volts = voltage_to_melt(copper, melt, 120.0, 170.0);
        (
            volts,
            1e-6 * figure(&copper(volts), |f| f.cooling_rate_K_per_s),
        )
    };
    let (volts, rate) = at(91.5e-6);
    let (_, half) = at(0.5 * 91.5e-6);
    found(
        rate,
        format!("{rate:.1}e6 K/s at {volts:.1} V"),
        format!(
            "Where the zone is that of both faces together it is {half:.1}e6 K/s. The rate is that of the first 100 K below the melting point, the fastest."
        ),
    )
}

fn spread() -> Found {
    let case = Case::default();
    let reached = 0.5 * case.stud.flange / arc::SPREAD;
    let share = 1e5 * reached / arc_time(&case);
    found(
        share,
        format!(
            "not computed, the whole face is lit at once; at that speed the rim is reached in {:.0} of {:.0} µs",
            1e6 * reached,
            1e3 * arc_time(&case)
        ),
        "The hit says that lighting it at once leaves out little, not that the speed is met.",
    )
}

fn touchdown_current() -> Found {
    let current = |volts| 1e-3 * figure(&steel("M5", volts), |f| f.touchdown_current_A);
    let ends =
        window(|volts| steel("M5", volts), 1, 180).map(|(low, high)| (current(low), current(high)));
    let (low, high) = ends.unwrap_or((f64::NAN, f64::NAN));
    found(
        current(112.0),
        format!(
            "{:.2} kA; over the sound voltages {low:.2} to {high:.2} kA",
            current(112.0)
        ),
        "Voids are not computed: the hit says that sound welds touch down at currents of that size.",
    )
}

fn copper_on_aluminium() -> Found {
    let holds = |shot: &Shot| {
        shot.holds
            .weld_N
            .and(shot.holds.least())
            .map(|(_, load)| 1e-3 * load)
    };
    let (usual, fine) = (
        small_bank(["0.75", "0.8"], "5"),
        small_bank(["0.3", "0.5"], "2"),
    );
    let told = |shot: &Option<Shot>| match shot.as_ref().and_then(holds) {
        Some(load) => format!("holds {load:.2} kN at most"),
        None => "no weld".into(),
    };
    let ignites = usual
        .as_ref()
        .is_some_and(|shot| shot.figures.ignition_s.is_some());
    let why = if ignites {
        ""
    } else {
        ": the pip does not burst"
    };
    found(
        or_none(usual.as_ref().and_then(holds)),
        format!("{}{why}", told(&usual)),
        format!(
            "What is assumed decides: a copper tip of 0.75 mm asks for more action than this bank has; with one of 0.3 mm, 0.5 mm long, and leads of 2 m: {}.",
            told(&fine)
        ),
    )
}
