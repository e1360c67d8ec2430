//! Tolerance classes against published tables. Micrometres in the tables here, as printed.

use quarterturn_core::grade::{Class, Deviations, Grade, deviations, parse, standard_tolerance};

fn class(text: &str) -> Class {
    text.parse().unwrap()
}

/// Limit deviations in µm.
fn is(nominal: f64, text: &str, lower: f64, upper: f64) {
    let expected = Deviations { lower: lower / 1000.0, upper: upper / 1000.0 };
    assert_eq!(deviations(nominal, class(text)), Ok(expected), "{nominal} {text}");
}

/// The fundamental deviation in µm: the limit nearer to the nominal size.
fn fundamental(nominal: f64, text: &str) -> f64 {
    let d = deviations(nominal, class(text)).unwrap();
    let nearer = if d.lower.abs() < d.upper.abs() { d.lower } else { d.upper };
    nearer * 1000.0
}

fn near(a: f64, b: f64, what: &str) {
    assert!((a - b).abs() < 1e-9, "{what}: {a}, printed {b}");
}

fn numbers(row: &str) -> Vec<f64> {
    row.split_whitespace().map(|w| w.parse().unwrap()).collect()
}

/// K. L. Narayana, P. Kannaiah, K. Venkata Reddy, Machine Drawing, table 15.1 (IS 919): upper bound
/// of the range, then grades 01, 0, 1 to 16.
const GRADES: &str = "
    3 0.3 0.5 0.8 1.2 2 3 4 6 10 14 25 40 60 100 140 250 400 600
    6 0.4 0.6 1 1.5 2.5 4 5 8 12 18 30 48 75 120 180 300 480 750
    10 0.4 0.6 1 1.5 2.5 4 6 9 15 22 36 58 90 150 220 360 580 900
    18 0.5 0.8 1.2 2 3 5 8 11 18 27 43 70 110 180 270 430 700 1100
    30 0.6 1 1.5 2.5 4 6 9 13 21 33 52 84 130 210 330 520 840 1300
    50 0.6 1 1.5 2.5 4 7 11 16 25 39 62 100 160 250 390 620 1000 1600
    80 0.8 1.2 2 3 5 8 13 19 30 46 74 120 190 300 460 740 1200 1900
    120 1 1.5 2.5 4 6 10 15 22 35 54 87 140 220 350 540 870 1400 2200
    180 1.2 2 3.5 5 8 12 18 25 40 63 100 160 250 400 630 1000 1600 2500
    250 2 3 4.5 7 10 14 20 29 46 72 115 185 290 460 720 1150 1850 2900
    315 2.5 4 6 8 12 16 23 32 52 81 130 210 320 520 810 1300 2100 3200
    400 3 5 7 9 13 18 25 36 57 89 140 230 360 570 890 1400 2300 3600
    500 4 6 8 10 15 20 27 40 63 97 155 250 400 630 970 1550 2500 4000";

#[test]
fn tolerance_grades_to_500_mm() {
    for row in GRADES.lines().skip(1) {
        let row = numbers(row);
        for (grade, width) in Grade::all().zip(&row[1..]) {
            let found = 1000.0 * standard_tolerance(row[0], grade).unwrap();
            near(found, *width, &format!("IT{grade} at {}", row[0]));
        }
    }
}

/// ISO 286-1:1988, annex A: IT17 and IT18 are ten times IT12 and IT13, as each fifth grade is ten
/// times as wide. Rule read in a digest of the standard; the same holds above 500 mm.
#[test]
fn every_fifth_grade_is_ten_times_as_wide() {
    let it = |n| Grade::it(n).unwrap();
    for size in [3.0, 6.0, 10.0, 18.0, 30.0, 50.0, 80.0, 120.0, 180.0, 250.0, 315.0, 400.0, 500.0]
        .into_iter()
        .chain([630.0, 800.0, 1000.0, 1250.0, 1600.0, 2000.0, 2500.0, 3150.0])
    {
        for (fine, coarse) in [(12, 17), (13, 18)] {
            let (fine, coarse) =
                (standard_tolerance(size, it(fine)), standard_tolerance(size, it(coarse)));
            near(10.0 * fine.unwrap(), coarse.unwrap(), &format!("IT at {size}"));
        }
    }
}

