//! What a request came to, before it is written down.

use crate::protocol::{Body, Office, Request, RequestId, Roll, Who};

/// What a request came to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Decision {
    /// What was answered.
    pub body: Body,
    /// The roll that was thrown for it.
    pub roll: Option<Roll>,
}

impl From<Body> for Decision {
    fn from(body: Body) -> Self {
        Self { body, roll: None }
    }
}

/// How something was asked, beside what was asked.
#[derive(Debug, Clone, Copy)]
pub(super) struct Occasion<'a> {
    /// The request's id.
    pub asked: &'a RequestId,
    /// Who asked.
    pub by: Who,
    /// In which office it was asked.
    pub office: &'a Office,
}

/// What a request came to, as it is to be recorded.
pub(super) struct Decided {
    /// In which office it was asked.
    pub office: Office,
    /// The request, as the gate let it in.
    pub request: Request,
    /// What it came to.
    pub decision: Decision,
}
