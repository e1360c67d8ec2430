//! Widths of the standard tolerance grades.

use super::size::{Size, span_main};
use super::{Grade, Undefined};

/// Tenths of a micrometre per millimetre.
const TENTHS: f64 = 10_000.0;

/// ISO 286-1, Table 1, in tenths of a micrometre: a row for each main range of sizes, IT01, IT0,
/// IT1 to IT18. 0 where the table is blank.
#[rustfmt::skip]
const TABLE: [[i32; 20]; 21] = [
    [ 3,  5,  8,  12,  20,  30,  40,   60,  100,  140,  250,  400,   600,  1000,  1400,  2500,   4000,   6000,  10000,  14000],
    [ 4,  6, 10,  15,  25,  40,  50,   80,  120,  180,  300,  480,   750,  1200,  1800,  3000,   4800,   7500,  12000,  18000],
    [ 4,  6, 10,  15,  25,  40,  60,   90,  150,  220,  360,  580,   900,  1500,  2200,  3600,   5800,   9000,  15000,  22000],
    [ 5,  8, 12,  20,  30,  50,  80,  110,  180,  270,  430,  700,  1100,  1800,  2700,  4300,   7000,  11000,  18000,  27000],
    [ 6, 10, 15,  25,  40,  60,  90,  130,  210,  330,  520,  840,  1300,  2100,  3300,  5200,   8400,  13000,  21000,  33000],
    [ 6, 10, 15,  25,  40,  70, 110,  160,  250,  390,  620, 1000,  1600,  2500,  3900,  6200,  10000,  16000,  25000,  39000],
    [ 8, 12, 20,  30,  50,  80, 130,  190,  300,  460,  740, 1200,  1900,  3000,  4600,  7400,  12000,  19000,  30000,  46000],
    [10, 15, 25,  40,  60, 100, 150,  220,  350,  540,  870, 1400,  2200,  3500,  5400,  8700,  14000,  22000,  35000,  54000],
    [12, 20, 35,  50,  80, 120, 180,  250,  400,  630, 1000, 1600,  2500,  4000,  6300, 10000,  16000,  25000,  40000,  63000],
    [20, 30, 45,  70, 100, 140, 200,  290,  460,  720, 1150, 1850,  2900,  4600,  7200, 11500,  18500,  29000,  46000,  72000],
    [25, 40, 60,  80, 120, 160, 230,  320,  520,  810, 1300, 2100,  3200,  5200,  8100, 13000,  21000,  32000,  52000,  81000],
    [30, 50, 70,  90, 130, 180, 250,  360,  570,  890, 1400, 2300,  3600,  5700,  8900, 14000,  23000,  36000,  57000,  89000],
    [40, 60, 80, 100, 150, 200, 270,  400,  630,  970, 1550, 2500,  4000,  6300,  9700, 15500,  25000,  40000,  63000,  97000],
    [ 0,  0, 90, 110, 160, 220, 320,  440,  700, 1100, 1750, 2800,  4400,  7000, 11000, 17500,  28000,  44000,  70000, 110000],
    [ 0,  0, 100, 130, 180, 250, 360, 500,  800, 1250, 2000, 3200,  5000,  8000, 12500, 20000,  32000,  50000,  80000, 125000],
    [ 0,  0, 110, 150, 210, 280, 400, 560,  900, 1400, 2300, 3600,  5600,  9000, 14000, 23000,  36000,  56000,  90000, 140000],
    [ 0,  0, 130, 180, 240, 330, 470, 660, 1050, 1650, 2600, 4200,  6600, 10500, 16500, 26000,  42000,  66000, 105000, 165000],
    [ 0,  0, 150, 210, 290, 390, 550, 780, 1250, 1950, 3100, 5000,  7800, 12500, 19500, 31000,  50000,  78000, 125000, 195000],
    [ 0,  0, 180, 250, 350, 460, 650, 920, 1500, 2300, 3700, 6000,  9200, 15000, 23000, 37000,  60000,  92000, 150000, 230000],
    [ 0,  0, 220, 300, 410, 550, 780, 1100, 1750, 2800, 4400, 7000, 11000, 17500, 28000, 44000, 70000, 110000, 175000, 280000],
    [ 0,  0, 260, 360, 500, 680, 960, 1350, 2100, 3300, 5400, 8600, 13500, 21000, 33000, 54000, 86000, 135000, 210000, 330000],
];

/// Main ranges with IT01 and IT0: to 500 mm.
const FINEST_TO: usize = 12;

/// From this grade on nothing is tabulated for sizes to 1 mm.
const COARSE: Grade = Grade::known(14);

/// The width of the tolerance of a grade at a nominal size in mm. Width in mm.
///
/// ISO 286-1, Table 1. No grade from IT14 for sizes to 1 mm (a note to that table, edition of
/// 1988), IT01 and IT0 only to 500 mm.
///
/// # Errors
/// [`Undefined`] where the table has no value.
pub fn standard_tolerance(nominal: f64, grade: Grade) -> Result<f64, Undefined> {
    Ok(f64::from(tenths(Size::of(nominal)?, grade)?) / TENTHS)
}

/// In tenths of a micrometre.
pub(super) fn tenths(size: Size, grade: Grade) -> Result<i32, Undefined> {
    if size.tiny && grade >= COARSE {
        return Err(Undefined::GradeUnderOne { grade });
    }
    let width = TABLE.get(size.main).and_then(|row| row.get(grade.column())).copied();
    match width {
        Some(w) if w > 0 => Ok(w),
        _ => Err(Undefined::Grade { grade, to: span_main(0, FINEST_TO).1 }),
    }
}

/// Δ of the inner features K to ZC, in tenths of a micrometre: the difference to the next finer
/// grade (ISO 286-1: Δ = ITn − IT(n−1), printed for IT3 to IT8 above 3 mm).
///
/// `None` where the standard prints none: below IT3.
pub(super) fn delta(size: Size, grade: Grade) -> Option<i32> {
    if size.main == 0 || size.main > FINEST_TO {
        return Some(0);
    }
    if grade < Grade::known(3) {
        return None;
    }
    let finer = tenths(size, grade.finer()?).ok()?;
    Some(tenths(size, grade).ok()? - finer)
}
