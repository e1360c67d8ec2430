//! Statistics, uncertainty and conformity against values from outside the program, each with its
//! source beside it.
//!
//! Where a source gives a rounded figure, the test allows for the rounding and no more. What has
//! been worked out apart from the program is marked 'computed independently', with the
//! expression. Random experiments stand at the end; they are the same in every run.

use crate::common::close;
use crate::random::Random;
use quarterturn_core::chance::{
    Bivariate, Decision, GrowingBy, Rule, Sample, Share, capability, chi_square, decide,
    effective_degrees, fisher, in_disc, in_growing_disc, in_interval, normal, pooled, student,
};

// ---- Means and standard deviations -------------------------------------------------------

fn mean_and_deviation(values: &[f64]) -> (f64, f64) {
    let sample = Sample::of(values).unwrap();
    assert_eq!(sample.n, values.len());
    (sample.mean, sample.deviation.unwrap())
}

fn first_then_pairs(first: f64, a: f64, b: f64) -> Vec<f64> {
    std::iter::once(first).chain((0..500).flat_map(|_| [a, b])).collect()
}

/// NIST StRD, NumAcc1: certified mean 10000002, s 1. A one-pass variance gives nonsense here.
#[test]
fn nist_strd_numacc1() {
    let (mean, s) = mean_and_deviation(&[10_000_001.0, 10_000_003.0, 10_000_002.0]);
    close(mean, 10_000_002.0, 0.0);
    close(s, 1.0, 0.0);
}

/// NIST StRD, NumAcc2: certified mean 1.2, s 0.1.
#[test]
fn nist_strd_numacc2() {
    let (mean, s) = mean_and_deviation(&first_then_pairs(1.2, 1.1, 1.3));
    close(mean, 1.2, 1e-15);
    close(s, 0.1, 1e-15);
}

/// NIST StRD, NumAcc3: certified mean 1000000.2, s 0.1. The values themselves are rounded in
/// binary by up to 6e-11.
#[test]
fn nist_strd_numacc3() {
    let (mean, s) = mean_and_deviation(&first_then_pairs(1_000_000.2, 1_000_000.1, 1_000_000.3));
    close(mean, 1_000_000.2, 2e-10);
    close(s, 0.1, 1e-10);
}

/// NIST StRD, NumAcc4: certified mean 10000000.2, s 0.1. In binary the values are off by up to
/// 1e-9.
#[test]
fn nist_strd_numacc4() {
    let values = first_then_pairs(10_000_000.2, 10_000_000.1, 10_000_000.3);
    let (mean, s) = mean_and_deviation(&values);
    close(mean, 10_000_000.2, 2e-9);
    close(s, 0.1, 1e-9);
}

/// NIST StRD, Michelso: certified mean 299.852400000000, s 0.0790105478190518.
#[test]
fn nist_strd_michelso() {
    let above_299 = [
        850, 740, 900, 1070, 930, 850, 950, 980, 980, 880, 1000, 980, 930, 650, 760, 810, 1000,
        1000, 960, 960, 960, 940, 960, 940, 880, 800, 850, 880, 900, 840, 830, 790, 810, 880, 880,
        830, 800, 790, 760, 800, 880, 880, 880, 860, 720, 720, 620, 860, 970, 950, 880, 910, 850,
        870, 840, 840, 850, 840, 840, 840, 890, 810, 810, 820, 800, 770, 760, 740, 750, 760, 910,
        920, 890, 860, 880, 720, 840, 850, 850, 780, 890, 840, 780, 810, 760, 810, 790, 810, 820,
        850, 870, 870, 810, 740, 810, 940, 950, 800, 810, 870,
    ];
    let values: Vec<f64> = above_299.map(|v| f64::from(299_000 + v) / 1000.0).to_vec();
    let (mean, s) = mean_and_deviation(&values);
    close(mean, 299.8524, 1e-13);
    close(s, 0.079_010_547_819_051_8, 2e-14);
}

