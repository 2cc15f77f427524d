//! `erase`: a server's battles go for good.

use crate::requests::{Asked, ChatAsk, Fronts, Group, Kind, Spec, Tier, option};

pub static SPEC: Spec = Spec::new("erase", Group::Setup, Tier::Later, |values| {
    Ok(Asked::Chat(ChatAsk::Erase { sure: values.flag("sure") }))
})
.only(Fronts::Chat)
.about("Erase every battle of this server for good.")
.slots(&[
    option("sure", "True, to erase every battle of this server for good", Kind::YesNo).required()
]);
