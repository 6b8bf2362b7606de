//! A calibration: what was read at the machine in one visit.

use super::amendment::{self, Amendment};
use super::confirmed::{self, Confirmed};
use super::lowering::{Lowering, is_empty, is_mapping, key_span};
use super::not_filled_in::{self, NotFilledIn, Owner, has_empty};
use super::repeats::Repeats;
use crate::quantity::Quantity;
use crate::quantity::decimal::Decimal;
use crate::quantity::dimension::Dimension;
use crate::quantity::unit::Unit;
use crate::source::{FileId, Span, Spanned};
use crate::yaml::{Node, Shape};
use jiff::civil::Date;

/// A calibration.
#[derive(Debug, Clone)]
pub struct Calibration {
    /// The file it stands in.
    pub file: FileId,
    /// The whole record, for what is missing in it.
    pub span: Span,
    /// The machine.
    pub machine: Option<Spanned<String>>,
    /// The day of the visit.
    pub date: Option<Spanned<Date>>,
    /// Who read the instruments.
    pub by: Option<Spanned<String>>,
    /// Who looked it over.
    pub checked_by: Option<Spanned<String>>,
    /// The setup tested; optional with only one setup.
    pub setup: Option<Spanned<String>>,
    /// The hour meter.
    pub hours: Option<Spanned<Quantity>>,
    /// What was made safe beforehand.
    pub preparation: Option<Preparation>,
    /// Catches in the order they were made.
    pub catch_tests: Vec<CatchTest>,
    /// Meter tests: first as found, last as left.
    pub meter_tests: Vec<MeterTest>,
    /// Speed tests: first as found, last as left.
    pub speed_tests: Vec<SpeedTest>,
    /// The balance of the section bypasses.
    pub section_balance: Option<SectionBalance>,
    /// The pressure at the end of the boom.
    pub boom_end_pressure: Option<Spanned<Quantity>>,
    /// The gauge it was read off, where it is not the fleet's usual one.
    pub boom_end_gauge: Option<Spanned<String>>,
    /// What was altered after the record had merged.
    pub amends: Vec<Amendment>,
    /// The causes that somebody looked for at the machine and did not find.
    pub confirmed: Vec<Confirmed>,
    /// What is empty in it. Tests of which nothing was read yet are named here alone.
    pub not_filled_in: Vec<NotFilledIn>,
}

impl Calibration {
    /// What keeps the tests of an owner from being done; none where all of them is filled in.
    pub fn not_filled_in_of(&self, owner: Owner) -> Option<&NotFilledIn> {
        let mut all = self.not_filled_in.iter();
        all.find(|one| one.owner == owner)
    }
}

/// What was made safe before the visit.
#[derive(Debug, Clone)]
pub struct Preparation {
    /// All that stands for it.
    pub span: Span,
    /// Whether tank and lines were rinsed.
    pub rinsed: Option<Spanned<bool>>,
    /// Whether residues were neutralized.
    pub neutralized: Option<Spanned<bool>>,
    /// What was sprayed out.
    pub liquid: Option<Spanned<String>>,
    /// What was worn.
    pub protective_gear: Vec<Spanned<String>>,
}

/// One catch of the boom, or of some nozzles again.
#[derive(Debug, Clone)]
pub struct CatchTest {
    /// The whole test.
    pub span: Span,
    /// The working pressure.
    pub pressure: Option<Spanned<Quantity>>,
    /// How long each nozzle was caught; needless where flows are read.
    pub duration: Option<Spanned<Quantity>>,
    /// Whether one timing served all nozzles.
    pub timed_together: bool,
    /// The jug, where it is not the fleet's usual one.
    pub jug: Option<Spanned<String>>,
    /// The gauge, where it is not the fleet's usual one.
    pub gauge: Option<Spanned<String>>,
    /// The stopwatch, where it is not the fleet's usual one.
    pub stopwatch: Option<Spanned<String>>,
    /// The scale, where readings are weights.
    pub scale: Option<Spanned<String>>,
    /// The unit of the readings.
    pub unit: Option<Spanned<Unit>>,
    /// The readings.
    pub caught: Option<Caught>,
}

