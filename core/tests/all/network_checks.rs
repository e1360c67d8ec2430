//! The adjustment against certified regressions, which are networks too.

use quarterturn_core::network::{
    Adjusted, Direction, Fault, Fixed, LinearForm, Network, Observation, Offset, Place, Point,
    Prior, Shape, Systematic,
};

/// A direction with two errors, of standard uncertainty 3e-4 and 4e-4, is as uncertain as one with a single
/// error of 5e-4; and of two directions that share one of them that one cancels.
#[test]
fn errors_of_one_direction_add_up() {
    let about = |standard| Prior::About { value: 0.0, standard };
    let network = |errors: &[f64], on: [&[usize]; 2]| {
        let direction = |angle: f64, on: &[usize]| {
            let mut direction = Direction::exact(angle);
            direction.angle_errors.extend(on.iter().copied());
            direction
        };
        Network {
            points: vec![Point::axis([40.0, 30.0]), Point::axis([90.0, 10.0])],
            angle_errors: errors.iter().map(|u| about(*u)).collect(),
            directions: vec![direction(0.0, on[0]), direction(std::f64::consts::FRAC_PI_2, on[1])],
            offsets: vec![
                Offset { direction: 0, prior: Prior::ZERO },
                Offset { direction: 1, prior: Prior::ZERO },
            ],
            observations: vec![
                Observation::new(0, 0, 40.0, 0.001),
                Observation::new(0, 1, 30.0, 0.001),
                Observation::new(1, 0, 90.0, 0.001),
                Observation::new(1, 1, 10.0, 0.001),
            ],
            ..Network::default()
        }
        .adjust()
        .unwrap()
    };
    let (two, one) = (network(&[3e-4, 4e-4], [&[0, 1], &[]]), network(&[5e-4], [&[0], &[]]));
    let x = LinearForm::point(0, [1.0, 0.0]);
    // Along x the arm is y: u² = 0.001² + (30 × 5e-4)².
    let right = 0.001_f64.powi(2) + 0.015_f64.powi(2);
    for adjusted in [&two, &one] {
        let found = adjusted.variance_of(&x).unwrap();
        assert!((found / right - 1.0).abs() < 1e-9, "{found} {right}");
    }
    // Between two directions only the error of the second alone is left.
    let shared = network(&[3e-4, 4e-4], [&[0], &[0, 1]]);
    let between = LinearForm::angle_error(1, 1.0);
    let found = shared.variance_of(&between).unwrap().sqrt();
    assert!((found - 4e-4).abs() < 1e-12, "{found}");
    let twice = Network {
        angle_errors: vec![about(1e-4)],
        directions: vec![Direction { angle: 0.0, angle_errors: [0, 0].into_iter().collect() }],
        ..Network::default()
    };
    assert_eq!(twice.adjust().err(), Some(Fault::Direction(0)));
}

/// y = B₁ x through the origin: all heights are of a face that is fixed at 0, above a zero that is
/// exact, with an error of scale that nothing is known of and whose coefficient is x.
fn through_origin(x: &[f64], y: &[f64]) -> Adjusted {
    Network {
        points: vec![Point { near: [0.0; 2], shape: Shape::Plane { normal: 0.0 } }],
        angle_errors: Vec::new(),
        directions: vec![Direction::exact(0.0)],
        offsets: vec![Offset { direction: 0, prior: Prior::ZERO }],
        systematics: vec![Systematic { prior: Prior::Free }],
        observations: (x.iter().zip(y))
            .map(|(&x, &y)| Observation::new(0, 0, y, 1.0).with(0, x))
            .collect(),
        fixed: vec![Fixed { point: 0, angle: 0.0, value: 0.0 }],
    }
    .adjust()
    .unwrap()
}

fn relative(found: f64, certified: f64) {
    assert!((found / certified - 1.0).abs() < 1e-13, "{found} is not {certified}");
}

fn certified(adjusted: &Adjusted, [b, standard, residual]: [f64; 3]) {
    let degrees = f64::from(u32::try_from(adjusted.degrees).unwrap());
    let s = (adjusted.chi_square / degrees).sqrt();
    let found = adjusted.systematics[0].estimate.unwrap();
    relative(found.value, b);
    // The observations were given a standard uncertainty of 1.
    relative(found.standard * s, standard);
    relative(s, residual);
}

/// NIST StRD, NoInt1, certified values.
#[test]
fn noint1() {
    let x: Vec<f64> = (60..=70).map(f64::from).collect();
    let y: Vec<f64> = (130..=140).map(f64::from).collect();
    let adjusted = through_origin(&x, &y);
    assert_eq!(adjusted.degrees, 10);
    assert!(matches!(adjusted.points[0], Place::OneDirection { variance, .. } if variance <= 0.0));
    certified(&adjusted, [2.07438016528926, 0.165289256198347E-01, 3.56753034006338]);
}

