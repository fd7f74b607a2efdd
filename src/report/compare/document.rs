//! A comparison as a document: verdicts and causes, figures, curves, ledger moves, joints, cautions.

use super::moves;
use super::remedies::remedy;
use super::reserve::reserve;
use super::sentences::{cause, change, seen};
use super::tables::{lying, on_paper, upright};
use crate::asides::warned;
use crate::cautions::{self, limits};
use crate::document::{Block, Blocks, Document, Look, Row, Tone};
use crate::pairs::remarks_of;
use crate::plot::overlay;
use crate::{joints, keys, verdict};
use arcplunge_core::case::read::Origins;
use arcplunge_core::simulation::trace::Trace;
use arcplunge_core::study::assessment::Assessment;
use arcplunge_core::study::compare::Comparison;

/// Variations side by side in a table or a drawing: as many as can still be distinguished.
const SIDE_BY_SIDE: usize = 3;

/// What a change is a share of.
const CHANGES: &str =
    "Changes are in per cent of the base, those of shares in percentage points (pts).";

/// What the words on faults are worth: of all variations, and of one.
const PRACTICE: &str = "Signs on a weld and remedies are common practice, no source.";
const PRACTICE_OF_ONE: &str = "Signs on a weld and the remedy are common practice, no source.";

/// The document of a comparison; `traces` are the curves of the base and of each variation, if they are to be
/// drawn.
pub fn document(c: &Comparison, origins: &Origins, traces: &[Trace]) -> Document {
    let mut document = Document::of(&c.base.case);
    let b = &mut document.blocks;
    weld(b, c, &c.base);
    for v in &c.variations {
        weld(b, c, v);
    }
    let few = c.variations.len() <= SIDE_BY_SIDE;
    // Groups of about the same size.
    let groups = c.variations.len().div_ceil(SIDE_BY_SIDE).max(1);
    let group = c.variations.len().div_ceil(groups).max(1);
    b.in_text(|b| {
        b.0.extend(
            if few { upright(c) } else { vec![lying(c)] }
                .into_iter()
                .map(Block::Table),
        );
        b.gap();
    });
    b.on_paper(|b| {
        b.heading(2, "Figures");
        for group in c.variations.chunks(group) {
            b.table(on_paper(&c.base, group));
        }
        b.paragraph(Look::Small, CHANGES);
        b.heading(2, "Curves and ledgers");
        if let Some((first, others)) = traces.split_first() {
            let pairs: Vec<_> = c.variations.iter().zip(others).collect();
            for group in pairs.chunks(group) {
                b.0.push(Block::Picture(overlay::svg((&c.base, first), group)));
            }
        }
        b.heading(2, "Where the joules moved");
    });
    moved(b, c, few);
    suffering(b, c);
    b.in_text(|b| b.say(format!("{CHANGES} {PRACTICE}")));
    cautions::screen(b, Some(limits("a borderline verdict")));
    b.on_paper(|b| keys::case(b, &c.base.case, origins));
    cautions::closing(b);
    document
}

/// Name, verdict, the figure that decides it, what is left of it; of a variation what was changed, what it
/// did, what is seen, what helps.
fn weld(b: &mut Blocks, c: &Comparison, s: &Assessment) {
    let base = Some(&c.base).filter(|base| !std::ptr::eq(*base, s));
    b.group("section", "weld", |b| {
        b.in_text(|b| b.named(&*s.name, word(s)));
        b.on_paper(|b| b.named(&*s.name, verdict::full(s)));
        b.paragraph(Look::Inset, warned(&s.case, &s.shot));
        let left = reserve(base, s).map(|left| {
            let look = if left.fell { Look::Amber } else { Look::Inset };
            (look, left.words)
        });
        if let (Some(_), Some((look, words))) = (base, &left) {
            b.in_text(|b| b.paragraph(*look, words));
        }
        let remarks = base.map_or_else(|| remarks_of(&s.case), |_| own_remarks(c, s));
        for remark in remarks {
            b.paragraph(Look::Inset, remark);
        }
        b.on_paper(|b| {
            if let Some((look, words)) = left {
                let words = words.replacen("reserve", "Reserve above fill 1:", 1);
                b.paragraph(look, format!("{words}."));
            }
            if let Some(unsure) = verdict::unsure(s.band.as_ref()) {
                b.paragraph(Look::Amber, unsure);
            }
        });
        b.0.extend(base.map(|base| why(base, s)));
        if !s.faults.is_empty() {
            b.on_paper(|b| b.paragraph(Look::Small, PRACTICE_OF_ONE));
        }
    });
    b.gap();
}

/// What is not judged of a variation's metals and is not said of the base's already.
fn own_remarks(c: &Comparison, v: &Assessment) -> Vec<&'static str> {
    let said = remarks_of(&c.base.case);
    let mut own = remarks_of(&v.case);
    own.retain(|remark| !said.contains(remark));
    own
}

/// The verdict in full, and how often others come where it is borderline.
fn word(s: &Assessment) -> (String, Tone) {
    let unsure = verdict::counted_doubt(s.shot.verdict, s.band.as_ref());
    verdict::with(&s.shot, unsure.as_deref())
}

fn why(base: &Assessment, v: &Assessment) -> Block {
    let about: Vec<&str> = v.faults.iter().map(|f| f.about.as_str()).collect();
    let changes: Vec<String> = v.changes.iter().map(change).collect();
    let mut pairs = vec![
        (["Fault"; 2], about.join("; ")),
        (["Changed"; 2], changes.join("; ")),
        (["Cause"; 2], cause(base, v)),
        (["Seen", "Signs on a weld"], seen(base, v).join(" ")),
        (["Remedy"; 2], remedy(base, v).join(" ")),
    ];
    pairs.retain(|(_, words)| !words.is_empty());
    Block::Pairs([3, 11], pairs)
}

/// Where the joules moved: tables, on a terminal sentences for many variations.
fn moved(b: &mut Blocks, c: &Comparison, few: bool) {
    if few {
        for v in &c.variations {
            if c.variations.len() > 1 {
                b.in_text(|b| b.heading(4, &*v.name));
            }
            b.on_paper(|b| b.heading(3, &*v.name));
            moves::table(b, &c.base, v);
            b.gap();
            b.on_paper(|b| joints::suffering(b, &v.rig, &v.shot));
        }
        return;
    }
    b.in_text(|b| {
        b.line("where the joules moved");
        for v in &c.variations {
            let words = format!("{}: {}", v.name, moves::words(&c.base, v));
            b.paragraph(Look::Hanging, words);
        }
        b.gap();
    });
    b.on_paper(|b| {
        for v in &c.variations {
            b.heading(3, &*v.name);
            moves::table(b, &c.base, v);
            joints::suffering(b, &v.rig, &v.shot);
        }
    });
}

/// Joints that suffer, of all shots.
fn suffering(b: &mut Blocks, c: &Comparison) {
    let mut table = joints::table();
    for s in std::iter::once(&c.base).chain(&c.variations) {
        let before = table.rows.len();
        table.rows.push(Row::Group(2, s.name.clone()));
        joints::put(&mut table, &s.rig, &s.shot);
        if table.rows.len() == before + 1 {
            table.rows.pop();
        }
    }
    if !table.rows.is_empty() {
        b.in_text(|b| {
            b.table(table);
            b.note(joints::meaning());
            b.gap();
        });
    }
}
