//! Units that are taken for each other, recognized by the ratio they leave behind.
//!
//! Suggests what to look at and corrects nothing: a ratio fits a mix-up by chance, too.

use super::unit::Unit;

/// The least relative distance within which a ratio fits: no ratio of readings is known better than this.
const LEAST_TOLERANCE: f64 = 0.01;

/// A mix-up of units that would explain a ratio.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Confusion {
    /// Whose unit it is.
    pub side: Side,
    /// The unit as written.
    pub written: Unit,
    /// The unit that was perhaps read or meant.
    pub meant: Unit,
    pair: &'static Pair,
    written_first: bool,
}

/// The two sides of a ratio.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Side {
    /// What was found.
    Found,
    /// What it is held against: a target, a rating, what a display showed.
    Against,
}

/// The known mix-up that a ratio, found over what it is held against, fits.
///
/// `found` and `against` are the units as written, where there are any. A ratio fits a mix-up within the
/// relative expanded uncertainty given, and within 1% at the least. `None` where no mix-up fits, where
/// several do, and where the uncertainty is as large as the mix-up: then the ratio tells nothing. Fluid ounces taken for imperial ones, or for ounces by
/// weight, leave only 4%; they are named only where the uncertainty is 1% or better.
///
/// ```
/// use swathlint::quantity::{confusion::confusion, unit::Unit};
///
/// let gallons = Some(Unit::GALLON);
/// let mix_up = confusion(0.833, gallons, gallons, 0.01).unwrap();
/// assert_eq!(mix_up.meant.to_string(), "imp gal");
/// ```
pub fn confusion(
    ratio: f64,
    found: Option<Unit>,
    against: Option<Unit>,
    relative_uncertainty: f64,
) -> Option<Confusion> {
    let tolerance = relative_uncertainty.max(LEAST_TOLERANCE);
    let sides = [(Side::Found, found), (Side::Against, against)];
    let candidates = sides
        .into_iter()
        .filter_map(|(side, unit)| Some((side, unit?)));
    let mut fitting = candidates
        .flat_map(|(side, written)| {
            PAIRS
                .iter()
                .filter_map(move |pair| pair.mix_up(side, written))
        })
        .filter(|mix_up| relative_uncertainty <= mix_up.pair.widest)
        .filter(|mix_up| relative_uncertainty < (mix_up.ratio() - 1.0).abs())
        .filter(|mix_up| (ratio / mix_up.ratio() - 1.0).abs() <= tolerance);
    let first = fitting.next()?;
    fitting
        .all(|other| std::ptr::eq(other.pair, first.pair))
        .then_some(first)
}

/// The units that a unit is taken for.
pub fn taken_for(unit: Unit) -> impl Iterator<Item = Unit> {
    PAIRS.iter().filter_map(move |pair| {
        let [one, other] = pair.units;
        if unit == one {
            Some(other)
        } else {
            (unit == other).then_some(one)
        }
    })
}

impl Confusion {
    /// The ratio, found over what it is held against, that this mix-up alone would leave.
    pub fn ratio(&self) -> f64 {
        match self.side {
            Side::Found => self.written.factor() / self.meant.factor(),
            Side::Against => self.meant.factor() / self.written.factor(),
        }
    }

    /// What to look at, beginning with a verb.
    pub fn help(&self) -> String {
        let Pair {
            names: [one, other],
            reader,
            relation,
            ..
        } = self.pair;
        let (written, meant) = if self.written_first {
            (one, other)
        } else {
            (other, one)
        };
        match self.side {
            Side::Found => {
                format!("check whether {reader} reads {meant}, not {written}: {relation}")
            }
            Side::Against => {
                format!("check whether the other value is in {meant}, not {written}: {relation}")
            }
        }
    }
}

