//! What every result carries: the limits of the model and the usual cautions.

use super::document::{Blocks, Look};
use arcplunge_core::case::Case;
use arcplunge_core::case::keys::{Address, mark_of, scale_of};

/// What a verdict is worth.
pub const SCREEN: &str =
    "A verdict is a screen, not an acceptance: test welds to ISO 14555 decide.";

/// What the model leaves out, in one line.
pub const LIMITS: &str = "The model squeezes all melt between flat, rigid discs; it leaves out melt \
blown out at first contact, the pinch of the arc, and stud bounce. It depends most on the melt's \
conductivity, the heat shares, the electrode falls and the burst of the pip, none of which is known well: the \
band shows their effect.";

/// Dangers of the work.
pub const CAUTIONS: [&str; 7] = [
    "Stored charge: a bank can kill after it is switched off. Let it discharge and measure.",
    "Arc light burns eyes and skin: wear protection, warn bystanders.",
    "Noise: the bang of the arc needs hearing protection.",
    "Spatter starts fires: remove flammables, and check again later.",
    "Fumes: zinc, paint and oil on the sheet give off harmful fumes. Strip them, ventilate.",
    "Magnetic field: kiloamperes flow in the leads. People with implants must keep away.",
    "The maker's instructions, local rules and qualified practice come before this program.",
];

const VOLTAGE: &str = "bank.voltage";

/// What is to be checked before a bank is charged higher than it was, where its highest voltage is not known.
const NAMEPLATE: &str = "The case does not say how high the bank may be charged (bank.voltage_max): \
check its nameplate before you charge it to more than now.";

/// A word on settings that are advised, where one of them charges the bank higher than the case and nobody said it may be.
pub fn nameplate<'a>(
    case: &Case,
    settings: impl IntoIterator<Item = (&'a Address, f64)>,
) -> Option<&'static str> {
    let volts = |(address, value): (&Address, f64)| match address.to_string().as_str() {
        VOLTAGE => Some(value),
        path => scale_of(case, path)
            .filter(|_| mark_of(path).is_some_and(|(_, place)| place.number == VOLTAGE))?
            .value(value),
    };
    charging(case, settings.into_iter().filter_map(volts))
}

/// The same of voltages that are advised \[V\].
pub fn charging(case: &Case, volts: impl IntoIterator<Item = f64>) -> Option<&'static str> {
    let known = case.bank.voltage_max.is_some();
    let higher = |volts| volts > case.bank.voltage;
    (!known && volts.into_iter().any(higher)).then_some(NAMEPLATE)
}

/// Cautions and the worth of a verdict, as files carry them.
pub fn all() -> Vec<&'static str> {
    CAUTIONS.into_iter().chain([SCREEN]).collect()
}

/// What the model leaves out, and what shows the effect of its constants: "the band".
pub fn limits(shown_by: &str) -> String {
    LIMITS.replace("the band shows", &format!("{shown_by} shows"))
}

/// The dangers of the work and what a verdict is worth, for the sheet one takes to the machine.
pub fn dangers(blocks: &mut Blocks) {
    blocks.group("section", "cautions", |b| {
        b.heading(2, "Before you weld");
        b.list(CAUTIONS);
        b.say(SCREEN);
    });
}

/// The end of a report: the dangers, and what the model leaves out.
pub fn closing(blocks: &mut Blocks) {
    blocks.on_paper(|b| {
        dangers(b);
        b.paragraph(Look::Small, limits("the band of a single shot"));
    });
}

/// The dangers of the work on a terminal, unless all is asked for: with the worth of a verdict four lines.
const BRIEF: &str = "Before you weld: a bank can kill after it is switched off, so discharge and measure it. \
Shield eyes, skin, ears; no flammables near, no implants; strip zinc, paint, oil, ventilate. Maker and local rules \
come first. More: --cautions.";

/// The end of every page on a terminal: what the verdict is worth and the dangers; in full also what else `limits` says.
pub fn screen(blocks: &mut Blocks, limits: Option<String>) {
    let brief = |b: &mut Blocks| {
        b.say(SCREEN);
        b.say(BRIEF);
    };
    blocks.in_brief_or_full(brief, |b| {
        b.say(SCREEN);
        if let Some(limits) = limits {
            b.say(limits);
        }
        b.gap();
        b.heading(2, "Before you weld");
        b.list(CAUTIONS);
    });
}

/// The end of a document that says no more about the model.
pub fn end(blocks: &mut Blocks) {
    screen(blocks, None);
    blocks.on_paper(dangers);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::Document;

    #[test]
    fn a_terminal_shows_four_lines_unless_all_is_asked_for() {
        let mut document = Document::default();
        end(&mut document.blocks);
        let (brief, full) = (document.text(false), document.full_text(false));
        assert_eq!(brief.lines().count(), 4, "{brief}");
        assert!(
            brief.lines().all(|line| line.chars().count() <= 80),
            "{brief}"
        );
        // One word of each danger.
        for (word, caution) in [
            "bank",
            "eyes",
            "ears",
            "flammables",
            "zinc",
            "implants",
            "Maker",
        ]
        .iter()
        .zip(CAUTIONS)
        {
            assert!(brief.contains(word), "{caution}: {brief}");
            let first = caution.split([':', ',', '\'']).next().unwrap_or_default();
            assert!(
                full.contains(first) && document.html().contains(first),
                "{caution}"
            );
        }
    }
}
