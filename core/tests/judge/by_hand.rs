//! The judge itself against what was worked out by hand.

use super::document::read;
use super::verdict::judge;

#[test]
fn probe_cases() {
    for name in std::env::var("JUDGE_JOBS").unwrap_or_default().split(' ').filter(|n| !n.is_empty()) {
        let text = std::fs::read_to_string(name).unwrap();
        let job = read(&text);
        println!("{name}: {:#?}", judge(&job, &job.pieces[0]));
    }
}
