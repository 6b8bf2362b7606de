//! What a started repository is told about its group and machine: by options, or by answers at a terminal.

use crate::cli::args::{CONTROLS, SPEED_SOURCES, StartArguments, UNIT_SYSTEMS, VALVES};
use crate::cli::failure::{CannotCheck, reason};
use crate::cli::output;
use crate::quantity::Quantity;
use crate::quantity::dimension::Dimension;
use crate::render::Harmless;
use crate::words;
use std::collections::BTreeMap;
use std::io::{self, BufRead, IsTerminal};

pub(super) const UNITS: &str = "--units";
pub(super) const MACHINE: &str = "--machine";
pub(super) const SECTIONS: &str = "--sections";
pub(super) const NOZZLES: &str = "--nozzles";
pub(super) const NOZZLE: &str = "--nozzle";
pub(super) const SPACING: &str = "--spacing";
pub(super) const CONTROL: &str = "--control";
pub(super) const SPEED_SOURCE: &str = "--speed-source";
pub(super) const SECTION_VALVES: &str = "--section-valves";
pub(super) const SETUP: &str = "--setup";
pub(super) const PRESSURE: &str = "--pressure";
pub(super) const SPEED: &str = "--speed";
pub(super) const RATE: &str = "--rate";
pub(super) const BY: &str = "--by";
pub(super) const GROUP: &str = "--group";

/// As many sections and nozzles as a record of a machine may have.
const MOST_SECTIONS: u32 = 100;
const MOST_NOZZLES: u32 = 300;

/// One thing to know.
struct Question {
    option: &'static str,
    /// What to ask.
    words: &'static str,
    /// How it is answered in US units, and in metric ones.
    examples: [&'static str; 2],
    /// Whether an example may be taken where nothing is said.
    is_assumed: bool,
    /// Whether it is asked at all, by what is known so far.
    is_asked: fn(&Facts) -> bool,
    /// The answer as it is written, or what is wrong with it.
    taken: fn(&str, &Facts) -> Result<String, String>,
}

const fn always(_: &Facts) -> bool {
    true
}

/// In the order they are asked; what an answer is held against stands before it.
static QUESTIONS: [Question; 15] = [
    Question {
        option: UNITS,
        words: "Which units do you read in: us or si",
        examples: ["us", "us"],
        is_assumed: true,
        is_asked: always,
        taken: |text, _| one_of(text, &UNIT_SYSTEMS),
    },
    Question {
        option: GROUP,
        words: "What is your group or course called",
        examples: ["Our group", "Our group"],
        is_assumed: true,
        is_asked: always,
        taken: |text, _| title(text),
    },
    Question {
        option: BY,
        words: "What are the initials of who makes the tests",
        examples: ["rm", "rm"],
        is_assumed: false,
        is_asked: always,
        taken: |text, _| name(text, 10),
    },
    Question {
        option: MACHINE,
        words: "What is the machine called, in a word for its files",
        examples: ["sprayer-1", "sprayer-1"],
        is_assumed: false,
        is_asked: always,
        taken: |text, _| name(text, 40),
    },
    Question {
        option: SECTIONS,
        words: "How many sections does its boom have",
        examples: ["3", "3"],
        is_assumed: false,
        is_asked: always,
        taken: |text, _| count(text, MOST_SECTIONS).map(|count| count.to_string()),
    },
    Question {
        option: NOZZLES,
        words: "How many nozzles does each section have: one number, or one for each, left to right",
        examples: ["5", "5"],
        is_assumed: false,
        is_asked: always,
        taken: nozzles,
    },
    Question {
        option: SPACING,
        words: "How far is it from nozzle to nozzle",
        examples: ["20 in", "50 cm"],
        is_assumed: true,
        is_asked: always,
        taken: |text, _| quantity(text, Dimension::LENGTH),
    },
    Question {
        option: CONTROL,
        words: "How is the rate held: flow (the console), pressure (a regulator), or manual",
        examples: ["flow", "flow"],
        is_assumed: false,
        is_asked: always,
        taken: |text, _| one_of(text, &CONTROLS),
    },
    Question {
        option: SPEED_SOURCE,
        words: "What tells the console its speed: wheel, radar, gps, or none",
        examples: ["wheel", "wheel"],
        is_assumed: false,
        is_asked: always,
        taken: |text, _| one_of(text, &SPEED_SOURCES),
    },
    Question {
        option: SECTION_VALVES,
        words: "Where does the liquid of a section go that is off: back through a bypass, or nowhere (shut-off)",
        examples: ["bypass", "bypass"],
        is_assumed: false,
        is_asked: |facts| facts.get(SECTIONS) != "1",
        taken: |text, _| one_of(text, &VALVES),
    },
    Question {
        option: SETUP,
        words: "What is the setup for",
        examples: ["fairways", "fairways"],
        is_assumed: true,
        is_asked: always,
        taken: |text, _| name(text, 40),
    },
    Question {
        option: NOZZLE,
        words: "Which size is on its tips; of tips without a size: flow at pressure, as in the maker's table",
        examples: ["06", "06"],
        is_assumed: false,
        is_asked: always,
        taken: |text, _| nozzle(text),
    },
    Question {
        option: PRESSURE,
        words: "At which pressure does it spray",
        examples: ["36 psi", "2.5 bar"],
        is_assumed: false,
        is_asked: always,
        taken: |text, _| quantity(text, Dimension::PRESSURE),
    },
    Question {
        option: SPEED,
        words: "At which speed does it spray",
        examples: ["4.2 mph", "6.8 km/h"],
        is_assumed: false,
        is_asked: always,
        taken: |text, _| quantity(text, Dimension::SPEED),
    },
    Question {
        option: RATE,
        words: "Which rate is wanted",
        examples: ["40 gal/acre", "375 L/ha"],
        is_assumed: false,
        is_asked: always,
        taken: |text, _| quantity(text, Dimension::RATE),
    },
];

/// What is known, by option.
#[derive(Debug, Default)]
pub(super) struct Facts {
    known: BTreeMap<&'static str, String>,
    assumed: Vec<&'static str>,
}

impl Facts {
    /// What the options say, and at a terminal what is answered.
    ///
    /// # Errors
    /// Where an option cannot be so, or something is not told and nobody is there to ask.
    pub(super) fn find(arguments: &StartArguments) -> Result<Self, CannotCheck> {
        let given = given(arguments);
        if io::stdin().is_terminal() && io::stderr().is_terminal() {
            let mut lines = io::stdin().lock().lines();
            let mut answer = |question: &str| {
                output::to_errors(&Harmless::lines(question));
                lines.next()
            };
            Self::asked(&given, &mut answer)
        } else {
            Self::of_options(&given)
        }
    }

