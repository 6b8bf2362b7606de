//! The nightly list as a calendar (RFC 5545), one event a step.
//!
//! Knows no clock: the day of the list is the stamp, so that two runs of one day give the same bytes.
//! Holds the steps alone; whoever asks for it is told the rest elsewhere.

use crate::render::due::wording;
use crate::render::format::Format;
use crate::render::harmless::begins_like_a_command;
use crate::render::{Harmless, clean};
use crate::report::{DueBy, DueList, DueState, DueStep};
use crate::words::dates;
use jiff::civil::Date;
use sha1_smol::Sha1;

/// Octets of a line at most, without its end (RFC 5545, 3.1).
const LINE: usize = 75;

/// What our names are unique in (RFC 9562, 5.5); drawn once, and never to change.
const NAMESPACE: u128 = 0x94aa_93ed_7964_4eb3_9cb4_5022_666d_eb30;

/// The format.
pub(super) static FORMAT: Format<DueList> = Format {
    name: "ics",
    about: "A calendar (iCalendar), one event per step",
    write: |made, _| due_calendar(made),
    leaves_out: super::due_not_told,
};

/// The list as a calendar to subscribe to.
pub fn due_calendar(due: &DueList) -> Harmless {
    let mut calendar = Calendar::default();
    calendar.line("BEGIN", "VCALENDAR");
    calendar.line("VERSION", "2.0");
    calendar.line("PRODID", "-//swathlint//due//EN");
    calendar.line("NAME", "Sprayer calibration"); // RFC 7986, 5.1
    if due.steps.is_empty() {
        calendar.no_event();
    }
    for step in &due.steps {
        calendar.event(step, due);
    }
    calendar.line("END", "VCALENDAR");
    Harmless::calendar(&calendar.out)
}

/// The lines of a calendar, folded.
#[derive(Debug, Default)]
struct Calendar {
    out: String,
}

impl Calendar {
    fn event(&mut self, step: &DueStep, due: &DueList) {
        let mut summary = format!(
            "{}: {} {}",
            step.machine,
            wording::name(step),
            step.state.word()
        );
        if step.state.forbids_spraying() {
            summary.push_str(", ");
            summary.push_str(wording::NOT_READY);
        }
        let summary = text(&summary);
        self.line("BEGIN", "VEVENT");
        self.line("UID", &identity(step));
        self.line("DTSTAMP", &format!("{}T000000Z", day(due.today)));
        let start = start(step, due.today);
        self.line("DTSTART;VALUE=DATE", &day(start));
        self.line("SEQUENCE", &sequence(due).to_string());
        self.line("SUMMARY", &summary);
        self.line("DESCRIPTION", &description(step, due));
        if let Some(course) = &step.course {
            self.line("LOCATION", &text(course));
        }
        self.line("STATUS", status(step));
        self.line("TRANSP", "TRANSPARENT");
        self.line("BEGIN", "VALARM");
        self.line("ACTION", "DISPLAY");
        self.line("DESCRIPTION", &summary);
        self.line("TRIGGER", trigger(start, due.today));
        self.line("END", "VALARM");
        self.line("END", "VEVENT");
    }

    /// A calendar must hold something (RFC 5545, 3.6), and a time zone is shown nowhere.
    fn no_event(&mut self) {
        self.line("BEGIN", "VTIMEZONE");
        self.line("TZID", "Etc/UTC");
        self.line("BEGIN", "STANDARD");
        self.line("DTSTART", "19700101T000000");
        self.line("TZOFFSETFROM", "+0000");
        self.line("TZOFFSETTO", "+0000");
        self.line("END", "STANDARD");
        self.line("END", "VTIMEZONE");
    }

    /// Adds a line, folded between characters; the space that continues it counts.
    fn line(&mut self, name: &str, value: &str) {
        let line = format!("{name}:{value}");
        let (mut rest, mut room) = (line.as_str(), LINE);
        while rest.len() > room {
            let (head, tail) = rest.split_at(fold(rest, room));
            self.out.push_str(head);
            self.out.push_str("\r\n ");
            (rest, room) = (tail, LINE - 1);
        }
        self.out.push_str(rest);
        self.out.push_str("\r\n");
    }
}

/// The day of an event: what is due already is to be done on the day of the list.
fn start(step: &DueStep, today: Date) -> Date {
    match step.state {
        DueState::ComingDue => step.due.map_or(today, |due| due.max(today)),
        DueState::NeverDone
        | DueState::Void
        | DueState::Failing
        | DueState::RecordToCorrect
        | DueState::Overdue
        | DueState::Recheck
        | DueState::Waived => today,
    }
}

