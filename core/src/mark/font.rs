//! The typefaces and their measure.
//!
//! The fonts are cut down by the build script and compiled in; the page loads the
//! same bytes that the document embeds, so a line is as long on the screen as on
//! paper. A character that the typewriter face lacks is taken from the regular face.

use super::sfnt::Sfnt;
use super::text::drawn;
use std::ops::RangeInclusive;
use std::sync::OnceLock;

/// A typeface.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Default)]
pub enum Face {
    /// DejaVu Sans Condensed. Its digits are all of one width.
    #[default]
    Sans,
    /// DejaVu Sans Condensed Bold.
    SansBold,
    /// DejaVu Sans Mono: every character of one width.
    Mono,
}

impl Face {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Sans, Self::SansBold, Self::Mono];

    /// Height of a capital letter or a digit, in font sizes.
    pub const CAP_HEIGHT: f64 = 1493.0 / 2048.0;

    /// The font as a TrueType file.
    #[must_use]
    pub fn bytes(self) -> &'static [u8] {
        match self {
            Self::Sans => include_bytes!(concat!(env!("OUT_DIR"), "/sans.ttf")),
            Self::SansBold => include_bytes!(concat!(env!("OUT_DIR"), "/sans-bold.ttf")),
            Self::Mono => include_bytes!(concat!(env!("OUT_DIR"), "/mono.ttf")),
        }
    }

    /// The family under which a page has to load [`bytes`](Self::bytes).
    #[must_use]
    pub const fn family(self) -> &'static str {
        match self {
            Self::Sans | Self::SansBold => "Quarterturn Sans",
            Self::Mono => "Quarterturn Mono",
        }
    }

    /// The weight under which a page has to load [`bytes`](Self::bytes).
    #[must_use]
    pub const fn weight(self) -> u16 {
        match self {
            Self::SansBold => 700,
            Self::Sans | Self::Mono => 400,
        }
    }

    /// The families a style sheet should ask for, best first.
    #[must_use]
    pub const fn stack(self) -> &'static str {
        match self {
            Self::Sans | Self::SansBold => {
                "'Quarterturn Sans','DejaVu Sans Condensed','Arial Narrow',sans-serif"
            }
            Self::Mono => "'Quarterturn Mono','Quarterturn Sans','DejaVu Sans Mono',monospace",
        }
    }

    /// The font's name in a document.
    #[cfg(feature = "pdf")]
    pub(crate) const fn postscript_name(self) -> &'static str {
        match self {
            Self::Sans => "DejaVuSansCondensed",
            Self::SansBold => "DejaVuSansCondensed-Bold",
            Self::Mono => "DejaVuSansMono",
        }
    }

    /// The characters of a line as drawn, each with the face that draws it. The
    /// typewriter face borrows what it lacks, a letter together with the accents that
    /// stand over it.
    pub(crate) fn drawing(self, drawn: &str) -> impl Iterator<Item = (Self, char)> {
        let mut characters = drawn.chars().peekable();
        std::iter::from_fn(move || {
            let character = characters.next()?;
            if self != Self::Mono {
                return Some((self, character));
            }
            let accented = characters.peek().is_some_and(|next| ACCENTS.contains(next));
            let own = self.measures().advance(character).is_some() && !accented;
            let face = if own || !has_glyph(character) { self } else { Self::Sans };
            Some((face, character))
        })
    }

    fn measures(self) -> &'static Measures {
        static MEASURES: [OnceLock<Measures>; 3] = [const { OnceLock::new() }; 3];
        let cell = match self {
            Self::Sans => &MEASURES[0],
            Self::SansBold => &MEASURES[1],
            Self::Mono => &MEASURES[2],
        };
        cell.get_or_init(|| Measures::read(self.bytes()))
    }
}

/// Accents that stand over the letter before them and take no room of their own.
const ACCENTS: RangeInclusive<char> = '\u{300}'..='\u{36F}';

