//! `privacy`: what is kept of a person.

use crate::requests::{Asked, ChatAsk, Fronts, Group, Spec, Tier};

pub static SPEC: Spec =
    Spec::new("privacy", Group::Setup, Tier::Later, |_| Ok(Asked::Chat(ChatAsk::Privacy)))
        .only(Fronts::Chat)
        .about("Show what is kept about you.");
