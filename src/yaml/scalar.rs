//! What a plain scalar means: the core schema of YAML 1.2.2, section 10.3.2.
//!
//! Knows no YAML 1.1: `yes`, `off`, `1_000`, `1:30` and dates are texts. `0123` is the number 123.

/// A scalar's meaning.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Value<'a> {
    /// `null`, `~`, or nothing at all.
    Null,
    /// `true` or `false`.
    Bool(bool),
    /// A whole number that fits 64 bits with a sign.
    Int(i64),
    /// A larger whole number that fits 64 bits without a sign.
    UInt(u64),
    /// Any other number, infinities and not-a-number among them.
    Float(f64),
    /// Anything else, and everything in quotes.
    Text(&'a str),
}

/// The meaning of a plain scalar without a tag.
pub(super) fn resolve(text: &str) -> Value<'_> {
    let value = match text.as_bytes().first() {
        None => Some(Value::Null),
        Some(b'~' | b'n' | b'N') => {
            matches!(text, "~" | "null" | "Null" | "NULL").then_some(Value::Null)
        }
        Some(b't' | b'T') => matches!(text, "true" | "True" | "TRUE").then_some(Value::Bool(true)),
        Some(b'f' | b'F') => {
            matches!(text, "false" | "False" | "FALSE").then_some(Value::Bool(false))
        }
        Some(b'0'..=b'9' | b'-' | b'+' | b'.') => number(text),
        Some(_) => None,
    };
    value.unwrap_or(Value::Text(text))
}

fn number(text: &str) -> Option<Value<'_>> {
    let unsigned = text.strip_prefix(['-', '+']).unwrap_or(text);
    if is_decimal(unsigned.as_bytes()) {
        return decimal(text);
    }
    if let Some(digits) = text.strip_prefix("0x") {
        return whole(digits, 16);
    }
    if let Some(digits) = text.strip_prefix("0o") {
        return whole(digits, 8);
    }
    match unsigned {
        ".inf" | ".Inf" | ".INF" if text.starts_with('-') => Some(Value::Float(f64::NEG_INFINITY)),
        ".inf" | ".Inf" | ".INF" => Some(Value::Float(f64::INFINITY)),
        ".nan" | ".NaN" | ".NAN" if unsigned.len() == text.len() => Some(Value::Float(f64::NAN)),
        _ => None,
    }
}

/// The value of a decimal number, with a fraction or exponent or without.
fn decimal(text: &str) -> Option<Value<'_>> {
    if text.contains('.') {
        return text.parse().ok().map(Value::Float);
    }
    if let Ok(number) = text.parse() {
        return Some(Value::Int(number));
    }
    if let Ok(number) = text.parse() {
        return Some(Value::UInt(number));
    }
    text.parse().ok().map(Value::Float)
}

/// A whole number of base 8 or 16; one too large for 64 bits is no number that a record could mean, and stays a text.
fn whole(digits: &str, radix: u32) -> Option<Value<'static>> {
    if !digits.chars().all(|digit| digit.is_digit(radix)) {
        return None;
    }
    let number = u64::from_str_radix(digits, radix).ok()?;
    Some(i64::try_from(number).map_or(Value::UInt(number), Value::Int))
}

/// Whether the text is `[0-9]+ ( \. [0-9]* )?` or `\. [0-9]+`, with an exponent or without.
///
/// Asked before the standard library is, which also takes `1e`, `infinity` and the like.
fn is_decimal(unsigned: &[u8]) -> bool {
    let (whole, rest) = digits(unsigned);
    let (fraction, rest) = match rest {
        [b'.', rest @ ..] => digits(rest),
        _ => (0, rest),
    };
    let is_exponent = |exponent: &[u8]| matches!(digits(exponent), (1.., []));
    whole + fraction > 0
        && match rest {
            [] => true,
            [b'e' | b'E', b'+' | b'-', exponent @ ..] | [b'e' | b'E', exponent @ ..] => {
                is_exponent(exponent)
            }
            _ => false,
        }
}

/// How many digits stand at the head, and what follows them.
fn digits(text: &[u8]) -> (usize, &[u8]) {
    let is_digit = |byte: &&u8| byte.is_ascii_digit();
    let count = text.iter().take_while(is_digit).count();
    (count, &text[count..])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn plain_scalars_mean_what_the_core_schema_says() {
        let rows = [
            ("", Value::Null),
            ("~", Value::Null),
            ("NULL", Value::Null),
            ("nULL", Value::Text("nULL")),
            ("True", Value::Bool(true)),
            ("FALSE", Value::Bool(false)),
            ("yes", Value::Text("yes")),
            ("off", Value::Text("off")),
            ("0", Value::Int(0)),
            ("-19", Value::Int(-19)),
            ("+12", Value::Int(12)),
            ("0123", Value::Int(123)),
            ("0o14", Value::Int(12)),
            ("0x3A", Value::Int(58)),
            ("0xFFFFFFFFFFFFFFFF", Value::UInt(u64::MAX)),
            ("0x", Value::Text("0x")),
            ("0o8", Value::Text("0o8")),
            ("-0x3A", Value::Text("-0x3A")),
            ("18446744073709551615", Value::UInt(u64::MAX)),
            (
                "18446744073709551616",
                Value::Float(1.844_674_407_370_955_2e19),
            ),
            ("0.", Value::Float(0.0)),
            (".5", Value::Float(0.5)),
            ("-2E+05", Value::Float(-200_000.0)),
            ("12e03", Value::Float(12_000.0)),
            (".inf", Value::Float(f64::INFINITY)),
            ("-.INF", Value::Float(f64::NEG_INFINITY)),
            ("+.Inf", Value::Float(f64::INFINITY)),
            ("+.nan", Value::Text("+.nan")),
            (".", Value::Text(".")),
            ("-", Value::Text("-")),
            ("1e", Value::Text("1e")),
            ("e5", Value::Text("e5")),
            ("1_000", Value::Text("1_000")),
            ("1:30", Value::Text("1:30")),
            ("2026-03-14", Value::Text("2026-03-14")),
            ("12,5", Value::Text("12,5")),
            ("inf", Value::Text("inf")),
        ];
        for (text, value) in rows {
            assert_eq!(resolve(text), value, "{text}");
        }
        assert!(matches!(resolve(".NaN"), Value::Float(number) if number.is_nan()));
    }
}
