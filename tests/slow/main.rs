//! The tests that take long: generated fleets, simulations, mutations; each module says what it holds.
#![cfg(test)]

#[path = "../shared/advice/mod.rs"]
mod advice;
#[path = "../shared/bench/mod.rs"]
mod bench;
#[path = "../shared/bench_visit/mod.rs"]
mod bench_visit;
#[path = "../shared/cases/mod.rs"]
mod cases;
#[path = "../shared/chance/mod.rs"]
mod chance;
#[path = "../shared/fixture/mod.rs"]
mod fixture;
#[path = "../../benches/fleet/generator.rs"]
mod generator;
#[path = "../../benches/fleet/growth.rs"]
mod growth;
#[path = "../shared/harmless/mod.rs"]
mod harmless;
#[path = "../shared/naive/mod.rs"]
mod naive;
#[expect(dead_code, reason = "the fast tests use the rest")]
#[path = "../shared/repository/mod.rs"]
mod repository;
#[path = "../shared/seeded_faults/mod.rs"]
mod seeded_faults;
#[expect(dead_code, reason = "the fast tests use the rest")]
#[path = "../shared/versioned/mod.rs"]
mod versioned;

mod benches;
mod benchmark;
mod catalogue;
mod cause_shares;
mod causes;
mod decisions;
mod dialect;
mod faults;
mod held;
mod invariance;
mod logs;
mod oracle;
mod provenance;
mod seeded;
mod text;
mod uncertainty;
mod wear;
