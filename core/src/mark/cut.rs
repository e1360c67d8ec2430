//! Cutting a TrueType font down to the characters that are wanted.
//!
//! Used twice: by the build script, which leaves the scripts a name may be written
//! in and throws the rest away before the fonts are compiled in; and by the PDF
//! writer, which leaves the characters of one document. Hinting, kerning,
//! ligatures and everything else that would move a glyph is dropped, so that a
//! line of text is as long as the sum of its advances wherever it is drawn.
//!
//! The result is the same, byte for byte, for the same input. Table layouts are
//! those of ISO/IEC 14496-22 (Open Font Format).

use std::collections::BTreeMap;

use super::sfnt::{FontError, Sfnt, u16_at, u32_at};

/// What a cut font is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Purpose {
    /// A font that stands alone: with character map, names and licence.
    Page,
    #[cfg_attr(not(feature = "pdf"), expect(dead_code, reason = "only PDFs are cut like this"))]
    /// The font program inside a document, where glyphs are addressed by number
    /// (ISO 32000-1, 9.9: the tables a `CIDFontType2` program needs).
    Document,
}

/// Cuts `font` down to `wanted`: characters, for a page in ascending order, each with
/// the glyph of `font` that draws it. The character at index `i` gets glyph `i + 1`,
/// even where two share a drawing, so that a glyph always tells its character;
/// glyph 0 stays the mark for what is missing. Parts of compound glyphs follow.
///
/// # Errors
/// The table that is missing, damaged, or too full.
pub(crate) fn cut(
    font: &Sfnt<'_>,
    wanted: &[(char, u16)],
    purpose: Purpose,
) -> Result<Vec<u8>, FontError> {
    let glyphs = Glyphs::collect(font, wanted)?;
    let count = u16::try_from(glyphs.sources.len()).map_err(|_| FontError("maxp"))?;
    let copy =
        |tag: &'static [u8; 4], name| font.table(tag).map(<[u8]>::to_vec).ok_or(FontError(name));

    let (glyf, loca, long_loca) = glyphs.outlines()?;
    let (hmtx, long_metrics) = glyphs.metrics(font)?;

    let mut head = copy(b"head", "head")?;
    set(&mut head, 8, &[0; 4], "head")?;
    // Only the baseline and side bearing flags still hold without hinting.
    let flags = u16_at(&head, 16).ok_or(FontError("head"))? & 0b11;
    set(&mut head, 16, &flags.to_be_bytes(), "head")?;
    set(&mut head, 50, &u16::from(long_loca).to_be_bytes(), "head")?;

    let mut hhea = copy(b"hhea", "hhea")?;
    set(&mut hhea, 34, &long_metrics.to_be_bytes(), "hhea")?;

    let mut maxp = copy(b"maxp", "maxp")?;
    set(&mut maxp, 4, &count.to_be_bytes(), "maxp")?;
    // One zone, and no storage, functions, stack or instructions: nothing is hinted.
    set(&mut maxp, 14, &[0, 1, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0], "maxp")?;

    let mut tables: Vec<(&[u8; 4], Vec<u8>)> = vec![
        (b"glyf", glyf),
        (b"head", head),
        (b"hhea", hhea),
        (b"hmtx", hmtx),
        (b"loca", loca),
        (b"maxp", maxp),
    ];
    if purpose == Purpose::Page {
        let mut os2 = copy(b"OS/2", "OS/2")?;
        let code = |pair: Option<&(char, u16)>| {
            pair.and_then(|&(character, _)| u16::try_from(u32::from(character)).ok()).unwrap_or(0)
        };
        set(&mut os2, 64, &code(wanted.first()).to_be_bytes(), "OS/2")?;
        set(&mut os2, 66, &code(wanted.last()).to_be_bytes(), "OS/2")?;

        // Version 3: the glyphs have no names.
        let mut post = copy(b"post", "post")?;
        post.truncate(32);
        set(&mut post, 0, &[0, 3, 0, 0], "post")?;

        tables.push((b"OS/2", os2));
        tables.push((b"cmap", cmap(wanted)?));
        tables.push((b"name", names(&copy(b"name", "name")?)?));
        tables.push((b"post", post));
        tables.sort_by_key(|&(tag, _)| tag);
    }
    assemble(&tables)
}

