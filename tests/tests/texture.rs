//! The texture triangle, soil water and the two tests on site.

use drycurb_core::ground::texture::field::{Feel, Ribbon, by_feel, by_jar};
use drycurb_core::ground::water::{available_mm_per_m, of_class};
use drycurb_core::ground::{Texture, texture};
use drycurb_core::quantity::Length;
use drycurb_tests::{ask, assert_near};
use serde_json::json;
use texture::Texture::*;

/// The definitions of the Soil Survey Manual (USDA Handbook 18, chapter 3, 2017; from memory),
/// sentence by sentence: whether a soil of so much sand, silt and clay is of a class.
fn is_of(class: Texture, sand: i32, silt: i32, clay: i32) -> bool {
    match class {
        Sand => sand > 85 && 2 * silt + 3 * clay < 30,
        LoamySand => (70..=91).contains(&sand) && 2 * silt + 3 * clay >= 30 && silt + 2 * clay < 30,
        SandyLoam => {
            (7..20).contains(&clay) && sand > 52 && silt + 2 * clay >= 30
                || clay < 7 && silt < 50 && sand > 43 && silt + 2 * clay >= 30
        }
        Loam => (7..27).contains(&clay) && (28..50).contains(&silt) && sand <= 52,
        SiltLoam => silt >= 50 && (12..27).contains(&clay) || (50..80).contains(&silt) && clay < 12,
        Silt => silt >= 80 && clay < 12,
        SandyClayLoam => (20..35).contains(&clay) && silt < 28 && sand > 45,
        ClayLoam => (27..40).contains(&clay) && sand > 20 && sand <= 45,
        SiltyClayLoam => (27..40).contains(&clay) && sand <= 20,
        // DIFFERENCE: printed "45 percent or more sand", which claims the line of clay and clay
        // loam at 45 % sand twice; the triangle drawn beside it gives that line to them.
        SandyClay => clay >= 35 && sand > 45,
        SiltyClay => clay >= 40 && silt >= 40,
        Clay => clay >= 40 && sand <= 45 && silt < 40,
    }
}

/// The same triangle as drawn in the Manual (its figure of the textural triangle; from memory): the
/// corners of each class, (sand, clay) in percent.
fn corners(class: Texture) -> &'static [(f64, f64)] {
    match class {
        Sand => &[(85.0, 0.0), (90.0, 10.0), (100.0, 0.0)],
        LoamySand => &[(70.0, 0.0), (85.0, 15.0), (90.0, 10.0), (85.0, 0.0)],
        SandyLoam => &[
            (50.0, 0.0),
            (43.0, 7.0),
            (52.0, 7.0),
            (52.0, 20.0),
            (80.0, 20.0),
            (85.0, 15.0),
            (70.0, 0.0),
        ],
        Loam => &[
            (43.0, 7.0),
            (23.0, 27.0),
            (45.0, 27.0),
            (52.0, 20.0),
            (52.0, 7.0),
        ],
        SiltLoam => &[
            (20.0, 0.0),
            (8.0, 12.0),
            (0.0, 12.0),
            (0.0, 27.0),
            (23.0, 27.0),
            (50.0, 0.0),
        ],
        Silt => &[(0.0, 0.0), (0.0, 12.0), (8.0, 12.0), (20.0, 0.0)],
        SandyClayLoam => &[
            (52.0, 20.0),
            (45.0, 27.0),
            (45.0, 35.0),
            (65.0, 35.0),
            (80.0, 20.0),
        ],
        ClayLoam => &[(20.0, 27.0), (20.0, 40.0), (45.0, 40.0), (45.0, 27.0)],
        SiltyClayLoam => &[(0.0, 27.0), (0.0, 40.0), (20.0, 40.0), (20.0, 27.0)],
        SandyClay => &[(45.0, 35.0), (45.0, 55.0), (65.0, 35.0)],
        SiltyClay => &[(0.0, 40.0), (0.0, 60.0), (20.0, 40.0)],
        Clay => &[
            (20.0, 40.0),
            (0.0, 60.0),
            (0.0, 100.0),
            (45.0, 55.0),
            (45.0, 40.0),
        ],
    }
}

/// Whether a point lies in a polygon or on its border.
fn is_within(polygon: &[(f64, f64)], x: f64, y: f64) -> bool {
    let mut is_inside = false;
    for (index, &(x1, y1)) in polygon.iter().enumerate() {
        let (x2, y2) = polygon[(index + 1) % polygon.len()];
        let cross = (x2 - x1) * (y - y1) - (y2 - y1) * (x - x1);
        let along = (x - x1) * (x - x2) + (y - y1) * (y - y2);
        if cross.abs() < 1e-9 && along <= 1e-9 {
            return true;
        }
        if (y1 > y) != (y2 > y) && x < x1 + (y - y1) / (y2 - y1) * (x2 - x1) {
            is_inside = !is_inside;
        }
    }
    is_inside
}