/// JCGM 100:2008, 4.4.3, table 1: mean 100.145, s 1.489, s of the mean 0.333. Computed
/// independently in 50 digits: 1.4888445, 0.3329157.
#[test]
fn jcgm_100_table_1() {
    let sample = Sample::of(&[
        96.90, 98.18, 98.25, 98.61, 99.03, 99.49, 99.56, 99.74, 99.89, 100.07, 100.33, 100.42,
        100.68, 100.95, 101.11, 101.20, 101.57, 101.84, 102.36, 102.72,
    ])
    .unwrap();
    close(sample.mean, 100.145, 1e-12);
    close(sample.deviation.unwrap(), 1.488_844_5, 5e-8);
    close(sample.deviation.unwrap() / 20.0_f64.sqrt(), 0.332_915_7, 5e-8);
}

/// NIST StRD, SmLs01: nine treatments of 21 observations, within SS 1.80, between SS 1.68, F 21.0,
/// residual s 0.1. The observations are built to these certified sums.
#[test]
fn nist_strd_smls01() {
    let samples: Vec<Sample> = [1.4, 1.3, 1.5, 1.3, 1.5, 1.3, 1.5, 1.3, 1.5]
        .iter()
        .map(|m| {
            let values: Vec<f64> =
                std::iter::once(*m).chain((0..10).flat_map(|_| [m - 0.1, m + 0.1])).collect();
            Sample::of(&values).unwrap()
        })
        .collect();
    let within = pooled(&samples).unwrap();
    close(within.degrees, 180.0, 0.0);
    close(within.deviation, 0.1, 1e-14);
    let means: Vec<f64> = samples.iter().map(|s| s.mean).collect();
    let (_, between) = mean_and_deviation(&means);
    let f = 21.0 * between * between / (within.deviation * within.deviation);
    close(f, 21.0, 1e-11);
    // Computed independently: I_{1/(1+r)}(90, 4), r = 21·8/180, in 40 digits.
    close(fisher::survival(f, 8.0, 180.0) / 2.583_264_337_268_971_4e-22, 1.0, 1e-9);
}

// ---- Distributions -----------------------------------------------------------------------

/// JCGM 100:2008, table G.2 (the same in NIST TN 1297, table B.1). The columns 68.27, 95.45 and
/// 99.73 % stand for 2Φ(k) − 1 with k = 1, 2, 3.
#[test]
fn jcgm_100_table_g2() {
    let levels = [
        2.0 * normal::cdf(1.0) - 1.0,
        0.90,
        0.95,
        2.0 * normal::cdf(2.0) - 1.0,
        0.99,
        2.0 * normal::cdf(3.0) - 1.0,
    ];
    for (degrees, row, rounding) in [
        (1.0, [1.84, 6.31, 12.71, 13.97, 63.66, 235.80], 0.005),
        (2.0, [1.32, 2.92, 4.30, 4.53, 9.92, 19.21], 0.005),
        (5.0, [1.11, 2.02, 2.57, 2.65, 4.03, 5.51], 0.005),
        (10.0, [1.05, 1.81, 2.23, 2.28, 3.17, 3.96], 0.005),
        (16.0, [1.03, 1.75, 2.12, 2.17, 2.92, 3.54], 0.005),
        (20.0, [1.03, 1.72, 2.09, 2.13, 2.85, 3.42], 0.005),
        (50.0, [1.01, 1.68, 2.01, 2.05, 2.68, 3.16], 0.005),
        (100.0, [1.005, 1.660, 1.984, 2.025, 2.626, 3.077], 0.000_5),
        (f64::INFINITY, [1.000, 1.645, 1.960, 2.000, 2.576, 3.000], 0.000_5),
    ] {
        for (level, t) in levels.iter().zip(row) {
            close(student::two_sided(*level, degrees), t, rounding + 1e-9);
        }
    }
}

/// JCGM 106:2012, table 1. Computed independently: Φ⁻¹(p) in 50 digits.
#[test]
fn jcgm_106_table_1() {
    for (p, printed, z) in [
        (0.80, 0.84, 0.841_621),
        (0.90, 1.28, 1.281_552),
        (0.95, 1.64, 1.644_854),
        (0.99, 2.33, 2.326_348),
        (0.999, 3.09, 3.090_232),
    ] {
        close(normal::quantile(p), z, 5e-7);
        close(normal::quantile(p), printed, 0.005);
    }
}

