//! The code square: machine, setup and day, for a phone that reads the sheet later.

use super::html::{Html, with};
use crate::draft::Form;
use crate::words::dates;
use fast_qr::qr::QRCode;
use fast_qr::{ECL, QRBuilder};

/// Light modules around it, as ISO/IEC 18004 wants.
const QUIET: usize = 4;

/// Longer texts make modules too small for a phone and a worn printer (our choice).
const LONGEST: usize = 150;

/// What the code square says: `swathlint:heron/fairways/2026-06-01`.
///
/// The first part is the machine and the last is the day: neither has a slash in it, a setup may.
pub fn sheet_name(form: &Form) -> String {
    let day = dates::date(form.day);
    format!("swathlint:{}/{}/{day}", form.machine, form.setup.name)
}

/// The square as a picture; none of a name that is too long for it. A quarter of it may be wet or torn (level Q).
pub(super) fn square(name: &str) -> Option<Html> {
    if LONGEST < name.len() {
        return None;
    }
    let code = QRBuilder::new(name).ecl(ECL::Q).build().ok()?;
    let side = (code.size + 2 * QUIET).to_string();
    let view = format!("0 0 {side} {side}");
    let attributes = [
        ("xmlns", "http://www.w3.org/2000/svg"),
        ("class", "square"),
        ("role", "img"),
        ("aria-label", name),
        ("viewBox", view.as_str()),
        ("shape-rendering", "crispEdges"),
    ];
    Some(with(
        "svg",
        &attributes,
        [with("path", &[("d", &dark(&code))], [])],
    ))
}

/// Each run of dark modules as a bar.
fn dark(code: &QRCode) -> String {
    let mut path = String::new();
    for row in 0..code.size {
        let mut column = 0;
        while column < code.size {
            let rest = &code[row][column..code.size];
            let run = rest.iter().take_while(|module| module.value()).count();
            if 0 < run {
                let (x, y) = (column + QUIET, row + QUIET);
                path.extend([format!("M{x} {y}h{run}v1h-{run}z")]);
            }
            column += run.max(1);
        }
    }
    path
}
