//! Which settings differ between two versions of a file, and which of them ask for less.

use super::direction::{self, Direction};
use crate::cause::CauseSet;
use crate::rule::{RuleSet, is_guard};
use crate::source::Span;
use crate::words;
use crate::yaml::{self, Node, Shape};
use std::collections::BTreeSet;

/// The key of a reason.
const BECAUSE: &str = "because";

/// One setting that is not what it was.
#[derive(Debug)]
pub(super) struct Setting {
    /// What it is, by its keys.
    pub(super) what: String,
    /// As it was.
    pub(super) was: Option<String>,
    /// As it is.
    pub(super) is: Option<String>,
    /// Where it stands now, or stood in; none where nothing of that is left.
    pub(super) span: Option<Span>,
    /// The reason given.
    pub(super) because: Option<String>,
    /// Which way it goes.
    pub(super) direction: Direction,
}

/// One key, or a whole block of keys, that differs.
struct Difference<'n> {
    way: Vec<&'n str>,
    was: Option<Node<'n>>,
    is: Option<Node<'n>>,
    span: Option<Span>,
    because: Option<&'n str>,
}

impl Difference<'_> {
    fn was(&self) -> Option<String> {
        self.was.map(in_short)
    }

    fn is(&self) -> Option<String> {
        self.is.map(in_short)
    }

    fn setting(&self, direction: Direction) -> Option<Setting> {
        (direction > Direction::NoLess).then(|| Setting {
            what: in_words(&self.way),
            was: self.was(),
            is: self.is(),
            span: self.span,
            because: self.because.map(str::to_owned),
            direction,
        })
    }
}

fn in_words(way: &[&str]) -> String {
    let parts: Vec<_> = way.iter().map(|part| words::phrases::name(part)).collect();
    parts.join(" ")
}

/// So much of a value is told.
const MOST_TOLD: usize = 40;

/// A value, or all values below it, as one text.
fn in_full(node: Node<'_>) -> String {
    let entries = node.entries().map(|(key, value)| {
        let value = in_full(value);
        format!("{} {value}", key.text().unwrap_or_default())
    });
    let items = node.items().map(in_full);
    let all: Vec<String> = entries.chain(items).collect();
    if node.shape() == Shape::Scalar {
        node.text().unwrap_or_default().to_owned()
    } else {
        all.join(", ")
    }
}

fn in_short(node: Node<'_>) -> String {
    words::phrases::shortened(&in_full(node), MOST_TOLD).into_owned()
}

fn is_mapping(node: Node<'_>) -> bool {
    node.entries().len() > 0
}

/// The keys of one or of two mappings, each once.
fn keys<'n>(was: Option<Node<'n>>, is: Option<Node<'n>>) -> BTreeSet<&'n str> {
    let both = is.into_iter().chain(was).flat_map(Node::entries);
    both.filter_map(|(key, _)| key.text()).collect()
}

/// What differs below a key. A block that is on one side only is one difference, unless `is_opened` says to look into it.
struct Walk<'n, 'w> {
    is_opened: &'w dyn Fn(&[&str]) -> bool,
    way: Vec<&'n str>,
    found: Vec<Difference<'n>>,
}

impl<'n> Walk<'n, '_> {
    fn between(
        was: Option<Node<'n>>,
        is: Option<Node<'n>>,
        is_opened: &dyn Fn(&[&str]) -> bool,
    ) -> Vec<Difference<'n>> {
        let mut walk = Walk {
            is_opened,
            way: Vec::new(),
            found: Vec::new(),
        };
        let heading = is.and_then(|is| is.get("record")).map(Node::span);
        walk.walk(was, is, heading, None);
        walk.found
    }

    fn walk(
        &mut self,
        was: Option<Node<'n>>,
        is: Option<Node<'n>>,
        span: Option<Span>,
        because: Option<&'n str>,
    ) {
        let because = is.and_then(|is| is.get(BECAUSE)?.text()).or(because);
        let both = [was, is].into_iter().flatten();
        let are_mappings = both.clone().all(is_mapping);
        let are_lists = both.clone().all(|node| node.items().any(is_mapping));
        let is_on_both = was.is_some() && is.is_some();
        let is_looked_into = is_on_both || self.way.is_empty() || (self.is_opened)(&self.way);
        if are_mappings && is_looked_into {
            for key in keys(was, is) {
                let span = is.and_then(|is| is.key(key)).map(Node::span).or(span);
                self.way.push(key);
                let value = |side: Option<Node<'n>>| side.and_then(|side| side.get(key));
                self.walk(value(was), value(is), span, because);
                self.way.pop();
            }
        } else if are_lists && is_on_both {
            let items = |side: Option<Node<'n>>| -> Vec<Node<'n>> {
                side.into_iter().flat_map(Node::items).collect()
            };
            let (were, are) = (items(was), items(is));
            for at in 0..were.len().max(are.len()) {
                let (was, is) = (were.get(at).copied(), are.get(at).copied());
                self.walk(was, is, is.map(Node::span).or(span), because);
            }
        } else if was.map(in_full) != is.map(in_full) {
            let value = is.filter(|is| is.shape() == Shape::Scalar && !is.span().is_empty());
            self.found.push(Difference {
                way: self.way.clone(),
                was,
                is,
                span: value.map(Node::span).or(span),
                because,
            });
        }
    }
}