/// The readings of one catch.
#[derive(Debug, Clone)]
pub struct Caught {
    /// The key they stand under.
    pub key: Span,
    /// All of them.
    pub span: Span,
    /// How they are laid out.
    pub readings: Readings,
}

impl Caught {
    /// Every number that was read, in the order of the record.
    pub fn decimals(&self) -> impl Iterator<Item = Decimal> + '_ {
        let cells: Vec<&Cell> = match &self.readings {
            Readings::Flat(cells) => cells.iter().collect(),
            Readings::BySection(sections) => sections
                .iter()
                .flat_map(|(_, section)| match section {
                    SectionReadings::All(cells) => cells.iter().collect::<Vec<_>>(),
                    SectionReadings::Some(cells) => cells.iter().map(|(_, cell)| cell).collect(),
                })
                .collect(),
        };
        let readings = cells.into_iter().flat_map(|cell| cell.readings.iter());
        readings.filter_map(|reading| match reading {
            Reading::Caught(decimal) => Some(decimal.value),
            Reading::Missed(_) | Reading::Unreadable(_) => None,
        })
    }
}

/// How readings are laid out.
#[derive(Debug, Clone)]
pub enum Readings {
    /// One list over the whole boom, left to right.
    Flat(Vec<Cell>),
    /// By section.
    BySection(Vec<(Spanned<String>, SectionReadings)>),
}

/// The readings of one section.
#[derive(Debug, Clone)]
pub enum SectionReadings {
    /// All its nozzles, left to right.
    All(Vec<Cell>),
    /// Some of them, by position from the section's left end.
    Some(Vec<(Spanned<u32>, Cell)>),
}

/// What stands for one nozzle: usually one reading.
#[derive(Debug, Clone)]
pub struct Cell {
    /// All that stands for it.
    pub span: Span,
    /// Its readings; repeats are several, and none is not filled in.
    pub readings: Repeats<Reading>,
}

/// One reading of one nozzle.
#[derive(Debug, Clone)]
pub enum Reading {
    /// An amount or a flow; 0 is a plugged nozzle.
    Caught(Spanned<Decimal>),
    /// Said to be missed.
    Missed(Span),
    /// Not to be read; a finding tells of it.
    Unreadable(Span),
}

impl Reading {
    /// Whether the nozzle is said to be missed.
    pub const fn is_missed(&self) -> bool {
        matches!(self, Self::Missed(_))
    }
}

/// One test of the flow meter.
#[derive(Debug, Clone)]
pub struct MeterTest {
    /// The whole test.
    pub span: Span,
    /// The volume known by other means.
    pub known_volume: Option<Spanned<Quantity>>,
    /// By which means it is known.
    pub known_by: Option<Spanned<KnownBy>>,
    /// The fill meter, where it is not the fleet's usual one.
    pub fill_meter: Option<Spanned<String>>,
    /// The scale, where it is not the fleet's usual one.
    pub scale: Option<Spanned<String>>,
    /// The marks of the tank, where they are not the fleet's usual ones.
    pub tank_marks: Option<Spanned<String>>,
    /// How long it took.
    pub duration: Option<Spanned<Quantity>>,
    /// What the console showed.
    pub shown: Option<Spanned<Quantity>>,
    /// The flow factor before and after.
    pub factor: Option<FactorChange>,
}

/// How a volume is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum KnownBy {
    /// From the catch: the boom's flow times the time.
    Catch,
    /// By a fill meter.
    FillMeter,
    /// By weight.
    Weighed,
    /// By the marks of the tank.
    TankMarks,
}

impl KnownBy {
    /// Every way, in the order they are offered.
    pub const ALL: [Self; 4] = [Self::FillMeter, Self::Weighed, Self::TankMarks, Self::Catch];

    /// The words in records of each of them.
    pub const WORDS: [&'static str; 4] = [
        Self::ALL[0].words(),
        Self::ALL[1].words(),
        Self::ALL[2].words(),
        Self::ALL[3].words(),
    ];

