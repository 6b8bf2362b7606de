//! The boom's nozzles numbered from the left, and the readings of a catch laid onto them.

use crate::diagnostic::{Diagnostic, Label, Severity};
use crate::record::calibration::{CatchTest, Caught, Cell, Reading, Readings, SectionReadings};
use crate::record::machine::{Boom, Section};
use crate::source::{FileId, Place, Span, Spanned};
use crate::words;

/// The name of the finding of a section that the boom does not have.
pub const UNKNOWN_SECTION: &str = "unknown-section";

/// The nozzles of a boom, numbered from its left end.
#[derive(Debug, Clone)]
pub struct Layout {
    nozzles: Vec<Nozzle>,
    names: Vec<Option<String>>,
}

/// One nozzle's place on the boom.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Nozzle {
    /// Its section, from 0.
    pub section: u16,
    /// Its place in the section, from 1.
    pub position: u16,
    /// Its number over the boom, from 1.
    pub number: u16,
}

/// The readings of one catch, a cell a nozzle.
#[derive(Debug)]
pub struct Laid<'r> {
    /// By nozzle, from the left; none where the catch says nothing of a nozzle, or its reading is not filled in.
    pub cells: Vec<Option<&'r Cell>>,
}

impl Laid<'_> {
    /// Whether the catch says something of every nozzle.
    pub fn is_complete(&self) -> bool {
        self.cells.iter().all(Option::is_some)
    }
}

/// Nozzles and tests are counted in sixteen bits; lowering admits far fewer.
fn small(n: usize) -> u16 {
    u16::try_from(n).unwrap_or(u16::MAX)
}

impl Layout {
    /// The layout; `None` where a section's count of nozzles is missing.
    pub fn of(boom: &Boom) -> Option<Self> {
        if boom.sections.is_empty() {
            return None;
        }
        let mut nozzles: Vec<Nozzle> = Vec::new();
        for (section, of) in boom.sections.iter().enumerate() {
            let count = of.nozzles.as_ref()?.value;
            for position in 1..=count {
                nozzles.push(Nozzle {
                    section: small(section),
                    position: u16::try_from(position).ok()?,
                    number: u16::try_from(nozzles.len() + 1).ok()?,
                });
            }
        }
        let names = boom.sections.iter().map(name_of).collect();
        Some(Self { nozzles, names })
    }

    /// The nozzles from left to right.
    pub fn nozzles(&self) -> &[Nozzle] {
        &self.nozzles
    }

    /// The nozzle with a number, from 1.
    pub fn nozzle(&self, number: u16) -> Option<Nozzle> {
        self.nozzles
            .get(usize::from(number).checked_sub(1)?)
            .copied()
    }

    /// How many sections there are.
    pub fn sections(&self) -> u16 {
        small(self.names.len())
    }

    /// A section's name.
    pub fn section_name(&self, section: u16) -> Option<&str> {
        self.names.get(usize::from(section))?.as_deref()
    }

    /// The finding of a section the boom does not have; none where it has it.
    pub fn unknown_section(&self, file: FileId, name: &Spanned<String>) -> Option<Diagnostic> {
        let known = || self.names.iter().flatten().map(String::as_str);
        if known().any(|known| known == name.value) {
            return None;
        }
        let help = if let Some(nearest) = words::spelling::nearest(&name.value, known()) {
            format!("write `{nearest}`, if that section is meant")
        } else if known().next().is_none() {
            "the boom has no named sections: write one list of all its nozzles, left to right, with `missed` for each that \
             was not caught"
                .to_owned()
        } else {
            let names: Vec<&str> = known().collect();
            let names = words::phrases::list_some(&names, "or");
            format!("write one of the sections of the machine file: {names}")
        };
        let place = Place {
            file,
            span: name.span,
        };
        let message = format!("the machine has no section `{}`", name.value);
        let label = Label::new(place, "");
        Some(Diagnostic::new(UNKNOWN_SECTION, Severity::Error, message, label).help(help))
    }

    /// The number over the boom of the nozzle at a position of a section, from its left end.
    pub fn number_of(&self, section: &str, position: u16) -> Option<u16> {
        let section = self.section_called(section)?;
        let mut nozzles = self.nozzles.iter();
        let found = nozzles.find(|n| n.section == section && n.position == position)?;
        Some(found.number)
    }

    /// The nozzles of a section, by number over the boom.
    pub fn numbers_in(&self, section: &str) -> Vec<u16> {
        let section = self.section_called(section);
        let nozzles = self.nozzles.iter();
        nozzles
            .filter(|nozzle| Some(nozzle.section) == section)
            .map(|nozzle| nozzle.number)
            .collect()
    }

    fn section_called(&self, name: &str) -> Option<u16> {
        let mut names = self.names.iter();
        let found = names.position(|known| known.as_deref() == Some(name))?;
        u16::try_from(found).ok()
    }

