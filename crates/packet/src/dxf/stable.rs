//! The writer stamps local dates, which differ with the clock and with the time zone; here they become a fixed day.

/// Julian date of 1 January 2000, 00:00.
const FIXED_JULIAN_DATE: &str = "2451544.5";

/// Header variables that hold a date or a span of time.
const DATES: [&str; 4] = ["$TDCREATE", "$TDUCREATE", "$TDUPDATE", "$TDUUPDATE"];

/// Returns the file with its dates fixed. A DXF file is pairs of lines: group code, value.
pub fn with_fixed_dates(file: &str) -> String {
    let mut fixed = String::with_capacity(file.len());
    let mut lines = file.lines();
    let mut in_date = false;
    while let (Some(code), Some(value)) = (lines.next(), lines.next()) {
        let value = if in_date { FIXED_JULIAN_DATE } else { value };
        in_date = code.trim() == "9" && DATES.contains(&value.trim());
        for line in [code, value] {
            fixed.push_str(line);
            fixed.push_str("\r\n");
        }
    }
    fixed
}
