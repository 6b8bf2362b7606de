//! What no output may hold, told by what runners, terminals and spreadsheets obey, not by the code that cleans.

/// What runners obey or fold away at the beginning of a line.
const OPENINGS: [&str; 6] = ["::", "[command]", "--- ", "+++ ", "~~~ ", "^^^ "];

/// Every color the program has; another sequence is not its own.
const COLORS: [&str; 7] = ["0", "1", "2", "35", "36", "1;35", "35;1"];

/// What a spreadsheet takes for the beginning of a formula.
pub(crate) const FORMULA: [char; 10] = ['=', '+', '-', '@', '\t', '\r', '＝', '＋', '－', '＠'];

/// Text as only somebody hostile, or a broken file, has it.
pub(crate) const HOSTILE: [&str; 12] = [
    "::error file=a::x",
    "\n::error::x\r\n  ::stop-commands::y\r::z",
    "##[error]x ##[group]y",
    "##vso[task.setvariable]x ##teamcity[x] ##Vso[y]",
    "\u{9b}31m\u{1b}[31m\u{1b}[2J\u{1b}]0;x\u{7}\u{8}\u{7f}",
    "\u{202e}x\u{2066} \u{200b}\u{feff}\u{ad}\u{e0041}",
    "x\u{85}::error::a\u{2028}::error::b\u{2029}::error::c",
    "x ##\u{1b}[1m[error]y a\u{1b}[0m section_start:1:x\r\u{1b}[0K",
    "=1+1",
    "\u{ff1d}1 <script>x</script> | ``` ` [x](y) @z #1",
    "[command]x --- y",
    "+++ x, a \"b\" ::y ::y ::y ::y ::y ::y ::y ::y ::y ::y ::y ::y ::y ::y ::y",
];

/// How lines end where a standard says so.
pub(crate) fn line_end(format: &str) -> &'static str {
    match format {
        "csv" | "ics" => "\r\n",
        _ => "\n",
    }
}

/// Asserts that nothing in an output drives a log or a terminal; lines end as its format has them end.
pub(crate) fn assert_harmless(what: &str, output: &str, line_end: &str) {
    let output = without_color(output);
    let own: &[&str] = match what {
        // Each marks a place and obeys nothing; what stands behind it begins no line.
        "annotations" => &["::error ", "::warning ", "::notice "],
        _ => &[],
    };
    for line in output.split_inclusive('\n') {
        let line = line.strip_suffix(line_end).unwrap_or(line);
        let beginning = own
            .iter()
            .find_map(|command| line.strip_prefix(command))
            .unwrap_or_else(|| line.trim_start());
        let opening = OPENINGS
            .iter()
            .find(|opening| beginning.starts_with(**opening));
        assert_eq!(opening, None, "{what}: {line:?}");
        assert_eq!(broken(line), line, "{what}");
        assert!(!line.contains(is_hidden), "{what}: {line:?}");
    }
}

/// The text with every bracket escaped that ends `##`, or `##` and a name.
pub(crate) fn broken(text: &str) -> String {
    let is_of_name = |letter: char| letter.is_alphanumeric() || "#.-_".contains(letter);
    let mut broken = String::new();
    let mut rest = text;
    while let Some((before, behind)) = rest.split_once('[') {
        let name_at = before.trim_end_matches(is_of_name).len();
        let is_command = before[name_at..].contains("##");
        broken.extend([before, if is_command { r"\u{5b}" } else { "[" }]);
        rest = behind;
    }
    broken + rest
}

/// The text without the program's own colors.
pub(crate) fn without_color(text: &str) -> String {
    let colors = COLORS.map(|color| format!("\u{1b}[{color}m"));
    colors
        .iter()
        .fold(text.to_owned(), |text, color| text.replace(color, ""))
}

/// Whether a character could drive a terminal or hide what is printed, by ranges of the Unicode standard.
fn is_hidden(letter: char) -> bool {
    letter.is_control()
        || matches!(u32::from(letter),
            0xad | 0x61c | 0x200b..=0x200f | 0x2028..=0x202e | 0x2060..=0x206f | 0xfeff | 0xe0000..=0xe007f)
}
