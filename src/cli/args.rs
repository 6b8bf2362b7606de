//! The commands and options, and the words in which they are explained.
//!
//! Reads nothing but the arguments: what they name is looked at elsewhere.

use crate::chart::Chart;
use crate::cli::exit::{EXIT_CLEAN, EXIT_COULD_NOT_CHECK, EXIT_FINDINGS};
use crate::cli::files::is_yaml;
use crate::cli::wanted;
use crate::diagnostic::Severity;
use crate::quantity::Quantity;
use crate::quantity::calendar::Period;
use crate::quantity::dimension::Dimension;
use crate::render::{
    CHART_FORMATS, DUE_FORMATS, FIGURE_FORMATS, FigureFormat, Format, Named, Paper, REPORT_FORMATS,
    SHEET_FORMATS, Sheet, TANK_FORMATS,
};
use crate::report::{DueList, DueState, Report};
use crate::tank_mix::Card;
use crate::words::dates;
use clap::builder::{PossibleValue, PossibleValuesParser, Styles, TypedValueParser};
use clap::{Args, CommandFactory, FromArgMatches, Parser, Subcommand, ValueEnum};
use jiff::civil::Date;
use std::ffi::OsString;
use std::fmt::Display;
use std::ops::RangeInclusive;
use std::path::{self, PathBuf};
use std::str::FromStr;

/// Help is wrapped to so many columns at most, however wide the terminal.
const HELP_WIDTH: usize = 100;

/// So many years may be looked ahead: more than any interval.
const MOST_AHEAD: u32 = 10;

const CHECK_EXAMPLES: &str = "\
Examples:
  swathlint check
      all records of the folder you are in, or of the folder above that holds them
  swathlint check calibrations/heron
      report on one machine only; what its records are compared with is read too
  swathlint check --today 2026-06-01 --fail-from warning
      as on the first of June, and fail on warnings as well
  swathlint check --compared-with origin/main
      only what your branch changes, and merged records that were altered or deleted without a note
  swathlint check --staged --compared-with HEAD
      check what you are about to commit, such as in a pre-commit hook
  swathlint check --format plain --also-write jsonl=findings.jsonl
      one line per finding here, and everything for another program in a file";

const DUE_EXAMPLES: &str = "\
Examples:
  swathlint due
      what is due today or within 14 days, and which machines are not ready to spray
  swathlint due calibrations/heron --within '1 month'
      one machine, a month ahead
  swathlint due --format markdown --also-write ics=due.ics
      the body of an issue here, and a calendar to subscribe to in a file";

const RULES_EXAMPLES: &str = "\
Examples:
  swathlint rules
      every rule in short, with the limits that hold for the records you are in
  swathlint rules nozzle-off-mean
      one rule in full: how the figure is worked out, the limits and where they come from, what to do";

const CAUSES_EXAMPLES: &str = "\
Examples:
  swathlint causes
      every cause in short, those of your group among them
  swathlint causes tip-worn
      one cause in full: what to do, what tells it from others, how likely it is before any reading";

const FIGURES_EXAMPLES: &str = "\
Examples:
  swathlint figures calibrations/heron
      all that is worked out from one machine's records
  swathlint figures --figure nozzle-off-mean --format csv > nozzles.csv
      one figure over all records, for a spreadsheet
  swathlint figures --causes calibrations/heron/2026-03-09.yaml
      how likely each cause is for one visit, and which cross-checks agree";

const SETTINGS_EXAMPLES: &str = "\
Examples:
  swathlint settings heron
      every setup of one machine: pressure, catch, rate, and speed, and whether its numbers add up
  swathlint settings heron --setup greens
      one setup
  swathlint settings heron --setup fairways --rate '50 gal/acre' --speed '4 mph'
      another rate and speed, with the tips of a setup fitted";

const TANK_EXAMPLES: &str = "\
Examples:
  swathlint tank heron --setup greens --area '3.2 acres' --product 'growth regulator' '12 fl oz/acre' \\
      --label-max 'growth regulator' '16 fl oz/acre'
      the loads, and what goes into each, at the rate of the last calibration
  swathlint tank avocet --area '4.6 ha' --product iron '12 kg/ha' --equal-loads --format markdown
      loads that are all alike, as a card to print
  swathlint tank heron --setup greens --area '3.2 acres' --nominal
      at the setup's own rate, each number marked as nominal";

const SHEET_EXAMPLES: &str = "\
Examples:
  swathlint sheet heron --setup fairways > heron.html
      a sheet on letter paper for a visit today; open it in a browser and print it
  swathlint sheet heron --setup greens --date 2026-06-01 --paper a4 > heron.html
      the sheet of another setup and day, on A4
  swathlint sheet heron --format page > heron.html
      a page to send to a phone and type into at the machine; it offers the setups of the machine";

const START_EXAMPLES: &str = "\
Examples:
  swathlint start records
      asks for what it must know, and writes the folder records
  swathlint start records --by rm --machine sprayer-1 --sections 3 --nozzles 5 --nozzle 06 \\
      --control flow --speed-source wheel --section-valves bypass --pressure '36 psi' \\
      --speed '4.2 mph' --rate '40 gal/acre'
      the same without a question
  swathlint start records --units si --by rm --machine sprayer-1 --sections 2 --nozzles 4,3 \\
      --nozzle 04 --control pressure --speed-source none --section-valves shut-off \\
      --pressure '2.5 bar' --speed '6 km/h'
      a machine without a console, in metric units";

const DRAFT_EXAMPLES: &str = "\
Examples:
  swathlint draft heron --setup fairways --by rm
      the record of the next visit, to look at
  swathlint draft dunlin --date 2026-06-01 --write
      the same in its place, calibrations/dunlin/2026-06-01.yaml";

