//! The words behind a command's name.

use anyhow::{Result, bail};

/// Options not yet asked for. Each question takes its answer out; `finish` refuses what is left.
pub(crate) struct Options {
    own: Vec<String>,
    passed_on: Vec<String>,
}

impl Options {
    /// Splits at the first `--`: what follows it is for another program.
    pub(crate) fn new(words: impl IntoIterator<Item = String>) -> Self {
        let mut own: Vec<String> = words.into_iter().collect();
        let mut passed_on = Vec::new();
        if let Some(at) = own.iter().position(|word| word == "--") {
            passed_on = own.split_off(at + 1);
            own.pop();
        }
        Self { own, passed_on }
    }

    /// Was the flag given?
    pub(crate) fn flag(&mut self, name: &str) -> bool {
        let before = self.own.len();
        self.own.retain(|word| word != name);
        self.own.len() < before
    }

    /// The value of `name VALUE` or `name=VALUE`.
    ///
    /// # Errors
    /// When the value is missing.
    pub(crate) fn value(&mut self, name: &str) -> Result<Option<String>> {
        let joined = format!("{name}=");
        let Some(at) = self.own.iter().position(|word| word == name || word.starts_with(&joined))
        else {
            return Ok(None);
        };
        let word = self.own.remove(at);
        if let Some(value) = word.strip_prefix(&joined) {
            return Ok(Some(value.to_owned()));
        }
        if at < self.own.len() {
            return Ok(Some(self.own.remove(at)));
        }
        bail!("{name} needs a value")
    }

    /// Everything was asked for; gives what stood behind `--`.
    ///
    /// # Errors
    /// When a word is left that no question took.
    pub(crate) fn finish_with_rest(self) -> Result<Vec<String>> {
        match self.own.first() {
            None => Ok(self.passed_on),
            Some(word) => bail!("'{word}' is not understood here; `cargo xtask` lists the options"),
        }
    }

    /// Everything was asked for, and nothing may stand behind `--` either.
    ///
    /// # Errors
    /// When a word is left.
    pub(crate) fn finish(&mut self) -> Result<()> {
        match self.own.first().or(self.passed_on.first()) {
            None => Ok(()),
            Some(word) => bail!("'{word}' is not understood here; `cargo xtask` lists the options"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn options(line: &str) -> Options {
        Options::new(line.split_whitespace().map(str::to_owned))
    }

    #[test]
    fn flags_and_values_are_taken_out() {
        let mut o = options("--no-build --port 9000 --with-stdin");
        assert!(o.flag("--no-build"));
        assert_eq!(o.value("--port").unwrap().as_deref(), Some("9000"));
        assert!(!o.flag("--native"));
        assert!(o.flag("--with-stdin"));
        assert!(o.finish().is_ok());
    }

    #[test]
    fn a_value_may_be_joined_and_must_not_be_missing() {
        assert_eq!(options("--port=0").value("--port").unwrap().as_deref(), Some("0"));
        assert!(options("--port").value("--port").is_err());
    }

    #[test]
    fn what_stands_behind_the_dashes_is_passed_on_untouched() {
        let mut o = options("--native -- -p quarterturn-core -- --native");
        assert!(o.flag("--native"));
        assert_eq!(o.finish_with_rest().unwrap(), ["-p", "quarterturn-core", "--", "--native"]);
    }

    #[test]
    fn unknown_words_are_refused() {
        assert!(options("--prot 1").finish().is_err());
        assert!(options("-- x").finish().is_err());
    }
}
