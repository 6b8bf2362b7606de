//! A fleet held in memory: texts are set and taken out, and what is told follows at once.
//!
//! For an editor, a page, a service: unsaved text is just another [`Workspace::set`]. Asks for no clock, no file and no
//! thread. What was made of a text is kept until the text changes, and the assessment of a machine until one of its files,
//! or what the group declares, changes.

use crate::assess::{self, Asked, Assessment, Context, FigureValue, Merged};
use crate::figure::AnyView;
use crate::projection::{self, Before, Settings, check_compared, due_list, figure_rows};
use crate::quantity::calendar::Period;
use crate::report::{DueList, FigureRow, Report, RowPlace, Unusable, machine_asked_for};
use crate::source::{FileId, Place, Position, PositionIn};
use crate::tree::listing::{FilePlace, may_be_misplaced, place_of};
use crate::tree::{Failure, HeldFile, Listing, MachineFiles, ReadFile, Reader, Store, Tree};
use jiff::civil::Date;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// A fleet held in memory.
///
/// ```
/// use swathlint::Workspace;
///
/// let mut fleet = Workspace::new(jiff::civil::date(2026, 6, 1));
/// fleet.set("machines/heron.yaml", "record: machine\nid: hern\n");
/// let report = fleet.check();
/// assert!(report.findings.iter().any(|one| one.rule() == "unlike-file-name"));
///
/// fleet.set("machines/heron.yaml", "record: machine\nid: heron\n");
/// let report = fleet.check();
/// assert!(report.findings.iter().all(|one| one.rule() != "unlike-file-name"));
/// ```
#[derive(Debug)]
pub struct Workspace {
    today: Date,
    /// The number of every path there ever was: it stays, so that what is kept stays right.
    numbers: BTreeMap<String, FileId>,
    /// By number.
    files: Vec<Option<HeldFile>>,
    known: Option<Known>,
    /// The files there were when the assessments were made, where there are others now.
    outdated: Option<Tree>,
    assessments: BTreeMap<String, Arc<Assessment>>,
    assessments_made: usize,
}

/// What is known of the fleet as a whole.
#[derive(Debug)]
struct Known {
    tree: Tree,
    context: Context,
}

impl Workspace {
    /// A fleet without records, as on a day.
    pub fn new(today: Date) -> Self {
        Self {
            today,
            numbers: BTreeMap::new(),
            files: Vec::new(),
            known: None,
            outdated: None,
            assessments: BTreeMap::new(),
            assessments_made: 0,
        }
    }

    /// The records of a listing, as on a day; what cannot be read is left out, and told with its reason.
    pub fn of(listing: &Listing, read: &ReadFile<'_>, today: Date) -> (Self, Vec<Failure>) {
        let mut fleet = Self::new(today);
        let mut failures = Vec::new();
        for path in listing.paths.iter().chain(&listing.others) {
            match read(path) {
                Ok(bytes) => fleet.set(path, bytes),
                Err(reason) => failures.push(Failure {
                    path: path.clone(),
                    reason,
                }),
            }
        }
        (fleet, failures)
    }

    /// The text of a file; none where there is no such file.
    pub fn text(&self, path: &str) -> Option<&[u8]> {
        self.bytes(path)
    }

    /// The paths of all files, in order.
    pub fn paths(&self) -> Vec<String> {
        self.listing().paths
    }

    /// The day that everything is judged on.
    pub fn today(&self) -> Date {
        self.today
    }

    /// Judges everything as on another day.
    pub fn set_today(&mut self, today: Date) {
        if self.today != today {
            self.today = today;
            self.assessments.clear();
            self.forget_known();
        }
    }

    /// The text of a file, new or changed; `path` is relative to the records' root, with `/` between its parts.
    pub fn set(&mut self, path: &str, text: impl Into<Vec<u8>>) {
        let text = text.into();
        let number = if let Some(number) = self.numbers.get(path) {
            *number
        } else {
            let number = FileId(u32::try_from(self.files.len()).unwrap_or(u32::MAX));
            self.numbers.insert(path.to_owned(), number);
            self.files.push(None);
            number
        };
        let Some(held) = self.files.get_mut(number.0 as usize) else {
            return; // There are no more numbers: four thousand million files are no fleet.
        };
        if held.as_ref().is_some_and(|held| held.bytes() == text) {
            return;
        }
        let is_new = held.is_none();
        *held = Some(HeldFile::new(text));
        self.forget(path, number, is_new);
    }

    /// Takes a file out; nothing where there is none.
    pub fn remove(&mut self, path: &str) {
        let Some(&number) = self.numbers.get(path) else {
            return;
        };
        let held = self.files.get_mut(number.0 as usize);
        if held.is_some_and(|held| held.take().is_some()) {
            self.forget(path, number, true);
        }
    }

    /// The names of the machines there are files of, in order.
    pub fn machines(&mut self) -> Vec<String> {
        let (known, _) = self.known();
        let machines = known.tree.machines.iter();
        machines.map(|machine| machine.id.clone()).collect()
    }

