//! Names: what can be one; and, at the gate, matched without regard to case, with the nearest one
//! offered when none fits.

use crate::text::invisible;

/// Whether a text can be a name: 1 to 40 characters on one line, without what lines and statements
/// are written with.
pub fn is_name(name: &str) -> bool {
    let quoted = name.contains(['"', '“', '”', '„', '«', '»', '\\']) || name.contains(": ");
    is_text(name, 40) && !quoted && !name.starts_with(['-', '@', '#'])
}

/// Whether a text is 1 to `most` characters on one line, all of which can be seen.
pub fn is_text(text: &str, most: usize) -> bool {
    (1..=most).contains(&text.chars().count()) && !text.chars().any(invisible)
}

/// The form in which two names are compared.
pub fn fold_case(name: &str) -> String {
    name.to_lowercase()
}

/// Whether two names are the same without regard to case.
pub fn same_name(a: &str, b: &str) -> bool {
    a == b || fold_case(a) == fold_case(b)
}

/// The entry called `name`; otherwise the entry whose name is nearest, if any is near.
pub fn find<'a, T>(
    name: &str,
    entries: impl Iterator<Item = &'a T> + Clone,
    of: impl Fn(&'a T) -> &'a str,
) -> Result<&'a T, Option<&'a T>> {
    /// Names less alike than this are not offered (Jaro-Winkler, 0 to 1).
    const NEAR: f64 = 0.8;
    if let Some(entry) = entries.clone().find(|entry| of(entry) == name) {
        return Ok(entry);
    }
    let wanted = fold_case(name);
    if let Some(entry) = entries.clone().find(|entry| fold_case(of(entry)) == wanted) {
        return Ok(entry);
    }
    Err(entries
        .map(|entry| (strsim::jaro_winkler(&wanted, &fold_case(of(entry))), entry))
        .filter(|(likeness, _)| *likeness >= NEAR)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, entry)| entry))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_found_without_regard_to_case_and_the_nearest_is_offered() {
        let names = ["Ford Wardens".to_owned(), "Grey Spears".to_owned(), "ÉLAN".to_owned()];
        let found = |name| find(name, names.iter(), |n| n.as_str()).map(String::as_str);
        assert_eq!(found("ford WARDENS"), Ok("Ford Wardens"));
        assert_eq!(found("élan"), Ok("ÉLAN"));
        assert_eq!(found("Ford Wardns"), Err(Some(&names[0])));
        assert_eq!(found("Zzz"), Err(None));
    }
}
