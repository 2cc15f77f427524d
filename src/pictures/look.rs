//! How a picture is drawn: its width, its sharpness, its colours.

/// How a picture is drawn.
///
/// ```
/// use drumhead::pictures::{Background, Look};
/// let look = Look::PHONE.on(Background::Dark).sharp(2);
/// assert_eq!((look.width(), look.zoom()), (360, 2));
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Look {
    width: u32,
    zoom: u32,
    background: Background,
}

/// What a picture is drawn on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Background {
    /// White.
    Light,
    /// Nearly black.
    Dark,
}

impl Look {
    /// As wide as a phone's screen: 360.
    pub const PHONE: Self = Self::new(360, Background::Light);
    /// As wide as a column of a page: 720.
    pub const PAGE: Self = Self::new(720, Background::Light);

    /// A picture `width` wide, from 240 to 2,000; what is outside is brought to the nearest.
    pub const fn new(width: u32, background: Background) -> Self {
        let width = if width < 240 {
            240
        } else if width > 2000 {
            2000
        } else {
            width
        };
        Self { width, zoom: 1, background }
    }

    /// The same on another background.
    #[must_use]
    pub const fn on(self, background: Background) -> Self {
        Self { background, ..self }
    }

    /// The same with `zoom` pixels for each unit of width, 1 to 4: what is drawn stays the same
    /// and becomes sharper, letters included.
    #[must_use]
    pub const fn sharp(self, zoom: u32) -> Self {
        let zoom = if zoom < 1 {
            1
        } else if zoom > 4 {
            4
        } else {
            zoom
        };
        Self { zoom, ..self }
    }

    /// Its width in units, one pixel each before any zoom.
    pub const fn width(self) -> u32 {
        self.width
    }

    /// Pixels for each unit.
    pub const fn zoom(self) -> u32 {
        self.zoom
    }

    pub(super) const fn palette(self) -> Palette {
        match self.background {
            Background::Light => LIGHT,
            Background::Dark => DARK,
        }
    }
}

/// A colour: red, green and blue.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Color(pub u8, pub u8, pub u8);

/// The colours of one background.
#[derive(Debug, Clone, Copy)]
pub(super) struct Palette {
    pub background: Color,
    pub ink: Color,
    pub grid: Color,
    /// One a side, over and over.
    pub sides: [Color; 3],
}

/// Hues of Okabe and Ito's palette for the colour-blind ("Color Universal Design", from memory):
/// blue, vermilion and bluish green.
const LIGHT: Palette = Palette {
    background: Color(255, 255, 255),
    ink: Color(26, 26, 26),
    grid: Color(214, 214, 214),
    sides: [Color(0, 114, 178), Color(213, 94, 0), Color(0, 158, 115)],
};

/// Hues of the same palette that show on a dark ground: sky blue, orange and yellow.
const DARK: Palette = Palette {
    background: Color(22, 24, 28),
    ink: Color(236, 236, 236),
    grid: Color(68, 72, 78),
    sides: [Color(86, 180, 233), Color(230, 159, 0), Color(240, 228, 66)],
};

#[cfg(test)]
mod tests {
    use super::*;

    /// Contrast of two colours as WCAG 2.2 defines it (relative luminance and contrast ratio,
    /// from memory).
    fn contrast(a: Color, b: Color) -> f64 {
        let channel = |value: u8| {
            let value = f64::from(value) / 255.0;
            if value <= 0.04045 { value / 12.92 } else { ((value + 0.055) / 1.055).powf(2.4) }
        };
        let luminance =
            |Color(r, g, b): Color| 0.2126 * channel(r) + 0.7152 * channel(g) + 0.0722 * channel(b);
        let (a, b) = (luminance(a), luminance(b));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    /// WCAG 2.2 asks 7:1 of text at level AAA (1.4.6) and 3:1 of what a chart is read by (1.4.11).
    #[test]
    fn text_and_lines_stand_out_from_their_background() {
        assert!((contrast(Color(0, 0, 0), Color(255, 255, 255)) - 21.0).abs() < 1e-9);
        for palette in [LIGHT, DARK] {
            assert!(contrast(palette.ink, palette.background) >= 7.0);
            for side in palette.sides {
                assert!(contrast(side, palette.background) >= 3.0, "{side:?}");
            }
        }
    }

    #[test]
    fn sizes_stay_within_bounds() {
        assert_eq!(Look::new(1, Background::Light).width(), 240);
        assert_eq!(Look::new(9000, Background::Light).width(), 2000);
        assert_eq!(Look::PHONE.sharp(0).zoom(), 1);
        assert_eq!(Look::PHONE.sharp(9).zoom(), 4);
    }
}
