//! Cuts the fonts down to what a sheet can hold before they are compiled in.
//!
//! The full fonts come as a build dependency and never reach the page: DejaVu Sans
//! Condensed has 680 KB for six thousand glyphs, most of them for scripts that
//! need a shaping engine which neither renderer has. The two proportional faces keep
//! the same characters, and the typewriter face, which draws fewer, borrows from them:
//! whether a character can be drawn does not depend on the face.

use std::error::Error;
use std::ops::RangeInclusive;
use std::path::Path;

#[path = "src/mark/cut.rs"]
#[allow(dead_code, reason = "the crate uses more of it than the build does")]
mod cut;
#[path = "src/mark/sfnt.rs"]
#[allow(dead_code, reason = "the crate uses more of it than the build does")]
mod sfnt;

use cut::{Purpose, cut};
use sfnt::Sfnt;

/// The characters a sheet can hold.
const KEPT: &[RangeInclusive<u32>] = &[
    0x0020..=0x007E, // Basic Latin
    0x00A0..=0x00AC, // Latin-1, without the soft hyphen, which is never drawn
    0x00AE..=0x00FF,
    0x0100..=0x024F, // Latin Extended-A and -B
    0x02B9..=0x02BC, // primes, okina and apostrophe in names
    0x02C6..=0x02C7, // spacing accents
    0x02D8..=0x02DD,
    0x0300..=0x034E, // combining marks, for letters that have no code of their own
    0x0350..=0x036F,
    0x0370..=0x03FF, // Greek
    0x0400..=0x052F, // Cyrillic and its supplement
    0x1E00..=0x1EFF, // Latin Extended Additional
    0x1F00..=0x1FFF, // Greek Extended
    0x2000..=0x200A, // spaces
    0x2010..=0x2027, // dashes, quotation marks, daggers, bullets
    0x202F..=0x205F, // per mille, primes, fraction slash
    0x2070..=0x209F, // superscripts and subscripts
    0x20A0..=0x20BF, // currencies
    0x2103..=0x2103, // degree Celsius
    0x2109..=0x2109, // degree Fahrenheit
    0x2116..=0x2117, // numero
    0x2120..=0x2122, // trade mark
    0x2126..=0x2126, // ohm
    0x212B..=0x212B, // angstrom
    0x2150..=0x215F, // fractions
    0x2190..=0x2199, // arrows
    0x21BA..=0x21BB, // turning arrows
    0x2205..=0x2206, // empty set, increment
    0x2211..=0x2213, // sum, minus, minus-plus
    0x2215..=0x2215, // division slash
    0x2219..=0x221A, // dot, root
    0x221E..=0x2220, // infinity, right angle, angle
    0x2225..=0x2225, // parallel
    0x2248..=0x2248, // almost equal
    0x2260..=0x2261, // not equal, identical
    0x2264..=0x2265, // at most, at least
    0x22A5..=0x22A5, // perpendicular
    0x22C5..=0x22C5, // dot
    0x2300..=0x2300, // diameter
    0x23D0..=0x23D0,
    0x2500..=0x2502, // lines
    0x25A0..=0x25A1, // squares; the hollow one stands for what cannot be drawn
    0x25B2..=0x25B3, // triangles
    0x25B6..=0x25B7,
    0x25BC..=0x25BD,
    0x25C0..=0x25C1,
    0x25C6..=0x25C7, // diamonds
    0x25CA..=0x25CB, // lozenge, ring
    0x25CF..=0x25D1, // dot, half dots
    0x2610..=0x2612, // ballot boxes
    0x2713..=0x2713, // tick
    0x2717..=0x2717, // cross
    0xFB00..=0xFB02, // ligatures that came with pasted text
    0xFFFD..=0xFFFD, // replacement character
];

/// The typewriter face.
const MONO: &str = "mono.ttf";

/// Marks that are drawn over the letter before them.
const COMBINING: RangeInclusive<char> = '\u{300}'..='\u{36F}';

fn main() -> Result<(), Box<dyn Error>> {
    println!("cargo::rerun-if-changed=build.rs");
    println!("cargo::rerun-if-changed=src/mark/cut.rs");
    println!("cargo::rerun-if-changed=src/mark/sfnt.rs");

    let faces = [
        ("sans.ttf", dejavu::sans_condensed::regular()),
        ("sans-bold.ttf", dejavu::sans_condensed::bold()),
        (MONO, dejavu::sans_mono::regular()),
    ];
    let mut fonts = Vec::new();
    for (name, bytes) in faces {
        let font = Sfnt::read(bytes).map_err(|fault| format!("{name}: {fault:?}"))?;
        fonts.push((name, font));
    }
    // What every proportional face draws.
    let kept: Vec<char> = KEPT
        .iter()
        .flat_map(|range| range.clone())
        .filter_map(char::from_u32)
        .filter(|&character| {
            let mut proportional = fonts.iter().filter(|(name, _)| *name != MONO);
            proportional.all(|(_, font)| font.glyph(character).is_some())
        })
        .collect();
    let out = std::env::var_os("OUT_DIR").ok_or("OUT_DIR is not set")?;
    for (name, font) in &fonts {
        let wanted: Vec<(char, u16)> = kept
            .iter()
            // Its combining marks stand beside their letter; the others' stand over it.
            .filter(|character| *name != MONO || !COMBINING.contains(character))
            .filter_map(|&character| Some((character, font.glyph(character)?)))
            .collect();
        let bytes =
            cut(font, &wanted, Purpose::Page).map_err(|fault| format!("{name}: {fault:?}"))?;
        std::fs::write(Path::new(&out).join(name), bytes)?;
    }
    Ok(())
}
