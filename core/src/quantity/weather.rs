//! Places, weather, and how much water plants and air take.

use crate::invalid::Problem;

quantity!(
    /// Degrees north of the equator; south is negative.
    Latitude, degrees, try_degrees, to_degrees, -90.0, 90.0
);
quantity!(
    /// Degrees east of Greenwich; west is negative.
    Longitude, degrees, try_degrees, to_degrees, -180.0, 180.0
);
quantity!(
    /// Height above sea level, metres.
    Elevation, m, try_m, to_m, -500.0, 9_000.0
);
quantity!(
    /// Temperature of the air, degrees Celsius.
    AirTemperature, celsius, try_celsius, to_celsius, -60.0, 60.0
);
quantity!(
    /// Wind speed, metres a second.
    WindSpeed, m_per_s, try_m_per_s, to_m_per_s, 0.0, 60.0
);
quantity!(
    /// Relative humidity of the air, percent.
    RelativeHumidity, percent, try_percent, to_percent, 0.0, 100.0
);
quantity!(
    /// Height of a wind gauge above the ground, metres.
    GaugeHeight, m, try_m, to_m, 0.5, 200.0
);
quantity!(
    /// Pressure of the water vapour in the air, kilopascals.
    VapourPressure, kpa, try_kpa, to_kpa, 0.0, 20.0
);
quantity!(
    /// Sunlight that falls on level ground, megajoules a square metre, per day or per hour as stated where it is used.
    SolarRadiation, mj_per_m2, try_mj_per_m2, to_mj_per_m2, 0.0, 60.0
);
quantity!(
    /// Heat that goes into the ground (negative: comes out of it), megajoules a square metre and day.
    SoilHeat, mj_per_m2, try_mj_per_m2, to_mj_per_m2, -20.0, 20.0
);
quantity!(
    /// A number of hours within one day.
    HoursOfDay, hours, try_hours, to_hours, 0.0, 24.0
);
quantity!(
    /// Water that plants and ground give to the air, mm a day.
    Evapotranspiration, mm_per_day, try_mm_per_day, to_mm_per_day, 0.0, 20.0
);
quantity!(
    /// What a planting uses as a share of reference evapotranspiration (landscape or crop coefficient).
    PlantFactor, of_reference, try_of_reference, to_of_reference, 0.0, 2.0
);
quantity!(
    /// Water that a planting wants from irrigation on a mean day, mm: net, before unevenness and salt.
    DailyNeed, mm_per_day, try_mm_per_day, to_mm_per_day, 0.0, 120.0
);
