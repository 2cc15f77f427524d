//! What a report tells, gathered from the events one after another.

use super::luck::{self, MeleeLuck, ThrowLuck};
use crate::battle::{Battle, FoldError};
use crate::pictures::{Course, LossesPicture, SideCourse, TurnMark};
use crate::protocol::{Body, Recorded, Ruling, Standing, Unit};
use crate::rules::Rules;
use crate::words::{Post, story};
use std::collections::HashSet;
use std::sync::Arc;

/// What a report tells.
pub(super) struct ReportData {
    /// The battle as it stands at the end.
    pub battle: Battle,
    /// When the last event was written, RFC 3339 in UTC.
    pub last: String,
    /// What happened, in order.
    pub entries: Vec<Entry>,
    /// Men on the field; none before the first ruling that counts.
    pub course: Option<Course>,
    /// The strikes of rulings that count.
    pub throws: Vec<ThrowLuck>,
    /// The melees of rulings that count.
    pub melees: Vec<MeleeLuck>,
    /// Units that were taken off the list after losses, as they then were.
    pub dismissed: Vec<Arc<Unit>>,
    /// Melees with too many cases to be measured as a whole.
    pub unmeasured: u32,
    /// Rulings that were taken back.
    pub taken_back: u32,
    /// What the most uncommon melee might have cost.
    pub odds: Option<LossesPicture>,
    /// Every receipt, one line of JSON each, those of rulings taken back too.
    pub receipts: Vec<String>,
}

/// One thing that happened.
pub(super) struct Entry {
    pub chapter: Chapter,
    pub roll: Option<u32>,
    pub post: Post,
    pub taken_back: bool,
}

/// Where in the report it is told.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Chapter {
    /// Before the first roll and the second turn.
    Muster,
    /// In a turn.
    Turn(u32),
}

impl ReportData {
    pub fn of(rules: &Rules, events: &[Recorded]) -> Result<Self, FoldError> {
        let (first, rest) = events.split_first().ok_or(FoldError::NotOpened)?;
        let mut teller = Teller {
            rules,
            undone: undone(events),
            chapter: Chapter::Muster,
            moments: Vec::new(),
            turns: Vec::new(),
            tale: Self::begin(first)?,
        };
        for event in rest {
            teller.take(event)?;
        }
        Ok(teller.finish())
    }

    fn begin(first: &Recorded) -> Result<Self, FoldError> {
        let opened =
            Entry { chapter: Chapter::Muster, roll: None, post: story(first), taken_back: false };
        Ok(Self {
            battle: Battle::begin(first)?,
            last: first.event.at.clone(),
            entries: vec![opened],
            course: None,
            throws: Vec::new(),
            melees: Vec::new(),
            dismissed: Vec::new(),
            unmeasured: 0,
            taken_back: 0,
            odds: None,
            receipts: Vec::new(),
        })
    }
}

/// The numbers of all events that a later one takes back.
fn undone(events: &[Recorded]) -> HashSet<u64> {
    let undone = events.iter().filter_map(|recorded| match recorded.event.body {
        Body::Undone { seq, .. } => Some(seq),
        _ => None,
    });
    undone.collect()
}

/// The units of a battle at a moment.
type Units = Arc<Vec<Arc<Unit>>>;

/// A tale being gathered.
struct Teller<'a> {
    rules: &'a Rules,
    undone: HashSet<u64>,
    chapter: Chapter,
    /// The units before the first ruling that counts, then after each, with its roll if it threw.
    moments: Vec<(Option<u32>, Units)>,
    turns: Vec<TurnMark>,
    tale: ReportData,
}

