//! `help`: what can be asked.

use crate::requests::{Asked, Group, Kind, Spec, Tier, word};

pub static SPEC: Spec =
    Spec::new("help", Group::Alone, Tier::First, |values| Ok(Asked::Help(values.maybe("request"))))
        .aliases(&["?", "-h", "--help", "h"])
        .about("Show what you can ask, or how to ask one thing.")
        .examples(&["help", "help melee"])
        .slots(&[word(
            "request",
            "What you want to know about; without it everything",
            Kind::RequestName,
        )
        .optional()]);
