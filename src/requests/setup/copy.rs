//! `copy`: every battle of a server as files.

use crate::requests::{Asked, ChatAsk, Fronts, Group, Spec, Tier};

pub static SPEC: Spec =
    Spec::new("copy", Group::Setup, Tier::Later, |_| Ok(Asked::Chat(ChatAsk::Copy)))
        .only(Fronts::Chat)
        .about("Get a copy of every battle of this server as files.");
