//! `battles`: the battles of a place.

use super::SHARE;
use crate::referee::Look;
use crate::requests::{Asked, Group, Spec, Tier};

pub static SPEC: Spec =
    Spec::new("battles", Group::Look, Tier::Second, |_| Ok(Asked::Look(Look::Battles)))
        .about("List the battles of this place.")
        .slots(&[SHARE]);
