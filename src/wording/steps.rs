//! Why a step is due, in words.

use super::facts::fact;
use super::findings;
use crate::assess::{
    Bring, CatchTarget, Group, HeldAgainst, NotCountedTest, State, StepStanding, Target, UndoneBy,
    Used,
};
use crate::finding::Finding;
use crate::procedure::Step;
use crate::rule::Limit;
use crate::words;
use jiff::civil::Date;

/// Why a step stands as it does, and what to do where that is more than to do the step.
#[derive(Debug, Clone, Default)]
pub struct Because {
    /// Why, in one line.
    pub because: String,
    /// What to do, beginning with a verb.
    pub to_do: Option<String>,
    /// The interval and who set it: `12 months, group decision of 2026-01-10`.
    pub interval: Option<String>,
}

impl Because {
    fn only(because: impl Into<String>) -> Self {
        Self {
            because: because.into(),
            ..Self::default()
        }
    }
}

/// Why a step that is due stands so; `left_failing` are the findings of its machine's visits.
///
/// A step that is current is due by `next`, the interval that runs out first.
pub fn because(
    step: &StepStanding,
    next: Option<&HeldAgainst>,
    left_failing: &[Finding],
    group: &Group,
    today: Date,
) -> Because {
    let mut because = of_state(step, next, left_failing, group, today);
    if let Some(test) = &step.not_counted {
        let told = not_counted(step.step, test);
        because.because = if matches!(step.state, State::NeverDone) {
            told
        } else {
            format!("{}; {told}", because.because)
        };
    }
    because
}

/// That a test does not count, and why: `the catch test of 2026-05-30 does not count: nozzles 7 and 9 of 9 were not caught`.
pub fn not_counted(step: Step, test: &NotCountedTest) -> String {
    let (day, lacking) = (words::dates::date(test.day), fact(&test.lacking));
    let stands = if test.is_begun {
        "is begun and not filled in"
    } else {
        "does not count"
    };
    format!("the {} of {day} {stands}: {lacking}", step.test())
}

fn of_state(
    step: &StepStanding,
    next: Option<&HeldAgainst>,
    left_failing: &[Finding],
    group: &Group,
    today: Date,
) -> Because {
    match &step.state {
        State::NeverDone => Because::only("no record shows that it was done"),
        State::UnreadVisit(_) => Because::only("a visit that cannot be read may be the latest"),
        State::Void(by) => Because {
            to_do: by
                .nozzles
                .as_ref()
                .map(|nozzles| format!("catch {} again at the working pressure", fact(nozzles))),
            ..undone(by)
        },
        State::Failing { finding, .. } | State::RecordToCorrect { finding, .. } => {
            found(*finding, left_failing, group)
        }
        State::Recheck(by) => undone(by),
        State::UnreadWork(_) => {
            Because::only("a service record that cannot be read may tell of work since")
        }
        State::Overdue(first) => interval_of(step, step.intervals.get(*first), today),
        State::Current => match (next, step.let_pass) {
            (None, Some((finding, _))) => found(finding, left_failing, group),
            (next, _) => interval_of(step, next, today),
        },
    }
}

/// What the visit that last did a step was left with.
fn found(finding: usize, left_failing: &[Finding], group: &Group) -> Because {
    let Some(finding) = left_failing.get(finding) else {
        return Because::default();
    };
    let words = findings::words(finding, group);
    let explained = if finding.heaviest_name() == finding.name() {
        String::new()
    } else {
        format!("; this explains an error, {}", finding.heaviest_name())
    };
    Because {
        because: format!("{}{explained} [{}]", words.message(), words.rule()),
        to_do: words.help_text().map(str::to_owned),
        interval: None,
    }
}

/// Something to bring: `tips of size 06 (15 on the boom)`.
pub fn bring(thing: &Bring) -> String {
    match thing {
        Bring::Thing(name) => (*name).to_owned(),
        Bring::Tips {
            size,
            flow,
            pressure,
            count,
        } => {
            let rated = match size {
                Some(size) => format!("of size {size}"),
                None => format!("rated {flow} at {pressure}"),
            };
            let count = count.map_or_else(String::new, |count| format!(" ({count} on the boom)"));
            format!("spare tips {rated}{count}")
        }
    }
}