/// The glyphs of the font to be, each with its outline ready to be written.
struct Glyphs {
    /// Glyph numbers in the font being cut.
    sources: Vec<u16>,
    outlines: Vec<Vec<u8>>,
}

impl Glyphs {
    fn collect(font: &Sfnt<'_>, wanted: &[(char, u16)]) -> Result<Self, FontError> {
        let mut sources = vec![0];
        sources.extend(wanted.iter().map(|&(_, glyph)| glyph));
        let mut places: BTreeMap<u16, u16> = BTreeMap::new();
        for (place, &source) in sources.iter().enumerate() {
            let place = u16::try_from(place).map_err(|_| FontError("maxp"))?;
            places.entry(source).or_insert(place);
        }
        let mut outlines = Vec::new();
        // Parts are appended as they are met, and then looked through themselves.
        while let Some(&source) = sources.get(outlines.len()) {
            let outline = font.outline(source).ok_or(FontError("glyf"))?;
            let outline = if outline.first().is_some_and(|&byte| byte >= 0x80) {
                compound(outline, &mut sources, &mut places)
            } else {
                simple(outline)
            };
            outlines.push(outline.ok_or(FontError("glyf"))?);
        }
        Ok(Self { sources, outlines })
    }

    /// The `glyf` and `loca` tables, and whether the latter has 32-bit offsets.
    fn outlines(&self) -> Result<(Vec<u8>, Vec<u8>, bool), FontError> {
        let mut glyf = Vec::new();
        let mut offsets = vec![0];
        for outline in &self.outlines {
            glyf.extend_from_slice(outline);
            if glyf.len() % 2 == 1 {
                glyf.push(0);
            }
            offsets.push(u32::try_from(glyf.len()).map_err(|_| FontError("glyf"))?);
        }
        let halves: Result<Vec<u16>, _> = offsets.iter().map(|at| u16::try_from(at / 2)).collect();
        Ok(match halves {
            Ok(halves) => (glyf, halves.into_iter().flat_map(u16::to_be_bytes).collect(), false),
            Err(_) => (glyf, offsets.into_iter().flat_map(u32::to_be_bytes).collect(), true),
        })
    }

    /// The `hmtx` table and how many of its entries hold an advance of their own.
    fn metrics(&self, font: &Sfnt<'_>) -> Result<(Vec<u8>, u16), FontError> {
        let metrics: Option<Vec<(u16, u16)>> =
            self.sources.iter().map(|&glyph| font.metrics(glyph)).collect();
        let metrics = metrics.ok_or(FontError("hmtx"))?;
        let last = metrics.last().map(|&(advance, _)| advance);
        // The last advance stands for all that follow: a typewriter face needs one.
        let same = metrics.iter().rev().take_while(|&&(advance, _)| Some(advance) == last).count();
        let long = (metrics.len() - same + 1).min(metrics.len());
        let mut table = Vec::with_capacity(4 * metrics.len());
        for (index, (advance, bearing)) in metrics.into_iter().enumerate() {
            if index < long {
                table.extend(advance.to_be_bytes());
            }
            table.extend(bearing.to_be_bytes());
        }
        Ok((table, u16::try_from(long).map_err(|_| FontError("hmtx"))?))
    }
}

/// An outline of its own, without its instructions.
fn simple(outline: &[u8]) -> Option<Vec<u8>> {
    if outline.is_empty() {
        return Some(Vec::new());
    }
    let ends = 10 + 2 * usize::from(u16_at(outline, 0)?);
    let points = ends + 2 + usize::from(u16_at(outline, ends)?);
    let mut kept = outline.get(..ends)?.to_vec();
    kept.extend([0, 0]);
    kept.extend_from_slice(outline.get(points..)?);
    Some(kept)
}

