//! From an explanation as data to what the user reads: what is wrong, what speaks for it, what to do next.

use super::facts;
use crate::cause::{Cause, CauseSet};
use crate::diagnostic::{Diagnostic, Held, Label, Severity};
use crate::finding::{CrossChecked, Explained, Judged, Suspected};
use crate::outcome::Part;
use crate::words::{numbers, phrases, slots};

/// So many cross-checks are told of each kind; all of them are in the formats for programs.
const MOST_TOLD: usize = 3;

/// An explanation in words.
pub(super) fn diagnostic(explained: &Explained, causes: &CauseSet) -> Diagnostic {
    let likeliest = &explained.likeliest;
    let rival = explained.rival.as_ref();
    let text = |suspected: &Suspected| {
        let (_, cause) = causes.find(&suspected.id)?;
        Some(message(cause, suspected))
    };
    let own = text(likeliest).unwrap_or_default();
    let message = match rival.and_then(|rival| Some((rival, text(rival)?))) {
        Some((rival, other)) => format!(
            "either {own} ({}), or {other} ({})",
            share(likeliest),
            share(rival)
        ),
        None => own,
    };
    let message = match also_possible(explained, causes) {
        Some(others) => format!("{message}; also possible: {others}"),
        None => message,
    };
    let label = Label::new(likeliest.subject, facts_of(likeliest, "place"));
    let finding = Diagnostic::new(likeliest.id.clone(), explained.severity, message, label)
        .of_machine(explained.at.machine.clone());
    let also = likeliest.also.iter().map(|place| Label::new(*place, ""));
    let of_rival = rival.map(|rival| Label::new(rival.subject, facts_of(rival, "place")));
    let of_rival = of_rival.filter(|label| label.place != likeliest.subject);
    let finding = also
        .take(MOST_TOLD)
        .chain(of_rival)
        .fold(finding, Diagnostic::also);
    let finding = match speaking(explained) {
        Some(speaking) => finding.worked_out(speaking),
        None => finding,
    };
    let held = explained.held.iter().map(|held| Held {
        rule: held.name.clone(),
        severity: held.severity,
    });
    finding
        .help(next(explained, causes))
        .holding(held.collect())
        .naming_held(by_place(&explained.held))
}

/// What is explained, worst first, each rule with its places: `explains 9 errors nozzle-off-rated (nozzles 1 to 9)`.
fn by_place(held: &[Judged]) -> String {
    let mut groups: Vec<((Severity, &str), Vec<&Judged>)> = Vec::new();
    for one in held {
        let key = (one.severity, one.name.as_str());
        match groups.iter_mut().find(|(own, _)| *own == key) {
            Some((_, all)) => all.push(one),
            None => groups.push((key, vec![one])),
        }
    }
    groups.sort_by_key(|(key, _)| std::cmp::Reverse(key.0));
    let told = groups.into_iter().map(|((severity, rule), all)| {
        let count = phrases::plural(all.len(), severity.word());
        match places(&all) {
            Some(places) => format!("{count} {rule} ({places})"),
            None => format!("{count} {rule}"),
        }
    });
    let told: Vec<String> = told.collect();
    format!("explains {}", phrases::list(&told, "and"))
}

/// Nozzles in runs, other parts by name; none where all are of the whole.
fn places(all: &[&Judged]) -> Option<String> {
    let number = |judged: &&Judged| match judged.key.part {
        Part::Nozzle { number, .. } => Some(number),
        Part::Whole | Part::Section(_) | Part::SectionsOff(_) | Part::Test(_) => None,
    };
    let mut nozzles: Vec<u16> = all.iter().filter_map(number).collect();
    nozzles.sort_unstable();
    nozzles.dedup();
    let mut runs: Vec<(u16, u16)> = Vec::new();
    for nozzle in &nozzles {
        match runs.last_mut() {
            Some((_, last)) if *last + 1 == *nozzle => *last = *nozzle,
            _ => runs.push((*nozzle, *nozzle)),
        }
    }
    let runs = runs
        .into_iter()
        .flat_map(|(first, last)| match last - first {
            0 => vec![first.to_string()],
            1 => vec![first.to_string(), last.to_string()],
            _ => vec![format!("{first} to {last}")],
        });
    let runs: Vec<String> = runs.collect();
    let noun = if nozzles.len() == 1 {
        "nozzle"
    } else {
        "nozzles"
    };
    let of_nozzles = (!runs.is_empty()).then(|| format!("{noun} {}", phrases::list(&runs, "and")));
    let others = all
        .iter()
        .filter(|judged| number(judged).is_none() && !judged.at.is_whole);
    let others = others.map(|judged| facts::fact(&judged.at.part));
    let mut named: Vec<String> = of_nozzles.into_iter().chain(others).collect();
    named.dedup();
    (!named.is_empty()).then(|| named.join(", "))
}

/// What a cause says, with the numbers of the visit.
fn message(cause: &Cause, suspected: &Suspected) -> String {
    slots::filled(&cause.message, |slot| facts_of(suspected, slot))
}

fn facts_of(suspected: &Suspected, slot: &str) -> String {
    let mut facts = suspected.facts.iter();
    let fact = facts.find(|(name, _)| *name == slot);
    fact.map_or_else(
        || "an unknown value".to_owned(),
        |(_, fact)| facts::fact(fact),
    )
}

