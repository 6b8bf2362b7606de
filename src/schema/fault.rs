//! What the schema library found, as findings on exact spans.
//!
//! One cause, one finding: a misspelt key is not also a missing one, the missing keys of one object are told together, and
//! of a choice only the branch that was meant is spoken of. Finds nothing itself; the words for values are [`super::wording`]'s.

use super::document::{Document, Schema, Way};
use super::meant::meant;
use super::place::At;
use super::wording::{either, found, line, quoted, shown_examples, wanted};
use crate::diagnostic::{Diagnostic, Label, Severity};
use crate::source::{FileId, Place, Span};
use crate::words::{phrases, spelling};
use crate::yaml::{self, Shape, Value};
use jsonschema::ValidationError;
use jsonschema::error::ValidationErrorKind as ErrorKind;
use std::collections::BTreeSet;

/// How many faults of shape one file is told; the last says how many more there are.
///
/// Who mends twenty runs the check again anyway, and a file that is no record at all has hundreds.
pub const MOST_LISTED: usize = 20;

/// What the library's errors come to.
pub(super) struct Findings {
    /// In order of place, each once.
    pub(super) told: Vec<Diagnostic>,
    /// How many more there are, all behind those that are told.
    pub(super) untold: usize,
}

/// The findings that the library's errors come to.
pub(super) fn findings<'e>(
    document: &Document,
    file: FileId,
    root: yaml::Node<'_>,
    errors: impl Iterator<Item = ValidationError<'e>>,
) -> Findings {
    let mut faults = Faults {
        document,
        file,
        root,
        told: Vec::new(),
        missing: Vec::new(),
        misplaced: Vec::new(),
        untold: 0,
    };
    for error in errors {
        faults.take(&error);
    }
    faults.in_order()
}

struct Faults<'d, 'n> {
    document: &'d Document,
    file: FileId,
    root: yaml::Node<'n>,
    told: Vec<Diagnostic>,
    missing: Vec<Missing<'d>>,
    /// Values whose key stands in the wrong place, so that nothing more is said of them.
    misplaced: Vec<Span>,
    untold: usize,
}

/// The keys that one object lacks.
struct Missing<'d> {
    pointer: String,
    span: Span,
    title: &'d str,
    keys: Vec<(String, Option<Schema<'d>>)>,
}

/// A key, and the keys with their values that belong under it and stand beside it.
type Strays<'n> = (yaml::Node<'n>, Vec<(yaml::Node<'n>, yaml::Node<'n>)>);

