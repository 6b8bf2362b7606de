//! A working comes to the value it tells of, line by line: of every figure, over every fixture and the demo fleet.
#![cfg(test)]

use crate::repository::Repository;
use crate::{cases, fixture};
use jiff::civil::Date;
use std::collections::BTreeMap;
use swathlint::fact::Fact;

/// Sums made in another order differ by no more.
const ROUNDING: f64 = 1e-9;

fn fleets() -> Vec<(String, BTreeMap<String, String>, Date)> {
    let mut fleets: Vec<_> = cases::cases()
        .into_iter()
        .map(|case| (case.name, case.files, case.today.parse().unwrap()))
        .collect();
    for (name, today) in [("saltmere", "2026-06-01"), ("records", "2026-06-01")] {
        let files = fixture::tree(&fixture::folder().join(name));
        fleets.push((name.to_owned(), files, today.parse().unwrap()));
    }
    fleets
}

/// The number that a result tells.
#[expect(
    clippy::wildcard_enum_match_arm,
    reason = "every other kind of fact tells no number"
)]
fn number(result: &Fact) -> Option<f64> {
    match result {
        Fact::Percent { ratio, .. } => Some(*ratio),
        Fact::Computed { si, .. } => Some(*si),
        Fact::Number { value, .. } => Some(*value),
        Fact::Phrase(_, facts) => match &facts[..] {
            [one] => number(one),
            _ => None,
        },
        _ => None,
    }
}

#[test]
fn a_working_comes_to_the_value_of_its_figure() {
    let mut worked_out: BTreeMap<&str, usize> = BTreeMap::new();
    let mut drifted = Vec::new();
    for (name, files, today) in fleets() {
        for member in (Repository { files }).computed(today) {
            let (Some(working), Ok(value)) = (&member.working, &member.value) else {
                continue;
            };
            *worked_out.entry(member.entry.id).or_default() += 1;
            for line in working.lines() {
                let found = line.expression.evaluate();
                if let Some(shown) = line.result.as_ref().and_then(number)
                    && (shown - found).abs() > ROUNDING * found.abs().max(1.0)
                {
                    drifted.push(format!(
                        "{name}: {}: {found} is shown as {shown}",
                        member.entry.id
                    ));
                }
            }
            let (value, worked) = (value.value(), working.evaluate());
            if (value - worked).abs() > ROUNDING * value.abs().max(1.0) {
                drifted.push(format!(
                    "{name}: {}: {value} is worked out as {worked}",
                    member.entry.id
                ));
            }
        }
    }
    assert!(drifted.is_empty(), "{drifted:#?}");
    assert!(
        20 <= worked_out.len(),
        "few figures have a working: {worked_out:?}"
    );
}
