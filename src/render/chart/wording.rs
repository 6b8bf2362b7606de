//! The words of what fits, for people: the same in a terminal and in a page.
//!
//! Text of a record in them is not yet cleaned.

use crate::chart::{Average, Chart, FittedTips, Kind, Mark, NoAverage, Row, SetupChart, Share};
use crate::outcome::{Reach, Tips};
use crate::quantity::Quantity;
use crate::wording::facts::fact;
use crate::words::dates;
use crate::words::numbers;
use crate::words::phrases::{list, name, plural};

/// Digits behind the point at most.
const MOST_DECIMALS: usize = 5;

/// What whoever sets a machine takes care of; common practice, no source.
pub(super) const CAUTIONS: [&str; 3] = [
    "the label decides the rate, the droplet size, and the pressure",
    "never exceed the pressure that the tips and the hoses are made for",
    "after a change of tips, pressure, or speed, make a catch test before you spray",
];

/// What each kind of value is called.
pub(super) const fn kind(kind: Kind) -> &'static str {
    match kind {
        Kind::Flow => "flow",
        Kind::Pressure => "pressure",
        Kind::Catch => "catch",
        Kind::Rate => "rate",
        Kind::Speed => "speed",
    }
}

/// Which tips a value is of, in a word.
pub(super) const fn tips(tips: Tips) -> &'static str {
    match tips {
        Tips::New => "new",
        Tips::AsCaught => "as caught",
    }
}

/// What keeps a value from being so, in a word for programs; none of what has no bound.
pub(super) const fn mark(mark: Mark) -> &'static str {
    match mark {
        Mark::Pressure { reach, has_range } => match reach {
            Reach::Within if has_range => "in-range",
            Reach::Within => "range-not-known",
            Reach::BeyondGauge => "beyond-gauge",
            Reach::BelowTips => "below-tips",
            Reach::AboveTips => "above-tips",
            Reach::FarOff => "far-from-setup",
        },
        Mark::TooLowToTell => "too-low-to-tell",
        Mark::BeyondJug => "beyond-jug",
    }
}

/// What is told of a setup at the top, each as a caption and a text.
pub(super) fn facts(chart: &Chart, setup: &SetupChart) -> Vec<(&'static str, String)> {
    let mut told = Vec::new();
    let written = |quantity: Option<Quantity>| quantity.map(|quantity| quantity.to_string());
    let [rate, speed] = [setup.rate, setup.speed].map(written);
    let wanted = rate
        .zip(speed)
        .map(|(rate, speed)| format!("{rate} at {speed}"));
    let spacing = written(setup.spacing).map(|spacing| format!("{spacing} spacing"));
    let asked: Vec<String> = wanted.into_iter().chain(spacing).collect();
    if !asked.is_empty() {
        let caption = if chart.is_wanted { "wanted" } else { "setup" };
        told.push((caption, asked.join(", ")));
    }
    if let Some(fitted) = &setup.fitted {
        told.push(("tips fitted", tips_fitted(fitted)));
    }
    told.extend(pressure(chart, setup).map(|pressure| ("pressure", pressure)));
    if !setup.lacking.is_empty() {
        let keys = list(&setup.lacking, "and");
        told.push((
            "missing",
            format!(
                "the machine file gives no {keys} above zero: some values cannot be calculated"
            ),
        ));
    }
    if let Some(sum) = &setup.sum {
        let caption = if sum.is_kept {
            "adds up"
        } else {
            "does not add up"
        };
        told.push((caption, format!("{} [{}]", sum.message, sum.rule)));
    }
    if setup.fitted.is_some() {
        told.push(("as caught", as_caught(&setup.average)));
    }
    let flow = setup.rows.iter().find(|row| row.kind == Kind::Flow);
    if let Some(flow) = flow {
        told.push(("flow of a nozzle", value(flow)));
    }
    if let Some(ratio) = setup.mix_over_water {
        let more = numbers::significant(ratio, 3);
        told.push((
            "mix",
            format!("the pressures here are for water; the mix of the setup takes {more} times the pressure"),
        ));
    }
    told
}

/// The pressure of the setup; for what is wanted the one of its tips beside it.
fn pressure(chart: &Chart, setup: &SetupChart) -> Option<String> {
    let own = setup.pressure.map(|(pressure, reach)| {
        let beyond = beyond(reach, setup).map_or_else(String::new, |beyond| format!(", {beyond}"));
        format!("{pressure}{beyond}")
    });
    if !chart.is_wanted {
        return own;
    }
    let own = own.map_or_else(String::new, |own| format!("; the setup's is {own}"));
    Some(match setup.working_pressure {
        Some(working) => format!("{working} for the tips fitted{own}"),
        None => format!("none that can be set for the tips fitted{own}"),
    })
}

