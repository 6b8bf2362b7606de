//! When something on record happened, and what of one day came first.
//!
//! Records have a day and perhaps an hour meter reading, no time of day. On one day the hour meter
//! decides where both tell it; where not, a machine is taken to be worked on before it is tested, and
//! tested before it sprays, and work without hours is taken to follow the day's spraying, so that
//! nobody is accused of what the record does not show (our choice). That is an order of pairs only.

use jiff::civil::Date;

/// When something on record happened.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Moment {
    /// The day.
    pub day: Date,
    /// The seconds of use by then, counted on over every hour-meter the machine had, where the record tells them.
    pub hours: Option<f64>,
    /// What happened.
    pub event: Event,
}

/// What happened.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Event {
    /// The machine was worked on.
    Service,
    /// It was tested.
    Visit,
    /// It sprayed.
    Application,
}

impl Moment {
    /// Whether this came before the other; of two alike on one day neither did.
    pub fn is_before(&self, other: &Self) -> bool {
        if self.day != other.day {
            return self.day < other.day;
        }
        match (self.hours, other.hours) {
            (Some(own), Some(others)) if own < others => true,
            (Some(own), Some(others)) if others < own => false,
            _ => match (self.event, other.event) {
                (Event::Service, Event::Visit)
                | (Event::Visit, Event::Application)
                | (Event::Application, Event::Service) => true,
                (Event::Service, Event::Service | Event::Application)
                | (Event::Visit, Event::Visit | Event::Service)
                | (Event::Application, Event::Application | Event::Visit) => false,
            },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::Event::{Application, Service, Visit};
    use super::*;

    #[test]
    fn hours_order_a_day_and_otherwise_the_benefit_of_the_doubt() {
        let at = |hours: Option<f64>, event| Moment {
            day: jiff::civil::date(2026, 5, 2),
            hours,
            event,
        };
        for (one, other) in [
            (at(None, Service), at(None, Visit)),
            (at(Some(3.0), Service), at(None, Visit)),
            (at(None, Visit), at(None, Application)),
            (at(None, Application), at(None, Service)),
            (at(Some(3.0), Visit), at(Some(4.0), Service)),
            (at(Some(3.0), Service), at(Some(4.0), Application)),
            (at(Some(3.0), Service), at(Some(3.0), Visit)),
        ] {
            assert!(one.is_before(&other), "{one:?} {other:?}");
            assert!(!other.is_before(&one), "{other:?} {one:?}");
        }
        let alike = at(None, Visit);
        assert!(!alike.is_before(&alike));
    }
}
