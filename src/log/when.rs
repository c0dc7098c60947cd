//! Moments as a calendar says them. Civil dates from days since 1970 in the proleptic Gregorian calendar (Howard
//! Hinnant, "chrono-compatible low-level date algorithms", 2013, `civil_from_days`).

const MS_PER_SECOND: i64 = 1000;
const MS_PER_MINUTE: i64 = 60_000;
const MS_PER_DAY: i64 = 86_400_000;

/// Date and time, such as `2026-02-14 13:05`, of ms since 1970 UTC, where clocks are `offset` minutes ahead of UTC.
pub fn date_time(ms: u64, offset: i32) -> String {
    let local = local(ms, offset);
    let minute = local.rem_euclid(MS_PER_DAY) / MS_PER_MINUTE;
    format!("{} {:02}:{:02}", day_of(local), minute / 60, minute % 60)
}

/// The date alone, such as `2026-02-14`.
pub fn date(ms: u64, offset: i32) -> String {
    day_of(local(ms, offset))
}

/// The time of day alone, to the second, such as `13:05:09`.
pub fn time(ms: u64, offset: i32) -> String {
    let second = local(ms, offset).rem_euclid(MS_PER_DAY) / MS_PER_SECOND;
    format!(
        "{:02}:{:02}:{:02}",
        second / 3600,
        second / 60 % 60,
        second % 60
    )
}

/// How long ago a moment is, in words: the greatest whole unit. A moment to come, by a clock that was set back, is now.
pub fn ago(ms: u64, now: u64) -> String {
    let minutes = now.saturating_sub(ms) / MS_PER_MINUTE.unsigned_abs();
    let (count, unit) = match minutes {
        0 => return "just now".to_owned(),
        1..60 => (minutes, "minute"),
        60..1440 => (minutes / 60, "hour"),
        _ => (minutes / 1440, "day"),
    };
    let plural = if count == 1 { "" } else { "s" };
    format!("{count} {unit}{plural} ago")
}

fn local(ms: u64, offset: i32) -> i64 {
    // Times beyond what was checked end at the last day that can be written.
    i64::try_from(ms).unwrap_or(i64::MAX).min(i64::MAX / 4) + i64::from(offset) * MS_PER_MINUTE
}

fn day_of(local: i64) -> String {
    let z = local.div_euclid(MS_PER_DAY) + 719_468;
    let era = z.div_euclid(146_097);
    let day_of_era = z.rem_euclid(146_097);
    let year_of_era =
        (day_of_era - day_of_era / 1460 + day_of_era / 36_524 - day_of_era / 146_096) / 365;
    let day_of_year = day_of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
    let month_from_march = (5 * day_of_year + 2) / 153;
    let day = day_of_year - (153 * month_from_march + 2) / 5 + 1;
    let month = if month_from_march < 10 {
        month_from_march + 3
    } else {
        month_from_march - 9
    };
    let year = year_of_era + era * 400 + i64::from(month <= 2);
    format!("{year:04}-{month:02}-{day:02}")
}

/// The moment of a text such as `2026-02-14 13:05` on clocks that are `offset` minutes ahead of UTC, ms since 1970; a `T`
/// may stand for the blank, and a date alone is noon of that day. `None` where it is no moment from 1970 on.
pub fn parse(text: &str, offset: i32) -> Option<u64> {
    let text = text.trim();
    let (day, time) = text.split_once([' ', 'T']).unwrap_or((text, "12:00"));
    let number = |text: &str, digits: usize| {
        let plain = text.len() == digits && text.bytes().all(|b| b.is_ascii_digit());
        plain.then(|| text.parse::<i64>().ok()).flatten()
    };
    let mut parts = day.split('-');
    let mut next = |digits| number(parts.next()?, digits);
    let (year, month, day) = (next(4)?, next(2)?, next(2)?);
    let (hour, minute) = time.trim().split_once(':')?;
    let (hour, minute) = (number(hour, 2)?, number(minute, 2)?);
    if parts.next().is_some() || hour > 23 || minute > 59 {
        return None;
    }
    let ms = days_to(year, month, day) * MS_PER_DAY + (hour * 60 + minute) * MS_PER_MINUTE;
    // A day that the month does not have comes back as another.
    let said = format!("{year:04}-{month:02}-{day:02}");
    (day_of(ms) == said)
        .then(|| u64::try_from(ms - i64::from(offset) * MS_PER_MINUTE).ok())
        .flatten()
}

/// Days from 1970-01-01 to a civil date (Hinnant 2013, `days_from_civil`).
fn days_to(year: i64, month: i64, day: i64) -> i64 {
    let year = year - i64::from(month <= 2);
    let era = year.div_euclid(400);
    let year_of_era = year.rem_euclid(400);
    let day_of_year = (153 * ((month + 9) % 12) + 2) / 5 + day - 1;
    let day_of_era = year_of_era * 365 + year_of_era / 4 - year_of_era / 100 + day_of_year;
    era * 146_097 + day_of_era - 719_468
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_moment_reads_as_it_was_written() {
        for ms in [0, 951_782_400_000, 1_645_557_720_000, 4_107_542_340_000] {
            for offset in [0, 60, -330] {
                let text = date_time(ms, offset);
                let back = parse(&text, offset);
                // Before 1970 on clocks behind UTC is still the same moment.
                assert_eq!(back, Some(ms), "{text}");
                assert_eq!(parse(&text.replace(' ', "T"), offset), Some(ms));
            }
        }
        assert_eq!(
            date_time(parse("2026-02-14", 60).unwrap(), 60),
            "2026-02-14 12:00"
        );
        for text in [
            "",
            "2026",
            "2026-02",
            "2026-02-30",
            "2026-13-01",
            "2026-02-14 24:00",
            "2026-02-14 1:05",
            "14.02.2026",
            "2026-02-14-01",
            "1969-12-31",
            "+026-02-14",
            "2026-02-1é",
        ] {
            assert_eq!(parse(text, 0), None, "{text}");
        }
    }

    #[test]
    fn times_and_ages_are_in_words() {
        assert_eq!(time(1_645_557_742_000, 0), "19:22:22");
        assert_eq!(time(1_645_557_742_000, 330), "00:52:22");
        let now = 1_645_557_742_000;
        let before = |minutes: u64| ago(now - minutes * 60_000, now);
        assert_eq!(before(0), "just now");
        assert_eq!(before(1), "1 minute ago");
        assert_eq!(before(59), "59 minutes ago");
        assert_eq!(before(119), "1 hour ago");
        assert_eq!(before(1439), "23 hours ago");
        assert_eq!(before(3 * 1440), "3 days ago");
        assert_eq!(ago(now + 1, now), "just now");
    }

    #[test]
    fn dates_are_those_of_the_calendar() {
        assert_eq!(date_time(0, 0), "1970-01-01 00:00");
        assert_eq!(date(951_782_400_000, 0), "2000-02-29");
        assert_eq!(date_time(1_645_557_742_000, 0), "2022-02-22 19:22");
        assert_eq!(date_time(1_645_557_742_000, 330), "2022-02-23 00:52");
        assert_eq!(date_time(1_000, -60), "1969-12-31 23:00");
        assert_eq!(date(4_107_542_399_999, 0), "2100-02-28");
        assert!(!date_time(u64::MAX, i32::MAX).is_empty());
    }
}
