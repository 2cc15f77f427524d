//! `relieve`: taking an office away.

use super::office;
use crate::protocol::Request;
use crate::requests::{Asked, Group, Spec, Tier};

pub static SPEC: Spec = Spec::new("relieve", Group::Battle, Tier::Second, |values| {
    Ok(Asked::Request(Request::Relieve { who: office::whom(values)?, side: values.maybe("side") }))
})
.about("Take an office away again.")
.examples(&["relieve person-7 --side Vale"])
.slots(office::SLOTS);
