//! What is to be said beside a card of how the machine stands, and of what is on record.

use super::Making;
use crate::assess::StepStanding;
use crate::diagnostic::{Diagnostic, Severity};
use crate::figure::standing::{ActualRate, RateBy};
use crate::finding::Finding;
use crate::projection::places::Places;
use crate::quantity::Quantity;
use crate::report::DueState;
use crate::tank_mix::{Label, LabelFrom, Product, Refusal, Unknown, Warning, labels_on_record};
use crate::wording::steps::not_counted;
use crate::words::phrases;
use jiff::civil::Date;

impl Making<'_> {
    pub(super) fn warnings(
        &self,
        steps: &[&StepStanding],
        tested: Option<&ActualRate>,
        tank: Quantity,
        places: &mut Places<'_>,
    ) -> Vec<Warning> {
        let steps_told = steps.iter().filter_map(|step| self.of_step(step, places));
        let mut warnings: Vec<Warning> = steps_told.collect();
        warnings.extend(self.not_counted(steps, places));
        let later = self.assessment.not_come.len();
        warnings.extend((0 < later).then_some(Warning::LaterRecords(later)));
        warnings.extend(self.hours_unread(steps));
        let is_part = tested.is_some_and(|tested| tested.by == RateBy::PartOfCalibration);
        warnings.extend(is_part.then_some(Warning::PartTested));
        let laid_up = self.assessment.laid_up;
        warnings.extend(laid_up.map(|(_, until)| Warning::LaidUp(until)));
        warnings.extend(self.found());
        warnings.extend(self.other_tank(tank));
        warnings
    }

    /// A step that lets spray, but not without a word.
    fn of_step(&self, step: &StepStanding, places: &mut Places<'_>) -> Option<Warning> {
        let told = self.told(step, places)?;
        match told.state {
            DueState::Overdue | DueState::Recheck | DueState::ComingDue => Some(Warning::Due(told)),
            DueState::Waived => Some(Warning::Waived {
                step: told,
                waivers: self.waivers(step),
            }),
            DueState::NeverDone
            | DueState::Void
            | DueState::Failing
            | DueState::RecordToCorrect => None,
        }
    }

    /// The newer tests that do not count, of steps of which nothing else is told.
    fn not_counted(&self, steps: &[&StepStanding], places: &mut Places<'_>) -> Vec<Warning> {
        let newer = steps.iter().filter_map(|step| {
            let is_told = self.told(step, places).is_some();
            let test = step.not_counted.as_ref().filter(|_| !is_told)?;
            Some(Warning::NotCounted(not_counted(step.step, test)))
        });
        newer.collect()
    }

    /// The reasons of the waivers in force for a step, and until when they hold.
    fn waivers(&self, step: &StepStanding) -> Vec<(Option<String>, Option<Date>)> {
        let Some(waivers) = &self.context.group.waivers else {
            return Vec::new();
        };
        let own = step.waived.iter().filter_map(|waived| {
            let waiver = waivers.waivers.get(waived.waiver)?;
            let reason = waiver.reason.as_ref();
            let reason = reason.map(|reason| phrases::name(&reason.value).into_owned());
            Some((reason, waiver.until.map(|until| until.value)))
        });
        own.collect()
    }

    fn hours_unread(&self, steps: &[&StepStanding]) -> Option<Warning> {
        let unread = steps.iter().filter(|step| step.hours_unread.is_some());
        let unread: Vec<String> = unread.map(|step| self.named(step)).collect();
        (!unread.is_empty()).then_some(Warning::HoursUnread(unread))
    }

    /// How much is found in what the card stands on.
    fn found(&self) -> Option<Warning> {
        let of_group = self.context.texts.findings.iter();
        let of_machine = self.assessment.findings.iter().map(Finding::severity);
        let all = of_group.map(Diagnostic::severity).chain(of_machine);
        let count = |severity| all.clone().filter(|one| *one == severity).count();
        let (errors, warnings) = (count(Severity::Error), count(Severity::Warning));
        (0 < errors + warnings).then_some(Warning::Found { errors, warnings })
    }

    fn other_tank(&self, tank: Quantity) -> Option<Warning> {
        let in_file = self.of_machine.tank?;
        (!in_file.has_value_of(&tank)).then(|| Warning::OtherTank {
            in_file,
            is_larger: in_file.si() < tank.si(),
        })
    }

    /// The products with what the group has on record of their labels, of which the stricter limit counts; and those of which
    /// nobody knows what is on record.
    pub(super) fn products(&self, warnings: &mut Vec<Warning>) -> (Vec<Product>, Vec<Refusal>) {
        let mut products = self.asked.products.clone();
        let mut unread = Vec::new();
        for product in &mut products {
            let today = self.context.today;
            let on_record = labels_on_record(self.reader, today, self.files, &product.name);
            let lower = lower_elsewhere(product, on_record.others);
            let is_given = product.labels.iter().any(|label| label.max.is_some());
            let with_an_error = on_record.with_an_error.filter(|_| !is_given);
            unread.extend(with_an_error.map(|path| {
                let product = product.name.clone();
                Refusal::NotKnown(Unknown::UnreadLabel { product, path })
            }));
            for label in on_record.counting {
                let unlike = counted(product, label);
                // A record that has a maximum and a minimum is told once.
                let unlike = unlike.filter(|one| !warnings.contains(one));
                warnings.extend(unlike);
            }
            warnings.extend(lower);
        }
        (products, unread)
    }
}

/// Lets a label on record count for a product, or tells why it cannot.
fn counted(product: &mut Product, label: Label) -> Option<Warning> {
    if product.is_alike(&label) {
        product.labels.push(label);
        return None;
    }
    match label.from {
        LabelFrom::Record { path, .. } => Some(Warning::UnlikeRecord {
            product: product.name.clone(),
            path,
        }),
        LabelFrom::Asked => None,
    }
}

/// The strictest label of other records that a product is over.
fn lower_elsewhere(product: &Product, others: Vec<Label>) -> Option<Warning> {
    let over = others.into_iter().filter_map(|label| {
        let max = label.max.filter(|_| product.is_alike(&label))?;
        (max.si() < product.rate.si()).then_some((max, label.from))
    });
    let strictest = over.min_by(|(one, _), (other, _)| one.si().total_cmp(&other.si()));
    match strictest? {
        (max, LabelFrom::Record { path, .. }) => Some(Warning::OtherLabel {
            product: product.name.clone(),
            max,
            path,
        }),
        (_, LabelFrom::Asked) => None,
    }
}
