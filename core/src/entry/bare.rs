//! Numbers that are no lengths: temperatures, coefficients, multiples.

use super::{EntryError, refuse};
use crate::job::BOUNDS;
use crate::notation::plain;
use std::ops::RangeInclusive;

/// Temperatures in degrees Celsius between which one measures; others are asked about.
const USUAL: RangeInclusive<f64> = 0.0..=40.0;

/// Reads a temperature, in degrees Celsius: `20.4`, `20,4 °C`, or `68.4F` in Fahrenheit, which is
/// converted. One at which nobody measures must say its unit: `45 C`.
///
/// # Errors
/// Not a number, doubtful and without its unit, or beyond [`BOUNDS`].
pub fn celsius(text: &str) -> Result<f64, EntryError> {
    let text = text.trim();
    let value = match without(text, &["°F", "° F", "℉", "°f", "F", "f"]) {
        bare if bare.len() < text.len() => {
            // What binary makes of the figure must not show: to a billionth of a degree.
            ((plain(bare)? - 32.0) * 5.0 / 9.0 * 1e9).round() / 1e9
        }
        _ => {
            let bare = without(text, &["°C", "° C", "℃", "°c", "C", "c", "°"]);
            let value = plain(bare)?;
            let stated = text.ends_with(['C', 'c', '℃']);
            if !stated && value.abs() <= BOUNDS.celsius && !USUAL.contains(&value) {
                return refuse(format!(
                    "{bare} °C is not usual for measuring. If it is in Fahrenheit, write {bare}F; if \
                     it is right, write {bare} C."
                ));
            }
            value
        }
    };
    if value.abs() > BOUNDS.celsius {
        return refuse(format!("{text} is no temperature to measure at."));
    }
    Ok(value)
}

/// Reads a coefficient of thermal expansion, in millionths per kelvin: `11.5`.
///
/// # Errors
/// Not a number, or beyond [`BOUNDS`].
pub fn expansion(text: &str) -> Result<f64, EntryError> {
    let value = plain(text)?;
    if value.abs() > BOUNDS.celsius {
        return refuse("No material grows that much: write millionths per kelvin, 11.5 for steel.");
    }
    if value != 0.0 && value.abs() < 0.01 {
        return refuse("Write it in millionths per kelvin: 11.5 for steel, and not 0.0000115.");
    }
    Ok(value)
}

/// Reads how far two temperatures may be apart, in kelvin, either way: `0.5`, `± 0.5 K`.
///
/// # Errors
/// Not a number, with a sign, or beyond [`BOUNDS`].
pub fn kelvin(text: &str) -> Result<f64, EntryError> {
    let text = text.trim().trim_start_matches('±');
    let value = unsigned(without(text, &["°C", "K", "k"]))?;
    if value > BOUNDS.celsius {
        return refuse("No shop is that far from being even.");
    }
    Ok(value)
}

/// Reads a share in millionths: `5`, `5 ppm`.
///
/// # Errors
/// Not a number, with a sign, or above a hundredth.
pub fn millionths(text: &str) -> Result<f64, EntryError> {
    let value = unsigned(without(text.trim(), &["ppm", "PPM"]))?;
    if value > 10_000.0 {
        return refuse("More than a hundredth of the height is no gauge: write millionths.");
    }
    Ok(value)
}

/// Reads the multiple of the expanded uncertainty that is kept off a limit: `1`, `0.5`.
///
/// # Errors
/// Not a number, with a sign, or beyond [`BOUNDS`].
pub fn multiple(text: &str) -> Result<f64, EntryError> {
    let value = unsigned(without(text.trim(), &["U"]))?;
    if value > BOUNDS.guard {
        return refuse(format!("A guard band is up to {} times U wide.", BOUNDS.guard));
    }
    Ok(value)
}

fn unsigned(text: &str) -> Result<f64, EntryError> {
    let value = plain(text)?;
    if value < 0.0 {
        return refuse("Without a sign: it counts both ways.");
    }
    Ok(value)
}

/// `text` without the first of `endings` that it ends in.
fn without<'a>(text: &'a str, endings: &[&str]) -> &'a str {
    endings.iter().find_map(|e| text.strip_suffix(e)).unwrap_or(text).trim_end()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn temperatures_as_people_type_them() {
        for text in ["20.5", "20,5", " 20.5 °C", "20.5°", "+20.5 C", "20.5℃"] {
            assert_eq!(celsius(text), Ok(20.5), "{text}");
        }
        for text in ["68 °F", "68F", "68 f", "68.0℉", "68° F"] {
            assert_eq!(celsius(text), Ok(20.0), "{text}");
        }
        assert_eq!(celsius("70.7F"), Ok(21.5));
        assert_eq!(celsius("68.4F"), Ok(20.222_222_222));
        // Doubtful ones say their unit.
        assert_eq!(celsius("−4 C"), Ok(-4.0));
        assert_eq!(celsius("68.4 °C"), Ok(68.4));
        let why = celsius("68.4").map_err(|e| e.to_string());
        assert!(why.as_ref().is_err_and(|w| w.contains("68.4F")), "{why:?}");
        assert!(celsius("-0.1").is_err() && celsius("40.1°").is_err());
        assert_eq!((celsius("0"), celsius("40")), (Ok(0.0), Ok(40.0)));
        for text in ["", "warm", "°C", "F", "201", "500F"] {
            let error = celsius(text).map_err(|e| e.to_string());
            assert!(error.as_ref().is_err_and(|e| e.ends_with('.')), "{text}: {error:?}");
        }
    }

    #[test]
    fn a_coefficient_in_the_wrong_power_of_ten_is_refused() {
        assert_eq!(expansion("11.5"), Ok(11.5));
        assert_eq!(expansion("0"), Ok(0.0));
        assert!(expansion("0.0000115").is_err());
        assert!(expansion("11500").is_err());
    }

    #[test]
    fn what_counts_both_ways_has_no_sign() {
        assert_eq!(kelvin("± 0.5 K"), Ok(0.5));
        assert_eq!(millionths("5 ppm"), Ok(5.0));
        assert_eq!(multiple("1"), Ok(1.0));
        assert!(kelvin("-1").is_err() && millionths("-1").is_err() && multiple("-1").is_err());
        assert!(multiple("3.1").is_err() && millionths("10001").is_err());
    }
}
