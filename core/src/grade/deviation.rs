//! From a class to its limit deviations.

use super::outer::{Column, INNER_J6, INNER_J7, INNER_J8, J5_J6, J7, J8, column};
use super::size::{Size, span_main};
use super::tolerance::{delta, tenths};
use super::{Class, Grade, Letter, Surface, Undefined};

/// Limit deviations from the nominal size, in mm; lower < upper.
///
/// The limits of size are the nominal size plus these.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Deviations {
    /// Lower limit deviation (EI of inner, ei of outer features), in mm.
    pub lower: f64,
    /// Upper limit deviation (ES of inner, es of outer features), in mm.
    pub upper: f64,
}

/// Twentieths of a micrometre per millimetre: half of the finest width is a whole number of them.
const TWENTIETHS: f64 = 20_000.0;
/// A micrometre in tenths of a micrometre, the unit of the arithmetic here.
const MICRON: i32 = 10;

const IT3: Grade = Grade::known(3);
const IT4: Grade = Grade::known(4);
const IT5: Grade = Grade::known(5);
const IT6: Grade = Grade::known(6);
const IT7: Grade = Grade::known(7);
const IT8: Grade = Grade::known(8);

/// First main range above 500 mm.
const LARGE: usize = 13;

/// The limit deviations of `class` at a nominal size in mm.
///
/// ISO 286-1 (tables of fundamental deviations and of standard tolerances), whose results
/// ISO 286-2 prints. In mm, exact to the last bit: 0.021 is the double nearest to 0.021.
///
/// - a to h lie below the nominal size, k to zc above it; A to H and P to ZC are their mirror
///   images. js is ± half the tolerance, unrounded.
/// - K, M, N to IT8 and P to ZC to IT7 are raised by Δ above 3 mm and up to 500 mm. The standard
///   prints Δ from IT3 on: finer ones do not exist there.
/// - M6 above 250 up to 315 mm is the standard's own exception: its upper deviation is −9 µm.
/// - N above IT8 has the upper deviation 0 above 3 mm and up to 500 mm.
/// - k is 0 but for IT4 to IT7; K above IT8 exists to 3 mm only.
///
/// # Errors
/// [`Undefined`], which says why the class does not exist at this size.
///
/// ```
/// # use quarterturn_core::grade::{deviations, parse};
/// let (_, class) = parse("K7")?;
/// let limits = deviations(20.0, class)?;
/// assert_eq!((limits.lower, limits.upper), (-0.015, 0.006));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn deviations(nominal: f64, class: Class) -> Result<Deviations, Undefined> {
    let size = Size::of(nominal)?;
    let width = tenths(size, class.grade)?;
    let in_mm = |twice: i32| f64::from(twice) / TWENTIETHS;
    let (lower, upper) = if class.letter == Letter::Js {
        (-width, width)
    } else {
        let (lower, upper) = match class.surface {
            Surface::Outer => outer(size, class, width)?,
            Surface::Inner => inner(size, class, width)?,
        };
        (2 * lower, 2 * upper)
    };
    Ok(Deviations { lower: in_mm(lower), upper: in_mm(upper) })
}

/// Lower and upper deviation of an outer feature, in tenths of a micrometre.
fn outer(size: Size, class: Class, width: i32) -> Result<(i32, i32), Undefined> {
    let hangs = |upper: i32| (upper - width, upper);
    let stands = |lower: i32| (lower, lower + width);
    match class.letter {
        Letter::H | Letter::Js => Ok(hangs(0)),
        Letter::J => {
            let to = if size.main == 0 { IT8 } else { IT7 };
            let by_grade = [(IT5, J5_J6), (IT6, J5_J6), (IT7, J7), (IT8, J8)];
            Ok(stands(-j(size, class, &by_grade, (IT5, to))?))
        }
        Letter::K => {
            let tabulated = (IT4..=IT7).contains(&class.grade);
            let distance = table(size, class)?;
            Ok(stands(if tabulated { distance } else { 0 }))
        }
        letter if letter < Letter::H => {
            not_tiny(size, class, matches!(letter, Letter::A | Letter::B))?;
            Ok(hangs(-table(size, class)?))
        }
        _ => Ok(stands(table(size, class)?)),
    }
}

/// Lower and upper deviation of an inner feature, in tenths of a micrometre.
fn inner(size: Size, class: Class, width: i32) -> Result<(i32, i32), Undefined> {
    let stands = |lower: i32| (lower, lower + width);
    let hangs = |upper: i32| (upper - width, upper);
    let grade = class.grade;
    match class.letter {
        Letter::H | Letter::Js => Ok(stands(0)),
        Letter::J => {
            let by_grade = [(IT6, INNER_J6), (IT7, INNER_J7), (IT8, INNER_J8)];
            Ok(hangs(j(size, class, &by_grade, (IT6, IT8))?))
        }
        letter if letter < Letter::H => {
            not_tiny(size, class, matches!(letter, Letter::A | Letter::B))?;
            Ok(stands(table(size, class)?))
        }
        Letter::K if grade > IT8 && size.main > 0 => {
            let from = if size.main < LARGE { IT3 } else { Grade::known(1) };
            Err(Undefined::Pair { class, from, to: IT8 })
        }
        Letter::N if grade > IT8 => {
            not_tiny(size, class, true)?;
            let small_or_large = size.main == 0 || size.main >= LARGE;
            Ok(hangs(if small_or_large { -table(size, class)? } else { 0 }))
        }
        // (250, 315] is the main range 10.
        Letter::M if grade == IT6 && size.main == 10 => Ok(hangs(-9 * MICRON)),
        letter => {
            let raised_to = if letter <= Letter::N { IT8 } else { IT7 };
            let distance = table(size, class)?;
            if grade > raised_to {
                return Ok(hangs(-distance));
            }
            let delta = delta(size, grade).ok_or(Undefined::Pair {
                class,
                from: IT3,
                to: coarsest(letter),
            })?;
            Ok(hangs(-distance + delta))
        }
    }
}

/// Coarsest grade of K, or of the other letters with Δ.
fn coarsest(letter: Letter) -> Grade {
    if letter == Letter::K { IT8 } else { Grade::IT18 }
}

/// The letter's distance from the nominal size, in tenths of a micrometre. H, J and JS, which have
/// no column, do not come here; theirs would be 0.
fn table(size: Size, class: Class) -> Result<i32, Undefined> {
    column(class.letter).map_or(Ok(0), |column| at(&column, size, class))
}

fn at(column: &Column, size: Size, class: Class) -> Result<i32, Undefined> {
    let (above, to) = column.span();
    column.at(size).map(|d| d * MICRON).ok_or(Undefined::Letter { class, above, to })
}

/// j and J: a column for each grade, no others.
fn j(
    size: Size,
    class: Class,
    by_grade: &[(Grade, Column)],
    (from, to): (Grade, Grade),
) -> Result<i32, Undefined> {
    if size.main >= LARGE {
        let (above, to) = span_main(0, LARGE - 1);
        return Err(Undefined::Letter { class, above, to });
    }
    let column = by_grade.iter().find(|(grade, _)| *grade == class.grade);
    let (_, column) = column.ok_or(Undefined::Pair { class, from, to })?;
    at(column, size, class)
}

fn not_tiny(size: Size, class: Class, rule: bool) -> Result<(), Undefined> {
    if size.tiny && rule { Err(Undefined::LetterUnderOne { class }) } else { Ok(()) }
}
