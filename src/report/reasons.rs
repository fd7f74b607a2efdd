//! Why the weld came out as it did: cause, figure, remedy, in that order.

use super::asides::{aside, breaks_first, polarity, warned};
use super::earths::words::headline;
use super::format::{celsius, engineering, melt_volume, milliseconds, percent, trimmed};
use super::joints;
use super::pairs::remarks_of;
use super::tried::tried;
use super::verdict;
use arcplunge_core::case::Case;
use arcplunge_core::case::faults::Fault;
use arcplunge_core::simulation::joints::Spot;
use arcplunge_core::simulation::remarks::Remark;
use arcplunge_core::simulation::rig::Rig;
use arcplunge_core::simulation::shot::Shot;
use arcplunge_core::simulation::verdict::Cause;
use arcplunge_core::study::assessment::Assessment;

/// Share of the stored energy from which a lead is worth a sentence.
const COSTLY: f64 = 0.25;

/// Back face from which it shows: bare steel takes its first colours \[K\]; and share of the melting
/// point \[K\] from which the sheet is soft (both common practice, no source).
const COLOURS: f64 = 273.15 + 220.0;
const SOFT: f64 = 0.6;

/// Share of its length below which a pip has been pressed flat.
const PRESSED: f64 = 0.5;

/// Why a weld came out as it did, by what each says.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Reasons {
    /// The figure that decides, as a sentence.
    pub deciding: String,
    /// What is not judged of the metals.
    pub remarks: Vec<&'static str>,
    /// What mends the faults that were put on.
    pub mend: Option<String>,
    /// What stands behind the verdict, most telling first.
    pub causes: Vec<String>,
    /// What the earth leads leave bare, and where.
    pub one_sided: Option<String>,
    /// Settings that were tried.
    pub tried: Option<String>,
    /// What the spread of the model's own constants makes of it.
    pub borderline: Option<String>,
    /// What polarity would do.
    pub polarity: Option<String>,
}

impl Reasons {
    /// The reasons of a weld.
    pub fn of(a: &Assessment) -> Reasons {
        let mut behind = joints::told(&a.rig, &a.shot, Spot::Softens);
        behind.extend(balance(&a.shot));
        behind.extend(causes(&a.case, &a.rig, &a.shot));
        behind.extend(back_face(&a.case, &a.shot));
        behind.extend(breaks_first(&a.shot));
        behind.extend(a.shot.remarks.iter().filter_map(aside));
        Reasons {
            deciding: warned(&a.case, &a.shot),
            remarks: remarks_of(&a.case),
            mend: mend(&a.faults),
            causes: behind,
            one_sided: one_sided(a),
            tried: tried(&a.case, &a.remedies),
            borderline: verdict::unsure(a.band.as_ref()),
            polarity: polarity(a.band.as_ref()),
        }
    }

    /// All in order: what was found, why, and what would help.
    pub fn all(self) -> Vec<String> {
        let mut out = vec![self.deciding];
        out.extend(self.remarks.into_iter().map(String::from));
        out.extend(self.mend);
        out.extend(self.causes);
        out.extend(self.one_sided);
        out.extend(self.tried);
        out.extend(self.borderline);
        out.extend(self.polarity);
        out
    }
}

fn mend(faults: &[&Fault]) -> Option<String> {
    let remedies: Vec<&str> = faults.iter().map(|f| f.remedy.as_str()).collect();
    (!remedies.is_empty()).then(|| format!("Repair the fault first. {}", remedies.join(" ")))
}

fn one_sided(a: &Assessment) -> Option<String> {
    if !verdict::is_bare(a) {
        return None;
    }
    let weakest = a.blow.weakest().map(percent);
    // Without a drift there is nothing for clamps to mend.
    let help = match a.blow.heading() {
        Some(_) => "; `arcplunge earths` tries remedies",
        None => "",
    };
    let weakest = weakest.map_or(String::new(), |w| {
        format!(" The weakest point has a fill of {w}{help}.")
    });
    Some(format!("{}{weakest}", headline(&a.case, &a.blow).1))
}

/// What stands behind the verdict besides burning joints.
fn causes(case: &Case, rig: &Rig, shot: &Shot) -> Vec<String> {
    let mut out = Vec::new();
    match shot.cause {
        Cause::Underfilled => out.extend(underfilled(case, shot)),
        Cause::ArcOut => out.extend(arc_out(rig, shot)),
        Cause::BoiledOff | Cause::MeltedThrough | Cause::Overfilled => {}
        Cause::PartFilled => out.extend(out_of_square(case)),
        Cause::NoIgnition => out.push(no_ignition(rig, shot)),
        Cause::Stub => out.push(
            "The spring is too strong for this pip, or the current rises too slowly.".into(),
        ),
        Cause::NeverTouched if rig.stud.flight.push <= 0.0 => out.push(
            "Spring and weight do not overcome the slide's friction: free the slide or set more \
             spring force."
                .into(),
        ),
        Cause::NeverTouched => out.push(
            "The spring runs out of force before the lift is used up: set less lift, more spring force or a \
             softer spring."
                .into(),
        ),
        Cause::NeverConducted => out.push("Charge the bank to a higher voltage, or repair the sparking joint.".into()),
        Cause::ArcEndless => out.push(
            "Spring and weight do not carry the stud down: free the slide or set more spring force."
                .into(),
        ),
        Cause::Filled | Cause::DischargeTest | Cause::RecordEnded => {}
    }
    if matches!(
        shot.cause,
        Cause::Underfilled | Cause::NoIgnition | Cause::Stub
    ) {
        out.extend(leads(shot));
    }
    out.extend(mark(case, rig));
    out
}