/// The unit i = 0.45 D^(1/3) + 0.001 D µm to 500 mm (IS 919-1:1993 = ISO 286-1:1988, A.3.2.1, which
/// gives D = 1.732 mm for the first step) and I = 0.004 D + 2.1 µm above, with IT6 = 10 units, IT7 =
/// 16 and so on, from memory. The tables above 500 mm are from memory too; this holds them.
#[test]
fn tolerance_grades_follow_their_unit() {
    let bounds = [
        1.0, 3.0, 6.0, 10.0, 18.0, 30.0, 50.0, 80.0, 120.0, 180.0, 250.0, 315.0, 400.0, 500.0,
        630.0, 800.0, 1000.0, 1250.0, 1600.0, 2000.0, 2500.0, 3150.0,
    ];
    let factors = [(5, 7.0), (6, 10.0), (7, 16.0), (8, 25.0), (9, 40.0), (10, 64.0), (11, 100.0)];
    for ends in bounds.windows(2) {
        let d = libm::sqrt(ends[0] * ends[1]);
        let unit =
            if ends[1] <= 500.0 { 0.45 * libm::cbrt(d) + 0.001 * d } else { 0.004 * d + 2.1 };
        for (n, factor) in factors {
            // IT9 and up of the first range are wider than their unit: 25 for 21.7 µm, and so on.
            if ends[1] <= 3.0 && n >= 9 {
                continue;
            }
            let width = 1000.0 * standard_tolerance(ends[1], Grade::it(n).unwrap()).unwrap();
            let exact = unit * factor;
            let rounding =
                if ends[1] <= 500.0 { 1.4_f64.max(0.055 * exact) } else { 0.055 * exact };
            assert!((width - exact).abs() <= rounding, "IT{n} {}: {width} {exact}", ends[1]);
        }
        if ends[1] > 500.0 {
            for (n, factor) in [(1, 2.0), (2, 2.7), (3, 3.7), (4, 5.0)] {
                let width = 1000.0 * standard_tolerance(ends[1], Grade::it(n).unwrap()).unwrap();
                assert!((width - unit * factor).abs() <= 1.5, "IT{n} {}", ends[1]);
            }
        }
    }
}

/// IS 919-1:1993 = ISO 286-1:1988: the values of IT10i, 16i, 25i that plain rounding misses are the
/// table's, not the formula's (5.42, 7.33; 8.67, 14.37, 17.32 computed independently).
#[test]
fn where_rounding_the_formula_is_wrong_the_table_counts() {
    for (size, class, width) in [
        (3.0, "H6", 6.0),
        (6.0, "H6", 8.0),
        (3.0, "H7", 10.0),
        (10.0, "H7", 15.0),
        (18.0, "H7", 18.0),
    ] {
        is(size, class, 0.0, width);
    }
    // IT1 18-30: 0.8 + 0.020 D = 1.2648, table 1.5.
    is(25.0, "h1", -1.5, 0.0);
    // IT14, a public encyclopaedia's article on the grades.
    is(10.0, "H14", 0.0, 360.0);
    is(100.0, "H14", 0.0, 870.0);
}

/// ISO 286-2:1988/Cor.1:2006: the values that four misprints were corrected to.
#[test]
fn the_corrigendum_of_iso_286_2() {
    is(340.0, "A13", 1200.0, 2090.0);
    is(100.0, "E8", 72.0, 126.0);
    is(25.0, "R10", -112.0, -28.0);
    is(300.0, "f9", -186.0, -56.0);
}

/// Outer features m to zc: Machine Drawing, table 15.2, p. 216 (IS 919). Upper bound, then letters;
/// a dash where there is none.
const M_TO_ZC: &str = "
    3 2 4 6 10 14 - 18 - 20 - 26 32 40 60
    6 4 8 12 15 19 - 23 - 28 - 35 42 50 80
    10 6 10 15 19 23 - 28 - 34 - 42 52 67 97
    14 7 12 18 23 28 - 33 - 40 - 50 64 90 130
    18 7 12 18 23 28 - 33 39 45 - 60 77 108 150
    24 8 15 22 28 35 - 41 47 54 63 73 98 136 188
    30 8 15 22 28 35 41 48 55 64 75 88 118 160 218
    40 9 17 26 34 43 48 60 68 80 94 112 148 200 274
    50 9 17 26 34 43 54 70 81 97 114 136 180 242 325
    65 11 20 32 41 53 66 87 102 122 144 172 226 300 405
    80 11 20 32 43 59 75 102 120 146 174 210 274 360 480
    100 13 23 37 51 71 91 124 146 178 214 258 335 445 585
    120 13 23 37 54 79 104 144 172 210 254 310 400 525 690
    140 15 27 43 63 92 122 170 202 248 300 365 470 620 800
    160 15 27 43 65 100 134 190 228 280 340 415 535 700 900
    180 15 27 43 68 108 146 210 252 310 380 465 600 780 1000";

