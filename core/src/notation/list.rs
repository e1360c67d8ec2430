//! How lists are written.

/// `1`, `1 and 2`, `1, 2 and 3`; nothing for an empty list.
pub(crate) fn joined(list: &[impl AsRef<str>]) -> String {
    match list {
        [] => String::new(),
        [one] => one.as_ref().to_owned(),
        [most @ .., last] => {
            let most: Vec<&str> = most.iter().map(AsRef::as_ref).collect();
            format!("{} and {}", most.join(", "), last.as_ref())
        }
    }
}

#[cfg(test)]
mod tests {
    use super::joined;

    #[test]
    fn the_last_one_is_joined_by_a_word() {
        assert_eq!(joined(&[] as &[&str]), "");
        assert_eq!(joined(&["1"]), "1");
        assert_eq!(joined(&["1", "2"]), "1 and 2");
        assert_eq!(joined(&["1", "2", "3"]), "1, 2 and 3");
    }
}