    /// The words in records.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Catch => "catch",
            Self::FillMeter => "fill meter",
            Self::Weighed => "weighed",
            Self::TankMarks => "tank marks",
        }
    }

    fn from_words(words: &str) -> Option<Self> {
        let mut all = Self::ALL.into_iter();
        all.find(|known_by| known_by.words() == words)
    }
}

/// A factor before and after a test.
#[derive(Debug, Clone)]
pub struct FactorChange {
    /// Both.
    pub span: Span,
    /// As the console had it during the test.
    pub before: Option<Spanned<Decimal>>,
    /// As it was left.
    pub after: Option<Spanned<Decimal>>,
}

impl FactorChange {
    /// Whether the factor was left as it was; `None` where either is missing.
    pub fn is_unchanged(&self) -> Option<bool> {
        let (before, after) = (self.before.as_ref()?, self.after.as_ref()?);
        Some(before.value.in_last_places() == after.value.in_last_places())
    }
}

/// Runs over one measured course.
#[derive(Debug, Clone)]
pub struct SpeedTest {
    /// The whole test.
    pub span: Span,
    /// The length of the speed course.
    pub distance: Option<Spanned<Quantity>>,
    /// What measured the course, where it is not the fleet's usual one.
    pub measured_by: Option<Spanned<String>>,
    /// The stopwatch, where it is not the fleet's usual one.
    pub stopwatch: Option<Spanned<String>>,
    /// What it runs over.
    pub surface: Option<Spanned<String>>,
    /// How full the tank was.
    pub tank: Option<Spanned<String>>,
    /// The runs.
    pub runs: Vec<Run>,
    /// The speed factor before and after.
    pub factor: Option<FactorChange>,
}

/// One run.
#[derive(Debug, Clone)]
pub struct Run {
    /// All that stands for it.
    pub span: Span,
    /// From mark to mark.
    pub elapsed: Option<Spanned<Quantity>>,
    /// What the console showed: a distance or a speed.
    pub shown: Option<Spanned<Quantity>>,
}

/// The balance of the section bypasses, tested standing still.
#[derive(Debug, Clone)]
pub struct SectionBalance {
    /// The key it stands under.
    pub key: Span,
    /// The whole test.
    pub span: Span,
    /// The speed entered, so that the console computes a rate.
    pub entered_speed: Option<Spanned<Quantity>>,
    /// Whether rate control was switched to manual.
    pub rate_control: Option<Spanned<RateControl>>,
    /// The gauge, where pressures are read and it is not the fleet's usual one.
    pub gauge: Option<Spanned<String>>,
    /// The rate or pressure with all sections on.
    pub all_on: Option<Spanned<Quantity>>,
    /// The same with sections off.
    pub sections_off: Vec<SectionsOffReading>,
}

/// Who held the rate during the balance test.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RateControl {
    /// Nobody: the valve stayed where it was.
    Manual,
    /// The console, which hides a drift.
    Automatic,
}

impl RateControl {
    /// Who it is by a record's word.
    pub fn from_word(word: &str) -> Option<Self> {
        match word {
            "manual" => Some(Self::Manual),
            "automatic" => Some(Self::Automatic),
            _ => None,
        }
    }
}

/// A reading with sections off.
#[derive(Debug, Clone)]
pub struct SectionsOffReading {
    /// All that stands for it.
    pub span: Span,
    /// The sections off.
    pub sections: Vec<Spanned<String>>,
    /// Before the bypass was touched.
    pub as_found: Option<Spanned<Quantity>>,
    /// After it was set; absent where it was not touched.
    pub as_left: Option<Spanned<Quantity>>,
}

/// What a nozzle's readings may be: a volume, a weight, or a flow of either.
const CATCH_UNITS: [Dimension; 4] = [
    Dimension::VOLUME,
    Dimension::MASS,
    Dimension::FLOW,
    Dimension::WEIGHED_FLOW,
];

