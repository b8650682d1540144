//! Days of the calendar and the time of day as text.

const DAY_S: f64 = 86_400.0;

/// Days since 1970-01-01 of a date of the Gregorian calendar; none when there is no such date.
#[must_use]
pub fn days(year: i64, month: u32, day: u32) -> Option<i64> {
    let leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    let longest = match month {
        2 => 28 + u32::from(leap),
        4 | 6 | 9 | 11 => 30,
        1..=12 => 31,
        _ => return None,
    };
    if day == 0 || day > longest || !(1900..=2200).contains(&year) {
        return None;
    }
    // Years begin in March, so that the leap day comes last.
    let y = if month <= 2 { year - 1 } else { year };
    let m = i64::from(if month <= 2 { month + 9 } else { month - 3 });
    let day_of_year = (153 * m + 2) / 5 + i64::from(day) - 1;
    Some(365 * y + y / 4 - y / 100 + y / 400 + day_of_year - 719_468)
}

/// Year, month and day of a count of days since 1970-01-01: the inverse of [`days`].
#[must_use]
pub fn civil(days: i64) -> (i64, u32, u32) {
    // Early by a year or more, never late.
    let mut year = 1970 + days.div_euclid(if days < 0 { 365 } else { 366 });
    let new_year = |y: i64| {
        let y = y - 1;
        365 * y + y / 4 - y / 100 + y / 400 - 719_162
    };
    while new_year(year + 1) <= days {
        year += 1;
    }
    let mut rest = days - new_year(year);
    let leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    let lengths = [31, 28 + i64::from(leap), 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];
    let mut month = 1;
    for length in lengths {
        if rest < length {
            break;
        }
        rest -= length;
        month += 1;
    }
    (year, month, rest as u32 + 1)
}

/// The month that a word names by its first three letters, and the length of the word.
#[must_use]
pub fn month(text: &str) -> Option<(u32, usize)> {
    const NAMES: [&str; 12] =
        ["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"];
    let length = text.bytes().take_while(u8::is_ascii_alphabetic).count();
    let name = text.get(..3).filter(|_| (3..=9).contains(&length))?.to_ascii_lowercase();
    NAMES.iter().position(|m| *m == name).map(|m| (m as u32 + 1, length))
}

/// ISO 8601 of a clock: with the date when known, with the offset when known.
#[must_use]
pub fn iso(clock_s: f64, dated: bool, offset_s: Option<f64>) -> String {
    let milli = (clock_s * 1e3).round();
    let days = (milli / (DAY_S * 1e3)).floor();
    let of_day = milli - days * DAY_S * 1e3;
    let (seconds, fraction) = ((of_day / 1e3).floor() as u64, (of_day % 1e3) as u64);
    let mut text = String::new();
    if dated {
        let (year, month, day) = civil(days as i64);
        text = format!("{year:04}-{month:02}-{day:02}T");
    }
    text += &format!("{:02}:{:02}:{:02}", seconds / 3600, seconds / 60 % 60, seconds % 60);
    if fraction > 0 {
        text += &format!(".{fraction:03}");
    }
    match offset_s {
        Some(0.0) => text + "Z",
        Some(offset) => {
            let sign = if offset < 0.0 { '-' } else { '+' };
            let minutes = (offset.abs() / 60.0).round() as u64;
            text + &format!("{sign}{:02}:{:02}", minutes / 60, minutes % 60)
        }
        None => text,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_and_civil_are_inverses() {
        assert_eq!(days(1970, 1, 1), Some(0));
        assert_eq!(days(2026, 3, 14), Some(20_526));
        assert_eq!((days(2025, 2, 29), days(2024, 2, 29).is_some()), (None, true));
        for d in -20_000..60_000 {
            let (year, month, day) = civil(d);
            assert_eq!(days(year, month, day), Some(d));
        }
    }

    #[test]
    fn clocks_are_written_in_iso() {
        assert_eq!(iso(20_526.0 * DAY_S + 54_130.0, true, None), "2026-03-14T15:02:10");
        assert_eq!(iso(84_664.267, false, None), "23:31:04.267");
        assert_eq!(iso(90_000.0, false, None), "01:00:00");
        assert_eq!(iso(0.0, true, Some(-12_600.0)), "1970-01-01T00:00:00-03:30");
    }
}
