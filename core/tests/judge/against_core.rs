//! The core held against the judge on random jobs.

use super::compare::{Difference, compare};
use super::{core_answer, document, random, verdict};
use std::collections::BTreeMap;
use std::path::PathBuf;

/// Part of the jobs in which a figure may differ while no verdict does: which direction a face has that
/// only carried the part or read zero, and what second order is left.
const MOST_FIGURES: f64 = 0.005;

/// Part of the jobs in which only one of the two gives a verdict. Most were made with something missing:
/// what is still known then is answered more often by the one or by the other.
const MOST_REFUSALS: f64 = 0.15;

/// One class of differences.
#[derive(Default)]
struct Class {
    jobs: usize,
    worst: f64,
    /// The shortest job that shows it.
    smallest: Option<(usize, String, String, u64)>,
    words: BTreeMap<&'static str, usize>,
}

struct Held {
    seed: u64,
    text: String,
    words: Vec<&'static str>,
    differences: Vec<Difference>,
}

/// How far apart two figures may be that are not the same question, mm. An edge out of square: the two
/// answers take a coordinate that was not measured at slightly different places, in second order. A gauge
/// whose error grows with height: to the core it grows from the zero that was set, and heights that are
/// measured twice are weighted otherwise.
fn slack(job: &document::Document) -> f64 {
    const FARTHEST: f64 = 300.0;
    const GROWING: f64 = 2e-3;
    let pieces = job.pieces.iter().flat_map(|p| &p.squareness);
    let slope = pieces.map(|s| s.out.abs()).fold(0.0, f64::max);
    let grows = job.instruments.iter().any(|i| i.error_growth > 0.0);
    FARTHEST * slope * slope + if grows { GROWING } else { 0.0 }
}

fn hold(seed: u64) -> Held {
    let (draft, traits) = random::job(seed);
    let text = draft.text();
    let document = document::read(&text);
    let judge = verdict::judge(&document, &document.pieces[0]);
    let differences = match core_answer::answer(&text) {
        Ok(core) => compare(&core, &judge, slack(&document)),
        Err(e) => vec![Difference { class: format!("refused: {e}"), by: 0.0, what: String::new() }],
    };
    let mut words = traits.words;
    let differences = differences.into_iter().filter(|d| !d.is_open(&words)).collect();
    words.push(if traits.exact { "exact" } else { "noise" });
    words.sort_unstable();
    words.dedup();
    Held { seed, text, words, differences }
}

fn number(name: &str, default: u64) -> u64 {
    std::env::var(name).ok().and_then(|v| v.parse().ok()).unwrap_or(default)
}

