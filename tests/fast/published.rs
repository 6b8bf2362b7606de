//! Published numbers of the trade, and traps in print, against the program's own figures.
//!
//! One table a figure: the inputs as printed become a little repository, and the program computes.

use crate::repository::Repository;
use jiff::civil::{Date, date};
use std::collections::BTreeMap;
use std::fmt::Write;
use swathlint::figure::{Measure, Number, Primitives, Rational, What, catalogue};
use swathlint::quantity::Quantity;
use swathlint::quantity::decimal::Decimal;
use swathlint::quantity::unit::Unit;
use swathlint::source::{FileId, Place, Span};

const TODAY: Date = date(2026, 6, 1);

/// A figure's name with its table.
macro_rules! table {
    ($figure:literal) => {
        (
            $figure,
            include_str!(concat!("../published/", $figure, ".csv")),
        )
    };
}

/// The tables, by figure.
const TABLES: [(&str, &str); 16] = [
    table!("boom-flow"),
    table!("computed-flow-factor"),
    table!("density-factor-off"),
    table!("entered-width-off"),
    table!("flow-factor-off"),
    table!("known-off-catch"),
    table!("meter-error"),
    table!("nozzle-flow"),
    table!("nozzle-off-rated"),
    table!("rate-by-catch"),
    table!("rate-by-catch-off"),
    table!("rated-flow"),
    table!("section-off-change"),
    table!("setup-sum-off"),
    table!("true-rate-off"),
    table!("true-speed"),
];

pub(crate) const HEADER: &str =
    "slot,inputs,printed,unit,tolerance,agrees,mark,source,edition,page,note";

/// How a row's number is known.
const MARKS: [&str; 5] = ["seen", "restated", "memory", "computed", "practice"];

#[test]
fn figures_agree_with_what_is_printed_and_disagree_with_its_traps() {
    let mut n_rows = 0;
    let mut n_traps = 0;
    for (figure, table) in TABLES {
        assert!(catalogue::find(figure).is_some(), "no figure `{figure}`");
        let mut lines = table.lines();
        assert_eq!(lines.next(), Some(HEADER), "{figure}");
        for line in lines {
            let row = Row::parse(line);
            let found = row.found(figure);
            let agrees = (found - row.value).abs() <= row.tolerance;
            assert_eq!(agrees, row.agrees, "{figure}: found {found}, row: {line}");
            n_rows += 1;
            n_traps += usize::from(!row.agrees);
        }
    }
    assert!(n_rows > 90 && n_traps > 3, "{n_rows} rows, {n_traps} traps");
}

/// One row of a table.
pub(crate) struct Row<'r> {
    /// The slot of the figure whose number is meant, where it is not the value itself.
    pub(crate) slot: &'r str,
    inputs: BTreeMap<&'r str, &'r str>,
    pub(crate) value: f64,
    pub(crate) unit: &'r str,
    pub(crate) tolerance: f64,
    pub(crate) agrees: bool,
}

impl<'r> Row<'r> {
    pub(crate) fn parse(line: &'r str) -> Self {
        let cells: Vec<&str> = line.split(',').collect();
        let [
            slot,
            inputs,
            printed,
            unit,
            tolerance,
            agrees,
            mark,
            source,
            _,
            _,
            note,
        ] = cells[..]
        else {
            panic!("eleven columns are wanted: {line}");
        };
        assert!(MARKS.contains(&mark), "mark `{mark}`: {line}");
        assert!(!source.is_empty(), "no source: {line}");
        let is_of_practice = source == "common practice; no source";
        assert_eq!(is_of_practice, mark == "practice", "{line}");
        let is_widened = !tolerance.is_empty();
        assert!(
            !(is_widened || agrees == "no") || !note.is_empty(),
            "no reason: {line}"
        );
        Self {
            slot,
            inputs: inputs
                .split("; ")
                .map(|input| input.split_once('=').unwrap())
                .collect(),
            value: printed.parse().unwrap(),
            unit,
            tolerance: if is_widened {
                tolerance.parse().unwrap()
            } else {
                half_of_last_digit(printed)
            },
            agrees: match agrees {
                "yes" => true,
                "no" => false,
                other => panic!("agrees `{other}`: {line}"),
            },
        }
    }

