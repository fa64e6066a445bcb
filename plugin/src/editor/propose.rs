//! A proposal for Proportion and Detect from: listens to some seconds of singing, says what it heard and what it would
//! set, and sets nothing before it is taken.

use siskin_dsp::{Class, HopReport};

use super::stream::history::Sibilant;
use crate::telemetry::SpectrumFrame;

/// Singing that is listened to, seconds.
pub const SINGING_S: f32 = 8.0;
/// Sibilants without which nothing can be said.
pub const SIBILANTS: usize = 6;
/// Natural s and sh lie 6 to 8 LU under the vowels (Jongman, Wayland & Wong 2000, from their levels by consonant): lower
/// is a lisp.
const NATURAL_LU: f32 = -7.0;
/// No sibilant stands over the voice in a natural voice.
const HIGHEST_LU: f32 = 0.0;
/// The share of sibilants, from the softest, that a proposal leaves as they are: the singer's own measure.
const LEFT_ALONE: f32 = 0.25;
/// A sibilant begins where this share of its power above the formants lies below: as the engine has it.
const FOOT_SHARE: f32 = 0.1;
/// Below this are formants and hum, Hz.
const ABOVE_FORMANTS_HZ: f32 = 1500.0;
/// The share of sibilants, from the darkest, that may begin under the proposed edge.
const DARKEST: f32 = 0.15;
/// The detector should see a little more than the foot.
const UNDER_FOOT: f32 = 0.95;
/// Detect from, Hz.
const FROM_HZ: std::ops::RangeInclusive<f32> = 2000.0..=10_000.0;

/// What was heard and what is proposed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Proposal {
    /// Proportion, LU.
    pub proportion_lu: f32,
    /// Detect from, Hz.
    pub from_hz: f32,
    /// How many sibilants were heard.
    pub sibilants: usize,
    /// Their middle proportion as they came, LU.
    pub median_lu: f32,
    /// Where most of them begin, Hz.
    pub foot_hz: f32,
}

/// A listener, while it listens and when it has heard enough.
#[derive(Debug, Clone, Default)]
pub struct Listener {
    singing_s: f32,
    proportions_lu: Vec<f32>,
    feet_hz: Vec<f32>,
    /// Once made it stays: what a person reads is what they take.
    proposal: Option<Proposal>,
}

impl Listener {
    /// Takes a report.
    pub fn hear(&mut self, report: &HopReport, hop_s: f32) {
        if matches!(report.class, Class::Voice | Class::Sibilant) {
            self.singing_s += hop_s;
        }
    }

    /// Takes a sibilant that has ended.
    pub fn hear_sibilant(&mut self, sibilant: &Sibilant) {
        self.proportions_lu
            .push(sibilant.level_lufs - sibilant.voice_lufs);
    }

    /// Takes a spectrum.
    pub fn hear_spectrum(&mut self, frame: &SpectrumFrame) {
        if frame.class == Class::Sibilant {
            self.feet_hz.extend(foot_hz(frame));
        }
    }

    /// How much of the singing was heard, 0 ... 1.
    pub fn progress(&self) -> f32 {
        (self.singing_s / SINGING_S).min(1.0)
    }

    /// What it waits for, in words.
    pub fn waits_for(&self) -> String {
        let (left_s, heard) = (SINGING_S - self.singing_s, self.proportions_lu.len());
        if self.singing_s == 0.0 {
            "waits for a voice: let the song play".to_owned()
        } else if left_s > 0.0 {
            format!("{left_s:.0} s more of singing; {heard} sibilants so far")
        } else {
            let more = SIBILANTS.saturating_sub(heard);
            format!("waits for {more} more sibilants: {heard} so far")
        }
    }

    /// The proposal, once enough was heard.
    pub fn proposal(&self) -> Option<Proposal> {
        self.proposal
    }

    /// Ends a frame: once enough was heard, the proposal is made.
    pub fn conclude(&mut self) {
        if self.proposal.is_none() {
            self.proposal = self.concluded();
        }
    }

    fn concluded(&self) -> Option<Proposal> {
        let sibilants = self.proportions_lu.len();
        if self.singing_s < SINGING_S || sibilants < SIBILANTS || self.feet_hz.is_empty() {
            return None;
        }
        let foot_hz = quantile(&self.feet_hz, DARKEST)?;
        Some(Proposal {
            proportion_lu: rounded(
                quantile(&self.proportions_lu, LEFT_ALONE)?.clamp(NATURAL_LU, HIGHEST_LU),
                0.5,
            ),
            from_hz: rounded(
                (foot_hz * UNDER_FOOT).clamp(*FROM_HZ.start(), *FROM_HZ.end()),
                100.0,
            ),
            sibilants,
            median_lu: quantile(&self.proportions_lu, 0.5)?,
            foot_hz,
        })
    }
}

