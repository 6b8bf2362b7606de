//! Cells of comma-separated values (RFC 4180).
//!
//! Knows no table: which cells there are is for each of them.

use crate::render::clean;

/// What ends a line.
pub(crate) const LINE_END: &str = "\r\n";

/// A cell of text: harmless to a spreadsheet and to a log, quoted where it has to be.
pub(crate) fn text(cell: &str) -> String {
    let starts_like_a_formula = cell.starts_with(['=', '+', '-', '@', '\t', '\r']);
    let mark = if starts_like_a_formula { "'" } else { "" };
    let cell = format!("{mark}{}", clean::text(cell));
    if cell.contains([',', '"', '\n', '\r']) {
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
            ("-5 %", "'-5 %"),
            ("\t=1", r"'\t=1"),
            ("a, \"b\"", "\"a, \"\"b\"\"\""),
            ("=a,b", "\"'=a,b\""),
            ("##[error]", r"##\u{5b}error]"),
            ("heron", "heron"),
        ] {
            assert_eq!(text(raw), cell);
        }
    }
}
