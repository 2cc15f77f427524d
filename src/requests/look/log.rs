//! `log`: the record.

use super::SHARE;
use crate::referee::Look;
use crate::requests::{Asked, Group, Spec, Tier, flag};

pub static SPEC: Spec = Spec::new("log", Group::Look, Tier::Second, |values| {
    Ok(Asked::Look(Look::Log { all: values.flag("all") }))
})
.about("List what the record of the battle holds, oldest first.")
.examples(&["log", "log --all"])
.slots(&[flag("all", "The whole record, not only the latest 20 events"), SHARE]);
