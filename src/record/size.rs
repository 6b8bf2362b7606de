//! Nozzle sizes: the flow that a size stands for, and the size that is meant by what people write.

use crate::quantity::Quantity;
use crate::quantity::decimal::Decimal;
use crate::quantity::dimension::Dimension;
use crate::quantity::unit::Unit;

/// The common sizes, each with its nominal flow in L/min at 3 bar (ISO 10625, from memory and restated).
///
/// The two nominals differ by 1.3%: 0.3 gal/min at 40 psi is 1.184 L/min at 3 bar, printed as 1.20.
const COMMON: [(&str, &str); 12] = [
    ("01", "0.40"),
    ("015", "0.60"),
    ("02", "0.80"),
    ("025", "1.00"),
    ("03", "1.20"),
    ("04", "1.60"),
    ("05", "2.00"),
    ("06", "2.40"),
    ("08", "3.20"),
    ("10", "4.00"),
    ("15", "6.00"),
    ("20", "8.00"),
];

/// How a size is rated.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RatedIn {
    /// In gal/min at 40 psi, as the trade in the United States takes a size.
    GallonsAt40Psi,
    /// In L/min at 3 bar, as ISO 10625 does.
    LitersAt3Bar,
}

/// Each common size with the flow it is rated for and the pressure that holds at.
pub fn common(rated_in: RatedIn) -> impl Iterator<Item = (&'static str, Quantity, Quantity)> {
    COMMON.iter().filter_map(move |(size, liters)| {
        let (flow, pressure) = match rated_in {
            RatedIn::GallonsAt40Psi => (
                flow(size)?,
                Quantity {
                    decimal: Decimal::whole(40),
                    unit: Unit::PSI,
                },
            ),
            RatedIn::LitersAt3Bar => (
                Quantity::parse(&format!("{liters} L/min"), &[Dimension::FLOW]).ok()?,
                Quantity::parse("3 bar", &[Dimension::PRESSURE]).ok()?,
            ),
        };
        Some((*size, flow, pressure))
    })
}

/// The flow at 40 psi of an ISO 10625 size: the digits with a point behind the first.
///
/// ISO 10625 (restated): the size number is ten times the flow in US gal/min at 40 psi. Four digits begin with a zero: other
/// ones are an angle and a size in one word, such as `8004`.
pub(super) fn flow(size: &str) -> Option<Quantity> {
    let is_digits = size.bytes().all(|byte| byte.is_ascii_digit());
    let is_size = is_digits && (2..=4).contains(&size.len());
    if !is_size || (size.len() == 4 && !size.starts_with('0')) {
        return None;
    }
    let decimal = Decimal::parse(&format!("{}.{}", &size[..1], &size[1..])).ok()?;
    (!decimal.is_zero()).then_some(Quantity {
        decimal,
        unit: Unit::GPM,
    })
}

/// The size that a text probably means, with its flow: `08` for `8`, `0.8`, `11008`, and for one in curly quotes.
pub(super) fn meant(text: &str) -> Option<(String, Quantity)> {
    // Nobody writes more, and what is cut is no size.
    const LONGEST: usize = 40;
    let is_mark = |letter: char| !letter.is_ascii_digit() && letter != '.';
    let mut numbers = text.split(is_mark).filter(|number| !number.is_empty());
    let (first, second, more) = (numbers.next()?, numbers.next(), numbers.next());
    let size = match second {
        _ if more.is_some() || text.len() > LONGEST => return None,
        // `110-08`, `80 degrees, 04`.
        Some(size) if ANGLES.contains(&first) => padded(size),
        Some(_) => return None,
        None if ANGLES.contains(&first) => return None,
        None => padded(first).or_else(|| behind_angle(first)),
    }?;
    let flow = flow(&size)?;
    Some((size, flow))
}

/// The usual spray angles in degrees, the longer ones first: common practice, no source.
const ANGLES: [&str; 13] = [
    "150", "140", "130", "120", "110", "105", "100", "95", "80", "73", "65", "40", "25",
];

/// A size with the zero or without the point that it lacks: `8` and `0.8` as `08`, `1.5` as `015`.
fn padded(number: &str) -> Option<String> {
    let size = match number.split_once('.') {
        Some((whole, places)) if whole.len() < 2 => {
            format!("0{}{places}", whole.trim_start_matches('0'))
        }
        Some(_) => return None,
        None if number.len() == 1 => format!("0{number}"),
        None => number.to_owned(),
    };
    flow(&size).map(|_| size)
}

/// The size behind an angle in one word: `11008`, `80015`.
fn behind_angle(number: &str) -> Option<String> {
    let mut sizes = ANGLES.iter().filter_map(|angle| number.strip_prefix(angle));
    let size = sizes.find(|size| flow(size).is_some())?;
    Some(size.to_owned())
}

#[cfg(test)]
mod tests {
    use super::{COMMON, RatedIn, common, flow, meant};

    /// The number of a size is its flow in gal/min at 40 psi times 10, and about its flow in L/min at 3 bar times 2.5.
    #[test]
    fn every_common_size_is_rated_both_ways() {
        let [us, si] = [RatedIn::GallonsAt40Psi, RatedIn::LitersAt3Bar].map(common);
        let both: Vec<_> = us.zip(si).collect();
        assert_eq!(both.len(), COMMON.len());
        for ((size, gallons, psi), (same, liters, bar)) in both {
            assert_eq!(size, same);
            let at_3_bar = gallons.si() * (bar.si() / psi.si()).sqrt();
            let off = liters.si() / at_3_bar - 1.0;
            assert!((0.012..0.015).contains(&off), "{size}: {off}");
        }
    }

    #[test]
    fn sizes_read_as_gallons_per_minute_at_40_psi() {
        // ISO 10625 sizes, from memory.
        for (size, gpm) in [
            ("01", 0.1),
            ("015", 0.15),
            ("0075", 0.075),
            ("06", 0.6),
            ("10", 1.0),
            ("20", 2.0),
        ] {
            let read = flow(size).unwrap().decimal.to_f64();
            assert!((read - gpm).abs() < 1e-15, "{size}: {read}");
        }
        for size in ["", "6", "00", "0.6", "06x", "11006", "8004"] {
            assert!(flow(size).is_none(), "{size}");
        }
    }

    #[test]
    fn what_people_write_names_the_size_it_means() {
        for (text, size) in [
            ("8", "08"),
            ("0.8", "08"),
            ("1.5", "015"),
            ("0.15", "015"),
            ("11008", "08"),
            ("110-08", "08"),
            ("110 08", "08"),
            ("80015", "015"),
            ("8004", "04"),
            ("\u{201c}08\u{201d}", "08"),
            ("\u{2018}015\u{2019}", "015"),
            ("06x", "06"),
            ("#8", "08"),
        ] {
            let meant = meant(text).map(|(size, _)| size);
            assert_eq!(meant.as_deref(), Some(size), "{text}");
        }
        for text in [
            "", "large", "0", "00", "12.5", "110", "1 2 3", "4 06", "110-",
        ] {
            let meant = meant(text).map(|(size, _)| size);
            assert_eq!(meant.filter(|size| size != text), None, "{text}");
        }
    }
}
