//! A thousand mistakes made on purpose, and a thousand jobs without any: how many of the first
//! are caught, and how many of the second are accused.
//!
//! Caught is a mistake about which something is said where it is: a question about a reading of
//! the feature and orientation, a problem of the orientation, the feature or the piece, or the verdict 'cannot
//! be judged'. What is only said of the readings as a whole, that they do not fit each other, is
//! counted beside it. Accused is a clean job with any problem of the piece or any question that doubts a
//! reading. A feature that really is out of place is asked about once and stands: that is no
//! accusation where it is true.

use crate::simulate::mistakes::{Mistake, Spoilt, make};
use crate::simulate::random_bench::{Bench, Stand, ZeroAt};
use quarterturn_core::adjust::ZeroResidual;
use quarterturn_core::bench::{Guess, Question};
use quarterturn_core::callout::Verdict;
use quarterturn_core::evaluate;
use quarterturn_core::findings::{
    Fault, FeatureFinding, Findings, OppositeCause, Place, Problem, ProblemKind,
};

/// How much is said of a mistake.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Said {
    Nothing,
    /// Of the readings as a whole, or of another place.
    OfTheWhole,
    /// Where it is.
    Here,
}

fn said(spoilt: &Spoilt, found: &Findings, mistake: Mistake) -> Said {
    let piece = &found.pieces[0];
    let in_orientation =
        |o: u32| spoilt.orientations.is_empty() || spoilt.orientations.contains(&o);
    let of_feature = |f: usize| spoilt.features.is_empty() || spoilt.features.contains(&f);
    let questioned =
        piece.questions.iter().any(|q| in_orientation(q.orientation) && of_feature(q.feature));
    let problem = piece.problems.iter().any(|p| match p.place {
        Place::Orientation(o) => in_orientation(o),
        Place::Feature(f) => of_feature(f),
        Place::Piece(_) => true,
        Place::Drawing => false,
    });
    let unjudged = piece
        .features
        .iter()
        .enumerate()
        .any(|(i, f)| of_feature(i) && f.verdict == Verdict::CannotBeJudged);
    // Before anything is measured.
    let coarse = mistake == Mistake::CoarseGauge
        && found.problems.iter().any(|p| p.says().contains("Gauge capability insufficient"));
    if questioned || problem || unjudged || coarse {
        Said::Here
    } else if !piece.questions.is_empty() || !piece.problems.is_empty() {
        Said::OfTheWhole
    } else {
        Said::Nothing
    }
}

/// Whether it is called by its name, and not only pointed at.
fn recognised(spoilt: &Spoilt, found: &Findings, mistake: Mistake) -> bool {
    let piece = &found.pieces[0];
    let guessed = |of: fn(&Guess) -> bool| {
        piece.questions.iter().any(|q| {
            spoilt.orientations.contains(&q.orientation)
                && (spoilt.features.is_empty() || spoilt.features.contains(&q.feature))
                && of(&q.guess)
        })
    };
    let says =
        |what: &str| piece.problems.iter().chain(&found.problems).any(|p| p.says().contains(what));
    match mistake {
        Mistake::Sign => guessed(|g| *g == Guess::Sign),
        Mistake::Unit => guessed(|g| *g == Guess::Unit),
        Mistake::Another => guessed(|g| matches!(g, Guess::Other { .. })),
        Mistake::Swapped => says("seem to be interchanged"),
        Mistake::OnItsHead | Mistake::TurnedBack | Mistake::QuarterOff => {
            says("Check how the part stood") || guessed(|g| *g == Guess::OtherWayUp)
        }
        Mistake::ProbeForgotten => says("had not been applied"),
        Mistake::ProbeTwice => says("seems to apply it already"),
        Mistake::ProbeSign => says("to have the wrong sign"),
        Mistake::ZeroShifted => {
            let zeros = &piece.measurement.doubtful_zeros;
            // Where two opposite zeros are as doubtful as each other nothing tells which: the pair is named.
            let alike = |z: &ZeroResidual, w: &ZeroResidual| {
                (z.normalised.abs() - w.normalised.abs()).abs() < 1e-6
            };
            let pair = |p: &Problem| match &p.what {
                ProblemKind::Opposite { orientations, cause: OppositeCause::Zero, .. } => {
                    let own = spoilt.orientations.iter().all(|o| orientations.contains(o));
                    own && matches!(zeros.as_slice(), [z, w] if alike(z, w))
                }
                _ => false,
            };
            let one = zeros.iter().any(|z| spoilt.orientations.contains(&z.orientation))
                && says("its zero is off");
            one || matches!(piece.problems.as_slice(), [only] if pair(only))
        }
        // The worst of them is the very one.
        Mistake::Gross => piece.measurement.suspects.first().is_some_and(|m| {
            spoilt.orientations.contains(&m.orientation) && spoilt.features.contains(&m.feature)
        }),
        Mistake::Drift => says("is explained by the gauge"),
        Mistake::Circle => says("zeros are circular"),
        Mistake::LooseEnd => says("which has no reading there"),
        Mistake::Exchanged => {
            let contradict = |f: &FeatureFinding| f.fault == Some(Fault::Touches);
            piece.features.iter().any(contradict) || guessed(|g| matches!(g, Guess::Other { .. }))
        }
        Mistake::CoarseGauge => says("Gauge capability insufficient"),
    }
}

/// Of each kind of mistake.
const EACH: u64 = 60;

