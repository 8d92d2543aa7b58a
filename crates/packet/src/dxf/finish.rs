//! What the writer leaves undone: dates that do not move, and handles for the heads of the tables.
//!
//! A DXF file is pairs of lines, a group code and a value. The writer stamps dates from the clock in the local time
//! zone; here they become one fixed day. It also leaves the heads of the tables without a handle, which strict readers
//! mend with a warning; here they get the next free ones.

/// Julian date of 1 January 2000, 00:00.
const FIXED_JULIAN_DATE: &str = "2451544.5";

/// Header variables that hold a date.
const DATES: [&str; 4] = ["$TDCREATE", "$TDUCREATE", "$TDUPDATE", "$TDUUPDATE"];

/// Returns the finished file, line ends CR LF.
pub fn finish(file: &str) -> String {
    let pairs = pairs(file);
    let first_free = free_handle(&pairs);
    let tables = pairs.iter().filter(|pair| **pair == ("0", "TABLE")).count() as u64;
    let mut finished = String::with_capacity(file.len() + 200);
    let mut handle = first_free;
    let mut before = ("", "");
    for (code, value) in pairs {
        match before {
            ("9", name) if DATES.contains(&name) => put(&mut finished, code, FIXED_JULIAN_DATE),
            ("9", "$HANDSEED") => put(&mut finished, code, &format!("{:X}", first_free + tables)),
            _ => put(&mut finished, code, value),
        }
        if before == ("0", "TABLE") && code == "2" {
            put(&mut finished, "5", &format!("{handle:X}"));
            handle += 1;
        }
        before = (code, value);
    }
    finished
}

/// Group codes lose their padding; values keep their leading blanks, which belong to texts.
fn pairs(file: &str) -> Vec<(&str, &str)> {
    let mut lines = file.lines();
    std::iter::from_fn(|| Some((lines.next()?.trim(), lines.next()?))).collect()
}

fn free_handle(pairs: &[(&str, &str)]) -> u64 {
    let seed = pairs.windows(2).find_map(|window| match window {
        [("9", "$HANDSEED"), (_, value)] => u64::from_str_radix(value.trim(), 16).ok(),
        _ => None,
    });
    seed.unwrap_or(0xFFFF)
}

fn put(file: &mut String, code: &str, value: &str) {
    for part in [code, "\r\n", value, "\r\n"] {
        file.push_str(part);
    }
}
