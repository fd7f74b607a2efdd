//! The catalogue as documents, one a part.

use super::document::{Block, Blocks, Document, Look, Table};
use super::format::{engineering, significant};
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

/// A part of the catalogue under its head.
fn part(head: &str, fill: impl FnOnce(&mut Blocks)) -> Document {
    let mut document = Document {
        title: head.to_string(),
        ..Document::default()
    };
    document.blocks.line(head);
    fill(&mut document.blocks);
    document
}

/// Pitch-tip studs.
pub fn studs() -> Document {
    let head = "studs (stud.size)   flange     pip diameter   pip length";
    part(head, |b| {
        let mut table = Table::of("  {:<16} {:>9} {:>14} {:>12}", Vec::new(), 1);
        for s in catalogue::studs() {
            let [flange, diameter, length] =
                [s.flange, s.pip_diameter, s.pip_length].map(|x| format!("{:.2} mm", x * 1e3));
            table.row([s.name.clone(), flange, diameter, length]);
        }
        b.table(table);
        let studs = catalogue::studs().iter();
        sources(b, studs.map(|s| (s.name.as_str(), s.source.as_str())));
    })
}

/// Metals with the constants that decide most.
pub fn metals() -> Document {
    let head = "metals (stud.metal, sheet.metal)  melts    boils    k solid   k melt  resistivity";
    part(head, |b| {
        let list = catalogue::metals();
        let mut table = Table::of("  {:<28} {:>7} {:>8} {:>8} {:>8} {:>14}", Vec::new(), 1);
        for m in list.iter().map(|entry| &entry.value) {
            table.row([
                m.name.clone(),
                format!("{:.0} K", m.melting_point),
                format!("{:.0} K", m.boiling_point),
                format!("{:.0}", m.conductivity_solid),
                format!("{:.0}", m.conductivity_liquid),
                format!("{} µΩ·m", significant(m.resistivity_20 * 1e6, 3)),
            ]);
        }
        b.table(table);
        b.line("  also called (common practice, no source; case-insensitive)");
        for name in list.iter().map(|entry| &entry.value.name) {
            let others = catalogue::aliases(name).join(", ");
            b.line(format!("    {name}: {others}"));
        }
        b.line("  k in W/(m·K); every constant: arcplunge case show --set stud.metal=NAME");
        let names = list.iter();
        sources(b, names.map(|e| (e.value.name.as_str(), e.source.as_str())));
    })
}

/// Joint presets.
pub fn joints() -> Document {
    part("joints (joints.*, earth.N.*)   resistance    force", |b| {
        let list = catalogue::joints();
        let mut table = Table::of("  {:<26} {:>12} {:>8}", Vec::new(), 1);
        for j in list.iter().map(|entry| &entry.value) {
            let force = match j.force {
                Some(force) => engineering(force, "N"),
                None => "any".into(),
            };
            table.row([j.name.clone(), engineering(j.resistance, "Ω"), force]);
        }
        b.table(table);
        let names = list.iter();
        sources(b, names.map(|e| (e.value.name.as_str(), e.source.as_str())));
    })
}

/// Flexible copper leads: our resistance beside the standard's, and what a metre of one adds.
pub fn leads() -> Document {
    let head = "leads (lead.section)   here, 20 °C   IEC 60228 class 5   5 m alone in the loop";
    part(head, |b| {
        let layout = "  {:<18} {:>9} mΩ/m {:>14} mΩ/m   {}, {}";
        let mut table = Table::of(layout, Vec::new(), 1);
        for (mm2, standard) in LEADS {
            let a = mm2 * 1e-6;
            let inductance = lead::self_inductance(5.0, lead::rope_radius(a));
            table.row([
                format!("{mm2:.0} mm2"),
                format!("{:.3}", lead::resistance(1.0, a, ROOM) * 1e3),
                format!("{standard:.3}"),
                engineering(lead::resistance(5.0, a, ROOM), "Ω"),
                engineering(inductance, "H"),
            ]);
        }
        b.table(table);
        let from = [
            ("resistance", "IEC 60228:2004 table 3, maxima"),
            ("inductance", "Rosa (1908), partial self inductance"),
        ];
        sources(b, from.into_iter());
    })
}

/// Sources, each said once with the names it serves.
fn sources<'a>(b: &mut Blocks, entries: impl Iterator<Item = (&'a str, &'a str)>) {
    let mut said: Vec<(&str, Vec<&str>)> = Vec::new();
    for (name, source) in entries {
        match said.iter_mut().find(|(s, _)| *s == source) {
            Some((_, names)) => names.push(name),
            None => said.push((source, vec![name])),
        }
    }
    for (source, names) in said {
        let names = names.join(", ");
        b.paragraph(Look::Hanging, format!("source ({names}): {source}"));
    }
}

/// Faults: what each changes, what is seen on the weld, what helps.
pub fn faults() -> Document {
    let head = "faults (fire --fault, compare --fault; a+b applies both)";
    part(head, |b| {
        for fault in faults::faults() {
            let changes: Vec<&str> = fault.changes.iter().map(|c| c.text.as_str()).collect();
            b.line(format!("  {}", fault.name));
            let pairs = vec![
                (["what"; 2], fault.about.clone()),
                (["changes"; 2], changes.join(", ")),
                (["seen"; 2], fault.seen.clone()),
                (["remedy"; 2], fault.remedy.clone()),
            ];
            b.0.push(Block::Pairs([4, 13], pairs));
        }
        b.line("  source: signs, remedies and severity are common practice, no source");
    })
}

/// Spreads: from shot to shot, and how well the model's figures are known.
pub fn tolerances() -> Document {
    part("spreads (tolerance.KEY; scatter, sensitivity, fit)", |b| {
        b.line("  a normal one is a standard deviation, a uniform one a half-width");
        let model = "figures of the model, with --model";
        for (head, entries) in [
            ("from shot to shot", tolerance::usual()),
            (model, tolerance::uncertainties()),
            ("what measures a trace, for fit", tolerance::measurement()),
        ] {
            b.line(format!("  {head}"));
            let mut table = Table::of("    {:<32} {}", Vec::new(), 9);
            for entry in entries {
                table.row([entry.key.clone(), entry.spread.words(&entry.number)]);
            }
            b.table(table);
            let named = entries.iter().map(|e| (e.key.as_str(), e.source.as_str()));
            sources(b, named);
        }
    })
}
