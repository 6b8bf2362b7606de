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
    Entry::Readings(&super::catch::nozzle_flow::NozzleFlow),
    Entry::Readings(&super::catch::mean_flow::MeanFlow),
    Entry::Readings(&super::catch::boom_flow::BoomFlow),
    Entry::Readings(&super::catch::rated_flow::RatedFlow),
    Entry::Readings(&super::catch::nozzle_off_mean::NozzleOffMean),
    Entry::Readings(&super::catch::nozzle_off_rated::NozzleOffRated),
    Entry::Readings(&super::catch::mean_off_rated::MeanOffRated),
    Entry::Readings(&super::catch::nozzles_not_caught::NozzlesNotCaught),
    Entry::Readings(&super::catch::catch_spread::CatchSpread),
    Entry::Readings(&super::catch::catch_duration::CatchDuration),
    Entry::Readings(&super::rate::rate_by_catch::RateByCatch),
    Entry::Readings(&super::rate::rate_by_catch_off::RateByCatchOff),
    Entry::Readings(&super::meter_error::FIGURE),
    Entry::Readings(&super::factor_off::FLOW_FACTOR_FIGURE),
    Entry::Readings(&super::factor_off::SPEED_FACTOR_FIGURE),
    Entry::Readings(&super::factor_off::FLOW_FIGURE),
    Entry::Readings(&super::factor_off::SPEED_FIGURE),
    Entry::Readings(&super::not_tested_again::FIGURE),
    Entry::Readings(&super::balance::section_off_change::SectionOffChange),
    Entry::Readings(&super::catch::section_mean_off::SectionMeanOff),
    Entry::Readings(&super::catch::repeat_spread::RepeatSpread),
    Entry::Readings(&super::catch::pressure_off_setup::PressureOffSetup),
    Entry::Readings(&super::catch::boom_end_drop::BoomEndDrop),
    Entry::Readings(&super::catch::readings_repeated::ReadingsRepeated),
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
    Entry::Readings(&super::balance::sections_not_tested::SectionsNotTested),
    Entry::Readings(&super::balance::automatic_control::AutomaticControl),
    Entry::Readings(&super::true_rate_off::FIGURE),
    Entry::State(&super::unknown_people::FIGURE),
    Entry::Readings(&super::unknown_instruments::FIGURE),
    Entry::Readings(&super::instrument_age::FIGURE),
    Entry::State(&super::record_dates::NAME_FIGURE),
    Entry::State(&super::record_dates::SERVICE_FIGURE),
    Entry::State(&super::record_dates::HOURS_FIGURE),
    Entry::Readings(&super::preparation::FIGURE),
    Entry::State(&super::entered_width_off::FIGURE),
    Entry::State(&super::density_off::FIGURE),
    Entry::State(&super::days_ahead::FIGURE),
    Entry::State(&super::step_age::StepAge),
    Entry::State(&super::step_use::HOURS_FIGURE),
    Entry::State(&super::step_use::APPLICATIONS_FIGURE),
    Entry::State(&super::step_undone::VOID_FIGURE),
    Entry::State(&super::step_undone::RE_CHECK_FIGURE),
    Entry::State(&super::sprayed_while::VOID_FIGURE),
    Entry::State(&super::sprayed_while::FAILING_FIGURE),
    Entry::State(&super::sprayed_while::AGE_FIGURE),
    Entry::State(&super::rate_applied::RATE_FIGURE),
    Entry::State(&super::rate_applied::FIGURE),
    Entry::State(&super::product_rate::MAXIMUM_FIGURE),
    Entry::State(&super::product_rate::MINIMUM_FIGURE),
    Entry::State(&super::mix_density::FIGURE),
    Entry::State(&super::wear_hours_left::FIGURE),
    Entry::State(&super::landed::ALTERED_FIGURE),
    Entry::State(&super::landed::DELETED_FIGURE),
];

/// The figure with a name, and its place in the table.
pub fn find(id: &str) -> Option<(usize, &'static Entry)> {
    FIGURES.iter().enumerate().find(|(_, entry)| entry.id == id)
}
