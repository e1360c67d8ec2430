//! Small mistakes at the bench, each in two hundred jobs with a clean twin: of how many something is
//! said, how many are called by their cause, and of how many a verdict changes with nothing said.
//!
//! `cargo test -p quarterturn-core --test all small_mistakes -- --nocapture` prints the table.

use crate::simulate::small_job::{Plan, SmallJob};
use crate::simulate::small_mistakes::{Pair, Small, make};
use quarterturn_core::callout::Verdict;
use quarterturn_core::evaluate;
use quarterturn_core::findings::{Findings, ProblemKind};

/// Of each kind.
const EACH: u64 = 200;

/// How a kind of mistake fared, in jobs.
#[derive(Clone, Copy, Debug, Default)]
struct Fared {
    said: u64,
    named: u64,
    accepted: u64,
    rejected: u64,
    /// A verdict changed with nothing said.
    silent: u64,
    /// Something is said of the clean twin.
    asked: u64,
}

fn says(found: &Findings) -> bool {
    let piece = &found.pieces[0];
    let tried = found.problems.iter().any(|p| matches!(p.what, ProblemKind::Probe { .. }));
    tried || !piece.questions.is_empty() || !piece.problems.is_empty()
}

/// Whether some feature was not accepted and is, and the other way round.
fn changed(clean: &Findings, spoilt: &Findings) -> [bool; 2] {
    let pairs = || clean.pieces[0].features.iter().zip(&spoilt.pieces[0].features);
    let is =
        |from: Verdict, to: Verdict| pairs().any(|(a, b)| (a.verdict, b.verdict) == (from, to));
    [is(Verdict::DoesNotConform, Verdict::Conforms), is(Verdict::Conforms, Verdict::DoesNotConform)]
}

/// Whether it is called by its cause and by no other.
fn named(_mistake: Small, _pair: &Pair, _found: &Findings) -> bool {
    false
}

/// The first job from this seed on in which the mistake can be made.
fn pair(mistake: Small, plan: Plan, seed: u64) -> Pair {
    let symmetric = mistake == Small::WrongTurn;
    (0..400)
        .find_map(|attempt| {
            let seed = seed * 1000 + attempt;
            make(mistake, &SmallJob::any(seed, plan, symmetric), seed)
        })
        .unwrap_or_else(|| panic!("{mistake:?} could not be made from seed {seed}"))
}

fn fares(mistake: Small, plan: Plan) -> Fared {
    let mut fared = Fared::default();
    for i in 0..EACH {
        let pair = pair(mistake, plan, 1 + i + 10_007 * mistake as u64);
        let [clean, spoilt] = [&pair.clean, &pair.spoilt].map(evaluate);
        let said = says(&spoilt);
        let [accepted, rejected] = changed(&clean, &spoilt).map(|changed| changed && !said);
        fared.said += u64::from(said);
        fared.named += u64::from(said && named(mistake, &pair, &spoilt));
        fared.accepted += u64::from(accepted);
        fared.rejected += u64::from(rejected);
        fared.silent += u64::from(accepted || rejected);
        fared.asked += u64::from(says(&clean));
    }
    fared
}

#[test]
fn small_mistakes_are_said() {
    let percent = |n: u64| 100 * n / EACH;
    for plan in Plan::ALL {
        println!(
            "{:34} {:>6} {:>6} {:>9} {:>9} {:>7} {:>6}",
            plan.words().split(" and").next().unwrap_or_default(),
            "said",
            "cause",
            "accepted",
            "rejected",
            "silent",
            "clean"
        );
        for mistake in Small::ALL {
            let f = fares(mistake, plan);
            let [said, named, accepted, rejected, silent, asked] =
                [f.said, f.named, f.accepted, f.rejected, f.silent, f.asked].map(percent);
            println!(
                "{:34} {said:>6} {named:>6} {accepted:>9} {rejected:>9} {silent:>7} {asked:>6}",
                mistake.words()
            );
        }
    }
}
