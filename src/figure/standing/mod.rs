//! How a machine stands on a day: what figures of state are computed from.

mod actual;
mod amount;
mod declared;
mod fitted;
pub(super) mod hours;
mod merged;
mod records;
mod sprayed_rate;
mod sprayings;

pub use super::visit::density::MixDensity;
pub use actual::ActualRate;
pub use amount::Amount;
pub use declared::{DeclaredSection, DeclaredSetup};
pub use fitted::Fitted;
pub use hours::HoursUsed;
pub use merged::{ChangeNote, MergedChange, MergedKind, ValueChange};
pub use records::{DatedRecord, EarlierReading, HourReading};
pub use sprayed_rate::{RateBy, SprayedRate};
pub use sprayings::{Mixed, Spraying};

use super::primitive::{PrimitiveId, Primitives, What};
use super::rate::found::RatesFound;
use super::view::{Stratum, View};
use super::visit::Subject;
use super::visit::instrument::Bench;
use crate::fact::Fact;
use crate::fleet::{FARTHEST_PERCENT, History, LayUps};
use crate::history::{FailingTests, Lacking, StepState, Timeline, Undone, Until};
use crate::outcome::{Key, Step};
use crate::source::{FileId, Place};
use crate::wear::WearForecast;
use jiff::civil::Date;
use std::collections::BTreeMap;

/// Figures of state.
#[derive(Debug)]
pub enum StateStratum {}

impl Stratum for StateStratum {
    type View<'v> = Standing<'v>;
}

/// How a machine stands on a day.
#[derive(Debug)]
pub struct Standing<'a> {
    /// The machine.
    pub subject: Subject<'a>,
    /// The day.
    pub today: Date,
    /// The days on which it is laid up; none of a lay-up in which it sprayed.
    pub lay_ups: LayUps,
    /// The state of every step it has.
    pub steps: Vec<StepState>,
    /// The use between the hour meter when each step was done and as last read, in the order of `steps`.
    pub step_hours: Vec<Option<HoursUsed>>,
    /// Every dated record of it, by day and file.
    pub records: Vec<DatedRecord<'a>>,
    /// What it sprayed, earliest first.
    pub sprayings: Vec<Spraying<'a>>,
    /// What the nozzles of each setup foretell, with the hours left.
    pub worn: Vec<(WornSet, Option<PrimitiveId>)>,
    /// Its merged records that are not what they were; nothing but where revisions are compared.
    pub merged: &'a [MergedChange],
    /// The sections whose width the console has.
    pub sections: Vec<DeclaredSection>,
    /// The mixes of setups that are not about as dense as water, by the setup's place in the machine file.
    pub mixes: Vec<(u16, MixDensity)>,
    /// The setups that declare all of what makes their rate; none of a machine that works no longer.
    pub setups: Vec<DeclaredSetup>,
    /// Tips that service records fitted at single places.
    pub fitted: Vec<Fitted>,
    /// What each setup puts down as it was last tested, where anything tells it.
    pub actual: Vec<ActualRate>,
    /// Every source of error.
    pub primitives: Primitives,
    record_places: BTreeMap<FileId, usize>,
    spraying_places: BTreeMap<FileId, usize>,
}

/// The nozzles of a setup since they were fitted.
#[derive(Debug, Clone, Copy)]
pub struct WornSet {
    /// The setup, by its place in the machine file.
    pub setup: u16,
    /// What their catches foretell.
    pub forecast: WearForecast,
    /// How many catches there are.
    pub catches: usize,
    /// The hours since they were fitted, as last read; by the hour meter where nobody read it then.
    pub hours_now: f64,
    /// When that was read.
    pub read_on: Date,
    /// The hours of use a day, where they are known.
    pub hours_a_day: Option<f64>,
    /// How far off rated the group replaces a set.
    pub limit: f64,
    /// The last of the catches.
    pub place: Place,
}

