//! What can be done about a questioned reading in one step. Nothing of it is done unasked.

use super::{Expectation, Guess, Question, question_limit, stand};
use crate::job::{Job, Orientation, Piece, Touch};
use crate::notation::number;
use crate::quantity::{Figure, Length, Side, Unit};

/// What can be done about a questioned reading in one step.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Offer {
    /// Write it with the other sign.
    Negate,
    /// Write this instead: two digits exchanged, or the reading converted from the other unit.
    Write(Figure),
    /// Exchange it with the reading of this other point of the same feature.
    Exchange(Touch),
    /// Give it to this touch of another feature, which was not read.
    Give {
        /// Index of the other feature in the drawing.
        feature: usize,
        /// Which touch.
        touch: Touch,
    },
    /// Exchange the readings of the feature with those of another one, each of which reads what the
    /// other should.
    ExchangeFeatures {
        /// Index of the other feature in the drawing.
        feature: usize,
    },
    /// The part stood with this side up.
    Stand(Side),
    /// Take it again.
    Again,
}

/// Returns what can be done about `question`. `expected` are the touches of its orientation.
#[must_use]
pub fn offer(job: &Job, piece: &Piece, expected: &[Expectation], question: &Question) -> Offer {
    let asked = Asked { job, piece, expected, question };
    match &question.guess {
        Guess::Sign => Offer::Negate,
        Guess::Digits { typed } => asked.write(*typed),
        Guess::Unit => asked.converted(),
        Guess::Other { feature, touch, .. } => asked.of_other(*feature, *touch),
        Guess::OtherWayUp => {
            let up = job.orientation(question.orientation).and_then(Orientation::up_side);
            up.map_or(Offer::Again, |up| Offer::Stand(up.opposite()))
        }
        Guess::Far
        | Guess::BeyondRange { .. }
        | Guess::SizeDiffers { .. }
        | Guess::SizeBeyond { .. }
        | Guess::PlaceAlone { .. }
        | Guess::SameAsRow { .. } => Offer::Again,
    }
}

/// A question with what it is about.
struct Asked<'a> {
    job: &'a Job,
    piece: &'a Piece,
    expected: &'a [Expectation],
    question: &'a Question,
}

impl Asked<'_> {
    /// The values of a touch in the orientation of the question.
    fn values(&self, feature: usize, touch: Touch) -> &[Figure] {
        let number = self.job.drawing.features.get(feature).map_or("", |f| f.number.as_str());
        let reading = self.piece.reading(self.question.orientation, number);
        reading.map_or(&[][..], |r| r.values(touch))
    }

    fn unit(&self) -> Unit {
        let orientation = self.job.orientation(self.question.orientation);
        orientation.map_or(self.job.drawing.unit, |o| self.job.reading_unit(o))
    }

    fn expectation(&self, feature: usize, touch: Touch) -> Option<&Expectation> {
        self.expected.iter().find(|e| e.feature == feature && e.touch == touch)
    }

    /// Whether a value is what a touch should show.
    fn fits(&self, value: Figure, feature: usize, touch: Touch) -> bool {
        let raw = self.expectation(feature, touch).and_then(|e| e.raw);
        let limit = self.job.drawing.features.get(feature).map(|f| question_limit(self.job, f));
        raw.zip(limit).is_some_and(|(raw, limit)| (value.length(self.unit()) - raw).abs() <= limit)
    }

    /// The value in place of the one asked about, with the digits of the gauge.
    fn write(&self, value: Length) -> Offer {
        let shown = self.question.figures.plain(value);
        number(&shown, self.question.figures.unit).map_or(Offer::Again, Offer::Write)
    }

    /// The reading as it is in the other unit.
    fn converted(&self) -> Offer {
        let q = self.question;
        let inch = Unit::Inch.in_mm();
        let [times, by] = [q.raw * inch, q.raw * (1.0 / inch)];
        let nearer = (times - q.expected).abs() <= (by - q.expected).abs();
        self.write(if nearer { times } else { by })
    }

    /// The reading is what another touch should show.
    fn of_other(&self, feature: usize, touch: Touch) -> Offer {
        let q = self.question;
        // Of several readings, one may be another matter than the rest.
        let ([own], Some(_)) = (self.values(q.feature, q.touch), self.expectation(feature, touch))
        else {
            return Offer::Again;
        };
        let there = self.values(feature, touch);
        if feature == q.feature {
            let exchanged = is_point(touch)
                && is_point(q.touch)
                && there.iter().all(|value| self.fits(*value, q.feature, q.touch));
            return if exchanged { Offer::Exchange(touch) } else { Offer::Again };
        }
        match there {
            [] if self.fits(*own, feature, touch) => Offer::Give { feature, touch },
            [other] if touch == q.touch && self.fits(*other, q.feature, q.touch) => {
                Offer::ExchangeFeatures { feature }
            }
            _ => Offer::Again,
        }
    }
}

