//! A battle's report once it is fought: what happened turn by turn, losses, luck, pictures and
//! receipts, from its record of events alone. All of it is pure.
//!
//! How it is done: `tale` folds the events and keeps what a report tells, `luck` measures throws
//! and melees against their exact odds, `page` puts it all in order, and `markdown` and `html`
//! write that one page each in its own way, so that no sentence is written twice.

mod html;
mod luck;
mod markdown;
mod page;
mod tale;

use crate::battle::{FoldError, Recorded};
use crate::rules::Rules;
use page::Page;
use tale::Tale;

/// A battle's report.
#[derive(Debug, Clone, PartialEq)]
pub struct Report(Page);

impl Report {
    /// The report of a battle, from all its events under its rules.
    ///
    /// # Errors
    /// The events are not one whole record.
    pub fn of(rules: &Rules, events: &[Recorded]) -> Result<Self, FoldError> {
        Ok(Self(page::page(&Tale::of(rules, events)?)))
    }

    /// The report as Markdown, in which pictures are bars of text.
    pub fn markdown(&self) -> String {
        markdown::write(&self.0)
    }

    /// The report as one HTML file that needs no network and no script.
    pub fn html(&self) -> String {
        html::write(&self.0)
    }
}