fn tips_fitted(fitted: &FittedTips) -> String {
    let rating = format!("{} at {}", fitted.flow, fitted.pressure);
    let range = match &fitted.range {
        Some([from, to]) => format!("range {from} to {to}; other sizes too, if of the same kind"),
        None => "range not known: the machine file gives no pressure-range".to_owned(),
    };
    match &fitted.size {
        Some(size) => format!("size {} ({rating}); {range}", name(size)),
        None => format!("rated {rating}; {range}"),
    }
}

fn as_caught(average: &Result<Average, NoAverage>) -> String {
    match average {
        Ok(average) => {
            let [off, expanded] = [average.off_rated, average.expanded].map(|one| 100.0 * one);
            let decimals = numbers::decimals_for(Some(expanded), Some(1), off, &[]);
            let day = dates::date(average.day);
            let off_by = numbers::with_uncertainty(off.abs(), expanded, decimals);
            let is_at_rated = numbers::number(off, decimals) == numbers::number(0.0, decimals);
            let side = match off {
                _ if is_at_rated => "off",
                below if below < 0.0 => "below",
                _ => "over",
            };
            format!("on {day} the boom averaged {off_by}% {side} rated flow")
        }
        Err(none) => format!("not known: {}", no_average(none)),
    }
}

/// Why it is not known what the tips put out.
pub(super) fn no_average(none: &NoAverage) -> String {
    match none {
        NoAverage::NeverCaught => "no catch test of these tips counts".to_owned(),
        NoAverage::Unread => "a visit that cannot be read may be the latest".to_owned(),
        NoAverage::Void { day, work } => {
            format!(
                "the last catch test is void: {} on {}",
                fact(work),
                dates::date(*day)
            )
        }
        NoAverage::RecordToCorrect(day) => {
            format!(
                "correct the record of {} first: see `swathlint check`",
                dates::date(*day)
            )
        }
        NoAverage::NoneTold(day) => {
            format!(
                "the catch test of {} gives no boom average",
                dates::date(*day)
            )
        }
    }
}

/// A part of what fits: its heading, its lines, and what makes its uncertainty.
pub(super) struct Part<'c> {
    pub(super) heading: String,
    /// What the values of a line hold for, of new tips and as caught.
    pub(super) lines: Vec<Line<'c>>,
    pub(super) target: Option<String>,
    pub(super) sources: Option<String>,
}

/// The values of one size, time or speed.
pub(super) struct Line<'c> {
    pub(super) what: String,
    pub(super) new: Option<&'c Row>,
    pub(super) as_caught: Option<&'c Row>,
}

/// The parts of a setup in the order they are told.
pub(super) fn parts(setup: &SetupChart) -> Vec<Part<'_>> {
    let of = |kinds: &[Kind]| -> Vec<&Row> {
        let rows = setup.rows.iter();
        rows.filter(|row| kinds.contains(&row.kind)).collect()
    };
    let at_pressure = setup
        .working_pressure
        .map_or_else(String::new, |pressure| format!(" at {pressure}"));
    let for_rate = || {
        let (rate, speed) = (setup.rate?, setup.speed?);
        Some(format!("pressure for {rate} at {speed}"))
    };
    let parts = [
        (for_rate().unwrap_or_default(), of(&[Kind::Pressure]), None),
        (
            format!("catch of one nozzle{at_pressure}, clean water"),
            of(&[Kind::Catch]),
            setup.target.clone(),
        ),
        (
            format!("rate and speed{at_pressure}"),
            of(&[Kind::Rate, Kind::Speed]),
            None,
        ),
    ];
    let told = parts.into_iter().filter(|(_, rows, _)| !rows.is_empty());
    told.map(|(heading, rows, target)| Part {
        heading,
        sources: sources(&rows),
        lines: lines(&rows),
        target,
    })
    .collect()
}

fn lines<'c>(rows: &[&'c Row]) -> Vec<Line<'c>> {
    let mut lines: Vec<Line<'c>> = Vec::new();
    for row in rows {
        let what = what(row);
        if let Some(last) = lines.last_mut().filter(|last| last.is_unable_with(row)) {
            last.what = format!("{}, {}", last.what, what.trim_start_matches("size "));
            continue;
        }
        if lines.last().is_none_or(|last| last.what != what) {
            lines.push(Line {
                what,
                new: None,
                as_caught: None,
            });
        }
        if let Some(line) = lines.last_mut() {
            match row.tips {
                Tips::New => line.new = Some(row),
                Tips::AsCaught => line.as_caught = Some(row),
            }
        }
    }
    lines
}

impl Line<'_> {
    /// Whether another size is as far beyond the gauge, so that both are told in one line.
    fn is_unable_with(&self, row: &Row) -> bool {
        let is_beyond = |row: &Row| {
            let is_beyond = matches!(
                row.mark,
                Some(Mark::Pressure {
                    reach: Reach::BeyondGauge,
                    ..
                })
            );
            is_beyond && !row.is_fitted
        };
        is_beyond(row) && self.as_caught.is_none() && self.new.is_some_and(is_beyond)
    }
}

