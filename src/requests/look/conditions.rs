//! `conditions`: what stands.

use super::SHARE;
use crate::referee::Look;
use crate::requests::{Asked, Group, Spec, Tier};

pub static SPEC: Spec =
    Spec::new("conditions", Group::Look, Tier::Second, |_| Ok(Asked::Look(Look::Conditions)))
        .about("Show every condition that stands: on what, what it does, until when.")
        .slots(&[SHARE]);