/// An outline put together from others, with these renumbered and without its
/// instructions.
fn compound(
    outline: &[u8],
    sources: &mut Vec<u16>,
    places: &mut BTreeMap<u16, u16>,
) -> Option<Vec<u8>> {
    const WORDS: u16 = 0x0001;
    const SCALE: u16 = 0x0008;
    const MORE: u16 = 0x0020;
    const TWO_SCALES: u16 = 0x0040;
    const MATRIX: u16 = 0x0080;
    const INSTRUCTIONS: u16 = 0x0100;

    let mut kept = outline.get(..10)?.to_vec();
    let mut at = 10;
    loop {
        let flags = u16_at(outline, at)?;
        let source = u16_at(outline, at + 2)?;
        let place = match places.get(&source) {
            Some(&place) => place,
            None => {
                let place = u16::try_from(sources.len()).ok()?;
                sources.push(source);
                places.insert(source, place);
                place
            }
        };
        let offsets = if flags & WORDS == 0 { 2 } else { 4 };
        let transform = match flags {
            _ if flags & SCALE != 0 => 2,
            _ if flags & TWO_SCALES != 0 => 4,
            _ if flags & MATRIX != 0 => 8,
            _ => 0,
        };
        kept.extend((flags & !INSTRUCTIONS).to_be_bytes());
        kept.extend(place.to_be_bytes());
        let next = at + 4 + offsets + transform;
        kept.extend_from_slice(outline.get(at + 4..next)?);
        at = next;
        if flags & MORE == 0 {
            return Some(kept);
        }
    }
}

/// A character map in format 4. Characters and glyphs both ascend by one, so each
/// unbroken run of characters is one segment.
fn cmap(wanted: &[(char, u16)]) -> Result<Vec<u8>, FontError> {
    const FAULT: FontError = FontError("cmap");
    // (first, last, delta)
    let mut runs: Vec<(u16, u16, u16)> = Vec::new();
    for (index, &(character, _)) in wanted.iter().enumerate() {
        let code = u16::try_from(u32::from(character)).map_err(|_| FAULT)?;
        let glyph = u16::try_from(index + 1).map_err(|_| FAULT)?;
        match runs.last_mut() {
            Some(&mut (_, ref mut last, _)) if code.checked_sub(1) == Some(*last) => *last = code,
            Some(&mut (_, last, _)) if code <= last => return Err(FAULT),
            _ => runs.push((code, code, glyph.wrapping_sub(code))),
        }
    }
    // The format ends with a segment for the last code, which draws nothing.
    runs.push((0xFFFF, 0xFFFF, 1));

    let segments = u16::try_from(runs.len()).map_err(|_| FAULT)?;
    let power = segments.ilog2();
    let range = 2_u16 << power;
    let mut map = Vec::new();
    let mut put = |value: u16| map.extend(value.to_be_bytes());
    // Two ways in, Unicode and Windows, to one subtable that starts at byte 20.
    [0, 2, 0, 3, 0, 20, 3, 1, 0, 20].into_iter().for_each(&mut put);
    [4, 16 + 8 * segments, 0, 2 * segments].into_iter().for_each(&mut put);
    put(range);
    put(u16::try_from(power).map_err(|_| FAULT)?);
    put(2 * segments - range);
    runs.iter().for_each(|&(_, last, _)| put(last));
    put(0);
    runs.iter().for_each(|&(first, _, _)| put(first));
    runs.iter().for_each(|&(_, _, delta)| put(delta));
    runs.iter().for_each(|_| put(0));
    Ok(map)
}

/// The English name records: who made the font, what it is called, its licence.
fn names(table: &[u8]) -> Result<Vec<u8>, FontError> {
    const FAULT: FontError = FontError("name");
    let count = usize::from(u16_at(table, 2).ok_or(FAULT)?);
    let strings = usize::from(u16_at(table, 4).ok_or(FAULT)?);
    let mut records = Vec::new();
    let mut kept = Vec::new();
    for record in (0..count).map(|index| 6 + 12 * index) {
        let field = |index: usize| u16_at(table, record + 2 * index).ok_or(FAULT);
        let name = field(3)?;
        let english = (field(0)?, field(1)?, field(2)?) == (3, 1, 0x0409);
        if !english || !matches!(name, 0..=6 | 13 | 14) {
            continue;
        }
        let (length, start) = (field(4)?, strings + usize::from(field(5)?));
        let text = table.get(start..start + usize::from(length)).ok_or(FAULT)?;
        let offset = u16::try_from(kept.len()).map_err(|_| FAULT)?;
        for value in [3, 1, 0x0409, name, length, offset] {
            records.extend(value.to_be_bytes());
        }
        kept.extend_from_slice(text);
    }
    let count = u16::try_from(records.len() / 12).map_err(|_| FAULT)?;
    let mut out = Vec::new();
    for value in [0, count, 6 + 12 * count] {
        out.extend(value.to_be_bytes());
    }
    out.extend(records);
    out.extend(kept);
    Ok(out)
}

