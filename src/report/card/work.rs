//! During the shift: what to look at each hour, when to change a chuck, the first sign of each fault.

use crate::compare::reserve::left;
use crate::document::Blocks;
use crate::format::{capital, engineering};
use crate::shift::{bleed, duration, rounded};
use crate::verdict;
use arcplunge_core::simulation::verdict::Verdict;
use arcplunge_core::study::card::Card;

/// What to look at each hour.
pub fn hourly(b: &mut Blocks, card: &Card) {
    b.heading(2, "10 Each hour of the shift");
    let case = &card.weld.case;
    let early = if case.charger.interlock {
        "the trigger is locked until then".to_string()
    } else {
        let ready = engineering(case.charger.ready * case.bank.voltage, "V");
        format!("faster firing welds below {ready}")
    };
    let mut points = vec![
        "Look at a weld all round its rim; bend one test weld. Stop at the first that is not as the first ones were.".to_string(),
        "Feel terminals and clamps with the bank off and discharged: one warmer than its like is loose. Clean jaws, slide and feet.".into(),
        format!(
            "Ready again {} after a shot, by the charger's figures; {early}.",
            duration(card.charge.ready)
        ),
    ];
    points.push(match card.chuck {
        Some(life) => format!(
            "Change or adjust the chuck before {} welds (95 of 100 part first between {} and {}: wear known to a \
             factor), and at once at burn marks on a thread.",
            rounded(life.low),
            rounded(life.low),
            rounded(life.high)
        ),
        None => "Change the chuck at the first burn mark on a thread.".into(),
    });
    points.push(bleed(&card.charge, case.bank.voltage));
    b.list(points);
    b.gap();
}

/// Every fault, its first sign, and what it does to this rig.
pub fn faults(b: &mut Blocks, card: &Card) {
    b.heading(2, "11 First sign of each fault");
    let signs = card.faults.iter().map(|fault| {
        let here = match &fault.shot {
            None => "cannot be tried here".to_string(),
            Some(shot) => {
                let (word, _) = verdict::word(shot.verdict);
                left(shot).map_or(word.into(), |left| format!("{word} here, reserve {left}"))
            }
        };
        let name = capital(&fault.what.name.replace('-', " "));
        // What breaks welds elsewhere may still be borne here.
        let once = match fault.shot.as_ref().and_then(|shot| shot.verdict) {
            Some(Verdict::Sound) => "; once it is worse",
            _ => "",
        };
        format!("{name} ({here}{once}): {}", fault.what.seen)
    });
    b.group("div", "signs", |b| b.list(signs));
    b.gap();
}
