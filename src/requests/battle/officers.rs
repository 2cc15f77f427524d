//! `officers`: who may do what.

use crate::requests::{Asked, ChatAsk, Fronts, Group, Spec, Tier};

pub static SPEC: Spec =
    Spec::new("officers", Group::Battle, Tier::Second, |_| Ok(Asked::Chat(ChatAsk::Officers)))
        .only(Fronts::Chat)
        .about("Show who referees here and who leads which side.");