/// JCGM 102:2011, tables 1 and 2: coverage factors of ellipses, 1.96 2.45 2.80 3.08 3.33 for one
/// to five quantities, 4.28 for ten, 8.22 for fifty. Computed independently: √χ²₀.₉₅(m). Of boxes,
/// after Bonferroni, 1.96 2.24 2.39 2.50 2.58: each side takes its share of the 5 % outside.
#[test]
fn jcgm_102_coverage_factors() {
    for (m, printed, k) in [
        (1.0, 1.96, 1.959_964),
        (2.0, 2.45, 2.447_747),
        (3.0, 2.80, 2.795_483),
        (4.0, 3.08, 3.080_216),
        (5.0, 3.33, 3.327_236),
        (10.0, 4.28, 4.278_672),
        (50.0, 8.22, 8.216_131),
    ] {
        let is = chi_square::quantile(0.95, m).sqrt();
        close(is, k, 5e-7);
        close(is, printed, 0.005);
    }
    for (m, printed) in [(1.0, 1.96), (2.0, 2.24), (3.0, 2.39), (4.0, 2.50), (5.0, 2.58)] {
        close(normal::two_sided(1.0 - 0.05 / m), printed, 0.005);
    }
}

/// Computed independently in double precision of another library: Marcum's Q₁(1, 2), and the
/// 95 % quantile of the non-central χ² distribution with 2 degrees and non-centrality 1.
#[test]
fn marcums_q() {
    let point = Bivariate::round([1.0, 0.0], 1.0);
    close(1.0 - in_disc(&point, 2.0), 0.269_012_060_0, 1e-10);
    close(in_disc(&point, 8.642_203_87_f64.sqrt()), 0.95, 1e-10);
}

/// JCGM 101:2008, 9.4, table 8: X₁² + X₂² with u = 0.005 each. The shortest 95 % intervals, in
/// 1e-6, computed independently from the exact distribution: [0, 149.7866], [0, 366.0053] and
/// [1593.570, 3548.570] for x₁ = 0, 0.010, 0.050 (the printed ones, [0, 150], [0, 367] and
/// [1590, 3543], come from random numbers).
#[test]
fn jcgm_101_table_8() {
    for (x, low, high, within) in [
        (0.0, 0.0, 149.7866, 1e-7),
        (0.010, 0.0, 366.0053, 1e-7),
        (0.050, 1593.570, 3548.570, 1e-6),
    ] {
        let u: f64 = 0.005;
        // As discs about the origin.
        let disc = |v: f64| in_disc(&Bivariate::round([x, 0.0], u), (v * 1e-6).sqrt());
        close(disc(high) - disc(low), 0.95, within * 10.0);
    }
}

/// Douglas C. Montgomery, Introduction to Statistical Quality Control (from memory): confidence
/// limits of Cp = 24/(6 · 1.75), n = 20, are 1.57 and 3.01. Computed independently: 1.5649450,
/// 3.0055794.
#[test]
fn limits_of_a_capability_index() {
    let cp: f64 = 24.0 / (6.0 * 1.75);
    let limit = |p: f64| cp * (chi_square::quantile(p, 19.0) / 19.0).sqrt();
    close(limit(0.025), 1.564_945_0, 5e-8);
    close(limit(0.975), 3.005_579_4, 5e-8);
}

/// Parts per million outside both limits, computed independently: 2·10⁶ (1 − Φ(3 Cp)).
#[test]
fn parts_per_million() {
    for (cp, ppm, within) in [
        (0.5, 133_614.40, 5e-3),
        (1.0, 2_699.796, 5e-4),
        (4.0 / 3.0, 63.342, 5e-4),
        (5.0 / 3.0, 0.573_303, 5e-7),
        (2.0, 0.001_973_2, 5e-8),
    ] {
        close(2e6 * normal::survival(3.0 * cp), ppm, within);
    }
}

// ---- Uncertainty budgets -----------------------------------------------------------------