const ENTER_EXAMPLES: &str = "\
Examples:
  swathlint enter heron --setup fairways
      reading after reading at the machine; run it again to go on
  swathlint enter dunlin --date 2026-06-01 < readings.txt
      one answer per line";

const SCHEMA_EXAMPLES: &str = "\
Examples:
  swathlint schema machine > machine.json
      for an editor that completes and explains the fields as you write";

const COMPLETIONS_EXAMPLES: &str = "\
Examples:
  swathlint completions bash > ~/.local/share/bash-completion/completions/swathlint";

const MAN_EXAMPLES: &str = "\
Examples:
  swathlint man > swathlint.1
  swathlint man check > swathlint-check.1";

const TOP_EXAMPLES: &str = "\
Examples:
  swathlint check
      check all records of the folder you are in
  swathlint due
      what is due, void or failing, and why
  swathlint rules nozzle-off-mean
      what a finding with this name in brackets means, and what to do
  swathlint check --help
      all options of a command";

/// Checks the calibration records of boom sprayers
///
/// Recalculates every calibration from the readings in its record, with their uncertainty. Marks each problem at the
/// exact spot, and says how large it is and what to do.
#[derive(Debug, Parser)]
#[command(
    name = "swathlint",
    version,
    styles = Styles::plain(),
    max_term_width = HELP_WIDTH,
    disable_help_subcommand = true,
    after_help = format!("{TOP_EXAMPLES}\n\n{}", exit_codes()),
)]
pub(crate) struct Arguments {
    /// What to do.
    #[command(subcommand)]
    pub(crate) command: Command,
}

/// What to do.
#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    /// Check the records and report every problem
    ///
    /// Looks in the folder you are in and above it for the nearest fleet.yaml, or else the nearest folder machines/.
    /// Reads fleet.yaml, waivers.yaml, machines/, calibrations/, service/, applications/, house-rules/, and
    /// house-causes/. Counts other YAML files, but does not read them.
    #[command(after_help = format!("{CHECK_EXAMPLES}\n\n{}", exit_codes()))]
    Check(CheckArguments),
    /// List what is due, void or failing, by course and urgency
    ///
    /// Lists each step that is not current. Gives its last date, the work on the machine since then, and the end of its
    /// interval. Current steps are only counted.
    #[command(after_help = format!("{DUE_EXAMPLES}\n\n{}", due_exit_codes()))]
    Due(DueArguments),
    /// List the rules, or explain one
    ///
    /// Shows the limits in force for the records of the folder you are in, or the built-in limits if it has no records.
    /// Explains a cause too.
    #[command(after_help = RULES_EXAMPLES)]
    Rules(RulesArguments),
    /// List the causes that explain a visit, or explain one
    ///
    /// Shows the causes of the group whose records are in the folder you are in, or the built-in causes if it has none.
    #[command(after_help = CAUSES_EXAMPLES)]
    Causes(CausesArguments),
    /// List every figure with its uncertainty and what contributes most to it
    ///
    /// Calculates figures from the readings alone, without limits. `swathlint rules NAME` explains the figure that a
    /// rule judges, with its formula.
    #[command(after_help = FIGURES_EXAMPLES)]
    Figures(FiguresArguments),
    /// Tell which pressure, catch, rate, and speed fit a machine's tips, before any visit
    ///
    /// Calculates, with uncertainty: what each nozzle must put out, the pressure that each common tip size needs, the
    /// catch of one nozzle, and the rate and the speed. Tells it for new tips, and for the fitted tips as last caught.
    /// Says whether the numbers of the machine file add up. Tells every setup if none is named. Takes the records of
    /// the folder you are in.
    #[command(after_help = format!("{SETTINGS_EXAMPLES}\n\n{}", settings_exit_codes()))]
    Settings(SettingsArguments),
    /// Work out the tank loads of a job: the mixing card
    ///
    /// Works at the actual rate of the last calibration, not the nominal one. Gives no quantities where a step of the
    /// setup is void, failing, or never done, or where a rate is over a label maximum: those you give, and those in
    /// the application records of your group. Rounds products down. The label is the law, and goes before this card.
    #[command(after_help = format!("{TANK_EXAMPLES}\n\n{}", tank_exit_codes()))]
    Tank(TankArguments),
    /// Print a sheet of paper for a visit, to write on at the machine
    ///
    /// Writes one HTML file that needs no network: open it in a browser and print it. The sheet has a box for each
    /// reading, with its target and limits, the last reading, what is due and why, and what to do in the usual cases.
    /// Finds the records as `swathlint check` does. Reads only the files of the machine and of the group.
    #[command(after_help = format!("{SHEET_EXAMPLES}\n\n{}", sheet_exit_codes()))]
    Sheet(SheetArguments),
    /// Write a small working repository with a first record to fill in
    ///
    /// Writes into a new folder, or one that has none of its files: fleet.yaml, one machine file, a first record with
    /// empty readings, schemas for editors, workflows, a hook, code owners, and a README for the group. Asks at a
    /// terminal for what is not given. Without a terminal it names what is missing, and writes nothing. Assumes, and
    /// says so: --units us, --spacing '20 in' (50 cm in metric units), --setup fairways, --group 'Our group'.
    #[command(after_help = format!("{START_EXAMPLES}\n\n{}", start_exit_codes()))]
    Start(Box<StartArguments>),
    /// Draft the record of a machine's next visit, with empty readings
    ///
    /// Fills in what is known: the setup, the usual instruments, the factors as they were last left. Each reading is
    /// empty, with its target beside it. Holds the steps that are due, or all steps where none is due.
    #[command(after_help = format!("{DRAFT_EXAMPLES}\n\n{}", draft_exit_codes()))]
    Draft(DraftArguments),
    /// Enter a visit reading by reading, and hear at once how each stands
    ///
    /// Asks for each reading in the order you take it, shows its target and limits, and says what to do. Writes the
    /// record after every value to calibrations/MACHINE/DATE.yaml, and goes on from there when you run it again.
    /// A record of another setup that day is left alone: the new one is DATE-2.yaml. Questions go to the standard
    /// error, the report at the end to the standard output. Type ? for all words that you can type.
    #[command(after_help = format!("{ENTER_EXAMPLES}\n\n{}", enter_exit_codes()))]
    Enter(EnterArguments),
    /// Print the schema of a kind of record, for editors, or of the lines of a report
    #[command(after_help = SCHEMA_EXAMPLES)]
    Schema(SchemaArguments),
    /// Print a script that completes commands and options in a shell
    #[command(after_help = COMPLETIONS_EXAMPLES)]
    Completions(CompletionsArguments),
    /// Print the manual page of swathlint or of one command
    #[command(after_help = MAN_EXAMPLES)]
    Man(ManArguments),
}

