//! Axes and material conditions as they are typed.

use super::{EntryError, refuse};
use crate::feature::Modifier;
use crate::quantity::Axis;

/// Reads an axis: `x` or `y`.
///
/// # Errors
/// Anything else.
pub fn axis(text: &str) -> Result<Axis, EntryError> {
    match text.trim().to_lowercase().as_str() {
        "x" | "along x" | "across x" => Ok(Axis::X),
        "y" | "along y" | "across y" => Ok(Axis::Y),
        _ => refuse(format!(
            "“{}” is no axis: write x or y, the axis the width lies along.",
            text.trim()
        )),
    }
}

/// Reads a modifier: nothing, `M`, `MMC`, `L`, `LMC`, `RFS`, `none`, or the letters in rings.
///
/// # Errors
/// Anything else.
pub fn modifier(text: &str) -> Result<Modifier, EntryError> {
    match text.trim().to_uppercase().trim_matches(['(', ')']) {
        "" | "NONE" | "RFS" | "S" | "Ⓢ" | "-" | "–" => Ok(Modifier::None),
        "M" | "MMC" | "Ⓜ" => Ok(Modifier::Mmc),
        "L" | "LMC" | "Ⓛ" => Ok(Modifier::Lmc),
        _ => refuse(format!("“{}” is no modifier: leave it empty, or write M or L.", text.trim())),
    }
}
