//! What the group wrote down of a product's label, in its application records.

use super::asked::{is_mentioned, is_named};
use super::label::{Label, LabelFrom};
use crate::diagnostic::Severity;
use crate::quantity::Quantity;
use crate::quantity::dimension::Dimension;
use crate::record::Application;
use crate::source::FileId;
use crate::tree::{MachineFiles, Reader};
use jiff::civil::Date;
use std::cmp::Reverse;
use std::collections::BTreeMap;

/// What the group has on record of a product's label.
#[derive(Debug, Default)]
pub struct OnRecord {
    /// The last limits of any machine and the last of this one. Where these two differ nobody knows which holds, so both count.
    pub counting: Vec<Label>,
    /// All other maximums, of other machines and older ones, the latest first: they say that the label was written down
    /// otherwise.
    pub others: Vec<Label>,
    /// The first record that names the product and has an error, so that a limit of it may not count.
    pub with_an_error: Option<String>,
}

/// The labels of a product that the group has on record up to a day: the last maximum and the last minimum, by volume and by
/// weight.
///
/// A label is the product's, not the machine's. A record that says less than an older one takes nothing of it away.
pub fn labels_on_record(
    reader: &Reader<'_>,
    today: Date,
    machine: &MachineFiles,
    product: &str,
) -> OnRecord {
    let label = |limit: &Limit| Label {
        min: (!limit.is_max).then_some(limit.value),
        max: limit.is_max.then_some(limit.value),
        from: LabelFrom::Record {
            day: limit.day,
            path: reader.tree.path(limit.file).to_owned(),
        },
    };
    let machines = reader.tree.machines.iter();
    let files = machines.flat_map(|of| of.applications.iter().copied());
    let files: Vec<FileId> = files.collect();
    let may_hide = |file: &&FileId| may_hide_a_limit(reader, **file, product, today);
    let with_an_error = files.iter().find(may_hide);
    let all = files.iter().flat_map(|file| limits(reader, *file, product));
    let mut all: Vec<Limit> = all.filter(|limit| limit.day <= today).collect();
    let is_own = |limit: &&Limit| machine.applications.contains(&limit.file);
    let own = last(all.iter().filter(is_own).copied().collect());
    let of_group = last(all.clone());
    let mut counting = of_group.clone();
    let is_other = |own: &Limit| of_group.iter().all(|last| last.file != own.file);
    counting.extend(own.into_iter().filter(is_other));
    all.retain(|limit| limit.is_max && counting.iter().all(|own| own.file != limit.file));
    all.sort_by_key(|limit| Reverse(limit.day));
    OnRecord {
        others: all.iter().map(label).collect(),
        counting: counting.iter().map(label).collect(),
        with_an_error: with_an_error.map(|file| reader.tree.path(*file).to_owned()),
    }
}

/// Whether a record names a product and has an error, or is of a day to come, so that a limit of it may not count; one that
/// cannot be read at all may name anything.
fn may_hide_a_limit(reader: &Reader<'_>, file: FileId, product: &str, today: Date) -> bool {
    let read = reader.record::<Application>(file);
    if read.failure.is_some() {
        return true;
    }
    let mut findings = read.findings.iter();
    let has_error = findings.any(|finding| finding.severity() == Severity::Error);
    let day = read.record.as_ref().and_then(|record| record.date);
    let counts = !has_error && day.is_some_and(|day| day.value <= today);
    let text = reader.text(file);
    !counts && text.map_or(true, |source| is_mentioned(source.text(), product))
}

/// The last maximum and the last minimum, by volume and by weight; of several in one record the strictest.
fn last(mut limits: Vec<Limit>) -> Vec<Limit> {
    limits.sort_by(|one, other| {
        let by_day = (one.day, one.file).cmp(&(other.day, other.file));
        by_day.then(one.strictness().total_cmp(&other.strictness()))
    });
    let mut last: BTreeMap<(bool, Dimension), Limit> = BTreeMap::new();
    for limit in limits {
        last.insert((limit.is_max, limit.value.dimension()), limit);
    }
    last.into_values().collect()
}

/// A limit that a record has of a product.
#[derive(Debug, Clone, Copy)]
struct Limit {
    file: FileId,
    day: Date,
    is_max: bool,
    value: Quantity,
}

impl Limit {
    /// The greater, the less the limit allows.
    fn strictness(&self) -> f64 {
        if self.is_max {
            -self.value.si()
        } else {
            self.value.si()
        }
    }
}

fn limits(reader: &Reader<'_>, file: FileId, product: &str) -> Vec<Limit> {
    let read = reader.record::<Application>(file);
    let Some(application) = read.record.as_ref() else {
        return Vec::new();
    };
    let Some(date) = application.date else {
        return Vec::new();
    };
    let products = application.tanks.iter().flat_map(|tank| &tank.products);
    let own = products.filter(|own| {
        let name = own.name.as_ref();
        name.is_some_and(|name| is_named(&name.value, product))
    });
    let limits = own.flat_map(|own| {
        let both = [(true, own.label_max), (false, own.label_min)];
        both.into_iter().filter_map(|(is_max, limit)| {
            Some(Limit {
                file,
                day: date.value,
                is_max,
                value: limit?.value,
            })
        })
    });
    limits.collect()
}