/// NIST StRD, NoInt2, certified values; the three pairs are from memory.
#[test]
fn noint2() {
    let adjusted = through_origin(&[4.0, 5.0, 6.0], &[3.0, 4.0, 4.0]);
    assert_eq!(adjusted.degrees, 2);
    certified(&adjusted, [0.727272727272727, 0.420827318078432E-01, 0.369274472937998]);
}

/// A regression whose answer is plain: y = 2 x + 1 with ±1 beside it. By hand, with x = −1, 0, 0,
/// 1 and errors −1, 1, 1, −1, which neither the mean nor the slope takes up.
#[test]
fn a_straight_line_is_an_offset_and_a_scale() {
    let adjusted = Network {
        points: vec![Point::axis([0.0; 2])],
        angle_errors: Vec::new(),
        directions: vec![Direction::exact(0.0)],
        offsets: vec![Offset { direction: 0, prior: Prior::Free }],
        systematics: vec![Systematic { prior: Prior::Free }],
        observations: [(-1.0, -2.0), (0.0, 2.0), (0.0, 2.0), (1.0, 2.0)]
            .map(|(x, y)| Observation::new(0, 0, y, 1.0).with(0, x))
            .to_vec(),
        fixed: vec![Fixed { point: 0, angle: 0.0, value: 0.0 }],
    }
    .adjust()
    .unwrap();
    assert_eq!(adjusted.degrees, 2);
    relative(adjusted.systematics[0].estimate.unwrap().value, 2.0);
    relative(adjusted.systematics[0].estimate.unwrap().standard, 0.5_f64.sqrt());
    relative(adjusted.offsets[0].estimate.unwrap().value, 1.0);
    relative(adjusted.offsets[0].estimate.unwrap().standard, 0.5);
    relative(adjusted.chi_square, 4.0);
    // r = 1 − (1/4 + x²/2).
    for (fit, r) in adjusted.observations.iter().zip([0.25, 0.75, 0.75, 0.25]) {
        relative(fit.redundancy, r);
    }
}

/// NIST StRD, linear least squares regression, Norris: calibration of ozone monitors, 36 pairs (x, y)
/// with the certified values of B₀, B₁, their standard deviations and the residual one. The offset
/// of the zero is B₀, the error of scale B₁.
#[test]
fn norris() {
    const PAIRS: [(f64, f64); 36] = [
        (0.2, 0.1),
        (337.4, 338.8),
        (118.2, 118.1),
        (884.6, 888.0),
        (10.1, 9.2),
        (226.5, 228.1),
        (666.3, 668.5),
        (996.3, 998.5),
        (448.6, 449.1),
        (777.0, 778.9),
        (558.2, 559.2),
        (0.4, 0.3),
        (0.6, 0.1),
        (775.5, 778.1),
        (666.9, 668.8),
        (338.0, 339.3),
        (447.5, 448.9),
        (11.6, 10.8),
        (556.0, 557.7),
        (228.1, 228.3),
        (995.8, 998.0),
        (887.6, 888.8),
        (120.2, 119.6),
        (0.3, 0.3),
        (0.3, 0.6),
        (556.8, 557.6),
        (339.1, 339.3),
        (887.2, 888.0),
        (999.0, 998.5),
        (779.0, 778.9),
        (11.1, 10.2),
        (118.3, 117.6),
        (229.2, 228.9),
        (669.1, 668.4),
        (448.9, 449.2),
        (0.5, 0.2),
    ];
    let adjusted = Network {
        points: vec![Point { near: [0.0; 2], shape: Shape::Plane { normal: 0.0 } }],
        angle_errors: Vec::new(),
        directions: vec![Direction::exact(0.0)],
        offsets: vec![Offset { direction: 0, prior: Prior::Free }],
        systematics: vec![Systematic { prior: Prior::Free }],
        observations: PAIRS.map(|(x, y)| Observation::new(0, 0, y, 1.0).with(0, x)).to_vec(),
        fixed: vec![Fixed { point: 0, angle: 0.0, value: 0.0 }],
    }
    .adjust()
    .unwrap();
    assert_eq!(adjusted.degrees, 34);
    certified(&adjusted, [1.00211681802045, 0.429796848199937E-03, 0.884796396144373]);
    let b0 = adjusted.offsets[0].estimate.unwrap();
    // B₀ is a small difference of heights of hundreds.
    assert!((b0.value / -0.262323073774029 - 1.0).abs() < 1e-12, "{}", b0.value);
    relative(b0.standard * (adjusted.chi_square / 34.0).sqrt(), 0.232818234301152);
}
