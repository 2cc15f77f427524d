//! Looking for a post of the bot's own among a channel's messages.
//!
//! The platform shows a bot the whole of its own messages. What is looked for stands in text
//! displays, at any depth; embeds have no part in it, as people can switch them off.

use serde_json::Value;

/// Whether one of these messages holds a text.
pub fn holds(messages: &Value, text: &str) -> bool {
    list(messages).iter().any(|message| list(&message["components"]).iter().any(|c| says(c, text)))
}

/// The greatest id among these messages, however they are sorted.
pub fn latest(messages: &Value) -> Option<u64> {
    let id = |message: &Value| message["id"].as_str()?.parse().ok();
    list(messages).iter().filter_map(id).max()
}

fn list(value: &Value) -> &[Value] {
    value.as_array().map_or(&[], Vec::as_slice)
}

/// Whether a component or one inside it says a text.
fn says(component: &Value, text: &str) -> bool {
    component["content"].as_str().is_some_and(|content| content.contains(text))
        || list(&component["components"]).iter().any(|inner| says(inner, text))
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn a_text_is_found_at_any_depth_and_nowhere_else() {
        let shown = json!({ "type": 10, "content": "-# Roll 1 · record 0123456789abcdef" });
        let framed = json!({ "type": 17, "components": [{ "type": 9, "components": [shown] }] });
        let elsewhere = json!({ "id": "8", "embeds": [{ "description": "0123456789abcdef" }] });
        let messages = json!([{ "id": "9", "components": [framed] }, elsewhere, {}]);
        assert!(holds(&messages, "0123456789abcdef"));
        assert!(!holds(&messages, "fedcba9876543210"));
        assert!(!holds(&json!([elsewhere]), "0123456789abcdef"));
        assert!(!holds(&Value::Null, "x"));
        assert_eq!((latest(&messages), latest(&json!([]))), (Some(9), None));
    }
}
