//! What the referee shows when only asked to look: nothing of it changes the record.

use super::condition;
use super::event::{event, in_brief, posture};
use super::phrases::{figures, kind, leader, list, number, off_by, strength};
use super::{Post, duel, odds};
use crate::battle::{Battle, Hint};
use crate::odds::{DuelOdds, Even, MeleeOdds, Scales};
use crate::protocol::{Recorded, Standing, Strength, Unit};
use crate::rules::Rules;
use std::sync::Arc;

/// What can be shown.
#[derive(Debug, Clone)]
pub enum Shown {
    /// The battle here.
    Battle(Box<Battle>),
    /// One unit of it.
    Unit(Box<Battle>, String),
    /// The battles of this place.
    Battles(Vec<BattleEntry>),
    /// The latest events of the record, oldest first, and how many came before them.
    Log(Vec<Recorded>, u64),
    /// The event of one roll, with its receipt.
    Proof(Box<Recorded>),
    /// The rules of the battle here.
    Rules(Arc<Rules>),
    /// The conditions that stand in the battle here.
    Conditions(Arc<Battle>),
    /// The odds of a melee; of each, where what was asked is several.
    Odds(Vec<MeleeOdds>),
    /// The odds of a single combat.
    Duel(DuelOdds),
    /// The same armies at several figure scales.
    Scales(Box<Scales>),
    /// The strength that makes an even fight, and the unit it would meet.
    Even(Box<Even>, String),
}

/// A battle in a list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BattleEntry {
    /// Its id.
    pub id: String,
    /// Its name.
    pub name: String,
    /// Whether it is open.
    pub open: bool,
    /// Events in its record.
    pub events: u64,
}

/// Puts what is shown into words.
pub fn shown(shown: &Shown) -> Post {
    match shown {
        Shown::Battle(battle) => state(battle),
        Shown::Unit(battle, name) => unit_alone(battle, name),
        Shown::Battles(battles) => list_of_battles(battles),
        Shown::Log(events, earlier) => log(events, *earlier),
        Shown::Proof(recorded) => proof(recorded),
        Shown::Rules(rules) => super::rules::rules(rules),
        Shown::Conditions(battle) => condition::all(battle),
        Shown::Odds(melees) => odds::odds(melees),
        Shown::Duel(odds) => duel::odds(odds),
        Shown::Even(even, met) => odds::even(even, met),
        Shown::Scales(scales) => odds::scales(scales),
    }
}

impl Shown {
    /// What is shown as one line of JSON, with every digit; docs/odds.md explains the keys.
    pub fn json(&self) -> String {
        let value = match self {
            Self::Odds(melees) => {
                let melee = |melee: &MeleeOdds| {
                    let finish = melee.finish.as_ref().ok();
                    serde_json::json!({"round": melee.round, "finish": finish})
                };
                serde_json::json!({"melees": melees.iter().map(melee).collect::<Vec<_>>()})
            }
            Self::Duel(odds) => serde_json::json!({"duel": odds}),
            Self::Even(even, met) => serde_json::json!({"even": even, "met": met}),
            Self::Scales(scales) => serde_json::json!({"scales": scales}),
            other => serde_json::json!({"text": shown(other).text(usize::MAX)}),
        };
        value.to_string()
    }
}

