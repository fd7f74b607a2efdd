//! The card from top to bottom: set up, prove, watch, cautions.

use super::words::{MEMORY, headline, mend_first, points};
use super::{picture, proof, setup, work};
use crate::cautions::{self, SCREEN};
use crate::document::{Block, Document, Look};
use crate::earths::clamps;
use crate::title::leads;
use arcplunge_core::case::Case;
use arcplunge_core::study::card::Card;

/// Column of the sentence beside the word.
const WORD: usize = 12;

/// The document of the card of a case; with `drawn`, paper shows plan and welds.
pub fn document(card: &Card, own: &Case, drawn: bool) -> Document {
    let case = &card.weld.case;
    let mut document = Document::about(case);
    document.blocks.group("section", "card", |b| {
        b.title(case);
        b.paragraph(Look::Small, format!("{}. {SCREEN}", leads(case)));
        if let Some(words) = mend_first(card) {
            b.paragraph(Look::Amber, words);
        }
        let (word, sentence) = headline(card);
        // One paragraph, not a point each: the sheet is full.
        let told = [vec![sentence], points(card)].concat();
        b.verdict(word, WORD, told.join(" "));
        b.gap();
        b.group("div", "columns", |b| {
            setup::connect(b, card);
            setup::set(b, card, own);
            setup::stud(b);
            setup::earths(b, card);
            if drawn {
                b.on_paper(|b| {
                    b.0.push(Block::Picture(clamps(case, &card.weld.blow)));
                });
            }
            setup::square(b, card);
            setup::marking(b, card);
            setup::template(b, card);
            proof::look(b, card);
            if drawn && !card.looks.is_empty() {
                b.on_paper(|b| b.0.push(Block::Picture(picture::svg(card))));
            }
            proof::test(b, card);
            work::hourly(b, card);
            work::faults(b, card);
        });
        proof::record(b);
        b.paragraph(Look::Small, MEMORY);
        b.on_paper(cautions::dangers);
    });
    document.blocks.gap();
    cautions::screen(&mut document.blocks, Some(cautions::limits("the band")));
    document
}
