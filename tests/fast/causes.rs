//! The causes are data, so they are tested as data: names, order, texts, slots; and what is wrong with a file is told at
//! its exact place.

use crate::catalogue::{MORE_VERBS, VERBS};
use std::collections::{BTreeMap, BTreeSet};
use swathlint::cause::{About, Cause, CauseSet, FORMS, Kind, SLOTS, load};
use swathlint::diagnostic::Diagnostic;
use swathlint::rule::RuleSet;
use swathlint::source::FileId;
use swathlint::words::slots::{Piece, pieces};
use swathlint::yaml;

/// The fields of a file, in the order a reader meets them.
const FIELDS: [&str; 13] = [
    "record",
    "id",
    "since",
    "told",
    "mends",
    "gives-way-to",
    "about",
    "title",
    "message",
    "next",
    "told-apart",
    "why",
    "sources",
];

/// What a step may begin with, besides what a help of a rule does.
const OWN_VERBS: [&str; 7] = ["fill", "fit", "replace", "run", "plan", "press", "wait"];

/// The causes that are there to compete with the others.
const NEVER_TOLD: [&str; 2] = ["healthy", "unlisted"];

/// The causes of which the value that is mended does not come from a suspected one: its steps may name it.
const MAY_NAME_THE_MENDED: [(&str, &str); 1] = [(
    "factor-turned",
    "the factor comes from the volumes of the test and the factor before, not from the factor entered",
)];

fn causes() -> &'static [Cause] {
    CauseSet::built_in().causes()
}

/// Every text of a cause that tells somebody what to do.
fn advice(cause: &Cause) -> impl Iterator<Item = &str> {
    let apart = cause.told_apart.values();
    cause.next.iter().chain(apart).map(String::as_str)
}

/// The sentences of a text.
fn sentences(text: &str) -> impl Iterator<Item = &str> {
    text.split(". ")
}

#[test]
fn every_file_loads_without_a_finding() {
    for (name, text) in CauseSet::built_in_texts() {
        let loaded = load(FileId(0), text);
        assert!(loaded.problems.is_empty(), "{name}: {:#?}", loaded.problems);
        let cause = loaded.cause.unwrap();
        assert_eq!(format!("{}.yaml", cause.id), *name);
    }
    assert_eq!(causes().len(), 27);
}

#[test]
fn fields_stand_in_their_order_and_none_is_empty() {
    for (name, text) in CauseSet::built_in_texts() {
        let parsed = yaml::parse(FileId(0), text);
        let mut last = 0;
        for (key, value) in parsed.tree.root().unwrap().entries() {
            let key = key.text().unwrap();
            let at = FIELDS.iter().position(|field| *field == key).unwrap();
            assert!(last <= at, "{name}: {key} stands too late");
            last = at;
            let empty = value.text().is_some_and(|text| text.trim().is_empty());
            assert!(!empty, "{name}: {key} is empty");
        }
    }
}

#[test]
fn no_name_is_both_a_rules_and_a_causes() {
    for cause in causes() {
        assert!(
            RuleSet::built_in().find(&cause.id).is_none(),
            "{}",
            cause.id
        );
    }
}

#[test]
fn what_a_cause_names_exists_and_is_told() {
    for cause in causes() {
        for other in cause.gives_way_to.iter().chain(cause.told_apart.keys()) {
            let (_, other) = CauseSet::built_in().find(other).expect(other);
            assert!(other.told && cause.told, "{} names {}", cause.id, other.id);
        }
    }
}

/// Where two give way to each other neither would be told.
#[test]
fn no_cause_gives_way_in_a_circle() {
    fn reaches(from: &str, to: &str, seen: &mut BTreeSet<String>) -> bool {
        let (_, cause) = CauseSet::built_in().find(from).unwrap();
        cause
            .gives_way_to
            .iter()
            .any(|next| next == to || (seen.insert(next.clone()) && reaches(next, to, seen)))
    }
    for cause in causes() {
        let is_circle = reaches(&cause.id, &cause.id, &mut BTreeSet::new());
        assert!(!is_circle, "{} gives way to itself", cause.id);
    }
}

