//! `rules`: what the rules say.

use super::SHARE;
use crate::referee::Look;
use crate::requests::{Asked, Group, Spec, Tier};

pub static SPEC: Spec =
    Spec::new("rules", Group::Look, Tier::Second, |_| Ok(Asked::Look(Look::Rules)))
        .about("Show the rules: troop classes, rungs, grades, weapons.")
        .slots(&[SHARE]);