    /// The inputs as records.
    pub(crate) fn repository(&self) -> Repository {
        little_repository(&self.inputs)
    }

    /// The number the program gives: of the first nozzle, where a figure has one for each.
    fn found(&self, figure: &str) -> f64 {
        let repository = self.repository();
        if self.slot.is_empty() {
            let rows = repository.figures(TODAY);
            let row = rows.iter().find(|row| row.figure == figure);
            let row = row.unwrap_or_else(|| panic!("no {figure} of {:?}", self.inputs));
            assert_eq!(row.unit, self.unit, "{figure} of {:?}", self.inputs);
            return row.value.clone().unwrap();
        }
        let computed = repository.computed(TODAY);
        let of_figure = computed.iter().find(|member| member.entry.id == figure);
        let slots = &of_figure.unwrap().slots;
        let slot = slots.iter().find(|(name, _)| *name == self.slot);
        let text = slot.unwrap().1.clone().unwrap();
        let (number, unit) = text.split_once(' ').unwrap_or((&text, ""));
        assert_eq!(unit, self.unit, "{figure} of {:?}", self.inputs);
        number.parse().unwrap()
    }
}

/// Half a unit of the last digit of a number as printed.
fn half_of_last_digit(printed: &str) -> f64 {
    let decimals = printed
        .split_once('.')
        .map_or(0, |(_, behind)| behind.len());
    // A hair more: 0.92 is no binary number, and neither is half of its last digit.
    (0..decimals).fold(0.5, |half, _| half / 10.0) * (1.0 + 1e-9)
}

/// The inputs of a row as a machine file and one visit; what a row does not give has no part in it.
fn little_repository(inputs: &BTreeMap<&str, &str>) -> Repository {
    let mut inputs = Inputs(inputs.clone());
    let machine = machine(&mut inputs);
    let visit = visit(&mut inputs);
    assert!(inputs.0.is_empty(), "nobody reads {:?}", inputs.0);
    Repository::of([
        ("machines/heron.yaml", machine),
        ("calibrations/heron/2026-03-09.yaml", visit),
    ])
}

/// What is left of a row's inputs.
struct Inputs<'r>(BTreeMap<&'r str, &'r str>);

impl<'r> Inputs<'r> {
    fn take(&mut self, name: &str) -> Option<&'r str> {
        self.0.remove(name)
    }

    /// `key: value` for each input that is given, under the key a record has for it.
    fn lines(&mut self, indent: &str, names: &[(&str, &str)]) -> String {
        let mut lines = String::new();
        for (name, key) in names {
            if let Some(value) = self.take(name) {
                writeln!(lines, "{indent}{key}: {value}").unwrap();
            }
        }
        lines
    }
}

fn nozzles(inputs: &Inputs<'_>) -> usize {
    let nozzles = inputs.0.get("nozzles");
    nozzles.map_or(1, |nozzles| nozzles.parse().unwrap())
}

fn machine(inputs: &mut Inputs<'_>) -> String {
    let mut text = "record: machine\nid: heron\n".to_owned();
    let count = nozzles(inputs);
    let spacing = inputs.take("spacing").unwrap_or("20 in");
    write!(text, "boom:\n  spacing: {spacing}\n  nozzles: {count}\n").unwrap();
    text += &inputs.lines("  ", &[("entered-width", "entered-width")]);
    if let Some(unit) = inputs.take("flow-factor") {
        writeln!(text, "console: {{flow-factor: {unit}}}").unwrap();
    }
    text += "setups:\n  fairways:\n";
    if let Some(size) = inputs.take("size") {
        writeln!(text, "    nozzle: {{size: \"{size}\"}}").unwrap();
    }
    if let (Some(flow), Some(pressure)) = (inputs.take("rated"), inputs.take("rated-pressure")) {
        let rated = format!("{{flow: {flow}, pressure: {pressure}}}");
        writeln!(text, "    nozzle: {{rated: {rated}}}").unwrap();
    }
    text += &inputs.lines("    ", &[("setup-pressure", "pressure")]);
    let setup = ["speed", "rate", "density", "density-factor"];
    text += &inputs.lines("    ", &setup.map(|name| (name, name)));
    text
}

