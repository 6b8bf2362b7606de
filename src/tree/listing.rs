//! The paths of records: what the file at a path is for.
//!
//! Reads no file, and looks at no other path: whether two files of one thing count is for `naming`.

/// The files of a tree of records.
#[derive(Debug, Clone, Default)]
pub struct Listing {
    /// Paths relative to the records' root, `/` between parts, in any order.
    pub paths: Vec<String>,
    /// Small files in other places that may be records all the same, by [`may_be_misplaced`].
    pub others: Vec<String>,
    /// How many other YAML files there are.
    pub ignored: usize,
}

/// The folders of records right at the root.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Folder {
    Machines,
    HouseRules,
    HouseCauses,
    Calibrations,
    Service,
    Applications,
}

impl Folder {
    /// A known name is known in any case, so that one in the wrong case is told and not passed over.
    fn named(name: &str) -> Option<Self> {
        match name.to_lowercase().as_str() {
            "machines" => Some(Self::Machines),
            "house-rules" => Some(Self::HouseRules),
            "house-causes" => Some(Self::HouseCauses),
            "calibrations" => Some(Self::Calibrations),
            "service" => Some(Self::Service),
            "applications" => Some(Self::Applications),
            _ => None,
        }
    }

    /// Whether it has one folder a machine, whose files are records.
    const fn is_by_machine(self) -> bool {
        match self {
            Self::Machines | Self::HouseRules | Self::HouseCauses => false,
            Self::Calibrations | Self::Service | Self::Applications => true,
        }
    }
}

/// What a file is for, by its path.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FilePlace<'p> {
    /// The fleet file.
    Fleet,
    /// The waivers.
    Waivers,
    /// A rule of the group's own.
    HouseRule,
    /// A cause of the group's own.
    HouseCause,
    /// The file of a machine.
    MachineFile {
        /// The machine.
        machine: &'p str,
    },
    /// A visit.
    Calibration {
        /// The machine.
        machine: &'p str,
    },
    /// Work on a machine.
    Service {
        /// The machine.
        machine: &'p str,
    },
    /// What a machine sprayed.
    Application {
        /// The machine.
        machine: &'p str,
    },
}

/// What the file at a path below the root is for: YAML in a known place, and neither hidden nor in a hidden folder.
pub fn place_of(path: &str) -> Option<FilePlace<'_>> {
    let parts: Vec<&str> = path.split('/').collect();
    let name = *parts.last()?;
    if ending_of(name).is_empty() || parts.iter().any(|part| is_hidden(part)) {
        return None;
    }
    match parts[..] {
        [_] => match stem(name).to_lowercase().as_str() {
            "fleet" => Some(FilePlace::Fleet),
            "waivers" => Some(FilePlace::Waivers),
            _ => None,
        },
        [folder, _] => match Folder::named(folder)? {
            Folder::Machines => Some(FilePlace::MachineFile {
                machine: stem(name),
            }),
            Folder::HouseRules => Some(FilePlace::HouseRule),
            Folder::HouseCauses => Some(FilePlace::HouseCause),
            Folder::Calibrations | Folder::Service | Folder::Applications => None,
        },
        [folder, machine, _] => match Folder::named(folder)? {
            Folder::Calibrations => Some(FilePlace::Calibration { machine }),
            Folder::Service => Some(FilePlace::Service { machine }),
            Folder::Applications => Some(FilePlace::Application { machine }),
            Folder::Machines | Folder::HouseRules | Folder::HouseCauses => None,
        },
        _ => None,
    }
}

/// Whether a path below the root is that of a record.
pub fn is_record(path: &str) -> bool {
    place_of(path).is_some()
}

/// Whether a folder below the root can hold records, itself or one folder down.
pub fn may_hold_records(folder: &str) -> bool {
    match folder.split_once('/') {
        None => Folder::named(folder).is_some(),
        Some((folder, machine)) => {
            let is_known = Folder::named(folder).is_some_and(Folder::is_by_machine);
            is_known && !machine.contains('/') && !is_hidden(machine)
        }
    }
}

/// Whether a file that is no record by its place may be one that was put in the wrong place, or named wrongly.
pub fn may_be_misplaced(path: &str) -> bool {
    let (folders, name) = path.rsplit_once('/').unwrap_or(("", path));
    let is_text = name.len() > TEXT.len() && has_ending(name, TEXT);
    // Among records a file of any name may be one that was put aside: a copy, or switched off by its name.
    let first = folders.split('/').next().unwrap_or_default();
    let is_among_records = Folder::named(first.trim_start_matches('.')).is_some();
    let has_name = is_text || is_among_records || !ending_of(name).is_empty();
    let hidden = folders.split('/').find(|folder| is_hidden(folder));
    has_name && !is_record(path) && (hidden.is_none() || may_hide_records(folders))
}

/// Whether a file is named as plain text.
pub(super) fn is_plain_text(path: &str) -> bool {
    has_ending(path, TEXT)
}

/// The ending of plain text.
const TEXT: &str = ".txt";

fn has_ending(name: &str, ending: &str) -> bool {
    let at = name.len().checked_sub(ending.len());
    at.and_then(|at| name.get(at..))
        .is_some_and(|own| own.eq_ignore_ascii_case(ending))
}