    /// A value, as it is written; nothing where it is not known.
    pub(super) fn get(&self, option: &str) -> &str {
        self.known.get(option).map_or("", String::as_str)
    }

    /// What was neither given nor asked for, as options.
    pub(super) fn assumed(&self) -> Vec<String> {
        let assumed = self.assumed.iter();
        let options = assumed.map(|option| format!("{option} '{}'", self.get(option)));
        options.collect()
    }

    fn example(&self, question: &Question) -> &'static str {
        question.examples[usize::from(self.get(UNITS) == "si")]
    }

    fn take(&mut self, question: &Question, given: &str) -> Result<(), CannotCheck> {
        let taken = (question.taken)(given.trim(), self);
        let taken = taken.map_err(|because| CannotCheck::StartFact {
            option: question.option,
            given: given.to_owned(),
            because,
            example: self.example(question),
        })?;
        self.known.insert(question.option, taken);
        Ok(())
    }

    fn of_options(given: &BTreeMap<&'static str, &str>) -> Result<Self, CannotCheck> {
        let mut facts = Self::default();
        let mut missing = Vec::new();
        for question in &QUESTIONS {
            if let Some(given) = given.get(question.option) {
                facts.take(question, given)?;
            } else if question.is_assumed {
                facts.take(question, facts.example(question))?;
                facts.assumed.push(question.option);
            } else if (question.is_asked)(&facts) && question.option != RATE {
                let example = facts.example(question);
                missing.push(format!("{} {}", question.option, shell_word(example)));
            }
        }
        if missing.is_empty() {
            Ok(facts)
        } else {
            Err(CannotCheck::StartMissing { missing })
        }
    }

