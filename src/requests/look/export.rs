//! `export`: a battle as a file.

use crate::requests::{Asked, ChatAsk, Fronts, Group, Kind, Spec, Tier, word};

pub static SPEC: Spec = Spec::new("export", Group::Look, Tier::Later, |values| {
    Ok(Asked::Chat(ChatAsk::Export { battle: values.maybe("battle") }))
})
.only(Fronts::Chat)
.about("Get the whole battle as a file, to check it or to import it elsewhere.")
.slots(&[word("battle", "The battle; without it the open one, or the latest", Kind::BattleName)
    .optional()]);
