//! Every figure of a tree as rows of a table, one machine after another.

use super::check::{Settings, is_selected};
use super::in_order::{Waiting, in_order};
use super::places::Places;
use crate::assess::{
    self, Asked, CAUSE, CROSS_CHECK, Compared, Context, Contribution, FigureValue, Merged,
};
use crate::finding::At;
use crate::report::{self, FigureRow, FigureTable, FigureTotals};
use crate::tree::{Listing, MachineFiles, ReadFile, Reader, Store, Tree};
use crate::wording::compared_in_words;
use crate::wording::facts;
use crate::wording::shown::shown_in;
use crate::words::phrases;
use std::mem;

/// Every figure of the machines of a tree.
pub fn figures(listing: &Listing, read: &ReadFile<'_>, settings: &Settings) -> FigureTable {
    let mut rows = Vec::new();
    let totals = each_figure(listing, read, settings, &|_| true, |of_machine| {
        rows.extend(of_machine);
    });
    FigureTable { rows, totals }
}

/// Gives the wanted figures of one machine after another to `take`, in the order of their names.
///
/// Memory follows the largest machines that are worked on at a time, not the fleet.
pub fn each_figure(
    listing: &Listing,
    read: &ReadFile<'_>,
    settings: &Settings,
    is_wanted: &(dyn Fn(&str) -> bool + Sync),
    mut take: impl FnMut(Vec<FigureRow>),
) -> FigureTotals {
    let tree = Tree::of(listing);
    let reader = Reader::new(Store::Passing(read), &tree);
    let context = Context::read(&reader, settings.today, Merged::new());
    let mut totals = FigureTotals {
        failures: context.texts.failures.clone(),
        unreadable: context.texts.unreadable.len(),
    };
    let is_asked_for = |machine: &&MachineFiles| {
        let mut files = machine.all();
        files.any(|file| is_selected(tree.path(file), &settings.selected))
    };
    let machines: Vec<&MachineFiles> = tree.machines.iter().filter(is_asked_for).collect();
    let asked = Asked {
        figures: (!settings.causes).then_some(is_wanted),
        compares_causes: settings.causes,
        ..Asked::default()
    };
    in_order(
        &machines,
        Waiting::Little,
        |machine: &&MachineFiles| {
            let mut assessment = assess::assess(&context, &reader, machine, asked);
            let values = mem::take(&mut assessment.figures);
            let mut rows = rows(values, &reader, settings);
            rows.extend(compared(&assessment.compared, &reader, settings));
            (rows, assessment.texts)
        },
        |(rows, texts)| {
            totals.failures.extend(texts.failures);
            totals.unreadable += texts.unreadable.len();
            take(rows);
        },
    );
    totals.failures.sort();
    totals
}

/// Figures that were asked for, as rows.
pub fn rows(values: Vec<FigureValue>, reader: &Reader<'_>, settings: &Settings) -> Vec<FigureRow> {
    let mut places = Places::new(reader);
    let selected = values.into_iter().filter(|value| {
        let path = reader.tree.path(value.subject.file);
        is_selected(path, &settings.selected)
    });
    selected.map(|value| row(&value, &mut places)).collect()
}

/// The causes of each visit beside the others, as rows: shares and cross-checks in percent.
fn compared(compared: &[Compared], reader: &Reader<'_>, settings: &Settings) -> Vec<FigureRow> {
    let mut places = Places::new(reader);
    let selected = compared
        .iter()
        .filter(|one| is_selected(reader.tree.path(one.subject.file), &settings.selected));
    selected.map(|one| compared_row(one, &mut places)).collect()
}

fn compared_row(compared: &Compared, places: &mut Places<'_>) -> FigureRow {
    let Compared { at, subject, line } = compared;
    let (figure, part, ratio, expanded, working) = match line {
        assess::Line::Cause { id, share, .. } => (CAUSE, id.clone(), *share, None, line),
        assess::Line::CrossCheck(check) => {
            let part = facts::fact(&check.what);
            (CROSS_CHECK, part, check.before, Some(check.expanded), line)
        }
    };
    FigureRow {
        figure,
        machine: at.machine.clone(),
        date: at.date,
        setup: at
            .setup
            .as_deref()
            .map(|name| phrases::name(name).into_owned()),
        stage: None,
        part,
        value: Ok(100.0 * ratio),
        expanded: expanded.map(|expanded| 100.0 * expanded),
        unit: "%".to_owned(),
        place: places.at(*subject),
        contributions: Vec::new(),
        working: Some(compared_in_words(working)),
    }
}

fn row(value: &FigureValue, places: &mut Places<'_>) -> FigureRow {
    let At {
        machine,
        date,
        setup,
        stage,
        ..
    } = &value.at;
    let shown_in = shown_in(value.shown_as, value.unit);
    FigureRow {
        figure: value.figure,
        machine: machine.clone(),
        date: *date,
        setup: setup
            .as_deref()
            .map(|name| phrases::name(name).into_owned()),
        stage: stage.map(facts::stage),
        part: part(&value.at, value.is_of_any_step),
        value: match &value.value {
            Ok(value) => Ok(shown_in.value(*value)),
            Err(unavailable) => Err(unavailable.because.clone()),
        },
        expanded: value.expanded.map(|expanded| shown_in.value(expanded)),
        unit: shown_in.name,
        place: places.at(value.subject),
        contributions: value
            .contributions
            .iter()
            .map(|Contribution { what, share, place }| report::Contribution {
                what: what.words(),
                share: *share,
                place: place.map(|place| places.at(place)),
            })
            .collect(),
        working: value.working.as_ref().map(facts::working),
    }
}

/// The part in words; a figure of any step says of which.
fn part(at: &At, is_of_any_step: bool) -> String {
    match at.step {
        Some(step) if is_of_any_step && at.is_whole => step.test().to_owned(),
        Some(_) | None => facts::fact(&at.part),
    }
}
