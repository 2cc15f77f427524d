//! `board`: a post that is kept up to date.

use crate::requests::{Asked, ChatAsk, Fronts, Group, Spec, Tier};

pub static SPEC: Spec =
    Spec::new("board", Group::Look, Tier::Second, |_| Ok(Asked::Chat(ChatAsk::Board)))
        .only(Fronts::Chat)
        .about("Put up a post that shows the battle and is kept up to date, for you to pin.");