/// Source: USDA Soil Survey Manual, Handbook 18, chapter 3: definitions and figure.
#[test]
fn every_percent_of_the_triangle_has_the_class_of_text_and_figure() {
    let mut counted = 0;
    for sand in 0..=100 {
        for clay in 0..=100 - sand {
            let silt = 100 - sand - clay;
            let found = Texture::of_percent(sand.into(), silt.into(), clay.into()).unwrap();
            let defined: Vec<Texture> = Texture::ALL
                .into_iter()
                .filter(|c| is_of(*c, sand, silt, clay))
                .collect();
            assert_eq!(defined, [found], "sand {sand} silt {silt} clay {clay}");
            assert!(
                is_within(corners(found), sand.into(), clay.into()),
                "{found:?} is drawn elsewhere: sand {sand} silt {silt} clay {clay}"
            );
            counted += 1;
        }
    }
    assert_eq!(counted, 5_151);
}

#[test]
fn the_door_names_the_class_and_refuses_other_sums() {
    let found = ask(
        &json!({ "ask": "texture", "sand_percent": 60, "silt_percent": 15, "clay_percent": 25 }),
    );
    assert_eq!(found["soil"], "sandy_clay_loam");
    let rounded = Texture::of_percent(33.3, 33.3, 33.3);
    assert_eq!(rounded, Ok(ClayLoam));
    for (sand, silt, clay, faults) in [
        (40.0, 40.0, 21.5, 1),
        (40.0, 40.0, 18.5, 1),
        (f64::NAN, -1.0, 101.0, 3),
    ] {
        let refused = Texture::of_percent(sand, silt, clay).unwrap_err();
        assert_eq!(refused.len(), faults, "{refused:?}");
    }
}

/// Source: Thien 1979, J. Agron. Educ. 8:54-55, as redrawn by USDA-NRCS and extension services
/// (ribbon lengths 1 and 2 inches); the last step from memory.
#[test]
fn the_feel_of_soil_names_its_class() {
    let ribbon = |mm: f64| Ribbon::Breaks(Length::m(mm / 1_000.0));
    assert_eq!(by_feel(Ribbon::NoBall, Feel::Gritty), Sand);
    assert_eq!(by_feel(Ribbon::NoRibbon, Feel::Gritty), LoamySand);
    for (mm, gritty, smooth, neither) in [
        (15.0, SandyLoam, SiltLoam, Loam),
        (35.0, SandyClayLoam, SiltyClayLoam, ClayLoam),
        (60.0, SandyClay, SiltyClay, Clay),
    ] {
        assert_eq!(by_feel(ribbon(mm), Feel::Gritty), gritty);
        assert_eq!(by_feel(ribbon(mm), Feel::Smooth), smooth);
        assert_eq!(by_feel(ribbon(mm), Feel::Neither), neither);
    }
}

/// Source: Montana State University extension, jar test: layer over all layers is the percentage.
#[test]
fn a_jar_gives_shares_and_class() {
    let jar = by_jar(30.0, 30.0, 15.0).unwrap();
    assert_near(jar.sand_percent, 40.0, 1e-9);
    assert_near(jar.clay_percent, 20.0, 1e-9);
    assert_eq!(jar.soil, Loam);
    assert_eq!(by_jar(0.0, 0.0, 0.0).unwrap_err().len(), 1);
    assert_eq!(by_jar(f64::NAN, -1.0, 2_000.0).unwrap_err().len(), 3);
}

/// Source: Saxton & Rawls 2006, Soil Sci. Soc. Am. J. 70:1569-1578, Table 3 (2.5 % organic matter):
/// wilting point, field capacity, saturation in percent of volume, available water in mm/m,
/// conductivity in mm/h. From memory, agreeing with the paper's equations in public code; printed
/// to 0.1, ± 1 in the last place where the value ends near a half.
#[test]
#[rustfmt::skip]
fn soil_water_is_that_of_saxton_and_rawls() {
    let table = [
        (Sand, 5.0, 10.3, 46.2, 53.0, 108.1), (LoamySand, 5.1, 12.0, 46.0, 69.0, 96.7),
        (SandyLoam, 8.1, 17.9, 45.0, 98.0, 50.3), (Loam, 13.7, 28.0, 45.9, 143.0, 15.5),
        (SiltLoam, 11.0, 30.5, 47.9, 195.0, 16.1), (Silt, 5.7, 30.5, 47.9, 247.0, 22.0),
        (SandyClayLoam, 16.6, 26.7, 43.4, 101.0, 11.3), (ClayLoam, 21.8, 35.8, 47.7, 140.0, 4.3),
        (SiltyClayLoam, 21.5, 38.2, 51.1, 167.0, 5.7), (SandyClay, 24.9, 36.1, 44.4, 112.0, 1.4),
        (SiltyClay, 26.8, 40.9, 52.3, 141.0, 3.7), (Clay, 29.8, 42.1, 49.8, 123.0, 1.1),
    ];
    for (soil, wilting, capacity, full, available, conductivity) in table {
        let water = of_class(soil);
        assert_near(100.0 * water.wilting_point, wilting, 0.1);
        assert_near(100.0 * water.field_capacity, capacity, 0.1);
        assert_near(100.0 * water.full, full, 0.1);
        assert_near(1_000.0 * water.available(), available, 1.0);
        assert_near(water.conductivity_mm_per_h, conductivity, 0.051);
        assert_eq!(available_mm_per_m(soil), available);
    }
}
