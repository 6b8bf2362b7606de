//! Cells of comma-separated values (RFC 4180).
//!
//! Knows no table: which cells there are is for each of them.

use crate::render::clean;

/// What ends a line.
pub(crate) const LINE_END: &str = "\r\n";

/// What a spreadsheet takes for the beginning of a formula, in either width.
const SIGNS: [char; 8] = [
    '=', '+', '-', '@', '\u{ff1d}', '\u{ff0b}', '\u{ff0d}', '\u{ff20}',
];

/// A cell of text: harmless to a spreadsheet and to a log, quoted where it has to be.
///
/// In quotes a cell may begin with a colon: two of them at the beginning of a line are a command to a log.
pub(crate) fn text(cell: &str) -> String {
    let text = cell.trim_start();
    let blank = &cell[..cell.len() - text.len()];
    let starts_like_a_formula = text.starts_with(SIGNS) || blank.contains(['\t', '\r']);
    let mark = if starts_like_a_formula { "'" } else { "" };
    let cell = format!("{mark}{}", clean::text(cell));
    if cell.contains([',', '"', '\n', '\r']) || cell.trim_start().starts_with(':') {
        format!("\"{}\"", cell.replace('"', "\"\""))
    } else {
        cell
    }
}

#[cfg(test)]
mod tests {
    use super::text;

    #[test]
    fn cells_of_text_are_no_formulas() {
        for (raw, cell) in [
            ("=1+1", "'=1+1"),
            ("-5%", "'-5%"),
            ("\t=1", r"'\t=1"),
            ("  =1", "'  =1"),
            ("\u{a0}=1", "'\u{a0}=1"),
            ("\u{3000}\n+1", "'\u{3000}\\n+1"),
            (" \r1", r"' \r1"),
            ("\u{ff1d}1", "'\u{ff1d}1"),
            ("\u{ff0b}1", "'\u{ff0b}1"),
            ("\u{ff0d}1", "'\u{ff0d}1"),
            ("\u{ff20}a", "'\u{ff20}a"),
            ("::error::x", "\"::error::x\""),
            (" :", "\" :\""),
            ("a::b", "a::b"),
            ("a, \"b\"", "\"a, \"\"b\"\"\""),
            ("=a,b", "\"'=a,b\""),
            ("##[error]", r"##\u{5b}error]"),
            ("heron", "heron"),
        ] {
            assert_eq!(text(raw), cell);
        }
    }
}
