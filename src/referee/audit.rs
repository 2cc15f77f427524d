//! Checking a whole battle from its export: every event is folded, every roll ruled again.
//!
//! An export is JSON Lines: a header, the rules files, every event's exact text, and an end.
//! docs/checking.md documents it. [`Audit`] takes a line at a time and holds one battle's state and
//! the ids of its requests, so a record of any length is checked in little memory.

pub use super::lines::{EXPORT, End, EndLine, ExportLine, Header, RulesLine};

use super::compare::{of_fold, same_decision};
use super::decision::Occasion;
use super::lines::as_written;
use super::roll::{Draw, Link};
use super::{Refusal, decide, form, policy};
use crate::battle::Battle;
use crate::digest::Digest;
use crate::fair::check::{Checker, Difference, same};
use crate::protocol::{Body, Office, Recorded, Request, RequestId, Roll, Who};
use crate::rules::{Rules, SHIPPED};
use serde::Serialize;
use std::collections::{BTreeMap, HashSet};

/// A battle that holds.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Audited {
    /// The battle's id.
    pub battle: String,
    /// Its name.
    pub name: String,
    /// Its events.
    pub events: u64,
    /// Its rolls, each ruled again.
    pub rolls: u32,
    /// How many of them were announced and taken back, by who took them back.
    pub taken_back: BTreeMap<Who, u32>,
    /// The rolls that were thrown, seen and then taken back, in order.
    pub undone: Vec<u32>,
    /// Its rules.
    pub rules: AuditedRules,
    /// Its first anchor.
    pub anchor: Digest,
    /// The SHA-256 of its last event.
    pub head: Digest,
}

/// The rules of a battle that holds.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct AuditedRules {
    /// Their name.
    pub name: String,
    /// The SHA-256 of their file.
    pub sha256: Digest,
    /// Whether they are the ones that ship with this release under that name.
    pub shipped: bool,
}

/// An audit under way.
#[derive(Debug, Default)]
pub struct Audit {
    header: Option<Header>,
    rules: Option<Rules>,
    anchor: Option<Digest>,
    battle: Option<Battle>,
    dice: Checker,
    asked: HashSet<RequestId>,
    taken_back: BTreeMap<Who, u32>,
    undone: Vec<u32>,
    ended: bool,
}

impl Audit {
    /// An audit that has seen nothing yet.
    pub fn new() -> Self {
        Self::default()
    }

    /// Takes the next line as it stands in the file, with its line break.
    pub fn line(&mut self, line: &[u8]) -> Result<ExportLine, Difference> {
        let line = form::line_of_export(line)?;
        if self.ended {
            return Err(Difference::new("end", &"nothing after it", &"another line"));
        }
        if self.header.is_none() {
            return self.header(line).map(ExportLine::Header);
        }
        if line.starts_with("{\"rules\":") && self.battle.is_none() {
            return self.rules(line).map(ExportLine::Rules);
        }
        if line.starts_with("{\"end\":") {
            return self.end(line).map(|()| ExportLine::End);
        }
        let seq = self.battle.as_ref().map_or(1, |battle| battle.seq + 1);
        let recorded = Recorded::read(line.to_owned())
            .map_err(|error| Difference::new("event", &"an event", &error))?;
        self.event(&recorded).map_err(|difference| difference.in_event(seq))?;
        Ok(ExportLine::Event(recorded))
    }

    /// Ends the audit.
    pub fn finish(mut self) -> Result<Audited, Difference> {
        let missing = |what: &str| Difference::new(what, &"one", &"none");
        let header = self.header.ok_or_else(|| missing("header"))?;
        let battle = self.battle.ok_or_else(|| missing("event"))?;
        if !self.ended {
            return Err(missing("end").in_event(battle.seq));
        }
        self.undone.sort_unstable();
        let name = battle.rules_name;
        let shipped = SHIPPED.iter().filter_map(|(file, text)| Rules::load(file, text).ok());
        let sound = Audited {
            battle: battle.id,
            name: battle.name,
            events: battle.seq,
            rolls: battle.rolls,
            taken_back: self.taken_back,
            undone: self.undone,
            rules: AuditedRules {
                shipped: { shipped }.any(|own| own.name == name && own.sha256 == battle.rules),
                sha256: battle.rules,
                name,
            },
            anchor: self.anchor.unwrap_or(Digest::ZERO),
            head: battle.head,
        };
        agrees(&header, &sound).map_err(|difference| difference.on_line(1))?;
        Ok(sound)
    }

    fn header(&mut self, line: &str) -> Result<Header, Difference> {
        let header: Header = as_written("header", "an export's first line", line)?;
        same("version of the export", &EXPORT, &header.drumhead_export)?;
        self.header = Some(header.clone());
        Ok(header)
    }

    fn rules(&mut self, line: &str) -> Result<RulesLine, Difference> {
        let line: RulesLine = as_written("rules", "a rules file", line)?;
        let field = format!("SHA-256 of the rules {}", line.rules);
        same(&field, &Digest::of(line.text.as_bytes()), &line.sha256)?;
        if self.rules.is_some() {
            return Err(Difference::new("rules", &"one rules file", &"another"));
        }
        let rules = Rules::load(&line.rules, &line.text)
            .map_err(|error| Difference::new("rules", &"a sound rules file", &error))?;
        same("name of the rules", &rules.name, &line.rules)?;
        self.rules = Some(rules);
        Ok(line)
    }

    fn end(&mut self, line: &str) -> Result<(), Difference> {
        let EndLine { end } = as_written("end", "an export's last line", line)?;
        let (events, head) =
            self.battle.as_ref().map_or((0, Digest::ZERO), |battle| (battle.seq, battle.head));
        same("events at the end", &events, &end.events)?;
        same("head at the end", &head, &end.head)?;
        self.ended = true;
        Ok(())
    }

