//! What things are drawn in, by the part they play.

/// A colour by its role. No meaning rests on colour alone: the sheet reads the same
/// in black and white.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Ink {
    /// Text and outlines: near black.
    Ink,
    /// Text that stands back: labels, expected figures.
    Soft,
    /// Hairlines: rules of a table, centre lines.
    Hair,
    /// What is measured or chosen: a deep green-blue.
    Accent,
    /// What does not conform: brick red.
    Fault,
    /// Behind what is chosen: a pale tint of the accent.
    Wash,
    /// Solid material: a pale warm grey.
    Shade,
    /// The paper: white.
    Paper,
}

impl Ink {
    /// All of them.
    pub const ALL: [Self; 8] = [
        Self::Ink,
        Self::Soft,
        Self::Hair,
        Self::Accent,
        Self::Fault,
        Self::Wash,
        Self::Shade,
        Self::Paper,
    ];

    /// Red, green and blue, 0 to 255 each (sRGB).
    #[must_use]
    pub const fn rgb(self) -> [u8; 3] {
        match self {
            Self::Ink => [0x1c, 0x1e, 0x1d],
            Self::Soft => [0x5c, 0x5e, 0x5a],
            Self::Hair => [0xb4, 0xb3, 0xa9],
            Self::Accent => [0x0f, 0x5b, 0x60],
            Self::Fault => [0x9b, 0x2c, 0x1b],
            Self::Wash => [0xe2, 0xec, 0xea],
            Self::Shade => [0xe6, 0xe3, 0xd8],
            Self::Paper => [0xff, 0xff, 0xff],
        }
    }

    /// The colour as a style sheet writes it, `#1c1e1d`.
    #[must_use]
    pub const fn hex(self) -> &'static str {
        match self {
            Self::Ink => "#1c1e1d",
            Self::Soft => "#5c5e5a",
            Self::Hair => "#b4b3a9",
            Self::Accent => "#0f5b60",
            Self::Fault => "#9b2c1b",
            Self::Wash => "#e2ecea",
            Self::Shade => "#e6e3d8",
            Self::Paper => "#ffffff",
        }
    }

    /// The role's name in lower case: in a picture, `f-` and the name is the class
    /// of what is filled with this ink, `s-` and the name of what is stroked.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Ink => "ink",
            Self::Soft => "soft",
            Self::Hair => "hair",
            Self::Accent => "accent",
            Self::Fault => "fault",
            Self::Wash => "wash",
            Self::Shade => "shade",
            Self::Paper => "paper",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_two_ways_to_write_a_colour_agree() {
        for ink in Ink::ALL {
            let [red, green, blue] = ink.rgb();
            assert_eq!(ink.hex(), format!("#{red:02x}{green:02x}{blue:02x}"));
        }
    }

    /// Text inks reach a contrast of 4.5 on paper, on the wash and on shaded material
    /// (WCAG 2.2, 1.4.3, with its formula of relative luminance).
    #[test]
    fn text_can_be_read_on_every_ground() {
        fn luminance(ink: Ink) -> f64 {
            let [red, green, blue] = ink.rgb().map(|part| {
                let part = f64::from(part) / 255.0;
                if part <= 0.04045 { part / 12.92 } else { libm::pow((part + 0.055) / 1.055, 2.4) }
            });
            0.2126 * red + 0.7152 * green + 0.0722 * blue
        }
        for text in [Ink::Ink, Ink::Soft, Ink::Accent, Ink::Fault] {
            for ground in [Ink::Paper, Ink::Wash, Ink::Shade] {
                let contrast = (luminance(ground) + 0.05) / (luminance(text) + 0.05);
                assert!(contrast >= 4.5, "{text:?} on {ground:?}: {contrast}");
            }
        }
    }
}
