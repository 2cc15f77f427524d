//! Hints in the chat's own spelling.

/// TODO until the table of requests is here.
pub fn in_chat(sentence: &str) -> String {
    sentence.to_owned()
}
