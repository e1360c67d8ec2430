//! What the touches of one feature say of its centre and its size.

use super::{Contact, Setup};
use crate::job::{Feature, Kind, Reading, Taken, Touch};
use crate::quantity::{Figure, Length};

/// The mean of repeated touches.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mean {
    /// Arithmetic mean of the readings as the gauge showed them.
    pub mean: Length,
    /// Sample standard deviation (n − 1); `None` for a single touch.
    pub deviation: Option<Length>,
    /// How many touches.
    pub n: usize,
}

impl Mean {
    /// Mean and standard deviation in two passes, so that long heights with small differences
    /// keep their digits. `None` if there is no value.
    #[must_use]
    pub fn of(values: &[Figure], unit: crate::quantity::Unit) -> Option<Self> {
        #[allow(clippy::cast_precision_loss, reason = "at most a hundred repeats")]
        let n = values.len() as f64;
        let first = values.first()?.0;
        // Differences from the first value are exact in binary where the sum of large values is not.
        let mean = first + values.iter().map(|v| v.0 - first).sum::<f64>() / n;
        let squares: f64 = values.iter().map(|v| (v.0 - mean) * (v.0 - mean)).sum();
        let deviation = (values.len() > 1).then(|| Length::of((squares / (n - 1.0)).sqrt(), unit));
        Some(Self { mean: Length::of(mean, unit), deviation, n: values.len() })
    }
}

/// Centre and size of a feature as seen in one orientation.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Reduced {
    /// Coordinate along the orientation's up direction, of the centre or the face.
    pub along: Option<Length>,
    /// Size.
    pub size: Option<Length>,
}

/// Reduces the readings of one feature in one orientation.
///
/// Hole or slot: size = up + K − down, centre = (up + K + down)/2; boss or tab: size = down −
/// up − K, centre = (down + up + K)/2, with K the probe constant where the gauge does not
/// apply it itself and the zero taken by a touch from above. Only what the plan asks for counts:
/// touches, or the gauge's own centre and size.
#[must_use]
pub fn reduce(feature: &Feature, setup: &Setup, reading: &Reading) -> Reduced {
    let mean = |touch| Mean::of(reading.values(touch), setup.unit).map(|m| m.mean);
    if feature.kind == Kind::Face {
        let up =
            feature.looks.is_some_and(|side| setup.up.component(side.axis()) * side.sign() > 0.0);
        let contact = if up { Contact::FromAbove } else { Contact::FromBelow };
        let along = mean(Touch::Face).map(|raw| setup.coordinate(raw, contact));
        return Reduced { along, size: None };
    }
    if setup.taken == Taken::CentreAndSize {
        return Reduced {
            along: mean(Touch::Centre).map(|raw| setup.coordinate(raw, Contact::Centre)),
            size: mean(Touch::Size).map(|raw| setup.size(raw, feature.kind)),
        };
    }
    let (low_contact, high_contact) = if feature.kind.is_internal() {
        (Contact::FromAbove, Contact::FromBelow)
    } else {
        (Contact::FromBelow, Contact::FromAbove)
    };
    let low = mean(Touch::Low).map(|raw| setup.coordinate(raw, low_contact));
    let high = mean(Touch::High).map(|raw| setup.coordinate(raw, high_contact));
    let both = low.zip(high);
    Reduced {
        along: both.map(|(low, high)| (low + high) * 0.5),
        size: both.map(|(low, high)| high - low),
    }
}
