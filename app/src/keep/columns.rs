//! What the columns of pasted tables meant, so that a table with the same headings is read alike.

use super::store::Store;
use quarterturn_core::entry::TableColumn;

const KEY: &str = "quarterturn.columns";

/// Headings that are remembered; the oldest go first.
const MOST: usize = 30;

type Remembered = Vec<(String, Vec<TableColumn>)>;

/// What was chosen the last time for a table with these headings.
pub(crate) fn columns_meant(headings: &str) -> Option<Vec<TableColumn>> {
    all(&Store::open()?).into_iter().find(|(h, _)| h == headings).map(|(_, meanings)| meanings)
}

/// Remembers what was chosen for a table with these headings.
pub(crate) fn remember_columns(headings: String, meanings: Vec<TableColumn>) {
    let Some(store) = Store::open() else { return };
    let known = with(all(&store), headings, meanings);
    if let Ok(text) = serde_json::to_string(&known) {
        // A convenience: without room for it the headings tell again what the columns mean.
        store.set(KEY, &text);
    }
}

/// What is remembered; a text that another version wrote and that cannot be read counts as nothing.
fn all(store: &Store) -> Remembered {
    store.get(KEY).and_then(|text| serde_json::from_str(&text).ok()).unwrap_or_default()
}

fn with(mut known: Remembered, headings: String, meanings: Vec<TableColumn>) -> Remembered {
    known.retain(|(h, _)| *h != headings);
    known.insert(0, (headings, meanings));
    known.truncate(MOST);
    known
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_latest_choice_counts_and_the_oldest_goes() {
        let mut known = Vec::new();
        for i in 0..MOST + 5 {
            known = with(known, format!("{i}"), vec![TableColumn::X]);
        }
        known = with(known, "20".to_owned(), vec![TableColumn::Y]);
        assert_eq!(known.len(), MOST);
        assert_eq!(known[0], ("20".to_owned(), vec![TableColumn::Y]));
        assert_eq!(known.iter().filter(|(h, _)| h == "20").count(), 1);
        assert!(known.iter().all(|(h, _)| h != "0"));
    }
}