/// What an underfilled wedge needed and got.
pub fn balance(shot: &Shot) -> Option<String> {
    let v = &shot.volumes;
    let stands = if v.is_propped() { " as it stands" } else { "" };
    (shot.cause == Cause::Underfilled).then(|| format!(
        "The space under the cone{stands} needs {}; the squeeze supplied {}, the pip {}, and {} boiled away.",
        melt_volume(v.room),
        melt_volume(v.squeezed),
        melt_volume(v.pip),
        melt_volume(v.vapour)
    ))
}

/// Where the energy of an underfilled wedge went instead.
fn underfilled(case: &Case, shot: &Shot) -> Vec<String> {
    let f = &shot.figures;
    let mut out = Vec::new();
    if let Some(arc) = f.arc_energy_J {
        out.push(format!(
            "Of {} stored, {} ({}) reached the arc.",
            engineering(f.stored_energy_J, "J"),
            engineering(arc, "J"),
            percent(arc / f.stored_energy_J)
        ));
    }
    out.extend(out_of_square(case));
    out
}

/// A tilt worth a word.
fn out_of_square(case: &Case) -> Option<String> {
    let (tilt, cone) = (case.tool.tilt, case.stud.cone);
    if tilt > cone {
        return Some("The tool is tilted by more than the cone angle: one side of the rim touches first. Square it.".into());
    }
    (tilt > 0.0).then(|| {
        format!(
            "The tool stands {}° out of square, of a cone of {}°: one side of the rim has that much more to fill. \
             Square it.",
            trimmed(tilt.to_degrees()),
            trimmed(cone.to_degrees())
        )
    })
}

fn arc_out(rig: &Rig, shot: &Shot) -> Vec<String> {
    let (Some(ignition), Some(gap)) = (shot.figures.ignition_s, shot.figures.gap_at_ignition_m)
    else {
        return Vec::new();
    };
    // Where the stud would have come down, had the arc lasted.
    let s = &rig.stud;
    let travel = s.open_travel() - gap;
    let Some(lands) = s.flight.time_to(travel, 0.0, s.touch_travel()) else {
        return vec![
            "The spring runs out of force before the stud is down: it would never land. Set more spring \
             force."
                .into(),
        ];
    };
    vec![format!(
        "The stud would come down only at about {}.",
        milliseconds(ignition + lands)
    )]
}

/// Why the pip did not burst: a pip pressed flat has little resistance, and takes ever less heat.
fn no_ignition(rig: &Rig, shot: &Shot) -> String {
    let whole = rig.stud.pip_length;
    if let Some(left) = shot.pip_left.filter(|left| *left < PRESSED * whole) {
        return format!(
            "The spring pressed the pip from {} to {} before it could burst: a short and wide pip has little \
             resistance to heat it.",
            engineering(whole, "m"),
            engineering(left, "m")
        );
    }
    let burst = rig.stud.pip.burst * rig.stud.pip.mass;
    format!(
        "The pip needs about {} to burst; with its contact on the sheet it got {}.",
        engineering(burst, "J"),
        engineering(shot.ledger.pip, "J")
    )
}

/// What the sheet's back will show of a weld, where nothing worse of it is told already.
fn back_face(case: &Case, shot: &Shot) -> Option<String> {
    let told = (shot.remarks.iter()).any(|r| matches!(r, Remark::HotBack { .. }));
    let hottest = (shot.figures.back_face_K).filter(|t| *t > COLOURS && !told)?;
    let end = if hottest > SOFT * case.sheet.metal.melting_point {
        "the sheet is soft through its whole thickness and may bulge or be pressed through"
    } else {
        "bare metal may discolour, and paint, plating or film on the back will suffer"
    };
    Some(format!(
        "The sheet's back face reaches {}: {end} (common practice, no source).",
        celsius(hottest)
    ))
}

/// Leads that take a large share.
fn leads(shot: &Shot) -> Option<String> {
    let l = &shot.ledger;
    let earths: f64 = l.earth_leads.iter().sum();
    let share = (l.gun_lead + earths) / shot.figures.stored_energy_J;
    (share > COSTLY).then(|| {
        format!(
            "The leads took {}, {} of the bank.",
            engineering(l.gun_lead + earths, "J"),
            percent(share)
        )
    })
}

/// What a centre mark does to the timing.
fn mark(case: &Case, rig: &Rig) -> Option<String> {
    case.sheet
        .centre_mark
        .filter(|_| case.stud.short_resistance.is_none())?;
    let s = &rig.stud;
    let melt = melt_volume(s.rim.mark);
    // A mark narrower or flatter than the pip leaves the gap as it is.
    let swallows = match s.sink > 0.0 {
        true => format!(
            "swallows {} of the pip: the flange starts {} above the sheet instead of {}, and {melt} of melt are \
             needed to fill it",
            engineering(s.sink, "m"),
            engineering(s.start_gap(), "m"),
            engineering(s.pip_length, "m"),
        ),
        false => format!("takes {melt} of melt to fill"),
    };
    Some(format!(
        "The centre mark {swallows}. Mark by scribing or a template."
    ))
}
