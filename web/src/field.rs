//! Every number a person can type on the page: what it measures, what is accepted, and its default.

use crate::document::named;
use crate::text::Text;
use crate::units::Kind;

named! {
    /// Names one typed number. The name is what a saved document uses.
    Field {
        #[default]
        Slope = "slope",
        SlopeDegrees = "slope_degrees",
        SlopeRise = "slope_rise",
        SlopeRun = "slope_run",
        Rate = "rate",
        RateFlow = "rate_flow",
        RateArea = "rate_area",
        SpacingFlow = "spacing_flow",
        SpacingArc = "spacing_arc",
        SpacingHead = "spacing_head",
        SpacingRow = "spacing_row",
        DripEmitter = "drip_emitter",
        DripEmitterSpacing = "drip_emitter_spacing",
        DripRow = "drip_row",
        MeterVolume = "meter_volume",
        MeterMinutes = "meter_minutes",
        MeterArea = "meter_area",
        CanMinutes = "can_minutes",
        CanOpening = "can_opening",
        JarSand = "jar_sand",
        JarSilt = "jar_silt",
        JarClay = "jar_clay",
        SandPercent = "sand_percent",
        SiltPercent = "silt_percent",
        ClayPercent = "clay_percent",
        RingDepth = "ring_depth",
        RingMinutes = "ring_minutes",
        Intake = "intake",
        RunoffMinutes = "runoff_minutes",
        PlantFactor = "plant_factor",
        ReferenceEt = "reference_et",
        Uniformity = "uniformity",
        RootDepth = "root_depth",
        Depletion = "depletion",
        Rain = "rain",
        Days = "days",
        OwnRuns = "own_runs",
        OwnMinutes = "own_minutes",
        OwnSoak = "own_soak",
        Capacity = "capacity",
        AtOnce = "at_once",
        WindowHours = "window_hours",
        MeasuredFlow = "measured_flow",
        HeadCount = "head_count",
        MoreHeads = "more_heads",
        MoreHeadFlow = "more_head_flow",
        EmitterCount = "emitter_count",
        DripLength = "drip_length",
        LoopOhm = "loop_ohm",
        CoilOhm = "coil_ohm",
        WireLength = "wire_length",
        WireGauge = "wire_gauge",
        LeastFlow = "least_flow",
        StaticPressure = "static_pressure",
        WantedPressure = "wanted_pressure",
        PipeLength = "pipe_length",
        SupplyRise = "supply_rise",
        FixedLoss = "fixed_loss",
        FastestWater = "fastest_water",
        TestFlow = "test_flow",
        TestPressure = "test_pressure",
        PanelPrograms = "panel_programs",
        ProgramStarts = "program_starts",
        ShortestStep = "shortest_step",
        PercentStep = "percent_step",
        GapSeconds = "gap_seconds",
        DayMinutes = "day_minutes",
        EveryDays = "every_days",
        Latitude = "latitude",
        Longitude = "longitude",
    }
}

/// What a field measures and accepts.
pub struct Spec {
    /// The unit, in both systems.
    pub kind: Kind,
    /// Smallest accepted number, inside unit of `kind`.
    pub least: f64,
    /// Largest accepted number, inside unit of `kind`.
    pub most: f64,
    /// Whether only whole numbers make sense.
    pub whole: bool,
    /// Stands when nothing was typed, inside unit; `None` where the number must be typed.
    pub default: Option<f64>,
    /// Its name in the reader's language.
    pub label: fn(&Text) -> &'static str,
}

const fn spec(kind: Kind, least: f64, most: f64, label: fn(&Text) -> &'static str) -> Spec {
    Spec {
        kind,
        least,
        most,
        whole: false,
        default: None,
        label,
    }
}

const fn whole(kind: Kind, least: f64, most: f64, label: fn(&Text) -> &'static str) -> Spec {
    Spec {
        whole: true,
        ..spec(kind, least, most, label)
    }
}

impl Spec {
    const fn or(self, default: f64) -> Self {
        Spec {
            default: Some(default),
            ..self
        }
    }
}

