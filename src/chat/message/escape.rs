//! Text that is shown as it is.

/// Text that is shown as it is: whatever has a meaning in the platform's markdown loses it.
pub fn escape(text: &str) -> String {
    let mut escaped = String::with_capacity(text.len() + 8);
    let digits = text.chars().take_while(char::is_ascii_digit).count();
    for (n, c) in text.chars().enumerate() {
        let always =
            matches!(c, '\\' | '*' | '_' | '~' | '`' | '|' | '<' | '>' | '#' | '[' | ']' | '@');
        // A list begins with a sign or with a number and a dot; a bare address becomes a link.
        let first = n == 0 && matches!(c, '-' | '+');
        let numbered = digits > 0 && n == digits && c == '.';
        let address = c == ':' && text.chars().skip(n + 1).take(2).eq("//".chars());
        if always || first || numbered || address {
            escaped.push('\\');
        }
        escaped.push(c);
    }
    escaped
}

/// How long the platform may find a text: in UTF-16 units, which are never fewer than characters.
pub fn units(text: &str) -> usize {
    text.encode_utf16().count()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn markdown_and_mentions_in_names_are_shown_as_they_are() {
        for (text, shown) in [
            ("*Ford* _Wardens_", r"\*Ford\* \_Wardens\_"),
            ("<@123> @everyone", r"\<\@123\> \@everyone"),
            ("- a list", r"\- a list"),
            ("-# small", r"\-\# small"),
            ("12. May", r"12\. May"),
            ("[a](https://b)", r"\[a\](https\://b)"),
            ("فرسان الوادي 🐎", "فرسان الوادي 🐎"),
        ] {
            assert_eq!(escape(text), shown);
        }
    }
}
