//! An excerpt drawn with line numbers, marks and labels.
//!
//! The only module that names the diagnostics library; everything else a finding says is written by `terminal`.

use crate::diagnostic::Severity;
use crate::render::excerpt::{self, Excerpt};
use crate::render::ink::wrap;
use miette::{
    Diagnostic, GraphicalReportHandler, GraphicalTheme, LabeledSpan, MietteError,
    MietteSpanContents, SourceCode, SourceSpan, SpanContents, ThemeCharacters, ThemeStyles,
};
use std::fmt;
use unicode_width::UnicodeWidthStr;

/// Columns between the line number and the text: a space before, ` │ ` behind.
pub(crate) const RULING: usize = 4;

/// Columns from below a mark to its label's text.
const LABEL_LEAD: usize = 4;

/// A label narrower than this would read as a column of words.
const NARROWEST_LABEL: usize = 24;

/// What the library draws above and below an excerpt, which says nothing.
const CORNERS: [&str; 2] = ["┌────", "└────"];

/// An excerpt with a label for each of its marks.
#[derive(Debug)]
pub(crate) struct Drawing<'a> {
    /// The lines.
    pub(crate) excerpt: &'a Excerpt,
    /// For each mark, its words, which may be empty, and whether it is the finding's own place.
    pub(crate) labels: Vec<(String, Role)>,
    /// The weight of the finding.
    pub(crate) severity: Severity,
    /// Whether to color.
    pub(crate) color: bool,
}

/// What a label is to its finding.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Role {
    /// The place at fault.
    Primary,
    /// A place it is held against.
    Related,
}

/// The label's words in lines that fit to the right of its mark; none where there is no room.
pub(crate) fn label_beside(
    excerpt: &Excerpt,
    mark: usize,
    words: &str,
    width: usize,
) -> Option<String> {
    let last_line = excerpt.first_line + excerpt.text.lines().count() - 1;
    let columns_before = excerpt.columns_before(&excerpt.marks[mark]);
    let taken = last_line.to_string().len() + RULING + columns_before + LABEL_LEAD;
    let room = width.saturating_sub(taken);
    (words.width().min(NARROWEST_LABEL) <= room).then(|| wrap(words, room, 0))
}

impl Drawing<'_> {
    /// The lines of the drawing, each with a line feed.
    pub(crate) fn draw(&self) -> String {
        let mut drawn = String::new();
        GraphicalReportHandler::new_themed(self.theme())
            .with_urls(false)
            .tab_width(excerpt::TAB)
            .with_wrap_lines(false)
            .without_cause_chain()
            .without_primary_span_start()
            .without_syntax_highlighting()
            .render_report(&mut drawn, self)
            .expect("a string takes everything, and an excerpt reads any span");
        // The library begins with a line for the message, which stands above and is not in the drawing.
        let lines = drawn.trim_start_matches('\n').lines();
        let lines = lines.filter(|line| !CORNERS.contains(&line.trim()));
        lines.flat_map(|line| [line.trim_end(), "\n"]).collect()
    }

    fn theme(&self) -> GraphicalTheme {
        let plain = ThemeStyles::none().link;
        let (own, other, dim) = if self.color {
            let own = match self.severity {
                Severity::Error => plain.magenta().bold(),
                Severity::Warning => plain.magenta(),
                Severity::Note => plain.bold(),
            };
            (own, plain.cyan(), plain.dimmed())
        } else {
            (plain, plain, plain)
        };
        let mut in_order: Vec<usize> = (0..self.labels.len()).collect();
        in_order.sort_by_key(|&at| self.excerpt.marks[at].start);
        let highlights = in_order
            .into_iter()
            .map(|at| match self.labels[at].1 {
                Role::Primary => own,
                Role::Related => other,
            })
            .collect();
        GraphicalTheme {
            characters: characters(),
            styles: ThemeStyles {
                error: plain,
                warning: plain,
                advice: plain,
                help: plain,
                link: plain,
                linum: dim,
                highlights,
            },
        }
    }
}

fn characters() -> ThemeCharacters {
    ThemeCharacters {
        hbar: '─',
        vbar: '│',
        xbar: '┼',
        vbar_break: '┊',
        uarrow: '▴',
        rarrow: '─',
        ltop: '┌',
        mtop: '┬',
        rtop: '┐',
        lbot: '└',
        mbot: '┴',
        rbot: '┘',
        lbox: '(',
        rbox: ')',
        lcross: '├',
        rcross: '┤',
        underbar: '╤',
        underline: '═',
        error: String::new(),
        warning: String::new(),
        advice: String::new(),
    }
}

impl fmt::Display for Drawing<'_> {
    fn fmt(&self, _: &mut fmt::Formatter<'_>) -> fmt::Result {
        Ok(())
    }
}

impl std::error::Error for Drawing<'_> {}

impl Diagnostic for Drawing<'_> {
    fn source_code(&self) -> Option<&dyn SourceCode> {
        Some(self.excerpt)
    }

    fn labels(&self) -> Option<Box<dyn Iterator<Item = LabeledSpan> + '_>> {
        let marks = self.excerpt.marks.iter().zip(&self.labels);
        Some(Box::new(marks.map(|(mark, (words, _))| {
            let words = (!words.is_empty()).then(|| words.clone());
            LabeledSpan::new(words, mark.start, mark.len())
        })))
    }
}

impl SourceCode for Excerpt {
    fn read_span<'a>(
        &'a self,
        _: &SourceSpan,
        _: usize,
        _: usize,
    ) -> Result<Box<dyn SpanContents<'a> + 'a>, MietteError> {
        Ok(Box::new(MietteSpanContents::new(
            self.text.as_bytes(),
            (0, self.text.len()).into(),
            self.first_line - 1,
            0,
            self.text.lines().count(),
        )))
    }
}
