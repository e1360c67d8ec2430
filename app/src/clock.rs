//! The only place that asks what time it is.

/// Now, UTC, as the record writes it: `2026-11-25 07:10:42`.
pub(crate) fn utc() -> String {
    let iso = String::from(js_sys::Date::new_0().to_iso_string());
    iso.get(..19).unwrap_or(&iso).replace('T', " ")
}

/// Now, UTC, to the millisecond: `2026-11-25 07:10:42.123`.
pub(crate) fn precise() -> String {
    let iso = String::from(js_sys::Date::new_0().to_iso_string());
    iso.get(..23).unwrap_or(&iso).replace('T', " ")
}

/// The time of day on the wall, `07:10`.
pub(crate) fn wall() -> String {
    let now = js_sys::Date::new_0();
    format!("{:02}:{:02}", now.get_hours(), now.get_minutes())
}

/// Today where the user is, `2026-11-25`.
pub(crate) fn today() -> String {
    let now = js_sys::Date::new_0();
    format!("{:04}-{:02}-{:02}", now.get_full_year(), now.get_month() + 1, now.get_date())
}
