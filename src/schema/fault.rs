//! What the schema library found, as findings on exact spans.
//!
//! One cause, one finding: a misspelt key is not also a missing one, the missing keys of one object are told together, and
//! of a choice only the branch that was meant is spoken of. Finds nothing itself; the words for values are [`super::wording`]'s.

use super::document::{Document, Schema, Way, unescaped};
use super::wording::{either, found, line, quoted, shown_examples, wanted};
use crate::diagnostic::{Diagnostic, Label, Severity};
use crate::source::{FileId, Place, Span};
use crate::words::{phrases, spelling};
use crate::yaml::{self, Shape, Value};
use jsonschema::ValidationError;
use jsonschema::error::ValidationErrorKind as ErrorKind;

/// How many unknown keys of one object are looked at for the misspelt form of a missing one.
const MOST_SUSPECTS: usize = 64;

/// The findings that the library's errors come to, in order of place, each once.
pub(super) fn findings<'e>(
    document: &Document,
    file: FileId,
    root: yaml::Node<'_>,
    errors: impl Iterator<Item = ValidationError<'e>>,
) -> Vec<Diagnostic> {
    let mut faults = Faults {
        document,
        file,
        root,
        told: Vec::new(),
        missing: Vec::new(),
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
}

/// The keys that one object lacks.
struct Missing<'d> {
    pointer: String,
    span: Span,
    title: &'d str,
    keys: Vec<(String, Option<Schema<'d>>)>,
}

/// The value that an error is about.
#[derive(Clone, Copy)]
struct At<'p, 'n> {
    pointer: &'p str,
    node: yaml::Node<'n>,
}

impl<'d, 'n> Faults<'d, 'n> {
    #[expect(
        clippy::wildcard_enum_match_arm,
        reason = "our schemas use few of the library's keywords: tests/schemas.rs"
    )]
    fn take(&mut self, error: &ValidationError<'_>) {
        let pointer = error.instance_path().as_str();
        let Some(node) = self.root.at_pointer(pointer) else {
            return;
        };
        if self.is_below_a_twin(pointer) {
            // Which of two equal keys is meant is not known; the reader of the text has refused the second.
            return;
        }
        let at = At { pointer, node };
        let way = self.document.way(error.evaluation_path().as_str());
        match error.kind() {
            ErrorKind::AdditionalProperties { unexpected } => {
                let object = way.innermost("properties");
                for key in unexpected {
                    self.unknown_key(at, object, key);
                }
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
            ErrorKind::MinItems { .. }
            | ErrorKind::MinProperties { .. }
            | ErrorKind::MinLength { .. } => self.empty(at, &way),
            _ => self.unfit(at, &way),
        }
    }

    fn unknown_key(&mut self, at: At<'_, 'n>, object: Schema<'d>, key: &str) {
        let Some(node) = at.node.key(key) else {
            // A key that is no text; the reader of the text has refused it.
            return;
        };
        let start = format!("{} is not known in {}", quoted(key), object.title());
        let absent = object.keys().filter(|known| at.node.key(known).is_none());
        let elsewhere = self.document.titles_of_objects_with(key);
        let finding = if let Some(near) = spelling::nearest(key, absent) {
            let purpose = object.property(near).map(Schema::purpose);
            self.misspelt_key(node, object.title(), near, &purpose.unwrap_or_default())
        } else if let Some(twin) =
            spelling::nearest(key, object.keys()).and_then(|near| at.node.key(near))
        {
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
        match self.missing.last_mut() {
            Some(missing) if missing.pointer == at.pointer => missing.keys.push(key),
            Some(_) | None => self.missing.push(Missing {
                pointer: at.pointer.to_owned(),
                span: self.holder(at),
                title: object.title(),
                keys: vec![key],
            }),
        }
    }

    /// A key that has to follow a pattern, such as a nozzle's position.
    fn unfit_key(&mut self, at: At<'_, 'n>, way: &Way<'d>, key: &str) {
        let Some(node) = at.node.key(key) else {
            return;
        };
        let names = way.last();
        let title = way.innermost("additionalProperties").title();
        let message = format!(
            "{} cannot be a key in {title}, where a key is {}",
            quoted(key),
            names.description()
        );
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
        let (subject, wanted) = (self.subject(at.pointer), wanted(types, field));
        let message = if at.is_empty() {
            format!("{subject} is empty: it wants {wanted}")
        } else {
            format!("{subject} wants {wanted}, not {}", found(at.node))
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
            _ => self.by_example(at, field),
        };
        self.wrong_value(at, message, help);
    }

    /// A value that is none of the words it may be.
    fn wrong_word(&mut self, at: At<'_, 'n>, field: Schema<'d>, choices: &[&str]) {
        let (subject, listed) = (self.subject(at.pointer), either(choices));
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
        let pointer = format!("{}/{key}", at.pointer);
        let field = branches.first().and_then(|branch| branch.property(key));
        let at = At {
            pointer: &pointer,
            node: value,
        };
        self.wrong_word(at, field.unwrap_or(choice), &constants);
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
        let finding = self.finding("missing-key", self.holder(at), message);
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
        let finding = self.finding("missing-key", self.holder(at), message);
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

    fn empty(&mut self, at: At<'_, 'n>, way: &Way<'d>) {
        let field = way.innermost("examples");
        let message = format!("{} has nothing in it", self.subject(at.pointer));
        self.wrong_value(at, message, self.by_example(at, field));
    }

    fn unfit(&mut self, at: At<'_, 'n>, way: &Way<'d>) {
        let field = way.innermost("examples");
        let message = format!(
            "{} cannot be {}: {}",
            self.subject(at.pointer),
            found(at.node),
            field.purpose()
        );
        self.wrong_value(at, message, self.by_example(at, field));
    }

    fn wrong_value(&mut self, at: At<'_, 'n>, message: String, help: String) {
        let finding = self.finding("wrong-value", self.visible(at), message);
        self.told.push(finding.help(help));
    }

    /// What a value is called after its place: `` `pressure` ``, ``entry 3 of `caught` ``, `` `3` of `right` ``.
    fn subject(&self, pointer: &str) -> String {
        let Some((parent, token)) = pointer.rsplit_once('/') else {
            return "this file".to_owned();
        };
        let name = quoted(&unescaped(token));
        match (token.parse::<usize>(), self.key_of(pointer)) {
            (Ok(index), None) => format!("entry {} of {}", index + 1, self.subject(parent)),
            (Ok(_), Some(_)) if !parent.is_empty() => format!("{name} of {}", self.subject(parent)),
            (Ok(_) | Err(_), _) => name,
        }
    }

    /// Advice that shows how the value is written.
    fn by_example(&self, at: At<'_, 'n>, field: Schema<'d>) -> String {
        let example = match self.key_of(at.pointer).and_then(yaml::Node::text) {
            Some(key) => Some(line(key, Some(field))),
            None => shown_examples(field),
        };
        match example {
            Some(example) => format!("write it as in {example}"),
            None => format!("write what belongs there: {}", field.purpose()),
        }
    }

    /// Where a key is missing: at the key of the object that should hold it; in a list, at the object's own first key.
    fn holder(&self, at: At<'_, 'n>) -> Span {
        let first = at.node.entries().next().map(|(key, _)| key);
        let key = match self.key_of(at.pointer) {
            Some(key) => Some(key),
            None if at.pointer.is_empty() => at.node.key("record").or(first),
            None => first,
        };
        key.unwrap_or(at.node).span()
    }

    /// The value's bytes; where nothing is written, those of its key, or of the dash before it.
    fn visible(&self, at: At<'_, 'n>) -> Span {
        let span = at.node.span();
        if !span.is_empty() {
            return span;
        }
        if let Some(key) = self.key_of(at.pointer) {
            return key.span();
        }
        let list = at
            .pointer
            .rsplit_once('/')
            .and_then(|(list, _)| self.root.at_pointer(list));
        list.and_then(|list| mark_before(list, span))
            .unwrap_or(span)
    }

    /// Whether a key on the way to a value is written twice.
    fn is_below_a_twin(&self, pointer: &str) -> bool {
        let mut ends = pointer.match_indices('/').map(|(at, _)| at);
        ends.any(|at| {
            let (parent, rest) = pointer.split_at(at);
            let token = unescaped(rest[1..].split('/').next().unwrap_or_default());
            let parent = self.root.at_pointer(parent);
            let keys = parent.into_iter().flat_map(yaml::Node::entries);
            keys.filter(|(key, _)| key.text() == Some(&token)).count() > 1
        })
    }

    /// The key that a pointer's last token is, where it is one.
    fn key_of(&self, pointer: &str) -> Option<yaml::Node<'n>> {
        let (parent, token) = pointer.rsplit_once('/')?;
        self.root.at_pointer(parent)?.key(&unescaped(token))
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

    fn in_order(mut self) -> Vec<Diagnostic> {
        let missing = std::mem::take(&mut self.missing);
        let missing = missing.iter().map(|missing| self.missing_together(missing));
        let mut findings: Vec<Diagnostic> = missing.collect();
        findings.append(&mut self.told);
        findings.sort_by(|one, other| {
            let places = one.primary().place.cmp(&other.primary().place);
            places.then_with(|| one.message().cmp(other.message()))
        });
        // A misspelt key is found as unknown and as the missing one it was meant for.
        findings.dedup();
        findings
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

impl At<'_, '_> {
    fn is_empty(self) -> bool {
        self.node.value() == Some(Value::Null)
    }
}

/// The key of an object that was probably meant for a missing one.
fn misspelt<'n>(node: yaml::Node<'n>, object: Schema<'_>, missing: &str) -> Option<&'n str> {
    let is_known = |key: &str| object.keys().any(|known| known == key);
    let absent = || object.keys().filter(|known| node.key(known).is_none());
    node.entries()
        .filter_map(|(key, _)| key.text())
        .filter(|key| !is_known(key))
        .take(MOST_SUSPECTS)
        .find(|key| spelling::nearest(key, absent()) == Some(missing))
}

/// The last visible character of a list before a place in it: the dash that an empty item stands behind.
fn mark_before(list: yaml::Node<'_>, place: Span) -> Option<Span> {
    let before = place.start.checked_sub(list.span().start)? as usize;
    let mark = list.raw().get(..before)?.trim_end();
    let start = list.span().start + u32::try_from(mark.len()).ok()?.checked_sub(1)?;
    mark.ends_with('-').then(|| Span::new(start, start + 1))
}
