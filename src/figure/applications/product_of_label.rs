//! How much of a product a tank puts on an area, beside what its label asks for.
//!
//! The rate it went on at is told by the last calibration, and by the area and volume of the application where they are on
//! record.

use crate::fact::Fact;
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::form::{FactOf, Figure};
use crate::figure::member::Member;
use crate::figure::number::{Measure, Number};
use crate::figure::standing::{Mixed, SprayedRate, Spraying, Standing, StateStratum};
use crate::figure::visit::Shown;
use crate::outcome::{Key, Part};
use crate::quantity::dimension::Dimension;
use crate::working::{Expression, Working};

/// The figure, by what the label says.
pub(crate) enum ProductOfLabel {
    /// Beside the label's most.
    Most,
    /// Beside the label's least.
    Least,
}

static ABOUT_MOST: About = About {
    id: "product-of-maximum",
    title: "how much of a product is put on an area, in percent of the most its label allows",
    formula: "amount x rate / tank / most by label; the rate by the last calibration, or volume / area on record, whichever is surer to be over",
    source: "area per tank = tank / rate; product per area = amount / area per tank",
    shown_as: ShownAs::Percent,
    family: Family::Record,
    step: None,
    cases: &[],
};

static ABOUT_LEAST: About = About {
    id: "product-of-minimum",
    title: "how much of a product is put on an area, in percent of the label minimum",
    formula: "amount x rate / tank / least by label; the rate by the last calibration, or volume / area on record, whichever is surer to be under",
    source: "area per tank = tank / rate; product per area = amount / area per tank",
    shown_as: ShownAs::Percent,
    family: Family::Record,
    step: None,
    cases: &[],
};

/// A product in a tank that was sprayed at a known rate.
pub(crate) struct Product<'v> {
    mixed: &'v Mixed,
    amount: Shown,
    label: Shown,
    /// The rate it went on at.
    rate: &'v SprayedRate,
}

impl Product<'_> {
    /// The volume of what is in the tank.
    fn tank<N: Number>(&self, standing: &Standing<'_>) -> N {
        let contents = self.mixed.tank.iter();
        let contents: Vec<N> = contents
            .map(|content| N::input(&standing.primitives, content.id))
            .collect();
        N::sum(&contents)
    }

    fn per_area<N: Number>(&self, standing: &Standing<'_>) -> N {
        let primitives = &standing.primitives;
        let amount = N::input(primitives, self.amount.id);
        let on_all = amount.times(&self.rate.value(primitives));
        on_all.over(&self.tank(standing))
    }

    fn of_label<N: Number>(&self, standing: &Standing<'_>) -> N {
        let label = N::input(&standing.primitives, self.label.id);
        self.per_area::<N>(standing).over(&label)
    }

    /// How far it is beyond the label's rate: in standard uncertainties where it is, else relative, below zero.
    fn beyond(&self, standing: &Standing<'_>, of: &ProductOfLabel) -> f64 {
        let share: Measure = self.of_label(standing);
        let beyond = match of {
            ProductOfLabel::Most => share.value() - 1.0,
            ProductOfLabel::Least => 1.0 - share.value(),
        };
        if beyond > 0.0 {
            beyond / share.standard_uncertainty(&standing.primitives)
        } else {
            beyond
        }
    }

    /// What it puts on an area, in the unit of the label.
    fn per_area_shown(&self, standing: &Standing<'_>) -> Fact {
        Fact::computed(self.per_area(standing), self.label.quantity.unit)
    }

    fn rate_shown(&self, standing: &Standing<'_>) -> Fact {
        Fact::computed(self.rate.value(&standing.primitives), self.rate.unit)
    }

    /// What should have gone into the tank to put down what the label says.
    fn right_amount(&self, standing: &Standing<'_>) -> Fact {
        let amount = self.amount.quantity;
        let right = amount.si() / self.of_label::<f64>(standing);
        Fact::computed(right, amount.unit)
    }
}