/// What a step aims at: `36.4 fl oz from each nozzle in 30 s at 36 psi (low 32.8, high 40.0)`.
pub fn target(target: &Target) -> String {
    match target {
        Target::Catch(target) => catch_target(target),
        Target::Factor {
            name,
            factor,
            left,
            given,
        } => {
            let left = words::dates::date(*left);
            match given {
                Some(given) => format!(
                    "{name} {}; factor now in the console: {factor}, as last left on {left}",
                    fact(given)
                ),
                None => format!("{name} {factor}, as last left on {left}"),
            }
        }
    }
}

fn catch_target(target: &CatchTarget) -> String {
    let CatchTarget {
        unit,
        rated,
        within,
        average_within: _,
        duration,
        pressure,
    } = target;
    let decimals = words::numbers::decimals_of_three_digits(*rated);
    let amount = unit.behind(&words::numbers::number(*rated, decimals));
    let duration = duration.map_or_else(String::new, |duration| format!(" in {duration}"));
    let within = within.map_or_else(String::new, |within| {
        let (low, high) = words::numbers::inward(within, decimals);
        format!(" (low {low}, high {high})")
    });
    format!("{amount} from each nozzle{duration} at {pressure}{within}")
}

fn undone(by: &UndoneBy) -> Because {
    Because::only(format!(
        "on {} {}; {}",
        words::dates::date(by.undone.day),
        fact(&by.work),
        by.undone.because
    ))
}

fn interval_of(step: &StepStanding, against: Option<&HeldAgainst>, today: Date) -> Because {
    let (Some(done), Some(against)) = (step.done, against) else {
        return Because::default();
    };
    let done = words::dates::date(done.day);
    let limit = &against.limit;
    let bound = limit.bound.in_words();
    let because = match &against.used {
        Used::Calendar { laid_up: 0 } => format!("last done on {done}, good for {bound}"),
        Used::Calendar { laid_up } => {
            let laid_up = words::phrases::plural(*laid_up as usize, "day");
            format!("last done on {done}, good for {bound} and the {laid_up} laid up")
        }
        Used::Hours { hours, now } => {
            let used = words::numbers::number(*hours, 1);
            let read = words::dates::date(now.day);
            let day = words::dates::date(against.due);
            let forecast = if against.is_over {
                String::new()
            } else if against.due < today {
                format!("; at this rate of use, used up about {day}: read the hour meter")
            } else {
                format!("; at this rate of use, due about {day}")
            };
            format!(
                "{used} h of use since {done}, good for {bound}; read {} on {read}{forecast}",
                now.quantity
            )
        }
        Used::Applications { made, is_used_up } => {
            let made = words::phrases::plural(*made, "application");
            let none_left = if *is_used_up { ": none is left" } else { "" };
            format!("{made} since {done}, good for {bound}{none_left}")
        }
    };
    let is_used_up = matches!(
        against.used,
        Used::Applications {
            is_used_up: true,
            ..
        }
    );
    Because {
        to_do: is_used_up
            .then(|| format!("do the {} again before the next spraying", step.step.test())),
        interval: Some(interval(&against.used, limit)),
        ..Because::only(because)
    }
}

/// The interval and who set it, why: `50 h of use, group decision of 2026-01-10`.
fn interval(used: &Used, limit: &Limit) -> String {
    let bound = limit.bound.in_words();
    let interval = match used {
        Used::Calendar { .. } => bound,
        Used::Hours { .. } => format!("{bound} of use"),
        Used::Applications { .. } if bound == "1" => "1 application".to_owned(),
        Used::Applications { .. } => format!("{bound} applications"),
    };
    let because = limit.set_at.as_ref().and_then(|set| set.because.as_ref());
    match because {
        Some(because) => format!("{interval}, {because}"),
        None => interval,
    }
}
