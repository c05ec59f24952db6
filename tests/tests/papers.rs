//! The asks about papers at the JSON door: `quote`, `year`, `stations_csv`.

use drycurb_core::lines::answer;
use drycurb_tests::{ask, assert_near};
use num_rational::Ratio;
use serde_json::{Value, json};

type Exact = Ratio<i128>;

fn half_up(exact: Exact) -> i128 {
    (exact + Exact::new(1, 2)).floor().to_integer()
}

fn faults(request: &Value) -> Vec<String> {
    let found = answer(request);
    let list = found["error"].as_array().expect("refused");
    let fields = list.iter().map(|one| one["field"].as_str().unwrap().into());
    fields.collect()
}

/// By hand, as in the quote's own check: 3 nozzles at 2.50 and 20 % are 9.00 and 15 minutes at 60.00 an hour 15.00;
/// 2.5 m at 1.99 and 20 % are 5.97 and 20 minutes 20.00; trip 45.00; 8.25 % on 14.97 are 1.24. Together 96.21. A year
/// that saves 20.00 has paid that in 96.21/20 x 12 = 57.7 months.
#[test]
fn a_quote_by_hand() {
    let found = ask(&json!({
        "ask": "quote",
        "lines": [
            { "count_thousandths": 3000, "price_hundredths": 250, "minutes_each": 5 },
            { "count_thousandths": 2500, "price_hundredths": 199, "minutes_each": 8 },
        ],
        "hour_hundredths": 6000, "trip_hundredths": 4500, "trip_minutes": 30,
        "markup_percent_hundredths": 2000, "tax_percent_hundredths": 825,
        "saved_millionths_per_year": 20_000_000,
    }));
    let line = &found["lines"][1];
    assert_eq!(
        (&line["parts_hundredths"], &line["work_hundredths"]),
        (&json!(597), &json!(2000))
    );
    assert_eq!(found["tax_hundredths"], 124);
    assert_eq!(
        (&found["total_hundredths"], &found["minutes"]),
        (&json!(9621), &json!(65))
    );
    assert_eq!(found["months_to_pay"], 58);
    assert_eq!(found["assumed"], json!(["tax_on", "work_taxed"]));
    let wrong = json!({ "ask": "quote", "lines": [{ "price_hundredths": 1.5 }], "tax_on": "x" });
    assert_eq!(faults(&wrong), ["lines[0].price_hundredths", "tax_on"]);
}

/// A lawn of 100 m2 at 0.8 of a reference that is 5 mm in July and 2 mm in every other month; 12 m3 cost 1.200 each in a
/// month, what is above 2.350.
fn lawn(more: Value) -> Value {
    let mut et = [2.0; 12];
    et[6] = 5.0;
    let mut request = json!({
        "ask": "year", "et_mm_per_day": et, "base_month": 7,
        "stations": [{ "plant_factor": 0.8, "area_m2": 100 }],
        "tariff": { "tiers": [
            { "until_thousandths": 12_000, "price_thousandths": 1200 },
            { "price_thousandths": 2350 },
        ] },
    });
    for (name, value) in more.as_object().unwrap() {
        request[name] = value.clone();
    }
    request
}

const DAYS: [i128; 12] = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];

/// What a month's litres cost at the lawn's steps, millionths.
fn cost(litres: i128) -> i128 {
    litres.min(12_000) * 1200 + (litres - 12_000).max(0) * 2350
}

/// By hand: July wants 5 x 0.8 x 31 x 100 = 12,400 L, of which 400 L at the upper step: 14.40 + 0.94 = 15.34.
#[test]
fn a_year_by_hand() {
    let found = ask(&lawn(json!({})));
    let july = &found["months"][6];
    assert_eq!(
        (&july["litres"], &july["hundredths"]),
        (&json!(12_400), &json!(1534))
    );
    assert_eq!(
        found["months"][0]["programs"],
        json!([{ "percent": 40, "beyond_panel": false }])
    );
    assert_near(july["need_mm"].as_f64().unwrap(), 124.0, 1e-9);
    let days: i128 = DAYS.iter().sum();
    assert_eq!(found["year_litres"], json!((days - 31) * 160 + 12_400));
    assert_eq!(found["saving"], Value::Null);
}

