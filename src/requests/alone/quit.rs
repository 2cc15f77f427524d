//! `quit`: leaving the table.

use crate::requests::{Asked, Fronts, Group, Spec, Tier};

pub static SPEC: Spec = Spec::new("quit", Group::Alone, Tier::First, |_| Ok(Asked::Quit))
    .only(Fronts::Table)
    .aliases(&["exit"])
    .about("Leave the table. The battle stays in the record.");
