//! One member of a figure's family: where it holds, its value or why there is none, and what it stands on.

use crate::outcome::{Key, Unavailable};
use crate::source::Place;
use jiff::civil::Date;

/// One member of a figure's family.
///
/// `T` is its value, or the evidence that its value is computed from.
#[derive(Debug, Clone)]
pub struct Member<T> {
    /// Where it holds.
    pub key: Key,
    /// The value, or why there is none.
    pub value: Result<T, Unavailable>,
    /// What was read.
    pub subject: Place,
    /// What it is held against, where that stands in a file.
    pub against: Option<Place>,
    /// A case of its own that messages and help may tell apart.
    pub case: Option<&'static str>,
    /// The day a limit in months counts from.
    pub anchor: Option<Date>,
    /// Whether what it tells of was put right since, so that it is worth knowing and no more.
    pub is_put_right: bool,
}

impl<T> Member<T> {
    /// A member with a value.
    pub fn new(key: Key, value: T, subject: Place) -> Self {
        Self::with(key, Ok(value), subject)
    }

    /// A member whose value cannot be computed.
    pub fn unavailable(
        key: Key,
        because: impl Into<String>,
        place: Option<Place>,
        subject: Place,
    ) -> Self {
        let unavailable = Unavailable {
            because: because.into(),
            place,
        };
        Self::with(key, Err(unavailable), subject)
    }

    fn with(key: Key, value: Result<T, Unavailable>, subject: Place) -> Self {
        Self {
            key,
            value,
            subject,
            against: None,
            case: None,
            anchor: None,
            is_put_right: false,
        }
    }

    /// The same, with something else made of what it is computed from.
    pub(super) fn map<U>(self, make: impl FnOnce(T) -> U) -> Member<U> {
        let Self {
            key,
            value,
            subject,
            against,
            case,
            anchor,
            is_put_right,
        } = self;
        Member {
            key,
            value: value.map(make),
            subject,
            against,
            case,
            anchor,
            is_put_right,
        }
    }

    /// The same, held against what stands at a place.
    #[must_use]
    pub fn against(mut self, place: Place) -> Self {
        self.against = Some(place);
        self
    }

    /// The same in a case of its own.
    #[must_use]
    pub fn in_case(mut self, case: Option<&'static str>) -> Self {
        self.case = case;
        self
    }

    /// The same, put right since or not; where it was, in the case `done-again`.
    #[must_use]
    pub fn put_right(mut self, is_put_right: bool) -> Self {
        self.is_put_right = is_put_right;
        self.case = if is_put_right {
            Some("done-again")
        } else {
            self.case
        };
        self
    }

    /// The same, counted from a day.
    #[must_use]
    pub fn counted_from(mut self, day: Date) -> Self {
        self.anchor = Some(day);
        self
    }

    /// The member with its value beside, where it has one, or with none where that cannot be computed.
    pub(super) fn split<N>(self, value: impl FnOnce(&T) -> Option<N>) -> (Member<N>, Option<T>) {
        let Self {
            key,
            value: of,
            subject,
            against,
            case,
            anchor,
            is_put_right,
        } = self;
        let (value, of) = match of {
            Ok(of) => match value(&of) {
                Some(value) => (Ok(value), Some(of)),
                None => (Err(Unavailable::not_computed()), None),
            },
            Err(unavailable) => (Err(unavailable), None),
        };
        let member = Member {
            key,
            value,
            subject,
            against,
            case,
            anchor,
            is_put_right,
        };
        (member, of)
    }
}
