//! The text of a begun record, line by line.

use crate::assess::{StepStanding, Target};
use crate::procedure::{Step, is_speed_driven};
use crate::quantity::Quantity;
use crate::quantity::decimal::Decimal;
use crate::quantity::unit::Unit;
use crate::record::Machine;
use crate::record::machine::{BalanceBy, Control, Section, Setup};
use crate::wording::steps::target;
use crate::words;
use jiff::civil::Date;

/// What is to be begun.
#[derive(Debug, Clone)]
pub struct Wanted<'a> {
    /// The machine, by name.
    pub machine: &'a str,
    /// The setup; the only one where none is named.
    pub setup: Option<&'a str>,
    /// The day of the visit.
    pub day: Date,
    /// The initials of who makes the tests; left empty where nobody is named.
    pub by: Option<&'a str>,
    /// The schema that an editor is to read, as a path from the record.
    pub schema: Option<&'a str>,
}

/// A machine as it stands on the day of a visit, as far as the record of the visit is concerned.
pub(super) struct Begun<'a> {
    pub(super) wanted: &'a Wanted<'a>,
    pub(super) machine: Machine,
    /// The setup, by its place in the machine's file.
    pub(super) setup: usize,
    /// The steps to do: those of the setup, and those of the whole machine.
    pub(super) steps: Vec<StepStanding>,
}

/// A visit drives a course so often (our choice; fewer weaken the test: rule too-few-runs).
const RUNS: usize = 3;

/// A text as one YAML value on one line, in quotes where a reader could take it for something else.
///
/// # Panics
/// Never: a text can always be written.
pub fn scalar(text: &str) -> String {
    let is_plain = text.starts_with(|letter: char| letter.is_ascii_alphabetic())
        && text
            .bytes()
            .all(|byte| byte.is_ascii_alphanumeric() || b"-_".contains(&byte))
        && !SPECIAL_WORDS.contains(&text.to_ascii_lowercase().as_str());
    if is_plain {
        return text.to_owned();
    }
    let options = serde_yaml::ser_options! { quote_all: true };
    let written = serde_yaml::to_string_with_options(&text, options);
    let written = written.expect("a text can always be written");
    written.trim_end_matches('\n').to_owned()
}

/// What readers of YAML 1.1 take for something else than a text.
const SPECIAL_WORDS: [&str; 9] = ["y", "n", "yes", "no", "on", "off", "true", "false", "null"];

/// A text in the making.
#[derive(Default)]
struct Lines(String);

impl Lines {
    fn line(&mut self, line: &str) {
        self.0.push_str(line);
        self.0.push('\n');
    }

    /// An empty value with what it aims at.
    fn empty(&mut self, key: &str, aim: &str) {
        let lead = format!("{key}:");
        if aim.is_empty() {
            self.line(&lead);
        } else {
            self.line(&format!("{lead:<28}# {aim}"));
        }
    }
}

