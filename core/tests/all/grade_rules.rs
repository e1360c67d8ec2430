//! What holds for every tolerance class, and how they are read.

use crate::common::cases;
use proptest::prelude::*;
use quarterturn_core::grade::{
    Class, Grade, Letter, ParseError, Surface, Undefined, deviations, parse, standard_tolerance,
};

fn any_class() -> impl Strategy<Value = Class> {
    let grades: Vec<Grade> = Grade::all().collect();
    (prop::sample::select(&Letter::ALL[..]), prop::sample::select(grades), any::<bool>()).prop_map(
        |(letter, grade, inner)| Class {
            letter,
            surface: if inner { Surface::Inner } else { Surface::Outer },
            grade,
        },
    )
}

/// Sizes over the whole range, as evenly over small ones as over large ones.
fn any_size() -> impl Strategy<Value = f64> {
    (-1.0..8.05_f64).prop_map(libm::exp)
}

proptest! {
    #![proptest_config(cases(4000))]

    #[test]
    fn limits_are_a_tolerance_apart(size in any_size(), class in any_class()) {
        if let Ok(d) = deviations(size, class) {
            let width = standard_tolerance(size, class.grade).unwrap();
            prop_assert!((d.upper - d.lower - width).abs() < 1e-14);
            prop_assert!(d.lower < d.upper);
        }
    }

    #[test]
    fn written_and_read_again(size in any_size(), class in any_class()) {
        prop_assert_eq!(parse(&class.to_string()), Ok((None, class)));
        prop_assert_eq!(parse(&format!(" {size} {class}")), Ok((Some(size), class)));
        prop_assert_eq!(parse(&format!("Ø{size}{class} ").replace('.', ",")), Ok((Some(size), class)));
    }

    #[test]
    fn inner_is_the_mirror_of_outer_up_to_h(size in any_size(), class in any_class()) {
        let other = Class {
            surface: match class.surface {
                Surface::Outer => Surface::Inner,
                Surface::Inner => Surface::Outer,
            },
            ..class
        };
        if class.letter <= Letter::H {
            match (deviations(size, class), deviations(size, other)) {
                (Ok(a), Ok(b)) => {
                    prop_assert_eq!((a.lower, a.upper), (-b.upper, -b.lower));
                }
                (a, b) => prop_assert_eq!(a.is_err(), b.is_err()),
            }
        }
    }

    /// The rule behind Δ (ISO 286-1): a hole-basis fit of a grade with a shaft one grade finer has
    /// the same least clearance as the shaft-basis fit. H7/p6 and P7/h6, H8/k7 and K8/h7.
    #[test]
    fn hole_and_shaft_basis_give_the_same_fit(
        size in 3.001..500.0_f64,
        letter in prop::sample::select(&Letter::ALL[13..]),
        n in 3..=8_u8,
    ) {
        let raised_to = if letter <= Letter::N { 8 } else { 7 };
        let exception = letter == Letter::M && n == 6 && size > 250.0 && size <= 315.0;
        prop_assume!(n <= raised_to && !exception);
        // k exists as a deviation from IT4 to IT7 only.
        prop_assume!(letter != Letter::K || (5..=8).contains(&n));
        let of = |letter, surface, n| {
            deviations(size, Class { letter, surface, grade: Grade::it(n).unwrap() })
        };
        let hole_basis = (of(Letter::H, Surface::Inner, n), of(letter, Surface::Outer, n - 1));
        let shaft_basis = (of(letter, Surface::Inner, n), of(Letter::H, Surface::Outer, n - 1));
        match (hole_basis, shaft_basis) {
            ((Ok(h), Ok(s)), (Ok(h2), Ok(s2))) => {
                prop_assert!(((h.upper - s.lower) - (h2.upper - s2.lower)).abs() < 1e-14);
                prop_assert!(((h.lower - s.upper) - (h2.lower - s2.upper)).abs() < 1e-14);
            }
            (a, b) => prop_assert!(a.1.is_err() && b.0.is_err(), "{:?} {:?}", a, b),
        }
    }
}

