//! What the fleet file says of instruments that cannot be, and records that use one for what it is not.

use crate::diagnostic::{Diagnostic, Label, Severity};
use crate::fleet::History;
use crate::outcome::{Grade, Verdict};
use crate::quantity::unit::Unit;
use crate::record::Fleet;
use crate::record::instrument::{InstrumentKind, Purpose};
use crate::rule::{Decision, LimitsInForce, RuleSet, judge};
use crate::source::{FileId, Place, Spanned};
use crate::words;
use jiff::civil::Date;

/// The rule that says how far a date may lie ahead of today.
const DATE_IN_FUTURE: &str = "date-in-future";

/// Usual instruments that are not declared, where any is, or are not what they are for.
pub(super) fn unfit_usual(fleet: &Fleet) -> Vec<Diagnostic> {
    let usual = fleet.usual.iter();
    let told = usual.filter_map(|(purpose, name)| {
        if fleet.instruments.is_empty() || fleet.instruments.contains_key(&name.value) {
            return of_another_type(fleet, fleet.file, *purpose, name);
        }
        let message = format!(
            "the usual {} is {}, which is not under instruments",
            purpose.key(),
            words::phrases::name(&name.value),
        );
        let names = fleet.instruments.keys().map(String::as_str);
        let help = match words::spelling::nearest(&name.value, names) {
            Some(nearest) => format!("write `{nearest}`, if that instrument is meant"),
            None => "correct the name, or declare the instrument".to_owned(),
        };
        let label = Label::new(at(fleet.file, name), "");
        let rule = "unknown-usual-instrument";
        Some(Diagnostic::new(rule, Severity::Warning, message, label).help(help))
    });
    told.collect()
}

/// Instruments in the records of a machine that are declared as something else than what they are used for.
pub(super) fn misused(history: &History, fleet: Option<&Fleet>) -> Vec<Diagnostic> {
    let Some(fleet) = fleet else {
        return Vec::new();
    };
    let visits = history.calibrations.iter();
    let visits = visits.flat_map(|visit| visit.instruments().map(|named| (visit.file, named)));
    let applications = history.applications.iter();
    let applications =
        applications.flat_map(|one| one.instruments().map(|named| (one.file, named)));
    let all = visits.chain(applications);
    all.filter_map(|(file, (purpose, name))| of_another_type(fleet, file, purpose, name))
        .map(|finding| finding.of_machine(history.id.clone()))
        .collect()
}

fn of_another_type(
    fleet: &Fleet,
    file: FileId,
    purpose: Purpose,
    name: &Spanned<String>,
) -> Option<Diagnostic> {
    let declared = fleet.instruments.get(&name.value)?.kind?;
    let fitting = purpose.kinds();
    if fitting.contains(&declared.value) {
        return None;
    }
    let fitting: Vec<&str> = fitting.iter().map(|kind| kind.words()).collect();
    let message = format!(
        "{} is used as {}, but its type is {}",
        words::phrases::name(&name.value),
        words::phrases::list(&fitting, "or"),
        InstrumentKind::words(declared.value),
    );
    let label = Label::new(at(file, name), "");
    let finding = Diagnostic::new("unlike-instrument", Severity::Warning, message, label);
    let finding = finding.also(Label::new(at(fleet.file, &declared), "its type"));
    Some(finding.help("name the instrument that was used, or correct the type in the fleet file"))
}

/// Checks of instruments that are dated ahead of today, by more than a record may be.
///
/// Such an instrument would never be past its check.
pub(super) fn checked_in_future(
    fleet: &Fleet,
    rules: &RuleSet,
    limits: &LimitsInForce,
    today: Date,
) -> Vec<Diagnostic> {
    let dated = |(name, day): (&String, Spanned<Date>)| {
        let days = day.value.since(today).ok()?.get_days().max(0);
        let ahead = f64::from(days) * Unit::DAY.factor();
        let rule = rules.find(DATE_IN_FUTURE)?;
        let bounds = limits.of_fleet(rule, today);
        let bounds = bounds.map(|(grade, limit)| (grade, &limit.bound));
        let severity = match judge(bounds, Decision::Simple, ahead, || 0.0, None, || None).verdict {
            Verdict::Fail(Grade::Error) => Severity::Error,
            Verdict::Fail(Grade::Warning) => Severity::Warning,
            Verdict::Fail(Grade::Note | Grade::Weakens) => Severity::Note,
            Verdict::Pass | Verdict::Undecided(..) => return None,
        };
        let message = format!(
            "the check of {} is dated {}, after today, {}",
            words::phrases::name(name),
            words::dates::date(day.value),
            words::dates::date(today),
        );
        let label = Label::new(at(fleet.file, &day), "");
        let finding = Diagnostic::new("instrument-checked-in-future", severity, message, label);
        Some(finding.help("write the day on which the instrument was last checked"))
    };
    let instruments = fleet.instruments.iter();
    let checked = instruments.filter_map(|(name, instrument)| Some((name, instrument.checked?)));
    checked.filter_map(dated).collect()
}

fn at<T>(file: FileId, value: &Spanned<T>) -> Place {
    Place {
        file,
        span: value.span,
    }
}
