//! Lengths of the part brought to 20 °C, the reference temperature (ISO 1:2022).

use crate::job::{Job, Piece};

/// What the lengths of a piece are corrected by for temperature.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TemperatureCorrection {
    /// Temperature of the part in degrees Celsius.
    pub part_celsius: f64,
    /// Temperature of the gauge's scale in degrees Celsius.
    pub gauge_celsius: f64,
    /// Coefficient of thermal expansion of the part, in millionths per kelvin.
    pub part_expansion: f64,
    /// The same of the gauge's scale.
    pub gauge_expansion: f64,
}

impl TemperatureCorrection {
    /// What is corrected by; `None`, and nothing is, where the temperature of the part or one of
    /// the coefficients is not given. Without its own, the gauge has the temperature of the part.
    #[must_use]
    pub fn of(job: &Job, piece: &Piece) -> Option<Self> {
        let c = &job.plan.conditions;
        let part_celsius = piece.part_celsius?;
        Some(Self {
            part_celsius,
            gauge_celsius: piece.gauge_celsius.unwrap_or(part_celsius),
            part_expansion: c.part_expansion?,
            gauge_expansion: c.gauge_expansion?,
        })
    }

    /// Whether a temperature of the piece or of the gauge is stated and corrects nothing, because
    /// the temperature of the part or a coefficient of expansion is missing beside it
    /// ([`Warmth::of`] is `None`). It has to be said: whoever states a temperature expects lengths
    /// at 20 °C (ISO 1:2022).
    #[must_use]
    pub fn not_applied(job: &Job, piece: &Piece) -> bool {
        let stated = piece.part_celsius.is_some() || piece.gauge_celsius.is_some();
        stated && Self::of(job, piece).is_none()
    }

    /// How much longer a length of the part is at 20 °C than it was read: with a in 1/K,
    /// L20 = reading (1 + a_g (t_g − 20)) / (1 + a_p (t_p − 20)).
    #[must_use]
    pub fn factor(self) -> f64 {
        let grown = |expansion: f64, celsius: f64| 1.0 + expansion * 1e-6 * (celsius - 20.0);
        grown(self.gauge_expansion, self.gauge_celsius)
            / grown(self.part_expansion, self.part_celsius)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Unit;

    #[test]
    fn a_temperature_without_its_coefficients_corrects_nothing() {
        let mut job = Job::empty(Unit::Mm);
        let at =
            |part_celsius, gauge_celsius| Piece { part_celsius, gauge_celsius, ..Piece::default() };
        let not_applied = |job: &Job, part, gauge| Warmth::not_applied(job, &at(part, gauge));
        assert!(!not_applied(&job, None, None), "nothing is stated");
        assert!(not_applied(&job, Some(26.0), None));
        assert!(not_applied(&job, None, Some(26.0)));
        job.plan.conditions.part_expansion = Some(23.0);
        assert!(not_applied(&job, Some(26.0), None), "one coefficient is not enough");
        job.plan.conditions.gauge_expansion = Some(11.5);
        assert!(!not_applied(&job, Some(26.0), None));
        assert!(Warmth::of(&job, &at(Some(26.0), None)).is_some());
        assert!(not_applied(&job, None, Some(26.0)), "the part's own is missing");
    }
}