pub(super) fn lower(lowering: &mut Lowering, root: Node<'_>) -> Calibration {
    let not_filled_in = not_filled_in::of(root);
    not_filled_in::tell(lowering, &not_filled_in);
    Calibration {
        file: lowering.file(),
        span: root.span(),
        machine: Lowering::text(root, "machine"),
        date: lowering.date(root, "date"),
        by: Lowering::text(root, "by"),
        checked_by: Lowering::text(root, "checked-by"),
        setup: Lowering::text(root, "setup"),
        hours: lowering.quantity_or_0(root, "hours", &[Dimension::TIME]),
        preparation: root
            .get("preparation")
            .filter(|preparation| is_mapping(*preparation))
            .filter(|preparation| is_begun(*preparation, |_| true))
            .map(lower_preparation),
        catch_tests: Lowering::items(root, "catch-tests")
            .filter(|test| is_mapping(*test))
            .filter(|test| is_begun(*test, |key| key == "caught"))
            .map(|test| lower_catch_test(lowering, test))
            .collect(),
        meter_tests: Lowering::items(root, "meter-tests")
            .filter(|test| is_mapping(*test))
            .filter(|test| is_begun(*test, |key| READ_AT_THE_METER.contains(&key)))
            .map(|test| lower_meter_test(lowering, test))
            .collect(),
        speed_tests: Lowering::items(root, "speed-tests")
            .filter(|test| is_mapping(*test))
            .filter(|test| is_begun(*test, |key| READ_ON_THE_COURSE.contains(&key)))
            .map(|test| lower_speed_test(lowering, test))
            .collect(),
        section_balance: root
            .get("section-balance")
            .filter(|balance| is_mapping(*balance))
            .filter(|balance| is_begun(*balance, |key| READ_WITH_SECTIONS_OFF.contains(&key)))
            .map(|balance| lower_section_balance(lowering, root, balance)),
        boom_end_pressure: lowering.quantity(root, "boom-end-pressure", &[Dimension::PRESSURE]),
        boom_end_gauge: Lowering::text(root, "boom-end-gauge"),
        amends: amendment::lower(lowering, root),
        confirmed: confirmed::lower(root),
        not_filled_in,
    }
}

/// What is read in a meter test; the rest is known before it.
const READ_AT_THE_METER: [&str; 4] = ["known-volume", "duration", "shown", "factor"];

/// What is read in a speed test.
const READ_ON_THE_COURSE: [&str; 2] = ["runs", "factor"];

/// What is read in a section balance.
const READ_WITH_SECTIONS_OFF: [&str; 2] = ["all-on", "sections-off"];

/// Whether something was read in a test: one that has empty values and no reading was not made, and must not stand for one
/// that was.
fn is_begun(test: Node<'_>, is_reading: impl Fn(&str) -> bool) -> bool {
    let readings = test.entries().filter_map(|(key, value)| {
        let is_reading = key.text().is_some_and(&is_reading);
        is_reading.then_some(value)
    });
    !has_empty(test) || readings.into_iter().any(has_reading)
}

/// Whether a value holds a reading; the names of the sections that are off are none.
fn has_reading(node: Node<'_>) -> bool {
    match node.shape() {
        Shape::Scalar => !is_empty(node),
        Shape::Sequence => node.items().any(has_reading),
        Shape::Mapping => node
            .entries()
            .any(|(key, value)| key.text() != Some("sections") && has_reading(value)),
    }
}

fn lower_preparation(preparation: Node<'_>) -> Preparation {
    let yes_or_no = |word: &str| match word {
        "true" => Some(true),
        "false" => Some(false),
        _ => None,
    };
    Preparation {
        span: preparation.span(),
        rinsed: Lowering::word(preparation, "rinsed", yes_or_no),
        neutralized: Lowering::word(preparation, "neutralized", yes_or_no),
        liquid: Lowering::text(preparation, "liquid"),
        protective_gear: Lowering::items(preparation, "protective-gear")
            .filter_map(Lowering::text_of)
            .collect(),
    }
}