fn state(battle: &Battle) -> Post {
    let field = &battle.field;
    let mut post = Post::new(format!("{}: turn {}, {}", battle.name, field.turn, field.scale));
    if field.units.is_empty() {
        post.line(0, "No units yet. Muster one, for example:");
        let muster = Hint::new("muster").word("unit", "Ford Wardens").option("side", "Vale");
        post.hint(0, "", muster.option("class", "line foot").option("men", "160"));
    }
    for side in field.sides.iter() {
        let units: Vec<&Unit> =
            field.units.iter().filter(|unit| unit.side == *side).map(AsRef::as_ref).collect();
        // Who has left the field is counted no more, but for the strength at muster.
        let sum = |of: fn(&Unit) -> u32| number(units.iter().map(|unit| of(unit)).sum());
        post.line(
            0,
            format!(
                "{side}: {} of {} figures, {} of {} men",
                sum(|unit| if unit.standing == Standing::Left { 0 } else { unit.now.figures }),
                sum(|unit| unit.muster.figures),
                sum(|unit| if unit.standing == Standing::Left { 0 } else { unit.now.men }),
                sum(|unit| unit.muster.men)
            ),
        );
        let mustered = units.iter().filter(|unit| !unit.single).map(|unit| unit.muster);
        let mustered = mustered.reduce(|all, unit| Strength {
            men: all.men + unit.men,
            figures: all.figures + unit.figures,
        });
        if let Some(off) = mustered.and_then(|all| off_by(all, field.scale)) {
            post.line(1, format!("over a tenth off: {off}"));
        }
        for unit in units {
            self::unit(&mut post, battle, unit);
        }
    }
    for one in field.conditions.iter() {
        post.line(0, format!("Condition: {}", condition::condition_on(one)));
    }
    for (out, what) in [(false, "Free leaders"), (true, "Out of the fight")] {
        let these = field.free_leaders.iter().filter(|free| free.out == out);
        let these = list(these.map(|free| format!("{} of {}", leader(&free.leader), free.side)));
        if !these.is_empty() {
            post.line(0, format!("{what}: {these}"));
        }
    }
    if let Some(pending) = &field.pending {
        post.line(0, format!("A roll is waiting for {} to cast it.", pending.casting));
        post.hint(1, "To cast it", Hint::new("cast").word("text", "TEXT"));
        post.hint(1, "To take it back", Hint::new("undo").word("reason", "REASON"));
    }
    for given in battle.words.iter() {
        post.line(0, format!("Word of {}: “{}”", given.word.name, given.word.text));
    }
    let rolls = match battle.rolls {
        1 => "1 roll".to_owned(),
        n => format!("{} rolls", number(n)),
    };
    post.line(
        0,
        format!(
            "Rules {}. {rolls} thrown. {}, record {}",
            battle.rules_name,
            events(battle.seq),
            battle.head.short()
        ),
    );
    post
}

fn unit(post: &mut Post, battle: &Battle, unit: &Unit) {
    post.line(1, format!("{}: {} of {}", unit.name, number(unit.now.figures), of_muster(unit)));
    post.line(2, kind(unit, battle.field.scale));
    post.line(2, posture(unit, &opponents(battle, &unit.name)));
}

/// What a unit mustered, and its men now.
fn of_muster(unit: &Unit) -> String {
    if unit.single {
        return strength(unit.muster);
    }
    let (now, muster) = (number(unit.now.men), number(unit.muster.men));
    format!("{}, {now} of {muster} men", figures(unit.muster.figures))
}

fn opponents<'a>(battle: &'a Battle, name: &str) -> Vec<&'a str> {
    battle
        .field
        .engagement_of(name)
        .map(|engagement| {
            engagement
                .contacts
                .iter()
                .filter_map(|held| {
                    let ask = &held.ask;
                    if ask.striker == name {
                        Some(ask.struck.as_str())
                    } else {
                        (ask.struck == name).then_some(ask.striker.as_str())
                    }
                })
                .collect()
        })
        .unwrap_or_default()
}

fn unit_alone(battle: &Battle, name: &str) -> Post {
    let Ok(found) = battle.field.unit(name) else {
        return Post::new(format!("No unit is called “{name}” in this battle."));
    };
    let mut post = Post::new(format!("{} of {}", found.name, found.side));
    unit(&mut post, battle, found);
    post
}

fn list_of_battles(battles: &[BattleEntry]) -> Post {
    if battles.is_empty() {
        let mut post = Post::new("No battle has been opened here.");
        post.hint(0, "Open one", Hint::new("open").word("name", "NAME").option("scale", "20"));
        return post;
    }
    let mut post = Post::new("Battles here");
    for battle in battles {
        let state = if battle.open { "open" } else { "closed" };
        post.line(
            1,
            format!("{}: {state}, {}, id {}", battle.name, events(battle.events), battle.id),
        );
    }
    post
}

fn events(n: u64) -> String {
    if n == 1 { "1 event".to_owned() } else { format!("{n} events") }
}

fn log(events: &[Recorded], earlier: u64) -> Post {
    let mut post = Post::new("The record, oldest first");
    if earlier > 0 {
        let hint = Hint::new("log").flag("all");
        let are = if earlier == 1 { "event is" } else { "events are" };
        post.hint(1, format!("{earlier} earlier {are} not shown"), hint);
    }
    for recorded in events {
        post.line(1, in_brief(recorded));
    }
    post
}

/// The ruling in words, and the whole receipt as one line of JSON.
fn proof(recorded: &Recorded) -> Post {
    let mut post = event(recorded);
    if let Some(receipt) = recorded.event.receipt() {
        let json = serde_json::to_string(receipt).expect("a receipt has only text keys");
        post.line(0, "The receipt, one line of JSON. To check it, keep the line in a file: drumhead check FILE");
        post.verbatim(json);
    }
    post
}
