//! One formula, three arithmetics: binary floating point, the same with sensitivities, exact rationals.
//!
//! A figure is written once over [`Number`]. A plain `f64` serves wherever the value alone is asked
//! for; [`Measure`] where its uncertainty is; [`Rational`] where it lies so near a limit that
//! floating point cannot tell them apart. The value of a [`Measure`] is that of the `f64` to the bit.

use super::parts::{Part, Parts};
use super::primitive::{PrimitiveId, Primitives};
use crate::quantity::Exact;
use jiff::civil::Date;
use num_bigint::BigInt;
use num_traits::{Signed, Zero};
use std::cell::OnceCell;
use std::cmp::Ordering;

/// What a formula needs of its arithmetic.
pub trait Number: Clone {
    /// A primitive input.
    fn input(primitives: &Primitives, id: PrimitiveId) -> Self;
    /// A whole number that is exact.
    fn whole(n: u32) -> Self;
    /// The sum of all terms.
    fn sum<'t>(terms: impl IntoIterator<Item = &'t Self>) -> Self
    where
        Self: 't;
    /// The sum.
    #[must_use]
    fn plus(&self, other: &Self) -> Self;
    /// The difference.
    #[must_use]
    fn minus(&self, other: &Self) -> Self;
    /// The product.
    #[must_use]
    fn times(&self, other: &Self) -> Self;
    /// The quotient; callers rule out a divisor of zero.
    #[must_use]
    fn over(&self, other: &Self) -> Self;
    /// The square root of a value that is not negative.
    #[must_use]
    fn root(&self) -> Self;
    /// One, with its relative error; callers rule out a value of zero.
    #[must_use]
    fn relative(&self) -> Self;
    /// Which is greater.
    fn compare(&self, other: &Self) -> Ordering;
    /// Whether it is nothing.
    fn is_zero(&self) -> bool;
    /// Where the flows of a catch are kept in this arithmetic.
    fn kept(flows: &KeptFlows) -> &Kept<Self>;

    /// The arithmetic mean of one term or more.
    fn mean<'t>(terms: impl IntoIterator<Item = &'t Self>) -> Self
    where
        Self: 't,
    {
        let mut count = 0;
        let sum = Self::sum(terms.into_iter().inspect(|_| count += 1));
        sum.over(&Self::whole(count))
    }

    /// How far it is off `reference`, relative to `reference`.
    #[must_use]
    fn off(&self, reference: &Self) -> Self {
        self.over(reference).minus(&Self::whole(1))
    }
}

/// So many days, in seconds as limits are.
pub(super) fn days<N: Number>(count: u32) -> N {
    const SECONDS_A_DAY: u32 = 86_400;
    N::whole(count).times(&N::whole(SECONDS_A_DAY))
}

/// Whole days from one day to another; nothing where the other is earlier.
pub(super) fn days_between<N: Number>(from: Date, to: Date) -> N {
    let between = to.since(from).map_or(0, |span| span.get_days());
    days(u32::try_from(between).unwrap_or(0))
}

/// The flow of each nozzle of a catch, where it was caught, in each arithmetic.
///
/// Most figures of a catch stand on them, so they are computed once, when first asked for.
#[derive(Debug, Default)]
pub struct KeptFlows {
    values: Kept<f64>,
    measures: Kept<Measure>,
    exact: Kept<Rational>,
}

/// What is kept of a catch in one arithmetic.
#[derive(Debug)]
pub struct Kept<N> {
    /// By nozzle; none where it was not caught.
    pub(super) flows: OnceCell<Vec<Option<N>>>,
    /// The mean of those that pass anything; none where none does.
    pub(super) mean: OnceCell<Option<N>>,
}

impl<N> Default for Kept<N> {
    fn default() -> Self {
        Self {
            flows: OnceCell::new(),
            mean: OnceCell::new(),
        }
    }
}

impl Number for f64 {
    fn input(primitives: &Primitives, id: PrimitiveId) -> Self {
        primitives.get(id).value
    }

    fn whole(n: u32) -> Self {
        Self::from(n)
    }

