//! One mend as it stands in a file: which kind it is, and its parameters.

use super::content::{By, Effect, Kind, Mend, Pair, Part, Reach};
use super::forms::{FORMS, Form, form_named};
use super::problems::Problems;
use super::value::Of;
use crate::words::phrases;
use crate::yaml::{Node, Shape};

/// The largest effect that a file may give, as the logarithm of a ratio: a factor of about 150.
const MOST_EFFECT: f64 = 5.0;
/// The largest ratio, either way: a day for a second.
const MOST_RATIO: f64 = 100_000.0;
/// The most entries of a list: each is tried at every place of a boom.
const MOST_ITEMS: usize = 50;
/// The most sizes on the list of nozzle sizes that may be tried.
const MOST_NEAREST: usize = 20;

/// A mend with how it is written; none where it is wrong.
pub(super) fn mend(node: Node<'_>, problems: &mut Problems) -> Option<(Mend, &'static Form)> {
    let named = node.get("kind")?;
    let word = named.text()?;
    let Some(form) = form_named(word) else {
        let known = FORMS.iter().map(|form| form.word);
        problems.unknown(named.span(), "kind of mend", word, known);
        return None;
    };
    let has_keys = has_its_keys(node, form, problems);
    let prior = prior(node, problems);
    let kind = Reading { node, problems }.kind(form)?;
    let mend = Mend {
        prior: prior?,
        kind,
    };
    has_keys.then_some((mend, form))
}

/// Whether a mend has the keys of its kind and no others.
fn has_its_keys(node: Node<'_>, form: &Form, problems: &mut Problems) -> bool {
    let mut is_so = true;
    for (key, _) in node.entries() {
        let name = key.text().unwrap_or_default();
        let own = form.needs.iter().chain(form.may);
        let mut known = ["kind", "prior"].iter().chain(own);
        if !known.any(|known| *known == name) {
            let name = phrases::name(name);
            let message = format!("a mend of the kind `{}` has no `{name}`", form.word);
            let help = "take it out, or write the kind that has it";
            problems.add(key.span(), message, help.to_owned());
            is_so = false;
        }
    }
    let missing = form.needs.iter().filter(|key| node.get(key).is_none());
    let missing: Vec<String> = missing.map(|key| format!("`{key}`")).collect();
    if !missing.is_empty() {
        let span = node.get("kind").unwrap_or(node).span();
        let message = format!(
            "a mend of the kind `{}` needs {}",
            form.word,
            phrases::list(&missing, "and")
        );
        problems.add(span, message, "add what is missing".to_owned());
        is_so = false;
    }
    is_so
}

fn prior(node: Node<'_>, problems: &mut Problems) -> Option<f64> {
    let node = node.get("prior")?;
    let text = node.text()?;
    let prior = number(text).filter(|prior| *prior > 0.0 && *prior <= 1.0);
    if prior.is_none() {
        problems.add(
            node.span(),
            format!(
                "the prior `{}` is not a number above 0 and up to 1",
                phrases::name(text)
            ),
            "write how often it is so, such as 0.02".to_owned(),
        );
    }
    prior
}

/// A plain number: digits, perhaps with a point.
fn number(text: &str) -> Option<f64> {
    let is_plain = |c: char| c.is_ascii_digit() || c == '.';
    if !text.starts_with(|c: char| c.is_ascii_digit()) || !text.chars().all(is_plain) {
        return None;
    }
    text.parse().ok().filter(|number: &f64| number.is_finite())
}

/// A number, or one divided by another: `0.5`, `1/60`.
fn ratio(text: &str) -> Option<f64> {
    let ratio = match text.split_once('/') {
        Some((above, below)) => number(above.trim_end())? / number(below.trim_start())?,
        None => number(text)?,
    };
    let is_within = (1.0 / MOST_RATIO..=MOST_RATIO).contains(&ratio);
    is_within.then_some(ratio)
}

/// The words of a closed list, with what each stands for.
type Words<T> = &'static [(&'static str, T)];

