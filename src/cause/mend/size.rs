//! The tips fitted are of another size than the sheet's.

use super::flow::{flow_ratios, parts, with_and_without_volume};
use crate::cause::content::Part;
use crate::cause::hypothesis::{At, Change, Hypothesis, Meant};
use crate::cause::seen::Seen;
use crate::cause::value::Value;

/// The sizes of ISO 10625 with their flow in US gallons a minute at 40 psi, which is a tenth of the size; which ones there are is from
/// memory.
const SIZES: [(&str, f64); 13] = [
    ("01", 0.10),
    ("015", 0.15),
    ("02", 0.20),
    ("025", 0.25),
    ("03", 0.30),
    ("035", 0.35),
    ("04", 0.40),
    ("05", 0.50),
    ("06", 0.60),
    ("08", 0.80),
    ("10", 1.00),
    ("15", 1.50),
    ("20", 2.00),
];

/// A gallon a minute in cubic meters a second, and 40 psi in pascals.
const GPM: f64 = 0.003_785_411_784 / 60.0;
const FORTY_PSI: f64 = 40.0 * 8_896_443_230_521.0 / 1_290_320_000.0;

/// Each part with each of the nearest sizes.
pub(super) fn hypotheses(seen: &Seen<'_>, part: Part, nearest: usize) -> Vec<Hypothesis> {
    let Some(sizes) = sizes(seen, nearest) else {
        return Vec::new();
    };
    let of = |size, at, ratios| Hypothesis {
        meant: Some(Meant::Size(size)),
        ..Hypothesis::new(at, Change::Ratios(ratios))
    };
    if part == Part::Sheet {
        if !seen.is_checked(Value::RatedFlow) {
            return Vec::new();
        }
        // The sheet's own flow is what is wrong: at this visit, at the last one, and in the sheet's sum.
        let at = At::Value(Value::RatedFlow);
        let wrong = sizes
            .into_iter()
            .map(|(size, ratio)| of(size, at.clone(), vec![(Value::RatedFlow, 1.0 / ratio)]));
        return wrong.collect();
    }
    let mut all = Vec::new();
    for (at, mut nozzles) in parts(seen, part) {
        // No size puts out nothing.
        nozzles.retain(|nozzle| !seen.readings.is_zero(Value::Caught(*nozzle)));
        if nozzles.is_empty() {
            continue;
        }
        for (size, ratio) in &sizes {
            let fitted = flow_ratios(seen, &nozzles, *ratio);
            let fitted = with_and_without_volume(seen, part, fitted);
            all.extend(
                fitted
                    .into_iter()
                    .map(|ratios| of(size, at.clone(), ratios)),
            );
        }
    }
    all
}

/// A flow nearer to a size than this, as a logarithm, is that size: makers round, and 3 bar is not 40 psi (1.3%).
const ROUNDED: f64 = 0.03;

/// The nearest sizes with their flow over the sheet's.
fn sizes(seen: &Seen<'_>, nearest: usize) -> Option<Vec<(&'static str, f64)>> {
    let rated = seen.readings.get(Value::RatedFlow)?;
    let pressure = seen.readings.get(Value::RatedPressure).unwrap_or(FORTY_PSI);
    let own = rated * (FORTY_PSI / pressure).sqrt() / GPM;
    let far = |ratio: f64| libm::log(ratio).abs();
    let ratios = SIZES.iter().map(|(size, flow)| (*size, flow / own));
    let mut others: Vec<_> = ratios.filter(|(_, ratio)| far(*ratio) > ROUNDED).collect();
    others.sort_by(|(_, one), (_, other)| far(*one).total_cmp(&far(*other)));
    others.truncate(nearest);
    Some(others)
}
