//! This machine's fonts, for names in scripts that the font that ships lacks.

use crate::pictures::{Font, Fonts};
use fontdb::{Database, FaceInfo, Style, Weight};
use std::cmp::Reverse;
use std::sync::{Arc, LazyLock};

/// A letter of each script that is looked for: a font that has none of them is not kept.
const SCRIPTS: &str = "אاܐހߊठঅਅઅଅஅఅಅഅඅกກཀကაᄀሀᎠᐁកᠠあア中가한ᏣⰀⲀԱ†♞";

/// Fonts are kept up to so many bytes in all: one with all Chinese letters has 20 million.
const MOST: usize = 64 << 20;

/// What pictures can be written with on this machine: the font that ships, and as few of those
/// installed as have the scripts that any of them has. They are read at the first call, which may
/// take a second.
pub fn of_this_machine() -> &'static Fonts {
    static FOUND: LazyLock<Fonts> = LazyLock::new(|| {
        let mut installed = Database::new();
        installed.load_system_fonts();
        Fonts::with(chosen(&installed))
    });
    &FOUND
}

/// The fonts that add a script to those before them, the plainest ones first.
fn chosen(installed: &Database) -> Vec<Font> {
    let mut faces: Vec<&FaceInfo> = installed.faces().collect();
    faces.sort_by_cached_key(|face| plainness(face));
    let shipped = Fonts::shipped();
    let mut missing: Vec<char> =
        SCRIPTS.chars().filter(|c| !shipped.have(&c.to_string())).collect();
    let (mut kept, mut bytes) = (Vec::new(), 0);
    for face in faces {
        if missing.is_empty() {
            break;
        }
        let font: Option<Font> =
            installed.with_face_data(face.id, |data, index| (Arc::from(data), index));
        let Some(font) = font.filter(|(data, _)| bytes + data.len() <= MOST) else { continue };
        let alone = Fonts::with([font.clone()]);
        let before = missing.len();
        missing.retain(|c| !alone.have(&c.to_string()));
        if missing.len() < before {
            bytes += font.0.len();
            kept.push(font);
        }
    }
    kept
}

/// Smaller for what suits a picture: upright, of common weight and width, without serifs.
fn plainness(face: &FaceInfo) -> (bool, u16, bool, bool, Reverse<bool>, String) {
    let name = face.families.first().map_or(String::new(), |(name, _)| name.clone());
    (
        face.style != Style::Normal,
        face.weight.0.abs_diff(Weight::NORMAL.0),
        face.stretch != fontdb::Stretch::Normal,
        face.monospaced,
        Reverse(name.contains("Sans")),
        name,
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The shipped font stands in for a machine's: it adds nothing to itself.
    #[test]
    fn only_fonts_that_add_a_script_are_kept() {
        let mut installed = Database::new();
        installed.load_font_data(include_bytes!("../assets/fonts/OpenSans-Regular.ttf").to_vec());
        assert_eq!(installed.len(), 1);
        assert!(chosen(&installed).is_empty());
    }

    /// What this machine has is not known beforehand; that reading it does no harm is.
    #[test]
    fn the_shipped_font_stays_the_first() {
        let fonts = of_this_machine();
        assert!(fonts.have("Ford Wardens"));
        assert!(std::ptr::eq(fonts, of_this_machine()), "they are read once");
    }
}
