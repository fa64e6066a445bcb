//! Values as people read and type them. Every reader takes a number with its unit, with another unit of the same
//! kind, or alone; a decimal comma and a typographic minus are understood. What cannot be read changes nothing.

/// A number and the lower-case text behind it.
fn number_and_unit(text: &str) -> Option<(f32, String)> {
    let text = text
        .trim()
        .to_lowercase()
        .replace('\u{2212}', "-")
        .replace(',', ".");
    let end = text
        .find(|letter: char| !(letter.is_ascii_digit() || "+-.".contains(letter)))
        .unwrap_or(text.len());
    let (number, unit) = text.split_at(end);
    let number: f32 = number.parse().ok().filter(|value: &f32| value.is_finite())?;
    Some((number, unit.trim().to_owned()))
}

/// A number whose unit is one of `units` or left out.
fn number_in(text: &str, units: &[&str]) -> Option<f32> {
    let (number, unit) = number_and_unit(text)?;
    (unit.is_empty() || units.contains(&unit.as_str())).then_some(number)
}

/// Text that reads "-0.0" loses its sign.
fn signless_zero(text: String) -> String {
    match text.strip_prefix('-') {
        Some(digits) if digits.chars().all(|letter| letter == '0' || letter == '.') => digits.to_owned(),
        _ => text,
    }
}

/// "-6.0 dB", "-24.0 LUFS": one decimal and the unit.
pub fn level(value: f32, unit: &str) -> String {
    format!("{} {unit}", signless_zero(format!("{value:.1}")))
}

/// Reads any level: LU, LUFS and dB differ by their reference only, which the parameter knows.
pub fn read_level(text: &str) -> Option<f32> {
    number_in(text, &["db", "lu", "lufs", "lkfs"])
}

/// "0.50 ms", "4.0 ms", "400 ms": three digits at most.
pub fn milliseconds(ms: f32) -> String {
    match ms {
        ms if ms < 0.995 => format!("{ms:.2} ms"),
        ms if ms < 99.95 => format!("{ms:.1} ms"),
        ms => format!("{ms:.0} ms"),
    }
}

/// Reads ms; "1.2 s" and "500 us" too.
pub fn read_milliseconds(text: &str) -> Option<f32> {
    match number_and_unit(text)? {
        (ms, unit) if unit.is_empty() || unit == "ms" => Some(ms),
        (seconds, unit) if unit == "s" => Some(seconds * 1000.0),
        (microseconds, unit) if ["us", "µs", "μs"].contains(&unit.as_str()) => Some(microseconds / 1000.0),
        _ => None,
    }
}

/// "600 Hz", "4.00 kHz".
pub fn hertz(hz: f32) -> String {
    if hz < 999.5 {
        format!("{hz:.0} Hz")
    } else {
        format!("{:.2} kHz", hz / 1000.0)
    }
}

/// No frequency of this plug-in lies below: a smaller number without a unit is meant in kHz.
const LOWEST_BARE_HZ: f32 = 20.0;

/// Reads "4k", "4 kHz", "4000", "4000 Hz" and "4" alike.
pub fn read_hertz(text: &str) -> Option<f32> {
    match number_and_unit(text)? {
        (number, unit) if unit.is_empty() && number < LOWEST_BARE_HZ => Some(number * 1000.0),
        (hz, unit) if unit.is_empty() || unit == "hz" => Some(hz),
        (khz, unit) if unit == "k" || unit == "khz" => Some(khz * 1000.0),
        _ => None,
    }
}

/// "25 %".
pub fn percent(percent: f32) -> String {
    format!("{} %", signless_zero(format!("{percent:.0}")))
}

/// Reads "25", "25%" and "25 %".
pub fn read_percent(text: &str) -> Option<f32> {
    number_in(text, &["%", "percent"])
}

/// "6.0 : 1".
pub fn ratio(ratio: f32) -> String {
    format!("{ratio:.1} : 1")
}

/// Reads "6", "6:1" and "6.0 : 1".
pub fn read_ratio(text: &str) -> Option<f32> {
    let (number, unit) = number_and_unit(text)?;
    let unit: String = unit.split_whitespace().collect();
    ["", ":1", ":1.0", "to1"]
        .contains(&unit.as_str())
        .then_some(number)
}

/// How an infinite ratio reads.
pub const INFINITE_RATIO: &str = "inf : 1";

