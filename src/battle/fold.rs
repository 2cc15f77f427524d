//! Folding a battle's record into its state, one event after another.

use super::Field;
use crate::digest::Digest;
use crate::fair::{Receipt, Word};
use crate::protocol::{Appointee, Body, Protocol, Recorded, Request, Roll, Who};
use std::collections::VecDeque;
use std::sync::Arc;

/// How many of the latest changes an undo can reach, one after another.
pub const UNDO_REACH: usize = 20;

/// A battle: who it is, where its record stands, and the state of the field.
#[derive(Debug, Clone)]
pub struct Battle {
    /// Its id: the first 16 digits of its first anchor.
    pub id: String,
    /// The protocol it is held to.
    pub protocol: Protocol,
    /// Its name.
    pub name: String,
    /// When it was opened, RFC 3339 in UTC.
    pub opened: String,
    /// Who opened it.
    pub opener: Who,
    /// The name of its rules.
    pub rules_name: String,
    /// The SHA-256 of its rules file.
    pub rules: Digest,
    /// The chain in use.
    pub chain: ChainState,
    /// Rolls thrown so far.
    pub rolls: u32,
    /// Whether every roll against a side is cast by that side.
    pub casts: bool,
    /// When its latest event was written, RFC 3339 in UTC.
    pub latest: String,
    /// Who holds which office besides the opener, in the order of appointment.
    pub offices: Arc<Vec<Appointment>>,
    /// Words given so far, in the order they were first given.
    pub words: Arc<Vec<GivenWord>>,
    /// Whether it is open.
    pub open: bool,
    /// The number of its latest event.
    pub seq: u64,
    /// The SHA-256 of its latest event.
    pub head: Digest,
    /// What an undo can take back.
    pub field: Field,
    /// The latest changes of the field, each with the field before it.
    changes: VecDeque<FieldChange>,
}

/// A word with whoever gave it, to whom it belongs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct GivenWord {
    /// Who gave it.
    pub by: Who,
    /// The word.
    pub word: Word,
}

impl GivenWord {
    /// Whether it is what a word that `by` gives under `name` would take the place of: each person
    /// has one; at the table each name has one.
    pub fn belongs_to(&self, by: Who, name: &str) -> bool {
        self.by == by && (by != Who::Table || self.word.name == name)
    }
}

/// An office that somebody was appointed to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Appointment {
    /// Who holds it.
    pub who: Appointee,
    /// The side they are captain of; none for a referee.
    pub side: Option<String>,
}

/// A change of the field that can be taken back.
#[derive(Debug, Clone)]
pub struct FieldChange {
    /// The number of its event.
    pub seq: u64,
    /// The roll it threw.
    pub roll: Option<u32>,
    /// What was asked.
    pub request: Arc<Request>,
    before: Field,
}

/// The chain a battle throws from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ChainState {
    /// Its link 0.
    pub anchor: Digest,
    /// Link 0 of the chain that follows it.
    pub next: Digest,
    /// Rolls thrown before its first link: link `n` is thrown at roll `before + n`.
    pub before: u32,
    /// Its links.
    pub length: u32,
}

/// An event that does not follow from what stands before it.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum FoldError {
    /// The first event does not open a battle.
    #[error("the record does not begin with the opening of a battle")]
    NotOpened,
    /// The events are not numbered one after another.
    #[error("event {found} stands where event {expected} should")]
    Number {
        /// What should come.
        expected: u64,
        /// What comes.
        found: u64,
    },
    /// The event belongs to another battle.
    #[error("event {0} belongs to another battle")]
    OtherBattle(u64),
    /// The event does not name its predecessor's hash.
    #[error("event {seq} says that the event before it has SHA-256 {found}, but it has {expected}")]
    Hash {
        /// The event's number.
        seq: u64,
        /// The predecessor's hash.
        expected: Digest,
        /// What the event says.
        found: Digest,
    },
    /// The event takes back something other than the latest change.
    #[error("event {0} takes back something other than the latest change")]
    Undo(u64),
    /// A chain's last link announces no chain after the next, or another link does.
    #[error("event {0} should announce an anchor only with the last link of a chain")]
    NextAnchor(u64),
    /// The roll is not the next one.
    #[error("event {seq} throws roll {found} where roll {expected} should come")]
    Roll {
        /// The event's number.
        seq: u64,
        /// The next roll.
        expected: u32,
        /// What the event says.
        found: u32,
    },
}

impl Battle {
    /// Begins with a record's first event.
    pub fn begin(first: &Recorded) -> Result<Self, FoldError> {
        let event = &first.event;
        let Body::Opened {
            protocol,
            name,
            scale,
            sides,
            rules_name,
            rules,
            anchor,
            next_anchor,
            chain_length,
            casts,
        } = &event.body
        else {
            return Err(FoldError::NotOpened);
        };
        if event.seq != 1 {
            return Err(FoldError::Number { expected: 1, found: event.seq });
        }
        if event.prev != Digest::ZERO {
            return Err(FoldError::Hash { seq: 1, expected: Digest::ZERO, found: event.prev });
        }
        if event.battle != anchor.short() {
            return Err(FoldError::OtherBattle(1));
        }
        Ok(Self {
            id: event.battle.clone(),
            protocol: *protocol,
            name: name.clone(),
            opened: event.at.clone(),
            latest: event.at.clone(),
            opener: event.by,
            rules_name: rules_name.clone(),
            rules: *rules,
            chain: ChainState {
                anchor: *anchor,
                next: *next_anchor,
                before: 0,
                length: *chain_length,
            },
            rolls: 0,
            casts: *casts,
            offices: Arc::default(),
            words: Arc::default(),
            open: true,
            seq: 1,
            head: first.hash,
            field: Field { sides: Arc::new(sides.clone()), ..Field::new(*protocol, *scale) },
            changes: VecDeque::new(),
        })
    }

