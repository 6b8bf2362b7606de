//! The text of the record of a visit, line by line, and where each value stands in it.

use super::entered::Entered;
use super::form::{Entry, Field, Form, Part, ROUNDS};
use super::typed::MISSED;
use super::{known, scalar};
use crate::procedure::{Step, ZERO_THE_SCALE};
use crate::wording::visit;
use crate::words;
use crate::words::phrases::capitalized;
use jiff::civil::Date;
use std::collections::BTreeMap;
use std::ops::Range;

/// How much of a visit a record holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Extent<'a> {
    /// A record to fill in: each reading empty, its target beside it.
    Begun {
        /// Whether steps that are not due are in it; all are where none is due.
        all: bool,
        /// The schema that an editor is to read, as a path from the record.
        schema: Option<&'a str>,
    },
    /// The tests that were begun; what is empty in them is not filled in.
    Record,
    /// As much as can be judged while a test is being made: nozzles that are not caught yet are left out.
    SoFar,
}

/// The text of a record, and where its values stand.
#[derive(Debug, Clone, Default)]
pub struct Written {
    /// The text.
    pub text: String,
    /// The bytes of each value that stands in it, by the name of the value.
    pub places: BTreeMap<String, Range<usize>>,
}

/// Where the record of a visit goes, from the records' root.
pub fn record_path(machine: &str, day: Date) -> String {
    format!("calibrations/{machine}/{}.yaml", words::dates::date(day))
}

/// The record of a visit with what was typed of it.
pub fn text(form: &Form, entered: &Entered, extent: Extent<'_>) -> Written {
    let mut writing = Writing {
        form,
        entered,
        extent,
        out: Written::default(),
    };
    writing.visit();
    for part in &form.parts {
        match part.step {
            Some(Step::Catch) if writing.has(part) => writing.catches(part),
            Some(Step::Flow) if writing.has(part) => writing.meter_tests(part),
            Some(Step::Speed) if writing.has(part) => writing.speed_tests(part),
            Some(Step::Balance) if writing.has(part) => writing.balance(),
            Some(Step::Catch | Step::Flow | Step::Speed | Step::Balance) | None => {}
        }
    }
    writing.out
}

/// A comment stands behind so many characters.
const COMMENT_AT: usize = 28;

struct Writing<'a> {
    form: &'a Form,
    entered: &'a Entered,
    extent: Extent<'a>,
    out: Written,
}

