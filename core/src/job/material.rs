//! Common materials and how much they grow with temperature, to choose from. What is chosen is a
//! number of the job like any other and can be written over: an alloy has its own.

/// A material.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Material {
    /// What it is called.
    pub name: &'static str,
    /// Coefficient of linear thermal expansion about 20 °C, in millionths per kelvin.
    pub expansion: f64,
    /// Where the figure is from.
    pub source: &'static str,
}

/// D. A. Swyt, Journal of Research of the National Institute of Standards and Technology 99
/// (1994).
const SWYT: &str = "Swyt, J. Res. NIST 99, 1994";
/// Values that handbooks of materials agree upon to about a tenth.
const HANDBOOK: &str = "common handbook value";

/// The table. No two have the same coefficient, so that a coefficient tells its material.
pub const MATERIALS: [Material; 9] = [
    Material { name: "steel", expansion: 11.5, source: SWYT },
    Material { name: "aluminium", expansion: 23.1, source: SWYT },
    Material { name: "stainless steel", expansion: 17.3, source: HANDBOOK },
    Material { name: "cast iron", expansion: 10.8, source: HANDBOOK },
    Material { name: "brass", expansion: 19.0, source: HANDBOOK },
    Material { name: "copper", expansion: 17.0, source: HANDBOOK },
    Material { name: "titanium", expansion: 8.6, source: HANDBOOK },
    Material { name: "granite", expansion: 7.9, source: HANDBOOK },
    Material { name: "invar", expansion: 1.2, source: HANDBOOK },
];

impl Material {
    /// The one with this name.
    #[must_use]
    pub fn named(name: &str) -> Option<&'static Self> {
        MATERIALS.iter().find(|m| m.name == name)
    }

    /// The one with this coefficient, in millionths per kelvin.
    #[must_use]
    pub fn expanding(expansion: f64) -> Option<&'static Self> {
        MATERIALS.iter().find(|m| (m.expansion - expansion).abs() < 1e-9)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_coefficient_tells_its_material() {
        for m in &MATERIALS {
            assert_eq!(Material::expanding(m.expansion), Some(m));
            assert_eq!(Material::named(m.name), Some(m));
        }
        assert_eq!(Material::expanding(0.0), None);
    }
}