/// The end gauge of JCGM 100:2008, H.1: variances in nm² and degrees of freedom, with every
/// component unrounded. `temperature_difference` is the half width in kelvin.
fn end_gauge(temperature_difference: f64) -> Vec<(f64, f64)> {
    let length = 50_000_623.0; // 50.000623 mm in nm
    let third = |half_width: f64| half_width * half_width / 3.0;
    let t = student::two_sided(0.95, 5.0);
    vec![
        // The standard: 75 nm at three standard deviations.
        (25.0 * 25.0, 18.0),
        // The mean of five differences, and the comparator's random and systematic errors.
        (13.0 * 13.0 / 5.0, 24.0),
        (100.0 / (t * t), 5.0),
        (400.0 / 9.0, 8.0),
        // Differences of expansions and of temperatures.
        (third(length * 0.1 * 1e-6), 50.0),
        (third(length * 11.5e-6 * temperature_difference), 2.0),
    ]
}

/// JCGM 100:2008, H.1: u² = 1002 nm², ν = 16.7, and with the truncated ν = 16 t₉₉ = 2.92 and
/// U₉₉ = 93 nm (2.92 · 32). More digits computed independently.
#[test]
fn jcgm_100_h1() {
    let parts = end_gauge(0.05);
    let combined = parts.iter().map(|p| p.0).sum::<f64>();
    let degrees = effective_degrees(parts);
    close(combined, 1002.2391, 0.01);
    close(degrees, 16.741_15, 2e-4);
    // A trap: worked with 32, 25, 9.7, 2.9 and 16.6 it would be 17.47.
    assert!((degrees - 17.47).abs() > 0.7);
    let t = student::two_sided(0.99, degrees.floor());
    close(t, 2.920_781_6, 5e-8);
    close(t * combined.sqrt(), 92.4666, 6e-4);
    close(student::two_sided(0.95, 16.0), 2.119_905_3, 5e-8);
    // With the real ν, computed independently: the root of the tail at ν = 16.74115.
    close(student::two_sided(0.99, degrees), 2.903_781, 1e-5);
}

/// JCGM 100:2008, G.4.1: relative 0.25, 0.57 and 0.82 % from 10, 5 and 15 observations give
/// 1.03 %, ν = 19.0, t₉₅ = 2.09, U₉₅ = 2.2 %. Unrounded ν = 18.9987: truncated it would be 18.
#[test]
fn jcgm_100_g_4_1() {
    let parts = [(0.25_f64, 9.0), (0.57, 4.0), (0.82, 14.0)].map(|(u, v)| (u * u, v));
    let combined = parts.iter().map(|p| p.0).sum::<f64>().sqrt();
    close(combined, 1.029_466, 5e-7);
    let degrees = effective_degrees(parts);
    close(degrees, 18.9987, 5e-5);
    let k = student::two_sided(0.95, degrees);
    close(k, 2.09, 0.005);
    // Computed independently: the root of the tail at ν = 18.9987.
    close(k, 2.093_033_7, 1e-6);
    close(k * combined, 2.2, 0.05);
}

// ---- Positions ---------------------------------------------------------------------------

/// Computed independently: Rayleigh, u = 0.01 about the centre of a zone of diameter 0.05,
/// 1 − exp(−(0.025/0.01)²/2), and the zone that holds 95 %.
#[test]
fn a_point_about_the_middle_of_its_zone() {
    let of = Bivariate::round([0.0, 0.0], 0.01);
    close(in_disc(&of, 0.025), 0.956_063_066_4, 5e-11);
    close(in_disc(&of, 0.5 * 0.048_954_936_6), 0.95, 1e-10);
}

/// Computed independently in 30 digits by two quadratures; the second is nearly Φ(½), since the
/// ellipse is thin along x and ends near the boundary along y.
#[test]
fn probability_of_a_position() {
    let of = Bivariate::new([0.012, -0.017], [[9e-6, 4e-6], [4e-6, 16e-6]]);
    close(in_disc(&of, 0.025), 0.888_886_414_232_9, 1e-11);
    let thin = Bivariate::new([0.0, 0.024], [[1e-12, 0.0], [0.0, 4e-6]]);
    close(in_disc(&thin, 0.025), 0.691_462_457_753_4, 1e-11);
    close(in_disc(&thin, 0.025), normal::cdf(0.5), 1e-8);
}

