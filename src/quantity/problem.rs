//! What people write in place of a plain decimal number.

/// What is wrong with a number.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum DecimalProblem {
    /// Nothing is written.
    Empty,
    /// Letters or signs that belong to no number.
    NotANumber,
    /// A character that does not show.
    Invisible,
    /// `nan`, `inf` and the like.
    NotFinite,
    /// `36,5`.
    DecimalComma,
    /// `1,000`: a thousand, or one to three places?
    ThousandOrDecimalComma,
    /// `1,234.5`, `1 000`, `1'000`.
    Thousands,
    /// `1_000`.
    Underscore,
    /// `1e3`, `1.2 x 10^3`.
    PowerOfTen,
    /// `012`, which some programs read as octal.
    LeadingZero,
    /// `5.`: to the unit, or to the tenth?
    EndsInPoint,
    /// `0x1f`.
    OtherBase,
    /// Digits that are not 0 to 9.
    OtherDigits,
    /// More digits than any instrument of the trade shows.
    TooManyDigits,
    /// `1:30`: minutes and seconds, or hours and minutes? Some programs read 90.
    ClockTime,
    /// `1/2`, `½`.
    Fraction,
    /// `~36`, `about 36`, `36 ± 1`.
    Approximate,
    /// `36-38`.
    FromTo,
    /// `36.5 37.0`.
    TwoNumbers,
    /// A unit where a number alone is wanted.
    HasUnit,
}

impl DecimalProblem {
    /// What is wrong, to follow the number as it was written.
    pub(super) const fn predicate(self) -> &'static str {
        match self {
            Self::Empty => "is empty",
            Self::NotANumber => "is not a number",
            Self::Invisible => "has a character in it that does not show",
            Self::NotFinite => "is not a reading",
            Self::DecimalComma => "has a decimal comma",
            Self::ThousandOrDecimalComma => "has a comma: for thousands, or for decimals?",
            Self::Thousands => "has its thousands set apart",
            Self::Underscore => "has an underscore in its number",
            Self::PowerOfTen => "has a power of ten in its number",
            Self::LeadingZero => "has an extra zero at the front",
            Self::EndsInPoint => "ends its number in a point",
            Self::OtherBase => "is not a decimal number",
            Self::OtherDigits => "has digits other than 0 to 9",
            Self::TooManyDigits => "has more than 15 digits",
            Self::ClockTime => "is written like a time of day",
            Self::Fraction => "has a fraction for a number",
            Self::Approximate => "is not a plain reading",
            Self::FromTo => "is a range; one number is needed",
            Self::TwoNumbers => "has two numbers; one is needed",
            Self::HasUnit => "has a unit; a number alone is needed",
        }
    }
}
