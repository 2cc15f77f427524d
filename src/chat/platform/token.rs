//! The bot's token.

use std::fmt;
use zeroize::Zeroizing;

/// The bot's token. It is never shown: not in traces, not in errors, not by `Debug`. It is wiped
/// when dropped.
#[derive(Clone, PartialEq, Eq)]
pub struct Token(Zeroizing<String>);

impl fmt::Debug for Token {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Token(hidden)")
    }
}

impl Token {
    /// A token as the platform gave it; none if it cannot be one.
    ///
    /// ```
    /// use drumhead::chat::Token;
    /// let token = Token::new(" abc.def.ghi\n").unwrap();
    /// assert_eq!(format!("{token:?}"), "Token(hidden)");
    /// assert!(Token::new("two words").is_none());
    /// ```
    pub fn new(text: &str) -> Option<Self> {
        let text = text.trim();
        let text = text.strip_prefix("Bot ").unwrap_or(text).trim();
        let fits = !text.is_empty() && text.chars().all(|c| c.is_ascii_graphic());
        fits.then(|| Self(Zeroizing::new(text.to_owned())))
    }

    /// The token itself, for the one header and the one gateway payload that carry it.
    pub(super) fn reveal(&self) -> &str {
        &self.0
    }
}