#[test]
fn what_does_not_exist_says_why() {
    let why = |size: f64, text: &str| {
        deviations(size, text.parse().unwrap()).map_err(|e| e.to_string()).unwrap_err()
    };
    assert_eq!(
        why(0.0, "H7"),
        "ISO 286 is for nominal sizes above 0, up to and including 3150 mm."
    );
    assert_eq!(why(3150.1, "H7"), why(f64::NAN, "H7"));
    assert_eq!(why(501.0, "H01"), "Grade IT01 is tabulated up to 500 mm only.");
    assert_eq!(why(1.0, "H14"), "Grade IT14 is not used for nominal sizes up to 1 mm.");
    assert_eq!(why(24.0, "t6"), "t6 exists only for nominal sizes above 24 up to 3150 mm.");
    assert_eq!(why(14.0, "V7"), "V7 exists only for nominal sizes above 14 up to 500 mm.");
    assert_eq!(why(501.0, "c11"), "c11 exists only for nominal sizes above 0 up to 500 mm.");
    assert_eq!(why(50.1, "FG7"), "FG7 exists only for nominal sizes above 0 up to 50 mm.");
    assert_eq!(why(51.0, "cd9"), "cd9 exists only for nominal sizes above 0 up to 50 mm.");
    assert_eq!(why(600.0, "J7"), "J7 exists only for nominal sizes above 0 up to 500 mm.");
    assert_eq!(why(1.0, "A11"), "A11 is not used for nominal sizes up to 1 mm.");
    assert_eq!(why(1.0, "b9"), "b9 is not used for nominal sizes up to 1 mm.");
    assert_eq!(why(1.0, "N9"), "N9 is not used for nominal sizes up to 1 mm.");
    assert_eq!(why(10.0, "K9"), "K9 does not exist at this size: grades IT3 to IT8 only.");
    assert_eq!(why(10.0, "J9"), "J9 does not exist at this size: grades IT6 to IT8 only.");
    assert_eq!(why(10.0, "j8"), "j8 exists only for nominal sizes above 0 up to 3 mm.");
    assert_eq!(why(10.0, "P2"), "P2 does not exist at this size: grades IT3 to IT18 only.");
    let undefined = deviations(10.0, "K2".parse().unwrap()).unwrap_err();
    assert!(matches!(undefined, Undefined::Pair { .. }), "{undefined}");
}

#[test]
fn what_cannot_be_read_says_why() {
    for (text, error) in [
        ("", ParseError::Empty),
        ("  ", ParseError::Empty),
        ("10", ParseError::Empty),
        ("H", ParseError::Grade(String::new())),
        ("H19", ParseError::Grade("19".to_owned())),
        ("H07", ParseError::Grade("07".to_owned())),
        ("H7/g6", ParseError::Grade("7/g6".to_owned())),
        ("L7", ParseError::Letters("L".to_owned())),
        ("Js7", ParseError::Mixed("Js".to_owned())),
        ("-5 H7", ParseError::Nominal("-5".to_owned())),
        ("0 H7", ParseError::Nominal("0".to_owned())),
        ("1.2.3 H7", ParseError::Nominal("1.2.3".to_owned())),
        ("1,000.5 H7", ParseError::Nominal("1,000.5".to_owned())),
        (". H7", ParseError::Nominal(".".to_owned())),
        ("1e3 H7", ParseError::Grade("3 H7".to_owned())),
    ] {
        assert_eq!(parse(text), Err(error.clone()), "{text}");
        assert!(error.to_string().ends_with('.'), "{error}");
    }
    for text in ["JS9", "js12", "zc8", "ZA01", "h0", "⌀ 10 H7", "10,5H7", "H 7"] {
        assert!(parse(text).is_ok(), "{text}");
    }
}
