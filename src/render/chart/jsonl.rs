//! What fits for other programs: one JSON object a setup, then one a value of it.
//!
//! Loses nothing: what could drive a terminal or a log is escaped, not replaced.

use crate::chart::{Chart, Mark, Row, SetupChart};
use crate::quantity::Quantity;
use crate::render::Harmless;
use crate::render::chart::wording;
use crate::render::format::{Format, nothing};
use crate::render::jsonl::push_line;
use crate::words::dates;
use serde::Serialize;

/// Changes when a field is renamed, removed or changes its meaning; not when one is added.
const SCHEMA_VERSION: u32 = 1;

/// The format.
pub(super) static FORMAT: Format<Chart> = Format {
    name: "jsonl",
    about: "For programs: one JSON object a setup, and one a value of it",
    write: |chart, _| jsonl(chart),
    leaves_out: nothing,
};

fn jsonl(chart: &Chart) -> Harmless {
    let mut out = String::new();
    for setup in &chart.setups {
        push_line(&mut out, &SetupLine::new(chart, setup));
        for row in &setup.rows {
            push_line(&mut out, &ValueLine::new(chart, setup, row));
        }
    }
    Harmless::json(&out)
}

#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
struct SetupLine<'a> {
    kind: &'static str,
    schema_version: u32,
    machine: &'a str,
    setup: &'a str,
    today: String,
    coverage_factor: f64,
    is_wanted: bool,
    rate: Option<String>,
    speed: Option<String>,
    spacing: Option<String>,
    pressure: Option<String>,
    pressure_mark: Option<&'static str>,
    working_pressure: Option<String>,
    size: Option<&'a str>,
    rated_flow: Option<String>,
    rated_pressure: Option<String>,
    pressure_range: Option<[String; 2]>,
    gauge_reads_to: Option<String>,
    gauge_is_declared: Option<bool>,
    missing: &'a [&'static str],
    sum: Option<SumFields<'a>>,
    caught_on: Option<String>,
    off_rated: Option<f64>,
    off_rated_expanded_uncertainty: Option<f64>,
    as_caught_not_known: Option<String>,
    target: Option<&'a str>,
    mix_pressure_factor: Option<f64>,
    cautions: [&'static str; 3],
}

#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
struct SumFields<'a> {
    rule: &'a str,
    message: &'a str,
    adds_up: bool,
    path: &'a str,
    line: u32,
    column: u32,
}

#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
struct ValueLine<'a> {
    kind: &'static str,
    schema_version: u32,
    machine: &'a str,
    setup: &'a str,
    what: &'static str,
    size: Option<&'a str>,
    rated_flow: Option<String>,
    rated_pressure: Option<String>,
    fitted: bool,
    tips: Option<&'static str>,
    pressure: Option<String>,
    duration: Option<String>,
    speed: Option<String>,
    rate: Option<String>,
    value: f64,
    expanded_uncertainty: Option<f64>,
    unit: String,
    mark: Option<&'static str>,
    contributions: Vec<ShareFields>,
}

#[derive(Serialize)]
struct ShareFields {
    what: &'static str,
    share: f64,
}

fn written(quantity: Option<Quantity>) -> Option<String> {
    quantity.map(|quantity| quantity.to_string())
}

impl<'a> SetupLine<'a> {
    fn new(chart: &'a Chart, setup: &'a SetupChart) -> Self {
        let fitted = setup.fitted.as_ref();
        let average = setup.average.as_ref().ok();
        Self {
            kind: "setup",
            schema_version: SCHEMA_VERSION,
            machine: &chart.machine,
            setup: &setup.name,
            today: dates::date(chart.today),
            coverage_factor: chart.coverage_factor,
            is_wanted: chart.is_wanted,
            rate: written(setup.rate),
            speed: written(setup.speed),
            spacing: written(setup.spacing),
            pressure: written(setup.pressure.map(|(pressure, _)| pressure)),
            pressure_mark: setup.pressure.map(|(_, reach)| {
                let has_range = fitted.is_some_and(|fitted| fitted.range.is_some());
                wording::mark(Mark::Pressure { reach, has_range })
            }),
            working_pressure: written(setup.working_pressure),
            size: fitted.and_then(|fitted| fitted.size.as_deref()),
            rated_flow: written(fitted.map(|fitted| fitted.flow)),
            rated_pressure: written(fitted.map(|fitted| fitted.pressure)),
            pressure_range: fitted
                .and_then(|fitted| fitted.range)
                .map(|range| range.map(|end| end.to_string())),
            gauge_reads_to: written(setup.gauge.map(|gauge| gauge.most)),
            gauge_is_declared: setup.gauge.map(|gauge| gauge.is_declared),
            missing: &setup.lacking,
            sum: setup.sum.as_ref().map(|sum| SumFields {
                rule: &sum.rule,
                message: &sum.message,
                adds_up: sum.is_kept,
                path: &sum.at.path,
                line: sum.at.line,
                column: sum.at.column,
            }),
            caught_on: average.map(|average| dates::date(average.day)),
            off_rated: average.map(|average| average.off_rated),
            off_rated_expanded_uncertainty: average.map(|average| average.expanded),
            as_caught_not_known: setup.average.as_ref().err().map(wording::no_average),
            target: setup.target.as_deref(),
            mix_pressure_factor: setup.mix_over_water,
            cautions: wording::CAUTIONS,
        }
    }
}

impl<'a> ValueLine<'a> {
    fn new(chart: &'a Chart, setup: &'a SetupChart, row: &'a Row) -> Self {
        let shares = row.shares.iter();
        Self {
            kind: "value",
            schema_version: SCHEMA_VERSION,
            machine: &chart.machine,
            setup: &setup.name,
            what: wording::kind(row.kind),
            size: row.size.as_deref(),
            rated_flow: written(row.rated.map(|[flow, _]| flow)),
            rated_pressure: written(row.rated.map(|[_, pressure]| pressure)),
            fitted: row.is_fitted,
            tips: row.rated.map(|_| wording::tips(row.tips)),
            pressure: written(row.pressure),
            duration: written(row.duration),
            speed: written(row.speed),
            rate: written(row.rate),
            value: row.value,
            expanded_uncertainty: row.expanded,
            unit: row.unit.to_string(),
            mark: row.mark.map(wording::mark),
            contributions: shares
                .map(|one| ShareFields {
                    what: one.what,
                    share: one.share,
                })
                .collect(),
        }
    }
}
