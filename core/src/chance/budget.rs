//! The uncertainty budget: components, their combination, the expanded uncertainty (JCGM 100).

use super::student;

/// How a component's value is to be understood.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Distribution {
    /// An expanded uncertainty with coverage factor `k`, as on a certificate (4.3.3).
    Normal {
        /// Coverage factor: 2, or 3, or 2.58 for a level of 99 %.
        k: f64,
    },
    /// Bounds ± value, anything between equally probable (4.3.7); a resolution r has the
    /// value r/2 (F.2.2.1).
    Rectangular,
    /// Bounds ± value, the middle most probable (4.3.9).
    Triangular,
    /// A cyclic quantity of amplitude value, as a controlled temperature (H.1.3.4): arcsine.
    UShaped,
    /// The value is the standard deviation of one reading, and the mean of `n` was used (4.2.3).
    TypeA {
        /// Number of readings of the mean.
        n: u32,
    },
}

impl Distribution {
    /// What the value is divided by to give the standard uncertainty.
    #[must_use]
    pub fn divisor(self) -> f64 {
        match self {
            Self::Normal { k } => k,
            Self::Rectangular => 3.0_f64.sqrt(),
            Self::Triangular => 6.0_f64.sqrt(),
            Self::UShaped => 2.0_f64.sqrt(),
            Self::TypeA { n } => f64::from(n).sqrt(),
        }
    }
}

/// One source of uncertainty.
#[derive(Clone, Debug, PartialEq)]
pub struct Component {
    /// What it is.
    pub name: String,
    /// Half-width, expanded uncertainty, amplitude or standard deviation, as the distribution
    /// says; in the source's own unit.
    pub value: f64,
    /// How the value is to be understood.
    pub distribution: Distribution,
    /// Change of the result per change of the source, with its sign (5.1.3).
    pub sensitivity: f64,
    /// Degrees of freedom: infinite where the value is taken for exact (G.4.2, G.4.3).
    pub degrees: f64,
    /// Components with the same key come from one cause and are fully correlated: they add with
    /// their signs before anything is squared (5.2.2, note 1).
    pub group: Option<String>,
}

impl Component {
    /// A component with sensitivity 1 and the degrees of freedom of its distribution: n − 1 for
    /// the mean of n, else infinite.
    #[must_use]
    pub fn new(name: impl Into<String>, value: f64, distribution: Distribution) -> Self {
        let degrees = match distribution {
            Distribution::TypeA { n } => f64::from(n) - 1.0,
            _ => f64::INFINITY,
        };
        Self { name: name.into(), value, distribution, sensitivity: 1.0, degrees, group: None }
    }

    /// With another sensitivity.
    #[must_use]
    pub fn sensitivity(mut self, sensitivity: f64) -> Self {
        self.sensitivity = sensitivity;
        self
    }

    /// With other degrees of freedom, as those of a pooled standard deviation.
    #[must_use]
    pub fn degrees(mut self, degrees: f64) -> Self {
        self.degrees = degrees;
        self
    }

    /// In the group with this key.
    #[must_use]
    pub fn group(mut self, key: impl Into<String>) -> Self {
        self.group = Some(key.into());
        self
    }

    /// Standard uncertainty, in the source's unit.
    #[must_use]
    pub fn standard(&self) -> f64 {
        self.value / self.distribution.divisor()
    }

    /// What it brings to the result, with the sign of the sensitivity.
    #[must_use]
    pub fn contribution(&self) -> f64 {
        self.sensitivity * self.standard()
    }
}

/// All components, combined.
#[derive(Clone, Debug, PartialEq)]
pub struct Budget {
    /// The components, as given.
    pub components: Vec<Component>,
    /// The share of each in the combined variance, in the same order; they add up to 1.
    ///
    /// In a group it is the component's contribution times that of the group, so it is negative
    /// for one that compensates others.
    pub shares: Vec<f64>,
    /// Combined standard uncertainty (5.1.2).
    pub combined: f64,
    /// Effective degrees of freedom (G.4.1), infinite where nothing was estimated from few.
    pub degrees: f64,
}

/// How much is to be covered.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Coverage {
    /// By this coverage factor (6.3).
    K(f64),
    /// With this probability, such as 0.95 (G.3).
    Level(f64),
}

/// An expanded uncertainty U = k u.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Expanded {
    /// Coverage factor.
    pub k: f64,
    /// Expanded uncertainty, in the unit of the result.
    pub uncertainty: f64,
}

impl Budget {
    /// Combines components: u² = Σ (cᵢ uᵢ)² over what is independent, u⁴/ν = Σ (cᵢ uᵢ)⁴/νᵢ
    /// (Welch and Satterthwaite, G.2b).
    ///
    /// A group counts as one source whose uncertainty is the size of the sum of its
    /// contributions. Its degrees of freedom are the fewest of its members that contribute: the
    /// cause is common, and no better known than where it is known least.
    #[must_use]
    pub fn of(components: Vec<Component>) -> Self {
        let source = |key: &str| -> (f64, f64) {
            components
                .iter()
                .filter(|it| it.group.as_deref() == Some(key))
                .filter(|it| it.contribution() != 0.0)
                .fold((0.0, f64::INFINITY), |(u, v), it| (u + it.contribution(), v.min(it.degrees)))
        };
        let mut products = Vec::with_capacity(components.len());
        let (mut variance, mut fourth) = (0.0, 0.0);
        let mut seen: Vec<&str> = Vec::new();
        for it in &components {
            let own = it.contribution();
            let (whole, degrees) = match it.group.as_deref() {
                Some(key) => source(key),
                None => (own, it.degrees),
            };
            products.push(own * whole);
            match it.group.as_deref() {
                Some(key) if seen.contains(&key) => continue,
                Some(key) => seen.push(key),
                None => {}
            }
            let square = whole * whole;
            variance += square;
            if square != 0.0 {
                fourth += square * square / degrees;
            }
        }
        let share = |product: f64| if variance == 0.0 { 0.0 } else { product / variance };
        let shares = products.into_iter().map(share).collect();
        let degrees = if fourth == 0.0 { f64::INFINITY } else { variance * variance / fourth };
        Self { shares, combined: variance.sqrt(), degrees, components }
    }

