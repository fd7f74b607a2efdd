//! Arc blow in the terminal, 80 columns: cause and effect, earth leads, fields, rim, what helps.

use super::super::cautions::SCREEN;
use super::super::format::{bar, engineering, milliseconds, percent, significant};
use super::super::terminal::Sheet;
use super::words::{drift, headline, place, remedy};
use super::{LIMITS, angle, clock};
use arcplunge_core::case::Case;
use arcplunge_core::case::catalogue;
use arcplunge_core::case::model::{Earth, Joint};
use arcplunge_core::case::quantity::number;
use arcplunge_core::physics::blow::push;
use arcplunge_core::simulation::verdict::Verdict;
use arcplunge_core::study::earths::{Blow, Place, Source, Trial, polar};

/// Column of the text beside the word.
const WORD: usize = 11;
/// Characters of a bar for a fill of 1, and the longest bar.
const FULL: usize = 20;
const LONGEST: usize = 44;

/// The whole page. Colour only where asked for.
pub fn page(case: &Case, blow: &Blow, trials: &[Trial], color: bool) -> String {
    let mut page = Page(Sheet::new(color));
    page.0.heading(case);
    page.cause(case, blow, trials);
    page.leads(case, blow);
    page.fields(case, blow);
    page.rim(blow);
    page.trials(case, blow, trials);
    page.closing();
    page.0.text
}

struct Page(Sheet);

impl Page {
    fn cause(&mut self, case: &Case, blow: &Blow, trials: &[Trial]) {
        let (word, sentence) = headline(case, blow);
        let code = match word {
            "whole" => "1;32",
            "one-sided" | "missing" => "1;31",
            _ => "1",
        };
        let painted = self.0.paint(word, code);
        if word.len() < WORD {
            let gap = " ".repeat(WORD - word.len());
            self.0.indented(&sentence, &format!("{painted}{gap}"), WORD);
        } else {
            self.0.line(painted);
            self.0.indented(&sentence, &" ".repeat(WORD), WORD);
        }
        if let Some(verdict) = blow.shot.verdict.filter(|v| *v != Verdict::Sound) {
            let text = format!(
                "The weld itself is {}, pushed or not: `arcplunge fire` says why.",
                verdict.name()
            );
            self.0.indented(&text, "  - ", 4);
        }
        if blow.distance().is_some_and(|d| d > 0.5 * blow.radius) {
            let text = "The drift is more than half the flange's radius: the law for the rim no \
                        longer holds there.";
            self.0.indented(text, "  - ", 4);
        }
        if let (Some(best), Some(before)) = (trials.first(), blow.distance()) {
            let after = best.blow.distance().unwrap_or(before);
            let fill = |blow: &Blow| significant(blow.weakest().unwrap_or(0.0), 3);
            let text = format!(
                "Best of what was tried: {}. Drift {} → {}, weakest fill {} → {}.",
                remedy(case, best.remedy),
                drift(before),
                drift(after),
                fill(blow),
                fill(&best.blow)
            );
            self.0.indented(&text, "  - ", 4);
        }
        self.0.line("");
    }

    fn leads(&mut self, case: &Case, blow: &Blow) {
        self.0
            .line("   earth  peak      charge  clamp                       clamp joint");
        for (k, earth) in case.earths.iter().enumerate() {
            let line = format!(
                "   {k:<5}  {:<8}  {:>6}  {:<26}  {}",
                engineering(blow.shot.peak_earths[k], "A"),
                percent(blow.share(k)),
                place(earth.at),
                joint(&earth.clamp),
            );
            self.0.line(line);
        }
        self.0.line("");
    }

    fn fields(&mut self, case: &Case, blow: &Blow) {
        let when = blow
            .time
            .map_or(String::new(), |t| format!("at {}", milliseconds(t)));
        let head = format!(
            "   {:<36} {:<14} {:<14} {}",
            "flux density at the face", when, "pushes to", "melt moves"
        );
        self.0.line(head);
        for source in &blow.sources {
            self.source(&name(case, source.place), source);
        }
        if blow.sources.len() > 1 {
            let all = Source {
                place: Place::GunLead,
                field: blow.field(),
                drift: blow.drift(),
            };
            self.source("together", &all);
        }
        self.0.line("");
    }