/// Arguments of `check`.
#[derive(Debug, Args)]
pub(crate) struct CheckArguments {
    /// Report only on these files or folders; all records if none is named
    #[arg(value_name = "PATH")]
    pub(crate) paths: Vec<PathBuf>,
    /// Check as of this day, such as 2026-03-09; today (in UTC) if not given
    #[arg(long, value_name = "DATE", value_parser = parse_date)]
    pub(crate) today: Option<Date>,
    /// Report only what changed since the merge base of this revision and your files
    #[arg(long, value_name = "REVISION")]
    pub(crate) compared_with: Option<String>,
    /// Check the staged files that the next commit would hold, not the files in the folder
    #[arg(long)]
    pub(crate) staged: bool,
    /// Report each rule by itself, without looking for the cause of several findings
    #[arg(long)]
    pub(crate) rule_by_rule: bool,
    /// Fail (exit code 1) on findings at least this severe
    #[arg(long, value_name = "SEVERITY", default_value = "error")]
    pub(crate) fail_from: FailFrom,
    /// How to write what was found
    #[arg(long, value_name = "FORMAT", default_value = REPORT_FORMATS[0].name, value_parser = one_of(REPORT_FORMATS))]
    pub(crate) format: &'static Format<Report>,
    /// Also write the output to this file in this format; may be given several times
    #[arg(long, value_name = "FORMAT=FILE", value_parser = also_write(REPORT_FORMATS))]
    pub(crate) also_write: Vec<AlsoWrite<Report>>,
    /// Do not fail when there is no record to check
    #[arg(long)]
    pub(crate) allow_empty: bool,
    /// Use this many threads; one per processor core if not given
    #[arg(long, value_name = "NUMBER", value_parser = whole_number(1..=256_u16))]
    pub(crate) threads: Option<u16>,
    /// How it looks.
    #[command(flatten)]
    pub(crate) screen: ScreenArguments,
}

/// Arguments of `due`.
#[derive(Debug, Args)]
pub(crate) struct DueArguments {
    /// List only the machines of these files or folders; all machines if none is named
    #[arg(value_name = "PATH")]
    pub(crate) paths: Vec<PathBuf>,
    /// List what falls due within this period as well, as in '2 weeks', '1 month' or 30d
    #[arg(long, value_name = "PERIOD", default_value = format!("{}d", DueList::DAYS_AHEAD), value_parser = parse_within)]
    pub(crate) within: Period,
    /// List what is due on this day, as in 2026-03-09; today (in UTC) if not given
    #[arg(long, value_name = "DATE", value_parser = parse_date)]
    pub(crate) today: Option<Date>,
    /// How to write the list
    #[arg(long, value_name = "FORMAT", default_value = DUE_FORMATS[0].name, value_parser = one_of(DUE_FORMATS))]
    pub(crate) format: &'static Format<DueList>,
    /// Also write the output to this file in this format; may be given several times
    #[arg(long, value_name = "FORMAT=FILE", value_parser = also_write(DUE_FORMATS))]
    pub(crate) also_write: Vec<AlsoWrite<DueList>>,
    /// Fail (exit code 1) where a step is at least as urgent as this
    #[arg(long, value_name = "STATE", default_value = "coming-due")]
    pub(crate) fail_from: DueFrom,
    /// Number the calendar (ics) with this, higher each time, such as the count of commits; the day's number if not given
    #[arg(long, value_name = "NUMBER", value_parser = whole_number(0..=2_147_483_647_u32))]
    pub(crate) sequence: Option<u32>,
    /// Do not fail when there is no record to look at
    #[arg(long)]
    pub(crate) allow_empty: bool,
    /// How it looks.
    #[command(flatten)]
    pub(crate) screen: ScreenArguments,
}

/// Arguments of `rules`.
#[derive(Debug, Args)]
pub(crate) struct RulesArguments {
    /// The rule or cause to explain, as in the brackets behind a finding; all rules in short if not named
    #[arg(value_name = "NAME")]
    pub(crate) name: Option<String>,
    /// Show the limits as on this day, as in 2026-03-09; today (in UTC) if not given
    #[arg(long, value_name = "DATE", value_parser = parse_date)]
    pub(crate) today: Option<Date>,
    /// How it looks.
    #[command(flatten)]
    pub(crate) screen: ScreenArguments,
}