/// The causes that are not named in full, each by its title: `the pressure gauge reads wrong (13%)`.
fn also_possible(explained: &Explained, causes: &CauseSet) -> Option<String> {
    let others = explained.others.iter().filter_map(|(id, share)| {
        let (_, cause) = causes.find(id)?;
        Some(format!(
            "{} ({})",
            cause.title.to_lowercase(),
            percent(*share)
        ))
    });
    let others: Vec<String> = others.collect();
    (!others.is_empty()).then(|| phrases::list(&others, "or"))
}

/// How likely a cause is, in whole percent; never all of it.
fn share(suspected: &Suspected) -> String {
    percent(suspected.share)
}

fn percent(share: f64) -> String {
    numbers::number((100.0 * share).min(99.0), 0) + "%"
}

/// What speaks for the likeliest cause, and what against the other one or against it.
fn speaking(explained: &Explained) -> Option<String> {
    let Explained {
        likeliest, rival, ..
    } = explained;
    let mut told = Vec::new();
    let checks = |all: &[CrossChecked]| -> Vec<String> {
        let mut all: Vec<&CrossChecked> = all.iter().collect();
        all.sort_by(|one, other| moved(other).total_cmp(&moved(one)));
        all.into_iter().take(MOST_TOLD).map(check).collect()
    };
    let certain = if rival.is_none() {
        format!("{} likely", share(likeliest))
    } else {
        String::new()
    };
    let agrees = checks(&likeliest.agrees);
    if !agrees.is_empty() {
        told.push(format!("once mended: {}", phrases::list(&agrees, "and")));
    }
    let denies = checks(&likeliest.denies);
    if !denies.is_empty() {
        told.push(format!("against it: {}", phrases::list(&denies, "and")));
    }
    if let Some(rival) = rival {
        let denied = checks(&rival.denies);
        if !denied.is_empty() {
            told.push(format!(
                "against {}: {}",
                rival.id,
                phrases::list(&denied, "and")
            ));
        }
    }
    if !certain.is_empty() {
        told.push(certain);
    }
    (!told.is_empty()).then(|| told.join("; "))
}

fn moved(check: &CrossChecked) -> f64 {
    (check.before - check.after).abs()
}

/// `the known volume against the catch -0.9% (was +98.3%)`.
fn check(check: &CrossChecked) -> String {
    let CrossChecked {
        what,
        before,
        after,
        ..
    } = check;
    format!(
        "{} {} (was {})",
        facts::fact(what),
        numbers::signed_percent(*after, 1),
        numbers::signed_percent(*before, 1),
    )
}

/// So many steps of each of two causes are told behind the reading that tells them apart.
const STEPS_OF_EACH: usize = 4;

/// The next step: what tells two causes apart, then what to do about each.
fn next(explained: &Explained, causes: &CauseSet) -> String {
    let steps_of = |suspected: &Suspected| -> Vec<String> {
        let cause = causes.find(&suspected.id);
        let next = cause.into_iter().flat_map(|(_, cause)| &cause.next);
        let filled = next.map(|step| slots::filled(step, |slot| facts_of(suspected, slot)));
        filled.collect()
    };
    let own = steps_of(&explained.likeliest);
    let mut steps: Vec<String> = Vec::new();
    match &explained.rival {
        Some(rival) => {
            steps.extend(told_apart(&explained.likeliest, rival, causes));
            // What is right for one may be wrong for the other.
            for (suspected, next) in [(&explained.likeliest, own), (rival, steps_of(rival))] {
                let next: Vec<String> = next.into_iter().take(STEPS_OF_EACH).collect();
                let title = causes.find(&suspected.id).map(|(_, cause)| &cause.title);
                let title = title.map(|title| phrases::uncapitalized(title));
                steps.push(format!(
                    "if {}, {}",
                    title.unwrap_or_default(),
                    in_sentences(next)
                ));
            }
        }
        None => steps.extend(own),
    }
    if explained.is_in_record {
        steps.push(amends(&explained.likeliest));
    }
    in_sentences(steps)
}

/// Steps one after another, each a sentence; the first begins with a small letter.
fn in_sentences(steps: Vec<String>) -> String {
    let mut steps = steps.into_iter();
    let first = steps.next().unwrap_or_default();
    steps.fold(first, |text, step| {
        format!("{text}. {}", phrases::capitalized(&step))
    })
}

/// The reading that tells two causes apart, in the words of the one that names it.
fn told_apart(one: &Suspected, other: &Suspected, causes: &CauseSet) -> Option<String> {
    let of = |own: &Suspected, rival: &Suspected| {
        let (_, cause) = causes.find(&own.id)?;
        let text = cause.told_apart.get(&rival.id)?;
        Some(slots::filled(text, |slot| facts_of(own, slot)))
    };
    of(one, other).or_else(|| of(other, one))
}

/// The entry that a correction of a record that has merged needs.
fn amends(suspected: &Suspected) -> String {
    let what = facts_of(suspected, "place");
    let was = match suspected.facts.iter().find(|(slot, _)| *slot == "written") {
        Some((_, written)) => format!("was written as {}", facts::fact(written)),
        None => "was written wrong".to_owned(),
    };
    format!(
        "if the record has merged, add to it: `amends: [{{on: the day, by: your initials, why: {what} {was}}}]`"
    )
}
