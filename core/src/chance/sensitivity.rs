//! How a result follows from what was measured, to first order.

/// One measured size.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct SizeRef {
    /// Index of the feature.
    pub feature: usize,
    /// Number of the orientation in which the size was read.
    pub orientation: u32,
}

/// How a result follows from places, sizes and touches, to first order: the sensitivity
/// coefficients of JCGM 100:2008, 5.1.3.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Sensitivities {
    /// Index of the feature, and the derivative by its x and y in the frame.
    pub places: Vec<(usize, [f64; 2])>,
    /// The derivative by each measured size.
    pub sizes: Vec<(SizeRef, f64)>,
    /// Index of the instrument, and the sum of the squared derivatives of its single touches that
    /// take part in nothing else.
    pub touches: Vec<(usize, f64)>,
}
