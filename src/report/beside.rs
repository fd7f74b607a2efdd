//! What is reckoned beside a shot, and what it adds to the verdict.

use super::earths::words::{headline, witness};
use super::format::percent;
use arcplunge_core::case::Case;
use arcplunge_core::case::faults::Fault;
use arcplunge_core::simulation::verdict::Verdict;
use arcplunge_core::study::band::Band;
use arcplunge_core::study::earths::Blow;
use arcplunge_core::study::remedy::Remedies;

/// What stands beside a shot on its pages; by default nothing.
#[derive(Debug, Clone, Default)]
pub struct Beside<'a> {
    /// Shots within the spread of the model's own constants.
    pub band: Option<Band>,
    /// Settings that would help.
    pub remedies: Remedies,
    /// What the earth leads do to the melt.
    pub blow: Option<Blow>,
    /// Faults that were put on the case.
    pub faults: Vec<&'a Fault>,
}

impl Beside<'_> {
    /// What the verdict's word needs added; see [`but`].
    pub fn but(&self, verdict: Option<Verdict>) -> String {
        but(verdict, self.band.as_ref(), self.blow.as_ref())
    }

    /// What the earth leads leave bare, and where.
    pub fn one_sided(&self, case: &Case, verdict: Option<Verdict>) -> Option<String> {
        let blow = bare(verdict, self.blow.as_ref())?;
        let weakest = blow.weakest().map(percent);
        let weakest = weakest.map_or(String::new(), |w| {
            format!(" The weakest place is filled to {w}; `arcplunge earths` tries remedies.")
        });
        Some(format!("{}{weakest}", headline(case, blow).1))
    }

    /// What mends the faults that were put on.
    pub fn mend(&self) -> Option<String> {
        let remedies: Vec<&str> = self.faults.iter().map(|f| f.remedy.as_str()).collect();
        (!remedies.is_empty()).then(|| format!("Mend the fault first. {}", remedies.join(" ")))
    }
}

/// What a verdict's word needs added: ", borderline", ", but bare on one side"; nothing where it stands alone.
pub fn but(verdict: Option<Verdict>, band: Option<&Band>, blow: Option<&Blow>) -> String {
    let mut out = String::new();
    if band.is_some_and(|b| b.borderline) {
        out += ", borderline";
    }
    if bare(verdict, blow).is_some() {
        out += ", but bare on one side";
    }
    out
}

/// The arc blow of a weld that is sound by its mean fill and yet bare somewhere.
fn bare(verdict: Option<Verdict>, blow: Option<&Blow>) -> Option<&Blow> {
    let blow = blow?;
    let lacks = matches!(witness(blow), Some("one-sided" | "missing"));
    (verdict == Some(Verdict::Sound) && lacks).then_some(blow)
}