/// Two units that are taken for each other.
#[derive(PartialEq, Debug)]
struct Pair {
    units: [Unit; 2],
    names: [&'static str; 2],
    /// What shows the one or the other.
    reader: &'static str,
    /// The one in terms of the other, as people know it.
    relation: &'static str,
    /// The largest relative uncertainty at which the mix-up can still be told from a plain deviation.
    widest: f64,
}

impl Eq for Pair {}

impl Pair {
    fn mix_up(&'static self, side: Side, written: Unit) -> Option<Confusion> {
        let [one, other] = self.units;
        let (written_first, meant) = match written {
            unit if unit == one => (true, other),
            unit if unit == other => (false, one),
            _ => return None,
        };
        Some(Confusion {
            side,
            written,
            meant,
            pair: self,
            written_first,
        })
    }
}

const fn pair(
    units: [Unit; 2],
    names: [&'static str; 2],
    reader: &'static str,
    relation: &'static str,
) -> Pair {
    Pair {
        units,
        names,
        reader,
        relation,
        widest: f64::INFINITY,
    }
}

const JUG: &str = "the jug, meter, or console";
const CONSOLE: &str = "the console";
const GAUGE: &str = "the gauge";
const TAPE: &str = "the tape";

/// The mix-ups of the trade: common practice, no source. Their ratios follow from the units.
static PAIRS: [Pair; 22] = [
    pair(
        [Unit::GALLON, Unit::IMPERIAL_GALLON],
        ["US gallons", "imperial gallons"],
        JUG,
        "1 imp gal is 1.201 gal",
    ),
    pair(
        [Unit::GALLON, Unit::LITER],
        ["US gallons", "liters"],
        JUG,
        "1 gal is 3.785 L",
    ),
    pair(
        [Unit::IMPERIAL_GALLON, Unit::LITER],
        ["imperial gallons", "liters"],
        JUG,
        "1 imp gal is 4.546 L",
    ),
    pair(
        [Unit::LITER, Unit::MILLILITER],
        ["liters", "milliliters"],
        JUG,
        "1 L is 1000 mL",
    ),
    pair(
        [Unit::FLUID_OUNCE, Unit::MILLILITER],
        ["fluid ounces", "milliliters"],
        JUG,
        "1 fl oz is 29.57 mL",
    ),
    Pair {
        units: [Unit::FLUID_OUNCE, Unit::IMPERIAL_FLUID_OUNCE],
        names: [
            "US fluid ounces",
            "imperial fluid ounces or ounces of weight",
        ],
        reader: "the jug or scale",
        relation: "1 fl oz is 1.041 imp fl oz, and 1 imp fl oz of water weighs 1 wt oz",
        widest: LEAST_TOLERANCE,
    },
    pair(
        [Unit::GPM, Unit::per("imp gal", 1, "min")],
        ["US gallons per minute", "imperial gallons per minute"],
        "the meter",
        "1 imp gal is 1.201 gal",
    ),
    pair(
        [Unit::GPM, Unit::LITER_PER_MINUTE],
        ["gallons per minute", "liters per minute"],
        "the meter",
        "1 gpm is 3.785 L/min",
    ),
    pair(
        [Unit::GALLON_PER_ACRE, Unit::GALLON_PER_1000_SQUARE_FEET],
        ["gallons per acre", "gallons per 1000 square feet"],
        CONSOLE,
        "1 gal/1000 ft2 is 43.56 gal/acre",
    ),
    pair(
        [Unit::GALLON_PER_ACRE, Unit::per("imp gal", 1, "acres")],
        ["US gallons per acre", "imperial gallons per acre"],
        CONSOLE,
        "1 imp gal is 1.201 gal",
    ),
    pair(
        [Unit::GALLON_PER_ACRE, Unit::LITER_PER_HECTARE],
        ["gallons per acre", "liters per hectare"],
        CONSOLE,
        "1 gal/acre is 9.354 L/ha",
    ),
    pair(
        [Unit::MPH, Unit::KILOMETER_PER_HOUR],
        ["miles per hour", "kilometers per hour"],
        CONSOLE,
        "1 mph is 1.609 km/h",
    ),
    pair(
        [Unit::PSI, Unit::BAR],
        ["psi", "bar"],
        GAUGE,
        "1 bar is 14.50 psi",
    ),
    pair(
        [Unit::PSI, Unit::of("kPa")],
        ["psi", "kilopascals"],
        GAUGE,
        "1 psi is 6.895 kPa",
    ),
    pair(
        [Unit::BAR, Unit::of("kPa")],
        ["bar", "kilopascals"],
        GAUGE,
        "1 bar is 100 kPa",
    ),
    pair(
        [Unit::FOOT, Unit::METER],
        ["feet", "meters"],
        TAPE,
        "1 m is 3.281 ft",
    ),
    pair(
        [Unit::FOOT, Unit::of("yd")],
        ["feet", "yards"],
        TAPE,
        "1 yd is 3 ft",
    ),
    pair(
        [Unit::INCH, Unit::CENTIMETER],
        ["inches", "centimeters"],
        TAPE,
        "1 in is 2.54 cm",
    ),
    pair(
        [Unit::of("acres"), Unit::of("ha")],
        ["acres", "hectares"],
        "the map or console",
        "1 ha is 2.471 acres",
    ),
    pair(
        [Unit::POUND, Unit::of("kg")],
        ["pounds", "kilograms"],
        "the scale",
        "1 kg is 2.205 lb",
    ),
    pair(
        [Unit::per("pulses", 1, "gal"), Unit::per("pulses", 1, "L")],
        ["pulses per gallon", "pulses per liter"],
        CONSOLE,
        "1 gal is 3.785 L",
    ),
    pair(
        [
            Unit::per("pulses", 1, "gal"),
            Unit::per("pulses", 10, "gal"),
        ],
        ["pulses per gallon", "pulses per 10 gallons"],
        CONSOLE,
        "10 gal take 10 times the pulses of 1 gal",
    ),
];

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const GALLON: Option<Unit> = Some(Unit::GALLON);
    const IMPERIAL: Option<Unit> = Some(Unit::IMPERIAL_GALLON);
    const OUNCE: Option<Unit> = Some(Unit::FLUID_OUNCE);

    /// A reading of 10 of `meant`, written down in `written`, over the truth.
    fn misread(written: Unit, meant: Unit) -> f64 {
        (10.0 * written.factor()) / (10.0 * meant.factor())
    }

    #[test]
    fn the_unit_that_was_read_and_the_one_written_are_told_apart() {
        let jug = "check whether the jug, meter, or console reads";
        for (ratio, found, against, help) in [
            // 34.2 gal true, read as 28.5 on an imperial scale and written as gal: too low.
            (28.5 / 34.2, GALLON, GALLON, format!("{jug} imperial gallons, not US gallons: 1 imp gal is 1.201 gal")),
            // The same the other way round: too high.
            (34.2 / 28.5, IMPERIAL, IMPERIAL, format!("{jug} US gallons, not imperial gallons: 1 imp gal is 1.201 gal")),
            // Written in US gallons and too high: what it is held against was meant in imperial ones.
            (
                34.2 / 28.5,
                GALLON,
                GALLON,
                "check whether the other value is in imperial gallons, not US gallons: 1 imp gal is 1.201 gal".to_owned(),
            ),
            // 36.5 fl oz is 1079 mL.
            (1079.0 / 36.5, OUNCE, OUNCE, format!("{jug} milliliters, not fluid ounces: 1 fl oz is 29.57 mL")),
            (
                43.5,
                None,
                Some(Unit::GALLON_PER_ACRE),
                "check whether the other value is in gallons per 1000 square feet, not gallons per acre: \
                 1 gal/1000 ft2 is 43.56 gal/acre"
                    .to_owned(),
            ),
            // 4.2 mph shows as 6.76 on a console in km/h.
            (
                6.76 / 4.2,
                Some(Unit::MPH),
                Some(Unit::MPH),
                "check whether the console reads kilometers per hour, not miles per hour: 1 mph is 1.609 km/h".to_owned(),
            ),
            (2.5 / 36.26, Some(Unit::PSI), None, "check whether the gauge reads bar, not psi: 1 bar is 14.50 psi".to_owned()),
            (14.5, Some(Unit::BAR), None, "check whether the gauge reads psi, not bar: 1 bar is 14.50 psi".to_owned()),
        ] {
            let mix_up = confusion(ratio, found, against, 0.005).unwrap();
            assert_eq!(mix_up.help(), help, "{ratio}");
        }
    }

    #[test]
    fn published_effects() {
        // Trade sources give 20.1% for the gallons, 43.56, 1.609, 14.5 and 29.6 for the others.
        for (written, meant, ratio, within) in [
            (Unit::IMPERIAL_GALLON, Unit::GALLON, 1.201, 0.000_5),
            (
                Unit::GALLON_PER_1000_SQUARE_FEET,
                Unit::GALLON_PER_ACRE,
                43.56,
                1e-9,
            ),
            (Unit::MPH, Unit::KILOMETER_PER_HOUR, 1.609, 0.000_5),
            (Unit::BAR, Unit::PSI, 14.5, 0.05),
            (Unit::FLUID_OUNCE, Unit::MILLILITER, 29.6, 0.05),
        ] {
            assert!((misread(written, meant) - ratio).abs() <= within);
            let mix_up = confusion(ratio, Some(written), None, 0.0).unwrap();
            assert_eq!(
                (mix_up.side, mix_up.written, mix_up.meant),
                (Side::Found, written, meant)
            );
        }
    }

    #[test]
    fn ounces_are_named_only_where_four_percent_can_be_told() {
        let ratio = 1.041;
        let mix_up = confusion(ratio, OUNCE, OUNCE, 0.008).unwrap();
        assert_eq!(
            mix_up.help(),
            "check whether the jug or scale reads imperial fluid ounces or ounces of weight, not US fluid ounces: \
             1 fl oz is 1.041 imp fl oz, and 1 imp fl oz of water weighs 1 wt oz"
        );
        assert_eq!(confusion(ratio, OUNCE, OUNCE, 0.02), None);
    }

    #[test]
    fn nothing_is_said_where_nothing_or_several_fit() {
        assert_eq!(confusion(1.0, GALLON, GALLON, 0.01), None);
        assert_eq!(confusion(1.1, GALLON, GALLON, 0.01), None);
        assert_eq!(confusion(0.833, None, None, 0.01), None);
        assert_eq!(confusion(0.833, OUNCE, None, 0.01), None);
        // Liters for gallons 3.785 and for imperial gallons 4.546 both lie within 20%.
        assert_eq!(confusion(4.1, None, Some(Unit::LITER), 0.2), None);
        // A deviation within its own uncertainty is none.
        assert_eq!(confusion(0.95, GALLON, None, 0.19), None);
        for ratio in [f64::NAN, f64::INFINITY, 0.0, -1.0] {
            assert_eq!(confusion(ratio, GALLON, GALLON, 0.01), None);
        }
    }

    #[test]
    fn the_relation_in_words_is_the_ratio_of_the_units() {
        for pair in &PAIRS {
            let [one, other] = pair.units;
            let factor = if one.factor() < other.factor() {
                misread(other, one)
            } else {
                misread(one, other)
            };
            let words: Vec<&str> = pair.relation.split(' ').collect();
            let stated = words
                .iter()
                .filter_map(|word| word.parse::<f64>().ok())
                .nth(1)
                .unwrap();
            assert!(
                (stated / factor - 1.0).abs() < 0.000_5,
                "{}: {factor}",
                pair.relation
            );
        }
    }

    proptest! {
        #[test]
        fn a_mix_up_suggested_explains_the_ratio(ratio in 0.01..100.0, uncertainty in 0.0..0.2) {
            for unit in [Unit::GALLON, Unit::IMPERIAL_GALLON, Unit::FLUID_OUNCE, Unit::PSI, Unit::BAR, Unit::MPH] {
                if let Some(mix_up) = confusion(ratio, Some(unit), Some(unit), uncertainty) {
                    prop_assert!((ratio / mix_up.ratio() - 1.0).abs() <= f64::max(uncertainty, 0.01));
                    prop_assert!((mix_up.ratio() - 1.0).abs() > uncertainty);
                    prop_assert!(mix_up.help().starts_with("check whether "));
                }
            }
        }
    }
}