    /// Folds a whole record.
    pub fn fold<'a>(events: impl IntoIterator<Item = &'a Recorded>) -> Result<Self, FoldError> {
        let mut events = events.into_iter();
        let mut battle = Self::begin(events.next().ok_or(FoldError::NotOpened)?)?;
        events.try_for_each(|event| battle.apply(event))?;
        Ok(battle)
    }

    /// Whether an event can come next: its battle, its number, its predecessor's hash, its roll.
    pub fn follows(&self, next: &Recorded) -> Result<(), FoldError> {
        let event = &next.event;
        let seq = event.seq;
        if event.battle != self.id || matches!(event.body, Body::Opened { .. }) {
            return Err(FoldError::OtherBattle(seq));
        }
        if seq != self.seq + 1 {
            return Err(FoldError::Number { expected: self.seq + 1, found: seq });
        }
        if event.prev != self.head {
            return Err(FoldError::Hash { seq, expected: self.head, found: event.prev });
        }
        let Some(Roll { receipt, next_anchor }) = &event.roll else { return Ok(()) };
        let roll = self.rolls + 1;
        if receipt.roll != roll {
            return Err(FoldError::Roll { seq, expected: roll, found: receipt.roll });
        }
        if self.chain.link_of(roll).1 != next_anchor.is_some() {
            return Err(FoldError::NextAnchor(seq));
        }
        Ok(())
    }

    /// Takes the next event.
    pub fn apply(&mut self, next: &Recorded) -> Result<(), FoldError> {
        self.follows(next)?;
        let event = &next.event;
        let seq = event.seq;
        if let Some(roll) = &event.roll {
            self.take_roll(&roll.receipt, roll.next_anchor);
        }
        match &event.body {
            Body::WordGiven { word } => self.take_word(event.by, word),
            Body::Appointed { who, side } => self.appoint(*who, side.as_ref()),
            Body::Relieved { who, side } => self.relieve(*who, side.as_ref()),
            Body::Closed => self.open = false,
            Body::Reopened => self.open = true,
            Body::Undone { seq: undone, .. } => match self.changes.pop_back() {
                Some(change) if change.seq == *undone => self.field = change.before,
                _ => return Err(FoldError::Undo(seq)),
            },
            _ => {
                let before = self.before(&event.request);
                let roll = event.receipt().map(|receipt| receipt.roll);
                self.remember(FieldChange {
                    seq,
                    roll,
                    request: Arc::new(event.request.clone()),
                    before,
                });
                self.field.take(event);
            }
        }
        self.seq = seq;
        self.head = next.hash;
        self.latest.clone_from(&event.at);
        Ok(())
    }

    /// What an undo would take back.
    pub fn undoable(&self) -> Option<&FieldChange> {
        self.changes.back()
    }

    /// The field to which a change goes back when it is taken back. With a cast its announcement
    /// goes too: otherwise another text could be cast on it, now that the dice are known.
    fn before(&mut self, request: &Request) -> Field {
        let announced = match request {
            Request::Cast { .. } => self.changes.pop_back(),
            _ => None,
        };
        announced.map_or_else(|| self.field.clone(), |announced| announced.before)
    }

    fn remember(&mut self, change: FieldChange) {
        if self.changes.len() == UNDO_REACH {
            self.changes.pop_front();
        }
        self.changes.push_back(change);
    }

    fn appoint(&mut self, who: Appointee, side: Option<&String>) {
        Arc::make_mut(&mut self.offices).push(Appointment { who, side: side.cloned() });
    }

    fn relieve(&mut self, who: Appointee, side: Option<&String>) {
        let held = Appointment { who, side: side.cloned() };
        Arc::make_mut(&mut self.offices).retain(|appointment| *appointment != held);
    }

    fn take_word(&mut self, by: Who, word: &Word) {
        let words = Arc::make_mut(&mut self.words);
        match words.iter_mut().find(|known| known.belongs_to(by, &word.name)) {
            Some(known) => known.word = word.clone(),
            None => words.push(GivenWord { by, word: word.clone() }),
        }
    }

    fn take_roll(&mut self, receipt: &Receipt, next_anchor: Option<Digest>) {
        self.rolls = receipt.roll;
        if let Some(next) = next_anchor {
            let ChainState { next: anchor, length, .. } = self.chain;
            self.chain = ChainState { anchor, next, before: self.rolls, length };
        }
    }
}

impl ChainState {
    /// The link that roll `roll` takes, from 1, and whether it is the chain's last.
    pub const fn link_of(&self, roll: u32) -> (u32, bool) {
        let link = roll.saturating_sub(self.before);
        (link, link == self.length)
    }
}