    /// How many assessments were made so far: what did not change is not assessed again.
    pub fn assessments_made(&self) -> usize {
        self.assessments_made
    }

    /// The assessment of a machine; none where there is no file of it.
    pub fn assess(&mut self, machine: &str) -> Option<Arc<Assessment>> {
        self.known();
        if let Some(kept) = self.assessments.get(machine) {
            return Some(Arc::clone(kept));
        }
        let (known, files) = self.known();
        let of_machine = known.tree.machine(machine)?;
        let reader = Reader::new(Store::Held(files), &known.tree);
        let asked = Asked {
            not_computed: true,
            ..Asked::default()
        };
        let made = assess::assess(&known.context, &reader, of_machine, asked);
        let made = Arc::new(made);
        self.assessments
            .insert(machine.to_owned(), Arc::clone(&made));
        self.assessments_made += 1;
        Some(made)
    }

    /// The machine files of a machine that is asked for, and its assessment.
    ///
    /// # Errors
    /// Where there is no machine file of it.
    pub fn assess_asked(
        &mut self,
        machine: &str,
    ) -> Result<(Vec<FileId>, Arc<Assessment>), Unusable> {
        let (known, _) = self.known();
        let files = machine_asked_for(&known.tree, machine)?;
        let files = files.machine_files.clone();
        let assessment = self.assess(machine);
        let assessment = assessment.ok_or_else(|| Unusable::broken(machine, Vec::new()))?;
        Ok((files, assessment))
    }

    /// What a check of all records finds.
    pub fn check(&mut self) -> Report {
        let assessments = self.all();
        let settings = Settings::on(self.today);
        self.with(|context, reader| {
            let assessments = assessments.iter().map(|made| &**made);
            projection::report(context, reader, assessments, &settings)
        })
    }

    /// What a check finds in the records of one machine, or in some of them; what holds for the whole group is in it.
    pub fn check_machine(&mut self, machine: &str, selected: Vec<String>) -> Report {
        let assessment = self.assess(machine);
        let settings = Settings {
            selected,
            ..Settings::on(self.today)
        };
        self.with(|context, reader| {
            let assessments = assessment.iter().map(|made| &**made);
            projection::report(context, reader, assessments, &settings)
        })
    }

    /// What is due of one machine on the day, or within a period after it.
    pub fn due_of(&mut self, machine: &str, within: Period) -> DueList {
        let assessment = self.assess(machine);
        self.with(|context, reader| {
            let assessments = assessment.iter().map(|made| &**made);
            due_list(context, reader, assessments, within)
        })
    }

    /// Shows `look` what the figures of a machine are computed from: each visit, earliest first, then how it stands.
    pub fn look(&mut self, machine: &str, look: &mut dyn FnMut(AnyView<'_>)) {
        self.with(|context, reader| {
            if let Some(files) = reader.tree.machine(machine) {
                assess::assess_and_look(context, reader, files, Asked::default(), look);
            }
        });
    }

    /// What is due on the day, or within a period after it.
    pub fn due(&mut self, within: Period) -> DueList {
        let assessments = self.all();
        self.with(|context, reader| {
            let assessments = assessments.iter().map(|made| &**made);
            due_list(context, reader, assessments, within)
        })
    }

    /// Every figure of a machine; none where there is no file of it.
    pub fn figures(&mut self, machine: &str) -> Vec<FigureRow> {
        let asked = Asked {
            figures: Some(&|_| true),
            ..Asked::default()
        };
        let settings = Settings::on(self.today);
        self.with(|context, reader| {
            let files = reader.tree.machine(machine);
            let made = files.map(|files| assess::assess(context, reader, files, asked));
            made.map_or_else(Vec::new, |made| {
                figure_rows(made.figures, reader, &settings)
            })
        })
    }

    /// What a check finds that it does not find in the fleet as it was; `revision` is what that one is called.
    pub fn compared_with(&self, before: &Self, revision: &str) -> Report {
        let paths = self.numbers.keys().chain(before.numbers.keys());
        let is_changed = |path: &&String| self.bytes(path) != before.bytes(path);
        let changed: BTreeSet<String> = paths.filter(is_changed).cloned().collect();
        let reading = |fleet: &'_ Self, path: &str| {
            let bytes = fleet.bytes(path).map(<[u8]>::to_vec);
            bytes.ok_or_else(|| "it is not there".to_owned())
        };
        let was = before.listing();
        let before = Before {
            revision,
            commit: revision,
            listing: &was,
            read: &|path| reading(before, path),
            changed: &changed,
        };
        let settings = Settings::on(self.today);
        check_compared(
            &self.listing(),
            &|path| reading(self, path),
            &before,
            &settings,
        )
    }

    /// The values of some figures of a machine; none where there is no file of it.
    pub fn figure_values(
        &mut self,
        machine: &str,
        is_wanted: &(dyn Fn(&str) -> bool + Sync),
    ) -> Vec<FigureValue> {
        let asked = Asked {
            figures: Some(is_wanted),
            ..Asked::default()
        };
        self.with(|context, reader| {
            let files = reader.tree.machine(machine);
            files.map_or_else(Vec::new, |files| {
                assess::assess(context, reader, files, asked).figures
            })
        })
    }