impl Begun<'_> {
    pub(super) fn text(&self) -> String {
        let mut lines = Lines::default();
        if let Some(schema) = self.wanted.schema {
            lines.line(&format!("# yaml-language-server: $schema={schema}"));
        }
        lines.line("# Fill in what you read, in place of ~ and behind each colon. What stays empty is not filled in:");
        lines.line("# its test does not count. Take out a line or a test that you do not do.");
        lines.line("record: calibration");
        lines.line(&format!("machine: {}", scalar(self.wanted.machine)));
        lines.line(&format!("date: {}", words::dates::date(self.wanted.day)));
        match self.wanted.by {
            Some(by) => lines.line(&format!("by: {}", scalar(by))),
            None => lines.empty("by", "your initials"),
        }
        if self.machine.setups.len() > 1 {
            lines.line(&format!("setup: {}", scalar(&self.setup().name.value)));
        }
        lines.empty(
            "hours",
            "the hour meter, such as 412 h; take the line out if there is none",
        );
        lines.line("preparation:");
        lines.empty("  rinsed", "true once tank and lines are rinsed");
        lines.empty("  neutralized", "true once it is, as its label says");
        lines.empty("  liquid", "clean water");
        lines.empty("  protective-gear", "[gloves, eye protection]");
        for step in &self.steps {
            match step.step {
                Step::Catch => self.catch(step, &mut lines),
                Step::Flow => Self::meter(step, &mut lines),
                Step::Speed => self.speed(step, &mut lines),
                Step::Balance => self.balance(&mut lines),
            }
        }
        lines.0
    }

    fn setup(&self) -> &Setup {
        &self.machine.setups[self.setup]
    }

    fn pressure(&self) -> String {
        let pressure = self.setup().pressure.as_ref();
        pressure.map_or_else(String::new, |pressure| pressure.value.to_string())
    }

    fn catch(&self, step: &StepStanding, lines: &mut Lines) {
        let aim = match &step.target {
            Some(Target::Catch(aim)) => Some(aim),
            Some(Target::Factor { .. }) | None => None,
        };
        lines.line("catch-tests:");
        if let Some(aim) = &step.target {
            lines.line(&format!("  # Target: {}.", target(aim)));
        }
        lines.line("  # Write 0 for a plugged nozzle, and missed for one you did not catch.");
        let pressure = self.pressure();
        lines.empty("  - pressure", &of_setup(&pressure));
        let unit = aim.map_or(Unit::FLUID_OUNCE, |aim| aim.unit);
        if aim.is_none_or(|aim| aim.duration.is_some()) {
            let duration = aim.and_then(|aim| aim.duration);
            let duration = duration.map_or_else(String::new, |time| time.to_string());
            lines.empty("    duration", &duration);
        }
        match aim {
            Some(_) => lines.line(&format!("    unit: {unit}")),
            None => lines.empty("    unit", "what the jug is marked in, such as fl oz or mL"),
        }
        let sections = &self.machine.boom.sections;
        let named: Option<Vec<(&str, u32)>> = sections.iter().map(name_and_count).collect();
        if let Some(named) = named {
            lines.line("    caught:                 # left to right from the seat, facing forward");
            for (name, count) in named {
                lines.line(&format!("      {}: {}", scalar(name), empties(count)));
            }
        } else {
            let counts = sections
                .iter()
                .filter_map(|section| section.nozzles.as_ref());
            let count = counts.map(|count| count.value).sum();
            lines.line("    # Left to right from the seat, facing forward.");
            lines.line(&format!("    caught: {}", empties(count)));
        }
    }

    fn meter(step: &StepStanding, lines: &mut Lines) {
        lines.line("meter-tests:");
        if let Some(aim) = &step.target {
            lines.line(&format!("  # Now in the console: {}.", target(aim)));
        }
        lines.empty(
            "  - known-volume",
            "what you sprayed out, known by other means than the console",
        );
        lines.empty("    known-by", "fill meter, weighed, tank marks, or catch");
        lines.empty("    duration", "how long you sprayed");
        lines.empty(
            "    shown",
            "what the console shows; target: the known volume",
        );
        lines.line("    # If you correct the flow factor, add: factor: {before: , after: }. Then test again, as one more entry.");
    }

    fn speed(&self, step: &StepStanding, lines: &mut Lines) {
        let is_driven = is_speed_driven(&self.machine);
        let speed = self.setup().speed.as_ref().map(|speed| speed.value);
        lines.line("speed-tests:");
        if let Some(aim) = &step.target {
            lines.line(&format!("  # Now in the console: {}.", target(aim)));
        }
        if let Some((length, time)) = speed.and_then(time_of_a_course) {
            let speed = self.setup_speed();
            lines.line(&format!(
                "  # Target: {speed}, which is {time} for {length}."
            ));
        }
        lines.empty(
            "  - distance",
            "a long course; `swathlint rules short-speed-course` says how long at least",
        );
        lines.empty("    surface", "turf");
        lines.empty("    tank", "half");
        lines.line("    runs:");
        let shown = if is_driven { "" } else { ", shown: " };
        for run in 0..RUNS {
            let comment = match run {
                0 if is_driven => "   # the time by stopwatch",
                0 => {
                    "   # the time by stopwatch, and the distance or the speed that the console shows"
                }
                _ => "",
            };
            lines.line(&format!("      - {{elapsed: {shown}}}{comment}"));
        }
        if !is_driven {
            lines.line("    # If you correct the speed factor, add: factor: {before: , after: }. Then test again, as one more entry.");
        }
    }

    fn setup_speed(&self) -> String {
        let speed = self.setup().speed.as_ref();
        speed.map_or_else(String::new, |speed| speed.value.to_string())
    }

    fn balance(&self, lines: &mut Lines) {
        let by = self.machine.balance_by.map(|by| by.value);
        // Without a console nothing shows a rate.
        let has_console = self.machine.control.map(|control| control.value) == Some(Control::Flow);
        let is_by_pressure = by.map_or(!has_console, |by| by == BalanceBy::Pressure);
        lines.line("section-balance:");
        let aim = if is_by_pressure {
            self.pressure()
        } else {
            lines.empty("  entered-speed", &of_setup(&self.setup_speed()));
            lines.empty("  rate-control", "manual");
            let rate = self.setup().rate.as_ref();
            rate.map_or_else(String::new, |rate| rate.value.to_string())
        };
        lines.empty("  all-on", &of_setup(&aim));
        lines.line("  # Target with a section off: the same as with all on. If you set its bypass, add as-left.");
        lines.line("  sections-off:");
        let names = self.machine.boom.sections.iter().filter_map(name_and_count);
        for (name, _) in names {
            lines.line(&format!(
                "    - {{sections: [{}], as-found: }}",
                scalar(name)
            ));
        }
    }
}

