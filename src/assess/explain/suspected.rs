//! What is said of a cause that explains findings of a visit, as data.

use super::gathered::Gathered;
use super::holding::SharedOut;
use super::mended::mends;
use super::named;
use super::values::Mended;
use crate::cause::{
    self, At, CauseSet, Change, CrossCheck, Kind, LookedAt, Meant, Mend, Of, Row, Told, Value,
};
use crate::fact::Fact;
use crate::figure::Subject;
use crate::figure::about::COMPUTED_FACTOR;
use crate::finding::{self, CrossChecked, Explained, Judged, Suspected};
use crate::fleet::Layout;
use crate::source::Place;

/// What names the causes of a visit, or of what a machine file says of a setup.
pub(super) struct Naming<'a> {
    pub(super) subject: &'a Subject<'a>,
    pub(super) gathered: &'a Gathered,
    pub(super) causes: &'a CauseSet,
    /// Where a cause is told that has no place of its own.
    pub(super) fallback: Option<Place>,
    /// By how much standard uncertainties are multiplied.
    pub(super) coverage_factor: f64,
}

impl Naming<'_> {
    /// The findings of causes, and what stands: with what a cause explains that has no place to be told at.
    pub(super) fn all(&self, shared: SharedOut<'_>) -> (Vec<Explained>, Vec<Judged>) {
        let SharedOut {
            explained,
            mut standing,
        } = shared;
        let mut all = Vec::new();
        for (told, held) in explained {
            match self.explained(told, &held) {
                Some(explained) => all.push(explained),
                None => standing.extend(held),
            }
        }
        (all, standing)
    }

    /// The finding of a cause; none where it explains no finding and is of nothing that has none.
    fn explained(&self, told: &Told, held: &[Judged]) -> Option<Explained> {
        // Of several the first; `max_by_key` gives the last.
        let heaviest = held.iter().rev().max_by_key(|held| held.severity)?;
        let severity = held.iter().map(|held| held.heaviest().severity).max()?;
        let likeliest = self.suspected(&told.row, &told.looked_at)?;
        let rival = told.rival.as_ref();
        let rival = rival.and_then(|rival| self.suspected(rival, &told.looked_at_for_rival));
        let mut likeliest = likeliest;
        if let Change::OtherNozzle { caught, .. } = told.row.best.hypothesis.change {
            likeliest.facts.push((FIRST, heaviest.at.part.clone()));
            likeliest
                .facts
                .push((SECOND, named::nozzle(caught, self.subject)));
        }
        // The factor that the test gives is one number, whoever tells of it.
        if let Some(given) = held.iter().find_map(|held| held.fact(COMPUTED_FACTOR)) {
            let mended = likeliest.facts.iter_mut().find(|(slot, _)| *slot == MENDED);
            if let (At::Value(Value::FactorAfter | Value::SpeedFactorAfter), Some((_, mended))) =
                (&told.row.best.hypothesis.at, mended)
            {
                *mended = given.clone();
                likeliest.implied = likeliest.implied.map(|_| given.clone());
            }
        }
        let others = told.others.iter().filter_map(|row| {
            let cause = self.causes.causes().get(row.cause)?;
            Some((cause.id.clone(), row.share))
        });
        let part = fact_of(&likeliest, PLACE)?.clone();
        let best = &told.row.best;
        let mends = mends(&best.hypothesis.change.ratios(best.size), self.gathered);
        Some(Explained {
            at: finding::At {
                part,
                is_whole: false,
                ..heaviest.at.clone()
            },
            rival,
            others: others.collect(),
            severity,
            is_in_record: likeliest.implied.is_some()
                && heaviest.key.record == Some(likeliest.subject.file),
            likeliest,
            held: held.to_vec(),
            mends,
        })
    }

    fn suspected(&self, row: &Row, looked_at: &[LookedAt]) -> Option<Suspected> {
        let own = self.causes.causes().get(row.cause)?;
        let hypothesis = &row.best.hypothesis;
        let ratios = hypothesis.change.ratios(row.best.size);
        let mut places = self.places(&hypothesis.at, &ratios).into_iter();
        let subject = places.next()?;
        let is_record = own.about == cause::About::Record;
        let mut facts = vec![(PLACE, self.place_of(row, is_record))];
        let two = self
            .gathered
            .first_and_second(&hypothesis.at, &hypothesis.change);
        if let Some((first, second)) = two {
            facts.extend([(FIRST, first), (SECOND, second)]);
        }
        let of_times = own.mends.get(row.best.mend).is_some_and(is_of_times);
        let mut implied = None;
        if let Some(Mended { written, mended }) =
            self.gathered.written_and_mended(&row.best, of_times)
        {
            implied = is_record.then(|| mended.clone());
            facts.extend([(WRITTEN, written), (MENDED, mended)]);
        }
        if let Some(Meant::Size(size)) = hypothesis.meant {
            facts.push((SIZE, Fact::Name(size.to_owned())));
            let sheet = self.gathered.readings.known.size.clone();
            let flow = || self.gathered.readings.written(Value::RatedFlow);
            let sheet = sheet.map(Fact::Name).or_else(|| flow().map(Fact::Written));
            facts.retain(|(slot, _)| *slot != WRITTEN);
            facts.extend(sheet.map(|sheet| (WRITTEN, sheet)));
        }
        let off = self.off(row);
        let (high, low) = if off < 0.0 {
            ("low", "high")
        } else {
            ("high", "low")
        };
        facts.extend([
            (OFF, Fact::percent(off.abs(), 1)),
            (HIGH_OR_LOW, Fact::Words(high)),
            (LOW_OR_HIGH, Fact::Words(low)),
        ]);
        let (agrees, denies) = self.looked_at(looked_at);
        Some(Suspected {
            id: own.id.clone(),
            share: row.share,
            about: own.about,
            subject,
            also: places.collect(),
            facts,
            implied,
            agrees,
            denies,
        })
    }

    /// Where a cause holds, by its best hypothesis.
    pub(super) fn place(&self, row: &Row) -> Fact {
        self.place_of(row, false)
    }

    /// The same; of a reading that is written wrong what was caught, not the nozzle.
    fn place_of(&self, row: &Row, is_record: bool) -> Fact {
        let at = &row.best.hypothesis.at;
        let place = named::place(at, self.subject);
        if is_record && matches!(at, At::Nozzle(_)) {
            return Fact::phrase("the catch of {}", [place]);
        }
        if is_record && matches!(at, At::FromNozzle(_) | At::ToNozzle(_)) {
            return Fact::phrase("the catch {}", [place]);
        }
        place
    }

    /// A cross-check as data.
    pub(super) fn checked(&self, one: &LookedAt) -> CrossChecked {
        self.checked_as(named::check(one.of, self.subject), one)
    }

    fn checked_as(&self, what: Fact, one: &LookedAt) -> CrossChecked {
        CrossChecked {
            what,
            before: cause::ratio_less_one(one.before),
            after: cause::ratio_less_one(one.after),
            expanded: self.coverage_factor * one.uncertainty,
        }
    }

    /// By how much something is off, as a cause has it; where nothing was caught, by all.
    fn off(&self, row: &Row) -> f64 {
        let hypothesis = &row.best.hypothesis;
        let nozzles = self.nozzles(&hypothesis.at);
        let is_zero = |nozzle: &u16| self.gathered.readings.is_zero(Value::Caught(*nozzle));
        if !nozzles.is_empty() && nozzles.iter().all(is_zero) {
            -1.0
        } else if let Change::Ratios(ratios) = &hypothesis.change {
            ratios.first().map_or(0.0, |(_, ratio)| ratio - 1.0)
        } else {
            cause::ratio_less_one(row.best.size)
        }
    }

    /// The nozzles by which a cause is told: those of a part of the boom, or the first of those from one on.
    fn nozzles(&self, at: &At) -> Vec<u16> {
        match at {
            At::Nozzle(nozzle) | At::FromNozzle(nozzle) => vec![*nozzle],
            At::Nozzles(all) => all.clone(),
            At::Section(section) => {
                let nozzles = self.subject.layout.iter().flat_map(Layout::nozzles);
                let own = nozzles.filter(|nozzle| nozzle.section == *section);
                own.map(|nozzle| nozzle.number.saturating_sub(1)).collect()
            }
            At::All
            | At::ToNozzle(_)
            | At::Toward(_)
            | At::Every(_)
            | At::Value(_)
            | At::Values(..) => Vec::new(),
        }
    }

    /// Where a cause is to be looked at: what it mends, or what was read of the part that it is of.
    fn places(&self, at: &At, ratios: &[(Value, f64)]) -> Vec<Place> {
        let of = |value: Value| {
            self.gathered
                .places
                .get(&value)
                .into_iter()
                .flatten()
                .copied()
        };
        let own: Vec<Place> = match at {
            At::Nozzle(_) | At::FromNozzle(_) | At::Nozzles(_) | At::Section(_) => {
                let nozzles = self.nozzles(at).into_iter();
                nozzles
                    .flat_map(|nozzle| of(Value::Caught(nozzle)))
                    .collect()
            }
            At::Value(value) => {
                let read = self.read_of(*value);
                read.into_iter().flat_map(of).collect()
            }
            At::Values(one, other) => of(*one).chain(of(*other)).collect(),
            At::Every(kind) => {
                let all = self
                    .gathered
                    .places
                    .keys()
                    .filter(|value| value.of() == *kind);
                all.copied().flat_map(of).collect()
            }
            At::ToNozzle(_) | At::Toward(_) | At::All => Vec::new(),
        };
        if !own.is_empty() {
            return own;
        }
        if matches!(at, At::All | At::Toward(_) | At::ToNozzle(_)) {
            return self.fallback.into_iter().collect();
        }
        let written = ratios
            .iter()
            .map(|(value, _)| *value)
            .filter(|value| value.is_written());
        let mut not_caught = written.filter(|value| !matches!(value, Value::Caught(_)));
        let of_values: Vec<Place> = not_caught.by_ref().flat_map(of).collect();
        if !of_values.is_empty() {
            return of_values;
        }
        self.fallback.into_iter().collect()
    }

    /// The values that are read off an instrument or a part of the machine; any other value is itself.
    fn read_of(&self, value: Value) -> Vec<Value> {
        let mut read_off = READ_OFF.iter();
        let Some((_, kinds)) = read_off.find(|(part, _)| *part == value.of()) else {
            return vec![value];
        };
        let all = self.gathered.places.keys().copied();
        all.filter(|read| kinds.contains(&read.of())).collect()
    }

    /// What speaks for a cause, and what against it; the nozzles of a boom that it moves together are one.
    fn looked_at(&self, looked_at: &[LookedAt]) -> (Vec<CrossChecked>, Vec<CrossChecked>) {
        let is_nozzle = |one: &&LookedAt| matches!(one.of, CrossCheck::Nozzle(_));
        let of_boom: Vec<&LookedAt> = looked_at
            .iter()
            .filter(is_nozzle)
            .filter(|one| one.speaks_for())
            .collect();
        let mut agrees = Vec::new();
        if of_boom.len() > 2 {
            agrees.extend(average(&of_boom).map(|one| self.checked_as(named::CATCH_AVERAGE, &one)));
        } else {
            agrees.extend(of_boom.iter().map(|one| self.checked(one)));
        }
        let others = looked_at.iter().filter(|one| !is_nozzle(one));
        let speaking = others.clone().filter(|one| one.speaks_for());
        agrees.extend(speaking.map(|one| self.checked(one)));
        let denying = looked_at.iter().filter(|one| one.denies());
        let denies = denying.map(|one| self.checked(one));
        (agrees, denies.collect())
    }
}

