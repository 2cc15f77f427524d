//! Why a request could not be read.

use crate::battle::{Hint, Mistake, Told};
use std::fmt;

/// What is wrong with what was given: one sentence that says what to do, with what to ask.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Wrong(Told);

impl Wrong {
    /// A sentence that is whole in itself.
    pub fn new(sentence: impl Into<String>) -> Self {
        Self(Told::plain(sentence))
    }

    /// A sentence that goes on with a colon and this hint.
    pub fn with(sentence: impl Into<String>, hint: Hint) -> Self {
        Self(Told::with(sentence, hint))
    }

    /// A slot of a request that must be given.
    pub(super) fn missing(slot: &str, request: &str) -> Self {
        let hint = Hint::new("help").word("request", request);
        Self::with(format!("Something is missing: {slot}. See an example"), hint)
    }

    /// The sentence and its hint, for a front to spell.
    pub fn told(&self) -> &Told {
        &self.0
    }
}

impl fmt::Display for Wrong {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

impl std::error::Error for Wrong {}

impl From<Mistake> for Wrong {
    fn from(mistake: Mistake) -> Self {
        Self(mistake.told())
    }
}
