//! A battle's report once it is fought: what happened turn by turn, losses, luck, pictures and
//! receipts, from its record of events alone. All of it is pure.
//!
//! How it is done: `tale` folds the events and keeps what a report tells, `luck` measures throws
//! and melees against their exact odds, `page` puts it all in order, and `markdown` and `html`
//! write that one page each in its own way, so that no sentence is written twice.

mod data;
mod html;
mod luck;
mod markdown;
mod page;

use crate::battle::FoldError;
use crate::pictures::{Fonts, Picture};
use crate::protocol::Recorded;
use crate::rules::Rules;
use data::ReportData;
use page::{Block, Page};

/// A battle's report.
#[derive(Debug, Clone, PartialEq)]
pub struct Report(Page);

impl Report {
    /// The report of a battle, from all its events under its rules.
    ///
    /// # Errors
    /// The events are not one whole record.
    pub fn of(rules: &Rules, events: &[Recorded]) -> Result<Self, FoldError> {
        Ok(Self(page::page(&ReportData::of(rules, events)?)))
    }

    /// Its title.
    pub fn title(&self) -> &str {
        &self.0.title
    }

    /// What happened, in a few sentences.
    pub fn summary(&self) -> &str {
        let texts = self.0.blocks.iter().find_map(|block| match block {
            Block::Text(text) => Some(text.as_str()),
            _ => None,
        });
        texts.unwrap_or_default()
    }

    /// Its pictures, in order.
    pub fn pictures(&self) -> Vec<Picture> {
        let pictures = self.0.blocks.iter().filter_map(|block| match block {
            Block::Picture(picture) => Some(picture.as_ref().clone()),
            _ => None,
        });
        pictures.collect()
    }

    /// The receipts of its rolls, one line of JSON each.
    pub fn receipts(&self) -> &str {
        let lines = self.0.blocks.iter().find_map(|block| match block {
            Block::File { lines, .. } => Some(lines.as_str()),
            _ => None,
        });
        lines.unwrap_or_default()
    }

    /// The report as Markdown, in which pictures are bars of text.
    pub fn markdown(&self) -> String {
        markdown::write(&self.0)
    }

    /// The report as one HTML file that needs no network and no script, its pictures written with
    /// the font that ships.
    pub fn html(&self) -> String {
        self.html_with(&Fonts::shipped())
    }

    /// The same, its pictures written with these fonts.
    pub fn html_with(&self, fonts: &Fonts) -> String {
        html::write(&self.0, fonts)
    }
}
