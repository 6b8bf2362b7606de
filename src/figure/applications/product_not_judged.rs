//! Products that no label rate is judged for, and why: once for all applications of a machine.

use super::product_of_label::are_alike;
use crate::fact::Fact;
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::form::{FactOf, Figure};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::standing::{Mixed, Spraying, Standing, StateStratum};
use crate::outcome::{Key, Part};
use crate::quantity::dimension::Dimension;
use std::collections::BTreeMap;

/// The figure.
pub(crate) struct ProductNotJudged;

static ABOUT: About = About {
    id: "product-not-judged",
    title: "in how many applications a product is not judged against its label",
    formula: "the count of applications",
    source: "counting",
    shown_as: ShownAs::Count,
    family: Family::Record,
    step: None,
    cases: &[],
};

/// Why a product is not judged.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Because {
    NoLabel,
    WeightAgainstVolume,
    VolumeAgainstWeight,
    NoAmount,
    NoTank,
    NoRate,
}

impl Because {
    /// None where it is judged against each rate its label gives.
    fn of(mixed: &Mixed, spraying: &Spraying<'_>) -> Option<Self> {
        let labels: Vec<_> = [mixed.min, mixed.max].into_iter().flatten().collect();
        if labels.is_empty() {
            return Some(Self::NoLabel);
        }
        let Some(amount) = mixed.amount else {
            return Some(Self::NoAmount);
        };
        if labels.iter().any(|label| !are_alike(*label, amount)) {
            return Some(match amount.quantity.dimension() {
                Dimension::MASS => Self::WeightAgainstVolume,
                _ => Self::VolumeAgainstWeight,
            });
        }
        if mixed.tank.is_empty() {
            return Some(Self::NoTank);
        }
        spraying.rates.is_empty().then_some(Self::NoRate)
    }

    const fn words(self) -> &'static str {
        match self {
            Self::NoLabel => "no label rate is on record",
            Self::WeightAgainstVolume => {
                "the amount is a weight, and the label rate is a volume on an area"
            }
            Self::VolumeAgainstWeight => {
                "the amount is a volume, and the label rate is a weight on an area"
            }
            Self::NoAmount => "the amount is not on record",
            Self::NoTank => "the volume of the tank is not on record",
            Self::NoRate => "the application rate is not known",
        }
    }

    /// What to write, beginning with a verb.
    const fn remedy(self) -> &'static str {
        match self {
            Self::NoLabel => "add label: with min, max, or both, as the label gives them",
            Self::WeightAgainstVolume | Self::VolumeAgainstWeight => {
                "write the amount and the label rate both as weight, or both as volume"
            }
            Self::NoAmount => "add amount: with what went into the tank",
            Self::NoTank => "correct water: in the tank",
            Self::NoRate => "name the setup, or add area: and volume:",
        }
    }
}

/// A product that is not judged, for one reason.
pub(crate) struct NotJudged<'v> {
    mixed: &'v Mixed,
    because: Because,
    /// The last application of it.
    last: &'v Spraying<'v>,
    applications: u32,
}

impl Figure for ProductNotJudged {
    type Stratum = StateStratum;
    type Evidence<'v> = NotJudged<'v>;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] = &[
        ("product", |_, product| {
            Some(Fact::Name(product.mixed.name.clone()))
        }),
        ("because", |_, product| {
            Some(Fact::Words(product.because.words()))
        }),
        ("remedy", |_, product| {
            Some(Fact::Words(product.because.remedy()))
        }),
        ("applications", |_, product| {
            Some(Fact::Count {
                count: usize::try_from(product.applications).unwrap_or(usize::MAX),
                noun: "application",
            })
        }),
    ];

    fn about(&self) -> &About {
        &ABOUT
    }

    /// One a product and reason, at the last application of it.
    fn members<'v>(&self, standing: &'v Standing<'v>) -> Vec<Member<NotJudged<'v>>> {
        let mut products: BTreeMap<(&str, Because), NotJudged<'v>> = BTreeMap::new();
        for spraying in &standing.sprayings {
            for mixed in &spraying.products {
                let Some(because) = Because::of(mixed, spraying) else {
                    continue;
                };
                let product = products.entry((&mixed.name, because));
                let product = product.or_insert(NotJudged {
                    mixed,
                    because,
                    last: spraying,
                    applications: 0,
                });
                let is_of_another = product.last.application.file != spraying.application.file;
                product.applications += u32::from(is_of_another || product.applications == 0);
                (product.mixed, product.last) = (mixed, spraying);
            }
        }
        let numbered = products.into_values().enumerate();
        let members = numbered.map(|(index, product)| {
            let key = Key {
                record: Some(product.last.application.file),
                setup: product.last.setup.map(|(index, _)| index),
                part: Part::Test(u16::try_from(index).unwrap_or(u16::MAX)),
                ..Key::of_machine(standing.subject.index)
            };
            let place = product.mixed.place;
            Member::new(key, product, place)
        });
        members.collect()
    }

    fn value<'v, N: Number>(&self, _: &'v Standing<'v>, product: &NotJudged<'v>) -> Option<N> {
        Some(N::whole(product.applications))
    }
}
