//! What the person at the terminal reads: a line before each step, and how long it took.
//! On standard error, so that standard output holds results alone.

use std::time::{Duration, Instant};

/// A step that was announced and is under way.
#[must_use = "a step that is announced must be seen to end"]
pub(crate) struct Step(Instant);

/// Announces a step before it is taken.
pub(crate) fn step(what: &str) -> Step {
    eprintln!("==> {what}");
    Step(Instant::now())
}

/// A line of its own that announces nothing.
pub(crate) fn note(what: &str) {
    eprintln!("    {what}");
}

impl Step {
    /// Says that the step is done and how long it took.
    pub(crate) fn done(self) {
        eprintln!("    done in {}", spoken(self.0.elapsed()));
    }
}

fn spoken(time: Duration) -> String {
    let seconds = time.as_secs();
    if seconds >= 60 {
        format!("{} min {} s", seconds / 60, seconds % 60)
    } else {
        format!("{:.1} s", time.as_secs_f64())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_read_well() {
        assert_eq!(spoken(Duration::from_millis(2_340)), "2.3 s");
        assert_eq!(spoken(Duration::from_secs(312)), "5 min 12 s");
    }
}
