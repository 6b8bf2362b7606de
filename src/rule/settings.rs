//! The limits in force: machine before course before fleet before rule file.

use super::content::Rule;
use super::guard::{Guard, guard, guard_overruled};
use super::limit::{Bound, Limit, SetAt};
use super::set::{RuleSet, unknown_rule};
use crate::diagnostic::{Diagnostic, Label, Severity};
use crate::figure::{ShownAs, catalogue};
use crate::outcome::{Grade, Step};
use crate::quantity::Quantity;
use crate::record::Fleet;
use crate::record::fleet::{Interval, IntervalScope, LimitSetting, Scope};
use crate::source::{FileId, Place, Span, Spanned};
use jiff::civil::Date;
use std::collections::BTreeMap;

/// The limits a group set, read against the rules they are for.
#[derive(Debug, Default)]
pub struct LimitsInForce {
    by_rule: BTreeMap<usize, OfRule>,
    /// By whom they are for; of each, a step's own before the one for all steps.
    intervals: BTreeMap<IntervalFor, Vec<IntervalLimit>>,
}

/// Whom an interval is for: the machine, the setup and the course it names.
type IntervalFor = [Option<String>; 3];

/// How long a step holds somewhere, as the limit of its age.
#[derive(Debug)]
struct IntervalLimit {
    step: String,
    /// How the figures it limits are shown: in days, hours or as a count.
    shown_as: ShownAs,
    limit: Limit,
}

/// Whom limits are asked for.
#[derive(Debug, Clone, Copy)]
pub struct Whose<'w> {
    /// The machine.
    pub machine: &'w str,
    /// Its course.
    pub course: Option<&'w str>,
    /// The step.
    pub step: Option<Step>,
    /// The setup.
    pub setup: Option<&'w str>,
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
            let place = Place {
                file: fleet.file,
                span: setting.rule.span,
            };
            let Some((index, rule)) = rules.find(&setting.rule.value) else {
                problems.push(unknown_rule(place, &setting.rule.value, rules));
                continue;
            };
            if guard(&rule.id) == Some(Guard::Fixed) {
                problems.push(guard_overruled(place, "it takes no limit", &rule.id));
                continue;
            }
            let grades = read_grades(fleet.file, setting, rule, problems);
            let of_rule = settings.by_rule.entry(index).or_default();
            let alike = of_rule.at(&setting.scope);
            let from = setting.from.map(|from| from.value);
            let at = alike.partition_point(|earlier| from <= earlier.from);
            alike.insert(at, Setting { from, grades });
        }
        settings.intervals = read_intervals(fleet);
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

    /// The limits of a rule in force on a day for what belongs to no machine, worst grade first.
    pub fn of_fleet<'s>(
        &'s self,
        rule: (usize, &'s Rule),
        day: Date,
    ) -> impl Iterator<Item = (Grade, &'s Limit)> + use<'s> {
        let nobody = Whose {
            machine: "",
            course: None,
            step: None,
            setup: None,
        };
        self.limits(rule, nobody, day)
    }

    /// The limits of a rule in force for a machine on a day, worst grade first.
    pub fn limits<'s>(
        &'s self,
        (index, rule): (usize, &'s Rule),
        whose: Whose<'_>,
        day: Date,
    ) -> impl Iterator<Item = (Grade, &'s Limit)> + use<'s> {
        let of_rule = self.by_rule.get(&index);
        let of_machine = of_rule.and_then(|of_rule| of_rule.machines.get(whose.machine));
        let of_course = of_rule.and_then(|of_rule| of_rule.courses.get(whose.course?));
        let levels = [of_machine, of_course, of_rule.map(|of_rule| &of_rule.fleet)];
        let interval = rule
            .interval
            .as_ref()
            .and_then(|general| self.interval(general, rule, whose));
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

impl LimitsInForce {
    /// The most particular interval that is counted as the rule's figure is: the step's own, else the
    /// `general` one, at each level.
    fn interval(&self, general: &str, rule: &Rule, whose: Whose<'_>) -> Option<&Limit> {
        let shown_as = catalogue::FIGURES[rule.figure].shown_as;
        let own = whose.step.map(Step::word);
        let (machine, setup, course) = (Some(whose.machine), whose.setup, whose.course);
        // Most particular first; a setup or a course that is not known has no interval of its own.
        let scopes = [
            setup.map(|_| [machine, setup, None]),
            Some([machine, None, None]),
            setup.map(|_| [None, setup, None]),
            course.map(|_| [None, None, course]),
            Some([None, None, None]),
        ];
        let scopes = scopes.into_iter().flatten();
        let in_force = scopes.filter_map(|scope| {
            self.intervals
                .get(&scope.map(|name| name.map(str::to_owned)))
        });
        let found = in_force.flatten().find(|interval| {
            let is_step = Some(interval.step.as_str()) == own || interval.step == general;
            interval.shown_as == shown_as && is_step
        });
        found.map(|interval| &interval.limit)
    }
}

fn read_intervals(fleet: &Fleet) -> BTreeMap<IntervalFor, Vec<IntervalLimit>> {
    let mut intervals: BTreeMap<IntervalFor, Vec<IntervalLimit>> = BTreeMap::new();
    for setting in &fleet.intervals {
        let (shown_as, quantity) = match setting.interval.value {
            Interval::Calendar(_, quantity) => (ShownAs::Days, quantity),
            Interval::Hours(quantity) => (ShownAs::Hours, quantity),
            Interval::Applications(count) => (ShownAs::Count, Quantity::whole(count)),
        };
        let scope = match &setting.scope {
            IntervalScope::SetupOfMachine(machine, setup) => {
                format!("setup {} of {}", setup.value, machine.value)
            }
            IntervalScope::Machine(machine) => format!("machine {}", machine.value),
            IntervalScope::Setup(setup) => format!("setup {}", setup.value),
            IntervalScope::Course(course) => format!("course {}", course.value),
            IntervalScope::Fleet => "the fleet".to_owned(),
        };
        let set_at = SetAt {
            place: Place {
                file: fleet.file,
                span: setting.interval.span,
            },
            because: setting.because.as_ref().map(|why| why.value.clone()),
            scope,
        };
        let name = |name: &Spanned<String>| Some(name.value.clone());
        let whose = match &setting.scope {
            IntervalScope::SetupOfMachine(machine, setup) => [name(machine), name(setup), None],
            IntervalScope::Machine(machine) => [name(machine), None, None],
            IntervalScope::Setup(setup) => [None, name(setup), None],
            IntervalScope::Course(course) => [None, None, name(course)],
            IntervalScope::Fleet => [None, None, None],
        };
        intervals.entry(whose).or_default().push(IntervalLimit {
            step: setting.step.value.clone(),
            shown_as,
            limit: Limit {
                bound: Bound::AtMost(quantity),
                set_at: Some(set_at),
            },
        });
    }
    // The step's own stands before the one for all steps.
    for of_scope in intervals.values_mut() {
        of_scope.sort_by_key(|interval| interval.step == "full");
    }
    intervals
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
