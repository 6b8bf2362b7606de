//! An oracle that shares nothing with the program: how every step of every machine stands on any day of
//! random histories, and on days of histories made by hand for each row and each order.
#![cfg(test)]

mod naive;

use jiff::ToSpan;
use jiff::civil::Date;
use naive::judged::{Answer, Looked, StepOf};
use naive::{Fleet, MACHINES, SETUPS, drawn, written};
use proptest::prelude::*;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write;
use swathlint::quantity::calendar::Period;
use swathlint::report::DueList;
use swathlint::{Listing, Settings, due};

/// A step of the list: machine, setup where it has several, words for the step.
type Row = (String, Option<String>, &'static str);

/// What the program lists as due.
fn listed(files: &BTreeMap<String, String>, today: Date, within: Period) -> DueList {
    let listing = Listing {
        paths: files.keys().cloned().collect(),
        ignored: 0,
    };
    let read = |path: &str| {
        let text = files.get(path).ok_or("it is not there")?;
        Ok(text.clone().into_bytes())
    };
    let settings = Settings {
        today,
        selected: Vec::new(),
    };
    due(&listing, &read, &settings, within)
}

/// All that a list says of steps.
#[derive(Debug, PartialEq, Eq)]
struct Said {
    steps: BTreeMap<Row, Answer>,
    in_date: usize,
    unsure: BTreeSet<(String, &'static str)>,
}

fn said_by_the_program(files: &BTreeMap<String, String>, today: Date, within: Period) -> Said {
    let list = listed(files, today, within);
    let steps = list.steps.iter().map(|step| {
        let answer = Answer {
            state: step.state.word(),
            // Which of several unread records is named is no matter.
            due: step
                .due
                .filter(|_| step.state.word() != "re-check" || step.by.word() == "work"),
            by: step.by.word(),
            last_done: step.last_done,
        };
        (
            (step.machine.clone(), step.setup.clone(), step.step),
            answer,
        )
    });
    Said {
        steps: steps.collect(),
        in_date: list.in_date,
        unsure: list
            .unsure
            .iter()
            .flat_map(|unsure| {
                let steps = unsure.steps.iter();
                steps.map(|step| (unsure.machine.clone(), *step))
            })
            .collect(),
    }
}

fn said_by_the_oracle(fleet: &Fleet, today: Date, within: Period) -> Said {
    let mut said = Said {
        steps: BTreeMap::new(),
        in_date: 0,
        unsure: BTreeSet::new(),
    };
    let until = within.after(today).unwrap();
    for number in 0..fleet.machines.len() {
        let looked = Looked {
            fleet,
            number,
            today,
        };
        if !looked.is_in_service() {
            continue;
        }
        for of in looked.steps() {
            let answer = looked.answer(of, until);
            let machine = MACHINES[number].to_owned();
            match looked.has(of.step) {
                Some(false) => continue,
                None if answer.state == "never done" => {
                    said.unsure.insert((machine, of.step.test()));
                    continue;
                }
                None | Some(true) => {}
            }
            if answer.state == "in date" {
                said.in_date += 1;
            } else {
                said.steps.insert(row(fleet, number, of), answer);
            }
        }
    }
    said
}

fn row(fleet: &Fleet, number: usize, of: StepOf) -> Row {
    let has_several = fleet.machines[number].setups > 1;
    let setup = of.setup.filter(|_| has_several);
    (
        MACHINES[number].to_owned(),
        setup.map(|setup| SETUPS[setup].to_owned()),
        of.step.test(),
    )
}

/// Days on which something changes by the oracle, with the day before, and some others.
fn days_to_ask(fleet: &Fleet, others: &[Date]) -> BTreeSet<Date> {
    let events = fleet.machines.iter().flat_map(|machine| &machine.events);
    let days: BTreeSet<Date> = events.map(|event| event.day).collect();
    let (Some(first), Some(last)) = (days.first(), days.last()) else {
        return others.iter().copied().collect();
    };
    let (mut day, end) = (*first - 2.days(), *last + 60.days());
    let mut asked: BTreeSet<Date> = others.iter().copied().collect();
    let mut before = said_by_the_oracle(fleet, day, Period::Days(14));
    while day < end {
        let next = day + 1.days();
        let said = said_by_the_oracle(fleet, next, Period::Days(14));
        if said != before {
            asked.extend([day, next]);
        }
        (before, day) = (said, next);
    }
    asked
}

/// What the two disagree on, with all it takes to see why.
fn disagreement(fleet: &Fleet, today: Date, within: Period) -> Option<String> {
    let files = written::files(fleet);
    let (program, oracle) = (
        said_by_the_program(&files, today, within),
        said_by_the_oracle(fleet, today, within),
    );
    if program == oracle {
        return None;
    }
    let mut text = format!("on {today}, within {within:?}:\n");
    let rows: BTreeSet<&Row> = program.steps.keys().chain(oracle.steps.keys()).collect();
    for row in rows {
        let (said, meant) = (program.steps.get(row), oracle.steps.get(row));
        if said != meant {
            writeln!(text, "{row:?}\n  program {said:?}\n  oracle  {meant:?}").unwrap();
        }
    }
    if program.in_date != oracle.in_date {
        writeln!(
            text,
            "in date: program {}, oracle {}",
            program.in_date, oracle.in_date
        )
        .unwrap();
    }
    if program.unsure != oracle.unsure {
        writeln!(
            text,
            "unsure: program {:?}, oracle {:?}",
            program.unsure, oracle.unsure
        )
        .unwrap();
    }
    for (path, file) in files {
        writeln!(text, "# file: {path}\n{file}").unwrap();
    }
    Some(text)
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 300,
        failure_persistence: None,
        max_shrink_iters: 20_000,
        ..ProptestConfig::default()
    })]

    /// Every step of every machine, on every day on which anything changes.
    #[test]
    fn every_step_stands_as_the_oracle_says(
        fleet in drawn::fleet(),
        others in prop::collection::vec(drawn::day(), 1..4),
        within in prop::sample::select(vec![
            Period::Days(14),
            Period::Days(0),
            Period::Months(1),
            Period::Months(30),
        ]),
    ) {
        for today in days_to_ask(&fleet, &others) {
            if let Some(text) = disagreement(&fleet, today, within) {
                return Err(TestCaseError::fail(text));
            }
        }
    }
}
