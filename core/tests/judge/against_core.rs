//! The core held against the judge on random jobs.

use super::compare::{Difference, compare};
use super::{core_answer, document, random, verdict};
use std::collections::BTreeMap;
use std::path::PathBuf;

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

fn hold(seed: u64) -> Held {
    let (draft, traits) = random::job(seed);
    let text = draft.text();
    let document = document::read(&text);
    let judge = verdict::judge(&document, &document.pieces[0]);
    let differences = match core_answer::answer(&text) {
        Ok(core) => compare(&core, &judge),
        Err(e) => vec![Difference { class: format!("refused: {e}"), by: 0.0, what: String::new() }],
    };
    let mut words = traits.words;
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
    assert!(
        report || apart == 0,
        "{apart} of {count} jobs differ; examples are in {}",
        folder.display()
    );
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
