//! Which work on a machine changes what its records are judged by.

use super::super::history;
use super::super::texts::Texts;
use super::direction::Direction;
use super::settings::Setting;
use crate::fleet::machine_after;
use crate::record::machine::{Machine, Rated, Setup};
use crate::record::service::{Service, Work, WorkDone};
use crate::source::{FileId, Span, Spanned};
use crate::tree::{MachineFiles, Reader};
use crate::words;
use jiff::civil::Date;
use std::fmt::Display;

/// What each piece of work changed, in order; and the days of the visits.
pub(super) struct WorkOf {
    pub(super) changes: Vec<(FileId, Setting)>,
    pub(super) services: Vec<(FileId, Span, Date)>,
    pub(super) last_visit: Option<Date>,
}

/// One value before and after a piece of work.
struct Change {
    what: String,
    was: Option<String>,
    is: Option<String>,
    direction: Direction,
}

/// What the work on a machine changed of what its records are judged by.
pub(super) fn of_work(reader: &Reader<'_>, files: &MachineFiles, today: Date) -> WorkOf {
    let history = history::read(reader, files, today, &mut Texts::default());
    let mut all = WorkOf {
        changes: Vec::new(),
        services: Vec::new(),
        last_visit: None,
    };
    let visits = history.calibrations.iter();
    all.last_visit = visits
        .filter_map(|visit| Some(visit.date?.value))
        .filter(|day| *day <= today)
        .max();
    for service in &history.services {
        let heading = service.work.first().map_or(service.span, |work| work.span);
        all.services
            .extend(service.date.map(|day| (service.file, heading, day.value)));
    }
    let Some(machine_file) = history.versions.into_iter().next() else {
        return all;
    };
    let mut machine = machine_file.machine;
    for service in &history.services {
        for work in &service.work {
            let after = machine_after(&machine, work, service.file);
            let changes = changes(&machine, after.as_ref().unwrap_or(&machine), work);
            let settings = changes.into_iter().filter(|one| one.was != one.is);
            let settings = settings.map(|one| Setting {
                what: one.what,
                was: one.was,
                is: one.is,
                span: Some(work.span),
                because: Some(entered_by(service, work)),
                direction: one.direction,
            });
            all.changes
                .extend(settings.map(|setting| (service.file, setting)));
            if let Some(after) = after {
                machine = after;
            }
        }
    }
    all
}

/// Who entered a piece of work, and for which day.
fn entered_by(service: &Service, work: &Work) -> String {
    let by = service.by.as_ref().map_or("", |by| by.value.as_str());
    let on = service.date.map(|date| words::dates::date(date.value));
    format!(
        "{} on {}, entered by {}",
        work.done.word(),
        on.unwrap_or_else(|| "an unknown day".to_owned()),
        words::phrases::name(by),
    )
}

/// Every value that a piece of work may change and records are judged by.
fn changes(before: &Machine, after: &Machine, work: &Work) -> Vec<Change> {
    let open = |what: &str, was: Option<String>, is: Option<String>| Change {
        what: what.to_owned(),
        was,
        is,
        direction: Direction::Open,
    };
    match &work.done {
        WorkDone::NozzlesFitted(_) | WorkDone::Setup(_) => {
            let pairs = before.setups.iter().zip(&after.setups);
            pairs.flat_map(|(was, is)| of_setup(was, is)).collect()
        }
        WorkDone::Console { .. } => {
            let (was, is) = (&before.console, &after.console);
            let factor = |what, was: Option<_>, is: Option<_>| open(what, text(was), text(is));
            let unit = |unit: Option<Spanned<_>>| unit.map(|unit| unit.value);
            vec![
                factor(
                    "console flow-factor",
                    unit(was.flow_factor),
                    unit(is.flow_factor),
                ),
                factor(
                    "console speed-factor",
                    unit(was.speed_factor),
                    unit(is.speed_factor),
                ),
            ]
        }
        WorkDone::SpeedSource(_) => {
            let word = |machine: &Machine| Some(machine.speed_source?.value.word().to_owned());
            vec![open("speed-source", word(before), word(after))]
        }
        WorkDone::HourMeter {
            before: was,
            after: is,
        } => {
            let read = |read: Option<crate::source::Placed<_>>| text(read.map(|read| read.value));
            vec![open("hour meter", read(*was), read(*is))]
        }
        WorkDone::Spacing(_) => {
            let spacing = |machine: &Machine| text(machine.boom.spacing.map(|one| one.value));
            vec![open("boom spacing", spacing(before), spacing(after))]
        }
        WorkDone::EnteredWidths(_) => {
            let pairs = before.boom.sections.iter().zip(&after.boom.sections);
            let widths = pairs.map(|(was, is)| {
                let name = is.name.as_ref().map_or("", |name| name.value.as_str());
                let what = format!("{} entered-width", words::phrases::name(name));
                let width = |width: Option<crate::source::Placed<_>>| text(width.map(|w| w.value));
                open(&what, width(was.entered_width), width(is.entered_width))
            });
            widths.collect()
        }
        WorkDone::Moved(_) => {
            let course = |machine: &Machine| Some(machine.course.as_ref()?.value.clone());
            vec![open("course", course(before), course(after))]
        }
        WorkDone::OutOfService => {
            let word = |machine: &Machine| match machine.out_of_service {
                Some(_) => "out of service".to_owned(),
                None => "in service".to_owned(),
            };
            vec![Change {
                what: "machine".to_owned(),
                was: Some(word(before)),
                is: Some(word(after)),
                direction: Direction::Less,
            }]
        }
        WorkDone::Tires(_)
        | WorkDone::SectionValve(_)
        | WorkDone::FlowMeter
        | WorkDone::Pump
        | WorkDone::Regulator
        | WorkDone::Hose => Vec::new(),
    }
}

fn of_setup(was: &Setup, is: &Setup) -> Vec<Change> {
    let name = words::phrases::name(&is.name.value).into_owned();
    let open = |key: &str, was: Option<String>, is: Option<String>| Change {
        what: format!("setup {name} {key}"),
        was,
        is,
        direction: Direction::Open,
    };
    let placed = |one: Option<crate::source::Placed<_>>| text(one.map(|one| one.value));
    let factor = |one: Option<crate::source::Placed<_>>| text(one.map(|one| one.value));
    vec![
        open(
            "nozzle",
            was.rated.as_ref().map(rating),
            is.rated.as_ref().map(rating),
        ),
        open("pressure", placed(was.pressure), placed(is.pressure)),
        open("speed", placed(was.speed), placed(is.speed)),
        open("rate", placed(was.rate), placed(is.rate)),
        open("density", placed(was.density), placed(is.density)),
        open(
            "density-factor",
            factor(was.density_factor),
            factor(is.density_factor),
        ),
    ]
}

fn rating(rated: &Rated) -> String {
    format!("{} at {}", rated.flow.value, rated.pressure.value)
}

fn text<T: Display>(value: Option<T>) -> Option<String> {
    value.map(|value| value.to_string())
}
