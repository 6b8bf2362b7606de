//! The page for a phone, as one HTML file that asks for nothing from outside: records and judge are in it.
//!
//! Decides nothing, and words nothing of a visit: what the page says of one, the judge in it says.

mod module;

pub use module::{Module, NoModule, module};

use crate::render::Harmless;
use crate::words::clean::clean;
use crate::words::phrases::name;
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use serde::Serialize;
use std::collections::BTreeMap;

const TEMPLATE: &str = include_str!("../../../page/page.html");
const STYLE: &str = include_str!("../../../page/page.css");
/// Each leaves one name; the last begins.
const SCRIPTS: [&str; 8] = [
    include_str!("../../../page/loader.js"),
    include_str!("../../../page/store.js"),
    include_str!("../../../page/draw.js"),
    include_str!("../../../page/give.js"),
    include_str!("../../../page/kept.js"),
    include_str!("../../../page/screen.js"),
    include_str!("../../../page/show.js"),
    include_str!("../../../page/page.js"),
];

/// A page to be made.
#[derive(Debug, Clone)]
pub struct Page {
    /// The machine, by name.
    pub machine: String,
    /// The setups that the page offers; where it is one, the page asks no more.
    pub setups: Vec<String>,
    /// The day of the visit; none where it is the day on which the page is opened.
    pub day: Option<String>,
    /// The records that the visit is judged by: text by path.
    pub files: BTreeMap<String, String>,
}

/// What the page carries.
#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
struct Carried<'a> {
    machine: &'a str,
    shown: String,
    setups: Vec<Setup<'a>>,
    day: Option<&'a str>,
    files: &'a BTreeMap<String, String>,
}

/// A setup, and how its name is shown.
#[derive(Serialize)]
struct Setup<'a> {
    name: &'a str,
    shown: String,
}

/// The page of a machine, with the module that judges in it.
///
/// # Panics
/// Where the template has a slot that nothing is filled into; a test fills every slot.
pub fn page(page: &Page, module: Module) -> Harmless {
    let shown = |text: &str| clean(&name(text)).into_owned();
    let carried = Carried {
        machine: &page.machine,
        shown: shown(&page.machine),
        setups: page
            .setups
            .iter()
            .map(|setup| Setup {
                name: setup,
                shown: shown(setup),
            })
            .collect(),
        day: page.day.as_deref(),
        files: &page.files,
    };
    let carried = serde_json::to_string(&carried).expect("texts alone");
    let parts = [
        ("style", STYLE),
        ("carried", &in_script(&carried)),
        ("unpacker", &STANDARD.encode(module.unpacker)),
        ("module", &STANDARD.encode(module.packed)),
        ("script", &SCRIPTS.join("\n")),
    ];
    Harmless::lines(&filled(TEMPLATE, &parts))
}

/// A template with each `@@slot@@` filled once; what is filled in is not looked at again.
fn filled(template: &str, parts: &[(&str, &str)]) -> String {
    let mut out = String::new();
    for (at, piece) in template.split("@@").enumerate() {
        if at % 2 == 0 {
            out.push_str(piece);
        } else {
            let part = parts.iter().find(|(slot, _)| *slot == piece);
            out.push_str(part.expect("every slot has its part").1);
        }
    }
    out
}

/// JSON that may stand within a script element, whatever is in its texts: nothing in it can end the element, a line, or the
/// direction of writing.
fn in_script(json: &str) -> String {
    let mut out = String::with_capacity(json.len());
    for letter in json.chars() {
        if letter.is_ascii() && !letter.is_ascii_control() && !"<>&@".contains(letter) {
            out.push(letter);
        } else {
            let mut units = [0; 2];
            for unit in letter.encode_utf16(&mut units) {
                out.extend([format!("\\u{unit:04x}")]);
            }
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn made(machine: &str, text: &str) -> String {
        let files = BTreeMap::from([("machines/heron.yaml".to_owned(), text.to_owned())]);
        let one = Page {
            machine: machine.to_owned(),
            setups: vec!["fairways".to_owned()],
            day: None,
            files,
        };
        let module = Module {
            unpacker: b"unpacker",
            packed: b"module",
        };
        page(&one, module).to_string()
    }

    /// Nothing of the page is marked as harmful, so that what a browser runs is what stands in the sources.
    #[test]
    fn the_page_is_its_parts() {
        let page = made("heron", "a: 1\n");
        for part in SCRIPTS.into_iter().chain([STYLE]) {
            assert!(page.contains(part));
            assert!(!part.contains("</"), "a script or style must not be ended");
        }
        assert!(page.contains(&STANDARD.encode(b"module")));
        assert!(page.contains(&STANDARD.encode(b"unpacker")));
        assert!(!page.contains("@@"));
    }

    /// No text of a record ends the script that holds it, and each is read back as it was.
    #[test]
    fn no_text_of_a_record_is_markup() {
        let text = "</script><!--<script>\u{2028}\u{2029}\u{202e}\u{1d11e}\u{1b}]0;@@module@@ \"&amp;\n--- x";
        let page = made("a</script>", text);
        let begun = page.split("<script type=\"application/json\" id=\"carried\">");
        let carried = begun.last().expect("the page has what it carries");
        let carried = carried.split("</script>").next().expect("the script ends");
        assert!(carried.is_ascii());
        let read: serde_json::Value = serde_json::from_str(carried).expect("JSON");
        assert_eq!(read["files"]["machines/heron.yaml"], text);
        assert_eq!(read["machine"], "a</script>");
        assert_eq!(
            page.matches("</script>").count(),
            made("a", "").matches("</script>").count()
        );
    }
}
