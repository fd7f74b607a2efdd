//! What the spread of the model's own constants makes of a verdict.

use serde::Serialize;

use arcplunge_core::simulation::verdict::Verdict;
use arcplunge_core::study::band::Band;
use arcplunge_report::verdict;

/// The band's shots by their verdicts.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Spread {
    /// "borderline: 21 cold, 107 sound of 128"; none where nine of ten shots agree.
    borderline: Option<String>,
    /// Shots with each verdict that came.
    verdicts: Vec<(Verdict, usize)>,
}

impl Spread {
    pub fn of(band: Band) -> Spread {
        Spread {
            borderline: verdict::borderline(Some(&band)),
            verdicts: band.verdicts,
        }
    }
}