/// What of the fleet file asks for less.
pub(super) fn of_fleet(
    was: Option<Node<'_>>,
    is: Option<Node<'_>>,
    rules: &RuleSet,
) -> Vec<Setting> {
    let is_opened = |way: &[&str]| matches!(way.first(), Some(&("limits" | "intervals")));
    let differences = Walk::between(was, is, &is_opened);
    let settings = differences.iter().filter_map(|one| {
        if let Some(limit) = direction::LimitOf::at(&one.way, rules) {
            return of_limit(one, &limit, was, is);
        }
        let (was, is) = (one.was.map(in_full), one.is.map(in_full));
        let direction = direction::in_fleet(&one.way, was.as_deref(), is.as_deref());
        one.setting(direction)
    });
    settings.collect()
}

/// A limit of one grade; where it is not set, the one that holds instead is told.
fn of_limit(
    one: &Difference<'_>,
    limit: &direction::LimitOf<'_>,
    was: Option<Node<'_>>,
    is: Option<Node<'_>>,
) -> Option<Setting> {
    let general = |root: Option<Node<'_>>| {
        let limits = root?.get("limits")?;
        Some(
            limits
                .get(limit.rule())?
                .get(limit.grade())?
                .text()?
                .to_owned(),
        )
    };
    let own = |node: Option<Node<'_>>| Some(node?.text()?.to_owned());
    let was = own(one.was).or_else(|| general(was));
    let is = own(one.is).or_else(|| general(is));
    let mut setting = one.setting(limit.direction(was.as_deref(), is.as_deref()))?;
    let instead = |set: Option<String>| set.or_else(|| limit.built_in());
    setting.was = instead(was);
    setting.is = instead(is);
    Some(setting)
}

/// What of a machine file asks for less; a setup that is new is new work, and asks for no less of the others.
pub(super) fn of_machine(id: &str, was: Option<Node<'_>>, is: Option<Node<'_>>) -> Vec<Setting> {
    if is.is_none() {
        let what = format!("machine file of {}", words::phrases::name(id));
        return vec![taken_out(what, was.and_then(|was| was.get("kind")))];
    }
    let differences = Walk::between(was, is, &|way| way == ["setups"]);
    let settings = differences.iter().filter_map(|one| {
        let is_new_setup = matches!(one.way[..], ["setups", _]) && one.was.is_none();
        let is_open = !is_new_setup && one.way != ["record"];
        one.setting(if is_open {
            Direction::Open
        } else {
            Direction::NoLess
        })
    });
    settings.collect()
}

fn taken_out(what: String, was: Option<Node<'_>>) -> Setting {
    Setting {
        what,
        was: was.map(in_short),
        is: None,
        span: None,
        because: None,
        direction: Direction::Less,
    }
}

/// What of a house rule asks for less; a new one of a name of its own only asks for more.
pub(super) fn of_house_rule(
    name: &str,
    was: Option<Node<'_>>,
    is: Option<Node<'_>>,
) -> Vec<Setting> {
    if is_guard(name) {
        return Vec::new(); // Refused, with a finding of its own.
    }
    let what = format!("house rule {name}");
    match (was, is) {
        (None, Some(is)) => {
            let replaced = RuleSet::built_in().find(name);
            let replaces = replaced.map(|(_, rule)| Setting {
                what: format!("{what} in place of ours"),
                was: Some(direction::all_limits(rule)),
                is: is.get("limits").map(in_short),
                span: is.get("id").map(Node::span),
                because: None,
                direction: Direction::Open,
            });
            replaces.into_iter().collect()
        }
        (Some(_), None) => vec![taken_out(what, was.and_then(|was| was.get("limits")))],
        (Some(_), Some(_)) => {
            let differences = Walk::between(was, is, &|way| way == ["limits"]);
            let settings = differences.iter().filter_map(|one| {
                let mut setting = one.setting(direction::in_house_rule(&one.way))?;
                setting.what = format!("{what} {}", setting.what);
                Some(setting)
            });
            settings.collect()
        }
        (None, None) => Vec::new(),
    }
}

/// What of a house cause may ask for less. A new one may too: a cause that is told holds back findings.
pub(super) fn of_house_cause(
    name: &str,
    was: Option<Node<'_>>,
    is: Option<Node<'_>>,
) -> Vec<Setting> {
    let what = format!("house cause {name}");
    match (was, is) {
        (None, Some(is)) => match built_in(name) {
            Some(ours) => in_place_of(&what, ours.root(), is),
            None => vec![Setting {
                what,
                was: None,
                is: Some(mends(is)),
                span: is.get("id").map(Node::span),
                because: None,
                direction: Direction::Open,
            }],
        },
        (Some(was), None) => vec![Setting {
            what,
            was: Some(mends(was)),
            is: None,
            span: None,
            because: None,
            direction: Direction::Open,
        }],
        (Some(_), Some(_)) => changed(&what, was, is),
        (None, None) => Vec::new(),
    }
}

