//! What a mixing card says, part by part, for the formats that people read.

use crate::tank_mix::{Basis, Card, Mix};
use crate::wording::tank::{self as wording, marked};
use crate::words::{dates, phrases};

/// A part of a card.
pub(super) struct Section {
    pub(super) title: String,
    pub(super) lines: Vec<Line>,
    /// Whether it keeps somebody from spraying.
    pub(super) is_against: bool,
}

/// A line of a part; what belongs to it stands below it.
pub(super) struct Line {
    pub(super) says: String,
    pub(super) below: Vec<String>,
}

impl Line {
    const fn alone(says: String) -> Self {
        Self {
            says,
            below: Vec::new(),
        }
    }
}

/// The heading of a card.
pub(super) fn heading(card: &Card) -> String {
    let nominal = match card.basis {
        Basis::Actual => "",
        Basis::Nominal => "nominal ",
    };
    format!(
        "{nominal}mixing card of {}, {}, for {} on {}",
        phrases::name(&card.machine),
        phrases::name(&card.setup),
        card.area,
        dates::date(card.today)
    )
}

/// Every part of a card below its heading: what speaks against it, and what it warns of, before any number.
pub(super) fn sections(card: &Card) -> Vec<Section> {
    let mut sections = Vec::new();
    if let Err(refusals) = &card.outcome {
        sections.push(refused(refusals.iter().map(wording::against)));
    } else if card.basis == Basis::Nominal {
        sections.push(Section {
            is_against: true,
            ..of_words(
                "NOMINAL: no calibration stands behind these numbers",
                [wording::NOMINAL],
            )
        });
    }
    if !card.warnings.is_empty() {
        let warnings = card.warnings.iter().map(wording::warning);
        sections.push(of_words("warnings", warnings));
    }
    if let Ok(mix) = &card.outcome {
        sections.push(rate(card, mix));
        sections.push(loads(card, mix));
        let beside = wording::beside(card, mix);
        if !beside.is_empty() {
            sections.push(of_words("nominal beside actual", beside));
        }
        sections.push(of_words("not known", wording::NOT_KNOWN));
        sections.push(of_words("cautions", wording::CAUTIONS));
    }
    sections
}

fn of_words<T: Into<String>>(title: &str, lines: impl IntoIterator<Item = T>) -> Section {
    let lines = lines.into_iter().map(|line| Line::alone(line.into()));
    Section {
        title: title.to_owned(),
        lines: lines.collect(),
        is_against: false,
    }
}

fn refused(reasons: impl Iterator<Item = wording::Against>) -> Section {
    let lines = reasons.map(|against| {
        let mut below = vec![format!("do: {}", against.to_do)];
        below.extend(against.at.as_ref().map(wording::place));
        Line {
            says: against.says,
            below,
        }
    });
    Section {
        title: "no quantities".to_owned(),
        lines: lines.collect(),
        is_against: true,
    }
}

fn rate(card: &Card, mix: &Mix) -> Section {
    let mut lines = vec![Line::alone(match (mix.basis, card.told_by) {
        (Basis::Actual, Some(by)) => format!("{}, {by}", wording::rate(mix)),
        (Basis::Actual, None) => wording::rate(mix),
        (Basis::Nominal, _) => marked(&wording::rate(mix), mix.basis),
    })];
    let tests = wording::last_tests(card);
    if !tests.is_empty() {
        lines.push(Line::alone(format!("last tests: {}", tests.join(", "))));
    }
    lines.extend(wording::spray_at(card).map(Line::alone));
    let covers = wording::area(mix.area_of_tank, card);
    lines.push(Line::alone(format!(
        "a full tank of {} covers {}",
        marked(&card.tank.to_string(), mix.basis),
        marked(&covers, mix.basis)
    )));
    Section {
        title: format!("{} rate", mix.basis.word()),
        lines,
        is_against: false,
    }
}

fn loads(card: &Card, mix: &Mix) -> Section {
    let basis = mix.basis;
    let number = |text: &str| marked(text, basis);
    let loads = mix.loads.iter().enumerate().map(|(at, load)| {
        let each = if load.count == 1 { "" } else { " each" };
        let (fill, area) = (wording::measured(load.fill), wording::area(load.area, card));
        let products = mix.products.iter().map(|product| {
            let amount = wording::measured(product.amounts[at]);
            format!(
                "{}: {}{each}",
                phrases::name(&product.name),
                number(&amount)
            )
        });
        Line {
            says: format!(
                "{}: fill{each} up to {}, for {}{each}",
                number(&wording::load(load, mix)),
                number(&fill),
                number(&area)
            ),
            below: products.collect(),
        }
    });
    let mut lines: Vec<Line> = loads.collect();
    let total = mix.products.iter().map(|product| {
        let amount = wording::measured(product.total);
        let name = phrases::name(&product.name);
        let rate = number(&product.rate.to_string());
        format!("{name}: {}, at {rate}", number(&amount))
    });
    lines.push(Line {
        says: format!(
            "all loads: {} for {}",
            number(&wording::measured(mix.total)),
            number(&card.area.to_string())
        ),
        below: total.collect(),
    });
    let count: u32 = mix.loads.iter().map(|load| load.count).sum();
    Section {
        title: number(&phrases::plural(count as usize, "load")),
        lines,
        is_against: false,
    }
}