/// Arguments of `causes`.
#[derive(Debug, Args)]
pub(crate) struct CausesArguments {
    /// The cause to explain; all in short if not named
    #[arg(value_name = "NAME")]
    pub(crate) name: Option<String>,
    /// How it looks.
    #[command(flatten)]
    pub(crate) screen: ScreenArguments,
}

/// Arguments of `figures`.
#[derive(Debug, Args)]
pub(crate) struct FiguresArguments {
    /// Only figures of these files or folders; all records if none is named
    #[arg(value_name = "PATH")]
    pub(crate) paths: Vec<PathBuf>,
    /// Only this figure; may be given several times
    #[arg(long = "figure", value_name = "NAME", value_parser = PossibleValuesParser::new(figure_names()), hide_possible_values = true)]
    pub(crate) figures: Vec<String>,
    /// Instead of figures, every cause that may explain a visit, with its share, and every cross-check
    #[arg(long, conflicts_with = "figures")]
    pub(crate) causes: bool,
    /// How to write them
    #[arg(long, value_name = "FORMAT", default_value = FIGURE_FORMATS[0].name, value_parser = one_of(FIGURE_FORMATS))]
    pub(crate) format: &'static FigureFormat,
    /// Work out ages as on this day, as in 2026-03-09; today (in UTC) if not given
    #[arg(long, value_name = "DATE", value_parser = parse_date)]
    pub(crate) today: Option<Date>,
    /// How it looks.
    #[command(flatten)]
    pub(crate) screen: ScreenArguments,
}

/// Arguments of `settings`.
#[derive(Debug, Args)]
pub(crate) struct SettingsArguments {
    /// The machine, by the name in its file
    #[arg(value_name = "MACHINE")]
    pub(crate) machine: String,
    /// Only this setup; all setups if not given
    #[arg(long, value_name = "NAME")]
    pub(crate) setup: Option<String>,
    /// Another rate than the setup's, as in '40 gal/acre' or '375 L/ha'; needs --speed, and --setup if there are several
    #[arg(long, value_name = "RATE", requires = "speed", value_parser = wanted::parse_rate)]
    pub(crate) rate: Option<Quantity>,
    /// Another speed than the setup's, as in '4.2 mph' or '6.8 km/h'; needs --rate
    #[arg(long, value_name = "SPEED", requires = "rate", value_parser = wanted::parse_speed)]
    pub(crate) speed: Option<Quantity>,
    /// How to write it
    #[arg(long, value_name = "FORMAT", default_value = CHART_FORMATS[0].name, value_parser = one_of(CHART_FORMATS))]
    pub(crate) format: &'static Format<Chart>,
    /// Use the records as on this day, as in 2026-03-09; today (in UTC) if not given
    #[arg(long, value_name = "DATE", value_parser = parse_date)]
    pub(crate) today: Option<Date>,
    /// Where and how it is shown.
    #[command(flatten)]
    pub(crate) screen: ScreenArguments,
}

/// Arguments of `tank`.
#[derive(Debug, Args)]
pub(crate) struct TankArguments {
    /// The machine, by its name
    #[arg(id = "of_machine", value_name = "MACHINE")]
    pub(crate) machine: String,
    /// The setup to spray with; may be left out if the machine has only one
    #[arg(id = "of_setup", long = "setup", value_name = "NAME")]
    pub(crate) setup: Option<String>,
    /// The area to spray, as in '3.2 acres', '24000 ft2', or '4.6 ha'
    #[arg(long, value_name = "AREA", value_parser = parse_area)]
    pub(crate) area: Quantity,
    /// A product and its rate, as in --product iron '3 fl oz/1000 ft2'; may be given several times
    #[arg(long = "product", value_names = ["NAME", "RATE"], num_args = 2)]
    pub(crate) products: Vec<String>,
    /// The most of a product that its label allows, as in --label-max iron '6 fl oz/1000 ft2'
    #[arg(long, value_names = ["NAME", "RATE"], num_args = 2)]
    pub(crate) label_max: Vec<String>,
    /// The label minimum of a product
    #[arg(long, value_names = ["NAME", "RATE"], num_args = 2)]
    pub(crate) label_min: Vec<String>,
    /// What the tank holds, as in '140 gal'; as in the machine file if not given
    #[arg(long, value_name = "VOLUME", value_parser = parse_tank)]
    pub(crate) tank: Option<Quantity>,
    /// Split the area into loads that are all alike, instead of full loads and a part load
    #[arg(long)]
    pub(crate) equal_loads: bool,
    /// Work at the setup's own rate, ready or not, and mark each number as nominal; never over a label maximum
    #[arg(long)]
    pub(crate) nominal: bool,
    /// Work as on this day, as in 2026-03-09; today (in UTC) if not given
    #[arg(long, value_name = "DATE", value_parser = parse_date)]
    pub(crate) today: Option<Date>,
    /// How to write the card
    #[arg(long, value_name = "FORMAT", default_value = TANK_FORMATS[0].name, value_parser = one_of(TANK_FORMATS))]
    pub(crate) format: &'static Format<Card>,
    /// Also write the output to this file in this format; may be given several times
    #[arg(long, value_name = "FORMAT=FILE", value_parser = also_write(TANK_FORMATS))]
    pub(crate) also_write: Vec<AlsoWrite<Card>>,
    /// How it looks.
    #[command(flatten)]
    pub(crate) screen: ScreenArguments,
}

/// How a sheet is written: on paper, or as a page that carries the records and judges.
#[derive(Clone, Copy, Debug)]
pub(crate) enum SheetFormat {
    /// To write on.
    Paper(&'static Format<Sheet>),
    /// To type into.
    Page,
}

impl Named for SheetFormat {
    fn name(&self) -> &'static str {
        match self {
            Self::Paper(format) => format.name,
            Self::Page => "page",
        }
    }