/// The text that parts two causes stands once, and is found whichever is asked for first.
#[test]
fn what_cannot_be_parted_has_a_reading_that_parts_it() {
    for cause in causes() {
        for rival in cause.told_apart.keys() {
            let (_, other) = CauseSet::built_in().find(rival).unwrap();
            assert!(
                !other.told_apart.contains_key(&cause.id),
                "{} {rival}",
                cause.id
            );
        }
    }
    let alike = [
        "set-worn",
        "gauge-wrong",
        "jug-wrong",
        "pressure-misread",
        "unit-mistaken",
        "sheet-size-wrong",
    ];
    let all_alike = alike.iter().enumerate().flat_map(|(at, one)| {
        let others = alike.iter().skip(at + 1);
        others.map(move |other| (*one, *other))
    });
    let of_one_nozzle = [
        ("tip-worn", "tip-other-size"),
        ("tip-plugged", "tip-other-size"),
        ("tip-plugged", "time-misread"),
        ("tip-plugged", "digits-swapped"),
        ("tip-plugged", "pressure-falls"),
    ];
    let of_a_part = [
        ("time-misread", "jug-wrong"),
        ("section-starved", "pressure-falls"),
        ("section-starved", "sheet-size-wrong"),
        ("section-high", "sheet-size-wrong"),
        ("fill-meter-wrong", "jug-wrong"),
        ("fill-meter-wrong", "meter-wrong"),
    ];
    for (one, other) in all_alike.chain(of_one_nozzle).chain(of_a_part) {
        let set = CauseSet::built_in();
        assert!(set.told_apart(one, other).is_some(), "{one} and {other}");
        assert_eq!(set.told_apart(one, other), set.told_apart(other, one));
    }
}

#[test]
fn what_is_never_told_has_no_text() {
    for cause in causes() {
        let is_never_told = NEVER_TOLD.contains(&cause.id.as_str());
        assert_eq!(cause.told, !is_never_told, "{}", cause.id);
        assert_eq!(cause.about == About::Nothing, is_never_told, "{}", cause.id);
        assert_eq!(cause.message.is_empty(), is_never_told, "{}", cause.id);
        assert_eq!(cause.next.is_empty(), is_never_told, "{}", cause.id);
    }
}

/// Priors of all that a visit may have; the visit with no cause is the most usual one.
#[test]
fn priors_are_those_of_visits() {
    let healthy = CauseSet::built_in().find("healthy").unwrap().1.prior();
    assert!(healthy >= 0.6);
    for cause in causes() {
        assert!(
            cause.prior() > 0.0 && cause.prior() <= healthy,
            "{}",
            cause.id
        );
    }
}

#[test]
fn since_is_no_later_than_this_version() {
    let parts =
        |version: &str| -> Vec<u32> { version.split('.').map(|n| n.parse().unwrap()).collect() };
    for cause in causes() {
        let is_there = parts(&cause.since) <= parts(env!("CARGO_PKG_VERSION"));
        assert!(is_there, "{}", cause.id);
        assert!(!cause.sources.is_empty(), "{}", cause.id);
    }
}

#[test]
fn texts_read_as_those_of_rules() {
    for cause in causes() {
        let title = cause.title.chars().next().unwrap();
        assert!(
            title.is_uppercase() && !cause.title.ends_with('.'),
            "{}",
            cause.title
        );
        assert!(cause.why.ends_with('.'), "{}: {}", cause.id, cause.why);
        assert!(cause.message.chars().count() <= 120, "{}", cause.message);
        assert!(!cause.message.ends_with('.'), "{}", cause.message);
        assert!(
            !cause.message.starts_with(char::is_uppercase),
            "{}",
            cause.message
        );
        for text in advice(cause) {
            assert!(!text.ends_with('.'), "{}: {text}", cause.id);
        }
        let texts = advice(cause).chain([cause.message.as_str(), cause.why.as_str()]);
        for sentence in texts.flat_map(sentences) {
            let words = sentence.split(' ').count();
            assert!(words <= 24, "{}: {words} words: {sentence}", cause.id);
        }
    }
}

