//! Places of SARIF: paths from the top of the repository, percent-encoded, and regions in characters.

use super::message::Text;
use crate::render::location;
use crate::report::Report;
use crate::source::Place;
use serde::Serialize;
use std::fmt::Write;

/// A place with what stands there.
#[derive(Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub(super) struct LocationFields {
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) id: Option<usize>,
    pub(super) physical_location: PhysicalLocation,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) message: Option<Text>,
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub(super) struct PhysicalLocation {
    artifact_location: ArtifactLocation,
    #[serde(skip_serializing_if = "Option::is_none")]
    region: Option<Region>,
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "camelCase")]
struct ArtifactLocation {
    uri: String,
    uri_base_id: &'static str,
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "camelCase")]
struct Region {
    start_line: u32,
    start_column: u32,
    end_line: u32,
    end_column: u32,
}

impl LocationFields {
    /// A place, with a label where it has one.
    pub(super) fn new(report: &Report, place: Place, label: &str) -> Self {
        let at = location::of(report, place);
        Self {
            id: None,
            physical_location: PhysicalLocation {
                artifact_location: ArtifactLocation::new(report, report.path(place.file)),
                region: Some(Region {
                    start_line: at.line.0,
                    start_column: at.column.0,
                    end_line: at.end_line.0,
                    end_column: at.end_column.0,
                }),
            },
            message: (!label.is_empty()).then(|| Text::escaped(label)),
        }
    }

    /// A whole file, which perhaps nobody could read.
    pub(super) fn of_file(report: &Report, path: &str) -> Self {
        Self {
            id: None,
            physical_location: PhysicalLocation {
                artifact_location: ArtifactLocation::new(report, path),
                region: None,
            },
            message: None,
        }
    }
}

impl ArtifactLocation {
    fn new(report: &Report, path: &str) -> Self {
        Self {
            uri: uri(&report.in_repository(path)),
            uri_base_id: "%SRCROOT%",
        }
    }
}

/// A path as a relative reference (RFC 3986): all but unreserved characters and `/` are encoded.
fn uri(path: &str) -> String {
    let mut uri = String::with_capacity(path.len());
    for byte in path.bytes() {
        match byte {
            b'A'..=b'Z' | b'a'..=b'z' | b'0'..=b'9' | b'-' | b'.' | b'_' | b'~' | b'/' => {
                uri.push(char::from(byte));
            }
            byte => write!(uri, "%{byte:02X}").expect("writing to a string does not fail"),
        }
    }
    uri
}

#[cfg(test)]
mod tests {
    use super::uri;

    #[test]
    fn a_path_is_a_relative_reference() {
        assert_eq!(uri("a b/ç:%#?.yaml"), "a%20b/%C3%A7%3A%25%23%3F.yaml");
        assert_eq!(uri("machines/heron-2.yaml"), "machines/heron-2.yaml");
    }
}
