//! When a job could leave the shop: working days counted from a given date. No clock is read.

use crate::{ShopError, ShopSettings, Weekday};
use handbook::{Source, Working};
use jiff::civil::Date;

/// Earliest likely and latest date of a job.
#[derive(Debug, Clone, PartialEq)]
pub struct PromisedDates {
    /// Likely (YYYY-MM-DD).
    pub likely: String,
    /// Kept nineteen times in twenty (YYYY-MM-DD).
    pub latest: String,
    /// How it was found.
    pub working: Working,
}

/// Promises a date: backlog and job hours at the shop's hours a week, then the handling days.
///
/// `counted_from` is a date (YYYY-MM-DD), `minutes` and `deviation` of the whole job.
///
/// # Errors
/// [`ShopError::Date`] when `counted_from` or a day of the settings is no date; [`ShopError::OutOfRange`] when the minutes or
/// the hours a week cannot be reckoned with.
pub fn promise(
    counted_from: &str,
    minutes: f64,
    deviation: f64,
    settings: &ShopSettings,
) -> Result<PromisedDates, ShopError> {
    let calendar = &settings.calendar;
    let day = |text: &str| text.parse::<Date>().map_err(|_| ShopError::Date { read: text.into() });
    let start = day(counted_from)?;
    let shut = calendar.shut.iter().map(|text| day(text)).collect::<Result<Vec<_>, _>>()?;
    let days_per_week = calendar.working_days.len() as f64;
    within("hours per week", calendar.hours_per_week, 1.0, 168.0)?;
    within("working days a week", days_per_week, 1.0, 7.0)?;
    within("minutes of the job", minutes, 0.0, 1e6)?;
    within("deviation of the minutes", deviation, 0.0, 1e6)?;
    within("backlog hours", calendar.backlog_hours, 0.0, 20_000.0)?;
    let hours = calendar.backlog_hours + minutes / 60.0;
    let backlog_deviation = calendar.backlog_hours * calendar.backlog_reach_percent / 200.0;
    let spread = crate::price::NINE_IN_TEN * (deviation / 60.0).hypot(backlog_deviation);
    let per_day = calendar.hours_per_week / days_per_week;
    let days = |hours: f64| (hours / per_day).ceil() as u32 + calendar.handling_days;
    let likely = after_working_days(start, days(hours), &calendar.working_days, &shut);
    let latest = after_working_days(start, days(hours + spread), &calendar.working_days, &shut);
    let working = Working::new(
        "working days to the promised date",
        f64::from(days(hours)),
        "days",
        "⌈(backlog + job)/(hours a week/days a week)⌉ + handling",
        Source::shop_setting("the shop's calendar"),
    )
    .with("backlog", "hours accepted and not yet done", calendar.backlog_hours, "h")
    .with("job", "hours of this job, middle", minutes / 60.0, "h")
    .with("hours a week", "bench hours", calendar.hours_per_week, "h")
    .with("days a week", "working days", days_per_week, "")
    .with("handling", "primer, packing, carrier", f64::from(calendar.handling_days), "days")
    .with("latest", "days that nineteen in twenty keep", f64::from(days(hours + spread)), "days");
    Ok(PromisedDates { likely: likely.to_string(), latest: latest.to_string(), working })
}

/// A date of a file or setting (YYYY-MM-DD) as it is printed, "23 November 2026"; what is no date stands as it was written.
#[must_use]
pub fn date_in_words(date: &str) -> String {
    date.trim().parse::<Date>().map_or_else(|_| date.to_owned(), |date| date.strftime("%-d %B %Y").to_string())
}

fn within(what: &str, got: f64, min: f64, max: f64) -> Result<(), ShopError> {
    if (min..=max).contains(&got) {
        return Ok(());
    }
    Err(ShopError::OutOfRange { what: what.into(), got, min, max })
}

/// Days looked at in one promise: the settings' limits keep a real promise far below it.
const MOST_DAYS: u32 = 200_000;

fn after_working_days(start: Date, days: u32, working: &[Weekday], shut: &[Date]) -> Date {
    let mut date = start;
    let mut left = days;
    for _ in 0..MOST_DAYS {
        if left == 0 {
            break;
        }
        let Ok(next) = date.tomorrow() else { break };
        date = next;
        if working.contains(&weekday(date)) && !shut.contains(&date) {
            left -= 1;
        }
    }
    date
}

fn weekday(date: Date) -> Weekday {
    match date.weekday() {
        jiff::civil::Weekday::Monday => Weekday::Mon,
        jiff::civil::Weekday::Tuesday => Weekday::Tue,
        jiff::civil::Weekday::Wednesday => Weekday::Wed,
        jiff::civil::Weekday::Thursday => Weekday::Thu,
        jiff::civil::Weekday::Friday => Weekday::Fri,
        jiff::civil::Weekday::Saturday => Weekday::Sat,
        jiff::civil::Weekday::Sunday => Weekday::Sun,
    }
}