/// A step is a thing to do; of more sentences each is one, or says when, or why.
#[test]
fn every_step_begins_with_a_verb() {
    let is_verb = |word: &str| {
        let mut all = VERBS.iter().chain(&MORE_VERBS).chain(&OWN_VERBS);
        all.any(|verb| *verb == word)
    };
    for cause in causes() {
        for step in advice(cause) {
            let verb = step.split([' ', ',']).next().unwrap();
            assert!(is_verb(verb), "{}: {step}", cause.id);
        }
    }
}

#[test]
fn a_message_says_where_and_by_how_much() {
    for cause in causes().iter().filter(|cause| cause.told) {
        let slots: BTreeSet<&str> = slots(&cause.message).collect();
        assert!(
            slots.contains("place") || slots.contains("first"),
            "{}: {}",
            cause.id,
            cause.message
        );
        // What is copied has no size, and which nozzle was caught again is a place.
        let has_none = ["copied-from-last-visit"].contains(&cause.id.as_str());
        assert!(
            slots.len() > 1 || has_none,
            "{}: {}",
            cause.id,
            cause.message
        );
        assert!(
            !cause.message.contains(|c: char| c.is_ascii_digit()),
            "{}: numbers stand in slots",
            cause.id
        );
    }
}

fn slots(text: &str) -> impl Iterator<Item = &str> {
    let pieces = pieces(text).unwrap().into_iter();
    pieces.filter_map(|piece| match piece {
        Piece::Words(_) => None,
        Piece::Slot(name) => Some(name),
    })
}

#[test]
fn every_slot_is_known_and_used() {
    let known: BTreeSet<&str> = SLOTS.iter().map(|(slot, _)| *slot).collect();
    let texts = causes()
        .iter()
        .flat_map(|cause| advice(cause).chain([cause.message.as_str()]));
    let used: BTreeSet<&str> = texts.flat_map(slots).collect();
    assert_eq!(used, known);
    for form in &FORMS {
        assert!(
            form.slots.iter().all(|slot| known.contains(slot)),
            "{}",
            form.word
        );
    }
}

#[test]
fn every_kind_of_mend_is_used() {
    let words: BTreeSet<&str> = FORMS.iter().map(|form| form.word).collect();
    assert_eq!(words.len(), FORMS.len(), "two kinds of one word");
    let mut used = BTreeSet::new();
    for (name, text) in CauseSet::built_in_texts() {
        let parsed = yaml::parse(FileId(0), text);
        let mends = parsed.tree.root().unwrap().get("mends").unwrap();
        for mend in mends.items() {
            let word = mend.get("kind").unwrap().text().unwrap().to_owned();
            assert!(words.contains(word.as_str()), "{name}: {word}");
            used.insert(word);
        }
    }
    assert_eq!(
        used.iter().map(String::as_str).collect::<BTreeSet<_>>(),
        words
    );
}

/// What a technician must not be told: a number to enter that comes from what is suspected.
#[test]
fn no_step_tells_a_number_to_enter_that_comes_from_a_suspected_value() {
    const NUMBERS: [&str; 4] = ["mended", "off", "written", "size"];
    let may: BTreeMap<&str, &str> = MAY_NAME_THE_MENDED.into();
    for cause in causes() {
        for text in advice(cause) {
            let numbers: Vec<&str> = slots(text).filter(|slot| NUMBERS.contains(slot)).collect();
            let is_allowed = may.contains_key(cause.id.as_str()) && numbers == ["mended"];
            assert!(numbers.is_empty() || is_allowed, "{}: {text}", cause.id);
        }
    }
}

