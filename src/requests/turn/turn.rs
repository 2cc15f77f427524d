//! `turn`: the next turn begins.

use crate::protocol::Request;
use crate::requests::{Asked, Group, Spec, Tier};

pub static SPEC: Spec =
    Spec::new("turn", Group::Turn, Tier::First, |_| Ok(Asked::Request(Request::Turn)))
        .in_chat("next")
        .aliases(&["next turn", "end turn", "new turn"])
        .about("Begin the next turn.");