    fn source(&mut self, name: &str, source: &Source) {
        let [x, y, _] = source.field;
        let size = x.hypot(y);
        let (field, to) = if size < 5e-7 {
            ("none".to_string(), String::new())
        } else {
            let (_, heading) = polar(push(1.0, source.field));
            (format!("{} mT", significant(size * 1e3, 3)), clock(heading))
        };
        let moved = match source.drift {
            Some(d) if size >= 5e-7 => drift(polar(d).0),
            _ => String::new(),
        };
        self.0
            .line(format!("   {name:<36} {field:<14} {to:<14} {moved}"));
    }

    fn rim(&mut self, blow: &Blow) {
        if blow.bare().is_none() {
            return;
        }
        self.0.line(format!(
            "   {:<17} {}",
            "rim fill",
            format_args!("{:>1$}", "1 reaches the rim |", FULL + 1)
        ));
        for hour in 0..12 {
            let at = angle(f64::from(hour));
            let fill = blow.rim(at).unwrap_or(0.0);
            let word = if fill < 1.0 { "  missing" } else { "" };
            let line = format!(
                "   {:<10} {:>5}  {}{word}",
                clock(at),
                significant(fill, 3),
                rim_bar(fill)
            );
            self.0.line(line);
        }
        self.0
            .line("   seen from the tool; 12 o'clock is y of the case file, 3 o'clock is x");
        self.0.line("");
    }

    fn trials(&mut self, case: &Case, blow: &Blow, trials: &[Trial]) {
        if trials.is_empty() {
            return;
        }
        let mut row = |name: &str, blow: &Blow| {
            let verdict = blow.shot.verdict.map_or("", Verdict::name);
            self.0.line(format!(
                "   {name:<48} {:>7} {:>6}  {verdict}",
                drift(blow.distance().unwrap_or(0.0)),
                significant(blow.weakest().unwrap_or(0.0), 3),
            ));
        };
        row("as it is", blow);
        for trial in trials {
            row(&remedy(case, trial.remedy), &trial.blow);
        }
        let head = format!(
            "   {:<48} {:>7} {:>6}  {}\n",
            "tried, with the fill of the weakest side", "drift", "fill", "weld"
        );
        let start = self
            .0
            .text
            .rfind("   as it is")
            .unwrap_or(self.0.text.len());
        self.0.text.insert_str(start, &head);
        self.0.line("");
    }

    fn closing(&mut self) {
        self.0.paragraph(LIMITS);
        self.0.paragraph(SCREEN);
        self.0.cautions();
    }
}

/// A joint by its name and its figures.
fn joint(joint: &Joint) -> String {
    let mut text = format!("{} mohm", number(joint.resistance * 1e3, 3));
    if joint.drop != 0.0 {
        text.push_str(&format!(" + {} V", number(joint.drop, 3)));
    }
    match catalogue::find_joint(&joint.name) {
        Some(_) => format!("{}, {text}", joint.name),
        None => text,
    }
}

/// What makes the field, in words.
pub fn name(case: &Case, place: Place) -> String {
    match place {
        Place::Sheet(k) => format!("sheet current to clamp {k}"),
        Place::EarthLead(k) => format!("earth lead {k}, {}", lies(&case.earths[k])),
        Place::GunLead if case.lead.elevation >= std::f64::consts::FRAC_PI_2 => {
            "gun lead, straight up".into()
        }
        Place::GunLead => format!("gun lead, leaning to {}", clock(case.lead.direction)),
    }
}

fn lies(earth: &Earth) -> &'static str {
    match earth.elevation {
        e if e > 0.0 => "rising from the clamp",
        e if e < 0.0 => "hanging from the clamp",
        _ => "flat on the sheet",
    }
}

/// A bar with the mark of a fill of 1 where it does not reach it.
fn rim_bar(fill: f64) -> String {
    let mut text = bar(fill * FULL as f64 / LONGEST as f64, LONGEST);
    let length = text.chars().count();
    if length <= FULL && fill < 1.0 {
        text.push_str(&" ".repeat(FULL - length));
        text.push('|');
    }
    text
}