/// When the alarm rings, against the midnight that an event begins with: at 8 in the morning, a week before or on the day.
///
/// A list is made before that hour, so that the alarm of its own day still rings.
fn trigger(start: Date, today: Date) -> &'static str {
    const A_WEEK: i32 = 7;
    if (start - today).get_days() < A_WEEK {
        "PT8H"
    } else {
        "-P6DT16H"
    }
}

/// Why, since when, who waived it, the interval, what to bring, what to take care of and where it says so, a line each.
fn description(step: &DueStep, due: &DueList) -> String {
    let mut lines = vec![step.because.clone()];
    // The event is on the day of the list where the step was due before.
    lines.extend(wording::when(step, due));
    lines.extend(step.to_do.iter().map(|to_do| format!("do: {to_do}")));
    lines.extend(
        step.waived
            .iter()
            .map(|waiver| format!("waived: {}", wording::waived(waiver, ToOwned::to_owned))),
    );
    lines.push(format!(
        "made due by: {}",
        wording::made_due_by(step, ToOwned::to_owned)
    ));
    if !step.bring.is_empty() {
        lines.push(format!("bring: {}", step.bring.join(", ")));
    }
    lines.extend(step.target.iter().map(|target| format!("target: {target}")));
    let cautions = wording::cautions(step, due);
    lines.push(format!("caution: {}", cautions.join("; ")));
    if let Some(at) = &step.at {
        lines.push(format!("at {}:{}:{}", at.path, at.line, at.column));
    }
    let lines: Vec<String> = lines.iter().map(|line| text(line)).collect();
    lines.join("\\n")
}

/// The same for a step of a machine whenever it is due; the lengths keep names from running into each other.
fn identity(step: &DueStep) -> String {
    let setup = step.setup.as_ref().or(step.only_setup.as_ref());
    let setup = setup.map_or("", String::as_str);
    let (machine, step) = (&step.machine, step.step);
    let name = format!(
        "{}:{machine},{}:{setup},{}:{step}",
        machine.len(),
        setup.len(),
        step.len()
    );
    unique(NAMESPACE, &name)
}

/// The identifier of a name, from its hash within a namespace (RFC 9562, 5.5).
fn unique(namespace: u128, name: &str) -> String {
    let mut hash = Sha1::new();
    hash.update(&namespace.to_be_bytes());
    hash.update(name.as_bytes());
    let digest = hash.digest().bytes();
    let bits = digest[..16]
        .iter()
        .fold(0, |bits, byte| bits << 8 | u128::from(*byte));
    let version = 5 << 76 | bits & !(0xf << 76);
    let variant = 0b10 << 62 | version & !(0b11 << 62);
    let digits = format!("{variant:032x}");
    let parts = [0..8, 8..12, 12..16, 16..20, 20..32].map(|part| &digits[part]);
    parts.join("-")
}

/// The number of the edition, as far as calendars can count (RFC 5545, 3.8.7.4).
fn sequence(due: &DueList) -> i32 {
    i32::try_from(due.sequence).unwrap_or(i32::MAX)
}

/// A day worked out from hours or applications to come is a forecast; any other is certain.
const fn status(step: &DueStep) -> &'static str {
    match (step.state, step.by) {
        (DueState::ComingDue, DueBy::Hours | DueBy::Applications) => "TENTATIVE",
        (
            DueState::NeverDone
            | DueState::Void
            | DueState::Failing
            | DueState::RecordToCorrect
            | DueState::Overdue
            | DueState::Recheck
            | DueState::ComingDue
            | DueState::Waived,
            DueBy::Calendar
            | DueBy::Hours
            | DueBy::Applications
            | DueBy::Work
            | DueBy::Finding
            | DueBy::Nothing,
        ) => "CONFIRMED",
    }
}

fn day(day: Date) -> String {
    dates::date(day).replace('-', "")
}

/// Where to fold a line: as far behind as there is room, but where what follows would begin like a command to a log.
fn fold(line: &str, room: usize) -> usize {
    let last = line.floor_char_boundary(room);
    let is_fit = |&at: &usize| line.is_char_boundary(at) && !begins_like_a_command(&line[at..]);
    (1..=last).rev().find(is_fit).unwrap_or(last)
}

/// A text as a value (RFC 5545, 3.3.11).
fn text(raw: &str) -> String {
    let mut escaped = String::with_capacity(raw.len());
    for letter in clean::text(raw).chars() {
        if matches!(letter, '\\' | ';' | ',') {
            escaped.push('\\');
        }
        escaped.push(letter);
    }
    escaped
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The example of RFC 9562, A.4, in the namespace of its appendix.
    #[test]
    fn a_name_has_the_identifier_that_the_standard_gives_it() {
        let domains = 0x6ba7_b810_9dad_11d1_80b4_00c0_4fd4_30c8;
        assert_eq!(
            unique(domains, "www.example.com"),
            "2ed6657d-e927-568b-95e1-2665a8aea6a2"
        );
    }
}