/// What stands for a character that cannot be drawn: a hollow square.
pub(crate) const MISSING: char = '\u{25A1}';

/// The advances of one font, by character.
#[derive(Debug, Default)]
struct Measures {
    /// Font units by code, 0xFFFF for none; up to the last run of characters.
    advances: Vec<u16>,
    /// The few characters far behind the others.
    strays: Vec<(char, u16)>,
    units_per_em: f64,
}

/// Codes below this are looked up in one step.
const NEAR: u32 = 0x2800;

impl Measures {
    /// Reads a font of our own cutting, which the tests below see to; an unreadable
    /// font would draw nothing.
    fn read(bytes: &[u8]) -> Self {
        let Ok(font) = Sfnt::read(bytes) else {
            return Self::default();
        };
        let mut measures = Self { units_per_em: f64::from(font.units_per_em()), ..Self::default() };
        for (character, glyph) in font.characters() {
            let Some((advance, _)) = font.metrics(glyph) else {
                continue;
            };
            let code = u32::from(character);
            match usize::try_from(code) {
                Ok(index) if code < NEAR => {
                    if measures.advances.len() <= index {
                        measures.advances.resize(index + 1, u16::MAX);
                    }
                    measures.advances[index] = advance;
                }
                _ => measures.strays.push((character, advance)),
            }
        }
        measures
    }

    /// Font units the pen moves on after `character`.
    fn advance(&self, character: char) -> Option<u16> {
        let near = usize::try_from(u32::from(character))
            .ok()
            .and_then(|index| self.advances.get(index))
            .copied();
        match near {
            Some(u16::MAX) => None,
            Some(advance) => Some(advance),
            None => self
                .strays
                .iter()
                .find(|&&(stray, _)| stray == character)
                .map(|&(_, advance)| advance),
        }
    }
}

/// Whether a sheet can draw `character`, in any face.
#[must_use]
pub fn has_glyph(character: char) -> bool {
    Face::Sans.measures().advance(character).is_some()
}

/// Length in millimetres of `text` at a font size of `size` millimetres, drawn as
/// [`drawn`] has it. A character that cannot be drawn is as long as the mark that
/// stands for it.
#[must_use]
pub fn width(face: Face, text: &str, size: f64) -> f64 {
    advance(face, &drawn(text), size)
}

/// Length of text that is already as it will be drawn.
pub(crate) fn advance(face: Face, drawn: &str, size: f64) -> f64 {
    let measures = face.measures();
    if measures.units_per_em <= 0.0 {
        return 0.0;
    }
    // Whole font units, so that the sum does not depend on the order.
    let units: u64 = face
        .drawing(drawn)
        .map(|(face, character)| {
            let measures = face.measures();
            let advance = measures.advance(character);
            u64::from(advance.or_else(|| measures.advance(MISSING)).unwrap_or(0))
        })
        .sum();
    #[expect(clippy::cast_precision_loss, reason = "far below 2^53 units")]
    let units = units as f64;
    size * units / measures.units_per_em
}

#[cfg(test)]
#[allow(clippy::float_cmp, reason = "whole font units: the same sum must come out the same")]
mod tests {
    use super::*;

    #[test]
    fn the_fonts_can_be_read_and_are_small() {
        for face in Face::ALL {
            let font = Sfnt::read(face.bytes()).unwrap();
            assert_eq!(font.units_per_em(), 2048);
            assert!(font.characters().len() > 1000, "{face:?}");
            assert!(face.bytes().len() <= 130_000, "{face:?}");
            for gone in [b"GPOS", b"GSUB", b"kern", b"fpgm", b"prep", b"cvt "] {
                assert_eq!(font.table(gone), None, "{face:?}");
            }
        }
    }

