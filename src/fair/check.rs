//! Checking rolls from their receipts alone.
//!
//! [`Checker`] takes a battle's receipts one after another and holds nothing but the last and the
//! links that were shown, so a long record is checked in little memory.

use super::{Faces, Protocol, Receipt, Statement};
use crate::digest::Digest;
use crate::text::{harmless, invisible};
use serde::Serialize;
use std::collections::{BTreeSet, HashSet};
use std::fmt::Display;

/// The longest way back to an anchor that is walked for a receipt without its predecessor.
const LONGEST_WALK: u32 = 1_000_000;

/// The most throws of a roll: of forty contacts two each, and for each of eighty units its leader
/// and its nerve.
pub const MOST_THROWS: usize = 240;
/// The most dice of a throw: twenty for each of a thousand figures, and ten of a leader.
pub const MOST_DICE: usize = 20_010;

/// The first thing that does not hold.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, thiserror::Error)]
#[error("{}, {field}: expected {expected}, found {found}", place(*.roll, *.event, *.line))]
pub struct Difference {
    /// The line of the file, from 1, where it is known.
    pub line: Option<usize>,
    /// The roll it concerns.
    pub roll: Option<u32>,
    /// The event it concerns.
    pub event: Option<u64>,
    /// What differs.
    pub field: String,
    /// What it should be.
    pub expected: String,
    /// What it is.
    pub found: String,
}

/// What one receipt that holds says about its chain.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Holds {
    /// The roll.
    pub roll: u32,
    /// The link's number in its chain, from 1.
    pub link: u32,
    /// Rolls thrown before its chain began.
    pub before: u32,
    /// Whether it was announced and taken back.
    pub taken_back: bool,
}

/// Checks receipts in the order of their rolls.
#[derive(Debug, Clone, Default)]
pub struct Checker {
    last: Option<Last>,
    /// Every link that was shown, anchors among them.
    shown: HashSet<Digest>,
}

#[derive(Debug, Clone)]
struct Last {
    roll: u32,
    battle: String,
    anchor: Digest,
    link: Digest,
    before: u32,
    next: Option<Digest>,
}

impl Checker {
    /// A checker that has seen nothing yet.
    pub fn new() -> Self {
        Self::default()
    }

    /// A checker for a battle from its beginning, whose anchor is known.
    pub fn from_anchor(battle: &str, anchor: Digest) -> Self {
        let battle = battle.to_owned();
        Self {
            last: Some(Last { roll: 0, battle, anchor, link: anchor, before: 0, next: None }),
            shown: HashSet::from([anchor]),
        }
    }

    /// Checks the next receipt: its statement, its link and its faces.
    pub fn check(&mut self, receipt: &Receipt) -> Result<Holds, Difference> {
        self.next(receipt).map_err(|difference| difference.in_roll(receipt.roll))
    }

    fn next(&mut self, receipt: &Receipt) -> Result<Holds, Difference> {
        let roll = receipt.roll;
        Protocol::try_from(receipt.protocol)
            .map_err(|_| Difference::new("protocol", &Protocol::LATEST, &receipt.protocol))?;
        let statement = Statement::parse(&receipt.statement)
            .map_err(|error| Difference::new("statement", &error, &"something else"))?;
        same("roll in the statement", &roll, &statement.roll)?;
        same("anchor in the statement", &receipt.anchor, &statement.anchor)?;
        let before = if let Some(last) = &self.last {
            last.follow(receipt, &statement)?
        } else {
            self.shown.insert(receipt.anchor);
            walk(receipt)?
        };
        // A link that everybody knows already would give dice that everybody knows.
        let anchors = [Some(receipt.link), statement.next].into_iter().flatten();
        if { anchors }.any(|link| !self.shown.insert(link)) {
            let expected = "a link that no roll and no anchor has shown before";
            return Err(Difference::new("link", &expected, &"one that was shown"));
        }
        let taken_back = statement.taken_back;
        faces(receipt, taken_back)?;
        self.last = Some(Last {
            roll,
            battle: statement.battle,
            anchor: receipt.anchor,
            link: receipt.link,
            before,
            next: statement.next,
        });
        Ok(Holds { roll, link: roll - before, before, taken_back })
    }
}

impl Last {
    /// Checks that a receipt follows this one; returns the rolls before its chain.
    fn follow(&self, receipt: &Receipt, statement: &Statement) -> Result<u32, Difference> {
        same("roll", &self.roll.saturating_add(1), &receipt.roll)?;
        same("battle", &self.battle, &statement.battle)?;
        let (anchor, below, before) = match self.next {
            None => (self.anchor, self.link, self.before),
            Some(next) => (next, next, self.roll),
        };
        same("anchor", &anchor, &receipt.anchor)?;
        same("SHA-256 of the link", &below, &Digest::of(receipt.link.bytes()))?;
        Ok(before)
    }
}

