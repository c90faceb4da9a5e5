//! The guide's figures against published ones: heat index, wind chill, noise, distance from lines, ladders, lifting.

use rust_decimal::Decimal;
use tallyhand::guide::{
    limits::{self, Noise},
    weather,
};

/// Rows of a reference file as figures; a dash is `None`.
fn rows(text: &str) -> Vec<Vec<Option<f64>>> {
    let lines = text.lines().filter(|line| !line.starts_with('#') && !line.is_empty());
    lines
        .map(|line| line.split('\t').map(|cell| cell.parse().ok()).collect())
        .collect()
}

#[track_caller]
fn near(found: f64, expected: f64, within: f64, of: &str) {
    assert!((found - expected).abs() <= within, "{of}: {found}, expected {expected}");
}

/// Equation and chart of the National Weather Service; sources in the file. The chart is printed in whole degrees, and
/// cuts some of them off instead of rounding: within 1 degree, but where the file says that they differ.
#[test]
fn heat_index_is_the_published_one() {
    let rows = rows(include_str!("../../fixtures/references/guide/heat_index.txt"));
    assert!(rows.len() >= 26);
    for row in rows {
        let (t, r) = (row[0].expect("degrees"), row[1].expect("humidity"));
        let found = weather::heat_index(t, r);
        near(found, row[3].expect("a value"), 0.000_6, &format!("{t} F at {r}%"));
        let chart_leaves_adjustment_out = t == 80.0 && r == 100.0;
        if let Some(chart) = row[2].filter(|_| !chart_leaves_adjustment_out) {
            near(found, chart, 1.0, &format!("chart, {t} F at {r}%"));
        }
    }
}

/// 80 F and 100%: the chart's 87 is the equation without its damp-air adjustment, which is 15/10 x 7/5 = 2.1.
#[test]
fn the_chart_leaves_the_damp_air_adjustment_out_in_a_corner() {
    near(
        weather::heat_index(80.0, 100.0) - 2.1,
        87.2,
        0.05,
        "without the adjustment",
    );
}

/// Below 80 F the answer is the simple formula averaged with the temperature (the service's page, steps 1 and 2).
#[test]
fn mild_air_takes_the_simple_formula() {
    near(weather::heat_index(70.0, 50.0), 69.525, 0.000_5, "70 F at 50%");
}

/// Chart and formula of 2001; sources in the file.
#[test]
fn wind_chill_is_the_published_one() {
    let rows = rows(include_str!("../../fixtures/references/guide/wind_chill.txt"));
    assert!(rows.len() >= 14);
    for row in rows {
        let figure = |at: usize| row[at].expect("a figure");
        let found = weather::wind_chill(figure(0), figure(1));
        near(
            found,
            figure(3),
            0.000_6,
            &format!("{} F, {} mph", figure(0), figure(1)),
        );
        near(
            found.round(),
            figure(2),
            0.0,
            &format!("chart, {} F, {} mph", figure(0), figure(1)),
        );
    }
}

/// The formula holds up to 50 F and above 3 mph; outside of that the air temperature is given.
#[test]
fn beyond_its_limits_wind_chill_is_the_air() {
    assert_eq!(weather::wind_chill(51.0, 20.0), 51.0);
    assert_eq!(weather::wind_chill(20.0, 3.0), 20.0);
    assert!(weather::wind_chill(50.0, 3.1) < 50.1);
}

/// 29 CFR 1910.95, 5 dB exchange; sources in the file.
#[test]
fn noise_lasts_as_long_as_the_table_says() {
    for row in rows(include_str!("../../fixtures/references/guide/noise.txt")) {
        let (level, hours) = (row[0].expect("a level"), row[1].expect("hours"));
        near(limits::noise_hours(level), hours, 0.05, &format!("{level} dBA"));
    }
}

/// 29 CFR 1910.95 Appendix A: D = 100 x sum of C/T, TWA = 16.61 log10(D/100) + 90. The published worked example has 8 h
/// at 92 dBA as 131% with T = 6.1 from the table (https://stepo.ai/osha/1910/1910.95AppA, read 2026-11-25); with T from
/// the formula it is 131.95%.
#[test]
fn noise_doses_add_up() {
    let noise = |decibels, hours| Noise { decibels, hours };
    near(100.0 * 8.0 / 6.1, 131.15, 0.01, "the worked example");
    near(limits::noise_dose(&[noise(92.0, 8.0)]), 131.95, 0.01, "8 h at 92");
    let mixed = [noise(100.0, 2.0), noise(90.0, 4.0)];
    near(limits::noise_dose(&mixed), 150.0, 1e-9, "2 h at 100, 4 h at 90");
    near(limits::noise_average(150.0), 92.9, 0.05, "its average");
    let sawing = [noise(110.0, 0.5), noise(95.0, 3.0)];
    near(limits::noise_dose(&sawing), 175.0, 1e-9, "0.5 h at 110, 3 h at 95");
    near(limits::noise_average(175.0), 94.0, 0.05, "its average");
    near(
        limits::noise_average(50.0),
        85.0,
        0.01,
        "half a dose is 85 dBA, the action level",
    );
}

/// 29 CFR 1910.333(c)(3)(i) by OSHA's page on line-clearance tree trimming, read 2026-11-25: 10 ft to 50 kV, then 4 in
/// more for every 10 kV; a part of 10 kV counted whole.
#[test]
fn people_stay_off_a_line_by_the_rule() {
    let inches = |kv: &str| limits::line_inches(kv.parse().expect("kilovolts"));
    let feet = |feet: i64, more: i64| Decimal::from(12 * feet + more);
    for (kv, keep) in [
        ("0.24", feet(10, 0)),
        ("12", feet(10, 0)),
        ("50", feet(10, 0)),
        ("60", feet(10, 4)),
        ("69", feet(10, 8)),
        ("115", feet(12, 4)),
        ("138", feet(13, 0)),
        ("230", feet(16, 0)),
        ("345", feet(20, 0)),
    ] {
        assert_eq!(inches(kv), keep, "{kv} kV");
    }
}

/// A quarter of the working length: 12, 16, 20 and 24 ft stand 3, 4, 5 and 6 ft out (University and county ladder
/// pages, read 2026-11-25). The angle is 75.5 degrees, as 29 CFR 1926.1053(a)(1)(ii) tests leaning ladders.
#[test]
fn a_ladder_stands_a_quarter_out() {
    for (length, base) in [(12, 3), (16, 4), (20, 5), (24, 6)] {
        assert_eq!(limits::ladder_base_feet(length.into()), base.into(), "{length} ft");
    }
    near(0.25_f64.acos().to_degrees(), 75.5, 0.03, "the angle");
}

/// Load constant of the revised lifting equation, NIOSH 94-110: 51 lb, 23 kg.
#[test]
fn the_load_constant_is_the_published_one() {
    assert_eq!(limits::LIFT_POUNDS, 51);
    near(f64::from(limits::LIFT_POUNDS) * 0.453_592_37, 23.0, 0.2, "in kilograms");
}

/// 5 seconds a mile (a page on the 30-30 rule, read 2026-11-25): 5, 15 and 30 seconds are 1, 3 and 6 miles.
#[test]
fn thunder_comes_a_mile_in_five_seconds() {
    for (seconds, miles) in [(5, 1), (15, 3), (30, 6)] {
        assert_eq!(limits::flash_miles(seconds.into()), miles.into());
    }
}
