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
    cases: &[
        "weight-against-volume",
        "volume-against-weight",
        "no-amount",
        "no-rate",
    ],
};

/// Why a product is not judged.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Because {
    NoLabel,
    WeightAgainstVolume,
    VolumeAgainstWeight,
    NoAmount,
    NoRate,
}

impl Because {
    /// None where it is judged against each rate its label gives, or where a finding of the text tells why not.
    fn of(mixed: &Mixed, spraying: &Spraying<'_>) -> Option<Self> {
        if !mixed.gives.label {
            return Some(Self::NoLabel);
        }
        if !mixed.gives.amount {
            return Some(Self::NoAmount);
        }
        let amount = mixed.amount?;
        let mut labels = [mixed.min, mixed.max].into_iter().flatten();
        if labels.any(|label| !are_alike(label, amount)) {
            let is_weight = amount.quantity.dimension() == Dimension::MASS;
            return Some(if is_weight {
                Self::WeightAgainstVolume
            } else {
                Self::VolumeAgainstWeight
            });
        }
        let is_setup_known = spraying.setup.is_some() || spraying.machine.setups.is_empty();
        (spraying.rates.is_empty() && is_setup_known).then_some(Self::NoRate)
    }

    /// The case that texts of rules tell apart; none for the usual one.
    const fn case(self) -> Option<&'static str> {
        Some(match self {
            Self::NoLabel => return None,
            Self::WeightAgainstVolume => "weight-against-volume",
            Self::VolumeAgainstWeight => "volume-against-weight",
            Self::NoAmount => "no-amount",
            Self::NoRate => "no-rate",
        })
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
            let (case, place) = (product.because.case(), product.mixed.place);
            Member::new(key, product, place).in_case(case)
        });
        members.collect()
    }

    fn value<'v, N: Number>(&self, _: &'v Standing<'v>, product: &NotJudged<'v>) -> Option<N> {
        Some(N::whole(product.applications))
    }
}