// ---- Decisions ---------------------------------------------------------------------------

/// JCGM 106:2012, 7.3: −5.47, u = 0.05, upper limit −5.40: 0.92; 509.7, u = 8.6, lower limit 490:
/// 0.99. Computed independently: Φ(1.4), Φ(19.7/8.6).
#[test]
fn jcgm_106_7_3() {
    let upper = in_interval(-5.47, 0.05, None, Some(-5.40));
    close(upper, 0.92, 0.005);
    close(upper, 0.919_243_34, 5e-9);
    let lower = in_interval(509.7, 8.6, Some(490.0), None);
    close(lower, 0.99, 0.005);
    close(lower, 0.989_009_55, 5e-9);
}

/// JCGM 106:2012, 7.6: at T/(2U) = 1 a measured value has 95 % only in the middle tenth of the
/// tolerance, from 0.45 to 0.55; at 4, u is at most T/16.
#[test]
fn jcgm_106_7_6() {
    let probability = |at: f64| in_interval(at, 0.25, Some(0.0), Some(1.0));
    close(capability(1.0, 2.0 * 0.25).ratio, 1.0, 0.0);
    for (at, enough) in [(0.44, false), (0.46, true), (0.5, true), (0.54, true), (0.56, false)] {
        assert_eq!(probability(at) >= 0.95, enough, "{at}");
    }
    close(capability(1.0, 2.0 / 16.0).ratio, 4.0, 0.0);
}

/// JCGM 106:2012, 8.3.2 (after ISO 14253-1): a guard band of U = 2u leaves a risk of at most 2.3 %.
#[test]
fn jcgm_106_8_3_2() {
    let (limit, u) = (10.0, 0.01);
    let accepted = limit - 2.0 * u;
    let guarded = Rule::Guarded { g: 1.0 };
    assert_eq!(decide(limit - accepted, 2.0 * u, guarded), Decision::Conforms);
    assert_eq!(decide(limit - accepted - 1e-6, 2.0 * u, guarded), Decision::NotProven);
    let risk = 1.0 - in_interval(accepted, u, None, Some(limit));
    close(risk, 0.023, 0.000_5);
    close(risk, 0.022_750_13, 5e-9);
}

/// JCGM 106:2012, 8.3.3: s = 0.20 of ten readings, 95 % on one side: 1.83 · 0.20 = 0.37.
#[test]
fn jcgm_106_8_3_3() {
    let t = student::quantile(0.95, 9.0);
    close(t, 1.833_112_93, 5e-9);
    close(0.20 * t, 0.37, 0.005);
    close(0.20 * t, 0.366_622_59, 5e-9);
}

/// Computed independently: ±0.05, U = 0.008 with k = 2: accepted to ±0.042, where Φ(2) conform; at
/// 0.048 Φ(½). For a risk of 5 % of one limit 1.6448536 u = 0.8224268 U.
#[test]
fn guard_band_of_a_dimension() {
    let (limit, expanded) = (0.05, 0.008);
    let u = expanded / 2.0;
    let probability = |at: f64| in_interval(at, u, Some(-limit), Some(limit));
    close(probability(0.042), 0.977_249_87, 5e-9);
    close(probability(-0.048), 0.691_462_46, 5e-9);
    let guarded = Rule::Guarded { g: 1.0 };
    assert_eq!(decide(limit - 0.042, expanded, guarded), Decision::Conforms);
    assert_eq!(decide(limit - 0.048, expanded, guarded), Decision::NotProven);
    assert_eq!(decide(limit - 0.052, expanded, guarded), Decision::NotProven);
    assert_eq!(decide(limit - 0.0581, expanded, guarded), Decision::DoesNotConform);
    assert_eq!(decide(limit - 0.048, expanded, Rule::Simple), Decision::Conforms);
    let g = normal::upper(0.05) / 2.0;
    close(g, 0.822_426_8, 5e-8);
    let at = limit - g * expanded;
    assert_eq!(decide(limit - at, expanded, Rule::Guarded { g }), Decision::Conforms);
    close(probability(at), 0.95, 1e-9);
}

