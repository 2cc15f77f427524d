//! Strict loading: everything a rules file can get wrong is refused here, with its place.

use super::file::{CellEntry, ClassEntry, ConditionEntry, RulesFile, RungEntry};
use super::place::{Place, RulesError};
use super::{Class, Effects, KnownCondition, Ladder, Rate, Rules};
use crate::digest::Digest;
use crate::text::invisible;
use serde::Serialize;
use std::cmp::Ordering;
use std::collections::{BTreeMap, BTreeSet};
use std::ops::RangeInclusive;

/// The form of rules file that this release reads.
const FORM: u32 = 1;
/// A name's greatest length in characters.
const NAME_LENGTH: usize = 40;

pub(super) fn load(file: &str, text: &str) -> Result<Rules, RulesError> {
    let place = Place { file, text };
    place.can_be_seen()?;
    let raw: RulesFile = toml::from_str(text).map_err(|error| place.unreadable(&error))?;
    let check = Check { place: &place };
    check.all(&raw)?;
    let cells = check.cells(&raw)?;
    check.every_pair(&raw, &cells)?;
    Ok(Rules {
        ladder: check.ladder(&raw)?,
        name: raw.name,
        title: raw.title,
        sha256: Digest::of(text.as_bytes()),
        text: text.into(),
        dice: raw.dice,
        test: raw.test,
        ranks: raw.ranks,
        smallest: raw.muster.map_or(1, |limits| limits.smallest),
        rounds: raw.turn.map(|limits| limits.rounds),
        classes: raw.class.into_iter().map(Class::from).collect(),
        cells,
        steps: raw.steps,
        leader: raw.leader,
        grades: raw.grade,
        morale: raw.morale,
        rally: raw.rally,
        weapons: raw.weapon,
        shooting: raw.shooting,
        conditions: raw.condition.into_iter().map(KnownCondition::from).collect(),
        duel: raw.duel,
    })
}

impl From<ClassEntry> for Class {
    fn from(entry: ClassEntry) -> Self {
        Self {
            name: entry.name,
            weight: entry.weight,
            presence: entry.presence,
            mounted: entry.mounted,
            protection: entry.protection,
        }
    }
}

impl From<ConditionEntry> for KnownCondition {
    fn from(entry: ConditionEntry) -> Self {
        let effects = Effects {
            strike: entry.strike,
            struck: entry.struck,
            shoot: entry.shoot,
            shot: entry.shot,
            nerve: entry.nerve,
            dice: entry.dice,
            no_charge: entry.charge == Some(false),
            no_shooting: entry.shooting == Some(false),
        };
        Self { name: entry.name, on: entry.on, effects }
    }
}

impl From<&RungEntry> for Rate {
    fn from(entry: &RungEntry) -> Self {
        Self { dice: entry.dice, figures: entry.figures, kills_on: entry.kills_on }
    }
}

impl From<&CellEntry> for Rate {
    fn from(entry: &CellEntry) -> Self {
        Self { dice: entry.dice, figures: entry.figures, kills_on: entry.kills_on }
    }
}

/// The checks that need more than the shape of the file.
struct Check<'a> {
    place: &'a Place<'a>,
}