    /// The finding of a position that a section does not have.
    pub fn no_such_position(
        &self,
        file: FileId,
        section: &Spanned<String>,
        position: Spanned<u32>,
        count: usize,
    ) -> Diagnostic {
        let place = Place {
            file,
            span: position.span,
        };
        let at = usize::try_from(position.value).unwrap_or(usize::MAX);
        let message = format!(
            "section {} has {}, so none is the {}",
            section.value,
            words::phrases::plural(count, "nozzle"),
            words::phrases::ordinal(at),
        );
        Diagnostic::new(
            "unlike-boom",
            Severity::Error,
            message,
            Label::new(place, ""),
        )
        .help("count the nozzles from the section's left end, from 1")
    }

    /// Lays the readings of a catch onto the nozzles; what has no nozzle is a finding.
    pub fn lay<'r>(
        &self,
        file: FileId,
        test: &'r CatchTest,
        problems: &mut Vec<Diagnostic>,
    ) -> Option<Laid<'r>> {
        let caught = test.caught.as_ref()?;
        let mut laying = Laying {
            layout: self,
            file,
            caught,
            cells: vec![None; self.nozzles.len()],
            problems,
        };
        match &caught.readings {
            Readings::Flat(cells) => laying.list(None, cells)?,
            Readings::BySection(sections) => {
                for (name, readings) in sections {
                    laying.section(name, readings)?;
                }
            }
        }
        Some(Laid {
            cells: laying.cells,
        })
    }

    fn first_of(&self, section: Option<u16>) -> (usize, usize) {
        let Some(section) = section else {
            return (0, self.nozzles.len());
        };
        let first = self.nozzles.partition_point(|n| n.section < section);
        let end = self.nozzles.partition_point(|n| n.section <= section);
        (first, end - first)
    }
}

fn name_of(section: &Section) -> Option<String> {
    section.name.as_ref().map(|name| name.value.clone())
}

/// A cell that says something of its nozzle.
fn filled_in(cell: &Cell) -> Option<&Cell> {
    (!cell.readings.is_empty()).then_some(cell)
}

struct Laying<'l, 'r> {
    layout: &'l Layout,
    file: FileId,
    caught: &'r Caught,
    cells: Vec<Option<&'r Cell>>,
    problems: &'l mut Vec<Diagnostic>,
}

impl<'r> Laying<'_, 'r> {
    fn section(&mut self, name: &Spanned<String>, readings: &'r SectionReadings) -> Option<()> {
        let names = &self.layout.names;
        let section = names
            .iter()
            .position(|known| known.as_ref() == Some(&name.value));
        let Some(section) = section.map(small) else {
            self.problems
                .extend(self.layout.unknown_section(self.file, name));
            return None;
        };
        match readings {
            SectionReadings::All(cells) => self.list(Some(section), cells),
            SectionReadings::Some(cells) => {
                let (first, count) = self.layout.first_of(Some(section));
                for (position, cell) in cells {
                    let at = usize::try_from(position.value).unwrap_or(usize::MAX);
                    if at > count {
                        self.problems.push(
                            self.layout
                                .no_such_position(self.file, name, *position, count),
                        );
                        return None;
                    }
                    self.cells[first + at - 1] = filled_in(cell);
                }
                Some(())
            }
        }
    }

    fn list(&mut self, section: Option<u16>, cells: &'r [Cell]) -> Option<()> {
        let (first, count) = self.layout.first_of(section);
        if cells.len() == count {
            for (at, cell) in cells.iter().enumerate() {
                self.cells[first + at] = filled_in(cell);
            }
            return Some(());
        }
        let whose = section
            .and_then(|section| self.layout.section_name(section))
            .map_or_else(|| "boom".to_owned(), |name| format!("section {name}"));
        let span = match (cells.first(), cells.last()) {
            (Some(first), Some(last)) => Span::new(first.span.start, last.span.end),
            _ => self.caught.key,
        };
        let help = if cells.len() < count {
            "write `missed` in the place of each nozzle that was not caught".to_owned()
        } else if Self::looks_like_decimal_commas(cells, count) {
            "write decimals with a point: a decimal comma makes two readings of one".to_owned()
        } else {
            "compare the list with the boom; put repeats of one nozzle in brackets: [36.5, 36.0]"
                .to_owned()
        };
        let mut message = format!(
            "{} for the {} of the {whose}",
            words::phrases::plural(cells.len(), "reading"),
            words::phrases::plural(count, "nozzle"),
        );
        if cells.len() < count {
            message.push_str(": which was not caught?");
        }
        self.problem("unlike-boom", span, message, &help);
        None
    }

    /// A list of twice the length in whole numbers.
    fn looks_like_decimal_commas(cells: &[Cell], count: usize) -> bool {
        let whole = |cell: &Cell| match &*cell.readings {
            [Reading::Caught(reading)] => reading.value.places() == 0,
            _ => false,
        };
        cells.len() == 2 * count && cells.iter().all(whole)
    }

    fn problem(&mut self, name: &'static str, span: Span, message: String, help: &str) {
        let place = Place {
            file: self.file,
            span,
        };
        let label = Label::new(place, "");
        self.problems
            .push(Diagnostic::new(name, Severity::Error, message, label).help(help));
    }
}