    fn about(&self) -> &'static str {
        match self {
            Self::Paper(format) => format.about,
            Self::Page => {
                "HTML for a phone, without a network: judges each reading as you type, and gives the record"
            }
        }
    }
}

/// Every way to write a sheet, the first where none is named.
static SHEETS: &[&SheetFormat] = &[&SheetFormat::Paper(SHEET_FORMATS[0]), &SheetFormat::Page];

/// Arguments of `sheet`.
#[derive(Debug, Args)]
pub(crate) struct SheetArguments {
    /// The machine, by the name of its file in machines/
    #[arg(id = "visited", value_name = "MACHINE")]
    pub(crate) machine: String,
    /// The setup to test; optional with only one setup
    #[arg(long, value_name = "NAME")]
    pub(crate) setup: Option<String>,
    /// The day of the visit, as in 2026-03-09; today (in UTC) if not given
    #[arg(long, value_name = "DATE", value_parser = parse_date)]
    pub(crate) date: Option<Date>,
    /// The paper to print on
    #[arg(long, value_name = "PAPER", default_value = Paper::ALL[0].word(), value_parser = paper())]
    pub(crate) paper: Paper,
    /// How to write the sheet
    #[arg(long, value_name = "FORMAT", default_value = SHEETS[0].name(), value_parser = one_of(SHEETS))]
    pub(crate) format: &'static SheetFormat,
}

fn figure_names() -> Vec<&'static str> {
    crate::figure::catalogue::FIGURES
        .iter()
        .map(|figure| figure.id)
        .collect()
}

/// Words of machine files, as their schema lists them (`tests/fast/start.rs`).
pub(crate) const CONTROLS: [&str; 3] = ["flow", "pressure", "manual"];
/// The same of what tells the console its speed.
pub(crate) const SPEED_SOURCES: [&str; 4] = ["wheel", "radar", "gps", "none"];
/// The same of section valves.
pub(crate) const VALVES: [&str; 2] = ["bypass", "shut-off"];
/// The units that examples and assumed values are in.
pub(crate) const UNIT_SYSTEMS: [&str; 2] = ["us", "si"];

/// Arguments of `start`.
#[derive(Debug, Args)]
pub(crate) struct StartArguments {
    /// The folder to write into; it is made if it is not there
    #[arg(value_name = "DIR")]
    pub(crate) folder: PathBuf,
    /// Date the first record, as in 2026-03-09; today (in UTC) if not given
    #[arg(long, value_name = "DATE", value_parser = parse_date)]
    pub(crate) date: Option<Date>,
    /// The units you read in, for what is assumed and for examples
    #[arg(long, value_name = "UNITS", value_parser = PossibleValuesParser::new(UNIT_SYSTEMS))]
    pub(crate) units: Option<String>,
    /// The name of the group or the course
    #[arg(long, value_name = "NAME")]
    pub(crate) group: Option<String>,
    /// The initials of who makes the tests
    #[arg(long, value_name = "INITIALS")]
    pub(crate) by: Option<String>,
    /// The name of the machine, as in sprayer-1
    #[arg(long, value_name = "NAME")]
    pub(crate) machine: Option<String>,
    /// How many sections the boom has
    #[arg(long, value_name = "NUMBER")]
    pub(crate) sections: Option<String>,
    /// How many nozzles each section has, or one number for each, left to right, as in 4,3,4
    #[arg(long, value_name = "NUMBERS")]
    pub(crate) nozzles: Option<String>,
    /// The distance from nozzle to nozzle, as in '20 in' or '50 cm'
    #[arg(long, value_name = "LENGTH")]
    pub(crate) spacing: Option<String>,
    /// How the rate is held
    #[arg(long, value_name = "CONTROL", value_parser = PossibleValuesParser::new(CONTROLS))]
    pub(crate) control: Option<String>,
    /// What tells the console its speed
    #[arg(long, value_name = "SOURCE", value_parser = PossibleValuesParser::new(SPEED_SOURCES))]
    pub(crate) speed_source: Option<String>,
    /// Where the liquid of a section goes that is off; of a boom with several sections
    #[arg(long, value_name = "VALVES", value_parser = PossibleValuesParser::new(VALVES))]
    pub(crate) section_valves: Option<String>,
    /// The name of the setup, as in fairways
    #[arg(long, value_name = "NAME")]
    pub(crate) setup: Option<String>,
    /// The size on the tips, as in 06, or the rated flow, as in '2.4 L/min at 3 bar'
    #[arg(long, value_name = "SIZE")]
    pub(crate) nozzle: Option<String>,
    /// The working pressure, as in '36 psi' or '2.5 bar'
    #[arg(long, value_name = "PRESSURE")]
    pub(crate) pressure: Option<String>,
    /// The working speed, as in '4.2 mph' or '6.8 km/h'
    #[arg(long, value_name = "SPEED")]
    pub(crate) speed: Option<String>,
    /// The rate that is wanted, as in '40 gal/acre' or '375 L/ha'; left out if not given
    #[arg(long, value_name = "RATE")]
    pub(crate) rate: Option<String>,
}

/// The visit that a record is of.
#[derive(Debug, Args)]
pub(crate) struct VisitArguments {
    /// The machine, as in heron
    #[arg(value_name = "MACHINE")]
    pub(crate) machine: String,
    /// The setup; the only one if not given
    #[arg(long, value_name = "NAME")]
    pub(crate) setup: Option<String>,
    /// The day of the visit, as in 2026-03-09; today (in UTC) if not given
    #[arg(long, value_name = "DATE", value_parser = parse_date)]
    pub(crate) date: Option<Date>,
}

