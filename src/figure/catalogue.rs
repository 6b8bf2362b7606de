//! The table of all figures.

use super::about::About;
use super::form::{AnyFigure, Computed};
use super::standing::{Standing, StateStratum};
use super::view::View;
use super::visit::{ReadingsStratum, Visit};
use std::ops::Deref;

/// A figure of either stratum.
#[derive(Debug, Clone, Copy)]
pub enum Entry {
    /// From the readings of one visit.
    Readings(&'static dyn AnyFigure<ReadingsStratum>),
    /// From how a machine stands after its visits.
    State(&'static dyn AnyFigure<StateStratum>),
}

/// What figures of one stratum see.
#[derive(Debug, Clone, Copy)]
pub enum AnyView<'v> {
    /// The readings of one visit.
    Readings(&'v Visit<'v>),
    /// How a machine stands.
    State(&'v Standing<'v>),
}

impl<'v> AnyView<'v> {
    /// What figures of either stratum see.
    pub fn view(self) -> &'v dyn View {
        match self {
            Self::Readings(visit) => visit,
            Self::State(standing) => standing,
        }
    }
}

impl Entry {
    /// The figure computed for a view; none for one of the other stratum.
    pub fn compute<'v>(&self, view: AnyView<'v>) -> Option<Box<dyn Computed + 'v>> {
        match (self, view) {
            (Self::Readings(figure), AnyView::Readings(visit)) => Some(figure.compute(visit)),
            (Self::State(figure), AnyView::State(standing)) => Some(figure.compute(standing)),
            (Self::Readings(_), AnyView::State(_)) | (Self::State(_), AnyView::Readings(_)) => None,
        }
    }

    /// The names of the slots of its own.
    pub fn slot_names(&self) -> Vec<&'static str> {
        match self {
            Self::Readings(figure) => figure.slot_names(),
            Self::State(figure) => figure.slot_names(),
        }
    }
}

impl Deref for Entry {
    type Target = About;

    fn deref(&self) -> &About {
        match self {
            Self::Readings(figure) => figure.about(),
            Self::State(figure) => figure.about(),
        }
    }
}

/// Every figure. A new one is one line here and one file beside.
pub static FIGURES: &[Entry] = &[
    Entry::Readings(&super::boom_flow::NOZZLE_FIGURE),
    Entry::Readings(&super::boom_flow::MEAN_FIGURE),
    Entry::Readings(&super::boom_flow::BOOM_FIGURE),
    Entry::Readings(&super::boom_flow::RATED_FIGURE),
    Entry::Readings(&super::nozzle_off_mean::NozzleOffMean),
    Entry::Readings(&super::nozzle_off_rated::FIGURE),
    Entry::Readings(&super::mean_off_rated::FIGURE),
    Entry::Readings(&super::nozzles_not_caught::FIGURE),
    Entry::Readings(&super::catch_spread::FIGURE),
    Entry::Readings(&super::catch_duration::FIGURE),
    Entry::Readings(&super::rate_by_catch_off::RATE_FIGURE),
    Entry::Readings(&super::rate_by_catch_off::FIGURE),
    Entry::Readings(&super::meter_error::FIGURE),
    Entry::Readings(&super::factor_off::FLOW_FACTOR_FIGURE),
    Entry::Readings(&super::factor_off::SPEED_FACTOR_FIGURE),
    Entry::Readings(&super::factor_off::FLOW_FIGURE),
    Entry::Readings(&super::factor_off::SPEED_FIGURE),
    Entry::Readings(&super::not_tested_again::FIGURE),
    Entry::Readings(&super::section_off_change::FIGURE),
    Entry::Readings(&super::section_mean_off::FIGURE),
    Entry::Readings(&super::repeat_spread::FIGURE),
    Entry::Readings(&super::pressure_off_setup::FIGURE),
    Entry::Readings(&super::boom_end_drop::FIGURE),
    Entry::Readings(&super::readings_repeated::FIGURE),
    Entry::Readings(&super::factor_jump::FIGURE),
    Entry::Readings(&super::correction::FIGURE),
    Entry::Readings(&super::known_off_catch::FIGURE),
    Entry::Readings(&super::speed_off_setup::SPEED_FIGURE),
    Entry::Readings(&super::speed_off_setup::FIGURE),
    Entry::Readings(&super::run_spread::FIGURE),
    Entry::Readings(&super::course_length::FIGURE),
    Entry::Readings(&super::course_conditions::RUNS_FIGURE),
    Entry::Readings(&super::course_conditions::TANK_FIGURE),
    Entry::Readings(&super::course_conditions::SURFACE_FIGURE),
    Entry::Readings(&super::sensor_error::FIGURE),
    Entry::Readings(&super::balance_conditions::NOT_TESTED_FIGURE),
    Entry::Readings(&super::balance_conditions::AUTOMATIC_FIGURE),
    Entry::Readings(&super::true_rate_off::FIGURE),
    Entry::State(&super::records::unknown_people::UnknownPeople),
    Entry::Readings(&super::records::unknown_instruments::UnknownInstruments),
    Entry::Readings(&super::records::instrument_age::InstrumentAge),
    Entry::State(&super::records::date_unlike_name::DateUnlikeName),
    Entry::State(&super::records::days_before_service::DaysBeforeService),
    Entry::State(&super::records::hours_back::HoursBack),
    Entry::Readings(&super::records::preparation::PreparationLacking),
    Entry::State(&super::state::entered_width_off::EnteredWidthOff),
    Entry::State(&super::state::density_off::DensityFactorOff),
    Entry::State(&super::records::days_ahead::DaysAhead),
    Entry::State(&super::state::step_age::StepAge),
    Entry::State(&super::state::step_hours::StepHours),
    Entry::State(&super::state::step_applications::StepApplications),
    Entry::State(&super::state::step_void::StepVoid),
    Entry::State(&super::state::step_to_re_check::StepToReCheck),
    Entry::State(&super::applications::sprayed_while_void::SprayedWhileVoid),
    Entry::State(&super::applications::sprayed_while_failing::SprayedWhileFailing),
    Entry::State(&super::applications::age_when_sprayed::AgeWhenSprayed),
    Entry::State(&super::applications::rate_applied::RateApplied),
    Entry::State(&super::applications::rate_applied_off::RateAppliedOff),
    Entry::State(&super::applications::product_of_label::ProductOfLabel::Most),
    Entry::State(&super::applications::product_of_label::ProductOfLabel::Least),
    Entry::State(&super::applications::mix_density::MixDensityOff),
    Entry::State(&super::state::wear_hours_left::WearHoursLeft),
    Entry::State(&super::records::landed_altered::LandedAltered),
    Entry::State(&super::records::landed_deleted::LandedDeleted),
];

/// The figure with a name, and its place in the table.
pub fn find(id: &str) -> Option<(usize, &'static Entry)> {
    FIGURES.iter().enumerate().find(|(_, entry)| entry.id == id)
}