/// The kinds of mend of a cause, each with its prior.
fn mends(root: Node<'_>) -> String {
    let mends = root.get("mends").into_iter().flat_map(Node::items);
    let mends: Vec<String> = mends
        .map(|mend| {
            let text = |key: &str| mend.get(key).and_then(Node::text).unwrap_or_default();
            format!("{} {}", text("kind"), text("prior"))
        })
        .collect();
    words::phrases::shortened(&mends.join(", "), MOST_TOLD).into_owned()
}

/// A house cause in the place of a built-in one: in one line, with every key that is another.
fn in_place_of(what: &str, was: Option<Node<'_>>, is: Node<'_>) -> Vec<Setting> {
    let differences = Walk::between(was, Some(is), &|way| way == ["mends"]);
    let may_relax = |one: &&Difference<'_>| direction::in_house_cause(&one.way) == Direction::Open;
    let mut keys: Vec<&str> = differences
        .iter()
        .filter(may_relax)
        .filter_map(|one| one.way.first().copied())
        .collect();
    keys.dedup();
    if keys.is_empty() {
        return Vec::new();
    }
    let others: Vec<&str> = keys.into_iter().filter(|key| *key != "mends").collect();
    let others = match words::phrases::list(&others, "and") {
        none if none.is_empty() => none,
        others => format!(" with its own {others}"),
    };
    vec![Setting {
        what: format!("{what} in place of ours"),
        was: None,
        is: Some(format!("{}{others}", mends(is))),
        span: is.get("id").map(Node::span),
        because: None,
        direction: Direction::Open,
    }]
}

/// Each key of a cause that may ask for less than it did.
fn changed(what: &str, was: Option<Node<'_>>, is: Option<Node<'_>>) -> Vec<Setting> {
    let differences = Walk::between(was, is, &|way| way == ["mends"]);
    let settings = differences.iter().filter_map(|one| {
        let mut setting = one.setting(direction::in_house_cause(&one.way))?;
        setting.what = format!("{what} {}", setting.what);
        Some(setting)
    });
    settings.collect()
}

/// A built-in cause as it is written.
fn built_in(name: &str) -> Option<yaml::Tree<'static>> {
    let texts = CauseSet::built_in_texts().iter();
    let mut own = texts.filter(|(file, _)| file.strip_suffix(".yaml") == Some(name));
    let (_, text) = own.next()?;
    yaml::read_plain(text)
}

fn waivers(root: Option<Node<'_>>) -> Vec<Node<'_>> {
    let list = root.and_then(|root| root.get("waivers"));
    list.into_iter().flat_map(Node::items).collect()
}

/// The waivers that are new, or hold for longer.
pub(super) fn of_waivers(was: Option<Node<'_>>, is: Option<Node<'_>>) -> Vec<Setting> {
    let mut known = waivers(was);
    let mut settings = Vec::new();
    for waiver in waivers(is) {
        let rule = waiver.get("rule").and_then(Node::text).unwrap_or_default();
        if is_guard(rule) {
            continue; // Refused, with a finding of its own.
        }
        let text = |node: Node<'_>, key: &str| {
            node.get(key)
                .and_then(Node::text)
                .unwrap_or_default()
                .to_owned()
        };
        let is_alike = |other: &Node<'_>| {
            let same = ["rule", "machine", "record"];
            same.iter()
                .all(|key| text(waiver, key) == text(*other, key))
        };
        let days = |node: Node<'_>| format!("{} to {}", text(node, "from"), text(node, "until"));
        // One that holds as long is the same one, whatever else stands beside it.
        let as_long = known
            .iter()
            .position(|other| is_alike(other) && days(*other) == days(waiver));
        let alike = as_long.or_else(|| known.iter().position(&is_alike));
        let was = alike.map(|at| known.swap_remove(at));
        let is_no_longer = was.is_some_and(|was| {
            // Days are written so that their texts are in their order.
            text(was, "from") <= text(waiver, "from") && text(waiver, "until") <= text(was, "until")
        });
        if is_no_longer {
            continue;
        }
        let whose = [text(waiver, "machine"), text(waiver, "record")];
        let whose = whose.iter().filter(|one| !one.is_empty());
        let whose: Vec<_> = whose.map(|one| words::phrases::name(one)).collect();
        let by = text(waiver, "by");
        let reason = text(waiver, "reason");
        settings.push(Setting {
            what: format!(
                "waiver of {} for {}",
                words::phrases::name(rule),
                whose.join(", ")
            ),
            was: was.map(days),
            is: Some(days(waiver)),
            span: Some(waiver.get("rule").unwrap_or(waiver).span()),
            because: (!by.is_empty() || !reason.is_empty()).then(|| format!("by {by}: {reason}")),
            direction: Direction::Less,
        });
    }
    settings
}