/// Arguments of `draft`.
#[derive(Debug, Args)]
pub(crate) struct DraftArguments {
    /// Which visit.
    #[command(flatten)]
    pub(crate) visit: VisitArguments,
    /// Hold every step, due or not
    #[arg(long)]
    pub(crate) all: bool,
    /// The initials of who makes the tests
    #[arg(long, value_name = "INITIALS")]
    pub(crate) by: Option<String>,
    /// Write the record to calibrations/MACHINE/DATE.yaml, where no such file is yet
    #[arg(long)]
    pub(crate) write: bool,
}

/// Arguments of `enter`.
#[derive(Debug, Args)]
pub(crate) struct EnterArguments {
    /// Which visit.
    #[command(flatten)]
    pub(crate) visit: VisitArguments,
    /// Ask for every step, due or not
    #[arg(long)]
    pub(crate) all: bool,
    /// How it looks.
    #[command(flatten)]
    pub(crate) screen: ScreenArguments,
}

/// Arguments of `schema`.
#[derive(Debug, Args)]
pub(crate) struct SchemaArguments {
    /// The kind of record, as behind `record:` in its file; or check-lines, for the lines of `check --format jsonl`
    #[arg(value_name = "KIND", value_parser = PossibleValuesParser::new(crate::schema::names()))]
    pub(crate) kind: String,
}

/// Arguments of `completions`.
#[derive(Debug, Args)]
pub(crate) struct CompletionsArguments {
    /// The shell
    #[arg(value_name = "SHELL")]
    pub(crate) shell: clap_complete::Shell,
}

/// Arguments of `man`.
#[derive(Debug, Args)]
pub(crate) struct ManArguments {
    /// The command whose page to print; the page of swathlint if none is named
    #[arg(value_name = "COMMAND")]
    pub(crate) command: Option<String>,
}

/// How output looks.
#[derive(Debug, Args)]
pub(crate) struct ScreenArguments {
    /// Whether to use colors
    #[arg(long, value_name = "WHEN", default_value = "auto")]
    pub(crate) color: ColorChoice,
    /// Columns to write in; the terminal's width if not given, 80 where there is no terminal
    #[arg(long, value_name = "COLUMNS", value_parser = whole_number(40..=500_u16))]
    pub(crate) width: Option<u16>,
}

/// The least severity that makes the exit code 1.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum FailFrom {
    /// Fail on errors: do not rely on the calibration
    Error,
    /// Fail on warnings too: something must be corrected
    Warning,
    /// Fail on notes too
    Note,
    /// Never, whatever is found
    Never,
}

impl FailFrom {
    /// Whether a finding of a severity makes the exit code 1.
    pub(crate) fn includes(self, severity: Severity) -> bool {
        match self {
            Self::Error => severity >= Severity::Error,
            Self::Warning => severity >= Severity::Warning,
            Self::Note => severity >= Severity::Note,
            Self::Never => false,
        }
    }
}

/// The least urgent state that makes the exit code of `due` 1.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum DueFrom {
    /// Where a step is never done, void, failing or overdue
    Overdue,
    /// Also where work calls for a recheck: everything due today
    #[value(alias = "due")]
    Recheck,
    /// Also where an interval runs out within the period
    #[value(alias = "coming")]
    ComingDue,
    /// Never, whatever is due
    Never,
}

impl DueFrom {
    /// Whether a step that stands so makes the exit code 1; one whose failing is waived never does.
    pub(crate) fn includes(self, state: DueState) -> bool {
        match state {
            DueState::NeverDone
            | DueState::Void
            | DueState::Failing
            | DueState::RecordToCorrect
            | DueState::Overdue => self != Self::Never,
            DueState::Recheck => matches!(self, Self::Recheck | Self::ComingDue),
            DueState::ComingDue => self == Self::ComingDue,
            DueState::Waived => false,
        }
    }
}

/// A file to write beside the standard output.
#[derive(Debug)]
pub(crate) struct AlsoWrite<T: 'static> {
    /// How.
    pub(crate) format: &'static Format<T>,
    /// Where.
    pub(crate) file: PathBuf,
}

// Not derived, since that would want it of what is written.
impl<T> Clone for AlsoWrite<T> {
    fn clone(&self) -> Self {
        Self {
            format: self.format,
            file: self.file.clone(),
        }
    }
}

/// When to color.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum ColorChoice {
    /// Where it is a terminal, or the environment wants it
    #[value(
        help = "On a terminal, unless NO_COLOR is set; also elsewhere if CLICOLOR_FORCE is set"
    )]
    Auto,
    /// Always
    Always,
    /// Never
    Never,
}

/// The whole command line, with the full names of its commands, for scripts and manual pages, and for whoever walks it.
pub fn command() -> clap::Command {
    let mut command = declared();
    command.build();
    command
}

/// The arguments that words make, or the answer to them.
pub(crate) fn parsed<W>(words: impl IntoIterator<Item = W>) -> Result<Arguments, clap::Error>
where
    W: Into<OsString> + Clone,
{
    let matches = declared().try_get_matches_from(words)?;
    Arguments::from_arg_matches(&matches)
}

/// The command among the arguments of the process, where they name one.
pub(crate) fn command_named() -> Option<String> {
    let asked_for = std::env::args_os().skip(1);
    let mut words = asked_for.filter_map(|word| word.into_string().ok());
    let first = words.find(|word| !word.starts_with('-'))?;
    let command = declared();
    let known = command.get_subcommands().any(|one| one.get_name() == first);
    known.then_some(first)
}

