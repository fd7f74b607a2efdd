//! Random overrides over ranges wider than any real rig.

use proptest::prelude::*;
use proptest::sample::select;

/// Overrides as `--set` takes them.
pub type Sets = Vec<String>;

/// Evenly spread over the logarithm.
fn log(low: f64, high: f64) -> impl Strategy<Value = f64> {
    (low.ln()..high.ln()).prop_map(f64::exp)
}

/// `key=<log-random number> unit`, four digits.
fn spread(key: &'static str, low: f64, high: f64, unit: &'static str) -> BoxedStrategy<Sets> {
    log(low, high)
        .prop_map(move |v| vec![format!("{key}={v:.3e} {unit}").trim_end().to_string()])
        .boxed()
}

/// `key=<one of the words>`.
fn word(key: &'static str, words: &'static [&'static str]) -> BoxedStrategy<Sets> {
    select(words)
        .prop_map(move |w| vec![format!("{key}={w}")])
        .boxed()
}

/// Given with this probability, else left as in the demonstration case.
fn maybe(probability: f64, of: BoxedStrategy<Sets>) -> BoxedStrategy<Sets> {
    prop::option::weighted(probability, of)
        .prop_map(Option::unwrap_or_default)
        .boxed()
}

/// All of them, one after the other.
fn all(parts: Vec<BoxedStrategy<Sets>>) -> BoxedStrategy<Sets> {
    parts.prop_map(|p| p.concat()).boxed()
}

/// Preset or own resistance, sometimes with a force or a drop.
fn joint(key: String) -> BoxedStrategy<Sets> {
    let preset = select(&["tight", "worn", "loose", "arcing"][..]);
    let (names, held) = (key.clone(), key.clone());
    prop_oneof![
        3 => preset.prop_map(move |w| vec![format!("{names}={w}")]),
        2 => (log(1e-3, 30.0), log(0.01, 400.0), 0.0..20.0).prop_map(move |(r, f, u)| {
            vec![format!(
                "{held}={{ resistance = \"{r:.3e} mohm\", force = \"{f:.3e} N\", drop = \"{u:.2} V\" }}"
            )]
        }),
        1 => (log(1e-3, 30.0), 0.0..15.0).prop_map(move |(r, u)| {
            vec![format!("{key}={{ resistance = \"{r:.3e} mohm\", drop = \"{u:.2} V\" }}")]
        }),
    ]
    .boxed()
}

fn bank() -> BoxedStrategy<Sets> {
    all(vec![
        maybe(0.7, spread("bank.voltage", 1.0, 1000.0, "V")),
        maybe(0.5, spread("bank.capacitance", 1.0, 1000.0, "mF")),
        maybe(0.3, spread("bank.esr", 1e-2, 100.0, "mohm")),
        maybe(0.1, word("bank.esr", &["0 ohm"])),
        maybe(0.2, spread("bank.switch_drop", 0.1, 10.0, "V")),
        maybe(0.2, spread("bank.switch_slope", 1e-2, 10.0, "mohm")),
        maybe(0.2, spread("bank.internal_resistance", 1e-2, 30.0, "mohm")),
        maybe(0.2, spread("bank.internal_inductance", 1e-2, 50.0, "uH")),
        maybe(0.2, spread("bank.diode_drop", 1e-2, 5.0, "V")),
        maybe(0.1, word("bank.diode_drop", &["0 V"])),
    ])
}

fn leads() -> BoxedStrategy<Sets> {
    let earth = |k: usize| {
        let at = (10.0..1500.0, 0.0..std::f64::consts::TAU).prop_map(move |(d, a)| {
            let (y, x) = f64::sin_cos(a);
            vec![format!(
                "earth.{k}.at=[\"{:.1} mm\", \"{:.1} mm\"]",
                d * x,
                d * y
            )]
        });
        let length =
            log(0.11, 100.0).prop_map(move |l| vec![format!("earth.{k}.length={l:.3e} m")]);
        let section =
            log(6.0, 150.0).prop_map(move |s| vec![format!("earth.{k}.section={s:.3e} mm2")]);
        all(vec![
            maybe(0.7, length.boxed()),
            maybe(0.4, section.boxed()),
            maybe(0.4, joint(format!("earth.{k}.clamp"))),
            maybe(0.2, joint(format!("earth.{k}.terminal"))),
            maybe(0.5, at.boxed()),
        ])
    };
    let earths = (1_usize..=4).prop_flat_map(move |n| {
        let mut parts: Vec<BoxedStrategy<Sets>> = Vec::new();
        if n == 1 {
            parts.push(Just(vec!["earth.1=none".to_string()]).boxed());
        }
        for k in 0..n {
            // Makes room for the lead, whatever else is said of it.
            if k >= 2 {
                parts.push(Just(vec![format!("earth.{k}.terminal=tight")]).boxed());
            }
            parts.push(earth(k));
        }
        all(parts)
    });
    all(vec![
        maybe(0.6, spread("lead.length", 0.11, 100.0, "m")),
        maybe(0.3, spread("lead.section", 6.0, 150.0, "mm2")),
        maybe(0.3, spread("lead.spacing", 30.0, 500.0, "mm")),
        maybe(0.1, spread("lead.turns", 0.5, 20.0, "")),
        maybe(0.1, spread("lead.temperature", 1.0, 120.0, "degC")),
        maybe(0.1, spread("lead.elevation", 0.1, 90.0, "deg")),
        maybe(0.9, earths.boxed()),
        maybe(0.2, joint("joints.bank".into())),
        maybe(0.2, joint("joints.tool".into())),
        maybe(0.2, joint("joints.chuck".into())),
    ])
}

fn tool() -> BoxedStrategy<Sets> {
    all(vec![
        maybe(0.4, word("tool.method", &["gap"])),
        maybe(0.4, spread("tool.lift", 1e-3, 10.0, "mm")),
        maybe(0.4, spread("tool.moving_mass", 5.0, 5000.0, "g")),
        maybe(0.7, spread("tool.spring_force", 0.5, 2000.0, "N")),
        maybe(0.3, spread("tool.spring_rate", 1e-2, 500.0, "N/mm")),
        maybe(0.1, word("tool.spring_rate", &["0 N/mm"])),
        maybe(0.3, spread("tool.friction", 0.1, 300.0, "N")),
        maybe(0.3, word("tool.attitude", &["level", "up"])),
        maybe(0.3, spread("tool.tilt", 0.01, 8.0, "deg")),
    ])
}

const METALS: &[&str] = &[
    "mild steel",
    "stainless 18/8",
    "aluminium Mg alloy",
    "brass 63/37",
    "copper",
];

fn work() -> BoxedStrategy<Sets> {
    let own = all(vec![
        spread("stud.flange", 2.0, 20.0, "mm"),
        spread("stud.pip_diameter", 0.1, 1.9, "mm"),
        spread("stud.pip_length", 0.06, 3.0, "mm"),
    ]);
    let mark = (0.05..1.5, 40.0..150.0).prop_map(|(d, a)| {
        vec![format!(
            "sheet.centre_mark={{ depth = \"{d:.2} mm\", angle = \"{a:.0} deg\" }}"
        )]
    });
    all(vec![
        maybe(0.5, word("stud.size", &["M3", "M4", "M5", "M6", "M8"])),
        maybe(0.2, own),
        maybe(0.5, word("stud.metal", METALS)),
        maybe(0.5, word("sheet.metal", METALS)),
        maybe(0.2, spread("stud.cone", 0.1, 20.0, "deg")),
        maybe(0.05, spread("stud.short_resistance", 1e-3, 100.0, "mohm")),
        maybe(0.5, spread("sheet.thickness", 0.1, 30.0, "mm")),
        maybe(0.2, mark.boxed()),
    ])
}

fn model() -> BoxedStrategy<Sets> {
    let shares = (0.0..0.5, 0.0..0.5).prop_map(|(a, b)| {
        vec![
            format!("arc.to_stud={a:.3}"),
            format!("arc.to_sheet={b:.3}"),
        ]
    });
    all(vec![
        maybe(0.2, spread("arc.fall", 0.1, 60.0, "V")),
        maybe(0.2, spread("arc.field", 0.01, 50.0, "V/mm")),
        maybe(0.2, spread("arc.resistance", 1e-3, 50.0, "mohm")),
        maybe(0.2, shares.boxed()),
        maybe(0.2, spread("model.burst_share", 1e-3, 1.0, "")),
        maybe(0.1, spread("model.pip_share", 1e-3, 1.0, "")),
        maybe(0.2, spread("model.forge_resistance", 1e-2, 1e4, "uohm")),
        maybe(0.1, spread("model.end_time", 1.0, 1000.0, "ms")),
        maybe(0.2, spread("model.stud_depth", 0.2, 40.0, "mm")),
    ])
}

/// Overrides of a whole rig; some break a rule between keys and are no case at all.
pub fn rig() -> BoxedStrategy<Sets> {
    all(vec![bank(), leads(), tool(), work(), model()])
}