    /// The number of a file; none where there never was one.
    pub fn file(&self, path: &str) -> Option<FileId> {
        self.numbers.get(path).copied()
    }

    /// Where a place begins and ends, counted as an editor or a service counts; none where its file is gone, or no longer has
    /// it.
    pub fn position(&mut self, place: Place, counted_in: PositionIn) -> Option<[Position; 2]> {
        let (known, files) = self.known();
        let reader = Reader::new(Store::Held(files), &known.tree);
        let source = reader.text(place.file).ok()?;
        let at = |offset| source.position_in(offset, counted_in);
        Some([at(place.span.start)?, at(place.span.end)?])
    }

    /// A place by path, line and column.
    pub(crate) fn row_place(&mut self, place: Place) -> RowPlace {
        self.with(|_, reader| projection::Places::new(reader).at(place))
    }

    /// The path of a file that a place is in.
    pub fn path(&self, file: FileId) -> Option<&str> {
        let mut numbers = self.numbers.iter();
        let (path, _) = numbers.find(|(_, number)| **number == file)?;
        Some(path)
    }

    fn bytes(&self, path: &str) -> Option<&[u8]> {
        let number = self.numbers.get(path)?;
        let held = self.files.get(number.0 as usize)?.as_ref()?;
        Some(held.bytes())
    }

    fn listing(&self) -> Listing {
        let there = self.numbers.keys();
        Listing {
            paths: there
                .filter(|path| self.bytes(path).is_some())
                .cloned()
                .collect(),
            ..Listing::default()
        }
    }

    /// The assessment of every machine.
    fn all(&mut self) -> Vec<Arc<Assessment>> {
        let machines = self.machines();
        let all = machines.iter().filter_map(|machine| self.assess(machine));
        all.collect()
    }

    fn with<T>(&mut self, tell: impl FnOnce(&Context, &Reader<'_>) -> T) -> T {
        let (known, files) = self.known();
        tell(
            &known.context,
            &Reader::new(Store::Held(files), &known.tree),
        )
    }

    /// What is known of the fleet as a whole, and its files.
    fn known(&mut self) -> (&Known, &[Option<HeldFile>]) {
        let Self {
            today,
            numbers,
            files,
            known,
            outdated,
            assessments,
            ..
        } = self;
        let known = known.get_or_insert_with(|| Known::of(numbers, files, *today));
        if let Some(before) = outdated.take() {
            forget_where_others_count(assessments, &before, &known.tree);
        }
        (known, files)
    }

    /// Forgets what a changed file was part of; where there are other files than before, what stands in their names too.
    fn forget(&mut self, path: &str, number: FileId, are_other_files: bool) {
        match place_of(path) {
            Some(
                FilePlace::Fleet
                | FilePlace::Waivers
                | FilePlace::HouseRule
                | FilePlace::HouseCause,
            ) => {
                self.assessments.clear();
                self.forget_known();
            }
            Some(
                FilePlace::MachineFile { machine }
                | FilePlace::Calibration { machine }
                | FilePlace::Service { machine }
                | FilePlace::Application { machine },
            ) => {
                self.assessments.remove(machine);
            }
            None if may_be_misplaced(path) => self.forget_known(),
            None => {}
        }
        // What is told of a file that does not count points into its text.
        let does_not_count = |known: &Known| known.tree.is_refused(number);
        if are_other_files || self.known.as_ref().is_some_and(does_not_count) {
            self.forget_known();
        }
    }

    fn forget_known(&mut self) {
        if let Some(known) = self.known.take() {
            self.outdated.get_or_insert(known.tree);
        }
    }
}

/// A name beside another may decide which files count; a machine without a file of its own is told of those that have.
fn forget_where_others_count(
    assessments: &mut BTreeMap<String, Arc<Assessment>>,
    before: &Tree,
    now: &Tree,
) {
    let counting = |tree: &Tree, machine: &MachineFiles| -> Vec<FileId> {
        let all = machine.all();
        all.filter(|file| !tree.is_refused(*file)).collect()
    };
    assessments.retain(|id, _| {
        let (Some(was), Some(is)) = (before.machine(id), now.machine(id)) else {
            return false;
        };
        !is.machine_files.is_empty() && counting(before, was) == counting(now, is)
    });
}

impl Known {
    fn of(numbers: &BTreeMap<String, FileId>, files: &[Option<HeldFile>], today: Date) -> Self {
        let mut paths = vec![String::new(); files.len()];
        let mut there = Vec::with_capacity(files.len());
        for (path, number) in numbers {
            path.clone_into(&mut paths[number.0 as usize]);
            if files[number.0 as usize].is_some() {
                there.push(*number);
            }
        }
        let tree = Tree::numbered(paths, &there, 0);
        let reader = Reader::new(Store::Held(files), &tree);
        let context = Context::read(&reader, today, Merged::new());
        Self { tree, context }
    }
}