#[test]
fn the_core_agrees_with_the_judge_on_random_jobs() {
    let count = number("JUDGE_COUNT", 10_000);
    let first = number("JUDGE_FIRST", 0);
    let report = std::env::var("JUDGE_REPORT").is_ok_and(|v| v == "1");
    let begun = std::time::Instant::now();
    let held: Vec<Held> = std::thread::scope(|scope| {
        let workers: Vec<_> = (0..2)
            .map(|w| {
                scope.spawn(move || {
                    (first..first + count).filter(|s| s % 2 == w).map(hold).collect::<Vec<_>>()
                })
            })
            .collect();
        workers.into_iter().flat_map(|w| w.join().expect("a worker")).collect()
    });
    // Only jobs without, or with, some of the words that the generator notes.
    let words = |name: &str| -> Vec<String> {
        std::env::var(name)
            .map(|v| v.split(';').filter(|w| !w.is_empty()).map(str::to_owned).collect())
            .unwrap_or_default()
    };
    let (with, without) = (words("JUDGE_WITH"), words("JUDGE_WITHOUT"));
    let has = |h: &Held, w: &String| h.words.contains(&w.as_str());
    let held: Vec<Held> = held
        .into_iter()
        .filter(|h| with.iter().all(|w| has(h, w)) && !without.iter().any(|w| has(h, w)))
        .collect();
    if std::env::var("JUDGE_LIST").is_ok() {
        for h in &held {
            for d in h.differences.iter().filter(|d| !d.is_refusal()) {
                println!("LIST {} {} {:e} {} {:?}", h.seed, d.class, d.by, d.what, h.words);
            }
        }
    }
    let mut classes: BTreeMap<String, Class> = BTreeMap::new();
    let mut all: BTreeMap<&'static str, usize> = BTreeMap::new();
    let mut apart = 0;
    for h in &held {
        for w in &h.words {
            *all.entry(w).or_default() += 1;
        }
        apart += usize::from(!h.differences.is_empty());
        let mut seen: Vec<&str> = Vec::new();
        for d in &h.differences {
            let class = classes.entry(d.class.clone()).or_default();
            class.worst = class.worst.max(d.by);
            if seen.contains(&d.class.as_str()) {
                continue;
            }
            seen.push(&d.class);
            class.jobs += 1;
            for w in &h.words {
                *class.words.entry(w).or_default() += 1;
            }
            if class.smallest.as_ref().is_none_or(|s| s.0 > h.text.len()) {
                class.smallest = Some((h.text.len(), h.text.clone(), d.what.clone(), h.seed));
            }
        }
    }
    println!(
        "{} jobs from seed {first} in {:.1} s, {apart} differ",
        held.len(),
        begun.elapsed().as_secs_f64()
    );
    let folder: PathBuf = [env!("CARGO_MANIFEST_DIR"), "..", "target", "judge"].iter().collect();
    std::fs::create_dir_all(&folder).expect("a folder for examples");
    for (name, class) in &classes {
        let Some((_, text, what, seed)) = &class.smallest else { continue };
        let file: String = name
            .chars()
            .map(|c| if c.is_ascii_alphanumeric() { c } else { '-' })
            .take(80)
            .collect();
        let path = folder.join(format!("{file}.json"));
        std::fs::write(&path, text).expect("an example");
        // The words that are most over-represented among the jobs of this class.
        let mut words: Vec<(f64, &str)> = class
            .words
            .iter()
            .map(|(w, n)| (*n as f64 / class.jobs as f64 / (all[w] as f64 / held.len() as f64), *w))
            .collect();
        words.sort_by(|a, b| b.0.total_cmp(&a.0));
        let words: Vec<String> =
            words.iter().take(4).map(|(l, w)| format!("{w} x{l:.1}")).collect();
        println!("{:6}  worst {:9.2e}  {name}", class.jobs, class.worst);
        println!("          {}", words.join(", "));
        println!("          seed {seed}: {what}");
        println!("          {}", path.display());
    }
    let jobs = |of: &dyn Fn(&Difference) -> bool| {
        held.iter().filter(|h| h.differences.iter().any(of)).count() as f64 / held.len() as f64
    };
    let contradict = jobs(&|d| d.class.contains("verdict") && !d.is_refusal());
    let figures = jobs(&|d| !d.is_refusal());
    let refusals = jobs(&Difference::is_refusal);
    println!(
        "verdicts that contradict: {:.2} % of the jobs; figures that differ: {:.2} %; one refuses, or \
         groups otherwise: {:.2} %",
        100.0 * contradict,
        100.0 * figures,
        100.0 * refusals
    );
    assert!(report || contradict == 0.0, "verdicts contradict: see {}", folder.display());
    assert!(report || figures <= MOST_FIGURES, "figures differ: see {}", folder.display());
    assert!(report || refusals <= MOST_REFUSALS, "one refuses: see {}", folder.display());
}

/// Writes the job of one seed and prints both answers: `JUDGE_SEED=7 cargo test one_seed -- --nocapture`.
#[test]
fn one_seed() {
    let Ok(seeds) = std::env::var("JUDGE_SEED") else { return };
    let folder: PathBuf = [env!("CARGO_MANIFEST_DIR"), "..", "target", "judge"].iter().collect();
    std::fs::create_dir_all(&folder).expect("a folder for examples");
    for seed in seeds.split(',').map(|s| s.parse().expect("a seed")) {
        let held = hold(seed);
        let path = folder.join(format!("seed-{seed}.json"));
        std::fs::write(&path, &held.text).expect("an example");
        println!("{} {:?}", path.display(), held.words);
        for d in &held.differences {
            println!("  {}  {}", d.class, d.what);
        }
        let document = document::read(&held.text);
        let answer = verdict::judge(&document, &document.pieces[0]);
        for f in &answer.features {
            println!("  {} sizes {:?} {:?}", f.number, f.sizes, f.verdict);
            for p in &f.positions {
                println!("    {p:?}");
            }
        }
        for p in &answer.patterns {
            println!("  {p:?}");
        }
        for r in &answer.relations {
            println!("  {r:?}");
        }
    }
}

#[test]
fn residuals() {
    let Ok(path) = std::env::var("JUDGE_RESIDUALS") else { return };
    let document = document::read(&std::fs::read_to_string(path).expect("a file"));
    let net = super::observations::collect(&document, &document.pieces[0]);
    let adjusted = super::adjust::adjust(&net);
    for o in &net.observations {
        let r = o.value - super::observations::evaluate(&o.coefficients, &adjusted.unknowns);
        println!("{:?} = {} variance {:e} residual {r:e}", o.coefficients, o.value, o.variance);
    }
    println!("{:?} free {}", adjusted.unknowns, adjusted.undetermined.ncols());
}
