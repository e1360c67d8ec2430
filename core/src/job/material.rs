//! Materials and how much they grow with temperature, to choose from: a table, and those that a plan
//! adds to it. What is chosen is a number of the job like any other and can be written over: an
//! alloy has its own.

use super::{BOUNDS, Plan};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::borrow::Cow;

/// A material.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Material {
    /// What it is called.
    pub name: Cow<'static, str>,
    /// Coefficient of linear thermal expansion about 20 °C, in millionths per kelvin.
    pub expansion: f64,
    /// Where the figure is from: a certificate, a data sheet, a handbook.
    #[serde(default)]
    pub source: Cow<'static, str>,
}

/// One of the table.
const fn known(name: &'static str, expansion: f64, source: &'static str) -> Material {
    Material { name: Cow::Borrowed(name), expansion, source: Cow::Borrowed(source) }
}

/// D. A. Swyt, Journal of Research of the National Institute of Standards and Technology 99
/// (1994).
const SWYT: &str = "Swyt, J. Res. NIST 99, 1994";
/// Values that handbooks of materials agree upon to about a tenth.
const HANDBOOK: &str = "common handbook value";

/// The table. No two have the same coefficient, so that a coefficient tells its material.
pub static MATERIALS: [Material; 9] = [
    known("steel", 11.5, SWYT),
    known("aluminium", 23.1, SWYT),
    known("stainless steel", 17.3, HANDBOOK),
    known("cast iron", 10.8, HANDBOOK),
    known("brass", 19.0, HANDBOOK),
    known("copper", 17.0, HANDBOOK),
    known("titanium", 8.6, HANDBOOK),
    known("granite", 7.9, HANDBOOK),
    known("invar", 1.2, HANDBOOK),
];

impl Material {
    /// Whether it has this coefficient, in millionths per kelvin.
    #[must_use]
    pub fn expands(&self, expansion: f64) -> bool {
        (self.expansion - expansion).abs() < 1e-9
    }

    /// Why it cannot be added to `others`, in a sentence; `None` if it can be.
    #[must_use]
    pub fn refused(&self, others: &[Self]) -> Option<String> {
        let (name, source) = (self.name.trim(), self.source.trim());
        if name.is_empty() {
            return Some("a material has a name.".to_owned());
        }
        if name.chars().count() > BOUNDS.name_chars {
            return Some(format!("the name of a material has {} characters.", BOUNDS.name_chars));
        }
        if source.chars().count() > BOUNDS.text_chars {
            return Some(format!("a text may have {} characters.", BOUNDS.text_chars));
        }
        if !(self.expansion.is_finite() && self.expansion.abs() <= BOUNDS.celsius) {
            return Some(format!(
                "a coefficient is between -{0} and {0} millionths per kelvin.",
                BOUNDS.celsius
            ));
        }
        others.iter().find_map(|m| {
            if m.name.trim() == name {
                Some(format!("{name} is there already."))
            } else if m.expands(self.expansion) {
                // The coefficient is what a job keeps, and tells its material.
                Some(format!(
                    "{} has the coefficient {} already; one name stands for it.",
                    m.name, self.expansion
                ))
            } else {
                None
            }
        })
    }
}

impl Plan {
    /// What can be chosen from: the plan's own materials, then those of the table. One of the plan
    /// stands for one of the table that has its name or its coefficient.
    pub fn offered(&self) -> impl Iterator<Item = &Material> {
        let own = &self.materials;
        let hidden = |m: &Material| own.iter().any(|o| o.name == m.name || o.expands(m.expansion));
        own.iter().chain(MATERIALS.iter().filter(move |m| !hidden(m)))
    }

    /// The material with this name.
    #[must_use]
    pub fn material_named(&self, name: &str) -> Option<&Material> {
        self.offered().find(|m| m.name == name)
    }

    /// The material with this coefficient, in millionths per kelvin.
    #[must_use]
    pub fn material_expanding(&self, expansion: f64) -> Option<&Material> {
        self.offered().find(|m| m.expands(expansion))
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::super::{Job, read, write};
    use super::*;
    use crate::quantity::Unit;

    fn alloy(name: &'static str, expansion: f64) -> Material {
        known(name, expansion, "certificate 12")
    }

    #[test]
    fn a_coefficient_tells_its_material() {
        let plan = Plan::default();
        for m in &MATERIALS {
            assert_eq!(plan.material_expanding(m.expansion), Some(m));
            assert_eq!(plan.material_named(&m.name), Some(m));
        }
        assert_eq!(plan.material_expanding(0.0), None);
    }

    #[test]
    fn a_material_of_the_plan_is_offered_and_stands_for_one_of_the_table() {
        let materials = vec![alloy("C45", 11.5), alloy("brass", 20.3)];
        let plan = Plan { materials, ..Plan::default() };
        let names: Vec<&str> = plan.offered().map(|m| &*m.name).collect();
        assert_eq!(names[..3], ["C45", "brass", "aluminium"]);
        assert_eq!(names.len(), 2 + MATERIALS.len() - 2);
        assert_eq!(plan.material_expanding(11.5).unwrap().name, "C45");
        assert_eq!(plan.material_named("brass"), Some(&alloy("brass", 20.3)));
        assert_eq!(plan.material_named("steel"), None);
    }

    #[test]
    fn what_cannot_be_told_apart_is_refused_in_entry_and_file() {
        let mut job = Job::empty(Unit::Mm);
        job.plan.materials = vec![alloy("C45", 11.1), alloy("6082", 23.4)];
        assert_eq!(read(&write(&job)).unwrap(), job);
        for (wrong, says) in [
            (alloy("C45", 12.0), "C45 is there already."),
            (alloy("S235", 11.1), "C45 has the coefficient 11.1 already"),
            (alloy(" ", 12.0), "a material has a name."),
            (alloy("x", 201.0), "between -200 and 200"),
            (Material { name: "n".repeat(61).into(), ..alloy("", 9.0) }, "has 60 characters."),
        ] {
            assert!(wrong.refused(&job.plan.materials).unwrap().contains(says), "{wrong:?}");
            let mut file = job.clone();
            file.plan.materials.push(wrong.clone());
            let error = read(&write(&file)).unwrap_err();
            assert_eq!(error.place, "plan.materials[2]");
            assert!(error.what.contains(says), "{error}");
        }
        job.plan.materials = (0..101)
            .map(|i| Material { name: format!("m{i}").into(), ..alloy("", f64::from(i) + 0.5) })
            .collect();
        assert_eq!(read(&write(&job)).unwrap_err().place, "plan.materials");
    }
}