/// The commands; every one of them has a page that `man` prints.
fn declared() -> clap::Command {
    let command = Arguments::command();
    let names = command.get_subcommands().map(clap::Command::get_name);
    let names = PossibleValuesParser::new(names.map(str::to_owned).collect::<Vec<_>>());
    command.mut_subcommand("man", |man| {
        man.mut_arg("command", |name| name.value_parser(names))
    })
}

/// A whole number within bounds.
fn whole_number<N>(
    bounds: RangeInclusive<N>,
) -> impl Fn(&str) -> Result<N, String> + Clone + Send + Sync + 'static
where
    N: FromStr + PartialOrd + Display + Clone + Send + Sync + 'static,
{
    move |text| {
        let number = text.parse().ok().filter(|number| bounds.contains(number));
        number.ok_or_else(|| {
            let (least, most) = (bounds.start(), bounds.end());
            format!("`{text}` is not a whole number from {least} to {most}")
        })
    }
}

/// One of the formats, by its name.
fn one_of<F: Named + Sync>(
    formats: &'static [&'static F],
) -> impl TypedValueParser<Value = &'static F> {
    let names = formats
        .iter()
        .map(|format| PossibleValue::new(format.name()).help(format.about()));
    PossibleValuesParser::new(names)
        .map(|name| format_named(formats, &name).expect("only names of formats are taken"))
}

