//! Files read, decoded, parsed, validated and lowered; nothing here depends on what stands in another file.

use super::files::Tree;
use crate::diagnostic::{Diagnostic, Label, Severity};
use crate::record::{self, Application, Calibration, Fleet, Lowered, Machine, Service, Waivers};
use crate::schema::{self, Kind};
use crate::source::{FileId, LARGEST_TEXT, Place, SourceFile, Span, too_large};
use crate::yaml::{self, Node};
use std::sync::{Arc, OnceLock};

/// Reads one file by its path relative to the records' root; an error is a fragment that says why not.
pub type ReadFile<'a> = dyn Fn(&str) -> Result<Vec<u8>, String> + Sync + 'a;

/// Keys of ours that readers of YAML 1.1 take for true: the day of an amendment, or of a deletion.
const KEYS_READ_DIFFERENTLY: &[&str] = &["on"];

/// A file that could not be read.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Failure {
    /// The path, relative to the records' root.
    pub path: String,
    /// Why, as a fragment that can follow "could not read".
    pub reason: String,
}

/// What could be made of the file of one record.
#[derive(Debug)]
pub struct Read<R> {
    /// The record, less what is wrong with it; none where nothing can be made of it.
    pub record: Option<Arc<R>>,
    /// What is wrong with its text, its shape and its scalars.
    pub findings: Vec<Diagnostic>,
    /// Why it could not be read at all.
    pub failure: Option<Failure>,
}

impl<R> Default for Read<R> {
    fn default() -> Self {
        Self {
            record: None,
            findings: Vec::new(),
            failure: None,
        }
    }
}

/// A record of one kind.
pub trait Record: Sized + 'static {
    /// The kind.
    const KIND: Kind;
    /// Lowers the tree of such a record.
    fn lower(file: FileId, root: Node<'_>) -> Lowered<Self>;
    /// Where a file that is held keeps it.
    fn kept(held: &HeldFile) -> &OnceLock<Arc<Read<Self>>>;
}

/// A file that is held in memory, with what was made of its text so far.
#[derive(Debug)]
pub struct HeldFile {
    bytes: Vec<u8>,
    fleet: OnceLock<Arc<Read<Fleet>>>,
    waivers: OnceLock<Arc<Read<Waivers>>>,
    machine: OnceLock<Arc<Read<Machine>>>,
    calibration: OnceLock<Arc<Read<Calibration>>>,
    service: OnceLock<Arc<Read<Service>>>,
    application: OnceLock<Arc<Read<Application>>>,
    source: OnceLock<Arc<SourceFile>>,
}

impl HeldFile {
    /// A file with this text.
    pub fn new(bytes: impl Into<Vec<u8>>) -> Self {
        Self {
            bytes: bytes.into(),
            fleet: OnceLock::new(),
            waivers: OnceLock::new(),
            machine: OnceLock::new(),
            calibration: OnceLock::new(),
            service: OnceLock::new(),
            application: OnceLock::new(),
            source: OnceLock::new(),
        }
    }

    /// Its text as it was given.
    pub fn bytes(&self) -> &[u8] {
        &self.bytes
    }
}

macro_rules! record {
    ($record:ty, $kind:expr, $lower:path, $kept:ident) => {
        impl Record for $record {
            const KIND: Kind = $kind;

            fn lower(file: FileId, root: Node<'_>) -> Lowered<Self> {
                $lower(file, root)
            }

            fn kept(held: &HeldFile) -> &OnceLock<Arc<Read<Self>>> {
                &held.$kept
            }
        }
    };
}

record!(Fleet, Kind::Fleet, record::lower_fleet, fleet);
record!(Waivers, Kind::Waivers, record::lower_waivers, waivers);
record!(Machine, Kind::Machine, record::lower_machine, machine);
record!(
    Calibration,
    Kind::Calibration,
    record::lower_calibration,
    calibration
);
record!(Service, Kind::Service, record::lower_service, service);
record!(
    Application,
    Kind::Application,
    record::lower_application,
    application
);

/// Where texts come from.
#[derive(Clone, Copy)]
pub enum Store<'a> {
    /// Read whenever they are asked for, and kept nowhere.
    Passing(&'a ReadFile<'a>),
    /// Held by number, with what was made of them.
    Held(&'a [Option<HeldFile>]),
}

/// Reads files of a tree.
pub struct Reader<'a> {
    store: Store<'a>,
    /// The files there are.
    pub tree: &'a Tree,
}

impl<'a> Reader<'a> {
    /// A reader of the files of a tree.
    pub fn new(store: Store<'a>, tree: &'a Tree) -> Self {
        Self { store, tree }
    }