/// ASME B89.7.3.1-2001, the N:1 rule: with T = 0.1 it is 4:1 up to U = 0.0125 (computed from the
/// definition, T ≥ N · 2U).
#[test]
fn four_to_one() {
    assert_eq!(capability(0.1, 0.0125).share, Share::FourToOne);
    assert_eq!(capability(0.1, 0.0125 + 1e-6).share, Share::Coarse);
    assert_eq!(capability(0.1, 0.005).share, Share::TenToOne);
}

/// JCGM 106:2012, 9.5.3: resistors between 1499.8 and 1500.2, production N(1500, 0.12), u = 0.04,
/// accepted from 1499.82 to 1500.18: 90 % conform, 1 % is the consumer's and 7 % the producer's
/// risk. Computed independently: 0.90441930, 0.0098782915, 0.0690265105.
#[test]
fn jcgm_106_9_5_3() {
    let (u0, um) = (0.12, 0.04);
    close(in_interval(0.0, u0, Some(-0.2), Some(0.2)), 0.904_419_30, 5e-9);
    // Accepted, over the true values from `a` to `b`, by Simpson's rule.
    let accepted = |a: f64, b: f64| {
        let h = (b - a) / 4000.0;
        (0..=4000)
            .map(|i| {
                let weight = match i {
                    0 | 4000 => 1.0,
                    i => f64::from(2 + 2 * (i % 2)),
                };
                let x = a + h * f64::from(i);
                let taken = in_interval(x, um, Some(-0.18), Some(0.18));
                weight * h / 3.0 * normal::pdf(x / u0) / u0 * taken
            })
            .sum::<f64>()
    };
    let consumer = accepted(-1.2, -0.2) + accepted(0.2, 1.2);
    let producer = in_interval(0.0, u0, Some(-0.2), Some(0.2)) - accepted(-0.2, 0.2);
    close(consumer, 0.009_878_291_5, 1e-9);
    close(producer, 0.069_026_510_5, 1e-9);
}

// ---- By experiment -----------------------------------------------------------------------

/// Share of successes among 200,000 trials.
fn share(random: &mut Random, mut trial: impl FnMut(&mut Random) -> bool) -> f64 {
    let hits: u32 = (0..200_000).map(|_| u32::from(trial(random))).sum();
    f64::from(hits) / 200_000.0
}

/// A point with this covariance, by Cholesky's factor.
fn draw(of: &Bivariate, by: &mut Random) -> [f64; 2] {
    let a = of.xx.sqrt();
    let b = of.xy / a;
    let c = (of.yy - b * b).sqrt();
    let (u, v) = (by.normal(), by.normal());
    [of.mean[0] + a * u, of.mean[1] + b * u + c * v]
}

/// JCGM 102:2011, 9.3, table 6: the radius √(X₁² + X₂²) with u = 0.010 each, r = 0: at x₁ = 0.001,
/// 0.010, 0.100 it is 0.013, 0.015, 0.101 with u 0.007, 0.008, 0.010. Computed independently: mean
/// and standard deviation of Rice's distribution.
///
/// To first order (the law of propagation) it would be the distance itself with u = 0.010. That
/// is right where the distance is ten times the uncertainty, and wrong by all of the mean and a
/// third of the uncertainty near the middle of the zone.
#[test]
fn jcgm_102_table_6_and_first_order() {
    let mut random = Random::new(6);
    for (x, printed, rice, first_order_holds) in [
        (0.001, (0.013, 0.007), (0.012_564_45, 0.006_567_68), false),
        (0.010, (0.015, 0.008), (0.015_485_72, 0.007_758_37), false),
        (0.100, (0.101, 0.010), (0.100_501_27, 0.009_974_71), true),
    ] {
        let of = Bivariate::round([x, 0.0], 0.010);
        let radii: Vec<f64> =
            (0..200_000).map(|_| draw(&of, &mut random)).map(|[x, y]| libm::hypot(x, y)).collect();
        let (mean, deviation) = mean_and_deviation(&radii);
        // Four standard deviations of a mean of 200,000, and of their standard deviation.
        close(mean, rice.0, 4.0 * 0.010 / f64::sqrt(2e5));
        close(deviation, rice.1, 4.0 * 0.010 / f64::sqrt(4e5));
        close(mean, printed.0, 0.000_6);
        close(deviation, printed.1, 0.000_6);
        let holds = (mean - x).abs() < 0.1 * 0.010 && (deviation - 0.010).abs() < 0.1 * 0.010;
        assert_eq!(holds, first_order_holds, "at {x}");
    }
}

