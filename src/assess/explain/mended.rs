//! A visit judged again with something mended: which findings are gone.

use super::super::context::Context;
use super::super::judge::{self, Judging};
use super::super::tally::Tallies;
use super::amount::Zero;
use super::gathered::Gathered;
use crate::cause::{self, Of, Value};
use crate::figure::visit::Records;
use crate::figure::{AnyView, Subject, Visit};
use crate::finding::Judged;
use crate::fleet::Layout;
use crate::outcome::Key;
use crate::record::Mends;
use crate::source::FileId;
use jiff::civil::Date;
use std::collections::{BTreeMap, BTreeSet};

/// What stays told of a visit, by rule and key.
pub(in crate::assess) type StillTold = BTreeSet<(usize, Key)>;

/// A visit that can be judged again.
#[derive(Clone, Copy)]
pub(super) struct Again<'a> {
    pub(super) context: &'a Context,
    pub(super) visit: &'a Visit<'a>,
    pub(super) latest_days: &'a BTreeMap<FileId, Date>,
}

impl Again<'_> {
    /// What rules still find once the visit's record and the machine file are mended.
    pub(super) fn judged(&self, mends: &Mends) -> StillTold {
        let visit = self.visit;
        let calibration = mends.calibration(visit.calibration);
        let machine = mends.machine(visit.subject.machine);
        let subject = Subject {
            fleet: visit.subject.fleet,
            machine: &machine,
            id: visit.subject.id,
            index: visit.subject.index,
            layout: Layout::of(&machine.boom),
        };
        let records = Records {
            calibration: &calibration,
            ..visit.records
        };
        let mended = Visit::new(subject, records, visit.today, &mut Vec::new());
        still_told(self.context, AnyView::Readings(&mended), self.latest_days)
    }
}

/// What rules find of a view, by rule and key.
pub(in crate::assess) fn still_told(
    context: &Context,
    of: AnyView<'_>,
    latest_days: &BTreeMap<FileId, Date>,
) -> StillTold {
    let judging = Judging {
        context,
        of,
        lists_not_computed: false,
        latest_days,
    };
    let mut tallies = Tallies::new(&context.group.rules);
    let told = judge::run(&judging, &mut tallies).told;
    told.iter().map(|told| (told.rule, told.key)).collect()
}

/// Whether a finding is among those that are still told.
pub(super) fn is_still(told: &Judged, still: &StillTold) -> bool {
    still.contains(&(told.rule, told.key))
}

/// What to multiply where, so that values are multiplied so.
///
/// A part of the machine or an instrument has no place: what was read of it is among the values.
pub(super) fn mends(ratios: &[(Value, f64)], gathered: &Gathered) -> Mends {
    let mut mends = Mends::default();
    for (value, ratio) in ratios.iter().filter(|(value, _)| value.is_written()) {
        for place in gathered.places.get(value).into_iter().flatten() {
            match gathered.zeros.get(place) {
                None => mends.multiply(*place, *ratio),
                // A multiple of 0 is 0.
                Some(zero) if zero.is_mended_by(*ratio) => mends.write(*place, zero.good),
                Some(_) => {}
            }
        }
        for (place, zero) in &gathered.zeros {
            if let Some(power) = power_in_good(*value, zero, gathered) {
                mends.multiply(*place, cause::to_the_power(*ratio, power));
            }
        }
    }
    mends
}

/// To which power a value is in what would be read of a good nozzle instead of a 0.
#[expect(
    clippy::wildcard_enum_match_arm,
    reason = "no other kind of value is in it"
)]
fn power_in_good(value: Value, zero: &Zero, gathered: &Gathered) -> Option<f64> {
    match value.of() {
        Of::RatedFlow => Some(1.0),
        Of::Pressure => Some(0.5),
        Of::RatedPressure => Some(-0.5),
        Of::Collected => {
            let (list, own) = (gathered.readings.get(value)?, zero.time?);
            ((list - own).abs() <= 1e-9 * own).then_some(1.0)
        }
        _ => None,
    }
}