const REACHES: Words<Reach> = &[
    ("all", Reach::All),
    ("one", Reach::One),
    ("from", Reach::From),
];

const PARTS: Words<Part> = &[
    ("nozzle", Part::Nozzle),
    ("section", Part::Section),
    ("set", Part::Set),
    ("sheet", Part::Sheet),
    ("supply", Part::Supply),
];

const PAIRS: Words<Pair> = &[
    ("known-and-shown", Pair::KnownShown),
    ("before-and-after", Pair::BeforeAfter),
    ("speed-before-and-after", Pair::SpeedBeforeAfter),
    ("sections", Pair::Sections),
    ("left-and-right", Pair::LeftRight),
];

const WAYS: Words<fn(f64) -> Effect> = &[
    ("either", Effect::Either),
    ("more", Effect::More),
    ("less", Effect::Less),
];

struct Reading<'n, 'p> {
    node: Node<'n>,
    problems: &'p mut Problems,
}

impl Reading<'_, '_> {
    fn kind(&mut self, form: &Form) -> Option<Kind> {
        Some(match form.word {
            "scale-value" => Kind::Scale {
                of: self.of()?,
                reach: self.reach()?,
                by: self.by()?,
            },
            "change-unit" => Kind::Unit {
                of: self.of()?,
                reach: self.reach()?,
            },
            "slip-point" => Kind::Point { of: self.of()? },
            "swap-digits" => Kind::Digits { of: self.of()? },
            "exchange" => Kind::Exchange {
                pairs: self.items("pairs", |own, node| own.meant(node, "pair", PAIRS))?,
            },
            "match-setup" => Kind::AsSetup,
            "turn-factor" => Kind::FactorTurned,
            "scale-nozzles" => Kind::Flow {
                part: self.part()?,
                effect: self.effect()?,
            },
            "tilt" => Kind::Tilt {
                effect: self.effect()?,
            },
            "change-size" => Kind::Size {
                part: self.part()?,
                nearest: self.nearest()?,
            },
            "add-constant" => Kind::Tare {
                effect: self.effect()?,
            },
            "other-instrument" => Kind::From {
                effect: self.effect()?,
            },
            "one-against-all" => {
                let effect = self.effect()?;
                let of = self.of()?.into_iter().next()?;
                Kind::Instrument { of, effect }
            }
            "one-of-setup" => Kind::SheetSum {
                effect: self.effect()?,
            },
            "turn-bypass" => Kind::BypassTurned {
                effect: self.effect()?,
            },
            "recatch-other" => Kind::OtherNozzle {
                chance: self.decimal("chance", 1.0)?,
            },
            "copy" => Kind::Copied,
            "nothing" => Kind::Nothing,
            "reading-off" => Kind::Reading {
                effect: self.effect()?,
            },
            "scatter" => Kind::Scatter {
                deviation: self.decimal("deviation", MOST_EFFECT)?,
            },
            _ => return None,
        })
    }

    /// What one item, or each item of a list, says; none where one of them is wrong.
    fn items<T>(
        &mut self,
        key: &str,
        mut read: impl FnMut(&mut Self, Node<'_>) -> Option<T>,
    ) -> Option<Vec<T>> {
        let node = self.node.get(key)?;
        let items: Vec<Node<'_>> = match node.shape() {
            Shape::Sequence => node.items().collect(),
            Shape::Scalar | Shape::Mapping => vec![node],
        };
        if let Some(first_left_out) = items.get(MOST_ITEMS) {
            let message = format!("{key} has more than {MOST_ITEMS} entries");
            let help = "take entries out".to_owned();
            self.problems.add(first_left_out.span(), message, help);
            return None;
        }
        let wanted = items.len();
        let read: Vec<T> = items
            .into_iter()
            .filter_map(|item| read(self, item))
            .collect();
        (read.len() == wanted).then_some(read)
    }

    fn meant<T: Copy>(&mut self, node: Node<'_>, what: &str, words: Words<T>) -> Option<T> {
        let word = node.text()?;
        let found = words.iter().find(|(own, _)| *own == word);
        if found.is_none() {
            let known = words.iter().map(|(word, _)| *word);
            self.problems.unknown(node.span(), what, word, known);
        }
        found.map(|(_, meant)| *meant)
    }

