//! What asks for less than it did: settings, waivers, house rules, house causes and machine files, held against how they were.
//!
//! Whatever is not known to ask for more is listed: an author must not be able to relax a requirement unseen, and some
//! values, such as a nozzle's size, have no direction. A setup that is only declared anew relaxes nothing that was asked
//! before; where a record of the same change uses it, that is told. Who may sign and an instrument that is less exact than
//! the default are told where they are declared: no later change shows them.

mod brought;
mod direction;
mod settings;
mod work;

use self::direction::Direction;
use self::settings::Setting;
use super::context::Context;
use crate::outcome::{Grade, Verdict};
use crate::rule::{Decision, Limit, REQUIREMENT_RELAXED, Rule, RuleSet, is_guard, judge};
use crate::source::{FileId, Place, Span};
use crate::tree::{Reader, Tree};
use crate::words;
use crate::yaml::Node;
use jiff::civil::Date;
use std::collections::{BTreeMap, BTreeSet};

/// One thing that requires less than it did, or may.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Relaxed {
    /// Where it stands now; of what was taken out, what it stood in.
    pub place: Place,
    /// What it is, by its keys: `limits mean-off-rated error`.
    pub what: String,
    /// As it was; none where it is new.
    pub was: Option<String>,
    /// As it is; none where it was taken out.
    pub is: Option<String>,
    /// The reason given for it, and by whom where that is said.
    pub because: Option<String>,
    /// Whether it is known to ask for less.
    pub is_sure: bool,
    /// Whether it is declared anew; nothing of before asked for more.
    pub is_brought: bool,
    /// Whether it is worth a note and no more.
    pub is_note: bool,
    /// The machine, where it is in the file of one.
    pub machine: Option<String>,
}

/// How much each requirement that was relaxed weighs, as it was set before; none where it is switched off.
pub fn grade_before(before: &Context) -> Option<Grade> {
    let rules = &before.group.rules;
    let rule = rules.find(REQUIREMENT_RELAXED)?;
    let limits: Vec<(Grade, &Limit)> = before.limits.of_fleet(rule, before.today).collect();
    let bounds = limits.iter().map(|(grade, limit)| (*grade, &limit.bound));
    match judge(bounds, Decision::Simple, 1.0, || 0.0, None, || None).verdict {
        Verdict::Fail(grade) => Some(grade),
        Verdict::Pass | Verdict::Undecided(..) => None,
    }
}

/// The limits of the rules that guard, as they were set before.
pub fn limits_before(before: &Context) -> BTreeMap<String, Vec<(Grade, Limit)>> {
    let rules = before.group.rules.rules().iter().enumerate();
    let guards = rules.filter(|(_, rule)| is_guard(&rule.id));
    let limits = guards.map(|(index, rule): (usize, &Rule)| {
        let limits = before.limits.of_fleet((index, rule), before.today);
        let limits = limits.map(|(grade, limit)| {
            let bound = limit.bound;
            // It stands in a file as it was, where nothing can be pointed at.
            (
                grade,
                Limit {
                    bound,
                    set_at: None,
                },
            )
        });
        (rule.id.clone(), limits.collect())
    });
    limits.collect()
}

/// All that requires less than it did, among the paths that changed.
pub fn relaxed(
    now: &Reader<'_>,
    before: &Reader<'_>,
    rules_before: &RuleSet,
    changed: &BTreeSet<String>,
    today: Date,
) -> Vec<Relaxed> {
    let mut comparing = Comparing {
        now,
        before,
        rules_before,
        changed,
        today,
        relaxed: Vec::new(),
    };
    comparing.fleet_file();
    comparing.waivers();
    comparing.house_rules();
    comparing.house_causes();
    comparing.machines();
    comparing.work();
    comparing.brought();
    comparing.relaxed
}

struct Comparing<'r> {
    now: &'r Reader<'r>,
    before: &'r Reader<'r>,
    rules_before: &'r RuleSet,
    changed: &'r BTreeSet<String>,
    today: Date,
    relaxed: Vec<Relaxed>,
}