fn visit(inputs: &mut Inputs<'_>) -> String {
    let mut text = "record: calibration\nmachine: heron\ndate: 2026-03-09\nby: rm\n".to_owned();
    let count = nozzles(inputs);
    inputs.take("nozzles");
    if let Some(caught) = inputs.take("caught") {
        let (number, unit) = caught.split_once(' ').unwrap();
        let readings = vec![number; count].join(", ");
        write!(
            text,
            "catch-tests:\n  - caught: [{readings}]\n    unit: {unit}\n"
        )
        .unwrap();
        text += &inputs.lines("    ", &["pressure", "duration"].map(|name| (name, name)));
    }
    if let Some(known) = inputs.take("known") {
        write!(text, "meter-tests:\n  - known-volume: {known}\n").unwrap();
        let test = [
            ("known-by", "known-by"),
            ("shown", "shown"),
            ("meter-duration", "duration"),
        ];
        text += &inputs.lines("    ", &test);
        if let (Some(before), Some(after)) = (inputs.take("before"), inputs.take("after")) {
            writeln!(text, "    factor: {{before: {before}, after: {after}}}").unwrap();
        }
    }
    if let Some(distance) = inputs.take("distance") {
        write!(text, "speed-tests:\n  - distance: {distance}\n    runs:\n").unwrap();
        let run = inputs.lines(
            "        ",
            &[("elapsed", "elapsed"), ("run-shown", "shown")],
        );
        writeln!(text, "      - {}", run.trim_start()).unwrap();
    }
    if let (Some(all_on), Some(sections_off)) = (inputs.take("all-on"), inputs.take("sections-off"))
    {
        let sections_off = format!("{{sections: [left], as-found: {sections_off}}}");
        write!(
            text,
            "section-balance:\n  all-on: {all_on}\n  sections-off: [{sections_off}]\n"
        )
        .unwrap();
    }
    text
}

/// A step is current on the last day of its period, and overdue on the day after.
#[test]
fn periods_end_on_the_day_the_calendar_says() {
    let table = include_str!("../published/overdue.csv");
    let mut lines = table.lines();
    assert_eq!(
        lines.next(),
        Some("last-done,months,last-day,mark,source,place")
    );
    for line in lines {
        let cells: Vec<&str> = line.split(',').collect();
        let [done, months, last_day, ..] = cells[..] else {
            panic!("too few columns: {line}");
        };
        let last_day: Date = last_day.parse().unwrap();
        let fleet =
            format!("record: fleet\nintervals: {{full: {months} months, because: a test}}\n");
        let machine = "record: machine\nid: heron\ncontrol: manual\nspeed-source: none\n\
                       section-valves: shut-off\nboom: {spacing: 20 in, nozzles: 1}\n\
                       setups: {fairways: {rate: 40 gal/acre}}\n";
        let visit = format!(
            "record: calibration\nmachine: heron\ndate: {done}\nby: rm\ncatch-tests:\n  \
             - {{caught: [36.5], unit: fl oz, duration: 30 s, pressure: 36 psi}}\n"
        );
        let repository = Repository::of([
            ("fleet.yaml", fleet),
            ("machines/heron.yaml", machine.to_owned()),
            (&format!("calibrations/heron/{done}.yaml"), visit),
        ]);
        let is_overdue = |today: Date| {
            let report = repository.check(today);
            report
                .findings
                .iter()
                .any(|finding| finding.rule() == "overdue")
        };
        assert!(!is_overdue(last_day), "overdue on the last day: {line}");
        assert!(
            is_overdue(last_day.tomorrow().unwrap()),
            "current a day later: {line}"
        );
    }
}

/// Somewhere in a file: what a number states is all these tests ask of it.
const NOWHERE: Place = Place {
    file: FileId(0),
    span: Span::new(0, 0),
};

/// A plain number as written, with its standard uncertainty.
fn plain(primitives: &mut Primitives, written: &str, uncertainty: f64) -> Measure {
    let quantity = Quantity {
        decimal: Decimal::parse(written).unwrap(),
        unit: Unit::ONE,
    };
    let id = primitives.written(What::Declared, quantity, uncertainty, NOWHERE);
    Measure::input(primitives, id)
}

