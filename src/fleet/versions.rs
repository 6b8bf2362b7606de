//! The machine as it was from each piece of work on: the machine file, changed by service records.

use super::{Event, HourMeters, Layout, Moment};
use crate::diagnostic::{Diagnostic, Label, Severity};
use crate::record::machine::{Machine, Setup};
use crate::record::service::{Service, SetupChange, Work, WorkDone};
use crate::source::{FileId, Place, Span, Spanned};
use crate::words;
use std::sync::Arc;

/// A machine as it was from a moment on; the first holds before its moment too.
#[derive(Debug)]
pub struct Version {
    /// From when; none for the machine file.
    pub from: Option<Moment>,
    /// The machine.
    pub machine: Machine,
}

/// The machine file and what service records, earliest first, made of it; what they name and the machine does
/// not have is told in `problems`.
pub fn versions(
    machine_file: Machine,
    services: &[Arc<Service>],
    hour_meters: &HourMeters,
    problems: &mut Vec<Diagnostic>,
) -> Vec<Version> {
    let mut versions = vec![Version {
        from: None,
        machine: machine_file,
    }];
    for service in services {
        let Some(date) = service.date else {
            continue; // It has a finding, and no place in time.
        };
        let Some(last) = versions.last() else {
            continue; // There is always the machine file.
        };
        let mut changed: Option<Machine> = None;
        for work in &service.work {
            let as_it_was = changed.as_ref().unwrap_or(&last.machine);
            problems.extend(unknown_names(service, work, as_it_was));
            if let Some(machine) = machine_after(as_it_was, work, service.file) {
                changed = Some(machine);
            }
        }
        if let Some(machine) = changed {
            let hours = service.hours.as_ref();
            let from = hour_meters.moment(date.value, service.file, hours, Event::Service);
            versions.push(Version {
                from: Some(from),
                machine,
            });
        }
    }
    versions
}

/// The machine after a piece of work; none where it is the same.
pub fn machine_after(machine: &Machine, work: &Work, file: FileId) -> Option<Machine> {
    let mut machine = machine.clone();
    match &work.done {
        WorkDone::NozzlesFitted(fitted) => {
            // One tip among others does not change what the set is rated.
            let rated = fitted.rated.clone().filter(|_| fitted.at.is_empty())?;
            setup_of(&mut machine, fitted.setup.as_ref())?.rated = Some(rated);
        }
        WorkDone::Console {
            flow_factor,
            speed_factor,
        } => {
            let console = &mut machine.console;
            console.flow_factor = flow_factor.or(console.flow_factor);
            console.speed_factor = speed_factor.or(console.speed_factor);
        }
        WorkDone::SpeedSource(to) => machine.speed_source = Some((*to)?),
        WorkDone::Spacing(to) => Arc::make_mut(&mut machine.boom).spacing = Some((*to)?),
        WorkDone::EnteredWidths(widths) => {
            for (name, width) in widths {
                let mut sections = Arc::make_mut(&mut machine.boom).sections.iter_mut();
                let named = |name: Option<&Spanned<String>>| name.map(|name| name.value.clone());
                let wanted = Some(name.value.clone());
                if let Some(section) = sections.find(|s| named(s.name.as_ref()) == wanted) {
                    section.entered_width = Some(*width);
                }
            }
        }
        WorkDone::Setup(change) => change_setup(&mut machine, change)?,
        WorkDone::Moved(course) => machine.course = Some(course.clone()?),
        WorkDone::OutOfService => {
            machine.out_of_service = Some(Place {
                file,
                span: work.span,
            });
        }
        WorkDone::Tires(_)
        | WorkDone::SectionValve(_)
        | WorkDone::FlowMeter
        | WorkDone::Pump
        | WorkDone::Regulator
        | WorkDone::Hose
        | WorkDone::HourMeter { .. } => return None,
    }
    Some(machine)
}

fn change_setup(machine: &mut Machine, change: &SetupChange) -> Option<()> {
    let setup = setup_of(machine, change.setup.as_ref())?;
    setup.pressure = change.pressure.or(setup.pressure);
    setup.speed = change.speed.or(setup.speed);
    setup.rate = change.rate.or(setup.rate);
    setup.density = change.density.or(setup.density);
    setup.density_factor = change.density_factor.or(setup.density_factor);
    Some(())
}