fn lower_catch_test(lowering: &mut Lowering, test: Node<'_>) -> CatchTest {
    CatchTest {
        span: test.span(),
        pressure: lowering.quantity(test, "pressure", &[Dimension::PRESSURE]),
        duration: lowering.quantity(test, "duration", &[Dimension::TIME]),
        timed_together: test.get("timed").and_then(Node::text) == Some("together"),
        jug: Lowering::text(test, "jug"),
        gauge: Lowering::text(test, "gauge"),
        stopwatch: Lowering::text(test, "watch"),
        scale: Lowering::text(test, "scale"),
        unit: lowering.unit(test, "unit", &CATCH_UNITS),
        caught: test
            .get("caught")
            .filter(|caught| !is_empty(*caught))
            .map(|caught| lower_caught(lowering, test, caught)),
    }
}

fn lower_caught(lowering: &mut Lowering, test: Node<'_>, caught: Node<'_>) -> Caught {
    let readings = match caught.shape() {
        Shape::Mapping => Readings::BySection(
            Lowering::named(test, "caught")
                .filter(|(_, section)| !is_empty(*section))
                .map(|(name, section)| (name, lower_section_readings(lowering, section)))
                .collect(),
        ),
        Shape::Sequence | Shape::Scalar => Readings::Flat(lower_cells(lowering, caught)),
    };
    Caught {
        key: key_span(test, "caught").unwrap_or(caught.span()),
        span: caught.span(),
        readings,
    }
}

fn lower_section_readings(lowering: &mut Lowering, section: Node<'_>) -> SectionReadings {
    match section.shape() {
        Shape::Mapping => SectionReadings::Some(
            section
                .entries()
                .filter_map(|(position, cell)| {
                    let position = lowering.count_of(position)?;
                    Some((position, lower_cell(lowering, cell)))
                })
                .collect(),
        ),
        Shape::Sequence | Shape::Scalar => SectionReadings::All(lower_cells(lowering, section)),
    }
}

fn lower_cells(lowering: &mut Lowering, list: Node<'_>) -> Vec<Cell> {
    list.items()
        .map(|cell| lower_cell(lowering, cell))
        .collect()
}

fn lower_cell(lowering: &mut Lowering, cell: Node<'_>) -> Cell {
    let readings = match cell.shape() {
        Shape::Scalar if is_empty(cell) => Repeats::Several(Vec::new()),
        Shape::Scalar => Repeats::Once(lower_reading(lowering, cell)),
        Shape::Sequence => cell
            .items()
            .filter(|reading| !is_empty(*reading))
            .map(|reading| lower_reading(lowering, reading))
            .collect(),
        Shape::Mapping => Repeats::Once(Reading::Unreadable(cell.span())),
    };
    Cell {
        span: cell.span(),
        readings,
    }
}

fn lower_reading(lowering: &mut Lowering, reading: Node<'_>) -> Reading {
    if reading.text() == Some("missed") {
        return Reading::Missed(reading.span());
    }
    if let Some(help) = reading.text().and_then(help_for_word) {
        let word = reading.text().unwrap_or_default();
        let message = format!("`{word}` is not a number");
        lowering.problem(
            "unreadable-number",
            reading.span(),
            message,
            Some(help.to_owned()),
        );
        return Reading::Unreadable(reading.span());
    }
    match lowering.decimal_of(reading) {
        Some(decimal) if decimal.value.is_sign_negative() => {
            lowering.problem(
                "unreadable-number",
                decimal.span,
                format!("`{}` is below zero", decimal.value),
                Some("write 0 for a plugged nozzle and `missed` for one not caught".to_owned()),
            );
            Reading::Unreadable(decimal.span)
        }
        Some(decimal) => Reading::Caught(decimal),
        None => Reading::Unreadable(reading.span()),
    }
}

