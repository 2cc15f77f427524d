//! `proof`: a roll with its receipt.

use super::SHARE;
use crate::referee::Look;
use crate::requests::{Asked, Group, Kind, Spec, Tier, word};

pub static SPEC: Spec = Spec::new("proof", Group::Look, Tier::Later, |values| {
    Ok(Asked::Look(Look::Proof { roll: values.maybe_number("roll")? }))
})
.about("Show a roll again with its whole receipt, by which anyone can check it.")
.examples(&["proof 7"])
.slots(&[word("roll", "The roll's number; without it the latest", Kind::Roll).optional(), SHARE]);