/// In rationals: a month counts as (days of the compared month / 7) x (its need / that month's need) weeks; of what is
/// keyed now never as more than it has.
#[test]
fn a_compared_week_becomes_a_year() {
    let mut of_july = 0;
    for compared in [7, 1] {
        let request = json!({
            "month": compared, "now_litres_per_week": 4321, "plan_litres_per_week": 2800,
        });
        let found = ask(&lawn(json!({ "compared": request })));
        let et = |month: usize| if month == 6 { 5 } else { 2 };
        let of = et(compared - 1) * DAYS[compared - 1];
        let (mut litres, mut money, mut weeks) = (0, 0, [Exact::from_integer(0); 2]);
        for (month, days) in DAYS.iter().enumerate() {
            let count = Exact::new(DAYS[compared - 1], 7) * Exact::new(et(month) * days, of);
            let keyed = count.min(Exact::new(*days, 7));
            let (now, plan) = (half_up(keyed * 4321), half_up(count * 2800));
            litres += now - plan;
            money += cost(now) - cost(plan);
            weeks = [weeks[0] + keyed, weeks[1] + count];
        }
        let saving = &found["saving"];
        assert_eq!(saving["litres"].as_i64().unwrap(), litres as i64);
        assert_eq!(saving["millionths"].as_i64().unwrap(), money as i64);
        for (name, weeks) in [("weeks_now", weeks[0]), ("weeks_plan", weeks[1])] {
            let weeks = *weeks.numer() as f64 / *weeks.denom() as f64;
            assert_near(saving[name].as_f64().unwrap(), weeks, 1e-9);
        }
        if compared == 7 {
            of_july = money;
        }
    }
    let money = of_july;
    // Now is less than planned: the saving is below zero, by as much.
    let turned = json!({ "month": 7, "now_litres_per_week": 2800, "plan_litres_per_week": 4321 });
    let turned = ask(&lawn(json!({ "compared": turned })));
    assert_eq!(turned["saving"]["millionths"], json!(-money as i64));
    // A month without need says nothing of the others.
    let mut et = [0.0; 12];
    et[6] = 5.0;
    let winter = json!({ "month": 1, "now_litres_per_week": 4321, "plan_litres_per_week": 0 });
    let winter = ask(&lawn(json!({ "et_mm_per_day": et, "compared": winter })));
    assert_eq!(winter["saving"], Value::Null);
}

/// In rationals: a year's litres are spread as the plan's months are, each at its own step.
#[test]
fn a_years_use_is_spread_as_the_plan() {
    let found = ask(&lawn(json!({ "now_litres_per_year": 100_000 })));
    let plan = DAYS.map(|days| days * 160);
    let mut plan = plan.to_vec();
    plan[6] = 12_400;
    let all: i128 = plan.iter().sum();
    let now = |litres: i128| half_up(Exact::new(100_000 * litres, all));
    let money: i128 = plan.iter().map(|one| cost(now(*one)) - cost(*one)).sum();
    assert_eq!(found["saving"]["litres"], json!((100_000 - all) as i64));
    assert_eq!(found["saving"]["millionths"], json!(money as i64));
    assert_eq!(found["saving"]["weeks_now"], Value::Null);
    // No water of the plan is counted: nothing is said.
    let dry = json!({ "stations": [{ "plant_factor": 0.8 }], "now_litres_per_year": 100_000 });
    assert_eq!(ask(&lawn(dry))["saving"], Value::Null);
    let both = json!({
        "now_litres_per_year": 1,
        "compared": { "month": 13, "now_litres_per_week": 1, "plan_litres_per_week": 1 },
    });
    assert_eq!(faults(&lawn(both)), ["compared.month", "compared"]);
}

#[test]
fn tiers_and_twelve_numbers_are_checked() {
    let wrong = json!({
        "ask": "year", "et_mm_per_day": [1, 2], "rain_mm": [1], "stations": [{ "program": 64 }],
        "tariff": { "tiers": [{ "until_thousandths": 5, "price_thousandths": 1 }] },
    });
    let expected = [
        "et_mm_per_day",
        "rain_mm",
        "stations[0].plant_factor",
        "stations[0].program",
        "tariff.tiers",
    ];
    assert_eq!(faults(&wrong), expected);
}

#[test]
fn a_table_goes_out_and_comes_in() {
    let stations = json!([
        { "station": "front \"bank\"", "soil": "loam", "slope_percent": 4.0, "rate_mm_per_h": 12.5,
          "flow_l_per_min": 40.0, "area_m2": 192.125, "plants": "cool_turf", "note": "=1; by the gate" },
        { "station": "oval" },
    ]);
    for comma in [false, true] {
        let out =
            ask(&json!({ "ask": "stations_csv", "stations": stations, "decimal_comma": comma }));
        let text = out["csv"].as_str().unwrap();
        // Another reader, of RFC 4180.
        let mark = if comma { b';' } else { b',' };
        let mut reader = csv::ReaderBuilder::new()
            .delimiter(mark)
            .from_reader(text.as_bytes());
        let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
        assert_eq!(&rows[0][0], "front \"bank\"");
        assert_eq!(&rows[0][5], if comma { "192,125" } else { "192.125" });
        assert_eq!(&rows[0][7], "'=1; by the gate");
        let back = ask(&json!({ "ask": "stations_csv", "csv": text }));
        assert_eq!(back["stations"][0], stations[0]);
        assert_eq!(back["stations"][1]["station"], "oval");
        assert_eq!(back["not_understood"], json!([]));
    }
    let odd = "\u{feff}note,station,soil,area_m2\r\n,Bank,mud,-3\r\nx,,loam,1\r\n";
    let back = ask(&json!({ "ask": "stations_csv", "csv": odd }));
    assert_eq!(
        back["not_understood"],
        json!([
            "stations[0].soil",
            "stations[0].area_m2",
            "stations[1].station"
        ])
    );
    assert_eq!(back["stations"][1]["station"], Value::Null);
    assert_eq!(
        faults(&json!({ "ask": "stations_csv", "csv": "a,b\n1,2" })),
        ["csv"]
    );
    assert_eq!(faults(&json!({ "ask": "stations_csv" })), ["csv"]);
}
