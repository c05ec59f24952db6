//! Random requests to every ask of the JSON door: mostly what a person could type, sometimes at or past the edges.

use serde_json::{Map, Value, json};

use crate::choices::Choices;
use crate::replay_requests::replay_request;

/// Words of the asks that this module makes requests for.
pub const ASKS: &[&str] = &[
    "et",
    "et_hour",
    "climate",
    "cycle",
    "split",
    "runoff",
    "texture",
    "rate",
    "cans",
    "station",
    "pipe",
    "connection",
    "wire",
    "two_wire",
    "coil",
    "sun",
    "dark",
    "allowance",
    "peak_month",
    "season",
    "balance",
    "plant",
    "leaching",
    "repair",
    "night",
    "program",
    "week",
    "replay",
    "keyed",
    "rain",
    "quote",
    "year",
    "stations_csv",
];

const SOILS: &[&str] = &[
    "sand",
    "loamy_sand",
    "sandy_loam",
    "loam",
    "silt_loam",
    "silt",
    "sandy_clay_loam",
    "clay_loam",
    "silty_clay_loam",
    "sandy_clay",
    "silty_clay",
    "clay",
];

/// One request to `ask`.
pub fn request(ask: &str, choices: &mut Choices) -> Value {
    if ask == "replay" {
        return replay_request(choices);
    }
    let mut make = Make {
        choices,
        fields: Map::new(),
    };
    make.fields.insert("ask".into(), json!(ask));
    match ask {
        "et" => make.et(),
        "et_hour" => make.et_hour(),
        "climate" => make.climate(),
        "cycle" => make.cycle(),
        "split" => make.split(),
        "runoff" => make.runoff(),
        "texture" => make.texture(),
        "rate" => make.rate(),
        "cans" => make.cans(),
        "station" => make.station(),
        "pipe" => make.pipe(),
        "connection" => make.connection(),
        "wire" => make.wire(),
        "two_wire" => make.two_wire(),
        "coil" => make.coil(),
        "sun" | "dark" => make.sun(ask == "dark"),
        "allowance" => make.allowance(),
        "peak_month" => make.peak_month(),
        "season" => make.season(),
        "balance" => make.balance(),
        "plant" => make.plant(),
        "rain" => make.rain(),
        "leaching" => make.leaching(),
        "repair" => make.repair(),
        "night" => make.night(),
        "program" => make.program(),
        "week" => make.week(),
        "keyed" => make.keyed(),
        "quote" => make.quote(),
        "year" => make.year(),
        "stations_csv" => make.stations_csv(),
        other => panic!("no requests are made for {other}"),
    }
    Value::Object(make.fields)
}

struct Make<'a> {
    choices: &'a mut Choices,
    fields: Map<String, Value>,
}