    fn of(&mut self) -> Option<Vec<Of>> {
        self.items("of", |own, node| {
            let word = node.text()?;
            let found = Of::named(word);
            if found.is_some_and(Of::is_of_last_visit) {
                let message = format!("`{word}` is of the last visit, whose file is not mended");
                let help = "write a value of this visit, or take it out".to_owned();
                own.problems.add(node.span(), message, help);
                return None;
            }
            if found.is_none() {
                let own_visit = Of::WORDS.iter().filter(|(of, _)| !of.is_of_last_visit());
                let known = own_visit.map(|(_, word)| *word);
                let what = "value of a visit";
                own.problems.unknown(node.span(), what, word, known);
            }
            found
        })
    }

    fn reach(&mut self) -> Option<Reach> {
        match self.node.get("reach") {
            Some(node) => self.meant(node, "reach", REACHES),
            None => Some(Reach::All),
        }
    }

    fn part(&mut self) -> Option<Part> {
        let node = self.node.get("part")?;
        self.meant(node, "part of the boom", PARTS)
    }

    /// By ratios or by an effect, one of the two.
    fn by(&mut self) -> Option<By> {
        let node = self.node;
        match (node.get("ratios"), node.get("effect")) {
            (Some(_), Some(_)) => {
                let key = node.key("effect").unwrap_or(node);
                let message = "a mend has ratios or an effect, not both";
                let help = "take one of them out, or make two mends of it";
                self.problems
                    .add(key.span(), message.to_owned(), help.to_owned());
                None
            }
            (None, None) => {
                let kind = node.get("kind").unwrap_or(node);
                let message = "a mend of the kind `scale-value` needs `ratios` or `effect`";
                let help = "add the ratios, such as ratios: [0.5, 2]";
                self.problems
                    .add(kind.span(), message.to_owned(), help.to_owned());
                None
            }
            (Some(_), None) => self.items("ratios", Self::ratio).map(By::Ratios),
            (None, Some(_)) => self.effect().map(By::Effect),
        }
    }

    fn ratio(&mut self, node: Node<'_>) -> Option<f64> {
        let text = node.text()?;
        let ratio = ratio(text);
        let fault = match ratio {
            None => "is not a ratio",
            Some(1.0) => "changes nothing",
            Some(_) => return ratio,
        };
        let help = "write a number or a fraction other than 1, such as 0.5 or 1/60";
        let message = format!("`{}` {fault}", phrases::name(text));
        self.problems.add(node.span(), message, help.to_owned());
        None
    }

    fn effect(&mut self) -> Option<Effect> {
        let way = match self.node.get("way") {
            Some(node) => self.meant(node, "way", WAYS),
            None => Some(Effect::Either as fn(f64) -> Effect),
        };
        let size = self.decimal("effect", MOST_EFFECT);
        Some(way?(size?))
    }

    /// A number above 0.
    fn decimal(&mut self, key: &str, most: f64) -> Option<f64> {
        let node = self.node.get(key)?;
        let text = node.text()?;
        let size = number(text).filter(|size| *size > 0.0 && *size <= most);
        if size.is_none() {
            self.problems.add(
                node.span(),
                format!(
                    "{key} `{}` is not a number above 0 and up to {most}",
                    phrases::name(text)
                ),
                format!("write a number, such as {key}: 0.1"),
            );
        }
        size
    }

    fn nearest(&mut self) -> Option<usize> {
        let node = self.node.get("nearest")?;
        let text = node.text()?;
        let count = text.parse().ok();
        let count = count.filter(|count: &usize| (1..=MOST_NEAREST).contains(count));
        if count.is_none() {
            self.problems.add(
                node.span(),
                format!(
                    "nearest `{}` is not a number from 1 to {MOST_NEAREST}",
                    phrases::name(text)
                ),
                "write how many of the nearest sizes to try, such as nearest: 4".to_owned(),
            );
        }
        count
    }
}
