//! Coordinates that were planted come back.
//!
//! Heights are worked out here, by plain arithmetic and without errors, from coordinates, angles,
//! offsets and systematic errors that are drawn by lot; the adjustment must find all of them again.

use crate::common::cases;
use proptest::prelude::*;
use quarterturn_core::network::{
    Adjusted, Direction, Fixed, Network, Observation, Offset, Place, Point, Prior, Systematic,
};
use std::f64::consts::PI;

/// Agreement asked for, mm.
const SAME: f64 = 1e-9;

#[derive(Clone, Debug)]
struct Planted {
    points: Vec<[f64; 2]>,
    /// Stated angle and true error.
    directions: Vec<(f64, f64)>,
    /// Value of each direction's offset, and whether it is known.
    offsets: Vec<(f64, bool)>,
    probe: f64,
    sigma: f64,
}

/// Three to six directions, the first two at least 0.1 rad from being one, and two to nine points.
fn planted(error: f64) -> impl Strategy<Value = Planted> {
    let point = [-300.0..300.0, -300.0..300.0];
    let direction = (-PI..PI, -error..=error);
    (
        prop::collection::vec(point, 2..10),
        prop::collection::vec(direction, 3..7),
        prop::collection::vec((-500.0..500.0, any::<bool>()), 7),
        -0.05..0.05,
        1e-4..0.1,
    )
        .prop_filter("two directions are nearly one", |(_, directions, ..)| {
            libm::sin(directions[0].0 - directions[1].0).abs() > 0.1
        })
        .prop_map(|(points, directions, mut offsets, probe, sigma)| {
            offsets.truncate(directions.len());
            Planted { points, directions, offsets, probe, sigma }
        })
}

impl Planted {
    fn height(&self, point: usize, direction: usize) -> f64 {
        let (angle, error) = self.directions[direction];
        let p = self.points[point];
        p[0] * libm::cos(angle + error)
            + p[1] * libm::sin(angle + error)
            + self.offsets[direction].0
    }

    /// The network of all heights; `stated` is added to where the points are said to be.
    fn network(&self, error: Prior, stated: f64) -> Network {
        let mut network = Network::default();
        for p in &self.points {
            network.points.push(Point::axis([p[0] + stated, p[1] - stated]));
        }
        for (k, (&(angle, _), &(value, known))) in
            self.directions.iter().zip(&self.offsets).enumerate()
        {
            network.angle_errors.push(error);
            network.directions.push(Direction::with_error(angle, k));
            let prior = if known { Prior::Exact(value) } else { Prior::Free };
            network.offsets.push(Offset { direction: k, prior });
            for point in 0..self.points.len() {
                network.observations.push(Observation::new(
                    point,
                    k,
                    self.height(point, k),
                    self.sigma,
                ));
            }
        }
        // The first point is where it is: that ties every offset.
        for angle in [0.3, 0.3 + PI / 2.0] {
            let p = self.points[0];
            let value = p[0] * libm::cos(angle) + p[1] * libm::sin(angle);
            network.fixed.push(Fixed { point: 0, angle, value });
        }
        network
    }

    fn check(&self, adjusted: &Adjusted) -> Result<(), TestCaseError> {
        prop_assert!(adjusted.converged);
        for (place, p) in adjusted.points.iter().zip(&self.points) {
            let Place::Determined { at, .. } = place else {
                return Err(TestCaseError::fail(format!("{place:?}")));
            };
            for axis in 0..2 {
                prop_assert!((at[axis] - p[axis]).abs() < SAME, "{at:?} is not {p:?}");
            }
        }
        for (shared, (value, _)) in adjusted.offsets.iter().zip(&self.offsets) {
            prop_assert!((shared.estimate.unwrap().value - value).abs() < SAME);
        }
        prop_assert!(adjusted.observations.iter().all(|fit| fit.residual.abs() < SAME));
        prop_assert!(adjusted.suspects().is_empty());
        let sum: f64 = adjusted.observations.iter().map(|fit| fit.redundancy).sum();
        let degrees = f64::from(u32::try_from(adjusted.degrees).unwrap());
        prop_assert!((sum - degrees).abs() < 1e-6);
        Ok(())
    }
}