/// What people write for a nozzle that gave nothing, for one that was not caught, and where it may be either.
const WORDS_FOR_READINGS: [(&[&str], &str); 3] = [
    (
        &[
            "plugged", "plug", "clogged", "blocked", "dry", "zero", "nil", "no flow", "no-flow",
        ],
        "write 0: the nozzle was caught and gave nothing",
    ),
    (
        &[
            "-",
            "--",
            "\u{2013}",
            "\u{2014}",
            "x",
            "n/a",
            "na",
            "?",
            "miss",
            "skip",
            "skipped",
            "not caught",
            "not-caught",
        ],
        "write missed: the nozzle was not caught",
    ),
    (
        &["none", "nothing", "off", "empty"],
        "write 0 where the nozzle gave nothing, missed where it was not caught",
    ),
];

/// What to write for a word in the place of a reading.
fn help_for_word(word: &str) -> Option<&'static str> {
    let word = word.trim().to_lowercase();
    let mut rows = WORDS_FOR_READINGS.iter();
    let row = rows.find(|(words, _)| words.contains(&word.as_str()));
    row.map(|(_, help)| *help)
}

fn lower_meter_test(lowering: &mut Lowering, test: Node<'_>) -> MeterTest {
    MeterTest {
        span: test.span(),
        known_volume: lowering.quantity(
            test,
            "known-volume",
            &[Dimension::VOLUME, Dimension::MASS],
        ),
        known_by: Lowering::word(test, "known-by", KnownBy::from_words),
        fill_meter: Lowering::text(test, "fill-meter"),
        scale: Lowering::text(test, "scale"),
        tank_marks: Lowering::text(test, "tank-marks"),
        duration: lowering.quantity(test, "duration", &[Dimension::TIME]),
        shown: lowering.quantity_or_0(test, "shown", &[Dimension::VOLUME]),
        factor: lower_factor(lowering, test),
    }
}

fn lower_factor(lowering: &mut Lowering, test: Node<'_>) -> Option<FactorChange> {
    let factor = test.get("factor").filter(|factor| is_mapping(*factor))?;
    Some(FactorChange {
        span: factor.span(),
        before: lowering.factor(factor, "before"),
        after: lowering.factor(factor, "after"),
    })
}

fn lower_speed_test(lowering: &mut Lowering, test: Node<'_>) -> SpeedTest {
    SpeedTest {
        span: test.span(),
        distance: lowering.quantity(test, "distance", &[Dimension::LENGTH]),
        measured_by: Lowering::text(test, "measured-by"),
        stopwatch: Lowering::text(test, "watch"),
        surface: Lowering::text(test, "surface"),
        tank: Lowering::text(test, "tank"),
        runs: Lowering::items(test, "runs")
            .filter(|run| is_mapping(*run))
            .map(|run| Run {
                span: run.span(),
                elapsed: lowering.quantity(run, "elapsed", &[Dimension::TIME]),
                shown: lowering.quantity_or_0(run, "shown", &[Dimension::LENGTH, Dimension::SPEED]),
            })
            .collect(),
        factor: lower_factor(lowering, test),
    }
}

fn lower_section_balance(
    lowering: &mut Lowering,
    root: Node<'_>,
    balance: Node<'_>,
) -> SectionBalance {
    let shown = [Dimension::RATE, Dimension::PRESSURE];
    SectionBalance {
        key: key_span(root, "section-balance").unwrap_or(balance.span()),
        span: balance.span(),
        entered_speed: lowering.quantity(balance, "entered-speed", &[Dimension::SPEED]),
        rate_control: Lowering::word(balance, "rate-control", RateControl::from_word),
        gauge: Lowering::text(balance, "gauge"),
        all_on: lowering.quantity(balance, "all-on", &shown),
        sections_off: Lowering::items(balance, "sections-off")
            .filter(|sections_off| is_mapping(*sections_off))
            .map(|sections_off| SectionsOffReading {
                span: sections_off.span(),
                sections: Lowering::items(sections_off, "sections")
                    .filter_map(Lowering::text_of)
                    .collect(),
                as_found: lowering.quantity(sections_off, "as-found", &shown),
                as_left: lowering.quantity(sections_off, "as-left", &shown),
            })
            .collect(),
    }
}
