//! Fundamental deviations of outer features (shafts), a to zc.
//!
//! ISO 286-1, the tables for shafts: the upper deviation of a to h, the lower one of j to zc, in
//! micrometres, per range of nominal sizes. Each list starts at its own first range and ends where
//! the table does: where the standard has a dash there is no value.
//!
//! cd, ef and fg end at 10 mm in the edition of 1988 and at 50 mm in that of 2010. Their values
//! above 10 mm are those on which three published tables of the 2010 edition agree; the standard
//! itself was not at hand for them. They are near the geometric means of their neighbours, as
//! those to 10 mm are.

use super::size::{span_fine, span_main};
use super::{Letter, size::Size};

/// A column of the table.
pub(super) struct Column {
    /// Whether the ranges are the intermediate ones.
    fine: bool,
    /// Number of the first range with a value.
    first: usize,
    /// Distances from the nominal size, in micrometres, never negative.
    distances: &'static [i32],
}

const fn main(distances: &'static [i32]) -> Column {
    Column { fine: false, first: 0, distances }
}

const fn fine(first: usize, distances: &'static [i32]) -> Column {
    Column { fine: true, first, distances }
}

impl Column {
    /// The distance at a size, or `None` where the standard has none.
    pub(super) fn at(&self, size: Size) -> Option<i32> {
        let range = if self.fine { size.fine } else { size.main };
        self.distances.get(range.checked_sub(self.first)?).copied()
    }

    /// Sizes in mm (above, up to and including) for which it has values.
    pub(super) fn span(&self) -> (f64, f64) {
        let last = (self.first + self.distances.len()).saturating_sub(1);
        if self.fine { span_fine(self.first, last) } else { span_main(self.first, last) }
    }
}