#[test]
fn outer_features_m_to_zc_to_180_mm() {
    let letters = ["m", "n", "p", "r", "s", "t", "u", "v", "x", "y", "z", "za", "zb", "zc"];
    for row in M_TO_ZC.lines().skip(1) {
        let mut words = row.split_whitespace();
        let size: f64 = words.next().unwrap().parse().unwrap();
        for (letter, word) in letters.iter().zip(words) {
            for grade in [1, 5, 6, 7, 11, 16] {
                let text = format!("{letter}{grade}");
                if word == "-" {
                    assert!(deviations(size, class(&text)).is_err(), "{size} {text}");
                } else {
                    near(fundamental(size, &text), word.parse().unwrap(), &text);
                    // The mirror image, where Δ does not apply.
                    if grade > 8 && *letter != "n" {
                        let text = text.to_uppercase();
                        near(-fundamental(size, &text), word.parse().unwrap(), &text);
                    }
                }
            }
        }
    }
}

/// Machine Drawing, table 15.3, p. 221: inner features P to ZC above IT7, and Δ for IT3 to IT8.
const P_TO_ZC: &str = "
    200 50 77 122 166 236 284 350 425 520 670 880 1150  3 4 6 9 17 26
    225 50 80 130 180 258 310 385 470 575 740 960 1250  3 4 6 9 17 26
    250 50 84 140 196 284 340 425 520 640 820 1050 1350  3 4 6 9 17 26
    280 56 94 158 218 315 385 475 580 710 920 1200 1550  4 4 7 9 20 29
    315 56 98 170 240 350 425 525 650 790 1000 1300 1700  4 4 7 9 20 29
    355 62 108 190 268 390 475 590 730 900 1150 1500 1900  4 5 7 11 21 32
    400 62 114 208 294 435 530 660 820 1000 1300 1650 2100  4 5 7 11 21 32
    450 68 126 232 330 490 595 740 920 1100 1450 1850 2400  5 5 7 13 23 34
    500 68 132 252 360 540 660 820 1000 1250 1600 2100 2600  5 5 7 13 23 34";

/// Two misprints there are put right: U 200-225 has 256 where IT7 + D = 258.1 (table 15.4), X
/// 355-400 has 650 where IT7 + 1.6 D = 659.9.
#[test]
fn inner_features_p_to_zc_to_500_mm() {
    let letters = ["P", "R", "S", "T", "U", "V", "X", "Y", "Z", "ZA", "ZB", "ZC"];
    for row in P_TO_ZC.lines().skip(1) {
        let row = numbers(row);
        let (deltas, values) = (&row[13..], &row[1..13]);
        for (letter, value) in letters.iter().zip(values) {
            for grade in [8, 9, 12, 18] {
                let text = format!("{letter}{grade}");
                near(fundamental(row[0], &text), -value, &text);
                near(fundamental(row[0], &text.to_lowercase()), *value, &text);
            }
            for (grade, delta) in (3..=7).zip(deltas) {
                let text = format!("{letter}{grade}");
                near(fundamental(row[0], &text), delta - value, &text);
            }
        }
        // Δ of IT8 is for K, M and N.
        let m = fundamental(row[0], "M9");
        near(1000.0 * deviations(row[0], class("M8")).unwrap().upper, m + deltas[5], "M8");
    }
}

/// Machine Drawing, table 15.2, p. 215: upper bound, a b c d e f g, then j5/j6, j7 and k4 to k7.
const A_TO_K: &str = "
    200 660 340 240 170 100 50 15 13 21 4
    225 740 380 260 170 100 50 15 13 21 4
    250 820 420 280 170 100 50 15 13 21 4
    280 920 480 300 190 110 56 17 16 26 4
    315 1050 540 330 190 110 56 17 16 26 4
    355 1200 600 360 210 125 62 18 18 28 4
    400 1350 680 400 210 125 62 18 18 28 4
    450 1500 760 440 230 135 68 20 20 32 5
    500 1650 840 480 230 135 68 20 20 32 5";

