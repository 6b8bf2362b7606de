//! The kinds of mend by their word: which keys each has in a file, and which slots of texts it fills.

/// How a kind of mend is written in a file of a cause.
#[derive(Debug)]
pub struct Form {
    /// Its word.
    pub word: &'static str,
    /// What it does, in one line.
    pub does: &'static str,
    /// The keys it has besides `kind` and `prior`.
    pub needs: &'static [&'static str],
    /// The keys it may have.
    pub may: &'static [&'static str],
    /// The slots it fills.
    pub slots: &'static [&'static str],
}

/// The slots there are, with what each is filled with.
pub const SLOTS: [(&str, &str); 9] = [
    (
        "place",
        "what it is of, as a noun: `nozzle 12`, `section left`, `the catch time`; of a fall in pressure, the way: `to the right`",
    ),
    ("written", "the value as it is written, with its unit"),
    (
        "mended",
        "the value that fits the other readings, with its unit",
    ),
    (
        "off",
        "how far off it is, without a sign: a percentage, or an amount where a constant was added",
    ),
    (
        "high-or-low",
        "whether what is off reads or puts out more than it should, or less",
    ),
    ("low-or-high", "the other way around"),
    ("size", "the nozzle size that fits"),
    ("first", "the first of two values or places, with its unit"),
    (
        "second",
        "the second of two values or places, with its unit",
    ),
];

/// Of one instrument; only a pressure has a value that is written.
const OF_AN_INSTRUMENT: &[&str] = &[
    "place",
    "off",
    "high-or-low",
    "low-or-high",
    "written",
    "mended",
];

const OF_A_VALUE: &[&str] = &["place", "written", "mended", "off"];
const OF_TWO: &[&str] = &["place", "first", "second"];
const OF_A_FLOW: &[&str] = &["place", "off", "high-or-low", "low-or-high"];
const OF_A_SIZE: &[&str] = &["place", "written", "size"];

const fn form(
    word: &'static str,
    does: &'static str,
    needs: &'static [&'static str],
    may: &'static [&'static str],
    slots: &'static [&'static str],
) -> Form {
    Form {
        word,
        does,
        needs,
        may,
        slots,
    }
}

/// Every kind of mend.
pub const FORMS: [Form; 20] = [
    form(
        "scale-value",
        "multiplies a value by a ratio",
        &["of"],
        &["reach", "ratios", "effect", "way"],
        OF_A_VALUE,
    ),
    form(
        "change-unit",
        "gives a value another unit",
        &["of"],
        &["reach"],
        OF_A_VALUE,
    ),
    form(
        "slip-point",
        "moves the decimal point by one place",
        &["of"],
        &[],
        OF_A_VALUE,
    ),
    form(
        "swap-digits",
        "swaps two neighboring digits",
        &["of"],
        &[],
        OF_A_VALUE,
    ),
    form("exchange", "exchanges two values", &["pairs"], &[], OF_TWO),
    form(
        "match-setup",
        "takes the pressure of the setup",
        &[],
        &[],
        OF_A_VALUE,
    ),
    form(
        "turn-factor",
        "applies the correction the right way",
        &[],
        &[],
        OF_A_VALUE,
    ),
    form(
        "scale-nozzles",
        "divides the flow of a part of the boom by one number",
        &["part", "effect"],
        &["way"],
        OF_A_FLOW,
    ),
    form(
        "tilt",
        "takes out a fall in flow along the boom",
        &["effect"],
        &["way"],
        OF_A_FLOW,
    ),
    form(
        "change-size",
        "gives nozzles another size",
        &["part", "nearest"],
        &[],
        OF_A_SIZE,
    ),
    form(
        "add-constant",
        "takes a constant off every reading of a list",
        &["effect"],
        &["way"],
        OF_A_FLOW,
    ),
    form(
        "other-instrument",
        "divides the readings from one nozzle on by one number",
        &["effect"],
        &["way"],
        OF_A_FLOW,
    ),
    form(
        "one-against-all",
        "leaves out one instrument",
        &["of", "effect"],
        &["way"],
        OF_AN_INSTRUMENT,
    ),
    form(
        "one-of-setup",
        "changes one value of a setup to fit the others",
        &["effect"],
        &["way"],
        OF_A_VALUE,
    ),
    form(
        "turn-bypass",
        "turns the bypass of a section the other way",
        &["effect"],
        &["way"],
        &["place", "first", "second", "off"],
    ),
    form(
        "recatch-other",
        "gives the retest to the nozzle that was off",
        &["chance"],
        &[],
        OF_TWO,
    ),
    form(
        "copy",
        "leaves out readings that are those of the last visit",
        &[],
        &[],
        &["place"],
    ),
    form("nothing", "changes nothing", &[], &[], &[]),
    form(
        "reading-off",
        "leaves out one reading, or those of one step",
        &["effect"],
        &["way"],
        OF_A_FLOW,
    ),
    form(
        "scatter",
        "lets all nozzles scatter wider",
        &["deviation"],
        &[],
        &[],
    ),
];

/// The kind of mend of a word.
pub fn form_named(word: &str) -> Option<&'static Form> {
    FORMS.iter().find(|form| form.word == word)
}
