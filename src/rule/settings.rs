//! The limits in force: machine before course before fleet before rule file.

use super::limit::{Bound, Limit, SetAt};
use super::{Rule, RuleSet};
use crate::diagnostic::{Diagnostic, Label, Severity};
use crate::figure::catalogue;
use crate::outcome::{Grade, Step};
use crate::quantity::calendar::Period;
use crate::record::Fleet;
use crate::record::fleet::{LimitSetting, Scope};
use crate::source::{FileId, Place, Span};
use crate::words;
use jiff::civil::Date;
use std::collections::BTreeMap;

/// The limits a group set, read against the rules they are for.
#[derive(Debug, Default)]
pub struct LimitsInForce {
    by_rule: BTreeMap<usize, OfRule>,
    intervals: BTreeMap<String, Limit>,
}

/// The settings of one rule, most particular first; each list begins with what came in force last.
#[derive(Debug, Default)]
struct OfRule {
    machines: BTreeMap<String, Vec<Setting>>,
    courses: BTreeMap<String, Vec<Setting>>,
    fleet: Vec<Setting>,
}

#[derive(Debug)]
struct Setting {
    from: Option<Date>,
    grades: BTreeMap<Grade, Limit>,
}

impl OfRule {
    fn at(&mut self, scope: &Scope) -> &mut Vec<Setting> {
        match scope {
            Scope::Machine(machine) => self.machines.entry(machine.value.clone()).or_default(),
            Scope::Course(course) => self.courses.entry(course.value.clone()).or_default(),
            Scope::Fleet => &mut self.fleet,
        }
    }
}

impl LimitsInForce {
    /// Reads the limits of a fleet file; what is wrong with them is told in `problems`.
    pub fn read(fleet: Option<&Fleet>, rules: &RuleSet, problems: &mut Vec<Diagnostic>) -> Self {
        let mut settings = Self::default();
        let Some(fleet) = fleet else {
            return settings;
        };
        for setting in &fleet.limits {
            let Some((index, rule)) = rules.find(&setting.rule.value) else {
                let known = rules.rules().iter().map(|rule| rule.id.as_str());
                let help = words::spelling::nearest(&setting.rule.value, known).map_or_else(
                    || "run `swathlint rules` for the names of all rules".to_owned(),
                    |nearest| format!("write `{nearest}`, if that rule is meant"),
                );
                problems.push(fault(
                    fleet.file,
                    setting.rule.span,
                    "unknown-rule",
                    format!("no rule is called `{}`", setting.rule.value),
                    help,
                ));
                continue;
            };
            let grades = read_grades(fleet.file, setting, rule, problems);
            let of_rule = settings.by_rule.entry(index).or_default();
            let alike = of_rule.at(&setting.scope);
            let from = setting.from.map(|from| from.value);
            let at = alike.partition_point(|earlier| from <= earlier.from);
            alike.insert(at, Setting { from, grades });
        }
        for (name, interval) in &fleet.intervals {
            let set_at = SetAt {
                place: Place {
                    file: fleet.file,
                    span: interval.span,
                },
                because: fleet
                    .intervals_because
                    .as_ref()
                    .map(|why| why.value.clone()),
                scope: "the fleet".to_owned(),
            };
            // An interval in hours of use is no age in days.
            if Period::from_quantity(&interval.value).is_some() {
                let limit = Limit {
                    bound: Bound::AtMost(interval.value),
                    set_at: Some(set_at),
                };
                settings.intervals.insert(name.clone(), limit);
            }
        }
        settings
    }

    /// The limits of a rule that hold on one course or for one machine only, from a day on or always.
    pub fn particular(&self, index: usize) -> impl Iterator<Item = (Grade, &Limit)> {
        self.by_rule
            .get(&index)
            .into_iter()
            .flat_map(|of_rule| of_rule.machines.values().chain(of_rule.courses.values()))
            .flatten()
            .flat_map(|setting| &setting.grades)
            .map(|(grade, limit)| (*grade, limit))
    }

    /// The limits of a rule in force for a machine on a day, worst grade first.
    pub fn limits<'s>(
        &'s self,
        (index, rule): (usize, &'s Rule),
        machine: &str,
        course: Option<&str>,
        step: Option<Step>,
        day: Date,
    ) -> impl Iterator<Item = (Grade, &'s Limit)> + use<'s> {
        let of_rule = self.by_rule.get(&index);
        let of_machine = of_rule.and_then(|of_rule| of_rule.machines.get(machine));
        let of_course = of_rule.and_then(|of_rule| of_rule.courses.get(course?));
        let levels = [of_machine, of_course, of_rule.map(|of_rule| &of_rule.fleet)];
        let interval = rule.interval.as_ref().and_then(|general| {
            let own = step.and_then(|step| self.intervals.get(step.word()));
            own.or_else(|| self.intervals.get(general))
        });
        Grade::ALL.into_iter().filter_map(move |grade| {
            let mut settings = levels.into_iter().flatten().flatten();
            let set_here = settings.find_map(|setting| {
                let in_force = setting.from.is_none_or(|from| from <= day);
                setting.grades.get(&grade).filter(|_| in_force)
            });
            let built_in = rule.limits.get(&grade);
            let limit = set_here.or_else(|| interval.filter(|_| built_in.is_some()));
            Some((grade, limit.or(built_in)?))
        })
    }
}

fn read_grades(
    file: FileId,
    setting: &LimitSetting,
    rule: &Rule,
    problems: &mut Vec<Diagnostic>,
) -> BTreeMap<Grade, Limit> {
    let shown_as = catalogue::FIGURES[rule.figure].shown_as;
    let scope = match &setting.scope {
        Scope::Fleet => "the fleet".to_owned(),
        Scope::Course(course) => format!("course {}", course.value),
        Scope::Machine(machine) => format!("machine {}", machine.value),
    };
    let mut grades = BTreeMap::new();
    for (name, limit) in &setting.grades {
        let Some(grade) = Grade::ALL
            .into_iter()
            .find(|grade| grade.word() == name.value)
        else {
            continue; // A key that is no grade is a schema fault.
        };
        match Bound::parse(&limit.value, shown_as) {
            Ok(bound) => {
                let set_at = SetAt {
                    place: Place {
                        file,
                        span: limit.span,
                    },
                    because: setting.because.as_ref().map(|why| why.value.clone()),
                    scope: scope.clone(),
                };
                let limit = Limit {
                    bound,
                    set_at: Some(set_at),
                };
                grades.insert(grade, limit);
            }
            Err(unreadable) => {
                let help = unreadable.help().to_owned();
                let message = format!(
                    "the limit of {} cannot be used: {}",
                    rule.id,
                    unreadable.message()
                );
                problems.push(fault(file, limit.span, "wrong-limit", message, help));
            }
        }
    }
    grades
}

fn fault(
    file: FileId,
    span: Span,
    name: &'static str,
    message: String,
    help: String,
) -> Diagnostic {
    let label = Label::new(Place { file, span }, "");
    Diagnostic::new(name, Severity::Error, message, label).help(help)
}