/// Whether a hidden folder lies where records do, or has the name of a folder of records but for its dot; of other
/// hidden folders nothing is looked at, least of all of git's own.
pub fn may_hide_records(folder: &str) -> bool {
    let is_of_git = folder
        .split('/')
        .any(|part| part.eq_ignore_ascii_case(".git"));
    let first = folder.split('/').next().unwrap_or_default();
    !is_of_git && Folder::named(first.trim_start_matches('.')).is_some()
}

/// The folders of records right at the root, as they are to be written.
pub(super) const FOLDERS: [&str; 6] = [
    "machines",
    "calibrations",
    "service",
    "applications",
    "house-rules",
    "house-causes",
];

pub(super) fn is_hidden(part: &str) -> bool {
    part.starts_with('.')
}

/// A file's name without its ending.
pub fn stem(name: &str) -> &str {
    &name[..name.len() - ending_of(name).len()]
}

/// The ending that makes a file YAML, as written; nothing where it has none.
pub fn ending_of(name: &str) -> &str {
    let dot = name.rfind('.').unwrap_or(name.len());
    let ending = &name[dot..];
    let is_yaml = [".yaml", ".yml"]
        .iter()
        .any(|known| ending.eq_ignore_ascii_case(known));
    if is_yaml { ending } else { "" }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn records_are_yaml_in_known_places() {
        let rows = [
            ("fleet.yaml", true),
            ("fleet.yml", true),
            ("waivers.yaml", true),
            ("fleet.txt", false),
            ("fleet", false),
            ("other.yaml", false),
            ("Fleet.yaml", true),
            ("WAIVERS.YML", true),
            (".fleet.yaml", false),
            ("Machines/heron.yaml", true),
            ("CALIBRATIONS/heron/2026-03-09.yaml", true),
            ("machines/heron.yaml", true),
            ("machines/heron.YAML", true),
            ("machines/heron.txt", false),
            ("machines/heron", false),
            ("machines/.heron.yaml", false),
            ("machines/.yaml", false),
            ("machines/old/heron.yaml", false),
            ("house-rules/rule.yaml", true),
            ("house-causes/cause.yaml", true),
            ("house-causes/old/cause.yaml", false),
            ("calibrations/2026-03-09.yaml", false),
            ("calibrations/heron/2026-03-09.yaml", true),
            ("calibrations/.heron/2026-03-09.yaml", false),
            ("calibrations/heron/.2026-03-09.yaml", false),
            ("calibrations/heron/old/2026-03-09.yaml", false),
            ("service/heron/2026-05-02.yml", true),
            ("applications/heron/2026-05-04.yaml", true),
            ("applications/heron/notes.txt", false),
            ("demo/machines/heron.yaml", false),
            ("", false),
        ];
        for (path, expected) in rows {
            assert_eq!(is_record(path), expected, "{path}");
        }
    }

    #[test]
    fn what_may_be_misplaced_is_text_or_yaml_or_among_records_and_in_no_hidden_folder_of_others() {
        let rows = [
            ("calibration/heron/2026-03-09.yaml", true),
            ("calibrations/2026-03-09.yaml", true),
            ("calibrations/heron/.2026-03-09.yaml", true),
            ("calibrations/.heron/2026-03-09.yaml", true),
            (".calibrations/heron/2026-03-09.yaml", true),
            ("calibrations/heron/2026-03-09.yaml.txt", true),
            ("heron.TXT", true),
            (".github/workflows/records.yml", false),
            (".git/machines/heron.yaml", false),
            ("machines/.git/heron.yaml", false),
            ("calibrations/heron/2026-03-09.yaml", false),
            ("calibrations/heron/2026-03-09.pdf", true),
            ("calibrations/heron/2026-03-09", true),
            ("calibrations/heron/2026-03-09.yaml ", true),
            ("machines/heron.yaml~", true),
            (".txt", false),
            ("notes.pdf", false),
            ("heron.yaml~", false),
            ("service/.git/config", false),
        ];
        for (path, expected) in rows {
            assert_eq!(may_be_misplaced(path), expected, "{path}");
        }
    }

    #[test]
    fn folders_of_records_are_known_by_name() {
        let rows = [
            ("machines", true),
            ("Machines", true),
            ("house-rules", true),
            ("house-causes", true),
            ("calibrations", true),
            ("service/heron", true),
            ("APPLICATIONS/heron", true),
            ("service/.heron", false),
            ("service/heron/old", false),
            ("machines/heron", false),
            ("house-rules/old", false),
            (".machines", false),
            ("demo", false),
            ("demo/machines", false),
            ("", false),
        ];
        for (folder, expected) in rows {
            assert_eq!(may_hold_records(folder), expected, "{folder}");
        }
    }

    #[test]
    fn a_machine_is_called_as_its_machine_file_and_its_folders() {
        let machine = "heron";
        for (path, place) in [
            ("machines/heron.YML", FilePlace::MachineFile { machine }),
            (
                "calibrations/heron/2026-03-09.yaml",
                FilePlace::Calibration { machine },
            ),
            (
                "service/heron/2026-03-09.yaml",
                FilePlace::Service { machine },
            ),
            (
                "applications/heron/2026-03-09.yaml",
                FilePlace::Application { machine },
            ),
            ("house-rules/heron.yaml", FilePlace::HouseRule),
            ("house-causes/heron.yaml", FilePlace::HouseCause),
        ] {
            assert_eq!(place_of(path), Some(place), "{path}");
        }
    }
}
