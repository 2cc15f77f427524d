//! `appoint`: giving an office.

use super::office;
use crate::protocol::Request;
use crate::requests::{Asked, Group, Spec, Tier};

pub static SPEC: Spec = Spec::new("appoint", Group::Battle, Tier::Second, |values| {
    Ok(Asked::Request(Request::Appoint { who: office::whom(values)?, side: values.maybe("side") }))
})
.about("Name a captain for a side, or another referee for the whole battle.")
.examples(&["appoint person-7 --side Vale"])
.slots(office::SLOTS);
