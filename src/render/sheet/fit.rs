//! How high the rows can be: as high as lets everything stand on the fewest pages.
//!
//! A browser lays the sheet out; this follows it roughly, with heights that are rather too great than too small.

use super::piece::{Piece, TABLE_HEAD, Tenths};
use std::cmp::Reverse;

/// The paper of the sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Paper {
    /// ANSI A, 8.5 by 11 inches.
    Letter,
    /// ISO 216, 210 by 297 mm.
    A4,
}

impl Paper {
    /// Every paper, the usual one first.
    pub const ALL: [Self; 2] = [Self::Letter, Self::A4];

    /// Its word, which is that of style sheets too.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Letter => "letter",
            Self::A4 => "a4",
        }
    }

    /// What of a page has room for the sheet, in height: the margins are those of the style sheet.
    const fn height(self) -> Tenths {
        match self {
            Self::Letter => 2794 - MARGINS,
            Self::A4 => 2970 - MARGINS,
        }
    }
}

/// The margins above and below.
const MARGINS: Tenths = 60 + 80;

/// Columns of a page.
const COLUMNS: usize = 2;

/// How high the rows are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Rows {
    /// Those of nozzles.
    pub(super) nozzle: Tenths,
    /// All others.
    pub(super) other: Tenths,
}

/// A wet glove writes into a box of 9 mm; a lower one is the last resort (our choice). Browsers round rows to pixels, some down.
const GOOD: Tenths = 93;

/// The heights to choose from, of which none is below 7 mm on paper (our choice).
const HEIGHTS: [(Tenths, Tenths); 9] = [
    (120, 100),
    (110, 90),
    (100, 85),
    (97, 80),
    (GOOD, 76),
    (GOOD, 73),
    (82, 73),
    (77, 73),
    (73, 73),
];

/// The head of the nozzles says in a line of its own what their limits hold for.
pub(super) const NOZZLES_HEAD: Tenths = TABLE_HEAD + 36;

/// What stands in the columns.
#[derive(Debug, Clone)]
pub(super) struct Block {
    pub(super) piece: Piece,
    /// Of a table that may run on in the next column with its head again: how many nozzles stay together, group by group.
    pub(super) groups: Vec<usize>,
}

impl Block {
    /// A piece that stays in one column.
    pub(super) fn whole(piece: Piece) -> Self {
        Self {
            piece,
            groups: Vec::new(),
        }
    }
}

/// Which of some ways to say it all is taken, and how high its rows are: one page where that is possible, else boxes that are
/// good to write in on the fewest pages; of equals the first way, with the highest rows.
///
/// # Panics
/// Where there is no way.
pub(super) fn fitted(head: Tenths, ways: &[Vec<Block>], paper: Paper) -> (usize, Rows) {
    let all = ways.iter().enumerate().flat_map(|(way, blocks)| {
        let heights = HEIGHTS.iter();
        heights.map(move |(nozzle, other)| {
            let (nozzle, other) = (*nozzle, *other);
            let rows = Rows { nozzle, other };
            let pages = pages(head, blocks, paper.height(), rows);
            let order = (1 < pages, Reverse(nozzle.min(GOOD)), pages);
            (order, way, Reverse((nozzle, other)))
        })
    });
    let (_, way, Reverse((nozzle, other))) = all.min().expect("there is a way");
    (way, Rows { nozzle, other })
}

/// How many pages it takes.
fn pages(head: Tenths, blocks: &[Block], page: Tenths, rows: Rows) -> usize {
    let mut columns = Columns {
        head,
        page,
        column: 0,
        used: 0,
    };
    for Block { piece, groups } in blocks {
        let own = piece.fixed + piece.rows * rows.other;
        let Some((first, others)) = groups.split_first() else {
            columns.put(own);
            continue;
        };
        columns.put(own + first * rows.nozzle);
        for group in others {
            let before = columns.column;
            columns.put(group * rows.nozzle);
            if columns.column != before {
                columns.put(NOZZLES_HEAD);
            }
        }
    }
    columns.column / COLUMNS + 1
}

struct Columns {
    head: Tenths,
    page: Tenths,
    column: usize,
    used: Tenths,
}

impl Columns {
    fn room(&self) -> Tenths {
        let is_below_head = self.column < COLUMNS;
        let head = if is_below_head { self.head } else { 0 };
        self.page.saturating_sub(head)
    }

    /// Puts something below what is there, or at the top of the next column.
    fn put(&mut self, height: Tenths) {
        if 0 < self.used && self.room() < self.used + height {
            self.column += 1;
            self.used = 0;
        }
        self.used += height;
    }
}
