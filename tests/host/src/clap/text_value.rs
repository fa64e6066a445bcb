//! Values as a person writes them: "-6", "-6 LU", "4 kHz", "on". The plug-in reads them; what is added here is an
//! error where the plug-in takes another value, for it moves one that is out of range to the nearest end.

use std::ffi::CString;

use anyhow::{Result, bail};
use clack_extensions::params::PluginParams;
use clack_host::plugin::PluginMainThreadHandle;
use clack_host::utils::ClapId;

use super::Parameter;

/// Room for a value's text; the plug-in cuts what is longer.
const TEXT_BYTES: usize = 128;

/// How far the number that a person gave may lie from an end of the range and still be that end, relative to it:
/// above the error of single precision, below any difference that a person would write.
const SAME_NUMBER: f64 = 1e-5;

/// A value as the plug-in writes it, with its unit.
pub fn write(
    params: PluginParams,
    plugin: &PluginMainThreadHandle,
    parameter: &Parameter,
    value: f64,
) -> String {
    let mut buffer = [0; TEXT_BYTES];
    params
        .value_to_text(plugin, ClapId::new(parameter.clap_id), value, &mut buffer)
        .map(|text| String::from_utf8_lossy(text).into_owned())
        .unwrap_or_default()
}

/// The value that `text` stands for, in CLAP's scale; an error says what the parameter takes.
pub fn read(
    params: PluginParams,
    plugin: &PluginMainThreadHandle,
    parameter: &Parameter,
    text: &str,
) -> Result<f64> {
    let write = |value: f64| write(params, plugin, parameter, value);
    let value = CString::new(text)
        .ok()
        .and_then(|text| params.text_to_value(plugin, ClapId::new(parameter.clap_id), &text))
        .filter(|value| value.is_finite());
    let (id, [lowest, highest]) = (&parameter.id, [parameter.lowest, parameter.highest].map(write));
    match value {
        None if parameter.is_stepped() => {
            let steps = parameter.lowest as u32..=parameter.highest as u32;
            let words: Vec<String> = steps.map(|step| write(f64::from(step))).collect();
            bail!(
                "{id}: \"{text}\" is none of its values; it takes {}",
                words.join(", ")
            );
        }
        None => bail!("{id}: \"{text}\" is not a value; it takes {lowest} to {highest}"),
        Some(value) if !parameter.is_stepped() && is_changed(parameter, text, value, &write(value)) => {
            bail!("{id}: {text} is out of range; it takes {lowest} to {highest}");
        }
        Some(value) => Ok(value),
    }
}

/// Whether the plug-in took another value than the one that was given.
fn is_changed(parameter: &Parameter, given: &str, value: f64, taken: &str) -> bool {
    match (Number::parse(given), Number::parse(taken)) {
        (None, _) => false,
        // A word, such as "off", may replace the last number; zero is the one number that it may mean.
        (Some(given), None) => given.base != 0.0,
        (Some(given), Some(taken)) => {
            let at_an_end = value <= parameter.lowest || value >= parameter.highest;
            let tolerance = if at_an_end { 0.0 } else { taken.resolution / 2.0 };
            let rounding = SAME_NUMBER * taken.base.abs().max(1.0);
            let differs = |base: f64| (base - taken.base).abs() > tolerance + rounding;
            // The plug-in reads a small frequency without a unit as kHz.
            differs(given.base) && (given.has_unit || differs(given.base * 1000.0))
        }
    }
}

/// A number with its unit's prefix taken in: 4 kHz is 4000, 1.2 s is 1200 (ms).
#[derive(Debug, Clone, Copy, PartialEq)]
struct Number {
    base: f64,
    /// One unit of the last digit that is written.
    resolution: f64,
    has_unit: bool,
}

impl Number {
    fn parse(text: &str) -> Option<Self> {
        let text = text.trim().replace('\u{2212}', "-").replace(',', ".");
        let end = text
            .find(|letter: char| !letter.is_ascii_digit() && !"+-.".contains(letter))
            .unwrap_or(text.len());
        let (digits, unit) = text.split_at(end);
        let number: f64 = digits.parse().ok()?;
        let decimals = digits.split_once('.').map_or(0, |(_, decimals)| decimals.len());
        let scale = match unit.trim().to_ascii_lowercase().as_str() {
            "k" | "khz" | "s" => 1000.0,
            "us" | "\u{b5}s" | "\u{3bc}s" => 0.001,
            _ => 1.0,
        };
        Some(Self {
            base: number * scale,
            resolution: scale * 0.1_f64.powi(decimals as i32),
            has_unit: !unit.trim().is_empty(),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_carry_their_prefix_and_their_last_digit() {
        let parse = |text| Number::parse(text).map(|number| (number.base, number.resolution));
        assert_eq!(parse("4.0 kHz"), Some((4000.0, 100.0)));
        assert_eq!(parse(" -6"), Some((-6.0, 1.0)));
        assert_eq!(parse("\u{2212}6 LU"), Some((-6.0, 1.0)));
        assert_eq!(parse("2 s"), Some((2000.0, 1000.0)));
        assert_eq!(parse("6.0 : 1").map(|(base, _)| base), Some(6.0));
        assert_eq!(parse("off"), None);
        assert_eq!(parse("inf"), None);
    }
}