/// The same columns a b c d e f g to 180 mm: Machinery's Handbook, 31st ed., table 6a (BS
/// 4500:1969, inner features A to G) and a table of outer features on an engineer's page agree.
const A_TO_G: &str = "
    3 270 140 60 20 14 6 2
    6 270 140 70 30 20 10 4
    10 280 150 80 40 25 13 5
    14 290 150 95 50 32 16 6
    18 290 150 95 50 32 16 6
    24 300 160 110 65 40 20 7
    30 300 160 110 65 40 20 7
    40 310 170 120 80 50 25 9
    50 320 180 130 80 50 25 9
    65 340 190 140 100 60 30 10
    80 360 200 150 100 60 30 10
    100 380 220 170 120 72 36 12
    120 410 240 180 120 72 36 12
    140 460 260 200 145 85 43 14
    160 520 280 210 145 85 43 14
    180 580 310 230 145 85 43 14";

#[test]
fn features_a_to_k() {
    let letters = ["a", "b", "c", "d", "e", "f", "g"];
    for row in A_TO_G.lines().skip(1).chain(A_TO_K.lines().skip(1)) {
        let row = numbers(row);
        for (letter, value) in letters.iter().zip(&row[1..]) {
            for grade in [1, 7, 9, 13] {
                let text = format!("{letter}{grade}");
                let d = deviations(row[0], class(&text)).unwrap();
                near(1000.0 * d.upper, -value, &text);
                let d = deviations(row[0], class(&text.to_uppercase())).unwrap();
                near(1000.0 * d.lower, *value, &text);
            }
        }
        if let [j6, j7, k] = row[8..] {
            near(1000.0 * deviations(row[0], class("j6")).unwrap().lower, -j6, "j6");
            near(1000.0 * deviations(row[0], class("j5")).unwrap().lower, -j6, "j5");
            near(1000.0 * deviations(row[0], class("j7")).unwrap().lower, -j7, "j7");
            for (text, value) in [("k3", 0.0), ("k4", k), ("k7", k), ("k8", 0.0), ("k12", 0.0)] {
                near(1000.0 * deviations(row[0], class(text)).unwrap().lower, value, text);
            }
        }
    }
    // Machinery's Handbook, 31st ed., table 6a: CD, EF and FG, to 10 mm. From there to 50 mm the
    // edition of 2010: three published tables agree, the standard itself was not at hand.
    for (size, cd, ef, fg) in [
        (3.0, 34.0, 10.0, 4.0),
        (6.0, 46.0, 14.0, 6.0),
        (10.0, 56.0, 18.0, 8.0),
        (10.1, 70.0, 23.0, 10.0),
        (18.0, 70.0, 23.0, 10.0),
        (18.1, 85.0, 28.0, 12.0),
        (30.0, 85.0, 28.0, 12.0),
        (30.1, 100.0, 35.0, 15.0),
        (50.0, 100.0, 35.0, 15.0),
    ] {
        for (letter, value) in [("CD", cd), ("EF", ef), ("FG", fg)] {
            let text = format!("{letter}8");
            near(1000.0 * deviations(size, class(&text)).unwrap().lower, value, &text);
            let text = text.to_lowercase();
            near(1000.0 * deviations(size, class(&text)).unwrap().upper, -value, &text);
        }
    }
}

/// Machine Drawing, table 15.3, p. 219: upper bound, J6 J7 J8, −K, −M, −N without Δ.
/// To 120 mm: Machinery's Handbook, 31st ed., table 6a (BS 4500:1969).
const J_TO_N: &str = "
    6 5 6 10 1 4 8
    10 5 8 12 1 6 10
    14 6 10 15 1 7 12
    18 6 10 15 1 7 12
    24 8 12 20 2 8 15
    30 8 12 20 2 8 15
    50 10 14 24 2 9 17
    140 18 26 41 3 15 27
    250 22 30 47 4 17 31
    315 25 36 55 4 20 34
    400 29 39 60 4 21 37
    500 33 43 66 5 23 40";