impl Writing<'_> {
    fn is_begun(&self) -> bool {
        matches!(self.extent, Extent::Begun { .. })
    }

    /// Whether the tests of a step are in the record.
    fn has(&self, part: &Part) -> bool {
        match self.extent {
            Extent::Begun { all, .. } => self.form.is_asked(part, self.entered, all),
            Extent::Record | Extent::SoFar => {
                let mut rounds = 0..ROUNDS;
                rounds.any(|round| self.is_made(part, round))
            }
        }
    }

    /// Whether anything of a round was typed.
    fn is_made(&self, part: &Part, round: usize) -> bool {
        let of_round = part
            .entries
            .iter()
            .filter(|entry| entry.field.round().unwrap_or(0) == round);
        let mut own = of_round.filter(|entry| !matches!(entry.field, Field::Visit(_)));
        own.any(|entry| self.entered.typed(&entry.key).is_some())
    }

    fn rounds(&self, part: &Part) -> Vec<usize> {
        let is_in = |round: &usize| {
            let is_first = *round == 0;
            self.is_made(part, *round) || (self.is_begun() && is_first)
        };
        (0..ROUNDS).filter(is_in).collect()
    }

    fn push(&mut self, text: &str) {
        self.out.text.push_str(text);
    }

    fn line(&mut self, line: &str) {
        self.push(line);
        self.push("\n");
    }

    /// What the record says for a value.
    fn value(&self, entry: &Entry) -> Option<String> {
        self.entered.value(self.form, entry)
    }

    /// A value where the text stands, and where that is.
    fn put(&mut self, entry: &Entry, value: &str) {
        let start = self.out.text.len();
        self.push(value);
        self.out
            .places
            .insert(entry.key.clone(), start..self.out.text.len());
    }

    /// A value behind its key on a line of its own; an empty one as far as the record has such.
    fn pair(&mut self, lead: &str, field: Field) {
        let Some(entry) = self.form.at(field) else {
            return;
        };
        let key = key_of(field);
        match self.value(entry) {
            Some(value) => {
                self.push(&format!("{lead}{key}: "));
                self.put(entry, &value);
                self.line("");
            }
            None if self.is_begun() && !entry.hint.is_empty() => {
                let lead = format!("{lead}{key}:");
                let line = format!("{lead:<COMMENT_AT$}# {}", entry.hint);
                self.line(&line);
            }
            None if !entry.is_optional => self.line(&format!("{lead}{key}:")),
            None => {}
        }
    }

    /// The first value of a list's item stands behind the dash.
    fn pairs(&mut self, first_lead: &str, lead: &str, fields: &[Field]) {
        let start = self.out.text.len();
        for field in fields {
            let is_first = self.out.text.len() == start;
            self.pair(if is_first { first_lead } else { lead }, *field);
        }
    }

    fn comment(&mut self, indent: &str, comment: &str) {
        if self.is_begun() {
            self.line(&format!("{indent}# {comment}"));
        }
    }

    fn visit(&mut self) {
        if let Extent::Begun { schema, .. } = self.extent {
            if let Some(schema) = schema {
                self.line(&format!("# yaml-language-server: $schema={schema}"));
            }
            self.line("# Fill in what you read, in place of ~ and behind each colon. What stays empty is not filled in:");
            self.line("# its test does not count. Take out a line or a test that you do not do.");
        }
        self.line("record: calibration");
        self.line(&format!("machine: {}", scalar(&self.form.machine)));
        self.line(&format!("date: {}", words::dates::date(self.form.day)));
        self.pair("", Field::Visit("by"));
        if self.form.names_setup {
            self.line(&format!("setup: {}", scalar(&self.form.setup.name)));
        }
        self.pair("", Field::Visit("hours"));
        let told = self.form.entries().any(|entry| {
            matches!(entry.field, Field::Preparation(_)) && self.value(entry).is_some()
        });
        if told || self.is_begun() {
            self.line("preparation:");
            for key in ["rinsed", "neutralized", "liquid", "protective-gear"] {
                self.pair("  ", Field::Preparation(key));
            }
        }
        if !self.is_begun() {
            self.pair("", Field::Visit("boom-end-pressure"));
        }
    }

    fn catches(&mut self, part: &Part) {
        self.line("catch-tests:");
        if let Some(target) = &part.target {
            self.comment("  ", &format!("Target: {target}."));
        }
        self.comment("  ", &visit::write_missed());
        let is_part = |entry: &Entry| matches!(entry.field, Field::Nozzle { round: 0, .. } if entry.is_optional);
        if part.entries.iter().any(is_part) {
            self.comment("  ", visit::SOME_NOZZLES_DO);
        }
        if self.form.is_weighed() {
            self.comment("  ", &(capitalized(ZERO_THE_SCALE) + "."));
        }
        for round in self.rounds(part) {
            let keys = [
                "pressure", "duration", "jug", "scale", "gauge", "watch", "unit",
            ];
            let fields = keys.map(|key| Field::Catch(round, key));
            self.pairs("  - ", "    ", &fields);
            self.caught(part, round);
        }
    }

    fn caught(&mut self, part: &Part, round: usize) {
        let nozzles: Vec<&Entry> = part
            .entries
            .iter()
            .filter(|entry| matches!(entry.field, Field::Nozzle { round: of, .. } if of == round))
            .collect();
        // A boom whose sections have no names takes one list of all nozzles.
        let is_named = self
            .form
            .sections
            .iter()
            .all(|section| section.name.is_some());
        if !is_named {
            self.comment("    ", "Left to right from the seat, facing forward.");
            self.push("    caught: ");
            let is_partial = self.is_partial(round, &nozzles);
            self.list(&nozzles, if is_partial { MISSED } else { "~" });
            self.line("");
            return;
        }
        if self.is_begun() {
            self.line("    caught:                 # left to right from the seat, facing forward");
        } else {
            self.line("    caught:");
        }
        for (at, section) in self.form.sections.iter().enumerate() {
            let of_section: Vec<&Entry> = nozzles
                .iter()
                .copied()
                .filter(
                    |entry| matches!(entry.field, Field::Nozzle { section, .. } if section == at),
                )
                .collect();
            let name = scalar(section.name.as_deref().unwrap_or_default());
            if !self.is_partial(round, &of_section) {
                self.push(&format!("      {name}: "));
                self.list(&of_section, "~");
                self.line("");
            } else if of_section.iter().any(|entry| self.is_named(entry)) {
                self.push(&format!("      {name}: {{"));
                self.positions(&of_section);
                self.line("}");
            }
        }
    }

    /// Whether only some nozzles are named: those that were caught again, or so far, or that are enough.
    fn is_partial(&self, round: usize, nozzles: &[&Entry]) -> bool {
        let mut unread = nozzles.iter().filter(|entry| self.value(entry).is_none());
        match self.extent {
            Extent::Begun { all, .. } => !all && nozzles.iter().any(|entry| entry.is_optional),
            Extent::SoFar => unread.next().is_some(),
            Extent::Record if 0 < round => unread.next().is_some(),
            Extent::Record => {
                let mut unread = unread.peekable();
                unread.peek().is_some() && unread.all(|entry| entry.is_optional)
            }
        }
    }

    /// Whether a nozzle is named where only some are.
    fn is_named(&self, nozzle: &Entry) -> bool {
        self.value(nozzle).is_some() || (self.is_begun() && !nozzle.is_optional)
    }

    /// A list of readings with something in the place of each that is not read.
    fn list(&mut self, entries: &[&Entry], unread: &str) {
        self.push("[");
        for (at, entry) in entries.iter().enumerate() {
            if 0 < at {
                self.push(", ");
            }
            match self.value(entry) {
                Some(value) => self.put(entry, &value),
                None => self.push(unread),
            }
        }
        self.push("]");
    }

    /// The readings there are, by position in their section.
    fn positions(&mut self, entries: &[&Entry]) {
        let mut is_first = true;
        let named: Vec<&&Entry> = entries
            .iter()
            .filter(|entry| self.is_named(entry))
            .collect();
        for entry in named {
            let Field::Nozzle { position, .. } = entry.field else {
                continue;
            };
            let comma = if is_first { "" } else { ", " };
            is_first = false;
            self.push(&format!("{comma}{position}: "));
            match self.value(entry) {
                Some(value) => self.put(entry, &value),
                None => self.push("~"),
            }
        }
    }

    fn meter_tests(&mut self, part: &Part) {
        self.line("meter-tests:");
        if let Some(aim) = &part.target {
            self.comment("  ", &format!("Now in the console: {aim}."));
        }
        for round in self.rounds(part) {
            let keys = ["known-volume", "known-by", "duration", "shown"];
            let fields = keys.map(|key| Field::Meter(round, key));
            self.pairs("  - ", "    ", &fields);
            self.factor([Field::Meter(round, "before"), Field::Meter(round, "after")]);
        }
        self.factor_comment("flow", part);
    }

    fn factor_comment(&mut self, name: &str, part: &Part) {
        let last = part.factor.as_ref().and_then(|factor| factor.last.clone());
        let comment = match last {
            Some(last) => format!(
                "If you correct the {name} factor, write what you enter: factor: {{before: {last}, after: }}. Then test again, as one more entry."
            ),
            None => format!(
                "If you correct the {name} factor, add: factor: {{before: , after: }}. Then test again, as one more entry."
            ),
        };
        self.comment("    ", &comment);
    }

    /// The factor that the test was made with and the one that was entered after it, as far as they are known.
    fn factor(&mut self, fields: [Field; 2]) {
        let [before, after] = fields.map(|field| self.form.at(field));
        let mut known = [before, after].into_iter().flatten();
        // By hand the line is added where the factor is corrected and nobody knows what it was.
        if known.find_map(|entry| self.value(entry)).is_none() {
            return;
        }
        self.push("    factor: {");
        let mut is_first = true;
        for (key, entry) in [("before", before), ("after", after)] {
            let Some((entry, value)) = entry.and_then(|entry| Some((entry, self.value(entry)?)))
            else {
                continue;
            };
            let comma = if is_first { "" } else { ", " };
            is_first = false;
            self.push(&format!("{comma}{key}: "));
            self.put(entry, &value);
        }
        self.line("}");
    }

    fn speed_tests(&mut self, part: &Part) {
        self.line("speed-tests:");
        if let Some(aim) = &part.target {
            self.comment("  ", &format!("Now in the console: {aim}."));
        }
        let speed = self.form.setup.speed.as_deref();
        // Of the course that the record has; of 100 where nobody knows which is driven.
        let course = self.form.at(Field::Speed(0, "distance"));
        let course = course.and_then(|entry| self.value(entry));
        let elapsed = self.form.at(Field::Run(0, 0, "elapsed"));
        let aim = elapsed.and_then(|entry| entry.aim);
        let known = course.zip(aim.map(|aim| format!("{} s", aim.target_shown())));
        if let Some((speed, (length, time))) =
            speed.and_then(|speed| Some((speed, known.or_else(|| known::time_of_a_course(speed))?)))
        {
            self.comment(
                "  ",
                &format!("Target: {speed}, which is {time} for {length}."),
            );
        }
        for round in self.rounds(part) {
            let keys = ["distance", "surface", "tank", "measured-by", "watch"];
            let fields = keys.map(|key| Field::Speed(round, key));
            self.pairs("  - ", "    ", &fields);
            self.runs(part, round);
            if !part.is_driven {
                self.factor([Field::Speed(round, "before"), Field::Speed(round, "after")]);
            }
        }
        if !part.is_driven {
            self.factor_comment("speed", part);
        }
    }

    fn runs(&mut self, part: &Part, round: usize) {
        self.line("    runs:");
        let fields = |run| ["elapsed", "shown"].map(|key| Field::Run(round, run, key));
        let is_made = |writing: &Self, run: usize| {
            fields(run).iter().any(|field| {
                let entry = writing.form.at(*field);
                entry.is_some_and(|entry| writing.value(entry).is_some())
            })
        };
        let count = self.form.runs();
        let is_any = (0..count).any(|run| is_made(self, run));
        for run in 0..count {
            if is_any && !is_made(self, run) {
                continue;
            }
            self.push("      - {");
            self.flow_pairs(&fields(run));
            self.push("}");
            let comment = match run {
                0 if !self.is_begun() => "",
                0 if part.is_driven => "   # the time by stopwatch",
                0 => {
                    "   # the time by stopwatch, and the distance or the speed that the console shows"
                }
                _ => "",
            };
            self.line(comment);
        }
    }

    /// Values with their keys on one line; optional ones only where they are there.
    fn flow_pairs(&mut self, fields: &[Field]) {
        let mut is_first = true;
        for field in fields {
            let Some(entry) = self.form.at(*field) else {
                continue;
            };
            let value = self.value(entry);
            let is_left_out = entry.is_optional && entry.field.round().unwrap_or(0) == 0;
            if value.is_none() && is_left_out {
                continue;
            }
            let comma = if is_first { "" } else { ", " };
            is_first = false;
            let key = key_of(*field);
            self.push(&format!("{comma}{key}: "));
            if let Some(value) = value {
                self.put(entry, &value);
            }
        }
    }

    fn balance(&mut self) {
        self.line("section-balance:");
        for key in ["entered-speed", "rate-control", "all-on"] {
            self.pair("  ", Field::Balance(key));
        }
        let comment = "Target with a section off: the same as with all on. If you set its bypass, add as-left.";
        self.comment("  ", comment);
        self.line("  sections-off:");
        let fields = |at| ["as-found", "as-left"].map(|key| Field::Off(at, key));
        let is_made = |writing: &Self, at: usize| {
            fields(at).iter().any(|field| {
                let entry = writing.form.at(*field);
                entry.is_some_and(|entry| writing.value(entry).is_some())
            })
        };
        let count = self.form.sections.len();
        let is_any = (0..count).any(|at| is_made(self, at));
        for (at, section) in self.form.sections.iter().enumerate() {
            let Some(name) = &section.name else {
                continue;
            };
            if is_any && !is_made(self, at) {
                continue;
            }
            self.push(&format!("    - {{sections: [{}], ", scalar(name)));
            self.flow_pairs(&fields(at));
            self.line("}");
        }
    }
}

/// The key of a value in its record.
pub(super) const fn key_of(field: Field) -> &'static str {
    match field {
        Field::Visit(key)
        | Field::Preparation(key)
        | Field::Balance(key)
        | Field::Off(_, key)
        | Field::Catch(_, key)
        | Field::Meter(_, key)
        | Field::Speed(_, key)
        | Field::Run(_, _, key) => key,
        Field::Nozzle { .. } => "caught",
    }
}
