//! One table of bounds for everything that can be entered, used by the reader, the entry
//! fields, their messages and the tests' generators.

/// What a job may hold. Lengths in millimetres.
#[derive(Clone, Copy, Debug)]
pub struct Bounds {
    /// Largest coordinate, height or reading, either sign.
    pub length_mm: f64,
    /// Largest size of a feature.
    pub size_mm: f64,
    /// Largest tolerance.
    pub tolerance_mm: f64,
    /// Largest probe constant.
    pub probe_mm: f64,
    /// Highest temperature in degrees Celsius and largest coefficient of expansion in millionths
    /// per kelvin, either sign.
    pub celsius: f64,
    /// Widest guard band, in expanded uncertainties.
    pub guard: f64,
    /// Most decimals that a drawing may write.
    pub decimals: u8,
    /// Most features of a drawing.
    pub features: usize,
    /// Most callouts of a feature, and most lower segments of one.
    pub callouts: usize,
    /// Most relations of a drawing.
    pub relations: usize,
    /// Most features that a relation names.
    pub relation_features: usize,
    /// Most points of a grid of heights.
    pub grid_points: usize,
    /// Most features of one datum.
    pub pattern: usize,
    /// Most orientations of a plan.
    pub orientations: usize,
    /// Most instruments of a plan.
    pub instruments: usize,
    /// Most materials that a plan adds to the table.
    pub materials: usize,
    /// Most pieces of a job.
    pub pieces: usize,
    /// Most repeats of one touch.
    pub repeats: usize,
    /// Longest number, name or letter of a feature, an orientation or a datum.
    pub label_chars: usize,
    /// Longest name of a material.
    pub name_chars: usize,
    /// Longest free text.
    pub text_chars: usize,
}

/// The bounds of this version. Wide enough for any part that goes on a surface plate.
pub const BOUNDS: Bounds = Bounds {
    length_mm: 10_000.0,
    size_mm: 10_000.0,
    tolerance_mm: 1_000.0,
    probe_mm: 1_000.0,
    celsius: 200.0,
    guard: 3.0,
    decimals: 6,
    features: 20_000,
    callouts: 8,
    relations: 2_000,
    relation_features: 400,
    grid_points: 2_000,
    pattern: 100,
    orientations: 64,
    instruments: 32,
    materials: 100,
    pieces: 1_000,
    repeats: 100,
    label_chars: 16,
    name_chars: 60,
    text_chars: 4_000,
};