#[test]
fn inner_features_j_to_n() {
    for row in J_TO_N.lines().skip(1) {
        let row = numbers(row);
        let upper = |text: &str| 1000.0 * deviations(row[0], class(text)).unwrap().upper;
        let width = |n| 1000.0 * standard_tolerance(row[0], Grade::it(n).unwrap()).unwrap();
        near(upper("J6"), row[1], "J6");
        near(upper("J7"), row[2], "J7");
        near(upper("J8"), row[3], "J8");
        for n in 3..=8 {
            let delta = width(n) - width(n - 1);
            near(upper(&format!("K{n}")), delta - row[4], &format!("K{n} {}", row[0]));
            // M6 250-315 is -9 instead of -11: the note under that table.
            let exception =
                if (n, row[0] > 250.0, row[0] <= 315.0) == (6, true, true) { 2.0 } else { 0.0 };
            near(upper(&format!("M{n}")), delta - row[5] + exception, &format!("M{n} {}", row[0]));
            near(upper(&format!("N{n}")), delta - row[6], &format!("N{n} {}", row[0]));
        }
        near(upper("M9"), -row[5], "M9");
        near(upper("N9"), 0.0, "N9");
        near(upper("N11"), 0.0, "N11");
        assert!(deviations(row[0], class("K9")).is_err());
    }
    is(300.0, "M6", -41.0, -9.0);
    is(3.0, "M8", -16.0, -2.0);
    is(3.0, "N9", -29.0, -4.0);
    is(3.0, "K9", -25.0, 0.0);
    // The example below table 15.3: P7 18-30 mm, Δ = 8, hence ES = -14.
    is(25.0, "P7", -35.0, -14.0);
}

/// Inner features as printed in a mould component catalogue's tables of metric tolerances (ISO):
/// upper bound; J6 J7 J8 K6 K7 K8 M6 M7 N6 N7 N8 R7 as upper and lower.
const INNER: &str = "
    3  2 -4 4 -6 6 -8  0 -6 0 -10 0 -14  -2 -8 -2 -12  -4 -10 -4 -14 -4 -18  -10 -20
    6  5 -3 6 -6 10 -8  2 -6 3 -9 5 -13  -1 -9 0 -12  -5 -13 -4 -16 -2 -20  -11 -23
    10  5 -4 8 -7 12 -10  2 -7 5 -10 6 -16  -3 -12 0 -15  -7 -16 -4 -19 -3 -25  -13 -28
    18  6 -5 10 -8 15 -12  2 -9 6 -12 8 -19  -4 -15 0 -18  -9 -20 -5 -23 -3 -30  -16 -34
    30  8 -5 12 -9 20 -13  2 -11 6 -15 10 -23  -4 -17 0 -21  -11 -24 -7 -28 -3 -36  -20 -41
    50  10 -6 14 -11 24 -15  3 -13 7 -18 12 -27  -4 -20 0 -25  -12 -28 -8 -33 -3 -42  -25 -50
    65  13 -6 18 -12 28 -18  4 -15 9 -21 14 -32  -5 -24 0 -30  -14 -33 -9 -39 -4 -50  -30 -60
    80  13 -6 18 -12 28 -18  4 -15 9 -21 14 -32  -5 -24 0 -30  -14 -33 -9 -39 -4 -50  -32 -62
    100  16 -6 22 -13 34 -20  4 -18 10 -25 16 -38  -6 -28 0 -35  -16 -38 -10 -45 -4 -58  -38 -73
    140  18 -7 26 -14 41 -22  4 -21 12 -28 20 -43  -8 -33 0 -40  -20 -45 -12 -52 -4 -67  -48 -88
    200  22 -7 30 -16 47 -25  5 -24 13 -33 22 -50  -8 -37 0 -46  -22 -51 -14 -60 -5 -77  -60 -106";

