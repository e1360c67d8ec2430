//! The letters of the fundamental deviations.

use std::fmt;

/// Which fundamental deviation: how far the tolerance lies from the nominal size. ISO 286-1 writes
/// it with capitals for inner features and with small letters for outer ones.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[expect(missing_docs, reason = "each is the letter it is named after")]
pub enum Letter {
    A,
    B,
    C,
    Cd,
    D,
    E,
    Ef,
    F,
    Fg,
    G,
    H,
    J,
    Js,
    K,
    M,
    N,
    P,
    R,
    S,
    T,
    U,
    V,
    X,
    Y,
    Z,
    Za,
    Zb,
    Zc,
}

impl Letter {
    /// All of them, from the loosest fit to the tightest.
    pub const ALL: [Letter; 28] = {
        use Letter::*;
        [A, B, C, Cd, D, E, Ef, F, Fg, G, H, J, Js, K, M, N, P, R, S, T, U, V, X, Y, Z, Za, Zb, Zc]
    };

    /// As it is written for an outer feature.
    #[must_use]
    pub fn small(self) -> &'static str {
        match self {
            Letter::A => "a",
            Letter::B => "b",
            Letter::C => "c",
            Letter::Cd => "cd",
            Letter::D => "d",
            Letter::E => "e",
            Letter::Ef => "ef",
            Letter::F => "f",
            Letter::Fg => "fg",
            Letter::G => "g",
            Letter::H => "h",
            Letter::J => "j",
            Letter::Js => "js",
            Letter::K => "k",
            Letter::M => "m",
            Letter::N => "n",
            Letter::P => "p",
            Letter::R => "r",
            Letter::S => "s",
            Letter::T => "t",
            Letter::U => "u",
            Letter::V => "v",
            Letter::X => "x",
            Letter::Y => "y",
            Letter::Z => "z",
            Letter::Za => "za",
            Letter::Zb => "zb",
            Letter::Zc => "zc",
        }
    }
}

impl fmt::Display for Letter {
    /// With capitals, as for an inner feature.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.small().to_ascii_uppercase())
    }
}