    /// Asks until there is an answer that can be so; `answer` gives the next line, and none where there is no more.
    fn asked(
        given: &BTreeMap<&'static str, &str>,
        answer: &mut dyn FnMut(&str) -> Option<io::Result<String>>,
    ) -> Result<Self, CannotCheck> {
        let mut facts = Self::default();
        for question in &QUESTIONS {
            if let Some(given) = given.get(question.option) {
                facts.take(question, given)?;
                continue;
            }
            if !(question.is_asked)(&facts) {
                continue;
            }
            let mut told = String::new();
            loop {
                let asked = format!("{told}{}", facts.worded(question));
                let line = match answer(&asked) {
                    Some(Ok(line)) => line,
                    Some(Err(error)) => {
                        return Err(CannotCheck::StartUnanswered {
                            option: question.option,
                            reason: reason(&error),
                        });
                    }
                    None => {
                        return Err(CannotCheck::StartUnanswered {
                            option: question.option,
                            reason: "the answers end here".to_owned(),
                        });
                    }
                };
                let line = line.trim();
                let taken = match (line, question.is_assumed) {
                    ("", true) => facts.example(question),
                    ("", false) if question.option == RATE => break,
                    (line, _) => line,
                };
                match facts.take(question, taken) {
                    Ok(()) => break,
                    Err(cannot) => told = format!("  {cannot}\n"),
                }
            }
        }
        Ok(facts)
    }

    fn worded(&self, question: &Question) -> String {
        let example = self.example(question);
        let hint = if question.is_assumed {
            format!("[{example}]")
        } else if question.option == RATE {
            format!("(such as {example}; nothing if it is not set)")
        } else {
            format!("(such as {example})")
        };
        format!("{}? {hint} ", question.words)
    }
}

/// What the options say.
fn given(arguments: &StartArguments) -> BTreeMap<&'static str, &str> {
    let StartArguments {
        folder: _,
        date: _,
        units,
        group,
        by,
        machine,
        sections,
        nozzles,
        spacing,
        control,
        speed_source,
        section_valves,
        setup,
        nozzle,
        pressure,
        speed,
        rate,
    } = arguments;
    let all = [
        (UNITS, units),
        (GROUP, group),
        (BY, by),
        (MACHINE, machine),
        (SECTIONS, sections),
        (NOZZLES, nozzles),
        (SPACING, spacing),
        (CONTROL, control),
        (SPEED_SOURCE, speed_source),
        (SECTION_VALVES, section_valves),
        (SETUP, setup),
        (NOZZLE, nozzle),
        (PRESSURE, pressure),
        (SPEED, speed),
        (RATE, rate),
    ];
    let given = all
        .into_iter()
        .filter_map(|(option, given)| Some((option, given.as_deref()?)));
    given.collect()
}

/// A value of an option as a shell takes it.
fn shell_word(value: &str) -> String {
    if value.contains(' ') {
        format!("'{value}'")
    } else {
        value.to_owned()
    }
}

fn one_of(text: &str, words: &[&str]) -> Result<String, String> {
    let text = text.to_ascii_lowercase();
    if words.contains(&text.as_str()) {
        return Ok(text);
    }
    Err(format!("it is {}", words::phrases::list(words, "or")))
}

/// Names of devices on some systems: no file there can be called so.
const DEVICES: [&str; 6] = ["con", "prn", "aux", "nul", "com", "lpt"];

/// A word that can name a file on every system and needs no quotes.
fn name(text: &str, most: usize) -> Result<String, String> {
    let is_letter = |byte: u8| byte.is_ascii_lowercase() || byte.is_ascii_digit() || byte == b'-';
    let begins = text
        .bytes()
        .next()
        .is_some_and(|byte| byte.is_ascii_lowercase());
    if !begins || !text.bytes().all(is_letter) {
        return Err("use small letters, digits, and hyphens, and begin with a letter".to_owned());
    }
    if text.len() > most {
        return Err(format!("use at most {most} characters"));
    }
    let stem = text.trim_end_matches(|letter: char| letter.is_ascii_digit());
    if DEVICES.contains(&stem) {
        return Err("some systems keep this name for a device".to_owned());
    }
    if ["y", "n", "yes", "no", "on", "off", "true", "false", "null"].contains(&text) {
        return Err("some readers of YAML take this word for yes, no, or nothing".to_owned());
    }
    Ok(text.to_owned())
}

/// The name of a group, which is text of a page too.
fn title(text: &str) -> Result<String, String> {
    let is_letter = |letter: char| letter.is_alphanumeric() || " '&.,()-".contains(letter);
    if text.is_empty() || !text.chars().all(is_letter) {
        return Err("use letters, digits, spaces, and ' & . , ( ) -".to_owned());
    }
    if text.chars().count() > 80 {
        return Err("use at most 80 characters".to_owned());
    }
    Ok(text.to_owned())
}

