//! Pieces by keyboard: a serial number is entered, one used twice is refused, a piece is removed and
//! put back, and the record keeps it.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use fantoccini::key::Key;
use quarterturn_core::job::PieceChange;
use quarterturn_tests::{User, run};

async fn serials(user: &User) -> Vec<String> {
    user.kept_job().await.pieces.into_iter().map(|p| p.serial).collect()
}

async fn opens_the_panel(user: &User) {
    user.holds(&[Key::Alt], 'p').await;
    user.waits_for("#piece-panel input").await;
    user.settles().await;
    assert_eq!(user.is_on().await, "Serial number");
}

async fn enters_the_serial(user: &User, serial: &str) {
    user.holds(&[Key::Control], 'a').await;
    user.enters(serial).await;
    user.settles().await;
}

#[test]
fn a_serial_number_is_entered_counted_on_and_printed() {
    run(async {
        let user = User::arrives().await;
        user.waits_to_read("xample").await;
        user.listens_for_errors().await;
        user.holds(&[Key::Alt], 'j').await;
        user.waits_for("#jobs button").await;
        user.tabs_to("New, in inch").await;
        user.presses(Key::Enter).await;
        user.waits_to_read("no part number").await;
        let before = user.is_on().await;
        opens_the_panel(&user).await;
        user.shot("pieces-1-panel").await;
        enters_the_serial(&user, "0007").await;
        assert_eq!(serials(&user).await, ["0007"]);
        assert_eq!(user.is_on().await, before, "the panel is closed, the focus where it was");
        assert_eq!(user.kept_job().await.piece_record, [], "nothing was read under another number");

        user.tabs_to("Add a piece").await;
        user.presses(Key::Enter).await;
        user.settles().await;
        assert_eq!(serials(&user).await, ["0007", "0008"]);
        let before = user.is_on().await;
        opens_the_panel(&user).await;
        enters_the_serial(&user, "0007").await;
        user.waits_to_read("Piece 1 of 2 already has serial number 0007").await;
        user.shot("pieces-2-refused").await;
        enters_the_serial(&user, " ").await;
        user.waits_to_read("Type the serial number").await;
        assert_eq!(serials(&user).await, ["0007", "0008"]);
        // As it was, then out of the panel.
        user.presses(Key::Escape).await;
        user.presses(Key::Escape).await;
        user.settles().await;
        assert_eq!(user.is_on().await, before);

        user.holds(&[Key::Alt], char::from(Key::PageUp)).await;
        user.goes_to('4', "Sheet").await;
        user.waits_for(".paper svg").await;
        let sheet = user.sees(".paper").await;
        assert!(sheet.contains("0007"), "{sheet}");
        user.shot("pieces-4-sheet").await;
        assert_eq!(user.errors().await, Vec::<String>::new());
    });
}

#[test]
fn a_removed_piece_stays_in_the_record_and_can_be_put_back() {
    run(async {
        let user = User::arrives().await;
        user.waits_to_read("xample").await;
        user.listens_for_errors().await;
        let read = user.kept_job().await;
        let [first, second] = &read.pieces[..] else { panic!("{:?}", read.pieces) };
        user.goes_to('2', "Bench").await;
        user.waits_for(".bench-field").await;
        user.holds(&[Key::Alt], char::from(Key::PageDown)).await;
        user.waits_to_read("(2 of 2)").await;
        opens_the_panel(&user).await;
        user.tabs_to("Why it is removed").await;
        user.types("another revision").await;
        user.presses(Key::Tab).await;
        assert_eq!(user.is_on().await, format!("Remove piece {}", second.serial));
        user.shot("pieces-3-removing").await;
        user.presses(Key::Enter).await;
        let says = format!("Piece {} was removed. The record keeps its readings.", second.serial);
        user.waits_to_read(&says).await;
        let removed = user.kept_job().await;
        assert_eq!(removed.pieces, std::slice::from_ref(first));
        let [entry] = &removed.piece_record[..] else { panic!("{:?}", removed.piece_record) };
        assert_eq!(entry.change, PieceChange::Removed(Box::new(second.clone())));
        assert_eq!(
            (entry.who.as_str(), entry.why.as_str()),
            (&*second.inspector, "another revision")
        );
        assert_eq!(removed.record, read.record, "no reading of the other piece was touched");
        user.runs("document.querySelector('.bench-record').open = true").await;
        let listed = format!("piece {} removed, kept in the record with", second.serial);
        user.waits_to_read(&listed).await;
        user.shot("pieces-3-removed").await;

        // The step is taken back; that it was done stays in the record.
        user.clicks(".line", "Put it back").await;
        user.waits_to_read("(2 of 2)").await;
        let back = user.kept_job().await;
        assert_eq!(back.pieces, read.pieces);
        let put_back = PieceChange::PutBack(second.serial.clone());
        assert_eq!(back.piece_record.len(), 2);
        assert_eq!(back.piece_record[1].change, put_back);
        user.holds(&[Key::Control], 'y').await;
        user.waits_to_read("(1 of 1)").await;
        assert_eq!(user.kept_job().await.piece_record.len(), 3);
        assert_eq!(user.errors().await, Vec::<String>::new());
    });
}

#[test]
fn the_last_piece_can_be_removed_and_a_first_one_added() {
    run(async {
        let user = User::arrives().await;
        user.waits_to_read("xample").await;
        user.listens_for_errors().await;
        let before = user.kept_job().await;
        for screen in ['1', '2', '3', '4'] {
            user.holds(&[Key::Alt], screen).await;
            user.settles().await;
            for _ in &before.pieces {
                user.holds(&[Key::Alt], 'p').await;
                user.waits_for("#piece-panel input").await;
                user.clicks("#piece-panel", "Remove piece").await;
                user.settles().await;
            }
            assert_eq!(user.kept_job().await.pieces, []);
            assert_eq!(user.errors().await, Vec::<String>::new(), "screen {screen}");
            user.shot(&format!("pieces-none-{screen}")).await;
            for _ in &before.pieces {
                user.holds(&[Key::Control], 'z').await;
                user.settles().await;
            }
            assert_eq!(user.kept_job().await.pieces, before.pieces, "screen {screen}");
            assert_eq!(user.errors().await, Vec::<String>::new(), "screen {screen}");
        }
    });
}
