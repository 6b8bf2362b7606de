//! Limits as numbers to hold a reading against.

use crate::draft::Aim;

/// The low and the high line as shares of whatever the target is, printed inward: `0.95` and `1.05`.
pub(super) fn shares(shares: (f64, f64)) -> Option<(String, String)> {
    let aim = Aim {
        decimals: 3,
        ..Aim::around(1.0, Some(shares))
    };
    let (low, high) = aim.lines_shown()?;
    Some((without_zeros(&low), without_zeros(&high)))
}

/// The same around a target.
pub(super) fn lines(target: f64, shares: (f64, f64)) -> Option<(String, String)> {
    Aim::around(target, Some(shares)).lines_shown()
}

fn without_zeros(number: &str) -> String {
    if number.contains('.') {
        let whole = number.trim_end_matches('0').trim_end_matches('.');
        return whole.to_owned();
    }
    number.to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_are_printed_inward() {
        let pair = |low: &str, high: &str| Some((low.to_owned(), high.to_owned()));
        assert_eq!(lines(40.0, (0.95, 1.05)), pair("38.0", "42.0"));
        assert_eq!(lines(200.0, (0.95, 1.05)), pair("190", "210"));
        assert_eq!(lines(24.3, (0.95, 1.05)), pair("23.1", "25.5"));
        assert_eq!(lines(2.0, (0.97, 1.03)), pair("1.94", "2.06"));
        assert_eq!(shares((0.95, 1.05)), pair("0.95", "1.05"));
        assert_eq!(shares((0.9025, 1.1025)), pair("0.903", "1.102"));
        assert_eq!(lines(0.0, (0.95, 1.05)), None);
        assert_eq!(lines(40.0, (0.0, 2.0)), None);
    }
}
