//! The nozzle of a setup, or one that was fitted: what it is rated, and the pressures it is made for.

use super::lowering::Lowering;
use super::size;
use crate::quantity::Quantity;
use crate::quantity::decimal::Decimal;
use crate::quantity::dimension::Dimension;
use crate::quantity::unit::Unit;
use crate::source::{Place, Placed};
use crate::yaml::Node;

/// A nozzle's rating.
#[derive(Debug, Clone)]
pub struct Rated {
    /// The flow.
    pub flow: Placed<Quantity>,
    /// The pressure it holds at.
    pub pressure: Placed<Quantity>,
    /// The ISO 10625 size it was written as; none where the flow was written.
    pub size: Option<String>,
    /// The pressures its maker gives for it.
    pub range: Option<PressureRange>,
}

/// The pressures that a nozzle's maker gives for it: the spray pattern is not good beyond them.
#[derive(Debug, Clone, Copy)]
pub struct PressureRange {
    /// The lowest.
    pub from: Placed<Quantity>,
    /// The highest, which is above it.
    pub to: Placed<Quantity>,
}

pub(super) fn lower_rated(lowering: &mut Lowering, nozzle: Node<'_>) -> Option<Rated> {
    if let Some(rated) = nozzle.get("rated") {
        let flow = lowering.placed(rated, "flow", &[Dimension::FLOW]);
        let pressure = lowering.placed(rated, "pressure", &[Dimension::PRESSURE]);
        return Some(Rated {
            flow: flow?,
            pressure: pressure?,
            size: None,
            range: lower_range(lowering, nozzle),
        });
    }
    let size_node = nozzle.get("size")?;
    let text = size_node.text()?;
    let Some(flow) = size::flow(text) else {
        let message = format!("`{text}` is no nozzle size of ISO 10625");
        let help = match size::meant(text) {
            Some((size, flow)) => format!("write \"{size}\", if {flow} at 40 psi is meant"),
            None => {
                "write the size as on the tip, such as \"04\" or \"015\" (0.4 and 0.15 gal/min at \
                     40 psi), or write rated: {flow: 2.4 L/min, pressure: 3 bar}"
                    .to_owned()
            }
        };
        lowering.problem("unreadable-size", size_node.span(), message, Some(help));
        return None;
    };
    let place = Place {
        file: lowering.file(),
        span: size_node.span(),
    };
    let at = |value| Placed { value, place };
    Some(Rated {
        flow: at(flow),
        pressure: at(Quantity {
            decimal: Decimal::whole(40),
            unit: Unit::PSI,
        }),
        size: Some(text.to_owned()),
        range: lower_range(lowering, nozzle),
    })
}

fn lower_range(lowering: &mut Lowering, nozzle: Node<'_>) -> Option<PressureRange> {
    let range = nozzle.get("pressure-range")?;
    let from = lowering.placed(range, "from", &[Dimension::PRESSURE]);
    let to = lowering.placed(range, "to", &[Dimension::PRESSURE]);
    let (from, to) = (from?, to?);
    if to.value.si() <= from.value.si() {
        let message = format!(
            "the pressure range ends at {}, which is not above {}",
            to.value, from.value
        );
        let help = "write the lower pressure under from and the higher one under to";
        lowering.problem(
            "pressure-range-backwards",
            to.place.span,
            message,
            Some(help.to_owned()),
        );
        return None;
    }
    Some(PressureRange { from, to })
}
