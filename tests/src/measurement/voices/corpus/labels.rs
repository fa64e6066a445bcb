//! The labels of a recording: a line each, start and end in samples and the symbol, parted by tabs.

use anyhow::{Context, Result, bail, ensure};

use super::phones::Notation;
use super::recording::Phone;

/// The labels of a sound of `length` samples. An error names the first line that is wrong.
pub fn read_labels(text: &str, notation: Notation, length: usize) -> Result<Vec<Phone>> {
    let mut phones = Vec::new();
    let mut above = 0;
    for (index, text) in text.lines().enumerate() {
        let line = index + 1;
        let phone = parse(text, line, notation)?;
        let (start, end) = (phone.span.start, phone.span.end);
        ensure!(
            above <= start && start < end && end <= length,
            "line {line}: samples {start} to {end} do not follow the label above within {length} samples of sound"
        );
        above = end;
        phones.push(phone);
    }
    Ok(phones)
}

fn parse(text: &str, line: usize, notation: Notation) -> Result<Phone> {
    let form = || format!("line {line}: this is not start, end and symbol, parted by tabs: {text:?}");
    let fields: Vec<&str> = text.split('\t').collect();
    let &[start, end, symbol] = fields.as_slice() else {
        bail!(form());
    };
    let sample = |field: &str| field.parse().ok().with_context(form);
    let span = sample(start)?..sample(end)?;
    let sound = notation
        .sound(symbol)
        .with_context(|| format!("line {line}: {symbol:?} is no symbol of the notation {notation:?}"))?;
    Ok(Phone::new(symbol, sound, span))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measurement::voices::corpus::Sound;

    fn read(text: &str) -> Result<Vec<Phone>> {
        read_labels(text, Notation::Arpabet, 1000)
    }

    #[test]
    fn labels_come_in_order_with_gaps_and_silence() {
        let phones = read("0\t100\t\n100\t250\tS\n300\t1000\tIY1\n").unwrap();
        let found: Vec<_> = phones
            .iter()
            .map(|phone| (phone.span.clone(), phone.sound))
            .collect();
        assert_eq!(
            found,
            [
                (0..100, Sound::Rest),
                (100..250, Sound::Sibilant),
                (300..1000, Sound::Vowel)
            ]
        );
        assert_eq!(phones[2].symbol, "IY1");
    }

    #[test]
    fn a_line_that_is_wrong_is_named() {
        for text in ["0\t10", "0\t10\tS\tS", "-1\t10\tS", "0.5\t10\tS", "0 10 S"] {
            let error = read(&format!("0\t1\tS\n{text}\n")).unwrap_err().to_string();
            assert!(
                error.starts_with("line 2: this is not start, end and symbol"),
                "{error}"
            );
        }
        for text in ["50\t120\tS", "100\t100\tS", "120\t110\tS", "900\t1001\tS"] {
            let error = read(&format!("0\t100\tS\n{text}\n")).unwrap_err().to_string();
            assert!(error.starts_with("line 2: samples "), "{error}");
        }
        let error = read("0\t100\tS\n100\t200\tQX\n").unwrap_err().to_string();
        assert_eq!(error, "line 2: \"QX\" is no symbol of the notation Arpabet");
    }
}