/// The file that counts of those that could.
fn counting(reader: &Reader<'_>, files: &[FileId]) -> Option<FileId> {
    let mut counting = files.iter().filter(|file| !reader.tree.is_refused(**file));
    counting.next().copied()
}

impl Comparing<'_> {
    fn has_changed(&self, now: Option<FileId>, before: Option<FileId>) -> bool {
        let now = now.map(|file| self.now.tree.path(file));
        let before = before.map(|file| self.before.tree.path(file));
        let mut paths = now.into_iter().chain(before);
        paths.any(|path| self.changed.contains(path))
    }

    /// What two files have in them, of which one may be missing; a file that cannot be read has a finding of its own.
    fn both(
        &self,
        now: Option<FileId>,
        before: Option<FileId>,
        look: impl FnOnce(Option<Node<'_>>, Option<Node<'_>>) -> Vec<Setting>,
    ) -> Vec<Setting> {
        let settings = match (now, before) {
            (None, None) => None,
            (Some(now), None) => self.now.looked_into(now, |is| look(None, Some(is))),
            (None, Some(before)) => self.before.looked_into(before, |was| look(Some(was), None)),
            (Some(now), Some(before)) => {
                let looked = self.before.looked_into(before, |was| {
                    self.now.looked_into(now, |is| look(Some(was), Some(is)))
                });
                looked.flatten()
            }
        };
        settings.unwrap_or_default()
    }

    /// The place where something is told that no file is left for.
    fn left(&self) -> Option<Place> {
        let tree = self.now.tree;
        let any = (!tree.paths.is_empty()).then_some(FileId(0));
        let declared = tree.fleets.first().or(tree.waivers.first()).copied();
        let file = declared.or(any)?;
        let heading = self
            .now
            .looked_into(file, |root| root.get("record").map(Node::span));
        let span = heading.flatten().unwrap_or_default();
        Some(Place { file, span })
    }

    fn add(&mut self, file: Option<FileId>, machine: Option<&str>, settings: Vec<Setting>) {
        // Where no file is left at all, nothing is there to be judged less strictly.
        let at = |span: Option<Span>| {
            let span = span.unwrap_or_default();
            file.map(|file| Place { file, span })
        };
        for setting in settings {
            let Some(place) = at(setting.span).or_else(|| self.left()) else {
                return;
            };
            self.relaxed.push(Relaxed {
                place,
                what: setting.what,
                was: setting.was,
                is: setting.is,
                because: setting.because,
                is_sure: setting.direction == Direction::Less,
                is_brought: false,
                is_note: false,
                machine: machine.map(str::to_owned),
            });
        }
    }

    fn fleet_file(&mut self) {
        let now = counting(self.now, &self.now.tree.fleets);
        let before = counting(self.before, &self.before.tree.fleets);
        if self.has_changed(now, before) {
            let rules = self.rules_before;
            let settings = self.both(now, before, |was, is| settings::of_fleet(was, is, rules));
            self.add(now, None, settings);
        }
    }

    fn waivers(&mut self) {
        let now = counting(self.now, &self.now.tree.waivers);
        let before = counting(self.before, &self.before.tree.waivers);
        if self.has_changed(now, before) {
            let settings = self.both(now, before, settings::of_waivers);
            self.add(now, None, settings);
        }
    }

    fn house_rules(&mut self) {
        self.own_files(|tree| &tree.house_rules, settings::of_house_rule);
    }

    fn house_causes(&mut self) {
        self.own_files(|tree| &tree.house_causes, settings::of_house_cause);
    }

    /// The group's own files of one kind, each held against the one of its name.
    fn own_files(
        &mut self,
        of: impl Fn(&Tree) -> &[FileId],
        look: impl Fn(&str, Option<Node<'_>>, Option<Node<'_>>) -> Vec<Setting>,
    ) {
        let names = |reader: &Reader<'_>| -> BTreeMap<String, FileId> {
            let counting = of(reader.tree).iter();
            let counting = counting.filter(|file| !reader.tree.is_refused(**file));
            counting
                .map(|file| (reader.tree.stem(*file).to_owned(), *file))
                .collect()
        };
        let (now, before) = (names(self.now), names(self.before));
        let all: BTreeSet<&String> = now.keys().chain(before.keys()).collect();
        for name in all {
            let (now, before) = (now.get(name).copied(), before.get(name).copied());
            if self.has_changed(now, before) {
                let settings = self.both(now, before, |was, is| look(name, was, is));
                self.add(now, None, settings);
            }
        }
    }

    fn machines(&mut self) {
        for machine in &self.before.tree.machines {
            let Some(before) = counting(self.before, &machine.machine_files) else {
                continue;
            };
            let now = self.now.tree.machine(&machine.id);
            let now = now.and_then(|machine| counting(self.now, &machine.machine_files));
            if self.has_changed(now, Some(before)) {
                let settings = self.both(now, Some(before), |was, is| {
                    settings::of_machine(&machine.id, was, is)
                });
                self.add(now, Some(&machine.id), settings);
            }
        }
    }

    /// What is declared anew: what a record of the same change uses, and whom and what later ones may.
    fn brought(&mut self) {
        let fleet = |reader: &Reader<'_>| counting(reader, &reader.tree.fleets);
        let sides = brought::Sides {
            now: self.now,
            before: self.before,
            changed: self.changed,
            fleets: (fleet(self.now), fleet(self.before)),
        };
        let brought = brought::brought(&sides).into_iter();
        self.relaxed.extend(brought.map(|one| Relaxed {
            place: one.place,
            what: one.what,
            was: None,
            is: Some(one.used),
            because: None,
            is_sure: false,
            is_brought: true,
            is_note: one.is_note,
            machine: one.machine,
        }));
    }

    /// New or changed service records: they say what a machine's records are judged by from their day on.
    fn work(&mut self) {
        for files in &self.now.tree.machines {
            let is_new = |file: &FileId| self.changed.contains(self.now.tree.path(*file));
            let before = self.before.tree.machine(&files.id);
            let Some(before) = before.filter(|own| !own.machine_files.is_empty()) else {
                continue; // A new machine is under its own file.
            };
            if !files.services.iter().any(is_new) {
                continue;
            }
            let was = work::of_work(self.before, before, self.today);
            let is = work::of_work(self.now, files, self.today);
            let known: BTreeSet<(&str, &str, Option<&str>)> = was
                .changes
                .iter()
                .map(|(file, one)| {
                    let path = self.before.tree.path(*file);
                    (path, one.what.as_str(), one.is.as_deref())
                })
                .collect();
            let known_files: BTreeSet<&str> = was
                .services
                .iter()
                .map(|(file, ..)| self.before.tree.path(*file))
                .collect();
            let mut listed: Vec<(FileId, Setting)> = Vec::new();
            for (file, one) in is.changes {
                let path = self.now.tree.path(file);
                let is_known = known.contains(&(path, one.what.as_str(), one.is.as_deref()));
                if is_new(&file) && !is_known {
                    listed.push((file, one));
                }
            }
            // What is entered late reaches back to visits that others looked at before.
            for (file, span, day) in is.services {
                let Some(visit) = was.last_visit.filter(|visit| day <= *visit) else {
                    continue;
                };
                if is_new(&file) && !known_files.contains(self.now.tree.path(file)) {
                    let setting = Setting {
                        what: "work before a merged visit".to_owned(),
                        was: None,
                        is: Some(words::dates::date(day)),
                        span: Some(span),
                        because: Some(format!("the visit is of {}", words::dates::date(visit))),
                        direction: Direction::Open,
                    };
                    listed.push((file, setting));
                }
            }
            for (file, setting) in listed {
                self.add(Some(file), Some(&files.id), vec![setting]);
            }
        }
    }
}