/// How many of [`EACH`] must at least be caught, and how many called by their name: what was
/// measured, less a little.
const fn floor(mistake: Mistake) -> [u64; 2] {
    match mistake {
        Mistake::Sign
        | Mistake::Drift
        | Mistake::Circle
        | Mistake::LooseEnd
        | Mistake::CoarseGauge
        | Mistake::ZeroShifted => [59, 58],
        Mistake::Unit | Mistake::OnItsHead | Mistake::TurnedBack => [59, 56],
        Mistake::Another | Mistake::Swapped | Mistake::Exchanged => [57, 54],
        Mistake::ProbeForgotten | Mistake::ProbeTwice | Mistake::ProbeSign => [56, 56],
        Mistake::QuarterOff => [59, 48],
        Mistake::Gross => [59, 38],
    }
}

#[test]
fn mistakes_are_caught() {
    let (mut caught, mut named, mut made) = (0, 0, 0);
    println!(
        "{:33} {:>5} {:>7} {:>8} {:>7} {:>6}",
        "mistake", "made", "caught", "by name", "whole", "missed"
    );
    let mut short = Vec::new();
    for (kind, mistake) in (0..).zip(Mistake::ALL) {
        let (mut count, mut by_name) = ([0; 3], 0);
        for i in 0..EACH {
            let spoilt = make(mistake, 1 + i * 100 + kind * 1_000_003);
            let found = evaluate(&spoilt.job);
            count[said(&spoilt, &found, mistake) as usize] += 1;
            by_name += u64::from(recognised(&spoilt, &found, mistake));
        }
        let [missed, whole, here] = count;
        println!("{:33} {EACH:>5} {here:>7} {by_name:>8} {whole:>7} {missed:>6}", mistake.words());
        (caught, named, made) = (caught + here, named + by_name, made + EACH);
        let [least, least_named] = floor(mistake);
        if here < least || by_name < least_named {
            short.push((mistake, here, by_name));
        }
    }
    println!("{:33} {made:>5} {caught:>7} {named:>8}", "all");
    assert!(short.is_empty(), "caught less than before: {short:?}");
    assert!(caught * 100 >= made * 98, "{caught} of {made}");
}

#[test]
fn clean_jobs_are_left_alone() {
    const JOBS: u64 = 1000;
    // With one orientation for each axis, and with more of them, which check each other.
    let (mut accused, mut jobs) = ([0; 2], [0; 2]);
    let mut kinds = std::collections::BTreeMap::<String, u32>::new();
    let (mut stand, mut wrong) = (0, 0);
    let (mut of_sizes, mut beyond_sizes) = (0, 0);
    for i in 0..JOBS {
        let redundant = i % 2 == 0;
        let bench = Bench::any(900_000_000 + i, redundant);
        let found = evaluate(&bench.measured());
        let piece = &found.pieces[0];
        jobs[usize::from(redundant)] += 1;
        let doubted = piece.questions.iter().any(|q| q.guess.doubts_a_reading());
        for q in piece.questions.iter().filter(|q| !q.guess.doubts_a_reading()) {
            stand += 1;
            wrong += u32::from(!bench.is_out(&q.guess, &piece.features[q.feature].number));
        }
        let size = |q: &Question| matches!(q.guess, Guess::SizeDiffers { .. });
        let beside_sizes = |q: &Question| q.guess.doubts_a_reading() && !size(q);
        of_sizes += u32::from(piece.questions.iter().any(size));
        beyond_sizes += u32::from(
            !redundant && (piece.questions.iter().any(beside_sizes) || !piece.problems.is_empty()),
        );
        if doubted || !piece.problems.is_empty() {
            accused[usize::from(redundant)] += 1;
            let first =
                piece.problems.first().map_or_else(|| "a question".to_owned(), Problem::says);
            let what: Vec<&str> = first.split(' ').take(4).collect();
            *kinds.entry(what.join(" ")).or_default() += 1;
        }
    }
    println!(
        "clean jobs accused: {} of {}, {} of {} in two orientations, {} of {} in more",
        accused[0] + accused[1],
        JOBS,
        accused[0],
        jobs[0],
        accused[1],
        jobs[1]
    );
    for (what, n) in kinds {
        println!("  {n:4} {what} ...");
    }
    println!("asked about once and standing: {stand}, of features that are not out: {wrong}");
    assert!(stand > 0);
    assert_eq!(wrong, 0, "of {stand}");
    println!("asked about two sizes that differ: {of_sizes}");
    // Where nothing is checked nothing can be found wrong: with one orientation for each axis no height is,
    // but the sizes of a round feature are, one against the other, and holes are not quite round.
    assert_eq!(beyond_sizes, 0);
    assert!(u64::from(of_sizes) * 1000 <= JOBS * 4, "{of_sizes}");
    assert!(accused[1] * 100 < JOBS * 2);
}

/// Turned over onto an edge that is no datum: what the width of the part is off by is nobody's
/// mistake. It cancels where the same holes are tied to the datum elsewhere, and goes into the
/// coordinates, as is said, where they are not.
#[test]
fn the_width_of_the_part_is_no_mistake() {
    let mut seen = 0;
    for seed in 0..2000 {
        let mut bench = Bench::any(700_000_000 + seed, true);
        let over = |s: &Stand| s.up > 135.0 && s.zero == ZeroAt::Plate;
        if !bench.stands.iter().any(|s| over(s) && s.blocks_known) {
            continue;
        }
        seen += 1;
        let close = evaluate(&bench.measured());
        bench.edges_off = [0.8, -0.6];
        let far = evaluate(&bench.measured());
        for (a, b) in close.pieces[0].features.iter().zip(&far.pieces[0].features).skip(4) {
            for (a, b) in [(a.x, b.x), (a.y, b.y)] {
                let Some((a, b)) = a.at().zip(b.at()) else { continue };
                // Half a step of the display either way.
                assert!((a - b).abs().to_mm() < 0.002, "{seed}: {a:?} {b:?}");
            }
        }
    }
    println!("parts turned over: {seen}");
    assert!(seen > 100);
}
