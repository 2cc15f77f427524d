//! What a condition does: numbers by key. Their form is protocol, because the record holds them.

use serde::{Deserialize, Serialize};

/// What a condition does. Each number is −3 to 3, the dice 0 to 6.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Effects {
    /// Steps to its throws in a melee.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub strike: i32,
    /// Steps to throws at it in a melee.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub struck: i32,
    /// Steps to its shooting.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub shoot: i32,
    /// Steps to shooting at it.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub shot: i32,
    /// What is added to its morale and its rally.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub nerve: i32,
    /// Dice added to its oldest contact.
    #[serde(default, skip_serializing_if = "is_none")]
    pub dice: u32,
    /// It may not charge.
    #[serde(default, skip_serializing_if = "is_false")]
    pub no_charge: bool,
    /// It may not shoot.
    #[serde(default, skip_serializing_if = "is_false")]
    pub no_shooting: bool,
}

/// An effect by the key that it moves, for those that are sums.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Key {
    /// Its throws in a melee.
    Strike,
    /// Throws at it in a melee.
    Struck,
    /// Its shooting.
    Shoot,
    /// Shooting at it.
    Shot,
    /// Its nerve.
    Nerve,
}

impl Effects {
    /// What it adds to the sum of a key.
    pub const fn of(&self, key: Key) -> i32 {
        match key {
            Key::Strike => self.strike,
            Key::Struck => self.struck,
            Key::Shoot => self.shoot,
            Key::Shot => self.shot,
            Key::Nerve => self.nerve,
        }
    }

    /// Whether it does anything.
    pub fn any(&self) -> bool {
        *self != Self::default()
    }

    /// Whether every number is in its range.
    pub const fn in_range(&self) -> bool {
        let numbers = [self.strike, self.struck, self.shoot, self.shot, self.nerve];
        let mut at = 0;
        while at < numbers.len() {
            if numbers[at] < -3 || numbers[at] > 3 {
                return false;
            }
            at += 1;
        }
        self.dice <= 6
    }
}

#[allow(clippy::trivially_copy_pass_by_ref, reason = "serde asks with a reference")]
const fn is_zero(by: &i32) -> bool {
    *by == 0
}

#[allow(clippy::trivially_copy_pass_by_ref, reason = "serde asks with a reference")]
const fn is_none(count: &u32) -> bool {
    *count == 0
}

#[allow(clippy::trivially_copy_pass_by_ref, reason = "serde asks with a reference")]
const fn is_false(value: &bool) -> bool {
    !*value
}