fn format_named<F: Named>(formats: &[&'static F], name: &str) -> Option<&'static F> {
    formats.iter().copied().find(|format| format.name() == name)
}

/// A file to write in one of the formats.
fn also_write<T>(
    formats: &'static [&'static Format<T>],
) -> impl Fn(&str) -> Result<AlsoWrite<T>, String> + Clone {
    move |text| parse_also_write(text, formats)
}

fn paper() -> impl TypedValueParser<Value = Paper> {
    PossibleValuesParser::new(Paper::ALL.map(Paper::word)).map(|word| {
        let mut all = Paper::ALL.into_iter();
        all.find(|paper| paper.word() == word)
            .expect("only words of papers are taken")
    })
}

fn sheet_exit_codes() -> String {
    format!(
        "\
Exit code:
  {EXIT_CLEAN}  the sheet is whole
  {EXIT_COULD_NOT_CHECK}  no sheet, or one that lacks something: a wrong option, an error in the machine file, or a file that could not be read"
    )
}

fn exit_codes() -> String {
    format!(
        "\
Exit code:
  {EXIT_CLEAN}  nothing found at or above --fail-from
  {EXIT_FINDINGS}  something found at or above it
  {EXIT_COULD_NOT_CHECK}  could not check: a wrong option, no records, or a file that could not be read"
    )
}

fn start_exit_codes() -> String {
    format!(
        "\
Exit code:
  {EXIT_CLEAN}  everything is written, and `check` finds nothing but what is to be filled in
  {EXIT_COULD_NOT_CHECK}  nothing is written: a wrong or a missing option, or a file that is there already"
    )
}

fn settings_exit_codes() -> String {
    format!(
        "\
Exit code:
  {EXIT_CLEAN}  told
  {EXIT_COULD_NOT_CHECK}  could not tell: a wrong option, an unknown machine or setup, a machine out of service, or a
     machine file that is missing, has errors, or lacks the values it takes; or told, but an error
     in the fleet file or the machine file, or a file that could not be read, may change it"
    )
}

fn draft_exit_codes() -> String {
    format!(
        "\
Exit code:
  {EXIT_CLEAN}  the record is written, or printed
  {EXIT_COULD_NOT_CHECK}  nothing is written: a wrong option, a record that is there already, or a file that could not
     be read"
    )
}

fn enter_exit_codes() -> String {
    format!(
        "\
Exit code:
  {EXIT_CLEAN}  no error is found in the record
  {EXIT_FINDINGS}  an error is found in it, as `check` finds it
  {EXIT_COULD_NOT_CHECK}  could not enter: a wrong option, a record that holds more than is asked for, or a file that
     could not be read or written"
    )
}

fn due_exit_codes() -> String {
    format!(
        "\
Exit code:
  {EXIT_CLEAN}  nothing is due at or above --fail-from
  {EXIT_FINDINGS}  something is
  {EXIT_COULD_NOT_CHECK}  could not tell: a wrong option, no records, a file that could not be read, or nothing due
     but records with errors left out"
    )
}

fn tank_exit_codes() -> String {
    format!(
        "\
Exit code:
  {EXIT_CLEAN}  the card is complete; see its warnings
  {EXIT_FINDINGS}  refused: no quantities, and the reasons
  {EXIT_COULD_NOT_CHECK}  could not tell: a wrong option, no such machine or setup, a machine out of service, a machine
     file that is missing or has errors, no tank, or a file that could not be read"
    )
}

fn parse_area(text: &str) -> Result<Quantity, String> {
    above_zero(text, &[Dimension::AREA])
}

fn parse_tank(text: &str) -> Result<Quantity, String> {
    above_zero(text, &[Dimension::VOLUME])
}

/// A quantity above zero, of one of the dimensions.
pub(crate) fn above_zero(text: &str, wanted: &[Dimension]) -> Result<Quantity, String> {
    let quantity = Quantity::parse(text, wanted)
        .map_err(|fault| format!("{}; {}", fault.message(), fault.help()))?;
    if quantity.decimal.is_zero() || quantity.decimal.is_sign_negative() {
        return Err(format!("`{quantity}` must be above zero"));
    }
    Ok(quantity)
}

fn parse_date(text: &str) -> Result<Date, String> {
    dates::parse_date(text).map_err(|fault| format!("{}; {}", fault.message, fault.help))
}

/// Reads a period to look ahead: whole days, weeks, months or years, at most [`MOST_AHEAD`].
fn parse_within(text: &str) -> Result<Period, String> {
    let examples = "write whole days, weeks or months, as in `14d`, `2 weeks` or `1 month`";
    let wanted = [Dimension::TIME, Dimension::CALENDAR];
    let quantity = Quantity::parse(text, &wanted)
        .map_err(|fault| format!("{}; {examples}", fault.message()))?;
    let period = Period::from_quantity(&quantity)
        .ok_or_else(|| format!("`{quantity}` is no whole number of days or months; {examples}"))?;
    let is_too_far = match period {
        Period::Days(days) => days > 366 * MOST_AHEAD,
        Period::Months(months) => months > 12 * MOST_AHEAD,
    };
    if is_too_far {
        return Err(format!(
            "`{quantity}` is more than {MOST_AHEAD} years; {examples}"
        ));
    }
    Ok(period)
}

fn parse_also_write<T>(
    text: &str,
    formats: &'static [&'static Format<T>],
) -> Result<AlsoWrite<T>, String> {
    let (format, file) = text.split_once('=').ok_or_else(|| {
        format!("`{text}` names no file; write FORMAT=FILE, as in jsonl=out.jsonl")
    })?;
    let format = format_named(formats, format).ok_or_else(|| {
        let names: Vec<&str> = formats.iter().map(|format| format.name).collect();
        format!(
            "`{format}` is not a format; use {}",
            crate::words::phrases::list(&names, "and")
        )
    })?;
    if file.is_empty() || file == "-" {
        return Err("the standard output has --format; name a file here".to_owned());
    }
    if file.ends_with(path::is_separator) {
        return Err(format!("`{file}` is a folder; name a file in it"));
    }
    let file = PathBuf::from(file);
    if is_yaml(&file) {
        return Err(format!(
            "{text} could write over a record; give the file another ending than YAML's"
        ));
    }
    Ok(AlsoWrite { format, file })
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::path::Path;

    #[test]
    fn the_command_line_is_consistent() {
        command().debug_assert();
    }

    #[test]
    fn every_command_has_a_page() {
        let whole = command();
        for page in whole.get_subcommands() {
            let name = page.get_name();
            assert!(parsed(["swathlint", "man", name]).is_ok(), "{name}");
        }
        assert!(parsed(["swathlint", "man", "check-twice"]).is_err());
    }

    #[test]
    fn a_file_to_write_is_a_format_and_a_name() {
        let written = parse_also_write("jsonl=a=b.jsonl", REPORT_FORMATS).unwrap();
        assert_eq!(
            (written.format.name, written.file.as_path()),
            ("jsonl", Path::new("a=b.jsonl"))
        );
        for (text, says) in [
            ("findings.jsonl", "names no file"),
            ("xml=a", "not a format; use terminal, "),
            ("plain=", "name a file"),
            ("plain=-", "name a file"),
            ("plain=reports/", "name a file in it"),
            ("plain=machines/heron.yaml", "could write over a record"),
            ("plain=machines/heron.YML", "could write over a record"),
        ] {
            let error = parse_also_write(text, REPORT_FORMATS).unwrap_err();
            assert!(error.contains(says), "{text}: {error}");
        }
    }

    #[test]
    fn a_period_ahead_is_whole_days_or_months() {
        for (text, period) in [
            ("14d", Period::Days(14)),
            ("2 weeks", Period::Days(14)),
            ("30 days", Period::Days(30)),
            ("0 days", Period::Days(0)),
            ("1 month", Period::Months(1)),
            ("1 year", Period::Months(12)),
            ("10 years", Period::Months(120)),
        ] {
            assert_eq!(parse_within(text), Ok(period), "{text}");
        }
        for (text, says) in [
            ("14", "as in `14d`"),
            ("", "as in `14d`"),
            ("fortnight", "as in `14d`"),
            ("36 psi", "as in `14d`"),
            ("1.5 days", "`1.5 days` is no whole number"),
            ("-3 days", "no whole number"),
            ("11 years", "more than 10 years"),
            ("99999999999 days", "no whole number"),
        ] {
            let error = parse_within(text).unwrap_err();
            assert!(error.contains(says), "{text}: {error}");
        }
    }

    #[test]
    fn a_threshold_includes_what_is_more_urgent() {
        use DueState::{
            ComingDue, Failing, NeverDone, Overdue, Recheck, RecordToCorrect, Void, Waived,
        };
        let order = [
            NeverDone,
            Void,
            Failing,
            RecordToCorrect,
            Overdue,
            Recheck,
            ComingDue,
            Waived,
        ];
        assert_eq!(order, DueState::ALL);
        for (words, included) in [
            (&["overdue"][..], 5),
            (&["recheck", "due"], 6),
            (&["coming-due", "coming"], 7),
            (&["never"], 0),
        ] {
            for word in words {
                let from = DueFrom::from_str(word, false).unwrap();
                let fails = order.map(|state| from.includes(state));
                let wanted: [bool; 8] = std::array::from_fn(|at| at < included);
                assert_eq!(fails, wanted, "{word}");
            }
        }
    }

    #[test]
    fn a_threshold_includes_what_weighs_more() {
        use Severity::{Error, Note, Warning};
        let rows = [
            (FailFrom::Error, [false, false, true]),
            (FailFrom::Warning, [false, true, true]),
            (FailFrom::Note, [true, true, true]),
            (FailFrom::Never, [false, false, false]),
        ];
        for (threshold, included) in rows {
            assert_eq!(
                [Note, Warning, Error].map(|severity| threshold.includes(severity)),
                included
            );
        }
    }
}
