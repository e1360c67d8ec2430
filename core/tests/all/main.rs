//! The tests of the core that go through its public interface, as one program: linked once, and with
//! one set of helpers.
//!
//! `cargo test -p quarterturn-core --test all NAME` runs the tests whose path holds NAME; every file
//! is a module, so its name runs all of its tests.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod build;
mod cause_common;
mod common;
mod fit_common;
mod random;
mod simulate;

mod bad_input;
mod callout_texts;
mod cause_alone;
mod cause_errors;
mod cause_machine;
mod cause_nested;
mod cause_one_offset;
mod cause_words;
mod check_chance;
mod check_values;
mod datum_patterns;
mod demo;
mod drawing_checks;
mod edges_and_planes;
mod faults;
mod fit_blocked;
mod fit_check_values;
mod fit_conic;
mod fit_degenerate;
mod fit_properties;
mod fit_rework;
mod fit_room;
mod form_circle;
mod form_zone;
mod gauge_range;
mod golden;
mod grade_rules;
mod grade_tables;
mod instrument_lines;
mod lines;
mod loose_ends;
mod machine;
mod monte_carlo;
mod network_checks;
mod network_common;
mod network_consider;
mod network_dense;
mod network_flange;
mod network_forms;
mod network_influence;
mod network_planted;
mod not_understood;
mod notebook;
mod notebook_2;
mod notebook_3;
mod old_versions;
mod pasted_tables;
mod patterns;
mod properties;
mod rows_typed_twice;
mod schema;
mod sealed_sheet;
mod sheet_extent;
mod sheet_lot;
mod sheet_reader;
mod sheet_says;
mod simulated_bench;
mod small_mistakes;
mod surface_and_axis;
mod trials_and_sweeps;
mod uncertainty;
mod zeros_and_frames;