/// The same of the words: none sets a pressure, a width, a factor, or a tip to a number.
#[test]
fn no_advice_sets_a_pressure_a_width_a_factor_or_a_tip_to_a_number() {
    const SETS: [&str; 8] = [
        "set ", "enter ", "write ", "raise ", "lower ", "adjust ", "type ", "change ",
    ];
    const OF: [&str; 7] = [
        "pressure", "factor", "width", "rate", "tip", "speed", "spacing",
    ];
    for cause in causes() {
        if MAY_NAME_THE_MENDED.iter().any(|(id, _)| *id == cause.id) {
            continue;
        }
        for sentence in advice(cause).flat_map(sentences) {
            let sentence = sentence.to_lowercase();
            let sets = SETS.iter().any(|verb| sentence.starts_with(verb));
            let of = OF.iter().any(|of| sentence.contains(of));
            let number = sentence.contains(|c: char| c.is_ascii_digit() || c == '{');
            assert!(!(sets && of && number), "{}: {sentence}", cause.id);
        }
        for text in advice(cause) {
            assert!(!text.contains("replace the set"), "{}: {text}", cause.id);
            assert!(!text.contains("swap with"), "{}: {text}", cause.id);
        }
    }
}

/// Whoever takes a strainer, a hose or a tip off is told first what makes it safe.
#[test]
fn whoever_opens_something_is_told_to_stop_the_engine_first() {
    const OPENS: [&str; 5] = [
        "replace the tip",
        "clean the tip",
        "clean the strainer",
        "fit a ",
        "replace the gauge",
    ];
    for cause in causes() {
        let mut is_safe = false;
        for step in &cause.next {
            is_safe |= step.contains("stop the engine and release the pressure");
            let opens = OPENS.iter().any(|opens| step.contains(opens));
            assert!(is_safe || !opens, "{}: {step}", cause.id);
            assert!(
                !step.contains("blow") || step.contains("Never blow"),
                "{step}"
            );
        }
    }
}

/// A file with one thing wrong, and where: the text there, how often it stands before, and what is said.
struct Wrong {
    change: (&'static str, &'static str),
    at: &'static str,
    says: &'static str,
    helps: &'static str,
}

const fn wrong(
    change: (&'static str, &'static str),
    at: &'static str,
    says: &'static str,
    helps: &'static str,
) -> Wrong {
    Wrong {
        change,
        at,
        says,
        helps,
    }
}

/// A cause of a group's own, to be made wrong.
const OWN: &str = "\
record: cause
id: tip-loose
since: 0.1.0
told: always
mends:
  - {kind: scale-value, of: [collected, elapsed], prior: 0.02, ratios: [1/60, 0.5, 2]}
  - {kind: slip-point, of: caught, prior: 0.01}
gives-way-to: [unit-mistaken]
about: record
title: A tip is loose
message: \"{place} is {written}, not {mended}\"
next:
  - look at the tip
told-apart:
  tip-worn: read the size on the tip
why: A loose tip leaks.
sources:
  - {title: our choice, mark: our choice}
";