/// NIST Statistical Reference Datasets, univariate: the certified means. What is added up are the
/// readings of a boom, so the sum must not lose digits where they are large and alike.
#[test]
fn means_of_the_reference_datasets_are_those_certified() {
    let alternating = |first: &str, low: &str, high: &str| {
        let mut readings = vec![first.to_owned()];
        for _ in 0..500 {
            readings.extend([low.to_owned(), high.to_owned()]);
        }
        readings
    };
    let num_acc_1 = ["10000001", "10000003", "10000002"].map(str::to_owned);
    let datasets = [
        ("NumAcc1", num_acc_1.to_vec(), "10000002"),
        ("NumAcc2", alternating("1.2", "1.1", "1.3"), "1.2"),
        (
            "NumAcc3",
            alternating("1000000.2", "1000000.1", "1000000.3"),
            "1000000.2",
        ),
        (
            "NumAcc4",
            alternating("10000000.2", "10000000.1", "10000000.3"),
            "10000000.2",
        ),
    ];
    for (name, readings, certified) in datasets {
        let mut primitives = Primitives::default();
        let ids: Vec<_> = readings
            .iter()
            .map(|reading| {
                let quantity = Quantity {
                    decimal: Decimal::parse(reading).unwrap(),
                    unit: Unit::ONE,
                };
                primitives.written(What::Declared, quantity, 0.0, NOWHERE)
            })
            .collect();
        let exact: Vec<Rational> = ids
            .iter()
            .map(|&id| Rational::input(&primitives, id))
            .collect();
        let measured: Vec<Measure> = ids
            .iter()
            .map(|&id| Measure::input(&primitives, id))
            .collect();
        let certified = Decimal::parse(certified).unwrap();
        let mean = Rational::mean(&exact);
        assert_eq!(mean.value(), Some(&certified.to_exact()), "{name}");
        let error = Measure::mean(&measured).value() / certified.to_f64() - 1.0;
        assert!(error.abs() < 1e-13, "{name}: off by {error:e}");
    }
}

/// JCGM 100:2008 (GUM), H.1: the calibration of an end gauge, in nanometers.
///
/// l = ls + d - ls (da theta + as dt), with its nine sources of error; printed are the standard
/// uncertainty 32 nm and the contributions 25, 9.7, 2.9 and 16.6 nm, two of the inputs giving none.
#[test]
fn the_end_gauge_of_the_guide_to_uncertainty() {
    let root_3 = 3.0_f64.sqrt();
    let mut primitives = Primitives::default();
    let standard = plain(&mut primitives, "50000623", 25.0);
    let difference = Measure::sum(&[
        plain(&mut primitives, "215", 5.8),
        plain(&mut primitives, "0", 3.9),
        plain(&mut primitives, "0", 6.7),
    ]);
    let expansion = plain(&mut primitives, "0.0000115", 2e-6 / root_3);
    let expansion_difference = plain(&mut primitives, "0", 1e-6 / root_3);
    let temperature = Measure::sum(&[
        plain(&mut primitives, "-0.1", 0.2),
        plain(&mut primitives, "0", 0.5 / 2.0_f64.sqrt()),
    ]);
    let temperature_difference = plain(&mut primitives, "0", 0.05 / root_3);
    let growth = expansion_difference
        .times(&temperature)
        .plus(&expansion.times(&temperature_difference));
    let length = standard.plus(&difference).minus(&standard.times(&growth));

    assert!((length.value() - 50_000_838.0).abs() < 1e-6, "{length:?}");
    let u = length.standard_uncertainty(&primitives);
    assert!((u - 32.0).abs() <= 0.5, "u = {u} nm, printed 32");
    assert!(
        (u - 31.663_879).abs() <= 0.5e-6,
        "u = {u} nm, computed 31.663879"
    );

    // What both share is what the one contributes to the other.
    let contribution = |input: &Measure| {
        let own = input.standard_uncertainty(&primitives);
        length.covariance(input, &primitives).abs() / own
    };
    for (input, printed) in [
        (&standard, "25"),
        (&difference, "9.7"),
        (&expansion, "0"),
        (&expansion_difference, "2.9"),
        (&temperature, "0"),
        (&temperature_difference, "16.6"),
    ] {
        let found = contribution(input);
        let wanted: f64 = printed.parse().unwrap();
        assert!(
            (found - wanted).abs() <= half_of_last_digit(printed),
            "contributes {found} nm, printed {printed}"
        );
    }
}