/// Walks from a receipt's link down to its anchor; returns the rolls before its chain.
fn walk(receipt: &Receipt) -> Result<u32, Difference> {
    let mut link = receipt.link;
    for steps in 1..=receipt.roll.min(LONGEST_WALK) {
        link = Digest::of(link.bytes());
        if link == receipt.anchor {
            return Ok(receipt.roll - steps);
        }
    }
    let expected = format!("a link that leads back to the anchor {}", receipt.anchor);
    Err(Difference::new("link", &expected, &receipt.link))
}

/// Draws the faces again; a roll that was taken back has none, and any other has some.
fn faces(receipt: &Receipt, taken_back: bool) -> Result<(), Difference> {
    if taken_back != receipt.throws.is_empty() {
        let (expected, found) = if taken_back {
            ("none: the roll was taken back", "some")
        } else {
            ("at least one: the roll was not taken back", "none")
        };
        return Err(Difference::new("throws", &expected, &found));
    }
    if receipt.throws.len() > MOST_THROWS {
        let expected = format!("at most {MOST_THROWS}");
        return Err(Difference::new("throws", &expected, &receipt.throws.len()));
    }
    let drawn = Faces::new(&receipt.link, receipt.statement.as_bytes());
    let mut labels = BTreeSet::new();
    for (n, throw) in receipt.throws.iter().enumerate() {
        let field = format!("throw {} ({})", n + 1, throw.purpose);
        if throw.sides == 0 || throw.faces.is_empty() {
            return Err(Difference::new(&field, &"dice of 1 side or more", &"none"));
        }
        // Nothing is drawn for dice that no roll throws.
        if throw.faces.len() > MOST_DICE {
            let expected = format!("at most {MOST_DICE} dice");
            return Err(Difference::new(&field, &expected, &throw.faces.len()));
        }
        if throw.purpose.is_empty() || throw.purpose.chars().any(invisible) {
            return Err(Difference::new(&field, &"a label that can be seen", &"another one"));
        }
        if !labels.insert(throw.purpose.as_str()) {
            return Err(Difference::new(&field, &"a label of its own", &"one that came before"));
        }
        let dice = u32::try_from(throw.faces.len()).unwrap_or(u32::MAX);
        let expected = drawn.throw(&throw.purpose, dice, throw.sides);
        if expected != throw.faces {
            return Err(Difference::new(&field, &spaced(&expected), &spaced(&throw.faces)));
        }
    }
    Ok(())
}

fn spaced(faces: &[u32]) -> String {
    faces.iter().map(u32::to_string).collect::<Vec<_>>().join(" ")
}

/// Compares two values.
pub(crate) fn same<T>(field: &str, expected: &T, found: &T) -> Result<(), Difference>
where
    T: PartialEq + Display,
{
    if expected == found { Ok(()) } else { Err(Difference::new(field, expected, found)) }
}

impl Difference {
    /// A difference whose place is still to be said.
    ///
    /// What it shows may come from anybody's file, so all of it is made harmless.
    pub fn new(field: &str, expected: &dyn Display, found: &dyn Display) -> Self {
        let field = harmless(field);
        let (expected, found) = (harmless(&expected.to_string()), harmless(&found.to_string()));
        Self { line: None, roll: None, event: None, field, expected, found }
    }

    /// The same, in a roll too.
    #[must_use]
    pub fn in_roll(self, roll: u32) -> Self {
        Self { roll: self.roll.or(Some(roll)), ..self }
    }

    /// The same, at a line of the file.
    #[must_use]
    pub fn on_line(self, line: usize) -> Self {
        Self { line: self.line.or(Some(line)), ..self }
    }

    /// The same, in an event too.
    #[must_use]
    pub fn in_event(self, event: u64) -> Self {
        Self { event: self.event.or(Some(event)), ..self }
    }
}

fn place(roll: Option<u32>, event: Option<u64>, line: Option<usize>) -> String {
    let roll = roll.map(|roll| format!("roll {roll}"));
    let event = event.map(|event| format!("event {event}"));
    let line = line.map(|line| format!("line {line}"));
    let places: Vec<String> = [roll, event, line].into_iter().flatten().collect();
    if places.is_empty() { "the file".to_owned() } else { places.join(", ") }
}

#[cfg(test)]
mod tests;
