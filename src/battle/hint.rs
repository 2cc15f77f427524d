//! What to ask next, as data beside a sentence: each front spells it in its own way.

use crate::protocol::quote;
use crate::text::seen;
use std::fmt;

/// A request that a sentence or a post tells people to ask.
///
/// It names the request and its slots as the table of requests does, and a test holds it to that
/// table. `Display` writes it as a line of the local table.
///
/// ```
/// use drumhead::battle::Hint;
/// let hint = Hint::new("change").word("unit", "Ford Wardens").option("men", "80");
/// assert_eq!(hint.to_string(), "change \"Ford Wardens\" --men 80");
/// ```
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Hint {
    /// The request's name.
    pub request: &'static str,
    /// What is given with it, in order.
    pub given: Vec<Given>,
    /// A request of the chat alone that does better there, with nothing given.
    pub in_chat: Option<&'static str>,
}

/// A slot that a hint fills.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Given {
    /// The slot's name.
    pub slot: &'static str,
    /// What it is filled with; none for a flag that is set.
    pub value: Option<String>,
    /// Whether a line of the table says it by its place alone.
    pub word: bool,
}

/// A sentence, and the request that it tells to ask, if any.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Told {
    /// The sentence; with a hint it ends where a colon and the hint follow.
    pub sentence: String,
    /// What to ask.
    pub hint: Option<Hint>,
}

impl Hint {
    /// A hint to ask this request, with nothing given yet.
    pub const fn new(request: &'static str) -> Self {
        Self { request, given: Vec::new(), in_chat: None }
    }

    /// The same with a slot that is told by its place.
    #[must_use]
    pub fn word(self, slot: &'static str, value: impl Into<String>) -> Self {
        self.and(Given { slot, value: Some(value.into()), word: true })
    }

    /// The same with a slot that is told by its name.
    #[must_use]
    pub fn option(self, slot: &'static str, value: impl Into<String>) -> Self {
        self.and(Given { slot, value: Some(value.into()), word: false })
    }

    /// The same with a flag set.
    #[must_use]
    pub fn flag(self, slot: &'static str) -> Self {
        self.and(Given { slot, value: None, word: false })
    }

    /// The same, but a chat has a request of its own for it.
    #[must_use]
    pub fn in_chat(self, request: &'static str) -> Self {
        Self { in_chat: Some(request), ..self }
    }

    fn and(mut self, given: Given) -> Self {
        self.given.push(given);
        self
    }
}

impl fmt::Display for Hint {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.request)?;
        for given in &self.given {
            match (&given.value, given.word) {
                (Some(value), true) => write!(f, " {}", quote(value))?,
                (Some(value), false) => write!(f, " --{} {}", given.slot, quote(value))?,
                (None, _) => write!(f, " --{}", given.slot)?,
            }
        }
        Ok(())
    }
}

impl Told {
    /// A sentence that tells nothing to ask. What was asked may stand in it, so that it is shown
    /// with whatever hides in it named.
    pub fn plain(sentence: impl Into<String>) -> Self {
        Self { sentence: seen(&sentence.into()).into_owned(), hint: None }
    }

    /// A sentence that goes on with a colon and this hint.
    pub fn with(sentence: impl Into<String>, hint: Hint) -> Self {
        Self { hint: Some(hint), ..Self::plain(sentence) }
    }
}

impl fmt::Display for Told {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.hint {
            Some(hint) => write!(f, "{}: {hint}", self.sentence),
            None => write!(f, "{}", self.sentence),
        }
    }
}
