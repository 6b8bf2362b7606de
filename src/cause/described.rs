//! A mend in words, for a page that explains a cause: its kind, what it does, its parameters, its prior.

use super::content::{By, Effect, Kind, Mend, Pair, Part, Reach};
use super::forms::form_named;
use super::value::Of;
use crate::words::phrases;

impl Mend {
    /// It in one line, in the words of its file.
    pub fn in_a_line(&self) -> String {
        let (word, parameters) = described(&self.kind);
        let does = form_named(word).map_or("", |form| form.does);
        let mut line = format!("{word}, which {does}");
        let prior = format!("prior {}", self.prior);
        for (at, parameter) in parameters.iter().chain([&prior]).enumerate() {
            line.push_str(if at == 0 { ": " } else { "; " });
            line.push_str(parameter);
        }
        line
    }
}

/// The word of a kind, and its parameters in words.
fn described(kind: &Kind) -> (&'static str, Vec<String>) {
    match kind {
        Kind::Scale { of, reach, by } => {
            let by = match by {
                By::Ratios(ratios) => {
                    let ratios: Vec<String> = ratios.iter().map(|ratio| fraction(*ratio)).collect();
                    format!("ratios {}", ratios.join(", "))
                }
                By::Effect(effect) => of_effect(*effect),
            };
            ("scale-value", vec![of_values(of), of_reach(*reach), by])
        }
        Kind::Unit { of, reach } => ("change-unit", vec![of_values(of), of_reach(*reach)]),
        Kind::Point { of } => ("slip-point", vec![of_values(of)]),
        Kind::Digits { of } => ("swap-digits", vec![of_values(of)]),
        Kind::Exchange { pairs } => {
            let pairs: Vec<&str> = pairs.iter().map(|pair| of_pair(*pair)).collect();
            let pairs = phrases::list(&pairs, "or");
            ("exchange", vec![format!("of {pairs}")])
        }
        Kind::AsSetup => ("match-setup", Vec::new()),
        Kind::FactorTurned => ("turn-factor", Vec::new()),
        Kind::Flow { part, effect } => ("scale-nozzles", vec![of_part(*part), of_effect(*effect)]),
        Kind::Tilt { effect } => ("tilt", vec![of_effect(*effect)]),
        Kind::Size { part, nearest } => {
            let nearest = format!("the {}", phrases::plural(*nearest, "nearest size"));
            ("change-size", vec![of_part(*part), nearest])
        }
        Kind::Tare { effect } => ("add-constant", vec![of_effect(*effect)]),
        Kind::From { effect } => ("other-instrument", vec![of_effect(*effect)]),
        Kind::Instrument { of, effect } => (
            "one-against-all",
            vec![of_values(&[*of]), of_effect(*effect)],
        ),
        Kind::SheetSum { effect } => ("one-of-setup", vec![of_effect(*effect)]),
        Kind::BypassTurned { effect } => ("turn-bypass", vec![of_effect(*effect)]),
        Kind::OtherNozzle { chance } => ("recatch-other", vec![format!("chance {chance}")]),
        Kind::Copied => ("copy", Vec::new()),
        Kind::Nothing => ("nothing", Vec::new()),
        Kind::Reading { effect } => ("reading-off", vec![of_effect(*effect)]),
        Kind::Scatter { deviation } => ("scatter", vec![format!("deviation {deviation}")]),
    }
}

fn of_values(of: &[Of]) -> String {
    let words: Vec<&str> = of.iter().map(|of| of.word()).collect();
    format!("of {}", phrases::list(&words, "or"))
}

fn of_reach(reach: Reach) -> String {
    match reach {
        Reach::All => "the value, or all of a list",
        Reach::One => "one of a list",
        Reach::From => "a list from one on",
    }
    .to_owned()
}

fn of_part(part: Part) -> String {
    match part {
        Part::Nozzle => "one nozzle",
        Part::Section => "one section",
        Part::Set => "the whole set",
        Part::Sheet => "the whole set, at the last visit too",
        Part::Supply => "the whole set, with the pressure that reaches the end of the boom",
    }
    .to_owned()
}

const fn of_pair(pair: Pair) -> &'static str {
    match pair {
        Pair::KnownShown => "known-and-shown",
        Pair::BeforeAfter => "before-and-after",
        Pair::SpeedBeforeAfter => "speed-before-and-after",
        Pair::Sections => "sections",
        Pair::LeftRight => "left-and-right",
    }
}

fn of_effect(effect: Effect) -> String {
    match effect {
        Effect::Either(size) => format!("effect {size} either way"),
        Effect::More(size) => format!("effect {size}, more only"),
        Effect::Less(size) => format!("effect {size}, less only"),
    }
}

/// A ratio as people write it: `1/60` and not 0.01667.
fn fraction(ratio: f64) -> String {
    let inverse = 1.0 / ratio;
    let is_whole = (inverse - inverse.round()).abs() < 1e-9;
    if ratio < 0.1 && is_whole {
        format!("1/{}", inverse.round())
    } else {
        ratio.to_string()
    }
}
