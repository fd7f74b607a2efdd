//! A shift of the page's weld: what its pace does to the rig, and the rig to the welds.

use serde::Serialize;
use serde_json::Value;

use super::request::{PageRequest, Study};
use super::session::Session;
use arcplunge_core::study::scatter::draw::Draw;
use arcplunge_core::study::shift::plan::{Plan, read_break, read_pace};
use arcplunge_core::study::shift::{Extent, Shift, shift_until};
use arcplunge_report::shift::{Curves, Told, curves, told, value};

/// Welds and pace where nothing else is asked.
const WELDS: usize = 1000;
const PACE: &str = "12/min";

/// Most welds of a shift on the page.
const MOST: usize = 5000;

/// Seed of the scatter, that of the command line's default.
const SEED: u64 = 1;

/// Points of a curve: a screen shows no more.
const POINTS: usize = 500;

/// A shift as the page shows it.
#[derive(Debug, Serialize)]
pub struct ShiftResponse {
    told: Told,
    curves: Curves,
    /// The shift for programs, as the command line writes it.
    shift: Value,
}

impl ShiftResponse {
    /// Of the shift that is asked for.
    ///
    /// # Errors
    /// In words, when the case or the plan does not fit, or an integration fails.
    pub fn of(session: &Session, asked: &PageRequest) -> Result<ShiftResponse, String> {
        let shift = run(session, asked)?;
        Ok(ShiftResponse {
            told: told(&shift),
            curves: curves(&shift, POINTS),
            shift: value(&shift).map_err(|e| format!("error: {e}"))?,
        })
    }
}

/// Runs it, with the scatter from weld to weld and the band of the model's constants.
///
/// # Errors
/// As [`ShiftResponse::of`].
pub fn run(session: &Session, asked: &PageRequest) -> Result<Shift, String> {
    let plan = plan(&asked.study)?;
    let resolved = session.titled(&asked.weld)?.0;
    let case = &resolved.case;
    session.is_quick(case)?;
    let tolerances = resolved.tolerances.of(case).into_iter();
    let draws: Vec<Draw> = tolerances
        .map(|t| Draw::new(case, t))
        .collect::<Result<_, _>>()
        .map_err(|e| format!("error: tolerance: {e}"))?;
    let extent = Extent {
        scatter: (!draws.is_empty()).then_some((&draws[..], SEED)),
        band: true,
    };
    let found = shift_until(case, &plan, extent, session.cancelled());
    let found = found.map_err(|e| format!("error: {e}"))?;
    found.ok_or_else(|| "error: the shift was ended".into())
}

fn plan(study: &Study) -> Result<Plan, String> {
    let welds = match study.welds.as_deref().map(str::trim) {
        None | Some("") => WELDS,
        Some(text) => match text.parse() {
            Ok(n) if (1..=MOST).contains(&n) => n,
            _ => {
                let text: String = text.chars().take(40).collect();
                return Err(format!(
                    "error: welds: expected a number from 1 to {MOST}; found `{text}`"
                ));
            }
        },
    };
    let pace = read_pace(study.pace.as_deref().unwrap_or(PACE))
        .map_err(|e| format!("error: pace: {e}"))?;
    let breaks = study.breaks.as_deref().unwrap_or("");
    let breaks = breaks
        .split(',')
        .map(str::trim)
        .filter(|text| !text.is_empty());
    let breaks = breaks.map(read_break).collect::<Result<_, _>>();
    let plan = breaks.and_then(|breaks| Plan::new(welds, pace, breaks));
    plan.map_err(|e| format!("error: breaks: {e}"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use arcplunge_core::case::read::Text;

    fn asked(pairs: &str) -> Result<ShiftResponse, String> {
        let session = Session::new(Text::default(), Vec::new());
        ShiftResponse::of(&session, &crate::request::read(pairs).unwrap())
    }

    #[test]
    fn a_faster_shift_is_another_and_a_wrong_one_is_told() {
        let at = |pace: &str| {
            let pairs = format!("welds=100&pace={pace}&set=charger.interlock%3Dno");
            asked(&pairs).unwrap()
        };
        let [slow, fast] = ["12%2Fmin", "90%2Fmin"].map(at);
        assert!(slow.shift["first_not_sound"].is_null());
        assert_eq!(fast.shift["first_not_sound"]["reason"], "voltage");
        assert_eq!(slow.shift["fastest"], fast.shift["fastest"]);
        for (pairs, word) in [
            ("welds=5001", "from 1 to 5000"),
            ("welds=x", "from 1 to 5000"),
            ("pace=12", "welds per time"),
            ("breaks=30min", "length and time"),
            ("set=bank.voltag%3D12", "did you mean `bank.voltage`"),
        ] {
            let said = asked(pairs).unwrap_err();
            assert!(said.starts_with("error: ") && said.contains(word), "{said}");
        }
    }
}
