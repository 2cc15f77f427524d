//! Forms that open when a button is pressed:
//! <https://discord.com/developers/docs/interactions/receiving-and-responding#interaction-response-object-modal>.

use super::component::Component;
use serde::Serialize;

/// A form with one field.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Form {
    custom_id: String,
    title: String,
    /// Fields stand in rows of their own: the library that reads what comes back knows no others.
    components: [Component; 1],
}

impl Form {
    /// A form that comes back under that id.
    pub fn new(custom_id: String, title: &str, field: Component) -> Self {
        Self { custom_id, title: title.to_owned(), components: [Component::row(vec![field])] }
    }
}