const WRONGS: &[Wrong] = &[
    wrong(
        ("kind: slip-point", "kind: slip-pint"),
        "slip-pint",
        "no kind of mend is called `slip-pint`",
        "write `slip-point`, if that is meant",
    ),
    wrong(
        ("kind: slip-point", "kind: xyz"),
        "xyz",
        "no kind of mend is called `xyz`",
        "write scale-value, change-unit",
    ),
    wrong(
        ("2]", "two]"),
        "two",
        "`two` is not a ratio",
        "write a number or a fraction other than 1, such as 0.5 or 1/60",
    ),
    wrong(("1/60", "1/0"), "1/0", "`1/0` is not a ratio", ""),
    wrong(("1/60", "-2"), "-2", "`-2` is not a ratio", ""),
    wrong(("1/60", "1e400"), "1e400", "`1e400` is not a ratio", ""),
    wrong(("1/60", "1.0"), "1.0", "`1.0` changes nothing", ""),
    wrong(
        ("prior: 0.02", "prior: 1.2"),
        "1.2",
        "the prior `1.2` is not a number above 0 and up to 1",
        "write how often it is so, such as 0.02",
    ),
    wrong(
        ("prior: 0.02", "prior: 0"),
        "0",
        "the prior `0` is not a number above 0 and up to 1",
        "",
    ),
    wrong(
        ("prior: 0.02", "prior: -0.1"),
        "-0.1",
        "the prior `-0.1` is not a number above 0 and up to 1",
        "",
    ),
    wrong(
        ("prior: 0.02", "prior: often"),
        "often",
        "the prior `often` is not a number above 0 and up to 1",
        "",
    ),
    wrong(
        ("prior: 0.02", "prior: .nan"),
        ".nan",
        "the prior `.nan` is not a number above 0 and up to 1",
        "",
    ),
    wrong(
        ("prior: 0.02", "prior: 0.999"),
        "mends",
        "the priors of these mends add up to 1.009; together they are at most 1",
        "write smaller priors",
    ),
    wrong(
        ("ratios: [1/60, 0.5, 2]", "ratios: [2], effect: 0.1"),
        "effect",
        "a mend has ratios or an effect, not both",
        "take one of them out, or make two mends of it",
    ),
    wrong(
        (", ratios: [1/60, 0.5, 2]", ""),
        "scale-value",
        "a mend of the kind `scale-value` needs `ratios` or `effect`",
        "add the ratios, such as ratios: [0.5, 2]",
    ),
    wrong(
        ("ratios: [1/60, 0.5, 2]", "effect: 9"),
        "9",
        "effect `9` is not a number above 0 and up to 5",
        "write a number, such as effect: 0.1",
    ),
    wrong(
        ("ratios: [1/60, 0.5, 2]", "effect: 0.1, way: up"),
        "up",
        "no way is called `up`",
        "write either, more or less",
    ),
    wrong(
        ("of: [collected, elapsed]", "of: [collected, elapse]"),
        "elapse]",
        "no value of a visit is called `elapse`",
        "write `elapsed`, if that is meant",
    ),
    wrong(
        (
            "of: [collected, elapsed]",
            "of: [collected, factor-left-last]",
        ),
        "factor-left-last]",
        "`factor-left-last` is of the last visit, whose file is not mended",
        "write a value of this visit, or take it out",
    ),
    wrong(
        (
            "of: [collected, elapsed]",
            "of: [speed-factor-left-last, elapsed]",
        ),
        "speed-factor-left-last",
        "`speed-factor-left-last` is of the last visit, whose file is not mended",
        "",
    ),
    wrong(
        (
            "slip-point, of: caught",
            "slip-point, of: caught-last-visit",
        ),
        "caught-last-visit",
        "`caught-last-visit` is of the last visit, whose file is not mended",
        "",
    ),
    wrong(
        (
            "of: caught, prior: 0.01",
            "of: caught, prior: 0.01, ratios: [2]",
        ),
        "ratios: [2]}",
        "a mend of the kind `slip-point` has no `ratios`",
        "take it out, or write the kind that has it",
    ),
    wrong(
        ("of: caught, prior", "prior"),
        "slip-point",
        "a mend of the kind `slip-point` needs `of`",
        "add what is missing",
    ),
    wrong(
        (
            "kind: slip-point, of: caught",
            "kind: change-size, part: boom, nearest: 4",
        ),
        "boom",
        "no part of the boom is called `boom`",
        "write nozzle, section, set, sheet or supply",
    ),
    wrong(
        (
            "kind: slip-point, of: caught",
            "kind: change-size, part: set, nearest: 99",
        ),
        "99",
        "nearest `99` is not a number from 1 to 20",
        "",
    ),
    wrong(
        (
            "kind: slip-point, of: caught",
            "kind: exchange, pairs: [known]",
        ),
        "known]",
        "no pair is called `known`",
        "",
    ),
    wrong(
        ("kind: slip-point, of: caught", "kind: nothing"),
        "nothing",
        "a cause that is told must change something",
        "write another kind of mend, or told: never",
    ),
    wrong(
        ("{mended}\"", "{mendd}\""),
        "\"{place} is",
        "no slot of a cause is called `mendd`",
        "write `mended`, if that is meant",
    ),
    wrong(
        ("{mended}\"", "{mended\""),
        "\"{place} is",
        "a brace has no partner",
        "write slots as {place}; leave braces out of the words",
    ),
    wrong(
        ("{mended}\"", "{size}\""),
        "\"{place} is",
        "a mend of the kind `scale-value` fills no `size`",
        "take the slot out, or make a cause of its own of that mend",
    ),
    wrong(
        ("look at the tip", "\"look at {tip}\""),
        "\"look at",
        "no slot of a cause is called `tip`",
        "",
    ),
    wrong(
        ("gives-way-to: [unit-mistaken]", "gives-way-to: [tip-loose]"),
        "tip-loose]",
        "`tip-loose` names itself where it names another cause",
        "write the name of another cause, or take it out",
    ),
    wrong(
        ("  tip-worn:", "  tip-loose:"),
        "tip-loose: read",
        "`tip-loose` names itself where it names another cause",
        "",
    ),
    wrong(
        ("about: record", "about: nothing"),
        "nothing",
        "a cause that is told is about the record, the machine, or an instrument",
        "",
    ),
    wrong(
        ("message: \"{place} is {written}, not {mended}\"\n", ""),
        "always",
        "a cause that is told needs `message`",
        "add `message`, or write told: never",
    ),
    wrong(
        ("next:\n  - look at the tip\n", ""),
        "always",
        "a cause that is told needs `next`",
        "",
    ),
];

