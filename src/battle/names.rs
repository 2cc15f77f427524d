//! Names: what can be one; and, at the gate, matched without regard to case, with the nearest one
//! offered when none fits.

use crate::protocol::{Appointee, Who};
use crate::text::invisible;
use unicode_normalization::UnicodeNormalization as _;
use unicode_security::skeleton;

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

/// The form in which two names are compared: NFKC (UAX 15) without regard to case.
pub fn fold_case(name: &str) -> String {
    let folded: String = name.nfkc().flat_map(char::to_lowercase).collect();
    folded.nfkc().collect()
}

/// Whether two names are the same without regard to case.
pub fn same_name(a: &str, b: &str) -> bool {
    a == b || fold_case(a) == fold_case(b)
}

/// Whether somebody who reads quickly would take one name for the other: they are the same letters
/// in other clothes, or have one skeleton (UTS 39, section 4) before or after case is folded.
pub fn look_alike(a: &str, b: &str) -> bool {
    looks(a).iter().zip(looks(b)).any(|(a, b)| *a == b)
}

/// What a name looks like: its skeleton in small letters, and the skeleton of its small letters.
fn looks(name: &str) -> [String; 2] {
    let plain: String = name.nfkc().collect();
    let spaced = plain.split_whitespace().collect::<Vec<_>>().join(" ");
    let skeleton_of = |text: &str| skeleton(text).collect::<String>();
    [fold_case(&skeleton_of(&spaced)), skeleton_of(&fold_case(&spaced))]
}

/// The name by which the record knows a person, a role, the table or the referee itself, if `name`
/// looks like one and is not one.
pub fn poses_as(name: &str) -> Option<String> {
    if is_identity(name) {
        return None;
    }
    // A digit that was borrowed from another script or from the letters is a digit again.
    let figure = |c: char| match c {
        'l' | 'i' | '|' => '1',
        'o' => '0',
        c => c,
    };
    let folded = fold_case(name);
    let tail = folded.chars().rev().take_while(|c| figure(*c).is_ascii_digit()).count();
    let digits: String = folded.chars().skip(folded.chars().count() - tail).map(figure).collect();
    let known =
        [format!("person-{digits}"), format!("role-{digits}"), "table".into(), "referee".into()];
    known.into_iter().find(|known| is_identity(known) && look_alike(name, known))
}

fn is_identity(name: &str) -> bool {
    name.parse::<Who>().is_ok() || name.parse::<Appointee>().is_ok()
}

/// The entry called `name`; otherwise the entry whose name has it as a word, or is nearest, if any
/// is near.
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
    let has_word = |name: &str| fold_case(name).split_whitespace().any(|word| word == wanted);
    if let Some(entry) = entries.clone().find(|entry| has_word(of(entry))) {
        return Err(Some(entry));
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
        assert_eq!(found("wardens"), Err(Some(&names[0])), "a word of a name offers it");
        assert_eq!(found("SPEARS"), Err(Some(&names[1])));
        assert_eq!(found("Zzz"), Err(None));
        // The same letters typed on two machines: an accent of its own, and wide letters.
        assert_eq!(found("e\u{301}lan"), Ok("ÉLAN"));
        assert_eq!(found("Ｆord wardens"), Ok("Ford Wardens"));
    }

    /// Source: lines of confusables.txt of Unicode Technical Standard 39, from memory:
    /// 0430 → 0061, 0435 → 0065, 043E → 006F, 0440 → 0070, 0441 → 0063, 0445 → 0078, 0455 → 0073,
    /// 0456 → 0069, 0458 → 006A, 03BF → 006F, 0391 → 0041, 0392 → 0042, 0031 → 006C, 0049 → 006C,
    /// 007C → 006C, 0030 → 004F, 006D → 0072 006E, 2010 → 002D, 0261 → 0067, 1D0F → 006F.
    #[test]
    fn what_the_standard_calls_confusable_looks_alike() {
        for (like, name) in [
            ('\u{430}', "a"),
            ('\u{435}', "e"),
            ('\u{43e}', "o"),
            ('\u{440}', "p"),
            ('\u{441}', "c"),
            ('\u{445}', "x"),
            ('\u{455}', "s"),
            ('\u{456}', "i"),
            ('\u{458}', "j"),
            ('\u{3bf}', "o"),
            ('\u{391}', "A"),
            ('\u{392}', "B"),
            ('1', "l"),
            ('I', "l"),
            ('|', "l"),
            ('0', "O"),
            ('m', "rn"),
            ('\u{2010}', "-"),
            ('\u{261}', "g"),
            ('\u{1d0f}', "o"),
        ] {
            let (forged, name) = (format!("Ford {like}"), format!("Ford {name}"));
            assert!(look_alike(&forged, &name), "{forged} {name}");
        }
        for (a, b) in [
            ("Ford Wardens", "F\u{43e}rd Wardens"),
            ("Ford Wardens", "F\u{41e}RD WARDENS"),
            ("Ford Wardens", "Ford  Wardens"),
            ("Ford Wardens", "Ford\u{200d} Wardens"),
            ("Ford Wardens", "Ｆｏｒｄ Ｗａｒｄｅｎｓ"),
            ("Ida", "lda"),
            ("Unit 10", "Unit lO"),
        ] {
            assert!(look_alike(a, b), "{a} {b}");
        }
        for (a, b) in [
            ("Ford Wardens", "Ford Warders"),
            ("Ford Wardens", "Fjord Wardens"),
            ("Unit 1", "Unit 2"),
            ("Wächter", "Wachter"),
            ("שומרי המעבר", "حراس"),
        ] {
            assert!(!look_alike(a, b), "{a} {b}");
        }
    }

    #[test]
    fn nobody_s_name_may_look_like_a_person_s_of_the_record() {
        for (name, like) in [
            ("Person-4", "person-4"),
            ("p\u{435}rson-4", "person-4"),
            ("person\u{2010}10", "person-10"),
            ("person-lO", "person-10"),
            ("Role-9", "role-9"),
            ("TABLE", "table"),
            ("R\u{435}feree", "referee"),
        ] {
            assert_eq!(poses_as(name).as_deref(), Some(like), "{name}");
        }
        for name in
            ["person-4", "role-9", "Orm", "person", "Person-in-waiting", "person-0", "Table 2"]
        {
            assert_eq!(poses_as(name), None, "{name}");
        }
    }
}