/// A point of the feature, and no figure that the gauge worked out.
const fn is_point(touch: Touch) -> bool {
    matches!(touch, Touch::Low | Touch::High)
}

impl Offer {
    /// Whether something is done, and not only led back to the touch.
    #[must_use]
    pub fn changes(self) -> bool {
        self != Self::Again
    }

    /// Does what is offered about `question` on the piece with this index. What stood there is for the
    /// record.
    pub fn apply(self, job: &mut Job, piece: usize, question: &Question) {
        let number = |job: &Job, f: usize| job.drawing.features.get(f).map(|f| f.number.clone());
        let at = question.orientation;
        if let Self::Stand(up) = self {
            stand(job, at, up.degrees());
            return;
        }
        let Some(own) = number(job, question.feature) else { return };
        let other = match self {
            Self::Give { feature, .. } | Self::ExchangeFeatures { feature } => number(job, feature),
            _ => None,
        };
        let Some(piece) = job.pieces.get_mut(piece) else { return };
        let values = |piece: &Piece, feature: &str, touch: Touch| {
            piece.reading(at, feature).map(|r| r.values(touch).to_vec()).unwrap_or_default()
        };
        let touch = question.touch;
        match (self, other) {
            (Self::Negate | Self::Write(_), _) => {
                let mut list = values(piece, &own, touch);
                if let Some(value) = list.get_mut(question.repeat) {
                    *value = match self {
                        Self::Write(written) => written,
                        _ => Figure(-value.0),
                    };
                }
                piece.set_values(at, &own, touch, list);
            }
            (Self::Exchange(point), _) => {
                let pair = [touch, point].map(|t| values(piece, &own, t));
                let [mine, theirs] = pair;
                piece.set_values(at, &own, touch, theirs);
                piece.set_values(at, &own, point, mine);
            }
            (Self::Give { touch: to, .. }, Some(other)) => {
                let list = values(piece, &own, touch);
                piece.set_values(at, &own, touch, Vec::new());
                piece.set_values(at, &other, to, list);
            }
            (Self::ExchangeFeatures { .. }, Some(other)) => {
                for touch in Touch::ALL {
                    let [mine, theirs] = [&own, &other].map(|f| values(piece, f, touch));
                    piece.set_values(at, &own, touch, theirs);
                    piece.set_values(at, &other, touch, mine);
                }
            }
            (
                Self::Give { .. } | Self::ExchangeFeatures { .. } | Self::Stand(_) | Self::Again,
                _,
            ) => {}
        }
    }
}