impl<'d, 'n> Faults<'d, 'n> {
    #[expect(
        clippy::wildcard_enum_match_arm,
        reason = "our schemas use few of the library's keywords: tests/fast/schemas.rs"
    )]
    fn take(&mut self, error: &ValidationError<'_>) {
        let Some(at) = At::find(self.root, error.instance_path().as_str()) else {
            return;
        };
        let way = self.document.way(error.evaluation_path().as_str());
        match error.kind() {
            ErrorKind::AdditionalProperties { unexpected } => {
                self.unknown_keys(at, way.innermost("properties"), unexpected);
            }
            ErrorKind::Required { property } => {
                let key = property.as_str().unwrap_or_default();
                self.missing_key(at, way.innermost("properties"), key);
            }
            ErrorKind::PropertyNames { error } => {
                self.unfit_key(at, &way, error.instance().as_str().unwrap_or_default());
            }
            ErrorKind::Type { .. } => self.wrong_type(at, &way.last().types(), &way),
            ErrorKind::Enum { .. } | ErrorKind::Constant { .. } => {
                self.wrong_word(at, way.last(), &way.last().choices());
            }
            ErrorKind::AnyOf { context } => self.no_branch(at, &way, "anyOf", context),
            ErrorKind::OneOfNotValid { context } => self.no_branch(at, &way, "oneOf", context),
            ErrorKind::OneOfMultipleValid { .. } => self.several_branches(at, &way),
            ErrorKind::MaxProperties { limit: 1 } => {
                self.too_many_keys(at, way.innermost("properties"));
            }
            ErrorKind::MaxProperties { limit } | ErrorKind::MaxItems { limit } => {
                self.too_many_entries(at, *limit);
            }
            ErrorKind::MinItems { .. }
            | ErrorKind::MinProperties { .. }
            | ErrorKind::MinLength { .. } => self.empty(at, &way),
            _ => self.unfit(at, &way),
        }
    }

    /// No more than are listed are worded: those behind them in the same object come too late for the list in any case.
    fn unknown_keys(&mut self, at: At<'_, 'n>, object: Schema<'d>, unexpected: &[String]) {
        let unexpected: BTreeSet<&str> = unexpected.iter().map(String::as_str).collect();
        let not_indented = self.not_indented(at, object);
        let keys = at.node.entries().filter_map(|(key, _)| key.text());
        let keys = keys.filter(|key| unexpected.contains(key) && !not_indented.contains(key));
        keys.take(MOST_LISTED)
            .for_each(|key| self.unknown_key(at, object, key));
        self.untold += unexpected.len().saturating_sub(MOST_LISTED);
    }

    fn unknown_key(&mut self, at: At<'_, 'n>, object: Schema<'d>, key: &str) {
        let Some(node) = at.node.key(key) else {
            // A key that is no text; the reader of the text has refused it.
            return;
        };
        let start = format!("{} is not known in {}", quoted(key), object.title());
        let elsewhere = self.document.titles_of_objects_with(key);
        let finding = if let Some(near) = meant(key, absent(at.node, object)) {
            let purpose = object.property(near).map(Schema::purpose);
            self.misspelt_key(node, object.title(), near, &purpose.unwrap_or_default())
        } else if let Some(twin) = meant(key, object.keys()).and_then(|near| at.node.key(near)) {
            let near = twin.text().unwrap_or_default();
            let label = self.label(twin.span(), format!("`{near}` stands here"));
            self.finding(
                "unknown-key",
                node.span(),
                format!("{start}, and `{near}` is there already"),
            )
            .also(label)
            .help("take out one of the two")
        } else if elsewhere.is_empty() {
            let known: Vec<&str> = object.keys().collect();
            let help = format!(
                "take it out, or use one of the keys known there: {}",
                known.join(", ")
            );
            self.finding("unknown-key", node.span(), start).help(help)
        } else {
            let owners = phrases::list(&elsewhere, "or");
            self.finding(
                "unknown-key",
                node.span(),
                format!("{start}: it belongs in {owners}"),
            )
            .help(format!("move it to {owners}, or take it out"))
        };
        self.told.push(finding);
    }

    fn misspelt_key(
        &self,
        key: yaml::Node<'n>,
        title: &str,
        near: &str,
        purpose: &str,
    ) -> Diagnostic {
        let word = quoted(key.text().unwrap_or_default());
        let message = format!("{word} is not known in {title}: did you mean `{near}`?");
        self.finding("unknown-key", key.span(), message)
            .help(format!("write `{near}`: {purpose}"))
    }

    fn missing_key(&mut self, at: At<'_, 'n>, object: Schema<'d>, key: &str) {
        if let Some(misspelt) = misspelt(at.node, object, key) {
            self.unknown_key(at, object, misspelt);
            return;
        }
        let key = (key.to_owned(), object.property(key));
        let mut others = self.missing.iter_mut().rev();
        match others.find(|missing| missing.pointer == at.pointer()) {
            Some(missing) => missing.keys.push(key),
            None => self.missing.push(Missing {
                pointer: at.pointer().to_owned(),
                span: at.holder(),
                title: object.title(),
                keys: vec![key],
            }),
        }
    }

    /// A key that has to follow a pattern, such as a nozzle's position, or is empty.
    fn unfit_key(&mut self, at: At<'_, 'n>, way: &Way<'d>, key: &str) {
        let Some(node) = at.node.key(key) else {
            return;
        };
        let names = way.last();
        let title = way.innermost("additionalProperties").title();
        let wanted = names.description();
        let message = if key.is_empty() {
            format!("a key in {title} is empty, where a key is {wanted}")
        } else {
            let key = quoted(key);
            format!("{key} cannot be a key in {title}, where a key is {wanted}")
        };
        let examples = names.examples().filter_map(|example| example.as_str());
        let help = format!(
            "write a key such as {}",
            either(&examples.collect::<Vec<_>>())
        );
        self.told
            .push(self.finding("unknown-key", node.span(), message).help(help));
    }

    fn wrong_type(&mut self, at: At<'_, 'n>, types: &[&str], way: &Way<'d>) {
        let field = way.innermost("examples");
        let (subject, wanted) = (at.subject(), wanted(types, field));
        let message = if at.is_empty() {
            format!("{subject} is empty: it wants {wanted}")
        } else {
            format!("{subject} needs {wanted}, not {}", found(at.node))
        };
        let help = match at.node.value() {
            Some(Value::Bool(_) | Value::Int(_) | Value::UInt(_) | Value::Float(_))
                if types.contains(&"string") && !field.has_format() =>
            {
                let in_quotes = quoted(&format!("\"{}\"", at.node.raw()));
                format!("put it in quotes if it is meant so: {in_quotes}")
            }
            Some(Value::Text(word)) if types == ["boolean"] => {
                match word.to_ascii_lowercase().as_str() {
                    "yes" | "y" | "on" => "write `true`".to_owned(),
                    "no" | "n" | "off" => "write `false`".to_owned(),
                    _ => "write `true` or `false`".to_owned(),
                }
            }
            _ => by_example(at, field),
        };
        self.wrong_value(at, message, help);
    }

    /// A value that is none of the words it may be.
    fn wrong_word(&mut self, at: At<'_, 'n>, field: Schema<'d>, choices: &[&str]) {
        let (subject, listed) = (at.subject(), either(choices));
        let (word, purpose) = (at.node.text().unwrap_or_default(), field.purpose());
        let choose = format!("write the one that holds: {purpose}");
        let (message, help) = if at.is_empty() {
            (format!("{subject} is empty: it is {listed}"), choose)
        } else if let Some(near) = spelling::nearest(word, choices.iter().copied()) {
            let found = found(at.node);
            let message = format!("{subject} cannot be {found}: did you mean `{near}`?");
            (message, format!("write {listed}: {purpose}"))
        } else {
            let found = found(at.node);
            (
                format!("{subject} cannot be {found}: it is {listed}"),
                choose,
            )
        };
        self.wrong_value(at, message, help);
    }

    fn no_branch(
        &mut self,
        at: At<'_, 'n>,
        way: &Way<'d>,
        keyword: &str,
        context: &[Vec<ValidationError<'static>>],
    ) {
        let branches = way.last().branches(keyword);
        let constant = branches.first().and_then(|branch| branch.constant_key());
        match (at.node.shape(), constant) {
            (Shape::Scalar | Shape::Sequence, _) => {
                let types = branches
                    .first()
                    .map_or_else(Vec::new, |branch| branch.types());
                self.wrong_type(at, &types, way);
            }
            (Shape::Mapping, Some(key)) => {
                self.branch_by_constant(at, way.last(), key, &branches, context);
            }
            (Shape::Mapping, None) => {
                self.none_of_keys(at, way.innermost("properties"), &branches);
            }
        }
    }

    /// Branches that are told apart by the constant which `key` has in each.
    fn branch_by_constant(
        &mut self,
        at: At<'_, 'n>,
        choice: Schema<'d>,
        key: &str,
        branches: &[Schema<'d>],
        context: &[Vec<ValidationError<'static>>],
    ) {
        let constants: Vec<&str> = branches
            .iter()
            .filter_map(|branch| branch.property(key)?.choices().first().copied())
            .collect();
        let Some(value) = at.node.get(key) else {
            self.missing_constant(at, choice, key, branches, &constants);
            return;
        };
        let meant = constants
            .iter()
            .position(|constant| value.text() == Some(constant));
        if let Some(errors) = meant.and_then(|branch| context.get(branch)) {
            for error in errors {
                self.take(error);
            }
            return;
        }
        let pointer = format!("{}/{key}", at.pointer());
        let field = branches.first().and_then(|branch| branch.property(key));
        if let Some(at) = At::find(at.root(), &pointer) {
            self.wrong_word(at, field.unwrap_or(choice), &constants);
        }
    }

    fn missing_constant(
        &mut self,
        at: At<'_, 'n>,
        choice: Schema<'d>,
        key: &str,
        branches: &[Schema<'d>],
        constants: &[&str],
    ) {
        let field = branches.first().and_then(|branch| branch.property(key));
        let purpose = field.map(Schema::purpose).unwrap_or_default();
        let suspects = branches
            .iter()
            .find_map(|branch| misspelt(at.node, *branch, key));
        if let Some(found) = suspects.and_then(|suspect| at.node.key(suspect)) {
            let finding = self.misspelt_key(found, choice.title(), key, &purpose);
            self.told.push(finding);
            return;
        }
        let message = format!("no `{key}` in {}: {purpose}", choice.title());
        let help = format!("add `{key}` with {}", either(constants));
        let finding = self.finding("missing-key", at.holder(), message);
        self.told.push(finding.help(help));
    }

    /// Branches that only say which key must be there, and none of the keys is.
    fn none_of_keys(&mut self, at: At<'_, 'n>, object: Schema<'d>, branches: &[Schema<'d>]) {
        let keys: Vec<&str> = branches
            .iter()
            .flat_map(|branch| branch.required())
            .collect();
        for key in &keys {
            if let Some(misspelt) = misspelt(at.node, object, key) {
                self.unknown_key(at, object, misspelt);
                return;
            }
        }
        let lines: Vec<String> = keys
            .iter()
            .map(|key| line(key, object.property(key)))
            .collect();
        let message = format!(
            "no {} in {}: one of them is needed",
            either(&keys),
            object.title()
        );
        let help = format!("add a line such as {}", phrases::list(&lines, "or"));
        let finding = self.finding("missing-key", at.holder(), message);
        self.told.push(finding.help(help));
    }

    /// Keys that exclude each other stand side by side.
    fn several_branches(&mut self, at: At<'_, 'n>, way: &Way<'d>) {
        let mut present: Vec<yaml::Node<'n>> = way
            .last()
            .branches("oneOf")
            .into_iter()
            .flat_map(Schema::required)
            .filter_map(|key| at.node.key(key))
            .collect();
        present.sort_by_key(|key| key.span());
        let [first, .., last] = present.as_slice() else {
            // Something that has no keys at all fits every branch.
            self.wrong_type(at, &way.last().types(), way);
            return;
        };
        let (one, other) = (
            first.text().unwrap_or_default(),
            last.text().unwrap_or_default(),
        );
        let title = way.innermost("properties").title();
        let message = format!("`{one}` and `{other}` exclude each other in {title}");
        let label = self.label(first.span(), format!("`{one}` stands here"));
        let finding = self
            .finding("wrong-value", last.span(), message)
            .also(label);
        self.told
            .push(finding.help("take out the one that does not hold"));
    }

    /// Tells of keys that stand beside the one they belong under; gives them.
    fn not_indented(&mut self, at: At<'_, 'n>, object: Schema<'d>) -> Vec<&'n str> {
        let Some((owner, strays)) = strays(at.node, object) else {
            return Vec::new();
        };
        let texts: Vec<&str> = strays.iter().filter_map(|(key, _)| key.text()).collect();
        let owner_word = quoted(owner.text().unwrap_or_default());
        let (listed, belong) = (
            phrases::list(
                &texts.iter().map(|text| quoted(text)).collect::<Vec<_>>(),
                "and",
            ),
            if texts.len() == 1 {
                "belongs"
            } else {
                "belong"
            },
        );
        let message = format!("{listed} {belong} under {owner_word}, which has nothing under it");
        let help = format!("indent {listed} further than {owner_word}");
        let label = self.label(owner.span(), format!("{owner_word} stands here"));
        if let Some((first, _)) = strays.first() {
            let finding = self.finding("unknown-key", first.span(), message);
            self.told.push(finding.also(label).help(help));
        }
        let values = strays.iter().map(|(_, value)| value.span());
        self.misplaced.extend(values);
        texts
    }

    /// Keys that want an entry of the list each stand in one; those that are not known are told elsewhere.
    fn too_many_keys(&mut self, at: At<'_, 'n>, object: Schema<'d>) {
        let is_known = |key: &yaml::Node<'n>| {
            let text = key.text();
            text.is_some_and(|text| object.property(text).is_some())
        };
        let not_indented = self.not_indented(at, object);
        let is_stray = |key: &yaml::Node<'n>| {
            let text = key.text();
            text.is_some_and(|text| not_indented.contains(&text))
        };
        let keys = at.node.entries().map(|(key, _)| key);
        let known: Vec<yaml::Node<'n>> =
            keys.filter(|key| is_known(key) && !is_stray(key)).collect();
        let [first, second, ..] = known.as_slice() else {
            return;
        };
        let words: Vec<String> = known
            .iter()
            .map(|key| quoted(key.text().unwrap_or_default()))
            .collect();
        let (own, others) = (&words[0], phrases::list(&words[1..], "and"));
        let of_own = match words.len() {
            2 => "a dash of its own",
            _ => "dashes of their own",
        };
        let message = format!(
            "{others} cannot stand in one entry with {own}: each is {}",
            object.title()
        );
        let label = self.label(first.span(), format!("{own} stands here"));
        let finding = self
            .finding("wrong-value", second.span(), message)
            .also(label);
        self.told
            .push(finding.help(format!("put {others} behind {of_own}")));
    }

    /// A list or a mapping of names that is longer than any real one.
    fn too_many_entries(&mut self, at: At<'_, 'n>, most: u64) {
        let entries = at.node.items().len() + at.node.entries().len();
        let message = format!(
            "{} has {entries} entries; the most allowed is {most}",
            at.subject()
        );
        let help = "look for pasted lines; put more tanks or tests of a day into a second record, DATE-2.yaml";
        self.told
            .push(self.finding("wrong-value", at.holder(), message).help(help));
    }

    fn empty(&mut self, at: At<'_, 'n>, way: &Way<'d>) {
        let field = way.innermost("examples");
        let message = format!("{} has nothing in it", at.subject());
        self.wrong_value(at, message, by_example(at, field));
    }

    fn unfit(&mut self, at: At<'_, 'n>, way: &Way<'d>) {
        let field = way.innermost("examples");
        let message = format!(
            "{} cannot be {}: {}",
            at.subject(),
            found(at.node),
            field.purpose()
        );
        self.wrong_value(at, message, by_example(at, field));
    }

    fn wrong_value(&mut self, at: At<'_, 'n>, message: String, help: String) {
        let finding = self.finding("wrong-value", at.visible(), message);
        self.told.push(finding.help(help));
    }

    fn finding(&self, name: &'static str, span: Span, message: String) -> Diagnostic {
        Diagnostic::new(
            name,
            Severity::Error,
            message,
            self.label(span, String::new()),
        )
    }

    fn label(&self, span: Span, text: String) -> Label {
        Label::new(
            Place {
                file: self.file,
                span,
            },
            text,
        )
    }

    fn in_order(mut self) -> Findings {
        let missing = std::mem::take(&mut self.missing);
        let missing = missing.iter().map(|missing| self.missing_together(missing));
        let mut findings: Vec<Diagnostic> = missing.collect();
        findings.append(&mut self.told);
        findings.retain(|finding| {
            let span = finding.primary().place.span;
            let within = |value: &Span| value.start <= span.start && span.end <= value.end;
            !self.misplaced.iter().any(within)
        });
        findings.sort_by(|one, other| {
            let places = one.primary().place.cmp(&other.primary().place);
            places.then_with(|| one.message().cmp(other.message()))
        });
        // A misspelt key is found as unknown and as the missing one it was meant for.
        findings.dedup();
        Findings {
            told: findings,
            untold: self.untold,
        }
    }

    fn missing_together(&self, missing: &Missing<'d>) -> Diagnostic {
        let names: Vec<&str> = missing.keys.iter().map(|(key, _)| key.as_str()).collect();
        let lines: Vec<String> = missing
            .keys
            .iter()
            .map(|(key, field)| line(key, *field))
            .collect();
        let start = format!("no {} in {}", either(&names), missing.title);
        let message = match missing.keys.as_slice() {
            [(_, Some(field))] => format!("{start}: {}", field.purpose()),
            _ => start,
        };
        let add = match missing.keys.len() {
            1 => "add a line such as",
            _ => "add lines such as",
        };
        self.finding("missing-key", missing.span, message)
            .help(format!("{add} {}", phrases::list(&lines, "and")))
    }
}

/// Advice that shows how the value is written.
fn by_example(at: At<'_, '_>, field: Schema<'_>) -> String {
    let example = match at.key().and_then(yaml::Node::text) {
        Some(key) => Some(line(key, Some(field))),
        None => shown_examples(field),
    };
    match example {
        Some(example) => format!("write it as in {example}"),
        None => format!("write what belongs there: {}", field.purpose()),
    }
}

/// The keys that an object may have and has not.
fn absent<'d>(node: yaml::Node<'_>, object: Schema<'d>) -> Vec<&'d str> {
    object
        .keys()
        .filter(|known| node.key(known).is_none())
        .collect()
}

/// A key with nothing under it, and the keys beside it that its value would know: they were not indented.
fn strays<'n>(node: yaml::Node<'n>, object: Schema<'_>) -> Option<Strays<'n>> {
    node.entries().find_map(|(owner, value)| {
        let field = object.property(owner.text()?)?;
        let is_stray = |(key, _): &(yaml::Node<'n>, yaml::Node<'n>)| {
            let text = key.text();
            key.span() > owner.span() && text.is_some_and(|text| field.property(text).is_some())
        };
        let strays: Vec<_> = node.entries().filter(is_stray).collect();
        let is_owner = value.value() == Some(Value::Null) && !strays.is_empty();
        is_owner.then_some((owner, strays))
    })
}

/// The key of an object that was probably meant for a missing one.
fn misspelt<'n>(node: yaml::Node<'n>, object: Schema<'_>, missing: &str) -> Option<&'n str> {
    let absent = absent(node, object);
    node.entries()
        .filter_map(|(key, _)| key.text())
        .filter(|key| object.keys().all(|known| known != *key))
        .take(MOST_LISTED)
        .find(|key| meant(key, absent.iter().copied()) == Some(missing))
}