/// What is on record of a machine, and what its visits came to.
#[derive(Clone, Copy)]
pub struct Facts<'a, 'f> {
    /// All records.
    pub history: &'a History,
    /// What happened, ready to be asked.
    pub timeline: &'f Timeline<'a>,
    /// What the visits found and left so.
    pub failing: &'f FailingTests,
    /// What the visits found of what makes the rate.
    pub rates: &'f RatesFound,
    /// What the nozzles of each setup foretell.
    pub worn: &'f [WornSet],
    /// Merged records that are not what they were.
    pub merged: &'a [MergedChange],
    /// The name of a file without its ending.
    pub stem: &'f dyn Fn(FileId) -> &'a str,
    /// The path of a file below the records' root.
    pub path: &'f dyn Fn(FileId) -> &'a str,
}

impl<'a> Standing<'a> {
    /// The machine on a day.
    pub fn new(subject: Subject<'a>, today: Date, facts: &Facts<'a, '_>) -> Self {
        let until = Until::EndOf(today);
        let mut bench = Bench::new(subject.fleet, subject.machine.file);
        let records = records::of(&mut bench, facts.history, facts.path, facts.stem);
        let sprayings = sprayings::of(
            &mut bench,
            facts.history,
            facts.timeline,
            facts.failing,
            facts.rates,
            &until,
        );
        let fitted = fitted::of(&mut bench, facts.history);
        let steps = facts.timeline.steps(until, facts.failing);
        let step_hours = steps.iter().map(|state| {
            let (then, now) = state.used.hours?;
            let meters = &facts.history.hour_meters;
            Some(HoursUsed::between(&mut bench, meters, &then, &now))
        });
        let step_hours = step_hours.collect();
        let worn = facts.worn.iter().map(|set| {
            let left = hours_left(set).map(|(left, uncertainty)| {
                let primitives = &mut bench.primitives;
                primitives.worked_out(What::Trend, left, uncertainty, set.place)
            });
            (*set, left)
        });
        let worn = worn.collect();
        let actual = actual::of(&mut bench, subject.machine, facts.rates, today);
        let mut declaring = declared::Declaring {
            machine: subject.machine,
            primitives: bench.primitives,
        };
        let sections = declaring.sections();
        let mixes = declaring.mixes();
        let setups = match subject.machine.out_of_service {
            Some(_) => Vec::new(),
            None => declaring.setups(),
        };
        let records_in_order = records.iter().map(|record| record.file);
        let sprayings_in_order = sprayings.iter().map(|spraying| spraying.application.file);
        Self {
            lay_ups: facts.timeline.lay_ups_on(today),
            record_places: records_in_order.zip(0..).collect(),
            spraying_places: sprayings_in_order.zip(0..).collect(),
            primitives: declaring.primitives,
            steps,
            step_hours,
            worn,
            subject,
            today,
            records,
            sprayings,
            merged: facts.merged,
            sections,
            mixes,
            setups,
            fitted,
            actual,
        }
    }

    /// The steps that can become due: none of a machine that works no longer.
    pub fn steps_in_use(&self) -> &[StepState] {
        match self.subject.machine.out_of_service {
            Some(_) => &[],
            None => &self.steps,
        }
    }

    /// Whether it is laid up on the day.
    pub fn is_laid_up(&self) -> bool {
        self.lay_ups.on(self.today).is_some()
    }

    /// The day of a record.
    pub fn day_of(&self, file: FileId) -> Option<Date> {
        self.record(file).map(|record| record.day)
    }

