//! The catalogue in the terminal.

use std::fmt::Write;

use super::format::{engineering, significant, wrap};
use arcplunge_core::case::{catalogue, faults, tolerance};
use arcplunge_core::physics::{ROOM, lead};

/// Sections of flexible leads listed \[mm²\], with the class 5 maximum of IEC 60228 \[Ω/km\].
const LEADS: [(f64, f64); 7] = [
    (16.0, 1.21),
    (25.0, 0.780),
    (35.0, 0.554),
    (50.0, 0.386),
    (70.0, 0.272),
    (95.0, 0.206),
    (120.0, 0.161),
];

/// Pitch-tip studs.
pub fn studs() -> String {
    let mut out = String::from("studs (stud.size)   flange     pip diameter   pip length\n");
    for s in catalogue::studs() {
        let mm = |x: f64| format!("{:.2} mm", x * 1e3);
        let _ = writeln!(
            out,
            "  {:<16} {:>9} {:>14} {:>12}",
            s.name,
            mm(s.flange),
            mm(s.pip_diameter),
            mm(s.pip_length)
        );
    }
    sources(
        &mut out,
        catalogue::studs()
            .iter()
            .map(|s| (s.name.as_str(), s.source.as_str())),
    );
    out
}

/// Metals with the constants that decide most.
pub fn metals() -> String {
    let mut out = String::from(
        "metals (stud.metal, sheet.metal)  melts    boils    k solid   k melt  resistivity\n",
    );
    for entry in catalogue::metals() {
        let m = &entry.value;
        let _ = writeln!(
            out,
            "  {:<28} {:>7} {:>8} {:>8} {:>8} {:>14}",
            m.name,
            format!("{:.0} K", m.melting_point),
            format!("{:.0} K", m.boiling_point),
            format!("{:.0}", m.conductivity_solid),
            format!("{:.0}", m.conductivity_liquid),
            format!("{} µΩ·m", significant(m.resistivity_20 * 1e6, 3)),
        );
    }
    out.push_str("  also called (common practice, no source; case does not matter)\n");
    for entry in catalogue::metals() {
        let name = &entry.value.name;
        let _ = writeln!(out, "    {name}: {}", catalogue::aliases(name).join(", "));
    }
    out.push_str("  k in W/(m·K); every constant: arcplunge case show --set stud.metal=NAME\n");
    let list = catalogue::metals();
    sources(
        &mut out,
        list.iter()
            .map(|e| (e.value.name.as_str(), e.source.as_str())),
    );
    out
}

/// Joint presets.
pub fn joints() -> String {
    let mut out = String::from("joints (joints.*, earth.N.*)   resistance    drop\n");
    for entry in catalogue::joints() {
        let j = &entry.value;
        let drop = if j.drop > 0.0 {
            engineering(j.drop, "V")
        } else {
            "none".into()
        };
        let _ = writeln!(
            out,
            "  {:<26} {:>12} {:>8}",
            j.name,
            engineering(j.resistance, "Ω"),
            drop
        );
    }
    let list = catalogue::joints();
    sources(
        &mut out,
        list.iter()
            .map(|e| (e.value.name.as_str(), e.source.as_str())),
    );
    out
}

/// Flexible copper leads: our resistance beside the standard's, and what a metre of one adds.
pub fn leads() -> String {
    let mut out = String::from(
        "leads (lead.section)   here, 20 °C   IEC 60228 class 5   5 m alone in the loop\n",
    );
    for (mm2, standard) in LEADS {
        let a = mm2 * 1e-6;
        let l = lead::self_inductance(5.0, lead::rope_radius(a));
        let _ = writeln!(
            out,
            "  {:<18} {:>9} mΩ/m {:>14} mΩ/m   {}, {}",
            format!("{mm2:.0} mm2"),
            format!("{:.3}", lead::resistance(1.0, a, ROOM) * 1e3),
            format!("{standard:.3}"),
            engineering(lead::resistance(5.0, a, ROOM), "Ω"),
            engineering(l, "H"),
        );
    }
    sources(
        &mut out,
        [
            ("resistance", "IEC 60228:2004 table 3, maxima"),
            ("inductance", "Rosa (1908), partial self inductance"),
        ]
        .into_iter(),
    );
    out
}

/// Sources, each said once with the names it serves.
fn sources<'a>(out: &mut String, entries: impl Iterator<Item = (&'a str, &'a str)>) {
    let mut said: Vec<(&str, Vec<&str>)> = Vec::new();
    for (name, source) in entries {
        match said.iter_mut().find(|(s, _)| *s == source) {
            Some((_, names)) => names.push(name),
            None => said.push((source, vec![name])),
        }
    }
    for (source, names) in said {
        let text = format!("source ({}): {source}", names.join(", "));
        for (n, line) in wrap(&text, 76).into_iter().enumerate() {
            let _ = writeln!(out, "  {}{line}", if n == 0 { "" } else { "  " });
        }
    }
}

/// Faults: what each changes, what is seen on the weld, what helps.
pub fn faults() -> String {
    let mut out = String::from("faults (fire --fault, contrast --fault; a+b puts on both)\n");
    for fault in faults::faults() {
        let changes: Vec<&str> = fault.changes.iter().map(|c| c.text.as_str()).collect();
        let _ = writeln!(out, "  {}", fault.name);
        let mut put = |head: &str, text: &str| {
            for (n, line) in wrap(text, 67).into_iter().enumerate() {
                let lead = if n == 0 { head } else { "" };
                let _ = writeln!(out, "    {lead:<8} {line}");
            }
        };
        put("what", &fault.about);
        put("changes", &changes.join(", "));
        put("seen", &fault.seen);
        put("remedy", &fault.remedy);
    }
    out.push_str(
        "  source: what is seen, and how far a fault goes, is common practice, no source\n",
    );
    out
}

/// Spreads: from shot to shot, and how well the model's figures are known.
pub fn tolerances() -> String {
    let mut out = String::from(
        "spreads (tolerance.KEY; scatter, sensitivity)\n  a normal one is a standard deviation, a uniform one a half-width\n",
    );
    for (head, entries) in [
        ("from shot to shot", tolerance::usual()),
        (
            "figures of the model, with --model",
            tolerance::uncertainties(),
        ),
    ] {
        let _ = writeln!(out, "  {head}");
        for entry in entries {
            let _ = writeln!(
                out,
                "    {:<32} {}",
                entry.key,
                entry.spread.words(&entry.number)
            );
        }
        let named = entries.iter().map(|e| (e.key.as_str(), e.source.as_str()));
        sources(&mut out, named);
    }
    out
}