/// Returns `question` with the guess that names the other point of its own feature, where the
/// reading fits that one as well as the touch of another feature that was named: its lowest and its
/// highest point are exchanged more easily than two features are.
#[must_use]
pub fn own_point_first(job: &Job, expected: &[Expectation], question: Question) -> Question {
    let Guess::Other { feature: other, .. } = question.guess else { return question };
    let Some(feature) = job.drawing.features.get(question.feature) else { return question };
    if other == question.feature || !is_point(question.touch) {
        return question;
    }
    let limit = question_limit(job, feature) * 0.5;
    let own = expected.iter().find(|e| {
        e.feature == question.feature
            && e.touch != question.touch
            && is_point(e.touch)
            && e.raw.is_some_and(|raw| (raw - question.raw).abs() <= limit)
    });
    match own {
        Some(own) => {
            let (feature, name) = (own.feature, question.name.clone());
            Question { guess: Guess::Other { feature, name, touch: own.touch }, ..question }
        }
        None => question,
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use crate::bench::{Heights, Setup, expected, question};
    use crate::job::{Feature, SizeLimits};
    use crate::quantity::Unit;

    /// Two holes in mm the points of which lie almost as high: 15.0 and 25.0, 15.1 and 24.9.
    fn job() -> Job {
        let mut job = Job::empty(Unit::Mm);
        for (number, size) in [("1", 10.0), ("2", 9.8)] {
            job.drawing.features.push(Feature {
                number: number.to_owned(),
                x: Some(Figure(20.0)),
                y: Some(Figure(20.0)),
                size: Some(SizeLimits::Limits {
                    lower: Figure(size - 0.05),
                    upper: Figure(size + 0.05),
                }),
                ..Feature::default()
            });
        }
        job
    }

    /// The question about `value`, read at this point of hole 1, with what was expected.
    fn asked(job: &Job, touch: Touch, value: f64) -> (Vec<Expectation>, Question) {
        let orientation = &job.plan.orientations[0];
        let setup = Setup::of(job, orientation).unwrap();
        let list = expected(job, orientation, Some(&setup));
        let feature = job.drawing.features.iter().position(|f| f.number == "1").unwrap();
        let at = list.iter().position(|e| e.feature == feature && e.touch == touch).unwrap();
        let raw = Figure(value).length(Unit::Mm);
        let found = question(job, orientation, &Heights::new(&list), at, 0, raw).unwrap();
        (list, found)
    }

    /// `job` with a hole read in the first orientation.
    fn with(job: &Job, number: &str, low: &[f64], high: &[f64]) -> Job {
        let mut job = job.clone();
        let figures = |values: &[f64]| values.iter().map(|v| Figure(*v)).collect::<Vec<_>>();
        job.pieces[0].set_values(1, number, Touch::Low, figures(low));
        job.pieces[0].set_values(1, number, Touch::High, figures(high));
        job
    }

    fn offered(job: &Job, list: &[Expectation], question: &Question) -> Offer {
        offer(job, &job.pieces[0], list, question)
    }

    /// What a hole reads after the offer was taken.
    fn done(offer: Offer, job: &Job, question: &Question, number: &str) -> [Vec<f64>; 2] {
        let mut job = job.clone();
        offer.apply(&mut job, 0, question);
        let reading = job.pieces[0].reading(1, number).cloned().unwrap_or_default();
        [Touch::Low, Touch::High].map(|t| reading.values(t).iter().map(|v| v.0).collect())
    }

    #[test]
    fn lowest_and_highest_exchanged_name_the_feature_itself() {
        let job = job();
        // 24.89 is nearer to the highest point of hole 2 than to that of hole 1.
        let (list, found) = asked(&job, Touch::Low, 24.89);
        let named = own_point_first(&job, &list, found.clone());
        let Guess::Other { feature, touch, .. } = named.guess else { panic!("{named:?}") };
        assert_eq!((feature, touch), (found.feature, Touch::High));
        let one = with(&job, "1", &[24.89], &[15.01]);
        assert_eq!(offered(&one, &list, &named), Offer::Exchange(Touch::High));
        let new = done(Offer::Exchange(Touch::High), &one, &named, "1");
        assert_eq!(new, [vec![15.01], vec![24.89]]);
        // Far from the points of its own feature another one stays named.
        let mut apart = job.clone();
        apart.drawing.features.last_mut().unwrap().y = Some(Figure(60.0));
        let (list, found) = asked(&apart, Touch::Low, 64.9);
        assert_eq!(own_point_first(&apart, &list, found.clone()), found);
        // The highest point of hole 2 was touched instead, and is not read yet.
        let one = with(&apart, "1", &[64.9], &[]);
        let given = offered(&one, &list, &found);
        assert!(matches!(given, Offer::Give { touch: Touch::High, .. }), "{given:?}");
        assert_eq!(done(given, &one, &found, "1"), [Vec::<f64>::new(), Vec::new()]);
        assert_eq!(done(given, &one, &found, "2"), [vec![], vec![64.9]]);
        // It was read already, as it should be: nothing is known but that this one is wrong.
        let both = with(&one, "2", &[], &[64.9]);
        assert_eq!(offered(&both, &list, &found), Offer::Again);
    }

    #[test]
    fn a_point_is_exchanged_only_where_the_other_one_agrees() {
        let job = job();
        let (list, found) = asked(&job, Touch::Low, 25.0);
        let found = own_point_first(&job, &list, found);
        let of = |low: &[f64], high: &[f64]| offered(&with(&job, "1", low, high), &list, &found);
        assert_eq!(of(&[25.0], &[]), Offer::Exchange(Touch::High));
        // The highest point is where it belongs: the lowest was touched at the wrong one.
        assert_eq!(of(&[25.0], &[25.01]), Offer::Again);
        assert_eq!(of(&[25.0, 15.0], &[]), Offer::Again);
    }

    #[test]
    fn a_turned_sign_is_written_the_other_way() {
        let job = job();
        let (list, found) = asked(&job, Touch::Low, -15.02);
        let one = with(&job, "1", &[15.0, -15.02], &[]);
        let found = Question { repeat: 1, ..found };
        assert_eq!(offered(&one, &list, &found), Offer::Negate);
        assert_eq!(done(Offer::Negate, &one, &found, "1"), [vec![15.0, 15.02], vec![]]);
    }

    #[test]
    fn two_features_exchanged_are_put_right_at_both_points() {
        let mut job = job();
        job.drawing.features.last_mut().unwrap().y = Some(Figure(60.0));
        let (list, found) = asked(&job, Touch::Low, 55.11);
        let one = with(&with(&job, "1", &[55.11], &[64.9]), "2", &[15.02], &[25.01]);
        let exchanged = offered(&one, &list, &found);
        assert!(matches!(exchanged, Offer::ExchangeFeatures { .. }), "{exchanged:?}");
        assert_eq!(done(exchanged, &one, &found, "1"), [vec![15.02], vec![25.01]]);
        assert_eq!(done(exchanged, &one, &found, "2"), [vec![55.11], vec![64.9]]);
    }

    #[test]
    fn digits_and_units_are_written_as_they_should_be_and_a_turned_part_is_turned() {
        let mut job = job();
        job.plan.instruments[0].resolution = Figure(0.001);
        let (list, found) = asked(&job, Touch::Low, 51.02);
        let one = with(&job, "1", &[51.02], &[]);
        assert_eq!(offered(&one, &list, &found), Offer::Write(Figure(15.02)), "{found:?}");
        let (list, found) = asked(&job, Touch::Low, 0.591);
        let one = with(&job, "1", &[0.591], &[]);
        assert_eq!(offered(&one, &list, &found), Offer::Write(Figure(15.011)), "{found:?}");
        let turned = Question { guess: Guess::OtherWayUp, ..found };
        assert_eq!(offered(&one, &list, &turned), Offer::Stand(Side::MinusY));
        let mut stood = one;
        Offer::Stand(Side::MinusY).apply(&mut stood, 0, &turned);
        assert_eq!(stood.plan.orientations[0].up_side(), Some(Side::MinusY));
    }
}
