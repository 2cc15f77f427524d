//! `report`: a battle told.

use super::SHARE;
use crate::requests::{Asked, ChatAsk, Fronts, Group, Kind, Spec, Tier, word};

pub static SPEC: Spec = Spec::new("report", Group::Look, Tier::Second, |values| {
    Ok(Asked::Chat(ChatAsk::Report { battle: values.maybe("battle") }))
})
.only(Fronts::Chat)
.about("Get the battle's report: what happened, losses, luck, pictures, receipts.")
.slots(&[
    word("battle", "The battle; without it the open one, or the latest", Kind::BattleName)
        .optional(),
    SHARE,
]);
