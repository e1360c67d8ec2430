//! One orientation with everything resolved that a reading needs.

use super::{carries, probe_constant};
use crate::job::{Feature, Job, Kind, Orientation, Taken, Zero};
use crate::quantity::{Axis, Direction, Length, Unit};

/// Which way the probe moves at a touch.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Contact {
    /// Downwards, onto a face that looks up.
    FromAbove,
    /// Upwards, onto a face that looks down.
    FromBelow,
    /// Both, or worked out by the gauge: a centre.
    Centre,
}

impl Contact {
    /// In words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::FromAbove => "from above",
            Self::FromBelow => "from below",
            Self::Centre => "centre",
        }
    }

    /// How much of the probe constant a reading lacks: none from above, all from below, half
    /// for a centre, which is the mean of the two.
    pub(crate) const fn probe_share(self) -> f64 {
        match self {
            Self::FromAbove => 0.0,
            Self::FromBelow => 1.0,
            Self::Centre => 0.5,
        }
    }
}

/// Why the readings of an orientation say nothing about coordinates yet.
#[derive(Clone, Debug, PartialEq)]
pub enum SetupProblem {
    /// The plan names an instrument that it does not hold.
    NoInstrument,
    /// The probe constant of its instrument is to be found, and the trial is not complete.
    ProbeNotFound,
    /// The part stands on an edge whose coordinate is not known: no outline is given.
    NoOutline,
    /// A direction that is not square to the drawing, with the zero at the plate.
    ObliqueOnPlate,
    /// The face that should carry the part is not in the drawing.
    RestMissing(String),
    /// The face that should carry the part does not look down, or is no face.
    RestLooksElsewhere(String),
    /// The feature that should read zero is not in the drawing.
    ZeroMissing(String),
    /// The feature that should read zero has no basic coordinate along this direction, or
    /// cannot be touched in it.
    ZeroUnseen(String),
}

/// An orientation made ready: a raw reading plus the right constant is a coordinate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Setup {
    /// The drawing direction that points up.
    pub up: Direction,
    /// Unit of the readings.
    pub unit: Unit,
    /// Probe constant K still to be applied; zero where the gauge applies it.
    pub probe: Length,
    /// Coordinate along [`Setup::up`] of what reads zero.
    pub base: Length,
    /// Whether [`Setup::base`] is known: not so over blocks of unknown height, where heights tell
    /// differences only.
    pub base_is_known: bool,
    /// How the zero was touched.
    pub zero_contact: Contact,
    /// What counts for a feature of size: touches, or the gauge's centre and size.
    pub taken: Taken,
    /// Whether the zero was resolved; if not, heights tell differences only.
    pub zeroed: bool,
}

impl Setup {
    /// Resolves the zero, the rest and the probe constant of `orientation`.
    ///
    /// With q the drawing coordinate of the face on the plate along `up`, and blocks of height s
    /// under it, a point of coordinate p stands p − q + s above the plate, so what reads zero at
    /// the plate has the coordinate q − s. A zero at a feature has that feature's basic
    /// coordinate.
    ///
    /// # Errors
    /// What is missing or cannot be; see [`SetupProblem`].
    pub fn of(job: &Job, orientation: &Orientation) -> Result<Self, SetupProblem> {
        Self::with_zero(job, orientation, &orientation.zero)
    }

    /// The same for a reading that was taken from another zero than that of the orientation.
    ///
    /// # Errors
    /// As [`Setup::of`].
    pub fn with_zero(
        job: &Job,
        orientation: &Orientation,
        zero: &Zero,
    ) -> Result<Self, SetupProblem> {
        let instrument = job.instrument(orientation).ok_or(SetupProblem::NoInstrument)?;
        let unit = instrument.unit;
        let up = orientation.up();
        let mut base_is_known = true;
        let (base, zero_contact) = match zero {
            Zero::Plate => match orientation.rest.blocks.height() {
                Some(height) => {
                    let q = rest_coordinate(job, orientation, up)?;
                    (q - height.length(unit), Contact::FromAbove)
                }
                None => {
                    base_is_known = false;
                    (Length::ZERO, Contact::FromAbove)
                }
            },
            Zero::Feature(number) => {
                let feature =
                    job.feature(number).ok_or_else(|| SetupProblem::ZeroMissing(number.clone()))?;
                let (at, contact) = zero_of(feature, job.drawing.unit, up)
                    .ok_or_else(|| SetupProblem::ZeroUnseen(number.clone()))?;
                // The face that lies on the plate or the blocks cannot be touched itself: what is
                // touched, from above, is what it lies on.
                let on_it = carries(job, orientation, feature);
                (at, if on_it { Contact::FromAbove } else { contact })
            }
        };
        Ok(Self {
            base,
            base_is_known,
            zero_contact,
            zeroed: true,
            ..Self::without_zero(job, orientation)?
        })
    }