    fn sum<'t>(terms: impl IntoIterator<Item = &'t Self>) -> Self {
        terms.into_iter().fold(0.0, |sum, term| sum + term)
    }

    fn plus(&self, other: &Self) -> Self {
        self + other
    }

    fn minus(&self, other: &Self) -> Self {
        self - other
    }

    fn times(&self, other: &Self) -> Self {
        self * other
    }

    fn over(&self, other: &Self) -> Self {
        self / other
    }

    fn root(&self) -> Self {
        self.sqrt()
    }

    fn relative(&self) -> Self {
        1.0
    }

    fn compare(&self, other: &Self) -> Ordering {
        self.total_cmp(other)
    }

    fn is_zero(&self) -> bool {
        self.abs() <= 0.0
    }

    fn kept(flows: &KeptFlows) -> &Kept<Self> {
        &flows.values
    }
}

/// A value with its first-order sensitivity to each primitive input (JCGM 100:2008, 5.1.2).
///
/// An input without uncertainty stays among the parts: it is provenance.
#[derive(Clone, Debug, PartialEq)]
pub struct Measure {
    value: f64,
    /// Ordered by primitive, each once.
    parts: Parts,
}

impl Measure {
    /// The value, in SI units or as a ratio.
    pub fn value(&self) -> f64 {
        self.value
    }

    /// The partial derivative by each primitive it stands on.
    pub fn parts(&self) -> &[(PrimitiveId, f64)] {
        &self.parts
    }

    /// Its standard uncertainty: the root of the sum of squared contributions.
    pub fn standard_uncertainty(&self, primitives: &Primitives) -> f64 {
        let variance: f64 = self
            .parts
            .iter()
            .map(|&(id, sensitivity)| {
                let contribution = sensitivity * primitives.get(id).uncertainty;
                contribution * contribution
            })
            .sum();
        variance.sqrt()
    }

    /// The covariance with another measure: what both share of each primitive.
    pub fn covariance(&self, other: &Self, primitives: &Primitives) -> f64 {
        let mut others = other.parts.iter().peekable();
        let mut covariance = 0.0;
        for &(id, sensitivity) in self.parts.iter() {
            while others.next_if(|part| part.0 < id).is_some() {}
            if let Some(&(_, theirs)) = others.next_if(|part| part.0 == id) {
                let uncertainty = primitives.get(id).uncertainty;
                covariance += sensitivity * theirs * uncertainty * uncertainty;
            }
        }
        covariance
    }

    fn linear(value: f64, one: &Self, by_one: f64, other: &Self, by_other: f64) -> Self {
        let mut parts = Parts::with_room_for(one.parts.len() + other.parts.len());
        let (mut ones, mut others): (&[Part], &[Part]) = (&one.parts, &other.parts);
        while let ([left, left_rest @ ..], [right, right_rest @ ..]) = (ones, others) {
            let (of_left, of_right) = (by_one * left.1, by_other * right.1);
            let part = match left.0.cmp(&right.0) {
                Ordering::Less => (left.0, of_left),
                Ordering::Equal => (left.0, of_left + of_right),
                Ordering::Greater => (right.0, of_right),
            };
            parts.push(part);
            if left.0 <= right.0 {
                ones = left_rest;
            }
            if right.0 <= left.0 {
                others = right_rest;
            }
        }
        for &(id, sensitivity) in ones {
            parts.push((id, by_one * sensitivity));
        }
        for &(id, sensitivity) in others {
            parts.push((id, by_other * sensitivity));
        }
        Self { value, parts }
    }

    fn scaled(value: f64, of: &Self, by: f64) -> Self {
        let parts = of.parts.iter().map(|&(id, s)| (id, by * s)).collect();
        Self { value, parts }
    }
}

impl Number for Measure {
    fn input(primitives: &Primitives, id: PrimitiveId) -> Self {
        Self {
            value: primitives.get(id).value,
            parts: Parts::from_iter([(id, 1.0)]),
        }
    }

    fn whole(n: u32) -> Self {
        Self {
            value: f64::from(n),
            parts: Parts::from_iter([]),
        }
    }

