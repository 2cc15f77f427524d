//! `word`: a say in the dice.

use crate::protocol::Request;
use crate::requests::{Asked, Group, Kind, Spec, Tier, Values, Wrong, word};

pub static SPEC: Spec = Spec::new("word", Group::Fight, Tier::Later, build)
    .about("Give a word that goes into every later roll, so that no dice were chosen before the battle.")
    .examples(&["word Orm \"cold water, high reeds\""])
    .slots(&[
        word("name", "The name it is given under", Kind::NewName).filled_in_chat(),
        word("text", "The word or words, up to 80 characters", Kind::Text { most: 200 }),
    ]);

fn build(values: &Values) -> Result<Asked, Wrong> {
    let (name, text) = (values.text("name")?, values.text("text")?);
    Ok(Asked::Request(Request::Word { name, text }))
}