/// Where the probability of conformity to first order, Φ((R − r)/u), can stand for the exact one:
/// far from the middle in a zone wide against u. Near the middle it promises 0.992 where 0.956
/// conform.
#[test]
fn conformity_to_first_order_holds_far_from_the_middle_only() {
    let (u, mut random) = (0.010, Random::new(31));
    for (r, radius, agrees) in [
        (0.490, 0.500, true),
        (0.240, 0.250, true),
        (0.010, 0.025, false),
        (0.001, 0.025, false),
        (0.001, 0.010, false),
    ] {
        let of = Bivariate::round([r, 0.0], u);
        let exact = in_disc(&of, radius);
        let share = share(&mut random, |by| {
            let [x, y] = draw(&of, by);
            libm::hypot(x, y) <= radius
        });
        // Four standard deviations of a share of 200,000, at most.
        close(share, exact, 4.0 * 0.5 / f64::sqrt(2e5));
        let first_order = normal::cdf((radius - r) / u);
        assert_eq!((first_order - exact).abs() < 0.01, agrees, "{first_order} and {exact} at {r}");
    }
    close(in_disc(&Bivariate::round([0.001, 0.0], u), 0.025), 0.956, 0.001);
    close(normal::cdf(2.4), 0.992, 0.000_5);
}

#[test]
fn discs_by_experiment() {
    let mut random = Random::new(2);
    for (mean, covariance, radius) in [
        ([0.012, -0.017], [[9e-6, 4e-6], [4e-6, 16e-6]], 0.025),
        ([0.0, 0.02], [[4e-4, -1e-4], [-1e-4, 5e-5]], 0.025),
        ([0.05, 0.05], [[1e-3, 9e-4], [9e-4, 1e-3]], 0.06),
        ([0.2, -0.1], [[4e-2, 0.0], [0.0, 1e-4]], 0.15),
    ] {
        let of = Bivariate::new(mean, covariance);
        let share = share(&mut random, |by| {
            let [x, y] = draw(&of, by);
            libm::hypot(x, y) <= radius
        });
        close(in_disc(&of, radius), share, 4.0 * 0.5 / f64::sqrt(2e5));
    }
}

/// A zone that grows with an uncertain size, at the corners of the bonus and between them. Taking
/// the measured bonus for exact gives the same between the corners only if the size is known
/// much better than the position.
#[test]
fn growing_discs_by_experiment() {
    let mut random = Random::new(5);
    let of = Bivariate::new([0.05, 0.04], [[1e-5, 2e-6], [2e-6, 2e-5]]);
    for (departure, standard, most, as_if_exact) in [
        (0.03, 0.0005, 0.1, true),
        (0.035, 0.010, 0.1, false),
        (0.0, 0.020, 0.1, false),
        (0.035, 0.020, 0.036, false),
        (0.2, 0.004, 0.03, true),
    ] {
        let by = GrowingBy { departure, standard, with: [0.0; 2], most };
        let is = in_growing_disc(&of, 0.05, &by);
        let share = share(&mut random, |by| {
            let [x, y] = draw(&of, by);
            let bonus = (departure + standard * by.normal()).clamp(0.0, most);
            libm::hypot(x, y) <= 0.05 + 0.5 * bonus
        });
        close(is, share, 4.0 * 0.5 / f64::sqrt(2e5));
        let exact = in_disc(&of, 0.05 + 0.5 * departure.clamp(0.0, most));
        assert_eq!((is - exact).abs() < 0.005, as_if_exact, "{is} and {exact} at {departure}");
    }
}