    /// The PDF writer's own reader of fonts agrees with ours.
    #[cfg(feature = "pdf")]
    #[test]
    fn the_fonts_are_fonts_to_others_too() {
        for face in Face::ALL {
            let mut warnings = Vec::new();
            let parsed = printpdf::ParsedFont::from_bytes(face.bytes(), 0, &mut warnings).unwrap();
            assert!(warnings.is_empty(), "{warnings:?}");
            let font = Sfnt::read(face.bytes()).unwrap();
            for (character, glyph) in font.characters() {
                let theirs = parsed.lookup_glyph_index(u32::from(character));
                assert_eq!(theirs, Some(glyph));
                let advance = font.metrics(glyph).map(|(advance, _)| advance);
                assert_eq!(parsed.get_glyph_width(glyph), advance);
            }
        }
    }

    /// The advances of the fonts as their makers published them (DejaVu 2.37, `hmtx`).
    #[test]
    fn advances_are_those_of_the_font() {
        for (face, digit, point) in [
            (Face::Sans, 1172.0, 585.0),
            (Face::SansBold, 1282.0, 700.0),
            (Face::Mono, 1233.0, 1233.0),
        ] {
            for figure in '0'..='9' {
                assert_eq!(width(face, &figure.to_string(), 2048.0), digit);
            }
            assert_eq!(width(face, ".", 2048.0), point);
            assert_eq!(width(face, "12.5", 2048.0), 3.0 * digit + point);
        }
    }

    #[test]
    fn signs_are_as_wide_as_each_other() {
        for face in Face::ALL {
            assert_eq!(width(face, "+", 1.0), width(face, "−", 1.0), "{face:?}");
            assert_eq!(width(face, "+", 1.0), width(face, "±", 1.0), "{face:?}");
        }
    }

    #[test]
    fn letters_and_their_compositions_are_of_one_length() {
        for (composed, apart) in [("é", "e\u{301}"), ("ễ", "e\u{302}\u{303}"), ("Ł", "Ł")] {
            assert_eq!(width(Face::Sans, composed, 3.0), width(Face::Sans, apart, 3.0));
        }
    }

    #[test]
    fn names_of_europe_and_vietnam_can_be_drawn() {
        for name in [
            "Łódź",
            "Ελλάδα",
            "Ἀθήνη",
            "Юрий",
            "Ђорђевић",
            "Nguyễn",
            "Đặng",
            "Žižek",
            "Þórður",
            "Ștefănescu",
            "Ğüneş",
            "ẹ\u{301}",
        ] {
            assert!(drawn(name).chars().all(has_glyph), "{name}");
        }
        for sign in "−±×÷°µ′″≤≥≠≈√⌀∅Ø→←↑↓↔↕●○◐■□▲△▼·•…–—‘’“”„«»€£§¶†‡№½⅛²³∠⊥∥∑∞✓✗".chars()
        {
            assert!(has_glyph(sign), "{sign}");
        }
        for far in ['王', 'ア', 'א', 'ع', 'अ', '🙂'] {
            assert!(!has_glyph(far), "{far}");
        }
    }

    #[test]
    fn the_typewriter_face_borrows_what_it_lacks() {
        let faces = |text| Face::Mono.drawing(text).collect::<Vec<_>>();
        assert_eq!(faces("eễ"), [(Face::Mono, 'e'), (Face::Sans, 'ễ')]);
        assert_eq!(
            faces("aẹ\u{301}"),
            [(Face::Mono, 'a'), (Face::Sans, 'ẹ'), (Face::Sans, '\u{301}')]
        );
        assert_eq!(width(Face::Mono, "ễ", 3.0), width(Face::Sans, "ễ", 3.0));
    }

    #[test]
    fn a_character_without_a_drawing_is_as_long_as_its_mark() {
        for face in Face::ALL {
            assert_eq!(face.drawing("王").collect::<Vec<_>>(), [(face, '王')]);
            assert_eq!(width(face, "王", 3.0), width(face, "□", 3.0), "{face:?}");
        }
    }
}
