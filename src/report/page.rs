//! One shot in the terminal, 80 columns: verdict and reasons, events, figures, ledger, cautions.

use super::beside::Beside;
use super::cautions::{LIMITS, SCREEN};
use super::figures::{self, FILL};
use super::format::{bar, depth, engineering, milliseconds, significant};
use super::joints;
use super::reasons::reasons;
use super::terminal::{AMBER, Sheet, verdict};
use arcplunge_core::case::Case;
use arcplunge_core::simulation::discharge::End;
use arcplunge_core::simulation::events::EventName;
use arcplunge_core::simulation::rig::Rig;
use arcplunge_core::simulation::shot::Shot;
use arcplunge_core::study::band::Band;

const BAR: usize = 28;

/// Column of the text beside the verdict.
const VERDICT: usize = 9;

/// The whole page. Colour only where asked for.
pub fn page(case: &Case, rig: &Rig, shot: &Shot, beside: &Beside, color: bool) -> String {
    let band = beside.band.as_ref();
    let mut p = Page(Sheet::new(color));
    p.0.heading(case);
    p.verdict(reasons(case, rig, shot, beside), shot, beside);
    p.events(shot);
    let banded = p.figures(shot, band);
    p.ledger(shot);
    p.joints(rig, shot);
    p.closing(band.filter(|_| banded));
    p.0.text
}

struct Page(Sheet);

impl Page {
    fn verdict(&mut self, reasons: Vec<String>, shot: &Shot, beside: &Beside) {
        let (name, code) = verdict(shot.verdict);
        let mut reasons = reasons.into_iter();
        let first = reasons.next().unwrap_or_default();
        let but = beside.but(shot.verdict);
        if !but.is_empty() || name.len() > VERDICT - 2 {
            let code = if but.is_empty() { code } else { AMBER };
            let word = self.0.paint(&format!("{name}{but}"), code);
            self.0.line(word);
            self.0.indented(&first, &" ".repeat(VERDICT), VERDICT);
        } else {
            let lead = format!(
                "{}{}",
                self.0.paint(name, code),
                " ".repeat(VERDICT - name.len())
            );
            self.0.indented(&first, &lead, VERDICT);
        }
        for reason in reasons {
            self.0.indented(&reason, "  - ", 4);
        }
        self.0.line("");
    }

    fn events(&mut self, shot: &Shot) {
        for e in &shot.events {
            let (name, note) = event(e.name, shot);
            self.0.line(format!(
                "   {:>9}  {name:<14} {note}",
                milliseconds(e.time_s)
            ));
        }
        if shot.how == End::StillFlowing {
            let open = if shot.figures.action_A2s == 0.0 {
                "stud still on its way"
            } else {
                "current still flowing"
            };
            self.0
                .line(format!("              the record ends with the {open}"));
        }
        self.0.line("");
    }

    fn figures(&mut self, shot: &Shot, band: Option<&Band>) -> bool {
        let rows = figures::rows(shot, band);
        let banded = rows.iter().any(|row| !row.band.is_empty());
        let head = if banded { "band*" } else { "" };
        self.0.line(format!("   {:<50} {head}", "figures"));
        for row in rows {
            self.0.line(format!(
                "   {:<21} {:<28} {}",
                row.name, row.value, row.band
            ));
        }
        if shot.figures.fill_ratio.is_some() {
            self.0.indented(FILL, "   ", 3);
        }
        self.0.line("");
        banded
    }

    fn ledger(&mut self, shot: &Shot) {
        let stored = shot.figures.stored_energy_J;
        let mut entries = shot.ledger.entries();
        // Rounding must not decide the order of two alike leads.
        entries.sort_by_key(|e| std::cmp::Reverse((e.1 / stored * 1e6).round() as i64));
        let (scale, unit) = if stored < 1.0 {
            (1e3, "mJ")
        } else {
            (1.0, "J")
        };
        let largest = entries.first().map_or(0.0, |e| e.1);
        self.0.line(format!(
            "   {:<26} {:>9}",
            "where the joules went",
            engineering(stored, "J")
        ));
        let small = |joules: f64| joules < 2e-3 * stored;
        for (name, joules) in entries.iter().filter(|e| !small(e.1)) {
            let bar = bar(joules / largest, BAR);
            let share = joules / stored * 100.0;
            self.0.line(format!(
                "   {name:<26} {:>7.1} {unit} {share:>5.1} %  {bar}",
                joules * scale
            ));
        }
        let rest: f64 = entries.iter().filter(|e| small(e.1)).map(|e| e.1).sum();
        if rest > 0.0 {
            let share = rest / stored * 100.0;
            self.0.line(format!(
                "   {:<26} {:>7.1} {unit} {share:>5.1} %",
                "all the rest",
                rest * scale
            ));
        }
        self.0.line("");
    }

    fn joints(&mut self, rig: &Rig, shot: &Shot) {
        let rows = joints::rows(rig, shot);
        if rows.is_empty() {
            return;
        }
        self.0.line(joints::head());
        for line in rows.into_iter().chain(joints::foot()) {
            self.0.line(line);
        }
        self.0.line("");
    }

    fn closing(&mut self, band: Option<&Band>) {
        if let Some(b) = band {
            let text = format!(
                "* 90 % of {} shots over the spread of the model's own constants.",
                b.shots
            );
            self.0.paragraph(&text);
        }
        self.0.paragraph(SCREEN);
        self.0.paragraph(LIMITS);
        self.0.cautions();
    }
}

/// Name and note of an event for people.
pub fn event(name: EventName, shot: &Shot) -> (&'static str, String) {
    let f = &shot.figures;
    match name {
        EventName::Trigger => ("trigger", String::new()),
        EventName::PipTouch => ("pip touches", "the current starts".into()),
        EventName::PipYield => ("pip yields", "the spring begins to move the stud".into()),
        EventName::Ignition => (
            "ignition",
            f.gap_at_ignition_m.map_or(String::new(), |g| {
                format!("the pip bursts, gap {}", depth(g))
            }),
        ),
        EventName::BankEmpty => ("bank empty", "the diode takes over".into()),
        EventName::Touchdown => (
            "touchdown",
            match (f.touchdown_speed_m_per_s, f.touchdown_current_A) {
                (Some(w), Some(i)) => {
                    format!(
                        "{} m/s, {} still flowing",
                        significant(w, 3),
                        engineering(i, "A")
                    )
                }
                _ => String::new(),
            },
        ),
        EventName::ArcOut => (
            "arc out",
            "the current is gone before the stud is down".into(),
        ),
        EventName::Stub => ("stub", "the pip is crushed before it burst".into()),
        EventName::CurrentEnd => ("current ends", String::new()),
        EventName::Frozen => ("frozen", String::new()),
    }
}