    fn held(&self, file: FileId) -> Option<&'a HeldFile> {
        match self.store {
            Store::Passing(_) => None,
            Store::Held(files) => files.get(file.0 as usize)?.as_ref(),
        }
    }

    /// The text of a file as it is decoded.
    ///
    /// # Errors
    /// Where the file cannot be read, or is too large.
    pub fn decoded(&self, file: FileId) -> Result<yaml::Decoded, Failure> {
        let path = self.tree.path(file);
        let failure = |reason: String| Failure {
            path: path.to_owned(),
            reason,
        };
        let bytes = match self.store {
            Store::Passing(read) => read(path).map_err(failure)?,
            Store::Held(_) => match self.held(file) {
                Some(held) => held.bytes.clone(),
                None => return Err(failure("it is not there".to_owned())),
            },
        };
        if bytes.len() > LARGEST_TEXT {
            return Err(failure(too_large()));
        }
        Ok(yaml::decode(file, bytes))
    }

    /// What can be seen in a file whose text and YAML have no fault; whether they have is told where it is judged.
    pub fn looked_into<T>(&self, file: FileId, look: impl FnOnce(Node<'_>) -> T) -> Option<T> {
        let decoded = self.decoded(file).ok()?;
        let mut parsed = yaml::parse(file, &decoded.text);
        let is_fault = |problem: &Diagnostic| problem.severity() == Severity::Error;
        if parsed.problems.iter().any(is_fault) || !decoded.problems.is_empty() {
            return None;
        }
        renamed_words(file, &mut parsed.tree);
        parsed.tree.root().map(look)
    }

    /// The text of a file, for labels.
    ///
    /// # Errors
    /// As of [`Self::decoded`].
    pub fn text(&self, file: FileId) -> Result<Arc<SourceFile>, Failure> {
        let held = self.held(file);
        if let Some(source) = held.and_then(|held| held.source.get()) {
            return Ok(Arc::clone(source));
        }
        let decoded = self.decoded(file)?;
        let source = Arc::new(SourceFile::new(self.tree.path(file), decoded.text));
        Ok(match held {
            Some(held) => Arc::clone(held.source.get_or_init(|| source)),
            None => source,
        })
    }

    /// A record of the kind that its place wants.
    ///
    /// Where there is none, a finding or a failure tells why. A fault of its shape leaves the record, less what is wrong.
    pub fn record<R: Record>(&self, file: FileId) -> Arc<Read<R>> {
        match self.held(file) {
            Some(held) => Arc::clone(R::kept(held).get_or_init(|| Arc::new(self.read(file)))),
            None => Arc::new(self.read(file)),
        }
    }

    fn read<R: Record>(&self, file: FileId) -> Read<R> {
        let decoded = match self.decoded(file) {
            Ok(decoded) => decoded,
            Err(failure) => {
                return Read {
                    failure: Some(failure),
                    ..Read::default()
                };
            }
        };
        let is_text = decoded.problems.is_empty();
        let mut findings = decoded.problems;
        let mut parsed = yaml::parse(file, &decoded.text);
        let is_error = |problem: &Diagnostic| problem.severity() == Severity::Error;
        let is_yaml = !parsed.problems.iter().any(is_error);
        findings.extend(parsed.problems);
        findings.extend(renamed_words(file, &mut parsed.tree));
        let root = parsed.tree.root().filter(|_| is_text && is_yaml);
        let Some(root) = root else {
            if is_text && is_yaml {
                findings.push(empty(file, R::KIND));
            }
            return Read {
                findings,
                ..Read::default()
            };
        };
        let is_wanted = match schema::kind_of(file, root) {
            Ok(kind) if kind == R::KIND => {
                findings.extend(schema::check(kind, file, root));
                true
            }
            Ok(kind) => {
                findings.push(unlike_folder(file, root, kind, R::KIND));
                false
            }
            Err(finding) => {
                findings.push(finding);
                false
            }
        };
        if !is_wanted {
            return Read {
                findings,
                ..Read::default()
            };
        }
        let lowered = R::lower(file, root);
        findings.extend(lowered.problems);
        let differently = yaml::read_differently(file, root, KEYS_READ_DIFFERENTLY);
        let is_news = |finding: &Diagnostic| {
            let place = finding.primary().place;
            // What is wrong for us too is told once.
            findings.iter().all(|told| told.primary().place != place)
        };
        let news: Vec<Diagnostic> = differently.into_iter().filter(is_news).collect();
        findings.extend(news);
        Read {
            record: Some(Arc::new(lowered.record)),
            findings,
            failure: None,
        }
    }
}

/// Reads old words of a record as the new ones; the notes that tell of it.
pub(super) fn renamed_words(file: FileId, tree: &mut yaml::Tree<'_>) -> Vec<Diagnostic> {
    let kind = tree
        .root()
        .and_then(|root| Kind::from_record_value(root.get("record")?.text()?));
    kind.map(|kind| schema::reword(kind, file, tree))
        .unwrap_or_default()
}

fn unlike_folder(file: FileId, root: Node<'_>, kind: Kind, wanted: Kind) -> Diagnostic {
    let span = root.get("record").map_or(root.span(), Node::span);
    let place = Place { file, span };
    let message = format!(
        "a record of kind {} in the place of a {}",
        kind.word(),
        wanted.word(),
    );
    Diagnostic::new(
        "unlike-folder",
        Severity::Error,
        message,
        Label::new(place, ""),
    )
    .help("move the file to the folder of its kind, or correct its kind")
}

fn empty(file: FileId, wanted: Kind) -> Diagnostic {
    let place = Place {
        file,
        span: Span::new(0, 0),
    };
    let message = format!("the file is empty; a {} file is needed here", wanted.word());
    Diagnostic::new(
        "not-a-record",
        Severity::Error,
        message,
        Label::new(place, ""),
    )
    .help(format!(
        "begin it with record: {}, or delete it",
        wanted.word()
    ))
}