#[test]
fn inner_features_as_limits() {
    let classes = ["J6", "J7", "J8", "K6", "K7", "K8", "M6", "M7", "N6", "N7", "N8", "R7"];
    for row in INNER.lines().skip(1) {
        let row = numbers(row);
        for (text, limits) in classes.iter().zip(row[1..].chunks(2)) {
            is(row[0], text, limits[1], limits[0]);
        }
    }
    // The same tables: M8 and JS, which is not rounded to whole micrometres.
    for (size, m8) in [(6.0, -16.0), (10.0, -21.0), (18.0, -25.0), (30.0, -29.0), (80.0, -41.0)] {
        let width = 1000.0 * standard_tolerance(size, Grade::it(8).unwrap()).unwrap();
        is(size, "M8", m8, m8 + width);
    }
    for (size, js6, js7, js8, js9) in [
        (10.0, 4.5, 7.5, 11.0, 18.0),
        (18.0, 5.5, 9.0, 13.5, 21.5),
        (30.0, 6.5, 10.5, 16.5, 26.0),
        (120.0, 11.0, 17.5, 27.0, 43.5),
        (250.0, 14.5, 23.0, 36.0, 57.5),
    ] {
        for (text, half) in [("JS6", js6), ("JS7", js7), ("JS8", js8), ("JS9", js9), ("js9", js9)] {
            is(size, text, -half, half);
        }
    }
}

/// Outer features, JIS B 0401 (1999), as reprinted in a tool maker's technical pages: upper bound;
/// b9 c9 d8 e7 e8 f6 f7 f8 g5 g6 as upper and lower, then k5 k6 m5 m6 n6 p6 r6 s6 likewise.
const OUTER: &str = "
    3  -140 -165 -60 -85 -20 -34 -14 -24 -14 -28 -6 -12 -6 -16 -6 -20 -2 -6 -2 -8  4 0 6 0 6 2 8 2 10 4 12 6 16 10 20 14
    6  -140 -170 -70 -100 -30 -48 -20 -32 -20 -38 -10 -18 -10 -22 -10 -28 -4 -9 -4 -12  6 1 9 1 9 4 12 4 16 8 20 12 23 15 27 19
    10  -150 -186 -80 -116 -40 -62 -25 -40 -25 -47 -13 -22 -13 -28 -13 -35 -5 -11 -5 -14  7 1 10 1 12 6 15 6 19 10 24 15 28 19 32 23
    14  -150 -193 -95 -138 -50 -77 -32 -50 -32 -59 -16 -27 -16 -34 -16 -43 -6 -14 -6 -17  9 1 12 1 15 7 18 7 23 12 29 18 34 23 39 28
    30  -160 -212 -110 -162 -65 -98 -40 -61 -40 -73 -20 -33 -20 -41 -20 -53 -7 -16 -7 -20  11 2 15 2 17 8 21 8 28 15 35 22 41 28 48 35
    40  -170 -232 -120 -182 -80 -119 -50 -75 -50 -89 -25 -41 -25 -50 -25 -64 -9 -20 -9 -25  13 2 18 2 20 9 25 9 33 17 42 26 50 34 59 43
    50  -180 -242 -130 -192 -80 -119 -50 -75 -50 -89 -25 -41 -25 -50 -25 -64 -9 -20 -9 -25  13 2 18 2 20 9 25 9 33 17 42 26 50 34 59 43
    65  -190 -264 -140 -214 -100 -146 -60 -90 -60 -106 -30 -49 -30 -60 -30 -76 -10 -23 -10 -29  15 2 21 2 24 11 30 11 39 20 51 32 60 41 72 53";

#[test]
fn outer_features_as_limits() {
    let classes = [
        "b9", "c9", "d8", "e7", "e8", "f6", "f7", "f8", "g5", "g6", "k5", "k6", "m5", "m6", "n6",
        "p6", "r6", "s6",
    ];
    for row in OUTER.lines().skip(1) {
        let row = numbers(row);
        for (text, limits) in classes.iter().zip(row[1..].chunks(2)) {
            is(row[0], text, limits[1], limits[0]);
        }
    }
    // The same page: t6, u6, x6.
    for (size, text, lower, upper) in [
        (30.0, "t6", 41.0, 54.0),
        (24.0, "u6", 41.0, 54.0),
        (24.0, "x6", 54.0, 67.0),
        (40.0, "u6", 60.0, 76.0),
        (65.0, "u6", 87.0, 106.0),
    ] {
        is(size, text, lower, upper);
    }
}

