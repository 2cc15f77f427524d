//! The names that are known at the table, for completion.

use crate::battle::Field;
use crate::requests::Names;
use crate::rules::Rules;
use rustyline::{Helper, Highlighter, Hinter, Validator};
use std::sync::Arc;

/// The names that can be completed at the table.
#[derive(Default, Helper, Highlighter, Hinter, Validator)]
pub(super) struct Known {
    /// The field of the open battle.
    pub field: Option<Field>,
    /// The rules of the open battle, or those that ship.
    pub rules: Option<Arc<Rules>>,
    /// The battles of the table, latest first.
    pub battles: Vec<String>,
    /// The rules at hand.
    pub rules_names: Vec<String>,
}

impl Names for Known {
    fn field(&self) -> Option<&Field> {
        self.field.as_ref()
    }

    fn rules(&self) -> Option<&Rules> {
        self.rules.as_deref()
    }

    fn battles(&self) -> Vec<String> {
        self.battles.clone()
    }

    fn rules_names(&self) -> Vec<String> {
        self.rules_names.clone()
    }
}
