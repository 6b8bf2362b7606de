//! The table of all figures.

use super::about::{About, OfComparison};
use super::form::{AnyFigure, Computed};
use super::standing::{Standing, StateStratum};
use super::view::View;
use super::visit::{ReadingsStratum, Visit};
use std::ops::Deref;

/// A figure of either stratum, or of neither.
#[derive(Debug, Clone, Copy)]
pub enum Entry {
    /// From the readings of one visit.
    Readings(&'static dyn AnyFigure<ReadingsStratum>),
    /// From how a machine stands after its visits.
    State(&'static dyn AnyFigure<StateStratum>),
    /// Of what a group asks, from how it is and how it was; no machine shows it.
    Comparison(&'static OfComparison),
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
    /// The figure computed for a view; none for one of the other stratum, or of none.
    pub fn compute<'v>(&self, view: AnyView<'v>) -> Option<Box<dyn Computed + 'v>> {
        match (self, view) {
            (Self::Readings(figure), AnyView::Readings(visit)) => Some(figure.compute(visit)),
            (Self::State(figure), AnyView::State(standing)) => Some(figure.compute(standing)),
            (Self::Readings(_), AnyView::State(_))
            | (Self::State(_), AnyView::Readings(_))
            | (Self::Comparison(_), _) => None,
        }
    }

    /// The names of the slots of its own.
    pub fn slot_names(&self) -> Vec<&'static str> {
        match self {
            Self::Readings(figure) => figure.slot_names(),
            Self::State(figure) => figure.slot_names(),
            Self::Comparison(figure) => figure.slots.to_vec(),
        }
    }
}

impl Deref for Entry {
    type Target = About;

