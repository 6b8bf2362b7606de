//! The tests that take long: generated fleets, simulations, mutations; each module says what it holds.
#![cfg(test)]

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
#[expect(dead_code, reason = "the fast tests use the rest")]
#[path = "../shared/versioned/mod.rs"]
mod versioned;

mod benchmark;
mod catalogue;
mod causes;
mod decisions;
mod dialect;
mod faults;
mod invariance;
mod logs;
mod oracle;
mod provenance;
mod text;
mod uncertainty;
mod wear;