impl Teller<'_> {
    fn take(&mut self, recorded: &Recorded) -> Result<(), FoldError> {
        let event = &recorded.event;
        let taken_back = self.undone.contains(&event.seq);
        let roll = event.receipt().map(|receipt| receipt.roll);
        let ruling = match &event.body {
            Body::Ruled { ruling } => Some(ruling),
            _ => None,
        };
        if let Some(receipt) = event.receipt() {
            let line = serde_json::to_string(receipt).expect("a receipt has only text keys");
            self.tale.receipts.push(line);
        }
        match ruling {
            Some(_) if taken_back => self.tale.taken_back += u32::from(roll.is_some()),
            Some(ruling) if changes(ruling) => self.measure(roll, ruling),
            _ => {}
        }
        if let Body::Dismissed { unit, .. } = &event.body {
            let units = &self.tale.battle.field.units;
            let gone = units.iter().find(|known| known.name == *unit && known.men_lost() > 0);
            self.tale.dismissed.extend(gone.filter(|_| !taken_back).cloned());
        }
        self.tale.battle.apply(recorded)?;
        self.tale.last.clone_from(&event.at);
        match &event.body {
            Body::Turned { turn } if !taken_back => self.turn(*turn),
            Body::Ruled { ruling } if !taken_back && changes(ruling) => {
                self.moments.push((roll, Arc::clone(&self.tale.battle.field.units)));
            }
            _ => {}
        }
        self.tell(recorded, taken_back);
        Ok(())
    }

    /// Measures a ruling that counts, before it is folded.
    fn measure(&mut self, roll: Option<u32>, ruling: &Ruling) {
        let field = &self.tale.battle.field;
        if self.moments.is_empty() {
            self.moments.push((None, Arc::clone(&field.units)));
        }
        // Without dice there is no luck to measure.
        let Some(roll) = roll else { return };
        self.tale.throws.extend(luck::throws(roll, ruling));
        let Ruling::Melee(melees) = ruling else { return };
        for melee in melees {
            match luck::melee(self.rules, field, roll, melee) {
                Some(luck) => self.tale.melees.push(luck),
                None => self.tale.unmeasured += 1,
            }
        }
    }

    fn turn(&mut self, turn: u32) {
        self.chapter = Chapter::Turn(turn);
        let after = self.moments.len().saturating_sub(1);
        let after = u32::try_from(after).expect("a battle has few rulings");
        self.turns.push(TurnMark { turn, after });
    }

    fn tell(&mut self, recorded: &Recorded, taken_back: bool) {
        let event = &recorded.event;
        let ruled = matches!(event.body, Body::Ruled { .. });
        let untold = match event.body {
            Body::WordGiven { .. } | Body::Announced { .. } => true,
            // The chapter's heading says it.
            Body::Turned { .. } => !taken_back,
            _ => false,
        };
        if untold {
            return;
        }
        if ruled && self.chapter == Chapter::Muster {
            self.chapter = Chapter::Turn(self.tale.battle.field.turn);
        }
        let roll = event.receipt().filter(|_| ruled).map(|receipt| receipt.roll);
        let (chapter, post) = (self.chapter, story(recorded));
        self.tale.entries.push(Entry { chapter, roll, post, taken_back });
    }

    fn finish(mut self) -> ReportData {
        self.tale.course = self.course();
        let rarest = self.tale.melees.iter().min_by(|a, b| a.rarity().total_cmp(&b.rarity()));
        self.tale.odds = rarest.and_then(|melee| {
            let mut picture = LossesPicture::round(&melee.fought.odds(self.rules)?);
            picture.title = format!("Roll {}: what it might have cost", melee.roll);
            for (unit, lost) in picture.units.iter_mut().zip(&melee.fought.lost) {
                unit.lost = Some(*lost);
            }
            Some(picture)
        });
        self.tale
    }

    fn course(&self) -> Option<Course> {
        let (_, rulings) = self.moments.split_first()?;
        let battle = &self.tale.battle;
        let last = u32::try_from(rulings.len()).expect("a battle has few rulings");
        let sides = battle.field.sides.iter().map(|side| SideCourse {
            side: side.clone(),
            men: self.moments.iter().map(|(_, units)| on_the_field(units, side)).collect(),
        });
        Some(Course {
            title: format!("Men on the field: {}", battle.name),
            rolls: rulings.iter().map(|(roll, _)| *roll).collect(),
            sides: sides.collect(),
            turns: self
                .turns
                .iter()
                .copied()
                .filter(|mark| (1..last).contains(&mark.after))
                .collect(),
        })
    }
}

/// Whether a ruling is about units of the battle.
const fn changes(ruling: &Ruling) -> bool {
    !matches!(ruling, Ruling::Quick(_) | Ruling::Throw(_))
}

/// Men of a side who have not left.
fn on_the_field(units: &[Arc<Unit>], side: &str) -> u32 {
    let here = units.iter().filter(|unit| unit.side == side && unit.standing != Standing::Left);
    here.map(|unit| unit.now.men).sum()
}