fn count(text: &str, most: u32) -> Result<u32, String> {
    let count = text.parse::<u32>().ok();
    let count = count.filter(|count| (1..=most).contains(count));
    count.ok_or_else(|| format!("write a whole number from 1 to {most}"))
}

/// One count for each section, with commas between.
fn nozzles(text: &str, facts: &Facts) -> Result<String, String> {
    let counts: Vec<u32> = text
        .split(',')
        .map(|count_of| count(count_of.trim(), MOST_NOZZLES))
        .collect::<Result<_, _>>()?;
    let sections: usize = facts.get(SECTIONS).parse().unwrap_or(counts.len());
    let counts = match counts.as_slice() {
        [one] => vec![*one; sections],
        _ if counts.len() == sections => counts,
        _ => {
            let (counts, sections) = (counts.len(), words::phrases::plural(sections, "section"));
            return Err(format!("{counts} numbers for {sections}"));
        }
    };
    if counts.iter().sum::<u32>() > MOST_NOZZLES {
        return Err(format!("no boom has more than {MOST_NOZZLES} nozzles"));
    }
    let counts: Vec<String> = counts.iter().map(u32::to_string).collect();
    Ok(counts.join(","))
}

fn quantity(text: &str, wanted: Dimension) -> Result<String, String> {
    let quantity = Quantity::parse(text, &[wanted]).map_err(|fault| fault.message().to_owned())?;
    if quantity.decimal.is_sign_negative() || quantity.decimal.is_zero() {
        return Err("it must be greater than 0".to_owned());
    }
    Ok(quantity.to_string())
}

/// A size, or a flow at a pressure, as a machine file has it.
fn nozzle(text: &str) -> Result<String, String> {
    if let Some((flow, pressure)) = text.split_once(" at ") {
        let flow = quantity(flow.trim(), Dimension::FLOW)?;
        let pressure = quantity(pressure.trim(), Dimension::PRESSURE)?;
        return Ok(format!("{{rated: {{flow: {flow}, pressure: {pressure}}}}}"));
    }
    let is_size = (2..=4).contains(&text.len()) && text.bytes().all(|byte| byte.is_ascii_digit());
    if is_size {
        return Ok(format!("{{size: \"{text}\"}}"));
    }
    Err("write the digits of its size, or such as 2.4 L/min at 3 bar".to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::VecDeque;

    #[test]
    fn each_question_is_asked_until_its_answer_can_be_so() {
        let answers = [
            "",
            "",
            "RM",
            "rm",
            "Sprayer 1",
            "con",
            "sprayer-1",
            "0",
            "2",
            "3,2,1",
            "3,2",
            "50",
            "50 cm",
            "both",
            "pressure",
            "gps",
            "shut-off",
            "greens",
            "8004x",
            "2.4 L/min at 3 bar",
            "2.5 bar",
            "6.8 km/h",
            "",
        ];
        let mut answers: VecDeque<&str> = answers.into();
        let mut asked = Vec::new();
        let facts = Facts::asked(&BTreeMap::new(), &mut |question| {
            asked.push(question.to_owned());
            Some(Ok(answers.pop_front()?.to_owned()))
        });
        let facts = facts.unwrap();
        assert!(answers.is_empty(), "{answers:?}");
        assert_eq!(asked.len(), 23);
        assert!(
            asked[3].starts_with("  `RM` cannot be --by: "),
            "{}",
            asked[3]
        );
        assert_eq!(facts.get(NOZZLES), "3,2");
        assert_eq!(
            facts.get(NOZZLE),
            "{rated: {flow: 2.4 L/min, pressure: 3 bar}}"
        );
        assert_eq!((facts.get(UNITS), facts.get(RATE)), ("us", ""));
        let cannot = Facts::asked(&BTreeMap::new(), &mut |_| None).unwrap_err();
        assert!(
            cannot.to_string().contains("the answers end here"),
            "{cannot}"
        );
    }

    #[test]
    fn an_example_answers_its_question() {
        for units in UNIT_SYSTEMS {
            let mut facts = Facts::default();
            facts.take(&QUESTIONS[0], units).unwrap();
            for question in &QUESTIONS[1..] {
                let example = facts.example(question);
                facts.take(question, example).unwrap();
            }
        }
    }
}
