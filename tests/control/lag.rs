//! A sensor on a ramp of its room.

use crate::plant::{Lump, close, value_at};

#[test]
fn a_sensor_lags_a_ramp_by_rate_times_time_constant() {
    let rows =
        include_str!("data/ramp_lag.csv").lines().filter(|l| l.starts_with(char::is_numeric));
    let mut seen = 0;
    for row in rows {
        let (tau, lag) = row.split_once(',').expect("two columns");
        let mut lump = Lump::new(format!(
            "[control]\nkind = \"off\"\n[sensor.room]\nzone = \"room\"\ntime_constant = \"{tau} s\"\n\
             [room.table]\ntime = [\"0 s\", \"20 min\"]\ntemperature = [\"10 °C\", \"50 °C\"]\n\
             relative_humidity = [\"0 %RH\", \"0 %RH\"]\n[run]\nduration = \"20 min\""
        ));
        lump.power_w = 0.0;
        let constant = "temperature = \"24 °C\"\nrelative_humidity = \"0 %RH\"\n";
        let run = crate::plant::run(&lump.text().replacen(constant, "", 1));
        // After at least 19 time constants e^-19 of the start is left; the rest is the solver's.
        let read = value_at(&run, "sensor_room_temperature_C", 1200.0);
        close(&format!("lag of {tau} s"), 50.0 - read, lag.parse().expect("a number"), 1e-3);
        seen += 1;
    }
    assert_eq!(seen, 3);
}