/// What is read off each instrument, and of each part of the machine.
const READ_OFF: [(Of, &[Of]); 5] = [
    (Of::Meter, &[Of::ShownVolume]),
    (Of::FillMeter, &[Of::KnownVolume]),
    (Of::SpeedSensor, &[Of::ShownDistance]),
    (Of::Jug, &[Of::Caught, Of::CaughtAgain]),
    (Of::Gauge, &[Of::Pressure, Of::PressureAgain]),
];

/// Whether a mend is of times that nozzles were collected.
fn is_of_times(mend: &Mend) -> bool {
    matches!(&mend.kind, Kind::Scale { of, .. } if of.contains(&Of::Collected))
}

/// Nozzles as one: the average of their logarithms, as uncertain as one of them.
fn average(nozzles: &[&LookedAt]) -> Option<LookedAt> {
    let n = f64::from(u32::try_from(nozzles.len()).ok()?);
    let mean = |of: fn(&LookedAt) -> f64| nozzles.iter().map(|one| of(one)).sum::<f64>() / n;
    let first = nozzles.first()?;
    Some(LookedAt {
        of: first.of,
        before: mean(|one| one.before),
        after: mean(|one| one.after),
        uncertainty: mean(|one| one.uncertainty),
    })
}

fn fact_of<'s>(suspected: &'s Suspected, slot: &str) -> Option<&'s Fact> {
    let (_, fact) = suspected.facts.iter().find(|(name, _)| *name == slot)?;
    Some(fact)
}

/// Where a cause holds.
const PLACE: &str = "place";
/// What is written.
const WRITTEN: &str = "written";
/// What it is once mended.
const MENDED: &str = "mended";
/// The size of the tips that are fitted.
const SIZE: &str = "size";
/// By how much it is off.
const OFF: &str = "off";
/// Which way it is off.
const HIGH_OR_LOW: &str = "high-or-low";
/// The other way.
const LOW_OR_HIGH: &str = "low-or-high";
/// The one of two values that are exchanged.
const FIRST: &str = "first";
/// The other.
const SECOND: &str = "second";