#[test]
fn what_is_wrong_is_told_at_its_exact_place() {
    let loaded = load(FileId(0), OWN);
    assert!(loaded.problems.is_empty(), "{:#?}", loaded.problems);
    for Wrong {
        change: (was, is),
        at,
        says,
        helps,
    } in WRONGS
    {
        assert!(OWN.contains(was), "{was}");
        let text = OWN.replacen(was, is, 1);
        let loaded = load(FileId(7), &text);
        assert!(loaded.cause.is_none(), "{is} is taken");
        assert_eq!(loaded.id.unwrap().value, "tip-loose");
        let [finding] = &loaded.problems[..] else {
            panic!("{is}: {:#?}", loaded.problems);
        };
        assert_eq!(finding.rule(), "wrong-cause", "{is}");
        assert_eq!(finding.message(), *says);
        assert!(
            finding.help_text().unwrap().contains(helps),
            "{:?}",
            finding.help_text()
        );
        let place = finding.primary().place;
        assert_eq!(place.file, FileId(7));
        let here = &text[place.span.range()];
        let start = text[place.span.range().start..].starts_with(at);
        let short = at.trim_end_matches(|c: char| !c.is_alphanumeric());
        assert!(start && !here.is_empty(), "{is}: stands at {here}");
        assert!(
            here.contains(short.split(' ').next().unwrap()) || short.contains(here),
            "{here}"
        );
    }
}

/// Both are told of a cause that is never told and has texts.
#[test]
fn what_is_never_told_is_refused_with_texts() {
    let text = OWN.replace("told: always", "told: never");
    let loaded = load(FileId(0), &text);
    let told: Vec<(&str, &str)> = loaded
        .problems
        .iter()
        .map(|finding| {
            (
                finding.message(),
                &text[finding.primary().place.span.range()],
            )
        })
        .collect();
    assert_eq!(
        told,
        [
            ("a cause that is never told has no `message`", "message"),
            ("a cause that is never told has no `next`", "next"),
            (
                "a cause that is never told has no `told-apart`",
                "told-apart"
            ),
        ]
    );
}

