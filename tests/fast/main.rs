//! The tests of the edit loop, all of which end within seconds; each module says what it holds.
#![cfg(test)]

#[path = "../shared/advice/mod.rs"]
mod advice;
#[expect(dead_code, reason = "the slow tests use the rest")]
#[path = "../shared/bench/mod.rs"]
mod bench;
#[expect(dead_code, reason = "the slow tests draw visits")]
#[path = "../shared/bench_visit/mod.rs"]
mod bench_visit;
#[path = "../shared/cases/mod.rs"]
mod cases;
#[path = "../shared/chance/mod.rs"]
mod chance;
#[path = "../shared/fixture/mod.rs"]
mod fixture;
#[path = "../shared/generated/mod.rs"]
mod generated;
#[path = "../shared/harmless/mod.rs"]
mod harmless;
#[expect(dead_code, reason = "the slow tests use the rest")]
#[path = "../shared/repository/mod.rs"]
mod repository;
#[path = "../shared/told/mod.rs"]
mod told;
#[path = "../shared/versioned/mod.rs"]
mod versioned;

mod advice_bounds;
mod asked_for;
mod benches;
mod catalogue;
mod cause_benches;
mod cause_likelihoods;
mod causes;
mod check_lines;
mod cli;
mod decisions;
mod docs;
mod drafts;
mod due_list;
mod due_outputs;
mod enter;
mod fixtures;
mod formats;
mod going_on;
mod help;
mod heron;
mod hostile_changes;
mod label_rates;
mod layers;
mod licenses;
mod links;
mod misplaced;
mod model;
mod newer_tests;
mod not_filled_in;
mod outputs;
mod parity;
mod published;
mod quantities;
mod record_slips;
mod renamed;
mod revisions;
mod schema_faults;
mod schemas;
mod settings;
mod sheet;
mod spans;
mod start;
mod statistics;
mod steps_done;
mod steps_failing;
mod tank;
mod text;
mod too_coarse;
mod unusable;
mod visits;
mod wear;
mod workings;
