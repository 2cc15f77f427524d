//! The rules files at hand.

use crate::battle::{Mistake, same_name};
use crate::digest::Digest;
use crate::rules::{Rules, RulesError, SHIPPED};
use std::sync::Arc;

/// Rules by name; the first is what a battle gets that asks for none.
#[derive(Debug, Clone)]
pub struct RulesLibrary(Vec<Arc<Rules>>);

impl RulesLibrary {
    /// The rules that ship with the program.
    pub fn shipped() -> Self {
        let load = |(file, text)| {
            Arc::new(Rules::load(file, text).expect("a test loads every rules file that ships"))
        };
        Self(SHIPPED.map(load).to_vec())
    }

    /// Adds a rules file, in place of one of the same name; `file` names it in errors.
    pub fn add(&mut self, file: &str, text: &str) -> Result<(), RulesError> {
        let rules = Arc::new(Rules::load(file, text)?);
        match self.0.iter_mut().find(|known| same_name(&known.name, &rules.name)) {
            Some(known) => *known = rules,
            None => self.0.push(rules),
        }
        Ok(())
    }

    /// The names of all rules here.
    pub fn names(&self) -> Vec<String> {
        self.0.iter().map(|rules| rules.name.clone()).collect()
    }

    /// The rules whose file has that SHA-256.
    pub(super) fn same(&self, sha256: Digest) -> Option<Arc<Rules>> {
        self.0.iter().find(|rules| rules.sha256 == sha256).cloned()
    }

    /// The rules called `name`, or those that ship.
    pub(super) fn find(&self, name: Option<&str>) -> Result<Arc<Rules>, Mistake> {
        let Some(name) = name else { return Ok(Arc::clone(&self.0[0])) };
        self.0
            .iter()
            .find(|rules| same_name(&rules.name, name))
            .cloned()
            .ok_or_else(|| Mistake::NoSuchRules { name: name.to_owned(), known: self.names() })
    }
}
