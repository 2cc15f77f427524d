//! `forget`: a person goes out of the records.

use crate::requests::{Asked, ChatAsk, Fronts, Group, Spec, Tier};

pub static SPEC: Spec =
    Spec::new("forget", Group::Setup, Tier::Later, |_| Ok(Asked::Chat(ChatAsk::Forget)))
        .only(Fronts::Chat)
        .about(
            "Remove your id from the records. Battles go on; what you asked stays, under a number.",
        );