/// What has not the shape of a cause is told by its schema, and nothing else is looked at.
#[test]
fn what_has_another_shape_is_told_by_the_schema() {
    for (was, is, rule) in [
        ("told: always", "told: often", "wrong-value"),
        ("why: A loose tip leaks.\n", "", "missing-key"),
        ("about: record", "abuot: record", "unknown-key"),
        ("mends:", "mend:", "unknown-key"),
        ("prior: 0.01", "priors: 0.01", "unknown-key"),
        ("kind: slip-point", "kind: [slip-point]", "wrong-value"),
    ] {
        let loaded = load(FileId(0), &OWN.replacen(was, is, 1));
        assert!(loaded.cause.is_none(), "{is}");
        let rules: Vec<&str> = loaded.problems.iter().map(Diagnostic::rule).collect();
        assert!(rules.contains(&rule), "{is}: {rules:?}");
        assert!(!rules.contains(&"wrong-cause"), "{is}: {rules:?}");
    }
}

#[test]
fn a_cause_names_the_others_at_their_places() {
    let loaded = load(FileId(0), OWN);
    let others: Vec<(&str, &str)> = loaded
        .others
        .iter()
        .map(|other| (other.value.as_str(), &OWN[other.span.range()]))
        .collect();
    assert_eq!(
        others,
        [("unit-mistaken", "unit-mistaken"), ("tip-worn", "tip-worn")]
    );
}

#[test]
fn an_own_cause_replaces_ours_of_its_name() {
    let text = OWN.replace("id: tip-loose", "id: tip-other-size");
    let own = load(FileId(0), &text).cause.unwrap();
    let set = CauseSet::built_in().with(vec![own]);
    assert_eq!(set.causes().len(), CauseSet::built_in().causes().len());
    let (_, cause) = set.find("tip-other-size").unwrap();
    assert_eq!(cause.title, "A tip is loose");
    assert!(cause.mends.iter().all(|mend| mend.kind != Kind::Nothing));
    let joined = CauseSet::built_in().with(vec![load(FileId(0), OWN).cause.unwrap()]);
    assert_eq!(joined.causes().len(), set.causes().len() + 1);
    assert!(joined.causes().windows(2).all(|two| two[0].id < two[1].id));
}

/// Each mend is tried at every place of a boom, so that a file cannot ask for any number of them.
#[test]
fn lists_have_an_upper_bound() {
    let mend = "  - {kind: slip-point, of: caught, prior: 0.01}\n";
    let with = |count: usize| OWN.replace(mend, &mend.repeat(count));
    assert!(load(FileId(0), &with(9)).cause.is_some());
    let messages = |text: &str| -> Vec<String> {
        let problems = load(FileId(0), text).problems;
        problems
            .iter()
            .map(|one| one.message().to_owned())
            .collect()
    };
    assert_eq!(
        messages(&with(10)),
        ["a cause has at most 10 entries in `mends`"]
    );
    for (key, entry, most) in [
        ("next:", "  - look at the tip\n".to_owned(), 20),
        ("told-apart:", String::new(), 50),
    ] {
        let entries = (0..most).map(|nth| match entry.as_str() {
            "" => format!("  other-{nth}: look at the tip\n"),
            entry => entry.to_owned(),
        });
        let more: String = entries.collect();
        let text = OWN.replacen(&format!("{key}\n"), &format!("{key}\n{more}"), 1);
        let key = key.trim_end_matches(':');
        let told = format!("a cause has at most {most} entries in `{key}`");
        assert_eq!(messages(&text), [told]);
    }
    let long = OWN.replace("slip-point", &"slip-point".repeat(1_000));
    assert!(messages(&long)[0].chars().count() < 120);
    let many = OWN.replace("1/60, ", &"3, ".repeat(49));
    assert_eq!(messages(&many), ["ratios has more than 50 entries"]);
}
