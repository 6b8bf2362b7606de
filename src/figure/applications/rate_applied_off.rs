//! How far the rate of a setup's last applications together is off the setup's.

use super::measured::Measured;
use crate::fact::Fact;
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::form::{FactOf, Figure};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::standing::{Spraying, Standing, StateStratum};
use crate::outcome::Key;
use crate::record::application::VolumeBy;
use crate::working::{Expression, Working};

/// So many applications are judged together (our choice: one alone says more of its map than of the
/// machine).
const TOGETHER: usize = 5;

/// The figure.
pub(crate) struct RateAppliedOff;

static ABOUT: About = About {
    id: "rate-applied-off",
    title: "how far the rate of a setup's last five applications together is off the setup's",
    formula: "sum of volumes / sum of (area x rate of the setup) - 1",
    source: "by definition",
    shown_as: ShownAs::Percent,
    family: Family::Setup,
    step: None,
    cases: &[],
};

/// The last applications with a setup, all at one rate of it.
pub(crate) struct Together<'v> {
    last: Measured<'v>,
    /// All of them, earliest first.
    all: Vec<Measured<'v>>,
}

impl<'v> Together<'v> {
    /// Those that tell area and volume; not those whose volume the console counted.
    fn with_setup(standing: &'v Standing<'v>, setup: u16) -> Option<Self> {
        let latest_first = standing.sprayings.iter().rev();
        let with_setup = latest_first.filter(|spraying| {
            let own = spraying.setup.map(|(index, _)| index);
            own == Some(setup) && !is_by_console(spraying)
        });
        let mut measured = with_setup.filter_map(Measured::of);
        let last = measured.next()?;
        // Another rate of the setup begins anew.
        let before = measured.take_while(|one| one.rate.place == last.rate.place);
        let mut all = vec![last];
        all.extend(before.take(TOGETHER - 1));
        all.reverse();
        Some(Self { last, all })
    }

    fn volume<N: Number>(&self, standing: &Standing<'_>) -> N {
        let volumes: Vec<N> = self.all.iter().map(|one| one.volume(standing)).collect();
        N::sum(&volumes)
    }

    fn area<N: Number>(&self, standing: &Standing<'_>) -> N {
        let areas: Vec<N> = self.all.iter().map(|one| one.area(standing)).collect();
        N::sum(&areas)
    }

    /// What should have been put down.
    fn meant<N: Number>(&self, standing: &Standing<'_>) -> N {
        let meant = self.all.iter().map(|one| {
            let rate = N::input(&standing.primitives, one.rate.id);
            one.area::<N>(standing).times(&rate)
        });
        let meant: Vec<N> = meant.collect();
        N::sum(&meant)
    }

    /// The rate they put down.
    fn rate(&self, standing: &Standing<'_>) -> f64 {
        self.volume::<f64>(standing) / self.area::<f64>(standing)
    }

    /// That rate in the unit of the setup's.
    fn rate_shown(&self, standing: &Standing<'_>) -> Fact {
        Fact::computed(self.rate(standing), self.last.rate.quantity.unit)
    }
}

/// Whether the volume is the console's own, which is what it aims at and proves nothing of it.
fn is_by_console(spraying: &Spraying<'_>) -> bool {
    let by = spraying.application.volume_by.map(|by| by.value);
    by == Some(VolumeBy::Console)
}

impl Figure for RateAppliedOff {
    type Stratum = StateStratum;
    type Evidence<'v> = Together<'v>;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] = &[
        ("setup-rate", |_, together| {
            Some(Fact::Written(together.last.rate.quantity))
        }),
        ("applications", |_, together| {
            Some(match together.all.len() {
                1 => Fact::Words("the only application"),
                count => Fact::phrase("the last {}", [applications(count)]),
            })
        }),
        ("rate", |standing, together| {
            Some(together.rate_shown(standing))
        }),
    ];

    fn about(&self) -> &About {
        &ABOUT
    }

    /// A setup that nobody sprayed with, or of which no record tells area and volume, has no member.
    fn members<'v>(&self, standing: &'v Standing<'v>) -> Vec<Member<Together<'v>>> {
        let setups = (0_u16..).zip(&standing.subject.machine.setups);
        setups
            .filter_map(|(setup, _)| {
                let together = Together::with_setup(standing, setup)?;
                let last = together.last;
                let key = Key {
                    record: Some(last.spraying.application.file),
                    setup: Some(setup),
                    ..Key::of_machine(standing.subject.index)
                };
                let member = Member::new(key, together, last.volume.reading.place);
                Some(member.against(last.rate.place))
            })
            .collect()
    }

    fn value<'v, N: Number>(
        &self,
        standing: &'v Standing<'v>,
        together: &Together<'v>,
    ) -> Option<N> {
        let volume: N = together.volume(standing);
        Some(volume.off(&together.meant(standing)))
    }

    fn working<'v>(&self, standing: &'v Standing<'v>, together: &Together<'v>) -> Option<Working> {
        let last = &together.last;
        let shown = [
            Fact::computed(together.volume(standing), last.volume.reading.quantity.unit),
            Fact::computed(together.area(standing), last.area.reading.quantity.unit),
            applications(together.all.len()),
        ];
        let (rate, rate_shown) = (together.rate(standing), together.rate_shown(standing));
        let put_down = Expression::number(rate, Fact::phrase("{} over {} in {}", shown));
        let off = Expression::number(rate, rate_shown.clone()).off(last.rate.as_written());
        let deviation = Fact::deviation(off.evaluate());
        Some(Working::of(put_down, rate_shown).then(off, deviation))
    }

    fn read<'v>(&self, _: &'v Standing<'v>, _: &Together<'v>) -> Option<Fact> {
        Some(Fact::Words("the last of them"))
    }

    fn held_against(&self) -> &'static str {
        "the target"
    }
}

fn applications(count: usize) -> Fact {
    let noun = "application";
    Fact::Count { count, noun }
}
