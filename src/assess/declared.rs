//! What a machine file or a service record says that cannot be, beside what else is declared.

use crate::diagnostic::{Diagnostic, Label, Severity};
use crate::fleet::History;
use crate::record::Fleet;
use crate::record::machine::{Control, Machine, SpeedSource};
use crate::record::service::{Service, WorkDone};
use crate::source::{FileId, Place, Spanned};
use crate::words;

/// Courses of the machine that the fleet file does not declare, where it declares any.
///
/// A course that nobody declared has no limits and no intervals of its own: a slip of the pen would take them away.
pub(super) fn undeclared_courses(history: &History, fleet: Option<&Fleet>) -> Vec<Diagnostic> {
    let Some(fleet) = fleet.filter(|fleet| !fleet.courses.is_empty()) else {
        return Vec::new();
    };
    let machine_file = history.versions.first().map(|version| &version.machine);
    let of_machine_file = machine_file
        .and_then(|machine_file| Some((machine_file.file, machine_file.course.as_ref()?)));
    let moves = works(history).filter_map(|(service, done)| {
        let WorkDone::Moved(course) = done else {
            return None;
        };
        Some((service.file, course.as_ref()?))
    });
    let courses = of_machine_file.into_iter().chain(moves);
    courses
        .filter(|(_, course)| !fleet.courses.contains_key(&course.value))
        .map(|(file, course)| undeclared(history, fleet, file, course))
        .collect()
}

fn undeclared(
    history: &History,
    fleet: &Fleet,
    file: FileId,
    course: &Spanned<String>,
) -> Diagnostic {
    let message = format!("course `{}` is not in the fleet file", course.value);
    let names = fleet.courses.keys().map(String::as_str);
    let help = match words::spelling::nearest(&course.value, names) {
        Some(nearest) => format!("write `{nearest}`, if that course is meant"),
        None => "add it under courses in fleet.yaml".to_owned(),
    };
    let span = course.span;
    let label = Label::new(Place { file, span }, "");
    Diagnostic::new("unknown-course", Severity::Error, message, label)
        .help(help)
        .of_machine(history.id.clone())
}

/// Where a machine whose console holds the rate is said to have no speed source: it could not hold it.
pub(super) fn lacking_speed_sources(history: &History) -> Vec<Diagnostic> {
    let Some(machine_file) = history.versions.first().map(|version| &version.machine) else {
        return Vec::new();
    };
    let is_by_rate = |machine: &Machine| {
        machine
            .control
            .is_some_and(|control| control.value == Control::Flow)
    };
    if !is_by_rate(machine_file) {
        return Vec::new();
    }
    let of_machine_file = machine_file
        .speed_source
        .map(|source| (machine_file.file, source));
    let changes = works(history).filter_map(|(service, done)| {
        let WorkDone::SpeedSource(to) = done else {
            return None;
        };
        Some((service.file, (*to)?))
    });
    let sources = of_machine_file.into_iter().chain(changes);
    let lacking = sources.filter(|(_, source)| source.value == SpeedSource::None);
    let told = lacking.map(|(file, source)| {
        let span = source.span;
        let label = Label::new(Place { file, span }, "");
        let message = "control: flow needs a speed, but the machine has no speed source";
        Diagnostic::new("speed-source-lacking", Severity::Warning, message, label)
            .help("write the speed source that the console reads, or the control that the machine has")
            .of_machine(history.id.clone())
    });
    told.collect()
}

fn works(history: &History) -> impl Iterator<Item = (&Service, &WorkDone)> {
    let services = history.services.iter();
    services.flat_map(|service| {
        service
            .work
            .iter()
            .map(move |work| (&**service, &work.done))
    })
}
