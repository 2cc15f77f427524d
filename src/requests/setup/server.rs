//! `server`: what battles of a server begin with.

use crate::requests::{Asked, ChatAsk, Fronts, Group, Spec, Tier};

pub static SPEC: Spec =
    Spec::new("server", Group::Setup, Tier::Second, |_| Ok(Asked::Chat(ChatAsk::Server)))
        .in_chat("show")
        .only(Fronts::Chat)
        .about("Show what battles of this server begin with.");
