//! Visits with known truth, always the same for a seed: a machine, two visits with honest scatter, and no, one or two faults.
//!
//! The truth is drawn first: what the boom puts out, what each instrument reads. Then the visit is read off and rounded as
//! people round it, and only then a value is written wrong. Knows nothing of how the program explains.

mod draw;
mod faults;
mod machine;
mod slips;
mod visit;
mod written;

pub(crate) use faults::{FAULTS, Truth};
pub(crate) use machine::Machine;
pub(crate) use visit::Visit;

use crate::chance::Chance;
use crate::fixture::Files;
use draw::Draw;
use visit::World;

/// The day of the check.
pub(crate) const TODAY: &str = "2026-06-01";

/// The path of the visit that is looked at.
pub(crate) const VISIT: &str = "calibrations/knot/2026-05-12.yaml";

/// A fleet of one machine, and what is wrong with its last visit.
pub(crate) struct Seeded {
    pub(crate) files: Files,
    pub(crate) truths: Vec<Truth>,
    pub(crate) machine: Machine,
    /// The last visit as it is written, faults and all.
    pub(crate) visit: Visit,
}

/// A fleet with this many faults, or with fewer where the machine cannot have them.
pub(crate) fn seeded(seed: u64, n_faults: usize) -> Seeded {
    // Seeds one apart would begin alike.
    let mut chance = Chance::seeded((seed + 1).wrapping_mul(0xd134_2543_de82_ef95));
    let draw = &mut Draw(&mut chance);
    for _ in 0..20 {
        draw.uniform();
    }
    let mut machine = Machine::drawn(draw);
    let mut world = World::drawn(&machine, draw);
    let last = machine
        .has_last
        .then(|| Visit::read(&machine, &world, draw));
    world.pass_a_year(draw);
    let mut truths: Vec<Truth> = Vec::new();
    let mut chosen: Vec<&'static str> = Vec::new();
    for _ in 0..40 * n_faults {
        if chosen.len() == n_faults {
            break;
        }
        let fault = draw.fault();
        // Whoever copies the catch writes down no fault of the boom.
        let is_alone = |fault: &str| fault == "copied-from-last-visit";
        let goes_with =
            chosen.is_empty() || !is_alone(fault) && !chosen.iter().any(|one| is_alone(one));
        if !chosen.contains(&fault) && goes_with && faults::can_have(fault, &machine) {
            chosen.push(fault);
        }
    }
    let before = world.clone();
    for fault in &chosen {
        truths.extend(faults::befall(fault, &machine, &mut world, draw));
    }
    let mut visit = Visit::read(&machine, &world, draw);
    let is_of_the_sheet = |truth: &Truth| truth.cause == "sheet-size-wrong";
    let last = match last {
        // The tips were there before: the last visit caught them too.
        Some(_) if truths.iter().any(is_of_the_sheet) => {
            let mut then = before;
            then.tips_as_fitted(&world);
            Some(Visit::read(&machine, &then, draw))
        }
        last => last,
    };
    for fault in &chosen {
        truths.extend(slips::write_wrong(
            fault,
            &mut machine,
            &mut visit,
            last.as_ref(),
            draw,
        ));
    }
    Seeded {
        files: written::files(&machine, &visit, last.as_ref()),
        truths,
        machine,
        visit,
    }
}

/// The same with as many faults as a visit has that somebody looks into: mostly one, sometimes two, sometimes none.
pub(crate) fn faulty(seed: u64) -> Seeded {
    seeded(
        seed,
        [1, 1, 1, 1, 1, 1, 1, 2, 2, 0][usize::try_from(seed % 10).unwrap()],
    )
}

impl Seeded {
    /// The bytes of each nozzle's reading in the text of the visit, left to right.
    pub(crate) fn readings(&self) -> Vec<(u64, u64)> {
        let text = &self.files[VISIT];
        let mut readings = Vec::new();
        let start = text.find("    caught:\n").expect("a catch") + "    caught:\n".len();
        let mut at = start;
        for line in text[start..].lines().take(self.machine.sections.len()) {
            let open = line.find('[').expect("a list");
            let mut from = at + open + 1;
            for reading in line[open + 1..].trim_end_matches(']').split(", ") {
                let bytes = |at: usize| u64::try_from(at).unwrap();
                readings.push((bytes(from), bytes(from + reading.len())));
                from += reading.len() + 2;
            }
            at += line.len() + 1;
        }
        readings
    }

    /// The bytes from the first line that begins with this key to the next key at the margin.
    pub(crate) fn section(&self, key: &str) -> Option<(u64, u64)> {
        let text = &self.files[VISIT];
        let start = text.find(&format!("\n{key}:"))? + 1;
        let mut end = start;
        for line in text[start..].split_inclusive('\n') {
            if end > start && !line.starts_with(' ') {
                break;
            }
            end += line.len();
        }
        Some((u64::try_from(start).unwrap(), u64::try_from(end).unwrap()))
    }
}
