//! What the spread of the model's own constants makes of a verdict.

use serde::Serialize;

use arcplunge_core::simulation::verdict::Verdict;
use arcplunge_core::study::band::Band;
use arcplunge_report::verdict;

/// The band's shots by their verdicts.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Spread {
    /// "borderline", or "but hot in 106 of 128" where most shots have another verdict; none where nine of ten agree.
    doubt: Option<String>,
    /// Shots with each verdict that came.
    verdicts: Vec<(Verdict, usize)>,
}

impl Spread {
    /// What a band makes of a weld's own verdict.
    pub fn of(own: Option<Verdict>, band: Band) -> Spread {
        Spread {
            doubt: verdict::doubt(own, Some(&band)),
            verdicts: band.verdicts,
        }
    }
}