impl Check<'_> {
    fn all(&self, raw: &RulesFile) -> Result<(), RulesError> {
        self.range("form", raw.form, FORM..=FORM)?;
        self.name("name", &raw.name)?;
        self.name("title", &raw.title)?;
        self.dice(raw)?;
        self.classes(raw)?;
        self.steps(raw)?;
        self.leader(raw)?;
        self.grades(raw)?;
        self.morale(raw)?;
        self.weapons(raw)?;
        self.conditions(raw)?;
        self.duel(raw)
    }

    fn duel(&self, raw: &RulesFile) -> Result<(), RulesError> {
        let Some(duel) = raw.duel else { return Ok(()) };
        // What two of equal might can differ by; more would never be thrown.
        let most = raw.test.dice * (raw.test.sides - 1);
        self.range("duel.wound", duel.wound, 1..=most)?;
        self.range("duel.two_wounds", duel.two_wounds, duel.wound..=100)?;
        self.range("duel.rounds", duel.rounds, 1..=20)?;
        self.range("duel.nerve", duel.nerve, -10..=10)
    }

    fn conditions(&self, raw: &RulesFile) -> Result<(), RulesError> {
        if raw.condition.is_empty() {
            return Ok(());
        }
        self.list("condition", raw.condition.iter().map(|condition| condition.name.as_str()))?;
        for (n, condition) in raw.condition.iter().enumerate() {
            let key = format!("condition.{n}");
            for (name, by) in [
                ("strike", condition.strike),
                ("struck", condition.struck),
                ("shoot", condition.shoot),
                ("shot", condition.shot),
                ("nerve", condition.nerve),
            ] {
                self.range(&format!("{key}.{name}"), by, -3..=3)?;
            }
            self.range(&format!("{key}.dice"), condition.dice, 0..=6)?;
            if condition.on.is_empty() {
                let mend = "name unit, side or battle";
                return self.place.refuse(&format!("{key}.on"), "it stands on nothing", mend);
            }
            if !KnownCondition::from(condition.clone()).effects.any() {
                let mend = "give it an effect, such as nerve = -1 or charge = false";
                return self.place.refuse(&key, "it does nothing", mend);
            }
        }
        Ok(())
    }

    fn dice(&self, raw: &RulesFile) -> Result<(), RulesError> {
        self.range("dice.sides", raw.dice.sides, 2..=100)?;
        self.range("dice.minimum", raw.dice.minimum, 0..=10)?;
        self.range("dice.leader", raw.dice.leader, 0..=10)?;
        self.range("test.dice", raw.test.dice, 1..=4)?;
        self.range("test.sides", raw.test.sides, 2..=20)?;
        self.range("ranks.fighting", raw.ranks.fighting, 1..=10)?;
        self.range("ranks.long_spears", raw.ranks.long_spears, 1..=10)?;
        self.range("ranks.shooting", raw.ranks.shooting, 1..=10)?;
        self.range("ranks.massed", raw.ranks.massed, 1..=10)?;
        self.range("muster.smallest", raw.muster.map_or(1, |limits| limits.smallest), 1..=100)?;
        self.range("turn.rounds", raw.turn.map_or(1, |limits| limits.rounds), 1..=100)
    }

    fn classes(&self, raw: &RulesFile) -> Result<(), RulesError> {
        self.list("class", raw.class.iter().map(|class| class.name.as_str()))?;
        for (n, class) in raw.class.iter().enumerate() {
            if let Some(weight) = class.weight {
                self.range(&format!("class.{n}.weight"), weight, -20..=20)?;
            }
            self.range(&format!("class.{n}.presence"), class.presence, 1..=100)?;
            self.range(&format!("class.{n}.protection"), class.protection, -20..=20)?;
        }
        Ok(())
    }

    fn steps(&self, raw: &RulesFile) -> Result<(), RulesError> {
        self.each_step("steps", &raw.steps)?;
        self.each_step("shooting", &raw.shooting)
    }

    /// Checks every number of a table of steps.
    fn each_step(&self, table: &str, steps: &impl Serialize) -> Result<(), RulesError> {
        let steps = toml::Table::try_from(steps).expect("a table of steps has keys and numbers");
        for (key, by) in &steps {
            let by = by.as_integer().expect("every step is a number");
            self.range(&format!("{table}.{key}"), by, -10..=10)?;
        }
        Ok(())
    }

    fn leader(&self, raw: &RulesFile) -> Result<(), RulesError> {
        let most = raw.test.dice * raw.test.sides + 1;
        self.range("leader.falls_on", raw.leader.falls_on, 2..=most)?;
        self.range("leader.half_lost", raw.leader.half_lost, 2..=most)?;
        self.range("leader.destroyed", raw.leader.destroyed, 2..=most)
    }

    fn grades(&self, raw: &RulesFile) -> Result<(), RulesError> {
        self.list("grade", raw.grade.iter().map(|grade| grade.name.as_str()))?;
        for (n, grade) in raw.grade.iter().enumerate() {
            self.range(&format!("grade.{n}.modifier"), grade.modifier, -10..=10)?;
        }
        let defaults = raw.grade.iter().filter(|grade| grade.default).count();
        if defaults == 1 {
            return Ok(());
        }
        let what = format!("{defaults} grades are marked `default = true`");
        self.place.refuse("grade", &what, "mark exactly one")
    }

    fn morale(&self, raw: &RulesFile) -> Result<(), RulesError> {
        let morale = &raw.morale;
        for (key, value) in [
            ("morale.leader", morale.leader),
            ("morale.quarter_lost", morale.quarter_lost),
            ("morale.lost_more", morale.lost_more),
            ("morale.struck_side_or_rear", morale.struck_side_or_rear),
            ("morale.comrade", morale.comrade.unwrap_or(0)),
            ("morale.deep.modifier", morale.deep.map_or(0, |deep| deep.modifier)),
            ("rally.quarter_lost", raw.rally.quarter_lost),
        ] {
            self.range(key, value, -10..=10)?;
        }
        self.range("morale.tested_share", morale.tested_share.unwrap_or(1), 1..=100)?;
        self.range("morale.deep.ranks", morale.deep.map_or(1, |deep| deep.ranks), 1..=10)?;
        self.range("morale.quarters_counted", morale.quarters_counted, 0..=4)?;
        self.range("morale.stands_on", morale.stands_on, -50..=100)?;
        self.range("morale.falls_back_on", morale.falls_back_on, -50..=morale.stands_on)?;
        self.range("rally.steady_on", raw.rally.steady_on, -50..=100)?;
        self.range("rally.shaken_on", raw.rally.shaken_on, -50..=100)?;
        let mut before = None;
        for (n, degree) in morale.outnumbered.iter().enumerate() {
            let key = format!("morale.outnumbered.{n}");
            self.range(&format!("{key}.theirs"), degree.theirs, 1..=100)?;
            self.range(&format!("{key}.ours"), degree.ours, 1..=100)?;
            self.range(&format!("{key}.modifier"), degree.modifier, -10..=10)?;
            if degree.theirs <= degree.ours
                || before.is_some_and(|(theirs, ours)| degree.theirs * ours <= theirs * degree.ours)
            {
                let what = format!(
                    "{}:{} does not come after what stands before it",
                    degree.theirs, degree.ours
                );
                let mend = "give degrees over 1:1, the mildest first";
                return self.place.refuse(&key, &what, mend);
            }
            before = Some((degree.theirs, degree.ours));
        }
        Ok(())
    }

    fn weapons(&self, raw: &RulesFile) -> Result<(), RulesError> {
        if raw.weapon.is_empty() {
            return Ok(());
        }
        self.list("weapon", raw.weapon.iter().map(|weapon| weapon.name.as_str()))?;
        for (n, weapon) in raw.weapon.iter().enumerate() {
            self.range(&format!("weapon.{n}.short"), weapon.short, -20..=20)?;
            if let Some(long) = weapon.long {
                self.range(&format!("weapon.{n}.long"), long, -20..=20)?;
            }
        }
        Ok(())
    }

    fn rate(&self, key: &str, rate: Rate, sides: u32) -> Result<Rate, RulesError> {
        self.range(&format!("{key}.dice"), rate.dice, 1..=20)?;
        self.range(&format!("{key}.figures"), rate.figures, 1..=20)?;
        self.range(&format!("{key}.kills_on"), rate.kills_on, 1..=sides)?;
        Ok(rate)
    }

    fn ladder(&self, raw: &RulesFile) -> Result<Ladder, RulesError> {
        let Some(lowest) = raw.rung.first().map(|entry| entry.rung) else {
            return self.place.refuse("rung", "there is no rung", "give at least one");
        };
        self.range("rung.0.rung", lowest, -20..=20)?;
        let mut rungs: Vec<Rate> = Vec::new();
        for (n, entry) in raw.rung.iter().enumerate() {
            let key = format!("rung.{n}");
            let rate = self.rate(&key, entry.into(), raw.dice.sides)?;
            let expected = (lowest..).nth(n).unwrap_or(lowest);
            if entry.rung != expected {
                let what = format!("rung {} stands where rung {expected} should", entry.rung);
                let mend = "give the rungs lowest first, each one more than the last";
                return self.place.refuse(&format!("{key}.rung"), &what, mend);
            }
            if let Some(below) = rungs.last()
                && below.compare(rate, raw.dice.sides) != Ordering::Less
            {
                let what =
                    format!("rung {} kills no more than rung {}", entry.rung, entry.rung - 1);
                let mend = "give each rung more expected kills for a figure than the one below it";
                return self.place.refuse(&key, &what, mend);
            }
            rungs.push(rate);
        }
        Ok(Ladder::new(lowest, rungs))
    }

    fn cells(&self, raw: &RulesFile) -> Result<BTreeMap<(String, String), Rate>, RulesError> {
        let mut cells = BTreeMap::new();
        for (n, cell) in raw.cell.iter().enumerate() {
            let key = format!("cell.{n}");
            for (part, name) in [("striker", &cell.striker), ("target", &cell.target)] {
                if !raw.class.iter().any(|class| class.name == *name) {
                    let what = format!("there is no class “{name}”");
                    let mend = "name a class of this file, written the same way";
                    return self.place.refuse(&format!("{key}.{part}"), &what, mend);
                }
            }
            let rate = self.rate(&key, cell.into(), raw.dice.sides)?;
            let pair = (cell.striker.clone(), cell.target.clone());
            if cells.insert(pair, rate).is_some() {
                let what = format!("{} against {} is given twice", cell.striker, cell.target);
                return self.place.refuse(&key, &what, "remove one of the two");
            }
        }
        Ok(cells)
    }

    fn every_pair(
        &self,
        raw: &RulesFile,
        cells: &BTreeMap<(String, String), Rate>,
    ) -> Result<(), RulesError> {
        for (n, striker) in raw.class.iter().enumerate() {
            for (m, target) in raw.class.iter().enumerate() {
                let given = cells.contains_key(&(striker.name.clone(), target.name.clone()));
                if given || (striker.weight.is_some() && target.weight.is_some()) {
                    continue;
                }
                let bare = if striker.weight.is_none() { n } else { m };
                let what = format!("nothing says how {} meets {}", striker.name, target.name);
                let mend = "give both classes a weight, or add a [[cell]] for this pair";
                return self.place.refuse(&format!("class.{bare}"), &what, mend);
            }
        }
        Ok(())
    }

    fn name(&self, key: &str, name: &str) -> Result<(), RulesError> {
        let length = name.chars().count();
        let clean = name.trim() == name && !name.chars().any(invisible);
        if (1..=NAME_LENGTH).contains(&length) && clean {
            return Ok(());
        }
        let mend =
            format!("use 1 to {NAME_LENGTH} characters on one line, without a space at either end");
        self.place.refuse(key, "this cannot be a name", &mend)
    }

    /// Checks the names of a list: there is at least one, all can be names, none comes twice.
    fn list<'n>(&self, key: &str, names: impl Iterator<Item = &'n str>) -> Result<(), RulesError> {
        let mut seen = BTreeSet::new();
        for (n, name) in names.enumerate() {
            let key = format!("{key}.{n}.name");
            self.name(&key, name)?;
            if !seen.insert(name.to_lowercase()) {
                let what = format!("“{name}” is given twice");
                return self.place.refuse(&key, &what, "give each a name of its own");
            }
        }
        if seen.is_empty() {
            return self.place.refuse(key, "the list is empty", "give at least one entry");
        }
        Ok(())
    }

    fn range<N>(&self, key: &str, value: N, range: RangeInclusive<N>) -> Result<(), RulesError>
    where
        N: Copy + PartialOrd + std::fmt::Display,
    {
        if range.contains(&value) {
            return Ok(());
        }
        let (least, most) = (range.start(), range.end());
        let mend = if least == most {
            format!("use {least}")
        } else {
            format!("use a whole number from {least} to {most}")
        };
        self.place.refuse(key, &format!("{value} is out of range"), &mend)
    }
}
