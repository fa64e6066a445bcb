//! Hard conditions: what microphones, rooms, other sounds and mixers do to a voice before it reaches the insert.
//!
//! A condition turns a clean labelled recording into a hard one with the same labels, or amended ones where it adds a
//! sound of its own. It is the same for the same seed and recording. Levels are K-weighted (ITU-R BS.1770-5) and relative
//! to the recording's own voice: its labelled vowels, or the louder half of it where no vowel is labelled.

mod backing_stack;
mod breath_noise;
mod close_breaths;
mod distorted_double;
mod first_sibilants;
mod growl;
mod hard_levelled;
mod hi_hat;
mod hum;
mod level;
mod linear_prediction;
mod microphone;
mod other_sibilants;
mod reverb;
mod silence;
mod talk_back;
mod time_scale;
mod whisper;

#[cfg(test)]
mod tests;

use clap::ValueEnum;
use clap::builder::PossibleValue;

use crate::measurement::voices::corpus::Recording;

pub use hard_levelled::driven;
pub(crate) use level::{Voice as VoiceLevel, at_level, scaled};

/// One way of making it hard. Its name on the command line is the variant's in kebab case; what it does is one line for a
/// person.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, ValueEnum)]
pub enum Condition {
    /// A shelf of -9 dB above 5 kHz.
    DarkMicrophone,
    /// A shelf of +9 dB above 5 kHz.
    BrightMicrophone,
    /// White noise 50 LU under the voice.
    Hiss,
    /// Mains hum, 50 to 1000 Hz, 40 LU under the voice.
    Hum,
    /// A breath 10 to 25 LU under the voice in every rest.
    CloseBreaths,
    /// A hi-hat at 120 bpm, each hit 30 LU under the voice.
    HiHatBleed,
    /// Asymmetric soft clipping at 12 dB of drive.
    DistortedDouble,
    /// Five copies, up to 15 cents out of tune and 25 ms late.
    BackingStack,
    /// Vowels and sonorants whispered, 15 LU softer.
    Whispered,
    /// S of flat noise from 3 to 12 kHz.
    LispingS,
    /// S that whistles, anywhere from 3 to 12 kHz.
    WhistlingS,
    /// 20 dB of levelling and 6 dB of top.
    HardLevelled,
    /// A tail of RT60 0.3 to 2.5 s, 6 to 20 LU under the voice.
    ReverbTails,
    /// A tail of RT60 1.2 s, 12 LU under the voice.
    BakedReverb,
    /// An echo 60 to 400 ms late, 6 to 14 dB softer.
    SlapBack,
    /// 1.3 times as fast at the same pitch.
    BriskSpeech,
    /// 1.6 times as fast at the same pitch.
    FastSpeech,
    /// 3 semitones higher, formants too.
    ThirdUp,
    /// 7 semitones higher, formants too.
    FifthUp,
    /// An octave higher, formants too.
    OctaveUp,
    /// Vowels modulated at half their pitch.
    Growled,
    /// Sections that begin with s after a rest, jumps of 12 and 18 dB.
    FirstSibilants,
    /// Another voice in the rests, 12 to 18 LU under the lead.
    TalkBack,
    /// Sibilants 15 dB softer.
    LoweredSibilants,
}

impl Condition {
    /// Its name on the command line.
    pub fn name(self) -> String {
        self.possible_value().get_name().to_owned()
    }

    /// What it does, in one line for a person.
    pub fn describe(self) -> String {
        let help = self.possible_value().get_help().map(ToString::to_string);
        help.unwrap_or_default()
    }

    fn possible_value(self) -> PossibleValue {
        self.to_possible_value().expect("no condition is skipped")
    }

    /// Whether sounds come to lie elsewhere, and their labels with them.
    pub fn moves_sounds(self) -> bool {
        matches!(self, Self::BriskSpeech | Self::FastSpeech | Self::FirstSibilants)
    }

    /// The recording under this condition. Its labels stay unless the condition adds a sound to them or moves them; its
    /// length stays but for what is added at the end, or where sounds are moved.
    ///
    /// The sample rate is 16 to 192 kHz; what lies beyond half of it is left out.
    ///
    /// # Panics
    /// Where the sample rate is no whole number of Hz, or a label reaches beyond the sound.
    pub fn apply(self, recording: &Recording, seed: u64) -> Recording {
        // A seed for this recording alone: else every short clip would get the same breath, the same whistle. The hash is
        // FNV-1a, which stays the same from one compiler to the next.
        let seed = (recording.name.bytes()).fold(seed ^ 0xCBF2_9CE4_8422_2325, |hash, byte| {
            (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01B3)
        });
        match self {
            Self::DarkMicrophone => microphone::shelved(recording, microphone::DARK_DB),
            Self::BrightMicrophone => microphone::shelved(recording, microphone::BRIGHT_DB),
            Self::Hiss => hum::hiss(recording, seed),
            Self::Hum => hum::hum(recording, seed),
            Self::CloseBreaths => close_breaths::add(recording, seed),
            Self::HiHatBleed => hi_hat::add(recording, seed),
            Self::DistortedDouble => distorted_double::distort(recording),
            Self::BackingStack => backing_stack::stack(recording, seed),
            Self::Whispered => whisper::whispered(recording, seed),
            Self::LispingS => other_sibilants::lisping(recording, seed),
            Self::WhistlingS => other_sibilants::whistling(recording, seed),
            Self::HardLevelled => hard_levelled::levelled(recording),
            Self::ReverbTails => reverb::tails(recording, seed),
            Self::BakedReverb => reverb::baked(recording, seed),
            Self::SlapBack => reverb::slap_back(recording, seed),
            Self::BriskSpeech => time_scale::compressed(recording, time_scale::BRISK),
            Self::FastSpeech => time_scale::compressed(recording, time_scale::HURRIED),
            Self::ThirdUp => time_scale::higher(recording, 3.0),
            Self::FifthUp => time_scale::higher(recording, 7.0),
            Self::OctaveUp => time_scale::higher(recording, 12.0),
            Self::Growled => growl::growled(recording),
            Self::FirstSibilants => first_sibilants::after_rests(recording, seed),
            Self::TalkBack => talk_back::add(recording, seed),
            Self::LoweredSibilants => level::lowered(recording),
        }
    }
}