impl Make<'_> {
    /// A number from `least` to `most`, often small against the range; now and then an end of the range, rarely
    /// outside.
    fn number(&mut self, least: f64, most: f64) -> f64 {
        let share = f64::from(self.choices.below(1_000_001)) / 1e6;
        match self.choices.below(64) {
            0 => least,
            1 => most,
            2 => [least - 1.0, most * 2.0 + 1.0, 1e300][self.choices.below(3) as usize],
            3..20 => least + share * share * share * share * (most - least),
            _ => least + share * (most - least),
        }
    }

    fn put(&mut self, name: &str, value: Value) {
        self.fields.insert(name.to_owned(), value);
    }

    fn set(&mut self, name: &str, least: f64, most: f64) {
        let number = self.number(least, most);
        self.put(name, json!(number));
    }

    fn whole(&mut self, name: &str, least: u32, most: u32) {
        let number = self.number(f64::from(least), f64::from(most)).round();
        self.put(name, json!(number));
    }

    fn maybe(&mut self, name: &str, least: f64, most: f64) {
        if self.choices.once_in(2) {
            self.set(name, least, most);
        }
    }

    fn word(&mut self, name: &str, words: &[&str]) {
        let word = self.choices.one_of(words);
        self.put(name, json!(word));
    }

    fn maybe_word(&mut self, name: &str, words: &[&str]) {
        if self.choices.once_in(2) {
            self.word(name, words);
        }
    }

    /// A list of objects, each filled by `fill`.
    fn objects(&mut self, name: &str, most: u32, fill: impl Fn(&mut Make)) {
        let length = self.choices.between(0, most);
        let list = (0..length).map(|_| {
            let mut inner = Make {
                choices: &mut *self.choices,
                fields: Map::new(),
            };
            fill(&mut inner);
            Value::Object(inner.fields)
        });
        let list = list.collect();
        self.put(name, Value::Array(list));
    }

    fn numbers(&mut self, name: &str, length: u32, least: f64, most: f64) {
        let list: Vec<f64> = (0..length).map(|_| self.number(least, most)).collect();
        self.put(name, json!(list));
    }

    fn day_and_place(&mut self) {
        self.whole("day_of_year", 1, 366);
        self.set("latitude_degrees", -90.0, 90.0);
        let low = self.number(-30.0, 30.0);
        let range = self.number(0.0, 25.0);
        self.put("low_c", json!(low));
        self.put("high_c", json!(low + range));
    }

    fn et(&mut self) {
        self.day_and_place();
        if self.choices.once_in(3) {
            self.put("method", json!("temperature"));
            return;
        }
        self.put("method", json!("penman_monteith"));
        self.set("elevation_m", -400.0, 6000.0);
        match self.choices.below(4) {
            0 => self.set("vapour_pressure_kpa", 0.0, 4.0),
            1 => self.set("dew_point_c", -40.0, 30.0),
            2 => {
                self.set("humidity_high_percent", 50.0, 100.0);
                self.set("humidity_low_percent", 0.0, 60.0);
            }
            _ => {}
        }
        match self.choices.below(3) {
            0 => self.set("wind_2m_m_per_s", 0.0, 60.0),
            1 => {
                self.set("wind_m_per_s", 0.0, 60.0);
                self.set("wind_height_m", 0.5, 200.0);
            }
            _ => {}
        }
        match self.choices.below(3) {
            0 => self.set("solar_mj_per_m2", 0.0, 40.0),
            1 => self.set("sunshine_hours", 0.0, 16.0),
            _ => self.maybe_word("setting", &["inland", "coast"]),
        }
        self.maybe("soil_heat_mj_per_m2", -20.0, 20.0);
        self.maybe_word("reference", &["grass", "short", "tall"]);
    }

    fn et_hour(&mut self) {
        self.set("temperature_c", -40.0, 55.0);
        self.set("humidity_percent", 0.0, 100.0);
        self.maybe("wind_2m_m_per_s", 0.0, 60.0);
        self.set("solar_mj_per_m2", 0.0, 5.0);
        self.set("clear_share", 0.0, 1.0);
        self.set("elevation_m", -400.0, 6000.0);
        self.maybe_word("reference", &["grass", "short", "tall"]);
    }

    fn climate(&mut self) {
        match self.choices.below(3) {
            0 => self.whole("california_zone", 1, 18),
            1 => self.word(
                "name",
                &["", "a", "São", "mün", "x y", "e\u{301}", "-'", "Los A"],
            ),
            _ => {
                self.set("latitude_degrees", -90.0, 90.0);
                self.set("longitude_degrees", -180.0, 180.0);
            }
        }
    }

    fn ground(&mut self) {
        self.word("soil", SOILS);
        self.set("slope_percent", 0.0, 100.0);
        self.maybe_word("condition", &["loose", "settled", "compacted"]);
        self.maybe("measured_intake_mm_per_h", 0.01, 300.0);
    }

    fn place(&mut self) {
        self.ground();
        if !self.choices.once_in(4) {
            self.fields.remove("measured_intake_mm_per_h");
        }
        self.set("precipitation_mm_per_h", 0.05, 300.0);
        if self.choices.once_in(5) {
            self.set("minutes_to_runoff", 0.1, 240.0);
        }
    }

    fn cycle(&mut self) {
        self.place();
        self.maybe("week_need_mm", 0.0, 80.0);
        self.maybe("low_quarter_uniformity", 0.0, 1.0);
        if self.choices.once_in(2) {
            self.whole("days", 1, 7);
        }
    }

    fn split(&mut self) {
        self.place();
        self.whole("runs", 1, 12);
        self.whole("run_minutes", 1, 60);
        self.whole("soak_minutes", 0, 120);
    }

    fn runoff(&mut self) {
        self.ground();
        self.maybe_word("start", &["due", "wet"]);
        if self.choices.once_in(4) {
            self.set("trace_step_minutes", 0.5, 60.0);
        }
        self.objects("pulses", 4, |pulse| {
            pulse.set("start_minute", 0.0, 600.0);
            pulse.set("minutes", 0.0, 60.0);
            pulse.set("precipitation_mm_per_h", 0.0, 200.0);
        });
    }

    fn texture(&mut self) {
        let sand = self.number(0.0, 100.0).clamp(-5.0, 105.0);
        let clay = self.number(0.0, 1.0) * (100.0 - sand);
        self.put("sand_percent", json!(sand));
        self.put("clay_percent", json!(clay));
        self.put("silt_percent", json!(100.0 - sand - clay));
    }

    fn rate(&mut self) {
        let from = self
            .choices
            .one_of(&["area", "spacing", "drip", "meter", "cans"]);
        self.put("from", json!(from));
        match from {
            "area" => {
                self.set("flow_l_per_min", 0.0, 500.0);
                self.set("area_m2", 0.01, 5000.0);
            }
            "spacing" => {
                self.set("flow_l_per_min", 0.0, 100.0);
                self.set("arc_degrees", 1.0, 360.0);
                self.set("head_spacing_m", 0.01, 30.0);
                self.set("row_spacing_m", 0.01, 30.0);
            }
            "drip" => {
                self.set("emitter_l_per_h", 0.0, 20.0);
                self.set("emitter_spacing_m", 0.01, 3.0);
                self.set("row_spacing_m", 0.01, 3.0);
            }
            "meter" => {
                self.set("volume_l", 0.0, 10_000.0);
                self.set("minutes", 0.1, 600.0);
                self.set("area_m2", 0.01, 5000.0);
            }
            _ => self.cans(),
        }
    }

    fn cans(&mut self) {
        let length = self.choices.between(0, 40);
        if self.choices.once_in(2) {
            self.numbers("catches_ml", length, 0.0, 100.0);
            self.set("throat_area_cm2", 1.0, 500.0);
        } else {
            self.numbers("catches_mm", length, 0.0, 50.0);
        }
        self.set("minutes", 0.1, 120.0);
    }

    fn station(&mut self) {
        self.place();
        self.set("et_mm_per_day", 0.0, 12.0);
        self.set("plant_factor", 0.0, 1.5);
        self.set("rain_mm_per_week", 0.0, 50.0);
        self.set("root_depth_mm", 20.0, 1500.0);
        self.set("allowed_depletion", 0.0, 1.0);
        self.maybe("leaching_fraction", 0.0, 0.9);
        self.maybe("low_quarter_uniformity", 0.0, 1.0);
        if self.choices.once_in(2) {
            self.whole("days", 1, 7);
        }
    }

    fn pipe(&mut self) {
        self.set("length_m", 0.0, 2000.0);
        if self.choices.once_in(3) {
            let materials = [
                "pvc_schedule_40",
                "pvc_class_200",
                "copper_l",
                "galvanized_steel",
            ];
            self.word("material", &materials);
            self.word("nominal_size_in", &["1/2", "3/4", "1", "1-1/2", "2", "4"]);
        } else {
            self.set("inside_diameter_mm", 2.0, 300.0);
        }
        self.set("flow_l_per_min", 0.0, 2000.0);
        self.maybe("roughness_c", 40.0, 200.0);
    }

    fn connection(&mut self) {
        self.set("static_kpa", 0.0, 1200.0);
        self.maybe("rise_m", -100.0, 100.0);
        self.maybe("fixed_loss_kpa", 0.0, 200.0);
        self.maybe("meter_loss_kpa", 0.0, 100.0);
        self.maybe("wanted_kpa", 0.0, 600.0);
        self.maybe("velocity_most_m_per_s", 0.05, 5.0);
        self.maybe_word("meter_size_in", &["5/8", "3/4", "1", "1-1/2", "2"]);
        if self.choices.once_in(3) {
            self.set("measured_flow_l_per_min", 0.1, 500.0);
            self.set("measured_pressure_kpa", 0.0, 400.0);
        }
        self.objects("pipes", 4, |pipe| pipe.pipe());
        self.maybe("flow_l_per_min", 0.0, 2000.0);
    }

    fn wires(&mut self) {
        self.set("length_m", 0.0, 3000.0);
        if self.choices.once_in(2) {
            self.word("station_awg", &["18", "16", "14", "12", "10", "8"]);
            self.word("common_awg", &["18", "16", "14", "12", "10", "8"]);
            self.maybe("wire_c", -60.0, 120.0);
        } else {
            self.set("station_ohm_per_km", 0.0, 100.0);
            self.set("common_ohm_per_km", 0.0, 100.0);
        }
    }

    fn wire(&mut self) {
        self.wires();
        self.set("amperes", 0.0, 3.0);
        self.maybe("inrush_amperes", 0.0, 5.0);
        self.whole("valves_together", 1, 20);
        self.set("source_volts", 0.0, 40.0);
        self.maybe("least_volts", 0.0, 30.0);
        self.maybe("transformer_va", 0.1, 200.0);
    }

    fn two_wire(&mut self) {
        self.set("source_volts", 0.0, 60.0);
        self.objects("stretches", 12, |stretch| {
            stretch.set("length_m", 0.0, 500.0);
            stretch.set("ohm_per_km", 0.0, 50.0);
            stretch.set("amperes", 0.0, 1.0);
        });
    }

    fn coil(&mut self) {
        self.wires();
        self.set("reading_ohm", 0.0, 2000.0);
        self.set("coil_ohm", 0.0, 100.0);
    }

    fn sun(&mut self, with_changes: bool) {
        let year = if self.choices.once_in(8) {
            self.choices.one_of(&[1, 1600, 1970, 9999])
        } else {
            self.choices.between(1990, 2100)
        };
        let (month, day) = (self.choices.between(1, 12), self.choices.between(1, 29));
        self.put("date", json!(format!("{year:04}-{month:02}-{day:02}")));
        self.set("latitude_degrees", -90.0, 90.0);
        self.set("longitude_degrees", -180.0, 180.0);
        let offset = f64::from(self.choices.between(0, 112)) * 15.0 - 840.0;
        self.put("utc_offset_minutes", json!(offset));
        if with_changes && self.choices.once_in(2) {
            let hour = self.choices.below(24);
            let at = format!("{year:04}-{month:02}-{day:02}T{hour:02}:30");
            let shift = self.choices.one_of(&[60, -60, 30, 180, -180, 0]);
            self.put(
                "clock_changes",
                json!([{ "at": at, "shift_minutes": shift }]),
            );
        }
    }

    fn allowance(&mut self) {
        self.set("et_mm_per_year", 0.0, 3000.0);
        self.maybe("rain_mm_per_year", 0.0, 3000.0);
        match self.choices.below(3) {
            0 => self.word("california_rule", &["residential", "existing", "supplier"]),
            1 => self.set("allowed_litres", 0.0, 1e7),
            _ => self.set("adjustment_factor", 0.0, 1.0),
        }
        self.objects("areas", 6, |area| {
            area.set("area_m2", 0.01, 10_000.0);
            area.set("plant_factor", 0.0, 1.2);
            area.set("efficiency", 0.05, 1.0);
            let special = area.choices.once_in(4);
            area.put("special", json!(special));
        });
    }

    fn peak_month(&mut self) {
        self.set("et_mm_per_month", 0.0, 400.0);
        self.maybe("rain_mm_per_month", 0.0, 400.0);
        self.objects("zones", 6, |zone| {
            zone.set("area_m2", 0.01, 10_000.0);
            zone.set("plant_factor", 0.0, 1.2);
            zone.set("low_quarter_uniformity", 0.1, 1.0);
        });
    }

    fn season(&mut self) {
        self.whole("base_month", 1, 12);
        let step = self.choices.one_of(&[1, 5, 10]);
        self.put("step_percent", json!(step));
        self.maybe("short_share", 0.0, 1.0);
        self.maybe_word("by", &["month", "week"]);
        self.numbers("et_mm_per_day", 12, 0.0, 15.0);
        if self.choices.once_in(2) {
            self.numbers("rain_mm", 12, 0.0, 300.0);
            self.maybe_word("rain_rule", &["quarter", "half", "four_fifths", "nothing"]);
        }
        self.objects("stations", 5, |station| match station.choices.below(3) {
            0 => station.numbers("need_mm_per_day", 12, 0.01, 10.0),
            1 => station.numbers("plant_factors", 12, 0.1, 1.2),
            _ => station.set("plant_factor", 0.0, 1.2),
        });
    }

    fn quote(&mut self) {
        self.objects("lines", 8, |line| {
            line.whole("count_thousandths", 0, 200_000);
            line.whole("price_hundredths", 0, 100_000);
            line.whole("minutes_each", 0, 600);
        });
        for (name, most) in [
            ("hour_hundredths", 20_000),
            ("trip_hundredths", 20_000),
            ("trip_minutes", 600),
            ("markup_percent_hundredths", 10_000),
            ("tax_percent_hundredths", 4_000),
        ] {
            self.whole(name, 0, most);
        }
        self.maybe_word("tax_on", &["total", "each_line"]);
        if self.choices.once_in(2) {
            self.whole("saved_millionths_per_year", 0, u32::MAX);
        }
    }

    fn year(&mut self) {
        self.numbers("et_mm_per_day", 12, 0.01, 15.0);
        if self.choices.once_in(2) {
            self.numbers("rain_mm", 12, 0.0, 60.0);
            self.maybe_word("rain_rule", &["quarter", "half", "four_fifths", "nothing"]);
        }
        self.maybe("et_times", 0.0, 2.0);
        self.objects("stations", 5, |station| {
            station.set("plant_factor", 0.1, 1.2);
            station.maybe("area_m2", 0.01, 10_000.0);
            station.maybe("multiplier", 1.0, 3.0);
            station.whole("program", 0, 5);
        });
        let step = self.choices.one_of(&[1, 5, 10]);
        self.put("step_percent", json!(step));
        if self.choices.once_in(2) {
            let until = self.choices.between(1, 100_000);
            let prices = [1_200, self.choices.between(0, 9_000)];
            let tiers = json!([
                { "until_thousandths": until, "price_thousandths": prices[0] },
                { "price_thousandths": prices[1] },
            ]);
            self.put("tariff", json!({ "unit": "ccf", "tiers": tiers }));
        }
        match self.choices.below(3) {
            0 => self.whole("now_litres_per_year", 0, u32::MAX),
            1 => {
                let month = self.choices.between(1, 12);
                let (now, plan) = (self.number(0.0, 1e6), self.number(0.0, 1e6));
                self.put(
                    "compared",
                    json!({ "month": month, "now_litres_per_week": now, "plan_litres_per_week": plan }),
                );
            }
            _ => {}
        }
    }

    fn stations_csv(&mut self) {
        if self.choices.once_in(2) {
            let rows = [
                "station;soil;slope_percent\nA;loam;2,5\n",
                "a,station\n\"1,5\",=B\n",
                "x",
            ];
            self.word("csv", &rows);
            return;
        }
        self.objects("stations", 4, |station| {
            station.word("station", &["front bank", "=1+1", " a; \"b\" "]);
            station.maybe_word("soil", SOILS);
            station.maybe("slope_percent", 0.0, 50.0);
            station.maybe("rate_mm_per_h", 1.0, 100.0);
            station.maybe_word("plants", &["cool_turf", "trees"]);
        });
    }

    fn balance(&mut self) {
        if self.choices.once_in(2) {
            self.set("available_mm", 0.0, 300.0);
        } else {
            self.word("soil", SOILS);
            self.set("root_depth_mm", 1.0, 2000.0);
        }
        self.maybe("allowed_depletion", 0.0, 1.0);
        self.maybe("first_deficit_mm", 0.0, 300.0);
        if self.choices.once_in(2) {
            self.objects("days", 30, |day| {
                day.maybe("rain_mm", 0.0, 60.0);
                day.maybe("irrigation_mm", 0.0, 40.0);
                day.set("need_mm", 0.0, 15.0);
            });
        } else {
            self.numbers("need_mm_per_day", 12, 0.0, 12.0);
            self.numbers("rain_mm", 12, 0.0, 300.0);
            let days = self.choices.between(1, 30);
            let net = self.number(0.0, 60.0);
            self.put("schedule", json!({ "every_days": days, "net_mm": net }));
        }
    }

    fn plant(&mut self) {
        if self.choices.once_in(2) {
            self.word("turf", &["cool_season", "warm_season"]);
        } else {
            self.word("water_use", &["very_low", "low", "moderate", "high"]);
        }
        self.maybe("density_factor", 0.3, 2.0);
        self.maybe("microclimate_factor", 0.3, 2.0);
        self.maybe_word("planting", &["turf", "shrubs", "trees"]);
        let south = self.choices.once_in(2);
        self.put("south", json!(south));
        if self.choices.once_in(3) {
            self.set("establishment_factor", 1.0, 3.0);
            self.put("establishment_until", json!("2026-06-01"));
            let date = self.choices.one_of(&["2026-05-31", "2026-06-01"]);
            self.put("date", json!(date));
        }
    }

    fn rain(&mut self) {
        self.set("rain_mm", 0.0, 400.0);
        self.set("wanted_mm", 0.0, 300.0);
        if self.choices.once_in(2) {
            self.maybe("rain_share", 0.0, 1.0);
        } else {
            self.maybe_word(
                "rain_rule",
                &["quarter", "thirty_above_an_inch", "four_fifths", "half"],
            );
        }
    }

    fn leaching(&mut self) {
        self.set("water_ds_per_m", 0.0, 6.0);
        self.set("plants_bear_ds_per_m", 0.0, 10.0);
    }

    fn repair(&mut self) {
        self.whole("net_litres_per_year", 0, 100_000_000);
        self.whole("price_thousandths_per_m3", 0, 10_000_000);
        if self.choices.once_in(2) {
            self.whole("repair_cost_hundredths", 0, 1_000_000);
        }
        if self.choices.once_in(2) {
            let length = self.choices.between(3, 40);
            self.numbers("catches_mm", length, 0.0, 50.0);
        } else {
            self.set("uniformity_now", 0.0, 0.6);
            self.set("uniformity_after", 0.5, 1.0);
        }
    }

    /// A replay of a few weeks with what is known of its stations.
    fn keyed(&mut self) {
        let mut replay = replay_request(self.choices);
        let fields = replay.as_object_mut().expect("an object");
        for station in fields["stations"].as_array_mut().expect("a list") {
            let mut make = Make {
                choices: &mut *self.choices,
                fields: Map::new(),
            };
            match make.choices.below(3) {
                0 => {}
                1 => make.set("precipitation_mm_per_h", 0.05, 300.0),
                _ => make.place(),
            }
            make.maybe("area_m2", 0.01, 5000.0);
            make.maybe("week_need_mm", 0.0, 80.0);
            let known = make.fields;
            station.as_object_mut().expect("an object").extend(known);
        }
        fields.insert("ask".into(), json!("keyed"));
        let hours = self.choices.between(1, 336);
        fields.insert("hours".into(), json!(hours));
        if self.choices.once_in(2) {
            fields.insert("price_thousandths_per_m3".into(), json!(2345));
        } else {
            let end = self.choices.between(1, 9_999_999);
            let unit = self.choices.one_of(&["m3", "ccf", "kgal"]);
            let tiers = json!([{ "until_thousandths": end, "price_thousandths": 125 },
                { "price_thousandths": 4100 }]);
            fields.insert("tariff".into(), json!({ "unit": unit, "tiers": tiers }));
            let programs = fields["programs"].clone();
            fields.insert("plan".into(), json!({ "programs": programs }));
        }
        self.fields = fields.clone();
    }

    fn program(&mut self) {
        self.night();
        self.put("effort", json!(3000));
        self.put("free_effort", json!(1000));
        let mut inner = Make {
            choices: &mut *self.choices,
            fields: Map::new(),
        };
        inner.maybe_word("soak_style", &["wait", "fill", "none"]);
        if inner.choices.once_in(2) {
            inner.whole("programs", 1, 12);
            inner.whole("starts", 1, 8);
        }
        if inner.choices.once_in(2) {
            inner.whole("shortest_step_seconds", 0, 240);
            inner.whole("gap_seconds", 0, 60);
            inner.whole("valves_at_once", 1, 4);
        }
        if inner.choices.once_in(2) {
            inner.put("sharing", json!(true));
        }
        if inner.choices.once_in(3) {
            inner.put("station_order", json!(true));
        }
        let controller = Value::Object(inner.fields);
        self.put("controller", controller);
    }

    fn week(&mut self) {
        self.program();
        let day = self.choices.between(1, 28);
        self.put("from", json!(format!("2027-02-{day:02}")));
        let mut stations = self.fields["stations"].take();
        for station in stations.as_array_mut().expect("a list") {
            if self.choices.once_in(4) {
                continue;
            }
            let days = self.choices.between(1, 7);
            station["days_a_week"] = json!(days);
            if self.choices.once_in(3) {
                station["longest_interval_days"] = json!(self.choices.between(1, 10));
            }
        }
        self.put("stations", stations);
        const WORDS: [&str; 7] = ["mon", "tue", "wed", "thu", "fri", "sat", "sun"];
        let mut some = |odds: u32| -> Vec<&str> {
            let chosen = |_: &&str| self.choices.below(6) < odds;
            WORDS.into_iter().filter(chosen).collect()
        };
        let (open, closed) = (some(4), some(1));
        let every = self.choices.between(1, 5);
        let allowed = match self.choices.below(6) {
            0 => json!({ "weekdays": open }),
            1 => json!({ "odd": true, "skip_31": self.choices.once_in(2) }),
            2 => json!({ "even": true }),
            3 => json!({ "every": every, "from": "2027-01-05" }),
            _ => Value::Null,
        };
        self.put("allowed_days", allowed);
        if self.choices.once_in(3) {
            self.put("closed_weekdays", json!(closed));
        }
        if self.choices.once_in(4) {
            self.whole("most_minutes_a_day", 1, 600);
        }
    }

    fn night(&mut self) {
        let hour = self.choices.between(0, 23);
        self.put("window_start", json!(format!("{hour:02}:00")));
        self.whole("window_minutes", 1, 720);
        self.put("effort", json!(2000));
        let capacity = self.number(1.0, 200.0);
        self.put(
            "supplies",
            json!([{ "id": "a", "capacity_l_per_min": capacity }]),
        );
        if self.choices.once_in(2) {
            self.whole("open_at_once", 1, 4);
        }
        let stations = self.choices.between(0, 6);
        let list: Vec<Value> = (0..stations)
            .map(|id| {
                let longest = self.choices.between(1, 30);
                let soak = self.choices.between(0, 60);
                let run = self.choices.between(1, 60);
                let flow = self.number(0.0, 100.0);
                json!({
                    "id": id.to_string(), "supply": "a", "run_minutes": run,
                    "longest_run_minutes": longest, "soak_minutes": soak, "flow_l_per_min": flow,
                })
            })
            .collect();
        self.put("stations", Value::Array(list));
    }
}