/// Hole-basis fits: Aeronautical Engineer's Data Book, p. 227 (data from BS 4500). Upper bound; H7
/// upper; g6 h6 k6 n6 p6 s6 as upper and lower; H8 upper; e9 as upper and lower. Two misprints
/// there, f7 6-10 upper -12 and d10 18-30 upper -69, do not add up with their tolerance and are
/// left out.
const FITS: &str = "
    10  15  -5 -14 0 -9 10 1 19 10 24 15 32 23  22  -25 -61
    18  18  -6 -17 0 -11 12 1 23 12 29 18 39 28  27  -32 -75
    30  21  -7 -20 0 -13 15 2 28 15 35 22 48 35  33  -40 -92
    40  25  -9 -25 0 -16 18 2 33 17 42 26 59 43  39  -50 -112";

#[test]
fn hole_basis_fits() {
    for row in FITS.lines().skip(1) {
        let row = numbers(row);
        is(row[0], "H7", 0.0, row[1]);
        is(row[0], "H8", 0.0, row[14]);
        let classes = ["g6", "h6", "k6", "n6", "p6", "s6"];
        for (text, limits) in classes.iter().zip(row[2..14].chunks(2)) {
            is(row[0], text, limits[1], limits[0]);
        }
        is(row[0], "e9", row[16], row[15]);
    }
    for (size, lower, upper) in [
        (10.0, -170.0, -80.0),
        (18.0, -205.0, -95.0),
        (30.0, -240.0, -110.0),
        (40.0, -280.0, -120.0),
        (50.0, -290.0, -130.0),
    ] {
        is(size, "c11", lower, upper);
    }
    for (size, lower, upper) in
        [(10.0, -28.0, -13.0), (18.0, -34.0, -16.0), (30.0, -41.0, -20.0), (40.0, -50.0, -25.0)]
    {
        is(size, "f7", lower, upper);
    }
    // 20 H7/g6 and 25 H7/p6, computed independently from these rows.
    let [h, g] = ["H7", "g6"].map(|t| deviations(20.0, class(t)).unwrap());
    near(h.lower - g.upper, 0.007, "least clearance");
    near(h.upper - g.lower, 0.041, "greatest clearance");
    let [h, p] = ["H7", "p6"].map(|t| deviations(25.0, class(t)).unwrap());
    near(p.lower - h.upper, 0.001, "least interference");
    near(p.upper - h.lower, 0.035, "greatest interference");
}

/// ANSI B4.2-1978, preferred shaft-basis fits: greatest and least size in mm of K7 N7 P7 S7 U7.
#[test]
fn shaft_basis_fits() {
    for (size, limits) in [
        (7.0, [(7.005, 6.990), (6.996, 6.981), (6.991, 6.976), (6.983, 6.968), (6.978, 6.963)]),
        (10.0, [(10.005, 9.990), (9.996, 9.981), (9.991, 9.976), (9.983, 9.968), (9.978, 9.963)]),
        (
            12.0,
            [
                (12.006, 11.988),
                (11.995, 11.977),
                (11.989, 11.971),
                (11.979, 11.961),
                (11.974, 11.956),
            ],
        ),
    ] {
        for (text, (greatest, least)) in ["K7", "N7", "P7", "S7", "U7"].iter().zip(limits) {
            let d = deviations(size, class(text)).unwrap();
            near(size + d.upper, greatest, text);
            near(size + d.lower, least, text);
        }
    }
    // Preferred hole-basis fits: H11/c11 and H9/d9 at 1 and 5 mm.
    is(1.0, "c11", -120.0, -60.0);
    is(1.0, "d9", -45.0, -20.0);
    is(5.0, "c11", -145.0, -70.0);
    is(5.0, "H9", 0.0, 30.0);
}

/// Deviations above 500 mm, inner and outer alike: a mould component catalogue's table of
/// fundamental deviations. Upper bound; r s t u.
const R_TO_U: &str = "
    560 150 280 400 600
    630 155 310 450 660
    710 175 340 500 740
    800 185 380 560 840
    900 210 430 620 940
    1000 220 470 680 1050
    1120 250 520 780 1150
    1250 260 580 840 1300
    1400 300 640 960 1450
    1600 330 720 1050 1600
    1800 370 820 1200 1850
    2000 400 920 1350 2000
    2240 440 1000 1500 2300
    2500 460 1100 1650 2500
    2800 550 1250 1900 2900
    3150 580 1400 2100 3200";

