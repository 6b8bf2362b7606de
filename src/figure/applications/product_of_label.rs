//! How much of a product a tank puts on an area at the true rate, beside what its label asks for.

use crate::fact::Fact;
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::form::{FactOf, Figure};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::standing::{Mixed, Spraying, Standing, StateStratum};
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
    formula: "amount x true rate / tank / most by label",
    source: "area per tank = tank / rate; product per area = amount / area per tank",
    shown_as: ShownAs::Percent,
    family: Family::Record,
    step: None,
    cases: &[],
};

static ABOUT_LEAST: About = About {
    id: "product-of-minimum",
    title: "how much of a product is put on an area, in percent of the least its label asks for",
    formula: "amount x true rate / tank / least by label",
    source: "area per tank = tank / rate; product per area = amount / area per tank",
    shown_as: ShownAs::Percent,
    family: Family::Record,
    step: None,
    cases: &[],
};

/// A product in a tank that was sprayed at a known rate.
pub(crate) struct Product<'v> {
    mixed: &'v Mixed,
    label: Shown,
    /// The setup's rate.
    rate: Shown,
    /// How far the last calibration before found it off.
    off: Option<Shown>,
}

impl Product<'_> {
    fn true_rate<N: Number>(&self, standing: &Standing<'_>) -> N {
        let input = |shown: &Shown| N::input(&standing.primitives, shown.id);
        let rate = input(&self.rate);
        match &self.off {
            Some(off) => rate.times(&N::whole(1).plus(&input(off))),
            None => rate,
        }
    }

    /// The volume of what is in the tank.
    fn tank<N: Number>(&self, standing: &Standing<'_>) -> N {
        let contents = self.mixed.tank.iter();
        let contents: Vec<N> = contents
            .map(|content| N::input(&standing.primitives, content.id))
            .collect();
        N::sum(&contents)
    }

    fn per_area<N: Number>(&self, standing: &Standing<'_>) -> N {
        let amount = N::input(&standing.primitives, self.mixed.amount.id);
        let on_all = amount.times(&self.true_rate(standing));
        on_all.over(&self.tank(standing))
    }

    /// What it puts on an area, in the unit of the label.
    fn per_area_shown(&self, standing: &Standing<'_>) -> Fact {
        Fact::computed(self.per_area(standing), self.label.quantity.unit)
    }

    /// The true rate, in the unit of the setup's.
    fn true_rate_shown(&self, standing: &Standing<'_>) -> Fact {
        Fact::computed(self.true_rate(standing), self.rate.quantity.unit)
    }

    /// What should have gone into the tank to put down what the label says.
    fn right_amount(&self, standing: &Standing<'_>) -> Fact {
        let amount = self.mixed.amount.quantity;
        let right = amount.si() * self.label.quantity.si() / self.per_area::<f64>(standing);
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
            Some(product.true_rate_shown(standing))
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
                members.push(member(key, spraying, mixed, label));
            }
        }
        members
    }

    fn value<'v, N: Number>(&self, standing: &'v Standing<'v>, product: &Product<'v>) -> Option<N> {
        let label = N::input(&standing.primitives, product.label.id);
        Some(product.per_area::<N>(standing).over(&label))
    }

    fn working<'v>(&self, standing: &'v Standing<'v>, product: &Product<'v>) -> Option<Working> {
        let by = match product.off {
            Some(_) => "by the last calibration",
            None => "by the setup",
        };
        let amount = product.mixed.amount.quantity;
        let water = product.mixed.tank.first()?.quantity;
        let shown = [
            Fact::Written(amount),
            Fact::computed(product.tank(standing), water.unit),
            product.true_rate_shown(standing),
            Fact::Words(by),
        ];
        let per_area = product.per_area(standing);
        let put_down = Expression::number(per_area, Fact::phrase("{} in {} at {} {}", shown));
        let per_area = Expression::number(per_area, product.per_area_shown(standing));
        let share = per_area.over(product.label.as_written());
        let percent = Fact::percent(share.evaluate(), 1);
        Some(Working::of(put_down, product.per_area_shown(standing)).then(share, percent))
    }

    fn read<'v>(&self, _: &'v Standing<'v>, product: &Product<'v>) -> Option<Fact> {
        Some(Fact::Written(product.mixed.amount.quantity))
    }

    fn held_against(&self) -> &'static str {
        match self {
            Self::Most => "the most by label",
            Self::Least => "the least by label",
        }
    }
}

fn member<'v>(
    key: Key,
    spraying: &'v Spraying<'v>,
    mixed: &'v Mixed,
    label: Shown,
) -> Member<Product<'v>> {
    let place = mixed.amount.place;
    let amount = &mixed.amount.quantity;
    // By volume a label wants a volume, by weight a weight: what it weighs nobody tells.
    let wanted = label.quantity.dimension();
    let alike =
        matches!(wanted, Dimension::Per(of, _) if amount.dimension() == Dimension::Plain(of));
    match (spraying.rate, alike) {
        (None, _) => {
            let because = "the rate it was sprayed at is not known";
            Member::unavailable(key, because, None, place)
        }
        (_, false) => {
            let because =
                "the label counts by weight what the tank counts by volume, or the other way round";
            Member::unavailable(key, because, Some(label.place), place)
        }
        (Some(rate), true) => {
            let product = Product {
                mixed,
                label,
                rate,
                off: spraying.off,
            };
            Member::new(key, product, place).against(label.place)
        }
    }
}