impl Figure for ProductOfLabel {
    type Stratum = StateStratum;
    type Evidence<'v> = Product<'v>;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] = &[
        ("product", |_, product| {
            Some(Fact::Name(product.mixed.name.clone()))
        }),
        ("per-area", |standing, product| {
            Some(product.per_area_shown(standing))
        }),
        ("label", |_, product| {
            Some(Fact::Written(product.label.quantity))
        }),
        ("rate", |standing, product| {
            Some(product.rate_shown(standing))
        }),
        ("rate-by", |_, product| {
            Some(Fact::Words(product.rate.by.words()))
        }),
        ("right-amount", |standing, product| {
            Some(product.right_amount(standing))
        }),
    ];

    fn about(&self) -> &About {
        match self {
            Self::Most => &ABOUT_MOST,
            Self::Least => &ABOUT_LEAST,
        }
    }

    /// Products are numbered over the tanks of an application; one without a label has no member.
    fn members<'v>(&self, standing: &'v Standing<'v>) -> Vec<Member<Product<'v>>> {
        let mut members = Vec::new();
        for spraying in &standing.sprayings {
            for (index, mixed) in (0_u16..).zip(&spraying.products) {
                let label = match self {
                    Self::Most => mixed.max,
                    Self::Least => mixed.min,
                };
                let Some(label) = label else { continue };
                let key = Key {
                    record: Some(spraying.application.file),
                    setup: spraying.setup.map(|(index, _)| index),
                    part: Part::Test(index),
                    ..Key::of_machine(standing.subject.index)
                };
                members.push(self.member(key, spraying, mixed, label, standing));
            }
        }
        members
    }

    fn value<'v, N: Number>(&self, standing: &'v Standing<'v>, product: &Product<'v>) -> Option<N> {
        Some(product.of_label(standing))
    }

    fn working<'v>(&self, standing: &'v Standing<'v>, product: &Product<'v>) -> Option<Working> {
        let water = product.mixed.tank.first()?.quantity;
        let shown = [
            Fact::Written(product.amount.quantity),
            Fact::computed(product.tank(standing), water.unit),
            product.rate_shown(standing),
            Fact::Words(product.rate.by.words()),
        ];
        let per_area = product.per_area(standing);
        let put_down = Expression::number(per_area, Fact::phrase("{} in {} at {} {}", shown));
        let per_area = Expression::number(per_area, product.per_area_shown(standing));
        let share = per_area.over(product.label.as_written());
        let percent = Fact::percent(share.evaluate(), 1);
        Some(Working::of(put_down, product.per_area_shown(standing)).then(share, percent))
    }

    fn read<'v>(&self, _: &'v Standing<'v>, product: &Product<'v>) -> Option<Fact> {
        Some(Fact::Written(product.amount.quantity))
    }

    fn held_against(&self) -> &'static str {
        match self {
            Self::Most => "label maximum",
            Self::Least => "the least by label",
        }
    }
}

impl ProductOfLabel {
    fn member<'v>(
        &self,
        key: Key,
        spraying: &'v Spraying<'v>,
        mixed: &'v Mixed,
        label: Shown,
        standing: &Standing<'_>,
    ) -> Member<Product<'v>> {
        let Some(amount) = mixed.amount.filter(|_| !mixed.tank.is_empty()) else {
            let because = "the amount or the volume of the tank is not on record";
            return Member::unavailable(key, because, None, mixed.place);
        };
        if !are_alike(label, amount) {
            return Member::unavailable(key, UNLIKE, Some(label.place), amount.place);
        }
        let products = spraying.rates.iter().map(|rate| Product {
            mixed,
            amount,
            label,
            rate,
        });
        let Some(product) = self.surest(products, standing) else {
            let because = "the rate it was sprayed at is not known";
            return Member::unavailable(key, because, None, amount.place);
        };
        Member::new(key, product, amount.place).against(label.place)
    }

    /// Of several rates the one by which the label is most surely not kept, or most nearly: none of them buys off another.
    fn surest<'v>(
        &self,
        products: impl Iterator<Item = Product<'v>>,
        standing: &Standing<'_>,
    ) -> Option<Product<'v>> {
        let beyond = |product: &Product<'v>| product.beyond(standing, self);
        products.max_by(|one, other| beyond(one).total_cmp(&beyond(other)))
    }
}

/// Why nothing is said of a product whose label counts otherwise.
pub(super) const UNLIKE: &str =
    "the label counts by weight what the tank counts by volume, or the other way round";

/// Whether a label and an amount count alike: by volume or by weight. What a product weighs nobody tells.
pub(super) fn are_alike(label: Shown, amount: Shown) -> bool {
    let of = amount.quantity.dimension();
    matches!(label.quantity.dimension(), Dimension::Per(per, _) if of == Dimension::Plain(per))
}
