//! `defaults`: setting what battles of a server begin with.

use crate::requests::{Asked, ChatAsk, Fronts, Group, Kind, Spec, Tier, Values, Wrong, option};

pub static SPEC: Spec = Spec::new("defaults", Group::Setup, Tier::Second, build)
    .only(Fronts::Chat)
    .about("Set what battles of this server begin with; what you leave out goes back to the usual.")
    .slots(&[
        option("scale", "Men that one figure stands for; usually 20", Kind::Scale),
        option("rules", "The rules by name", Kind::RulesName),
    ]);

fn build(values: &Values) -> Result<Asked, Wrong> {
    let (scale, rules) = (values.maybe_scale("scale")?, values.maybe("rules"));
    Ok(Asked::Chat(ChatAsk::Defaults { scale, rules }))
}