/// What a value of its part holds for: `size 06, fitted`, `30 s`, `4.2 mph`.
fn what(row: &Row) -> String {
    let written = |quantity: Option<Quantity>| quantity.map(|one| one.to_string());
    match row.kind {
        Kind::Flow => "each nozzle".to_owned(),
        Kind::Pressure => {
            let size = row
                .size
                .as_deref()
                .map(|size| format!("size {}", name(size)));
            match (size, row.is_fitted) {
                (Some(size), true) => format!("{size}, fitted"),
                (Some(size), false) => size,
                (None, _) => "fitted".to_owned(),
            }
        }
        Kind::Catch => written(row.duration).unwrap_or_else(|| "flow".to_owned()),
        Kind::Rate => written(row.speed).unwrap_or_default(),
        Kind::Speed => {
            let rate = written(row.rate).unwrap_or_default();
            format!("speed for {rate}")
        }
    }
}

/// A value with its uncertainty and what bounds it, for people: no number beyond what can be set or read.
pub(super) fn told(row: &Row, setup: &SetupChart) -> String {
    match row.mark {
        Some(Mark::Pressure {
            reach: reach @ Reach::BeyondGauge,
            ..
        }) => beyond(reach, setup).unwrap_or_default(),
        Some(Mark::TooLowToTell) => "too low for the gauge to tell".to_owned(),
        Some(Mark::Pressure { reach, has_range }) => match beyond(reach, setup) {
            Some(beyond) => format!("{}, {beyond}", value(row)),
            None if has_range => format!("{}, in range", value(row)),
            None => value(row),
        },
        Some(Mark::BeyondJug) => format!("{}, more than the jug holds", value(row)),
        None => value(row),
    }
}

/// What a pressure is beyond; none where it may be set.
fn beyond(reach: Reach, setup: &SetupChart) -> Option<String> {
    let [from, to] = match setup.fitted.as_ref().and_then(|fitted| fitted.range) {
        Some(range) => range.map(|end| end.to_string()),
        None => [String::new(), String::new()],
    };
    Some(match reach {
        Reach::Within => return None,
        Reach::BeyondGauge => match setup.gauge {
            Some(gauge) if gauge.is_declared => format!("beyond the gauge ({})", gauge.most),
            Some(gauge) => format!("beyond an undeclared gauge (assumed {})", gauge.most),
            None => "beyond the gauge".to_owned(),
        },
        Reach::BelowTips => format!("below the range of the tips ({from})"),
        Reach::AboveTips => format!("above the range of the tips ({to})"),
        Reach::FarOff => match setup.pressure {
            Some((pressure, _)) => format!("far from the setup's {pressure}"),
            None => "far from the setup's pressure".to_owned(),
        },
    })
}

/// `35.6 ± 4.2 psi`.
pub(super) fn value(row: &Row) -> String {
    let number = match row.expanded {
        Some(expanded) => {
            let most = Some(MOST_DECIMALS);
            let decimals = numbers::decimals_for(Some(expanded), most, row.value, &[]);
            numbers::with_uncertainty(row.value, expanded, decimals)
        }
        None => numbers::significant(row.value, 4),
    };
    row.unit.behind(&number)
}

/// What makes the uncertainty of a part: of the tips that are fitted, else of the first.
fn sources(rows: &[&Row]) -> Option<String> {
    let of = |wanted: Tips| {
        let mut of_tips = rows.iter().filter(|row| row.tips == wanted);
        let first = of_tips.clone().next();
        of_tips.find(|row| row.is_fitted).or(first)
    };
    let named = [Tips::New, Tips::AsCaught]
        .into_iter()
        .filter_map(|wanted| {
            let shares = of(wanted)?.shares.iter();
            let shares: Vec<String> = shares.map(share).collect();
            let of_tips = match wanted {
                Tips::New => "new tips",
                Tips::AsCaught => "as caught",
            };
            (!shares.is_empty()).then(|| format!("{of_tips}: {}", shares.join(", ")))
        });
    let named: Vec<String> = named.collect();
    (!named.is_empty()).then(|| named.join("; "))
}

fn share(share: &Share) -> String {
    format!("{} {}", share.what, numbers::percent(share.share, 0))
}

/// What `±` is.
pub(super) fn coverage(chart: &Chart) -> String {
    let factor = numbers::number(
        chart.coverage_factor,
        numbers::decimals_needed(chart.coverage_factor, 2),
    );
    let setups = plural(chart.setups.len(), "setup");
    format!(
        "{setups} of {}; ± is the expanded uncertainty, k = {factor}; as on {}",
        chart.machine,
        dates::date(chart.today)
    )
}