    /// The expanded uncertainty.
    ///
    /// For a level the factor is t at the effective degrees of freedom as they are, a real
    /// number: JCGM 100 G.4.1 has them interpolated or truncated to the next lower integer, only
    /// because its table has no others. With less than one degree of freedom it grows without
    /// bound.
    #[must_use]
    pub fn expanded(&self, coverage: Coverage) -> Expanded {
        let k = match coverage {
            Coverage::K(k) => k,
            Coverage::Level(level) => student::two_sided(level, self.degrees),
        };
        let uncertainty = if self.combined == 0.0 { 0.0 } else { k * self.combined };
        Expanded { k, uncertainty }
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::{close, near};
    use super::*;

    fn normal(name: &str, u: f64) -> Component {
        Component::new(name, u, Distribution::Normal { k: 1.0 })
    }

    #[test]
    fn shares_add_up_to_one() {
        let budget = Budget::of(vec![normal("a", 3.0), normal("b", 4.0).sensitivity(-1.0)]);
        close(budget.combined, 5.0, 1e-15);
        close(budget.shares[0], 0.36, 1e-15);
        close(budget.shares[1], 0.64, 1e-15);
        assert!(budget.degrees == f64::INFINITY);
    }

    #[test]
    fn a_group_adds_with_signs_before_it_is_squared() {
        let same = |signs: f64| {
            Budget::of(vec![
                normal("one end", 3.0).group("scale"),
                normal("independent", 2.0),
                normal("other end", 3.0).sensitivity(signs).group("scale"),
            ])
        };
        near(same(1.0).combined, 40.0_f64.sqrt(), 1e-15);
        // Opposite: the scale falls out, and the shares say so.
        let falls_out = same(-1.0);
        near(falls_out.combined, 2.0, 1e-15);
        let shares = [0.0, 1.0, 0.0];
        for (is, should) in falls_out.shares.iter().zip(shares) {
            close(*is, should, 1e-15);
        }
        // Compensates in part: 3 − 1 and 2 beside it.
        let in_part = Budget::of(vec![
            normal("a", 3.0).group("k"),
            normal("b", -1.0).group("k"),
            normal("c", 2.0).group("another"),
        ]);
        near(in_part.combined, 8.0_f64.sqrt(), 1e-15);
        for (is, should) in in_part.shares.iter().zip([0.75, -0.25, 0.5]) {
            close(*is, should, 1e-15);
        }
    }

    #[test]
    fn degrees_of_a_group_are_the_fewest_of_those_that_count() {
        let budget = Budget::of(vec![
            normal("a", 1.0).degrees(9.0).group("k"),
            normal("b", 1.0).degrees(4.0).group("k"),
            normal("no part in it", 0.0).degrees(1.0).group("k"),
            normal("exact", 2.0),
        ]);
        // (4 + 4)² / (2⁴/4).
        near(budget.degrees, 16.0, 1e-15);
    }

    #[test]
    fn one_source_keeps_its_degrees() {
        let budget = Budget::of(vec![Component::new("a", 6.0, Distribution::TypeA { n: 9 })]);
        near(budget.combined, 2.0, 1e-15);
        near(budget.degrees, 8.0, 1e-15);
    }

    #[test]
    fn nothing_known_of_the_scatter_is_no_level() {
        let single = Budget::of(vec![Component::new("a", 2.0, Distribution::TypeA { n: 1 })]);
        assert!(single.expanded(Coverage::Level(0.95)).uncertainty == f64::INFINITY);
        near(single.expanded(Coverage::K(2.0)).uncertainty, 4.0, 1e-15);
    }

    #[test]
    fn an_empty_budget_is_no_uncertainty() {
        for components in [vec![], vec![normal("a", 0.0).degrees(0.0)]] {
            let budget = Budget::of(components);
            close(budget.combined, 0.0, 0.0);
            close(budget.expanded(Coverage::Level(0.95)).uncertainty, 0.0, 0.0);
            assert!(budget.shares.iter().all(|s| *s == 0.0));
        }
    }

    #[test]
    fn a_level_uses_the_real_degrees() {
        // Equal parts with 3.1 and infinite degrees: 2² · 3.1.
        let budget = Budget::of(vec![normal("a", 1.0).degrees(3.1), normal("b", 1.0)]);
        near(budget.degrees, 12.4, 1e-14);
        let Expanded { k, uncertainty } = budget.expanded(Coverage::Level(0.95));
        let (more, fewer) = (student::two_sided(0.95, 12.0), student::two_sided(0.95, 13.0));
        assert!(k < more && k > fewer, "{k} between {fewer} and {more}");
        near(uncertainty, k * 2.0_f64.sqrt(), 1e-15);
    }
}
