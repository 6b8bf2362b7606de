//! The texts of a cause, checked when its file is read: every slot is one that each of its mends fills.

use super::forms::{Form, SLOTS};
use super::problems::Problems;
use crate::words::slots::{Piece, pieces};
use crate::yaml::Node;

/// A text as it is written, where its slots are in order.
pub(super) fn text(node: Node<'_>, mends: &[&Form], problems: &mut Problems) -> Option<String> {
    let text = node.text()?;
    let Ok(pieces) = pieces(text) else {
        problems.add(
            node.span(),
            "a brace has no partner".to_owned(),
            "write slots as {place}; leave braces out of the words".to_owned(),
        );
        return None;
    };
    let mut is_so = true;
    for piece in pieces {
        let Piece::Slot(name) = piece else {
            continue;
        };
        if !SLOTS.iter().any(|(slot, _)| *slot == name) {
            let known = SLOTS.iter().map(|(slot, _)| *slot);
            problems.unknown(node.span(), "slot of a cause", name, known);
            is_so = false;
        } else if let Some(form) = mends.iter().find(|form| !form.slots.contains(&name)) {
            let message = format!("a mend of the kind `{}` fills no `{name}`", form.word);
            let help = "take the slot out, or make a cause of its own of that mend";
            problems.add(node.span(), message, help.to_owned());
            is_so = false;
        }
    }
    is_so.then(|| text.to_owned())
}