proptest! {
    #![proptest_config(cases(300))]

    /// Any angles, offsets free or known, points stated nowhere near.
    #[test]
    fn coordinates_and_offsets_come_back(planted in planted(0.0), stated in -100.0..100.0) {
        let adjusted = planted.network(Prior::ZERO, stated).adjust().unwrap();
        prop_assert_eq!(adjusted.iterations, 1);
        planted.check(&adjusted)?;
    }

    /// Angle errors up to two degrees that nobody knows; the y of a second point a good way
    /// off holds the rotation.
    #[test]
    fn angle_errors_come_back(planted in planted(0.035)) {
        let mut network = planted.network(Prior::Free, 0.2);
        let [p, q] = [planted.points[0], planted.points[1]];
        let arm = [q[0] - p[0], q[1] - p[1]];
        let length = libm::hypot(arm[0], arm[1]);
        prop_assume!(length > 50.0);
        // Across the line from the first point to the second.
        let angle = libm::atan2(arm[0], -arm[1]);
        let value = q[0] * libm::cos(angle) + q[1] * libm::sin(angle);
        network.fixed.push(Fixed { point: 1, angle, value });
        // With two points only, the angles of directions are not all given.
        prop_assume!(planted.points.len() > 3);
        let adjusted = network.adjust().unwrap();
        prop_assert!(!adjusted.rotation_free);
        let known = adjusted.angle_errors.iter().all(|d| {
            d.estimate.is_some_and(|e| e.standard < 0.1 * planted.sigma)
        });
        prop_assume!(known);
        planted.check(&adjusted)?;
        for (shared, (_, error)) in adjusted.angle_errors.iter().zip(&planted.directions) {
            let found = shared.estimate.unwrap().value;
            prop_assert!((found - error).abs() < 1e-11, "{} is not {}", found, error);
        }
    }

    /// The probe constant is in every height touched from below, and half of it in a centre; it
    /// comes back where a point is touched both ways.
    #[test]
    fn a_systematic_error_comes_back(planted in planted(0.0)) {
        let mut network = planted.network(Prior::ZERO, 1.0);
        network.systematics.push(Systematic { prior: Prior::Free });
        for (i, o) in network.observations.iter_mut().enumerate() {
            let share = [0.0, 0.5, 1.0][i % 3];
            o.height += share * planted.probe;
            o.systematics.push((0, share));
        }
        // The first offset at least is known, or the probe constant may hide in it.
        let twice = Observation::new(1, 0, planted.height(1, 0) + planted.probe, planted.sigma);
        network.observations.push(twice.with(0, 1.0));
        let none = Observation::new(1, 0, planted.height(1, 0), planted.sigma);
        network.observations.push(none);
        let adjusted = network.adjust().unwrap();
        planted.check(&adjusted)?;
        let found = adjusted.systematics[0].estimate.unwrap();
        prop_assert!((found.value - planted.probe).abs() < SAME);
    }

    /// What is asked of the figures does not hang on the order of the lists.
    #[test]
    fn the_order_of_observations_does_not_matter(planted in planted(0.0)) {
        let network = planted.network(Prior::ZERO, 0.0);
        let mut turned = network.clone();
        turned.observations.reverse();
        let (a, b) = (network.adjust().unwrap(), turned.adjust().unwrap());
        for (x, y) in a.observations.iter().zip(b.observations.iter().rev()) {
            prop_assert!((x.redundancy - y.redundancy).abs() < 1e-9);
        }
        for i in 0..planted.points.len() {
            let (c, d) = (a.covariance(0, i).unwrap(), b.covariance(0, i).unwrap());
            let e = a.covariance(i, i).unwrap();
            for x in 0..2 {
                for y in 0..2 {
                    prop_assert!((c[x][y] - d[x][y]).abs() < 1e-12);
                    prop_assert!((e[x][y] - e[y][x]).abs() < 1e-15);
                }
            }
        }
    }
}