/// The column of a letter: how far below the nominal size the upper deviation is (a to g), or how
/// far above it the lower deviation is (k to zc; k for IT4 to IT7). None for h and js, which need
/// none, and for j, which has columns by grade.
#[rustfmt::skip]
pub(super) fn column(letter: Letter) -> Option<Column> {
    Some(match letter {
        Letter::A => fine(0, &[
            270, 270, 280, 290, 290, 300, 300, 310, 320, 340, 360, 380, 410, 460, 520, 580, 660, 740,
            820, 920, 1050, 1200, 1350, 1500, 1650,
        ]),
        Letter::B => fine(0, &[
            140, 140, 150, 150, 150, 160, 160, 170, 180, 190, 200, 220, 240, 260, 280, 310, 340, 380,
            420, 480, 540, 600, 680, 760, 840,
        ]),
        Letter::C => fine(0, &[
            60, 70, 80, 95, 95, 110, 110, 120, 130, 140, 150, 170, 180, 200, 210, 230, 240, 260, 280,
            300, 330, 360, 400, 440, 480,
        ]),
        Letter::Cd => main(&[34, 46, 56, 70, 85, 100]),
        Letter::D => main(&[
            20, 30, 40, 50, 65, 80, 100, 120, 145, 170, 190, 210, 230,
            260, 290, 320, 350, 390, 430, 480, 520,
        ]),
        Letter::E => main(&[
            14, 20, 25, 32, 40, 50, 60, 72, 85, 100, 110, 125, 135,
            145, 160, 170, 195, 220, 240, 260, 290,
        ]),
        Letter::Ef => main(&[10, 14, 18, 23, 28, 35]),
        Letter::F => main(&[
            6, 10, 13, 16, 20, 25, 30, 36, 43, 50, 56, 62, 68, 76, 80, 86, 98, 110, 120, 130, 145,
        ]),
        Letter::Fg => main(&[4, 6, 8, 10, 12, 15]),
        Letter::G => main(&[
            2, 4, 5, 6, 7, 9, 10, 12, 14, 15, 17, 18, 20, 22, 24, 26, 28, 30, 32, 34, 38,
        ]),
        Letter::H | Letter::J | Letter::Js => return None,
        Letter::K => main(&[0, 1, 1, 1, 2, 2, 2, 3, 3, 4, 4, 4, 5, 0, 0, 0, 0, 0, 0, 0, 0]),
        Letter::M => main(&[
            2, 4, 6, 7, 8, 9, 11, 13, 15, 17, 20, 21, 23, 26, 30, 34, 40, 48, 58, 68, 76,
        ]),
        Letter::N => main(&[
            4, 8, 10, 12, 15, 17, 20, 23, 27, 31, 34, 37, 40, 44, 50, 56, 66, 78, 92, 110, 135,
        ]),
        Letter::P => main(&[
            6, 12, 15, 18, 22, 26, 32, 37, 43, 50, 56, 62, 68, 78, 88, 100, 120, 140, 170, 195, 240,
        ]),
        Letter::R => fine(0, &[
            10, 15, 19, 23, 23, 28, 28, 34, 34, 41, 43, 51, 54, 63, 65, 68, 77, 80, 84, 94, 98, 108,
            114, 126, 132, 150, 155, 175, 185, 210, 220, 250, 260, 300, 330, 370, 400, 440, 460, 550,
            580,
        ]),
        Letter::S => fine(0, &[
            14, 19, 23, 28, 28, 35, 35, 43, 43, 53, 59, 71, 79, 92, 100, 108, 122, 130, 140, 158, 170,
            190, 208, 232, 252, 280, 310, 340, 380, 430, 470, 520, 580, 640, 720, 820, 920, 1000,
            1100, 1250, 1400,
        ]),
        Letter::T => fine(6, &[
            41, 48, 54, 66, 75, 91, 104, 122, 134, 146, 166, 180, 196, 218, 240, 268, 294, 330, 360,
            400, 450, 500, 560, 620, 680, 780, 840, 960, 1050, 1200, 1350, 1500, 1650, 1900, 2100,
        ]),
        Letter::U => fine(0, &[
            18, 23, 28, 33, 33, 41, 48, 60, 70, 87, 102, 124, 144, 170, 190, 210, 236, 258, 284, 315,
            350, 390, 435, 490, 540, 600, 660, 740, 840, 940, 1050, 1150, 1300, 1450, 1600, 1850,
            2000, 2300, 2500, 2900, 3200,
        ]),
        Letter::V => fine(4, &[
            39, 47, 55, 68, 81, 102, 120, 146, 172, 202, 228, 252, 284, 310, 340, 385, 425, 475, 530,
            595, 660,
        ]),
        Letter::X => fine(0, &[
            20, 28, 34, 40, 45, 54, 64, 80, 97, 122, 146, 178, 210, 248, 280, 310, 350, 385, 425, 475,
            525, 590, 660, 740, 820,
        ]),
        Letter::Y => fine(5, &[
            63, 75, 94, 114, 144, 174, 214, 254, 300, 340, 380, 425, 470, 520, 580, 650, 730, 820,
            920, 1000,
        ]),
        Letter::Z => fine(0, &[
            26, 35, 42, 50, 60, 73, 88, 112, 136, 172, 210, 258, 310, 365, 415, 465, 520, 575, 640,
            710, 790, 900, 1000, 1100, 1250,
        ]),
        Letter::Za => fine(0, &[
            32, 42, 52, 64, 77, 98, 118, 148, 180, 226, 274, 335, 400, 470, 535, 600, 670, 740, 820,
            920, 1000, 1150, 1300, 1450, 1600,
        ]),
        Letter::Zb => fine(0, &[
            40, 50, 67, 90, 108, 136, 160, 200, 242, 300, 360, 445, 525, 620, 700, 780, 880, 960,
            1050, 1200, 1300, 1500, 1650, 1850, 2100,
        ]),
        Letter::Zc => fine(0, &[
            60, 80, 97, 130, 150, 188, 218, 274, 325, 405, 480, 585, 690, 800, 900, 1000, 1150, 1250,
            1350, 1550, 1700, 1900, 2100, 2400, 2600,
        ]),
    })
}

/// j: how far below the nominal size the lower deviation is. No formula; to 500 mm. First j5 and
/// j6, then j7; j8 exists to 3 mm only.
pub(super) const J5_J6: Column = main(&[2, 2, 2, 3, 4, 5, 7, 9, 11, 13, 16, 18, 20]);
pub(super) const J7: Column = main(&[4, 4, 5, 6, 8, 10, 12, 15, 18, 21, 26, 28, 32]);
pub(super) const J8: Column = main(&[6]);

/// J6, J7 and J8: how far above the nominal size the upper deviation is. To 500 mm.
pub(super) const INNER_J6: Column = main(&[2, 5, 5, 6, 8, 10, 13, 16, 18, 22, 25, 29, 33]);
pub(super) const INNER_J7: Column = main(&[4, 6, 8, 10, 12, 14, 18, 22, 26, 30, 36, 39, 43]);
pub(super) const INNER_J8: Column = main(&[6, 10, 12, 15, 20, 24, 28, 34, 41, 47, 55, 60, 66]);
