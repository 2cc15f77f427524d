//! Why a request was not answered. Whatever the reason, nothing has changed.

use super::policy::Needs;
use super::turns::Crowded;
use crate::battle::{FoldError, Hint, Mistake, Told};
use crate::digest::Digest;
use crate::odds::OddsError;
use crate::protocol::Who;
use crate::record::RecordError;
use crate::rules::RulesError;
use std::error::Error;
use std::fmt::Write as _;

/// A refusal, in words for whoever asked.
#[derive(Debug, thiserror::Error)]
pub enum Refusal {
    /// The request was wrong.
    #[error(transparent)]
    Mistake(#[from] Mistake),
    /// Somebody else's office is needed.
    #[error("{}", not_yours(needs))]
    NotYours {
        /// The office that is needed.
        needs: Needs,
        /// Who holds it, for a front that can name them.
        ask: Vec<Who>,
    },
    /// The id belongs to another request.
    #[error("The id {0} belongs to an earlier request that asked something else. Use a new id.")]
    OtherRequest(String),
    /// There are no odds to show.
    #[error(transparent)]
    Odds(OddsError),
    /// Too much is in hand.
    #[error(transparent)]
    Crowded(#[from] Crowded),
    /// Another program changed the battle in the meantime.
    #[error("{}", self.told())]
    Overtaken,
    /// Others are writing to the record, in this program or another.
    #[error("The record is busy, so nothing has changed. Ask again in a moment.")]
    Busy,
    /// There is no room for the record.
    #[error("The disk is full, so nothing has changed. Make room, then ask again.")]
    Full,
    /// Something is wrong with the program or the machine.
    #[error(
        "Something went wrong here, and nothing has changed. Tell whoever runs drumhead: \
         reference {}.", .0.reference()
    )]
    Fault(#[source] Fault),
}

/// Something wrong with the program, the record or the machine.
#[derive(Debug, thiserror::Error)]
pub enum Fault {
    /// The record failed.
    #[error(transparent)]
    Record(RecordError),
    /// The record does not fold.
    #[error("the record does not hold together: {0}")]
    Fold(#[from] FoldError),
    /// A rules file in the record does not load.
    #[error("a rules file of the record does not load: {0}")]
    Rules(#[from] RulesError),
    /// Something is missing in the record.
    #[error("the record has nothing for {0}")]
    Missing(String),
    /// Something that was being worked out stopped.
    #[error("working it out stopped: {0}")]
    Stopped(String),
    /// The operating system gave no random bytes.
    #[error("no random bytes: {0}")]
    Random(String),
}

fn not_yours(needs: &Needs) -> String {
    match needs {
        Needs::Captain(side) => {
            format!("That is for the captains of {side} and for the referee. Ask one of them.")
        }
        Needs::Officer => {
            "That is for the captains and the referee of this battle. Ask one of them.".to_owned()
        }
        Needs::Caster(side) => {
            format!("Only {side} may cast this roll. Ask them, or have the roll taken back.")
        }
        Needs::Anyone | Needs::Manager | Needs::Referee => {
            "Only the referee of this battle may do that. Ask them.".to_owned()
        }
    }
}

impl Refusal {
    /// The sentence and what it tells to ask, apart, so that each front can spell it in its own
    /// way; `Display` puts them together as the local table does.
    pub fn told(&self) -> Told {
        match self {
            Self::Mistake(mistake) => mistake.told(),
            Self::Overtaken => Told::with(OVERTAKEN, Hint::new("show")),
            refusal => Told::plain(refusal.to_string()),
        }
    }
}

/// What is said, with a look as its hint, when another program was quicker.
const OVERTAKEN: &str = "The battle moved on while you asked, so nothing was thrown and nothing \
                         has changed. Ask again, once you have looked";

impl Fault {
    /// A short reference that the trace has too.
    pub fn reference(&self) -> String {
        Digest::of(self.chain().as_bytes()).short()[..8].to_owned()
    }

    /// Every cause, one after another.
    pub fn chain(&self) -> String {
        let mut chain = self.to_string();
        let mut cause = self.source();
        while let Some(error) = cause {
            write!(chain, ": {error}").expect("a String takes all");
            cause = error.source();
        }
        chain
    }
}

impl From<OddsError> for Refusal {
    fn from(error: OddsError) -> Self {
        match error {
            OddsError::Mistake(mistake) => Self::Mistake(mistake),
            error => Self::Odds(error),
        }
    }
}

impl From<RecordError> for Refusal {
    fn from(error: RecordError) -> Self {
        match error {
            RecordError::Full(_) => Self::Full,
            RecordError::Busy(_) => Self::Busy,
            error => Fault::Record(error).into(),
        }
    }
}

impl From<Fault> for Refusal {
    /// Whoever asked gets a reference; the trace gets the same, with every cause.
    fn from(fault: Fault) -> Self {
        tracing::error!(reference = fault.reference(), "{}", fault.chain());
        Self::Fault(fault)
    }
}
