//! Reading a TrueType font: just the tables that measuring and cutting need.
//!
//! Shared with the build script, which cuts the fonts down before they are
//! compiled in, so nothing here knows of pages or marks. Table layouts are those
//! of ISO/IEC 14496-22 (Open Font Format).

/// Why a font could not be read or cut; names the table at fault.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct FontError(pub(crate) &'static str);

/// The big-endian unsigned 16 bits at `at`.
pub(crate) fn u16_at(bytes: &[u8], at: usize) -> Option<u16> {
    Some(u16::from_be_bytes(bytes.get(at..at.checked_add(2)?)?.try_into().ok()?))
}

/// The big-endian unsigned 32 bits at `at`.
pub(crate) fn u32_at(bytes: &[u8], at: usize) -> Option<u32> {
    Some(u32::from_be_bytes(bytes.get(at..at.checked_add(4)?)?.try_into().ok()?))
}

/// A TrueType font with its tables found and its counts read.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Sfnt<'a> {
    bytes: &'a [u8],
    cmap: &'a [u8],
    glyf: &'a [u8],
    loca: &'a [u8],
    hmtx: &'a [u8],
    long_loca: bool,
    glyphs: u16,
    long_metrics: u16,
    units_per_em: u16,
}

impl<'a> Sfnt<'a> {
    /// Reads the table directory.
    ///
    /// # Errors
    /// The name of the first table that is missing or too short.
    pub(crate) fn read(bytes: &'a [u8]) -> Result<Self, FontError> {
        let table = |tag| find(bytes, tag);
        let head = table(b"head").ok_or(FontError("head"))?;
        let maxp = table(b"maxp").ok_or(FontError("maxp"))?;
        let hhea = table(b"hhea").ok_or(FontError("hhea"))?;
        let units_per_em = u16_at(head, 18).ok_or(FontError("head"))?;
        if units_per_em == 0 {
            return Err(FontError("head"));
        }
        Ok(Self {
            bytes,
            // A font inside a document is addressed by glyph and has no character map.
            cmap: table(b"cmap").and_then(format_4).unwrap_or_default(),
            glyf: table(b"glyf").ok_or(FontError("glyf"))?,
            loca: table(b"loca").ok_or(FontError("loca"))?,
            hmtx: table(b"hmtx").ok_or(FontError("hmtx"))?,
            long_loca: u16_at(head, 50).ok_or(FontError("head"))? != 0,
            glyphs: u16_at(maxp, 4).ok_or(FontError("maxp"))?,
            long_metrics: u16_at(hhea, 34).ok_or(FontError("hhea"))?,
            units_per_em,
        })
    }

    /// A table's bytes.
    pub(crate) fn table(&self, tag: &[u8; 4]) -> Option<&'a [u8]> {
        find(self.bytes, tag)
    }

    /// Font units in one em.
    pub(crate) fn units_per_em(&self) -> u16 {
        self.units_per_em
    }

    /// The glyph drawn for a character of the basic multilingual plane, or none.
    pub(crate) fn glyph(&self, character: char) -> Option<u16> {
        let code = u16::try_from(u32::from(character)).ok()?;
        let map = self.cmap;
        let twice = usize::from(u16_at(map, 6)?);
        let (ends, starts) = (14, 16 + twice);
        for segment in (0..twice).step_by(2) {
            if code > u16_at(map, ends + segment)? {
                continue;
            }
            let start = u16_at(map, starts + segment)?;
            if code < start {
                return None;
            }
            let delta = u16_at(map, starts + twice + segment)?;
            let range_at = starts + 2 * twice + segment;
            let range = usize::from(u16_at(map, range_at)?);
            let glyph = if range == 0 {
                code.wrapping_add(delta)
            } else {
                match u16_at(map, range_at + range + 2 * usize::from(code - start))? {
                    0 => 0,
                    listed => listed.wrapping_add(delta),
                }
            };
            return (glyph != 0 && glyph < self.glyphs).then_some(glyph);
        }
        None
    }

    /// Every character the font draws, in order, with its glyph.
    pub(crate) fn characters(&self) -> Vec<(char, u16)> {
        let twice = usize::from(u16_at(self.cmap, 6).unwrap_or(0));
        let mut found = Vec::new();
        for segment in (0..twice).step_by(2) {
            let (Some(end), Some(start)) =
                (u16_at(self.cmap, 14 + segment), u16_at(self.cmap, 16 + twice + segment))
            else {
                break;
            };
            for code in start..=end {
                let pair = char::from_u32(u32::from(code))
                    .and_then(|character| Some((character, self.glyph(character)?)));
                found.extend(pair);
            }
        }
        found
    }

    /// How far the pen moves on after a glyph, and the glyph's left side bearing,
    /// both in font units.
    pub(crate) fn metrics(&self, glyph: u16) -> Option<(u16, u16)> {
        let last = self.long_metrics.checked_sub(1)?;
        let advance = u16_at(self.hmtx, 4 * usize::from(glyph.min(last)))?;
        let bearing = if glyph <= last {
            4 * usize::from(glyph) + 2
        } else {
            4 * usize::from(self.long_metrics) + 2 * usize::from(glyph - self.long_metrics)
        };
        Some((advance, u16_at(self.hmtx, bearing)?))
    }

    /// A glyph's outline as it stands in the `glyf` table; empty for a blank.
    pub(crate) fn outline(&self, glyph: u16) -> Option<&'a [u8]> {
        let index = usize::from(glyph);
        let offset = |index: usize| {
            if self.long_loca {
                usize::try_from(u32_at(self.loca, 4 * index)?).ok()
            } else {
                Some(2 * usize::from(u16_at(self.loca, 2 * index)?))
            }
        };
        self.glyf.get(offset(index)?..offset(index + 1)?)
    }
}

/// A table by its tag, from the directory at the head of the file.
fn find<'a>(bytes: &'a [u8], tag: &[u8; 4]) -> Option<&'a [u8]> {
    (0..usize::from(u16_at(bytes, 4)?))
        .map(|index| 12 + 16 * index)
        .find(|&entry| bytes.get(entry..entry + 4) == Some(tag.as_slice()))
        .and_then(|entry| {
            let start = usize::try_from(u32_at(bytes, entry + 8)?).ok()?;
            let length = usize::try_from(u32_at(bytes, entry + 12)?).ok()?;
            bytes.get(start..start.checked_add(length)?)
        })
}

/// The Unicode subtable (platform 3, encoding 1, format 4) of a character map.
fn format_4(cmap: &[u8]) -> Option<&[u8]> {
    (0..usize::from(u16_at(cmap, 2)?))
        .map(|index| 4 + 8 * index)
        .filter(|&entry| u16_at(cmap, entry) == Some(3) && u16_at(cmap, entry + 2) == Some(1))
        .filter_map(|entry| cmap.get(usize::try_from(u32_at(cmap, entry + 4)?).ok()?..))
        .find(|subtable| u16_at(subtable, 0) == Some(4))
}