/// Overwrites part of a table that must be long enough for it.
fn set(table: &mut [u8], at: usize, value: &[u8], name: &'static str) -> Result<(), FontError> {
    table.get_mut(at..at + value.len()).ok_or(FontError(name))?.copy_from_slice(value);
    Ok(())
}

/// Puts tables, sorted by tag, into a file with its directory and check sums.
fn assemble(tables: &[(&[u8; 4], Vec<u8>)]) -> Result<Vec<u8>, FontError> {
    const FAULT: FontError = FontError("directory");
    let count = u16::try_from(tables.len()).map_err(|_| FAULT)?;
    let power = count.checked_ilog2().ok_or(FAULT)?;
    let range = 16_u16 << power;
    let mut file = vec![0, 1, 0, 0];
    for value in [count, range, u16::try_from(power).map_err(|_| FAULT)?, 16 * count - range] {
        file.extend(value.to_be_bytes());
    }
    let mut start = file.len() + 16 * tables.len();
    let mut head = None;
    for (tag, table) in tables {
        if *tag == b"head" {
            head = Some(start);
        }
        file.extend_from_slice(*tag);
        for value in [
            sum(table),
            u32::try_from(start).map_err(|_| FAULT)?,
            u32::try_from(table.len()).map_err(|_| FAULT)?,
        ] {
            file.extend(value.to_be_bytes());
        }
        start += table.len().next_multiple_of(4);
    }
    for (_, table) in tables {
        file.extend_from_slice(table);
        file.resize(file.len().next_multiple_of(4), 0);
    }
    let adjustment = 0xB1B0_AFBA_u32.wrapping_sub(sum(&file));
    let head = head.ok_or(FontError("head"))?;
    set(&mut file, head + 8, &adjustment.to_be_bytes(), "head")?;
    Ok(file)
}

/// The sum of a table's 32-bit words, the last one filled up with zeros.
fn sum(table: &[u8]) -> u32 {
    table
        .chunks(4)
        .map(|chunk| {
            let mut word = [0; 4];
            word.iter_mut().zip(chunk).for_each(|(to, from)| *to = *from);
            u32_at(&word, 0).unwrap_or(0)
        })
        .fold(0, u32::wrapping_add)
}

#[cfg(test)]
mod tests {
    use super::*;
    use ttf_parser::{Face, GlyphId, OutlineBuilder};

    /// An outline as text, to be compared.
    #[derive(Default, PartialEq, Debug)]
    struct Drawing(Vec<(char, [f32; 4])>);

    impl OutlineBuilder for Drawing {
        fn move_to(&mut self, x: f32, y: f32) {
            self.0.push(('m', [x, y, 0.0, 0.0]));
        }
        fn line_to(&mut self, x: f32, y: f32) {
            self.0.push(('l', [x, y, 0.0, 0.0]));
        }
        fn quad_to(&mut self, x1: f32, y1: f32, x: f32, y: f32) {
            self.0.push(('q', [x1, y1, x, y]));
        }
        fn curve_to(&mut self, _: f32, _: f32, _: f32, _: f32, _: f32, _: f32) {
            panic!("TrueType has no cubic curves");
        }
        fn close(&mut self) {
            self.0.push(('z', [0.0; 4]));
        }
    }

    fn drawing(face: &Face<'_>, glyph: GlyphId) -> Drawing {
        let mut drawing = Drawing::default();
        face.outline_glyph(glyph, &mut drawing);
        drawing
    }

