//! A document of blocks: what a command has to say, once, for terminal and paper.
//!
//! A command fills it with headings, paragraphs, tables and the like; [`Document::text`] sets it in 80
//! columns, [`Document::html`] as one file that needs no other. Blocks that only one of them shows are put
//! in with [`Blocks::in_text`] and [`Blocks::on_paper`].

mod block;
mod html;
mod html_table;
mod inline;
mod layout;
mod table;
#[cfg(test)]
mod tests;
mod text;
mod tone;

pub use block::{Block, Blocks, Document, Look};
pub use table::{Cell, Row, Style, Table};
pub use text::WIDTH;
pub use tone::{Medium, Tone};
