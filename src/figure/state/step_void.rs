//! Which steps work has voided.

use super::undone::{self, ByWork, steps_named, undone_alike};
use crate::fact::Fact;
use crate::figure::about::{About, Family, STEP_VOID, ShownAs};
use crate::figure::form::{FactOf, Figure};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::standing::{Standing, StateStratum};
use crate::history::{StepState, Undone};

/// The case of a step that an application stood on since.
const SPRAYED: &str = "sprayed";

/// The figure.
pub(crate) struct StepVoid;

static ABOUT: About = About {
    id: STEP_VOID,
    title: "whether work since a step was last done has voided what it found",
    formula: "1 where it has, by the table of work and steps",
    source: "counting",
    shown_as: ShownAs::Count,
    family: Family::Step,
    step: None,
    cases: &[SPRAYED],
};

impl Figure for StepVoid {
    type Stratum = StateStratum;
    type Evidence<'v> = ByWork<'v>;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] = &[
        ("steps", |standing, void| {
            Some(steps_named(standing, voided_by(standing, (*void)?)))
        }),
        ("are-void", |standing, void| {
            Some(match voided_by(standing, (*void)?).len() {
                1 => Fact::Words("is void"),
                _ => Fact::Words("are void"),
            })
        }),
        ("work", |standing, void| Some(standing.work_of((*void)?))),
        ("day", |_, void| Some(Fact::Date((*void)?.day))),
        ("because", |_, void| Some(Fact::Words((*void)?.because))),
        ("do-again", |standing, void| do_again(standing, (*void)?)),
        ("applications", |standing, void| {
            Some(Fact::Count {
                count: sprayed_since(standing, (*void)?),
                noun: "application",
            })
        }),
    ];

    fn about(&self) -> &About {
        &ABOUT
    }

    fn members<'v>(&self, standing: &'v Standing<'v>) -> Vec<Member<ByWork<'v>>> {
        undone::members(standing, undone::void)
            .map(|member| {
                let void = member.value.as_ref().ok().copied().flatten();
                let sprayed = void.filter(|void| sprayed_since(standing, void) > 0);
                member.in_case(sprayed.map(|_| SPRAYED))
            })
            .collect()
    }

    fn value<'v, N: Number>(&self, _: &'v Standing<'v>, void: &ByWork<'v>) -> Option<N> {
        Some(N::whole(u32::from(void.is_some())))
    }

    fn read<'v>(&self, _: &'v Standing<'v>, void: &ByWork<'v>) -> Option<Fact> {
        Some(Fact::Words((*void)?.because))
    }

    fn held_against(&self) -> &'static str {
        "last done"
    }
}

fn voided_by<'v>(standing: &'v Standing<'v>, void: &Undone) -> Vec<&'v StepState> {
    undone_alike(standing, void, undone::void)
}

/// What makes it good again: only the nozzles that were fitted, or whole steps.
fn do_again<'v>(standing: &'v Standing<'v>, void: &Undone) -> Option<Fact> {
    let is_of_nozzles = |state: &&StepState| {
        let void = undone::void(state);
        void.is_some_and(|void| !void.nozzles.is_empty())
    };
    let alike = voided_by(standing, void).into_iter();
    let (of_nozzles, whole): (Vec<_>, Vec<_>) = alike.partition(is_of_nozzles);
    let fitted = of_nozzles.first().and_then(|state| undone::void(state));
    let nozzles = fitted.and_then(|fitted| standing.nozzles(&fitted.nozzles));
    let catch =
        nozzles.map(|nozzles| Fact::phrase("catch {} again at the working pressure", [nozzles]));
    let steps =
        (!whole.is_empty()).then(|| Fact::phrase("do {} again", [steps_named(standing, whole)]));
    match (catch, steps) {
        (Some(catch), Some(steps)) => Some(Fact::phrase("{}, {}", [catch, steps])),
        (catch, steps) => catch.or(steps),
    }
}

/// The applications that stood on a step this work had voided.
fn sprayed_since(standing: &Standing<'_>, work: &Undone) -> usize {
    let sprayings = standing.sprayings.iter();
    let void_then = sprayings.filter(|spraying| {
        let mut voids = spraying.steps.iter().filter_map(undone::void);
        voids.any(|void| void.place == work.place)
    });
    void_then.count()
}