/// What the setup says of a reading; nothing where it does not.
fn of_setup(value: &str) -> String {
    if value.is_empty() {
        String::new()
    } else {
        format!("target: {value}")
    }
}

fn name_and_count(section: &Section) -> Option<(&str, u32)> {
    let (name, count) = (section.name.as_ref()?, section.nozzles.as_ref()?);
    Some((&name.value, count.value))
}

/// A list of so many empty readings.
fn empties(count: u32) -> String {
    let all: Vec<&str> = (0..count).map(|_| "~").collect();
    format!("[{}]", all.join(", "))
}

/// How long a course takes that is named in the units of the speed: `100 ft` and `16.2 s`; none of a speed that is none.
fn time_of_a_course(speed: Quantity) -> Option<(String, String)> {
    let unit = if speed.unit == Unit::MPH {
        Unit::FOOT
    } else {
        Unit::METER
    };
    let length = Quantity {
        decimal: Decimal::whole(100),
        unit,
    };
    let seconds = length.si() / speed.si();
    let is_time = seconds.is_finite() && 0.0 < seconds;
    is_time.then(|| {
        let time = words::numbers::number(seconds, 1);
        (length.to_string(), format!("{time} s"))
    })
}

#[cfg(test)]
mod tests {
    use super::scalar;
    use crate::source::FileId;
    use crate::yaml::{self, Value};

    #[test]
    fn any_text_is_read_back_as_itself() {
        for text in [
            "left",
            "far left",
            "on",
            "NO",
            "12",
            "012",
            "1e3",
            "1:30",
            "~",
            "null",
            "",
            "a: b",
            "a #b",
            "#b",
            "it's",
            "a \"b\" \\",
            "-",
            "- a",
            "é",
            "[a",
            "a, b",
            "&a",
            "a\nb",
            "a\tb",
            "\u{7}",
            " a ",
            "a\u{2028}b",
        ] {
            let line = format!("key: [{}]", scalar(text));
            assert!(!line.contains('\n'), "{line:?}");
            let parsed = yaml::parse(FileId(0), &line);
            let item = parsed
                .tree
                .root()
                .unwrap()
                .get("key")
                .unwrap()
                .items()
                .next();
            assert_eq!(item.unwrap().value(), Some(Value::Text(text)), "{line}");
        }
        assert_eq!(scalar("far-left_2"), "far-left_2");
    }
}