impl Field {
    /// What it measures, accepts and assumes.
    pub const fn spec(self) -> Spec {
        match self {
            Self::Slope => spec(Kind::Percent, 0.0, 100.0, |t| t.slope),
            Self::SlopeDegrees => spec(Kind::Degrees, 0.0, 45.0, |t| t.slope),
            Self::SlopeRise => spec(Kind::Height, 0.0, 10_000.0, |t| t.rise),
            Self::SlopeRun => spec(Kind::Height, 1.0, 10_000.0, |t| t.run_over),
            Self::Rate => spec(Kind::Rate, 0.05, 1000.0, |t| t.rate),
            Self::RateFlow => spec(Kind::Flow, 0.01, 100_000.0, |t| t.station_flow),
            Self::RateArea => spec(Kind::Area, 0.1, 1_000_000.0, |t| t.wetted_area),
            Self::SpacingFlow => spec(Kind::Flow, 0.01, 1000.0, |t| t.head_flow),
            Self::SpacingArc => spec(Kind::Degrees, 1.0, 360.0, |t| t.arc).or(360.0),
            Self::SpacingHead => spec(Kind::Spacing, 0.1, 100.0, |t| t.head_spacing),
            Self::SpacingRow => spec(Kind::Spacing, 0.1, 100.0, |t| t.row_spacing),
            Self::DripEmitter => spec(Kind::EmitterFlow, 0.05, 200.0, |t| t.emitter_flow),
            Self::DripEmitterSpacing => spec(Kind::DripSpacing, 0.02, 10.0, |t| t.emitter_spacing),
            Self::DripRow => spec(Kind::DripSpacing, 0.02, 20.0, |t| t.line_spacing),
            Self::MeterVolume => spec(Kind::Volume, 0.1, 1_000_000.0, |t| t.metered_volume),
            Self::MeterMinutes => spec(Kind::Minutes, 0.1, 1440.0, |t| t.test_minutes),
            Self::MeterArea => spec(Kind::Area, 0.1, 1_000_000.0, |t| t.wetted_area),
            Self::CanMinutes => spec(Kind::Minutes, 0.5, 1440.0, |t| t.test_minutes),
            Self::CanOpening => spec(Kind::Opening, 1.0, 2000.0, |t| t.can_opening),
            Self::JarSand => spec(Kind::Height, 0.0, 1000.0, |t| t.layer_sand),
            Self::JarSilt => spec(Kind::Height, 0.0, 1000.0, |t| t.layer_silt),
            Self::JarClay => spec(Kind::Height, 0.0, 1000.0, |t| t.layer_clay),
            Self::SandPercent => spec(Kind::Percent, 0.0, 100.0, |t| t.sand_share),
            Self::SiltPercent => spec(Kind::Percent, 0.0, 100.0, |t| t.silt_share),
            Self::ClayPercent => spec(Kind::Percent, 0.0, 100.0, |t| t.clay_share),
            Self::RingDepth => spec(Kind::Depth, 1.0, 500.0, |t| t.ring_depth).or(25.4),
            Self::RingMinutes => spec(Kind::Minutes, 0.1, 1440.0, |t| t.ring_minutes),
            Self::Intake => spec(Kind::Rate, 0.1, 1000.0, |t| t.intake),
            Self::RunoffMinutes => spec(Kind::Minutes, 0.1, 1440.0, |t| t.runoff_minutes),
            Self::PlantFactor => spec(Kind::Factor, 0.01, 2.0, |t| t.plant_factor),
            Self::ReferenceEt => spec(Kind::DepthPerDay, 0.0, 20.0, |t| t.reference_et),
            Self::Uniformity => spec(Kind::Percent, 10.0, 100.0, |t| t.uniformity).or(65.0),
            Self::RootDepth => spec(Kind::SoilDepth, 20.0, 3000.0, |t| t.root_depth),
            Self::Depletion => spec(Kind::Percent, 5.0, 95.0, |t| t.depletion).or(50.0),
            Self::Rain => spec(Kind::Depth, 0.0, 500.0, |t| t.rain).or(0.0),
            Self::Days => whole(Kind::Count, 1.0, 7.0, |t| t.days_allowed).or(7.0),
            Self::OwnRuns => whole(Kind::Count, 1.0, 96.0, |t| t.own_runs),
            Self::OwnMinutes => whole(Kind::Minutes, 1.0, 1440.0, |t| t.own_minutes),
            Self::OwnSoak => whole(Kind::Minutes, 0.0, 720.0, |t| t.own_soak),
            Self::Capacity => spec(Kind::Flow, 0.1, 1_000_000.0, |t| t.capacity),
            Self::AtOnce => whole(Kind::Count, 1.0, 400.0, |t| t.at_once),
            Self::WindowHours => spec(Kind::Count, 0.5, 24.0, |t| t.window_hours).or(8.0),
            Self::MeasuredFlow => spec(Kind::Flow, 0.01, 100_000.0, |t| t.site.measured_flow),
            Self::HeadCount => whole(Kind::Count, 0.0, 10_000.0, |t| t.site.heads),
            Self::MoreHeads => whole(Kind::Count, 0.0, 10_000.0, |t| t.site.more_heads),
            Self::MoreHeadFlow => spec(Kind::Flow, 0.01, 1000.0, |t| t.site.more_head_flow),
            Self::EmitterCount => whole(Kind::Count, 0.0, 1_000_000.0, |t| t.site.emitters),
            Self::DripLength => spec(Kind::Spacing, 0.0, 100_000.0, |t| t.site.drip_length),
            Self::LoopOhm => spec(Kind::Ohm, 0.0, 1_000_000.0, |t| t.site.loop_ohm),
            Self::CoilOhm => spec(Kind::Ohm, 1.0, 10_000.0, |t| t.site.coil_ohm),
            Self::WireLength => spec(Kind::Spacing, 0.0, 5000.0, |t| t.site.wire_length),
            Self::WireGauge => whole(Kind::Count, 8.0, 18.0, |t| t.site.wire_gauge).or(18.0),
            Self::LeastFlow => spec(Kind::Flow, 0.1, 100_000.0, |t| t.site.least_flow),
            Self::StaticPressure => spec(Kind::Pressure, 1.0, 2000.0, |t| t.site.static_pressure),
            Self::WantedPressure => spec(Kind::Pressure, 0.0, 2000.0, |t| t.site.wanted_pressure),
            Self::PipeLength => spec(Kind::Spacing, 0.1, 10_000.0, |t| t.site.pipe_length),
            Self::SupplyRise => spec(Kind::Spacing, -500.0, 500.0, |t| t.site.supply_rise).or(0.0),
            Self::FixedLoss => spec(Kind::Pressure, 0.0, 1000.0, |t| t.site.fixed_loss).or(0.0),
            Self::FastestWater => {
                spec(Kind::Velocity, 0.1, 6.0, |t| t.site.fastest_water).or(1.524)
            }
            Self::TestFlow => spec(Kind::Flow, 0.1, 100_000.0, |t| t.site.test_flow),
            Self::TestPressure => spec(Kind::Pressure, 0.0, 2000.0, |t| t.site.test_pressure),
            Self::PanelPrograms => whole(Kind::Count, 1.0, 40.0, |t| t.site.panel_programs).or(4.0),
            Self::ProgramStarts => whole(Kind::Count, 1.0, 8.0, |t| t.site.program_starts).or(8.0),
            Self::ShortestStep => whole(Kind::Minutes, 1.0, 60.0, |t| t.site.shortest_step).or(1.0),
            // What the coarsest panel takes, every finer one takes too.
            Self::PercentStep => whole(Kind::Percent, 1.0, 10.0, |t| t.site.percent_step).or(10.0),
            Self::GapSeconds => whole(Kind::Seconds, 0.0, 3600.0, |t| t.site.gap_seconds),
            Self::DayMinutes => whole(Kind::Minutes, 1.0, 1440.0, |t| t.site.day_minutes),
            Self::EveryDays => whole(Kind::Count, 2.0, 31.0, |t| t.site.every_days).or(2.0),
            Self::Latitude => spec(Kind::OnEarth, -90.0, 90.0, |t| t.site.latitude),
            Self::Longitude => spec(Kind::OnEarth, -180.0, 180.0, |t| t.site.longitude),
        }
    }
}
