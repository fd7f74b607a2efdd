//! A document to read and print: one HTML file with drawings and style inside, no script, and nothing to
//! fetch. All text passes [`escape`].

use crate::program::PROGRAM;
use std::fmt::{Display, Write};

use super::block::{Block, Blocks, Document, Look};
use super::html_table;
use super::inline::{breaking, prose, titled};
use super::tone::{Medium, Tone};
use crate::format::marked;
use crate::plot::text::{clean, escape};

impl Document {
    /// The document as an HTML file.
    pub fn html(&self) -> String {
        let mut page = Page::default();
        page.blocks(&self.blocks);
        format!(
            "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
             <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
             <meta name=\"generator\" content=\"{PROGRAM}\">\n<title>{}</title>\n\
             <style>\n{}</style>\n</head>\n<body>\n<main>\n{}</main>\n</body>\n</html>\n",
            escape(&clean(&self.title)),
            include_str!("style.css"),
            marked(&page.html)
        )
    }
}

#[derive(Default)]
struct Page {
    html: String,
    pictures: usize,
}

impl Page {
    fn put(&mut self, part: impl Display) {
        let _ = write!(self.html, "{part}");
    }

    fn blocks(&mut self, blocks: &Blocks) {
        for block in &blocks.0 {
            self.block(block);
        }
    }

    fn block(&mut self, block: &Block) {
        match block {
            Block::Title(own, what) => {
                self.put(format_args!("<h1>{}</h1>\n", prose(&titled(own, what))));
                if !clean(own).is_empty() {
                    self.paragraph(Look::Soft, what);
                }
            }
            Block::Heading(3, name, beside) => {
                let beside = beside.as_ref().map(|(word, tone)| badge(word, *tone));
                let beside = beside.map_or(String::new(), |badge| format!(" {badge}"));
                self.put(format_args!("<h3>{}{beside}</h3>\n", breaking(name)));
            }
            Block::Heading(1, words, _) => self.put(format_args!("<h1>{}</h1>\n", prose(words))),
            Block::Heading(rank, words, _) => {
                self.put(format_args!("<h{rank}>{}</h{rank}>\n", escape(words)));
            }
            Block::Paragraph(look, words) => self.paragraph(*look, words),
            Block::Verdict {
                word: (word, tone),
                sentence,
                ..
            } => {
                let (badge, sentence) = (badge(word, *tone), prose(sentence));
                self.put(format_args!("<p>{badge} {sentence}</p>\n"));
            }
            Block::List(points) if points.is_empty() => {}
            Block::List(points) => {
                self.put("<ul>\n");
                for point in points {
                    self.put(format_args!("<li>{}</li>\n", prose(point)));
                }
                self.put("</ul>\n");
            }
            Block::Table(table) => self.put(html_table::set(table)),
            Block::Pairs(_, pairs) => {
                self.put("<dl>\n");
                for ([_, name], words) in pairs {
                    self.put(format_args!("<dt>{name}</dt><dd>{}</dd>\n", prose(words)));
                }
                self.put("</dl>\n");
            }
            Block::Art(lines) => {
                self.put(format_args!("<pre>{}</pre>\n", escape(&lines.join("\n"))));
            }
            Block::Picture(svg) => self.picture(svg),
            Block::Form(caption, names) => self.form(caption, names),
            Block::Folded(summary, pairs) => self.folded(summary, pairs),
            Block::Group(element, class, blocks) => {
                self.put(format_args!("<{element} class=\"{class}\">\n"));
                self.blocks(blocks);
                self.put(format_args!("</{element}>\n"));
            }
            Block::Only(Medium::Paper, blocks) => self.blocks(blocks),
            Block::Only(..) | Block::Gap => {}
        }
    }

    fn paragraph(&mut self, look: Look, words: &str) {
        let class = match look {
            Look::Body | Look::Inset | Look::Hanging | Look::Line => "",
            Look::Amber => "amber",
            Look::Soft => "soft",
            Look::Small | Look::Note => "soft small",
        };
        self.put(format_args!("<p class=\"{class}\">{}</p>\n", prose(words)));
    }

    /// A drawing; its number tells its marks from those of others in the document.
    fn picture(&mut self, svg: &str) {
        self.pictures += 1;
        let n = self.pictures;
        let own = svg
            .replace("id=\"name\"", &format!("id=\"name-{n}\""))
            .replace("id=\"about\"", &format!("id=\"about-{n}\""))
            .replace("\"name about\"", &format!("\"name-{n} about-{n}\""));
        self.put(format_args!("<figure>{own}</figure>\n"));
    }

    fn form(&mut self, caption: &str, names: &[&str]) {
        self.put(format_args!(
            "<table class=\"blank\"><caption>{caption}</caption><tbody>\n"
        ));
        for name in names {
            self.put(format_args!(
                "<tr><th scope=\"row\">{name}</th><td></td></tr>\n"
            ));
        }
        self.put("</tbody></table>\n");
    }

    fn folded(&mut self, summary: &str, pairs: &[(String, String)]) {
        self.put(format_args!(
            "<details><summary>{summary}</summary>\n<ul class=\"keys\">\n"
        ));
        for (key, value) in pairs {
            let (key, value) = (breaking(key), prose(value));
            self.put(format_args!("<li>{key} <b>{value}</b></li>\n"));
        }
        self.put("</ul>\n</details>\n");
    }
}

/// A word that judges as a badge: word and frame, so that no meaning depends on colour.
fn badge(word: &str, tone: Tone) -> String {
    let class = match tone {
        Tone::Plain => return prose(word),
        Tone::Strong => "soft",
        Tone::Good => "sound",
        Tone::Cold => "cold",
        Tone::Wrong => "wrong",
        Tone::Amber => "amber",
    };
    format!("<span class=\"verdict {class}\">{word}</span>")
}