    /// The same without a zero: sizes, and heights that tell differences only.
    ///
    /// # Errors
    /// There is no instrument, or its probe constant is not known.
    pub fn without_zero(job: &Job, orientation: &Orientation) -> Result<Self, SetupProblem> {
        let instrument = job.instrument(orientation).ok_or(SetupProblem::NoInstrument)?;
        Ok(Self {
            up: orientation.up(),
            unit: instrument.unit,
            probe: probe_constant(instrument).ok_or(SetupProblem::ProbeNotFound)?,
            base: Length::ZERO,
            base_is_known: false,
            zero_contact: Contact::FromAbove,
            taken: orientation.taken,
            zeroed: false,
        })
    }

    /// The coordinate along `up` of a point that was read as `raw`.
    ///
    /// A touch from above shows the surface itself; one from below shows it short by the probe
    /// constant K, and a centre by K/2. The zero lacks the same, by its own way of touching.
    #[must_use]
    pub fn coordinate(&self, raw: Length, contact: Contact) -> Length {
        raw + self.probe * (contact.probe_share() - self.zero_contact.probe_share()) + self.base
    }

    /// What the gauge shows at a point of coordinate `at` along `up`: the inverse of
    /// [`Setup::coordinate`].
    #[must_use]
    pub fn raw(&self, at: Length, contact: Contact) -> Length {
        at - self.base - self.probe * (contact.probe_share() - self.zero_contact.probe_share())
    }

    /// The size that the gauge's own size `raw` stands for: an inner feature is larger by the
    /// probe constant, an outer one smaller.
    #[must_use]
    pub fn size(&self, raw: Length, kind: Kind) -> Length {
        if kind.is_internal() { raw + self.probe } else { raw - self.probe }
    }

    /// The inverse of [`Setup::size`].
    #[must_use]
    pub fn raw_size(&self, size: Length, kind: Kind) -> Length {
        if kind.is_internal() { size - self.probe } else { size + self.probe }
    }
}

fn rest_coordinate(
    job: &Job,
    orientation: &Orientation,
    up: Direction,
) -> Result<Length, SetupProblem> {
    let Some(up_side) = orientation.up_side() else { return Err(SetupProblem::ObliqueOnPlate) };
    let down = up_side.opposite();
    let Some(number) = &orientation.rest.face else {
        let outline = job.drawing.outline.as_ref().ok_or(SetupProblem::NoOutline)?;
        return Ok(outline.edge(down).length(job.drawing.unit) * up_side.sign());
    };
    let face = job.feature(number).ok_or_else(|| SetupProblem::RestMissing(number.clone()))?;
    if face.kind != Kind::Face || face.looks != Some(down) {
        return Err(SetupProblem::RestLooksElsewhere(number.clone()));
    }
    zero_of(face, job.drawing.unit, up)
        .map(|(q, _)| q)
        .ok_or_else(|| SetupProblem::RestLooksElsewhere(number.clone()))
}

/// Coordinate of `feature` along `up` by the drawing, and how it is touched as a zero.
pub(super) fn zero_of(feature: &Feature, unit: Unit, up: Direction) -> Option<(Length, Contact)> {
    match feature.kind {
        Kind::Face => {
            let looks = feature.looks?;
            let axis = looks.axis();
            if up.square_axis() != Some(axis) {
                return None;
            }
            let at = feature.basic(axis, unit)? * up.component(axis);
            let faces_up = up.component(axis) * looks.sign() > 0.0;
            Some((at, if faces_up { Contact::FromAbove } else { Contact::FromBelow }))
        }
        Kind::Slot | Kind::Tab => {
            let axis = feature.across?;
            (up.square_axis() == Some(axis)).then_some(())?;
            Some((feature.basic(axis, unit)? * up.component(axis), Contact::Centre))
        }
        Kind::Hole | Kind::Boss => {
            let along = |axis| {
                let part = up.component(axis);
                if part.abs() < 1e-12 {
                    Some(Length::ZERO)
                } else {
                    Some(feature.basic(axis, unit)? * part)
                }
            };
            Some((along(Axis::X)? + along(Axis::Y)?, Contact::Centre))
        }
    }
}
