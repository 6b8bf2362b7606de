//! Rules as a user reads of them, with the limits in force in a tree.

use super::causes;
use super::places::Places;
use crate::assess::{Context, Merged};
use crate::cause::CauseSet;
use crate::diagnostic::Severity;
use crate::figure::catalogue;
use crate::report::{LimitDescription, RowPlace, RuleDescription, RuleList};
use crate::rule::{Guard, Limit, LimitsInForce, Rule, RuleSet, Texts, Whose, guard};
use crate::source::Place;
use crate::tree::{Listing, ReadFile, Reader, Store, Tree};
use jiff::civil::Date;

/// Every rule with its limits, and every cause: those in force for the whole fleet, where a tree is given.
pub fn describe_rules(listing: Option<&Listing>, read: &ReadFile<'_>, today: Date) -> RuleList {
    let Some(listing) = listing else {
        let rules = RuleSet::built_in();
        let limits = LimitsInForce::default();
        return RuleList {
            rules: describe(rules, &limits, today, |_| "built in".to_owned()),
            causes: causes::describe(CauseSet::built_in()),
            errors: Vec::new(),
        };
    };
    let tree = Tree::of(listing);
    let reader = Reader::new(Store::Passing(read), &tree);
    let context = Context::read(&reader, today, Merged::new());
    let rules = in_force(&context, &reader);
    let causes = causes::describe(&context.group.causes);
    let mut places = Places::new(&reader);
    let findings = context.texts.findings.iter();
    let findings = findings.filter(|finding| finding.severity() == Severity::Error);
    let mut findings: Vec<Place> = findings.map(|finding| finding.primary().place).collect();
    findings.sort_unstable();
    let findings = findings.into_iter().map(|place| {
        let RowPlace { path, line, column } = places.at(place);
        format!("{path}:{line}:{column}")
    });
    let mut failures = context.texts.failures;
    failures.sort();
    let failures = failures.into_iter().map(|failure| failure.path);
    let errors = findings.chain(failures).collect();
    RuleList {
        rules,
        causes,
        errors,
    }
}

/// Every rule with its limits in force for the whole fleet.
pub(super) fn in_force(context: &Context, reader: &Reader<'_>) -> Vec<RuleDescription> {
    let mut places = Places::new(reader);
    describe(
        &context.group.rules,
        &context.limits,
        context.today,
        |limit| {
            let Some(set_at) = &limit.set_at else {
                return "built in".to_owned();
            };
            let place = places.at(set_at.place);
            let because = set_at.because.as_deref().unwrap_or("no reason given");
            format!(
                "{}:{}, for {}: {because}",
                place.path, place.line, set_at.scope
            )
        },
    )
}

fn describe(
    rules: &RuleSet,
    limits: &LimitsInForce,
    today: Date,
    mut set_by: impl FnMut(&Limit) -> String,
) -> Vec<RuleDescription> {
    let all = rules.rules().iter().enumerate();
    all.map(|(index, rule)| {
        let figure = &catalogue::FIGURES[rule.figure];
        let whole_fleet = Whose {
            machine: "",
            course: None,
            step: None,
            setup: None,
        };
        let in_force = limits.limits((index, rule), whole_fleet, today);
        RuleDescription {
            id: rule.id.clone(),
            title: rule.title.clone(),
            status: rule.status.words().to_owned(),
            figure: figure.id.to_owned(),
            figure_title: figure.title.to_owned(),
            formula: format!("{} ({})", figure.formula, figure.source),
            family: figure.family.words().to_owned(),
            limits: in_force
                .into_iter()
                .chain(limits.particular(index))
                .map(|(grade, limit)| LimitDescription {
                    grade: grade.word().to_owned(),
                    limit: limit.bound.in_full(),
                    set_by: set_by(limit),
                })
                .collect(),
            decision: decision(rule),
            applies: applies(rule),
            follows: rule.follows.clone(),
            remedies: remedies(&rule.help),
            example: crate::rule::example(&rule.id),
            why: rule.why.clone(),
            sources: rule.sources.iter().map(ToString::to_string).collect(),
        }
    })
    .collect()
}

/// How uncertainty enters, and what may change the verdict.
fn decision(rule: &Rule) -> String {
    let sentence = rule.decision.sentence();
    match guard(&rule.id) {
        Some(Guard::Fixed) => {
            format!("{sentence} No limit, waiver, date or house rule changes what it finds.")
        }
        Some(Guard::AsBefore) => format!(
            "{sentence} The limits before the change count; no waiver, date or house rule changes what it finds."
        ),
        None => sentence.to_owned(),
    }
}

fn applies(rule: &Rule) -> Vec<String> {
    let wanted = rule.applies.wanted.iter();
    wanted
        .map(|(attribute, allowed)| {
            format!(
                "{}: {}",
                attribute.word(),
                crate::words::phrases::list(allowed, "or")
            )
        })
        .collect()
}

fn remedies(help: &Texts) -> Vec<String> {
    help.all()
        .map(|(case, text)| match case {
            "otherwise" => text.as_written(),
            case => format!("{}: {}", case.replace('-', " "), text.as_written()),
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn errors_are_told_in_the_order_of_their_places() {
        let listing = Listing {
            paths: vec!["waivers.yaml".to_owned(), "fleet.yaml".to_owned()],
            ..Listing::default()
        };
        let read = |path: &str| {
            let notes = "# a note\n".repeat(6);
            match path {
                "fleet.yaml" => Ok(format!(
                    "record: fleet\nname: Links\nnobody: 1\n{notes}nothing: 1\n"
                )
                .into_bytes()),
                _ => Err("denied".to_owned()),
            }
        };
        let list = describe_rules(Some(&listing), &read, jiff::civil::date(2026, 6, 1));
        assert_eq!(
            list.errors,
            ["fleet.yaml:3:1", "fleet.yaml:10:1", "waivers.yaml"]
        );
    }
}