    fn event(&mut self, recorded: &Recorded) -> Result<(), Difference> {
        if !recorded.is_exact() {
            let found = "another spelling of the same event";
            return Err(Difference::new("text", &"its one spelling", &found));
        }
        let event = &recorded.event;
        match &mut self.battle {
            None => {
                let battle = Battle::begin(recorded).map_err(|error| of_fold(&error))?;
                form::check(event, &recorded.text)?;
                self.check_opening(recorded, &battle)?;
                self.anchor = Some(battle.chain.anchor);
                self.dice = Checker::from_anchor(&battle.id, battle.chain.anchor);
                self.battle = Some(battle);
            }
            Some(battle) => {
                let rules = self.rules.as_ref().expect("the opening was checked against them");
                // Order and hashes first: they say best where something was moved or dropped.
                battle.follows(recorded).map_err(|error| of_fold(&error))?;
                form::check(event, &recorded.text)?;
                // Times in their one form sort as their texts do.
                if event.at < battle.latest {
                    let expected = format!("{} or later", battle.latest);
                    return Err(Difference::new("at", &expected, &event.at));
                }
                rule_again(battle, rules, &mut self.dice, recorded)?;
                battle.apply(recorded).map_err(|error| of_fold(&error))?;
                if let Body::Undone { roll, .. } = event.body {
                    match event.roll {
                        Some(_) => *self.taken_back.entry(event.by).or_default() += 1,
                        None => self.undone.extend(roll),
                    }
                }
            }
        }
        if self.asked.insert(event.asked.clone()) {
            return Ok(());
        }
        let expected = "the id of a request that came but once";
        Err(Difference::new("asked", &expected, &event.asked))
    }

    fn check_opening(&self, recorded: &Recorded, battle: &Battle) -> Result<(), Difference> {
        let Some(rules) = self.rules.as_ref().filter(|rules| rules.sha256 == battle.rules) else {
            let expected = format!("the rules {} with SHA-256 {}", battle.rules_name, battle.rules);
            return Err(Difference::new("rules", &expected, &"other rules"));
        };
        let Request::Open(open) = &recorded.event.request else {
            return Err(Difference::new("request", &"open", &"another request"));
        };
        if recorded.event.office != Office::Referee {
            return Err(Difference::new("office", &"referee", &"another one"));
        }
        let chain = battle.chain;
        if chain.length == 0 {
            return Err(Difference::new("chain_length", &"1 or more", &chain.length));
        }
        let anchors = [chain.anchor, chain.next];
        let body = decide::opening(battle.protocol, open, rules, anchors, chain.length).map_err(
            |mistake| Difference::new("request", &format!("a refusal: {mistake}"), &"an event"),
        )?;
        same_decision(&body.into(), recorded)
    }
}

/// Whether the first line says what the events came to.
fn agrees(header: &Header, sound: &Audited) -> Result<(), Difference> {
    same("battle in the header", &sound.battle, &header.battle)?;
    same("name in the header", &sound.name, &header.name)?;
    same("events in the header", &sound.events, &header.events)?;
    same("head in the header", &sound.head, &header.head)
}

/// Decides an event's request again and compares what comes of it.
fn rule_again(
    battle: &Battle,
    rules: &Rules,
    dice: &mut Checker,
    recorded: &Recorded,
) -> Result<(), Difference> {
    let event = &recorded.event;
    if !battle.open && event.body != Body::Reopened {
        let expected = "nothing but a reopening, as the battle is closed";
        return Err(Difference::new("body", &expected, &"another event"));
    }
    let link = match &event.roll {
        Some(Roll { receipt, next_anchor }) => {
            dice.check(receipt)?;
            Some(Link { link: receipt.link, next_anchor: *next_anchor })
        }
        None => None,
    };
    if !policy::bears_out(battle, event.by, &event.office, &event.request) {
        let expected = format!("an office that {} holds", event.by);
        return Err(Difference::new("office", &expected, &"another one"));
    }
    let occasion = Occasion { asked: &event.asked, by: event.by, office: &event.office };
    let draw = Draw::disclosed(link);
    let decision =
        decide::decide(battle, rules, &event.request, occasion, draw).map_err(|no| match no {
            Refusal::Fault(_) => Difference::new("roll", &"one: its link is spent here", &"none"),
            no => Difference::new("request", &format!("a refusal: {no}"), &"an event"),
        })?;
    same_decision(&decision, recorded).map_err(|difference| match event.receipt() {
        Some(receipt) => difference.in_roll(receipt.roll),
        None => difference,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::altered::{self, Altered};

    /// The corpus of protocol 1, checked by this build.
    fn corpus() -> Result<Audited, Difference> {
        let mut audit = Audit::new();
        let export = include_bytes!("../../tests/protocol/1/export.jsonl");
        for line in export.split_inclusive(|byte| *byte == b'\n') {
            audit.line(line)?;
        }
        audit.finish()
    }

    /// Whoever changes a label, a term or a default without a new protocol hears of it.
    #[test]
    fn the_corpus_fails_when_what_is_frozen_changes() {
        corpus().unwrap();
        for (what, field, end) in [
            (Altered::Label, "roll.receipt.throws", ""),
            (Altered::Term, "ruled.ruling.", ".score"),
            (Altered::Default, "mustered.unit.grade", ""),
        ] {
            let found = altered::with(what, corpus).unwrap_err();
            // Where in the receipt or the ruling the first difference stands depends on the dice.
            let there = found.field.starts_with(field) && found.field.ends_with(end);
            assert!(there, "{what:?}: {found}");
        }
        corpus().unwrap();
    }
}
