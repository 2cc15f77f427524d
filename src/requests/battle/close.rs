//! `close`: the end of a battle.

use crate::protocol::Request;
use crate::requests::{Asked, Group, Spec, Tier};

pub static SPEC: Spec =
    Spec::new("close", Group::Battle, Tier::First, |_| Ok(Asked::Request(Request::Close)))
        .about("Close the battle. It can be opened again.");