impl Proposal {
    /// The proposal and its reasons, line by line.
    pub fn words(&self) -> [String; 4] {
        let over = if self.median_lu > 0.0 { "over" } else { "under" };
        let natural = if self.proportion_lu == NATURAL_LU {
            "where a natural voice has them"
        } else {
            "the softest quarter stays as sung"
        };
        [
            format!(
                "Heard {} sibilants, the middle one {:.1} LU {over} the voice.",
                self.sibilants,
                self.median_lu.abs()
            ),
            format!("Most begin above {}.", crate::readout::hertz(self.foot_hz)),
            format!(
                "Proportion {}: {natural}.",
                crate::readout::level(self.proportion_lu, "LU")
            ),
            format!("Detect from {}.", crate::readout::hertz(self.from_hz)),
        ]
    }
}

/// Where the noise of a sibilant begins.
fn foot_hz(frame: &SpectrumFrame) -> Option<f32> {
    let first = (ABOVE_FORMANTS_HZ / frame.bin_hz).ceil() as usize;
    let powers = frame.powers.get(first..)?;
    let wanted = FOOT_SHARE * powers.iter().sum::<f32>();
    let mut below = 0.0;
    let bin = powers.iter().position(|power| {
        below += power;
        wanted > 0.0 && below >= wanted
    })?;
    Some((first + bin) as f32 * frame.bin_hz)
}

/// The value under which `share` of the values lie.
fn quantile(values: &[f32], share: f32) -> Option<f32> {
    let mut sorted = values.to_vec();
    sorted.sort_by(f32::total_cmp);
    let last = sorted.len().checked_sub(1)?;
    sorted.get((share * last as f32).round() as usize).copied()
}

fn rounded(value: f32, to: f32) -> f32 {
    (value / to).round() * to
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::telemetry::SPECTRUM_BINS;

    fn sibilant(proportion_lu: f32) -> Sibilant {
        Sibilant {
            level_lufs: -20.0 + proportion_lu,
            voice_lufs: -20.0,
            ..Sibilant::default()
        }
    }

    fn noise_from(hz: f32) -> SpectrumFrame {
        let bin_hz = 187.5;
        let mut powers = [0.0; SPECTRUM_BINS];
        for (bin, power) in powers.iter_mut().enumerate() {
            *power = if bin as f32 * bin_hz >= hz { 1e-5 } else { 1e-9 };
        }
        SpectrumFrame {
            class: Class::Sibilant,
            bin_hz,
            powers,
        }
    }

    fn heard(proportions_lu: &[f32], singing_s: f32) -> Listener {
        let mut listener = Listener::default();
        let report = HopReport {
            class: Class::Voice,
            ..HopReport::default()
        };
        (0..(singing_s * 100.0) as usize).for_each(|_| listener.hear(&report, 0.01));
        for &lu in proportions_lu {
            listener.hear_sibilant(&sibilant(lu));
            listener.hear_spectrum(&noise_from(4500.0));
        }
        listener.conclude();
        listener
    }

    #[test]
    fn nothing_is_proposed_before_enough_was_heard_and_it_says_what_is_missing() {
        assert!(Listener::default().waits_for().contains("voice"));
        let short = heard(&[0.0; 9], 5.0);
        assert_eq!(short.proposal(), None);
        assert!(short.waits_for().contains("3 s more"), "{}", short.waits_for());
        assert!((short.progress() - 0.625).abs() < 0.01);
        let few = heard(&[0.0; 2], 9.0);
        assert_eq!(few.proposal(), None);
        assert!(few.waits_for().contains("4 more"), "{}", few.waits_for());
        let mut silent = Listener::default();
        silent.hear(&HopReport::default(), 60.0);
        assert_eq!(silent.progress(), 0.0, "silence is no singing");
    }

    #[test]
    fn a_levelled_voice_is_held_at_its_own_softest_sibilants() {
        let proposal = heard(&[2.0, 1.0, 0.0, -1.0, -4.0, -4.0, -3.8, 3.0, 2.0], 9.0)
            .proposal()
            .unwrap();
        assert_eq!(proposal.proportion_lu, -4.0);
        assert_eq!(proposal.sibilants, 9);
        assert!(
            (4500.0..6500.0).contains(&proposal.foot_hz),
            "{} Hz",
            proposal.foot_hz
        );
        assert!(proposal.from_hz < proposal.foot_hz && proposal.from_hz % 100.0 == 0.0);
        assert!(proposal.words()[0].contains("9 sibilants"));
    }

    #[test]
    fn what_is_read_is_what_is_taken() {
        let mut listener = heard(&[0.0; 8], 9.0);
        let read = listener.proposal().unwrap();
        (0..20).for_each(|_| listener.hear_sibilant(&sibilant(-9.0)));
        listener.conclude();
        assert_eq!(listener.proposal(), Some(read));
    }

    #[test]
    fn a_soft_singer_is_not_made_to_lisp_and_a_harsh_one_not_left_over_the_voice() {
        assert_eq!(heard(&[-15.0; 8], 9.0).proposal().unwrap().proportion_lu, -7.0);
        assert_eq!(heard(&[9.0; 8], 9.0).proposal().unwrap().proportion_lu, 0.0);
    }
}
