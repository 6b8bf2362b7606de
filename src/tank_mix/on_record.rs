//! What the group wrote down of a product's label, in its application records.

use super::asked::is_named;
use super::label::{Label, LabelFrom};
use crate::quantity::Quantity;
use crate::quantity::dimension::Dimension;
use crate::record::Application;
use crate::source::FileId;
use crate::tree::{MachineFiles, Reader};
use jiff::civil::Date;
use std::collections::BTreeMap;

/// What the group has on record of a product's label.
#[derive(Debug, Default)]
pub struct OnRecord {
    /// The last limits of any machine and the last of this one. Where these two differ nobody knows which holds, so both count.
    pub counting: Vec<Label>,
    /// The last maximums of other machines, which say that the label was once written down otherwise.
    pub others: Vec<Label>,
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
    let by_machine = machines.map(|of| {
        let files = of.applications.iter().copied();
        let limits = files.flat_map(|file| limits(reader, file, product));
        let last = last(limits.filter(|limit| limit.day <= today).collect());
        (of.id == machine.id, last)
    });
    let by_machine: Vec<(bool, Vec<Limit>)> = by_machine.collect();
    let own = by_machine.iter().filter(|(is_own, _)| *is_own);
    let own = own.flat_map(|(_, limits)| limits.iter().copied());
    let all = by_machine
        .iter()
        .flat_map(|(_, limits)| limits.iter().copied());
    let of_group = last(all.clone().collect());
    let mut counting = of_group.clone();
    counting.extend(own.filter(|own| of_group.iter().all(|last| last.file != own.file)));
    let others =
        all.filter(|limit| limit.is_max && counting.iter().all(|own| own.file != limit.file));
    OnRecord {
        others: others.map(|limit| label(&limit)).collect(),
        counting: counting.iter().map(label).collect(),
    }
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