    /// A record by its file.
    pub fn record(&self, file: FileId) -> Option<&DatedRecord<'a>> {
        self.records.get(*self.record_places.get(&file)?)
    }

    /// An application by its file.
    pub fn spraying(&self, file: FileId) -> Option<&Spraying<'a>> {
        self.sprayings.get(*self.spraying_places.get(&file)?)
    }

    /// The nozzles of a setup, by its name where the machine has several: `the nozzles of greens`.
    pub fn nozzles_of_setup(&self, setup: u16) -> Option<Fact> {
        let setups = &self.subject.machine.setups;
        let setup = setups.get(usize::from(setup))?;
        Some(if setups.len() > 1 {
            let name = Fact::Name(setup.name.value.clone());
            Fact::phrase("the nozzles of {}", [name])
        } else {
            Fact::Words("the nozzles")
        })
    }

    /// The key of a record.
    pub fn key_of(&self, record: &DatedRecord<'_>) -> Key {
        Key {
            record: Some(record.file),
            ..Key::of_machine(self.subject.index)
        }
    }

    /// Where the machine's own file names it.
    pub fn machine_file(&self) -> Place {
        let machine = self.subject.machine;
        let id = machine.id.as_ref();
        Place {
            file: machine.file,
            span: id.map_or(machine.span, |id| id.span),
        }
    }

    /// A step with its setup, where the machine has several: `catch test (greens)`.
    pub fn step_named(&self, state: &StepState) -> Fact {
        let setups = &self.subject.machine.setups;
        let setup = state.setup.and_then(|index| setups.get(usize::from(index)));
        let setup = setup.filter(|_| setups.len() > 1);
        Fact::Step {
            step: state.step,
            setup: setup.map(|setup| setup.name.value.clone()),
        }
    }

    /// The key of a step.
    pub fn step_key(&self, state: &StepState) -> Key {
        Key {
            step: Some(state.step),
            setup: state.setup,
            ..Key::of_machine(self.subject.index)
        }
    }

    /// Work that undid a step; nozzles that were fitted by number, where they are not all.
    pub fn work_of(&self, undone: &Undone) -> Fact {
        match self.nozzles(&undone.nozzles) {
            Some(nozzles) => Fact::phrase("{} fitted", [nozzles]),
            None => Fact::Words(undone.work),
        }
    }

    /// Nozzles by number, as people say them; none where there are none.
    pub fn nozzles(&self, numbers: &[u16]) -> Option<Fact> {
        match numbers {
            [] => None,
            [one] => self.subject.nozzle(*one),
            several => {
                let of = self.subject.layout.as_ref()?.nozzles().len();
                let numbers = several.iter().map(|number| Fact::whole((*number).into()));
                let named = [Fact::list_some(numbers), Fact::whole(of)];
                Some(Fact::phrase("nozzles {} of {}", named))
            }
        }
    }

    /// What keeps a test from counting, as a sentence.
    pub fn lacking(&self, lacking: &Lacking) -> Fact {
        match lacking {
            Lacking::Reading(reading) | Lacking::Faulty(reading) => Fact::Words(reading),
            Lacking::Certainty => {
                Fact::Words("its uncertainty is more than the limit, so it proves nothing")
            }
            Lacking::NotFilledIn(values) => {
                Fact::list_some(values.iter().map(|value| Fact::Name(value.clone())))
            }
            Lacking::Pressure => {
                let farthest = Fact::Percent {
                    ratio: f64::from(FARTHEST_PERCENT) / 100.0,
                    decimals: 0,
                    is_signed: false,
                };
                Fact::phrase("its pressure is more than {} off the catch's", [farthest])
            }
            Lacking::Nozzles(numbers) => match self.nozzles(numbers) {
                Some(one) if numbers.len() == 1 => Fact::phrase("{} was not caught", [one]),
                Some(several) => Fact::phrase("{} were not caught", [several]),
                None => Fact::Words("not every nozzle was caught"),
            },
        }
    }

    /// How a step stands.
    pub fn state(&self, step: Step, setup: Option<u16>) -> Option<&StepState> {
        let mut steps = self.steps.iter();
        steps.find(|state| state.step == step && state.setup == setup)
    }
}

/// Seconds of use until the limit, with half the half width of the crossing's interval, which is one of
/// 95%, as the standard uncertainty.
fn hours_left(set: &WornSet) -> Option<(f64, f64)> {
    let WearForecast::Crosses {
        at_hours,
        low,
        high,
        per_100_hours: _,
    } = set.forecast
    else {
        return None;
    };
    let seconds = 3_600.0;
    let left = (at_hours - set.hours_now).max(0.0);
    Some((seconds * left, seconds * (high - low) / 4.0))
}

impl View for Standing<'_> {
    fn subject(&self) -> &Subject<'_> {
        &self.subject
    }

    fn primitives(&self) -> &Primitives {
        &self.primitives
    }

    fn setup_name(&self, key: &Key) -> Option<&str> {
        self.subject.setup_name(key)
    }

    fn day(&self, key: &Key) -> Date {
        key.record
            .and_then(|record| self.day_of(record))
            .unwrap_or(self.today)
    }

    fn sprayed_before(&self, _: &Key) -> Option<Fact> {
        None
    }

    fn part(&self, key: &Key) -> Fact {
        self.subject.part(key)
    }
}