    /// All at once: adding pair by pair is quadratic in the parts.
    fn sum<'t>(terms: impl IntoIterator<Item = &'t Self>) -> Self {
        let mut value = 0.0;
        let mut parts: Vec<Part> = Vec::new();
        for term in terms {
            value += term.value;
            parts.extend_from_slice(&term.parts);
        }
        parts.sort_by_key(|part| part.0);
        let mut sums = Parts::with_room_for(parts.len());
        for alike in parts.chunk_by(|one, next| one.0 == next.0) {
            sums.push((alike[0].0, alike.iter().map(|part| part.1).sum()));
        }
        Self { value, parts: sums }
    }

    fn plus(&self, other: &Self) -> Self {
        Self::linear(self.value + other.value, self, 1.0, other, 1.0)
    }

    fn minus(&self, other: &Self) -> Self {
        let value = self.value - other.value;
        if other.parts.is_empty() {
            return Self {
                value,
                parts: self.parts.clone(),
            };
        }
        Self::linear(value, self, 1.0, other, -1.0)
    }

    fn times(&self, other: &Self) -> Self {
        Self::linear(
            self.value * other.value,
            self,
            other.value,
            other,
            self.value,
        )
    }

    fn over(&self, other: &Self) -> Self {
        let value = self.value / other.value;
        if other.parts.is_empty() {
            return Self::scaled(value, self, 1.0 / other.value);
        }
        Self::linear(value, self, 1.0 / other.value, other, -value / other.value)
    }

    /// The sensitivities of the quotient are those of the difference.
    fn off(&self, reference: &Self) -> Self {
        let quotient = self.over(reference);
        Self {
            value: quotient.value - 1.0,
            parts: quotient.parts,
        }
    }

    fn root(&self) -> Self {
        let value = self.value.sqrt();
        Self::scaled(value, self, 1.0 / (2.0 * value))
    }

    fn relative(&self) -> Self {
        Self::scaled(1.0, self, 1.0 / self.value)
    }

    fn compare(&self, other: &Self) -> Ordering {
        self.value.total_cmp(&other.value)
    }

    fn is_zero(&self) -> bool {
        self.value.abs() <= 0.0
    }

    fn kept(flows: &KeptFlows) -> &Kept<Self> {
        &flows.measures
    }
}

/// An exact value of any size; none for the root of what is no square, or over zero.
///
/// The root of a non-square is irrational and cannot tie with a limit, so floating point may judge it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Rational(Option<Exact>);

impl Rational {
    /// The value, where it has an exact one.
    pub fn value(&self) -> Option<&Exact> {
        self.0.as_ref()
    }

    fn with(&self, other: &Self, apply: impl FnOnce(&Exact, &Exact) -> Exact) -> Self {
        Self(
            self.0
                .as_ref()
                .zip(other.0.as_ref())
                .map(|(a, b)| apply(a, b)),
        )
    }
}

fn whole_root(n: &BigInt) -> Option<BigInt> {
    if n.is_negative() {
        return None;
    }
    let root = n.sqrt();
    (&root * &root == *n).then_some(root)
}

impl Number for Rational {
    fn input(primitives: &Primitives, id: PrimitiveId) -> Self {
        Self(Some(primitives.get(id).exact()))
    }

    fn whole(n: u32) -> Self {
        Self(Some(Exact::from_integer(n.into())))
    }

    fn sum<'t>(terms: impl IntoIterator<Item = &'t Self>) -> Self {
        terms
            .into_iter()
            .fold(Self::whole(0), |sum, term| sum.plus(term))
    }

    fn plus(&self, other: &Self) -> Self {
        self.with(other, |a, b| a + b)
    }

    fn minus(&self, other: &Self) -> Self {
        self.with(other, |a, b| a - b)
    }

    fn times(&self, other: &Self) -> Self {
        self.with(other, |a, b| a * b)
    }

    fn over(&self, other: &Self) -> Self {
        if other.is_zero() {
            return Self(None);
        }
        self.with(other, |a, b| a / b)
    }

    fn root(&self) -> Self {
        let root = self.0.as_ref().and_then(|value| {
            Some(Exact::new(
                whole_root(value.numer())?,
                whole_root(value.denom())?,
            ))
        });
        Self(root)
    }

    fn relative(&self) -> Self {
        Self::whole(1)
    }

    fn compare(&self, other: &Self) -> Ordering {
        self.0.cmp(&other.0)
    }

    fn is_zero(&self) -> bool {
        self.0.as_ref().is_some_and(Zero::is_zero)
    }

    fn kept(flows: &KeptFlows) -> &Kept<Self> {
        &flows.exact
    }
}