/// The same: upper bound; d e f g below the nominal size, m n p above it. Its d column could not be
/// told from the text above the first row; d is from memory, held by its formula below.
const E_TO_P: &str = "
    630 145 76 22 26 44 78
    800 160 80 24 30 50 88
    1000 170 86 26 34 56 100
    1250 195 98 28 40 66 120
    1600 220 110 30 48 78 140
    2000 240 120 32 58 92 170
    2500 260 130 34 68 110 195
    3150 290 145 38 76 135 240";

#[test]
fn deviations_above_500_mm() {
    let mirror = |size: f64, letter: &str, value: f64| {
        for grade in [6, 7, 9, 16] {
            let text = format!("{letter}{grade}");
            near(fundamental(size, &text), value, &text);
            near(fundamental(size, &text.to_uppercase()), -value, &text);
        }
    };
    for row in R_TO_U.lines().skip(1) {
        let row = numbers(row);
        for (letter, value) in ["r", "s", "t", "u"].iter().zip(&row[1..]) {
            mirror(row[0], letter, *value);
        }
    }
    for row in E_TO_P.lines().skip(1) {
        let row = numbers(row);
        for (letter, value) in ["e", "f", "g"].iter().zip(&row[1..]) {
            mirror(row[0], letter, -value);
        }
        for (letter, value) in ["m", "n", "p"].iter().zip(&row[4..]) {
            mirror(row[0], letter, *value);
        }
        let upper = |text: &str| 1000.0 * deviations(row[0], class(text)).unwrap().upper;
        near(upper("K7"), 0.0, "K7");
        near(upper("JS7"), -1000.0 * deviations(row[0], class("js7")).unwrap().lower, "JS7");
    }
    // d = 16 D^0.44 (Machine Drawing, table 15.4), rounded to tens or so.
    let mut from = 500.0;
    for to in [630.0, 800.0, 1000.0, 1250.0, 1600.0, 2000.0, 2500.0, 3150.0] {
        let exact = 16.0 * libm::pow(libm::sqrt(from * to), 0.44);
        let d = -fundamental(to, "d9");
        assert!((d - exact).abs() < 0.04 * exact, "d at {to}: {d} {exact}");
        from = to;
    }
}

/// j to 180 mm, from memory of ISO 286-1: j5/j6 and j7.
#[test]
fn outer_features_j_to_180_mm() {
    for (size, j6, j7) in [
        (3.0, 2.0, 4.0),
        (6.0, 2.0, 4.0),
        (10.0, 2.0, 5.0),
        (18.0, 3.0, 6.0),
        (30.0, 4.0, 8.0),
        (50.0, 5.0, 10.0),
        (80.0, 7.0, 12.0),
        (120.0, 9.0, 15.0),
        (180.0, 11.0, 18.0),
    ] {
        let lower = |text: &str| 1000.0 * deviations(size, class(text)).unwrap().lower;
        near(lower("j5"), -j6, "j5");
        near(lower("j6"), -j6, "j6");
        near(lower("j7"), -j7, "j7");
    }
    is(3.0, "j8", -6.0, 8.0);
    assert!(deviations(3.5, class("j8")).is_err());
}

/// g = 2.5 D^0.34 and f = 5.5 D^0.41 (Machine Drawing, table 15.4): 5.01, 7.29, 8.67, 10.24 for g,
/// computed independently; the table has 5, 7, 9, 10.
#[test]
fn deviations_g_and_f_round_from_their_formulas() {
    for (from, to, g, f) in [
        (6.0, 10.0, 5.0, 13.0),
        (18.0, 30.0, 7.0, 20.0),
        (30.0, 50.0, 9.0, 25.0),
        (50.0, 80.0, 10.0, 30.0),
    ] {
        let d = libm::sqrt(from * to);
        near(-fundamental(to, "g6"), g, "g");
        near(-fundamental(to, "f6"), f, "f");
        near(libm::round(2.5 * libm::pow(d, 0.34)), g, "g by its formula");
        near(libm::round(5.5 * libm::pow(d, 0.41)), f, "f by its formula");
    }
}

#[test]
fn a_step_belongs_to_the_range_below_it() {
    is(10.0, "H7", 0.0, 15.0);
    is(10.000_001, "H7", 0.0, 18.0);
    is(18.0, "JS9", -21.5, 21.5);
    let (nominal, class) = parse("25g6").unwrap();
    let d = deviations(nominal.unwrap(), class).unwrap();
    assert_eq!(d, Deviations { lower: -0.020, upper: -0.007 });
}