    fn originals() -> [(&'static [u8], crate::mark::Face); 3] {
        use crate::mark::Face;
        [
            (dejavu::sans_condensed::regular(), Face::Sans),
            (dejavu::sans_condensed::bold(), Face::SansBold),
            (dejavu::sans_mono::regular(), Face::Mono),
        ]
    }

    /// Another reader of fonts sees the same drawings and advances in the cut fonts as
    /// in those they were cut from.
    #[test]
    fn a_cut_font_draws_what_the_whole_one_drew() {
        for (whole, cut) in originals() {
            let whole = Face::parse(whole, 0).unwrap();
            let ours = Sfnt::read(cut.bytes()).unwrap();
            let cut = Face::parse(cut.bytes(), 0).unwrap();
            let mut drawn = 0;
            for (character, glyph) in ours.characters() {
                let there = whole.glyph_index(character).unwrap();
                let here = cut.glyph_index(character).unwrap();
                assert_eq!(here.0, glyph, "{character}");
                assert_eq!(drawing(&cut, here), drawing(&whole, there), "{character}");
                assert_eq!(cut.glyph_hor_advance(here), whole.glyph_hor_advance(there));
                assert_eq!(cut.glyph_hor_side_bearing(here), whole.glyph_hor_side_bearing(there));
                drawn += 1;
            }
            assert!(drawn > 1200, "{drawn}");
            // What was not asked for is gone.
            assert_eq!(cut.glyph_index('א'), None);
            assert_eq!(cut.glyph_index('\u{AD}'), None);
        }
    }

    #[test]
    fn a_font_can_be_cut_again_and_for_a_document() {
        for (_, face) in originals() {
            let font = Sfnt::read(face.bytes()).unwrap();
            let wanted: Vec<(char, u16)> = "0Áé□"
                .chars()
                .map(|character| (character, font.glyph(character).unwrap()))
                .collect();
            let page = cut(&font, &wanted, Purpose::Page).unwrap();
            let document = cut(&font, &wanted, Purpose::Document).unwrap();
            assert!(document.len() < page.len() && document.len() < 4000);
            assert_eq!(page, cut(&font, &wanted, Purpose::Page).unwrap());
            let whole = Face::parse(face.bytes(), 0).unwrap();
            let (page, document) =
                (Face::parse(&page, 0).unwrap(), Face::parse(&document, 0).unwrap());
            for ((character, old), new) in wanted.into_iter().zip(1..) {
                assert_eq!(page.glyph_index(character), Some(GlyphId(new)));
                let expected = drawing(&whole, GlyphId(old));
                assert!(!expected.0.is_empty());
                assert_eq!(drawing(&page, GlyphId(new)), expected);
                assert_eq!(drawing(&document, GlyphId(new)), expected);
            }
        }
    }

    /// The sum of a file's words is fixed by the adjustment in `head`.
    #[test]
    fn check_sums_hold() {
        for (_, face) in originals() {
            assert_eq!(sum(face.bytes()), 0xB1B0_AFBA);
        }
    }

    #[test]
    fn a_damaged_font_is_refused_and_nothing_panics() {
        let whole = crate::mark::Face::Mono.bytes();
        for length in (0..whole.len()).step_by(997) {
            let Ok(font) = Sfnt::read(&whole[..length]) else {
                continue;
            };
            let wanted = font.characters();
            let _ = cut(&font, &wanted, Purpose::Page);
        }
        let mut noise = whole.to_vec();
        for at in (12..noise.len()).step_by(131) {
            noise[at] ^= 0x5A;
            if let Ok(font) = Sfnt::read(&noise) {
                let _ = cut(&font, &[('a', 5), ('b', 6)], Purpose::Document);
            }
        }
        let font = Sfnt::read(whole).unwrap();
        let unsorted = [('b', 5), ('a', 6)];
        let refused = cut(&font, &unsorted, Purpose::Page);
        assert_eq!(refused, Err(FontError("cmap")));
        let beyond = [('a', u16::MAX)];
        assert!(cut(&font, &beyond, Purpose::Page).is_err());
    }
}