/// Whether `text` means an infinite ratio.
pub fn reads_infinite(text: &str) -> bool {
    let text: String = text.to_lowercase().split_whitespace().collect();
    let text = text.trim_end_matches(":1").trim_end_matches("to1");
    ["inf", "infinity", "infinite", "∞"].contains(&text)
}

/// How a switch, or a value that is switched off at its end, reads.
pub fn switch(on: bool) -> String {
    if on { "on" } else { "off" }.to_owned()
}

/// Reads a switch.
pub fn read_switch(text: &str) -> Option<bool> {
    match text.trim().to_lowercase().as_str() {
        "on" | "yes" | "true" | "1" => Some(true),
        "off" | "no" | "false" | "0" => Some(false),
        _ => None,
    }
}

/// Reads one of `names`, whatever its case and spaces; the unit of a name ("5 ms") may be left out.
pub fn read_choice(text: &str, names: &[&str]) -> Option<usize> {
    let plain = |text: &str| text.to_lowercase().split_whitespace().collect::<String>();
    let text = plain(text);
    names.iter().position(|name| plain(name) == text).or_else(|| {
        let number = read_milliseconds(&text)?;
        names
            .iter()
            .position(|name| read_milliseconds(name) == Some(number))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_level_reads_with_any_unit_or_none() {
        for text in ["-6", "-6 dB", "-6dB", "-6.0 LU", " -6 lufs ", "\u{2212}6,0 dB"] {
            assert_eq!(read_level(text), Some(-6.0), "{text}");
        }
        for text in ["", "dB", "six", "-6 ms", "1e99", "nan", "inf", "--6", "6 6"] {
            assert_eq!(read_level(text), None, "{text}");
        }
        assert_eq!(level(-0.04, "dB"), "0.0 dB");
        assert_eq!(level(-6.0, "LU"), "-6.0 LU");
    }

    #[test]
    fn a_time_reads_in_ms_s_and_us() {
        for (text, ms) in [
            ("5", 5.0),
            ("5 ms", 5.0),
            ("0.4s", 400.0),
            ("500 us", 0.5),
            ("500 µs", 0.5),
        ] {
            assert_eq!(read_milliseconds(text), Some(ms), "{text}");
        }
        assert_eq!(read_milliseconds("5 dB"), None);
        let shown = [0.5, 0.999, 4.0, 99.99, 400.0].map(milliseconds);
        assert_eq!(shown, ["0.50 ms", "1.0 ms", "4.0 ms", "100 ms", "400 ms"]);
    }

    #[test]
    fn a_frequency_reads_in_hz_and_khz() {
        for text in ["4k", "4 kHz", "4000", "4000 Hz", "4.00 kHz", "4", "4,0 k"] {
            assert_eq!(read_hertz(text), Some(4000.0), "{text}");
        }
        assert_eq!(read_hertz("40"), Some(40.0));
        assert_eq!(
            [40.0, 999.0, 999.9, 4000.0].map(hertz),
            ["40 Hz", "999 Hz", "1.00 kHz", "4.00 kHz"]
        );
    }

    #[test]
    fn a_ratio_reads_with_and_without_its_one() {
        for text in ["6", "6:1", "6.0 : 1", "6 to 1"] {
            assert_eq!(read_ratio(text), Some(6.0), "{text}");
        }
        assert_eq!(read_ratio("6:2"), None);
        for text in ["inf", "Infinity", "∞", "inf : 1", "∞:1"] {
            assert!(reads_infinite(text), "{text}");
        }
        assert!(!reads_infinite("6"));
    }

    #[test]
    fn switches_choices_and_percents_read() {
        assert_eq!(
            [" On ", "0", "maybe"].map(read_switch),
            [Some(true), Some(false), None]
        );
        assert_eq!(["50%", "50", "50 %"].map(read_percent), [Some(50.0); 3]);
        let times = ["0 ms", "2 ms", "5 ms"];
        assert_eq!(
            ["5", "5ms", "5.0 ms", "0.002 s"].map(|text| read_choice(text, &times)),
            [Some(2), Some(2), Some(2), Some(1)]
        );
        assert_eq!(read_choice("3", &times), None);
        assert_eq!(
            read_choice("THIS track", &["Reference voice", "This track"]),
            Some(1)
        );
    }
}