/// The setup with a name, or the only one.
fn setup_of<'m>(machine: &'m mut Machine, name: Option<&Spanned<String>>) -> Option<&'m mut Setup> {
    let index = machine.setup_index(name)?;
    machine
        .setups
        .get_mut(usize::from(index))
        .map(Arc::make_mut)
}

/// What a piece of work names and the machine does not have.
fn unknown_names(service: &Service, work: &Work, machine: &Machine) -> Vec<Diagnostic> {
    let mut problems = Vec::new();
    match &work.done {
        WorkDone::NozzlesFitted(fitted) => {
            problems.extend(unknown_setup(service, work, fitted.setup.as_ref(), machine));
            let Some(layout) = Layout::of(&machine.boom) else {
                return problems;
            };
            for (section, positions) in &fitted.at {
                let unknown = layout.unknown_section(service.file, section);
                if unknown.is_none() {
                    let beyond = |position: &&Spanned<u32>| {
                        let position = u16::try_from(position.value).unwrap_or(u16::MAX);
                        layout.number_of(&section.value, position).is_none()
                    };
                    problems.extend(positions.iter().find(beyond).map(|position| {
                        let count = layout.numbers_in(&section.value).len();
                        layout.no_such_position(service.file, section, *position, count)
                    }));
                }
                problems.extend(unknown);
            }
        }
        WorkDone::Setup(change) => {
            problems.extend(unknown_setup(service, work, change.setup.as_ref(), machine));
        }
        WorkDone::SectionValve(section) => {
            let layout = Layout::of(&machine.boom);
            let named = layout.as_ref().zip(section.as_ref());
            problems.extend(
                named.and_then(|(layout, name)| layout.unknown_section(service.file, name)),
            );
        }
        WorkDone::EnteredWidths(widths) => {
            if let Some(layout) = Layout::of(&machine.boom) {
                let unknown = |name| layout.unknown_section(service.file, name);
                problems.extend(widths.iter().filter_map(|(name, _)| unknown(name)));
            }
        }
        WorkDone::Tires(_)
        | WorkDone::FlowMeter
        | WorkDone::Console { .. }
        | WorkDone::SpeedSource(_)
        | WorkDone::Pump
        | WorkDone::Regulator
        | WorkDone::Hose
        | WorkDone::HourMeter { .. }
        | WorkDone::Spacing(_)
        | WorkDone::Moved(_)
        | WorkDone::OutOfService => {}
    }
    problems
}

fn unknown_setup(
    service: &Service,
    work: &Work,
    name: Option<&Spanned<String>>,
    machine: &Machine,
) -> Option<Diagnostic> {
    if machine.setups.is_empty() || machine.setup_index(name).is_some() {
        return None;
    }
    let at = name.map_or(work.span, |name| name.span);
    Some(no_such_setup(machine, service.file, at, name))
}

/// The finding of a record whose setup the machine does not have, or that leaves it open.
pub fn no_such_setup(
    machine: &Machine,
    file: FileId,
    span: Span,
    name: Option<&Spanned<String>>,
) -> Diagnostic {
    let names = || machine.setups.iter().map(|setup| setup.name.value.as_str());
    let message = match name {
        Some(name) => format!("the machine has no setup `{}`", name.value),
        None => format!(
            "which setup is meant? the machine has {}",
            words::phrases::plural(machine.setups.len(), "setup"),
        ),
    };
    let nearest = name.and_then(|name| words::spelling::nearest(&name.value, names()));
    let help = match nearest {
        Some(nearest) => format!("write `{nearest}`, if that setup is meant"),
        None if machine.setups.is_empty() => "add the setup to the machine file".to_owned(),
        None => {
            let listed: Vec<&str> = names().collect();
            format!(
                "write setup: and one of {}",
                words::phrases::list_some(&listed, "or")
            )
        }
    };
    let label = Label::new(Place { file, span }, "");
    let finding = Diagnostic::new("unknown-setup", Severity::Error, message, label).help(help);
    match &machine.id {
        Some(id) => finding.of_machine(id.value.clone()),
        None => finding,
    }
}
