//! What the insert does at this moment, in words and numbers.

use siskin_dsp::{FollowSource, HopReport, Listen, Settings};

/// Below this a level is read as silence, LUFS.
const SILENCE_LUFS: f32 = -100.0;

/// What a person needs to know first, or that nothing is amiss.
pub fn words(settings: &Settings, report: Option<&HopReport>, has_reference: bool) -> Vec<&'static str> {
    let Some(report) = report else {
        return vec!["no sound has come yet"];
    };
    let mut words = Vec::new();
    if settings.output.bypass {
        words.push("bypassed");
    }
    match settings.output.listen {
        Listen::Output => {}
        Listen::Removed => words.push("listening to what is removed"),
        Listen::Detector => words.push("listening to the detector"),
    }
    if !report.voice_heard {
        words.push("no voice heard yet: start level holds");
    }
    if has_reference {
        words.push(match (settings.follow.source, report.follows_reference) {
            (FollowSource::Reference, true) => "following the reference voice",
            (FollowSource::Reference, false) => "reference silent: following this track",
            (FollowSource::ThisTrack, _) => "following this track",
        });
    }
    if !settings.leveller.on {
        words.push("leveller off");
    }
    if !settings.sibilance.on {
        words.push("sibilance off");
    }
    words
}

/// A level, or a dash in silence.
pub fn lufs(level: f32) -> String {
    if level > SILENCE_LUFS {
        format!("{level:.1} LUFS")
    } else {
        "\u{2013}".to_owned()
    }
}

/// A reduction: "-6.0 dB", never positive.
pub fn reduction(gain_db: f32) -> String {
    crate::readout::level(gain_db.min(0.0), "dB")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn says_that_nothing_was_heard_yet() {
        assert_eq!(
            words(&Settings::default(), None, false),
            ["no sound has come yet"]
        );
        let words = words(&Settings::default(), Some(&HopReport::default()), false);
        assert_eq!(words, ["no voice heard yet: start level holds", "leveller off"]);
    }

    #[test]
    fn says_whose_voice_is_followed() {
        let mut report = HopReport {
            voice_heard: true,
            ..HopReport::default()
        };
        let settings = Settings::default();
        assert_eq!(
            words(&settings, Some(&report), true)[0],
            "reference silent: following this track"
        );
        report.follows_reference = true;
        assert_eq!(
            words(&settings, Some(&report), true)[0],
            "following the reference voice"
        );
    }

    #[test]
    fn numbers_carry_their_units() {
        assert_eq!([lufs(-23.04), lufs(-120.0)], ["-23.0 LUFS", "\u{2013}"]);
        assert_eq!([reduction(-6.0), reduction(-0.01)], ["-6.0 dB", "0.0 dB"]);
    }
}