    fn deref(&self) -> &About {
        match self {
            Self::Readings(figure) => figure.about(),
            Self::State(figure) => figure.about(),
            Self::Comparison(figure) => &figure.about,
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
    Entry::Readings(&super::catch::retests::RETESTS_SCALED),
    Entry::Readings(&super::catch::retests::RETESTS_NOT_COUNTED),
    Entry::Readings(&super::catch::nozzle_not_retested::NozzleNotRetested),
    Entry::Readings(&super::catch::catch_spread::CatchSpread),
    Entry::Readings(&super::catch::catch_duration::CatchDuration),
    Entry::Readings(&super::rate::rate_by_catch::RateByCatch),
    Entry::Readings(&super::rate::rate_by_catch_off::RateByCatchOff),
    Entry::Readings(&super::meter::meter_error::MeterError),
    Entry::Readings(&super::factor::computed_factor::COMPUTED_FLOW_FACTOR),
    Entry::Readings(&super::factor::computed_factor::COMPUTED_SPEED_FACTOR),
    Entry::Readings(&super::factor::factor_off::FLOW_FACTOR_OFF),
    Entry::Readings(&super::factor::factor_off::SPEED_FACTOR_OFF),
    Entry::Readings(&super::factor::not_tested_again::NotTestedAgain),
    Entry::Readings(&super::balance::section_off_change::SectionOffChange),
    Entry::Readings(&super::catch::section_mean_off::SectionMeanOff),
    Entry::Readings(&super::catch::repeat_spread::RepeatSpread),
    Entry::Readings(&super::catch::pressure_off_setup::PressureOffSetup),
    Entry::Readings(&super::catch::boom_end_drop::BoomEndDrop),
    Entry::Readings(&super::catch::readings_repeated::ReadingsRepeated),
    Entry::Readings(&super::factor::factor_jump::FactorJump),
    Entry::Readings(&super::factor::correction::Correction),
    Entry::Readings(&super::meter::known_off_catch::KNOWN_OFF_CATCH),
    Entry::Readings(&super::meter::known_off_catch::WORKED_OUT_OFF_CATCH),
    Entry::Readings(&super::speed::true_speed::TrueSpeed),
    Entry::Readings(&super::speed::speed_off_setup::SpeedOffSetup),
    Entry::Readings(&super::speed::run_spread::RunSpread),
    Entry::Readings(&super::speed::course_length::CourseLength),
    Entry::Readings(&super::speed::runs_driven::RunsDriven),
    Entry::Readings(&super::speed::tank_not_half::TankNotHalf),
    Entry::Readings(&super::speed::surface_hard::SurfaceHard),
    Entry::Readings(&super::speed::sensor_error::SensorError),
    Entry::Readings(&super::balance::sections_not_tested::SectionsNotTested),
    Entry::Readings(&super::balance::automatic_control::AutomaticControl),
    Entry::Readings(&super::balance::entered_speed_off_setup::EnteredSpeedOffSetup),
    Entry::Readings(&super::balance::all_on_off_setup::AllOnOffSetup),
    Entry::Readings(&super::rate::true_rate_off::TrueRateOff),
    Entry::Readings(&super::bounds::of_visit::BEYOND_JUG),
    Entry::Readings(&super::bounds::of_visit::BEYOND_GAUGE),
    Entry::Readings(&super::bounds::of_visit::KNOWN_VOLUME_BEYOND_TANK),
    Entry::State(&super::bounds::of_record::FilledBeyondTank),
    Entry::State(&super::records::unknown_people::UnknownPeople),
    Entry::State(&super::records::unknown_instruments::UnknownInstruments),
    Entry::Readings(&super::records::instrument_age::InstrumentAge),
    Entry::State(&super::records::date_unlike_name::DateUnlikeName),
    Entry::State(&super::records::days_before_service::DaysBeforeService),
    Entry::State(&super::records::hours_back::HoursBack),
    Entry::State(&super::records::hours_a_day::HoursADay),
    Entry::Readings(&super::records::preparation::PreparationLacking),
    Entry::Readings(&super::records::preparation::UnsafePreparation),
    Entry::Readings(&super::records::signing::MAY_NOT_SIGN),
    Entry::Readings(&super::records::signing::NOT_CHECKED_BY_ANOTHER),
    Entry::State(&super::state::fitted_off_setup::FittedOffSetup),
    Entry::State(&super::state::density_factor_lacking::DensityFactorLacking),
    Entry::State(&super::state::entered_width_off::EnteredWidthOff),
    Entry::State(&super::state::density_off::DensityFactorOff),
    Entry::State(&super::state::setup_sum_off::SetupSumOff),
    Entry::State(&super::records::days_ahead::DaysAhead),
    Entry::State(&super::state::step_age::StepAge),
    Entry::State(&super::state::step_hours::StepHours),
    Entry::State(&super::state::step_applications::StepApplications),
    Entry::State(&super::state::step_void::StepVoid),
    Entry::State(&super::state::step_to_recheck::StepToRecheck),
    Entry::State(&super::state::tests_not_counted::TestsNotCounted),
    Entry::State(&super::applications::sprayed_while_void::SprayedWhileVoid),
    Entry::State(&super::applications::sprayed_while_failing::SprayedWhileFailing),
    Entry::State(&super::applications::sprayed_while_laid_up::SprayedWhileLaidUp),
    Entry::State(&super::applications::age_when_sprayed::AgeWhenSprayed),
    Entry::State(&super::applications::rate_applied::RateApplied),
    Entry::State(&super::applications::rate_applied_off::RateAppliedOff),
    Entry::State(&super::applications::product_of_label::ProductOfLabel::Most),
    Entry::State(&super::applications::product_of_label::ProductOfLabel::Least),
    Entry::State(&super::applications::product_not_judged::ProductNotJudged),
    Entry::State(&super::applications::mix_density::MixDensityOff),
    Entry::State(&super::state::wear_hours_left::WearHoursLeft),
    Entry::State(&super::records::merged_altered::MergedAltered),
    Entry::State(&super::records::merged_amended::MergedAmended),
    Entry::State(&super::records::merged_deleted::MergedDeleted),
    Entry::Comparison(&super::records::requirements_relaxed::REQUIREMENTS_RELAXED),
];

/// The figure with a name, and its place in the table.
pub fn find(id: &str) -> Option<(usize, &'static Entry)> {
    FIGURES.iter().enumerate().find(|(_, entry)| entry.id == id)
}
