//! What is proposed for a track, and why.

use siskin_dsp::{DetectFromProposal, ProportionProposal, SibilanceSettings};
use siskin_host::{SISKIN, SISKIN_FOLLOW};

use super::listen::Heard;

/// What a track is in the song.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Role {
    /// The voice that the others are set against.
    Lead,
    /// A double of it.
    Double,
    /// Several voices on one track.
    Stack,
    /// Breaths on a track of their own.
    Breaths,
}

/// Settings on top of a starting point.
#[derive(Debug, Clone, Default)]
pub struct Proposal {
    /// Parameter ids with plain values.
    pub values: Vec<(&'static str, f32)>,
    /// Why, a sentence each.
    pub reasons: Vec<String>,
    /// Whether the sibilants are natural as they are, and nothing wants to be set.
    pub is_natural: bool,
}

impl Role {
    /// As a person reads it.
    pub fn name(self) -> &'static str {
        match self {
            Self::Lead => "lead",
            Self::Double => "double",
            Self::Stack => "backing stack",
            Self::Breaths => "breaths",
        }
    }

    /// The plug-in that goes on the track.
    pub fn plug_in(self) -> &'static str {
        match self {
            Self::Lead => SISKIN,
            _ => SISKIN_FOLLOW,
        }
    }

    /// The starting point that the proposal begins with; the lead begins with the defaults.
    pub fn starting_point(self) -> Option<&'static str> {
        match self {
            Self::Lead => None,
            Self::Double => Some("double"),
            Self::Stack => Some("backing-stack"),
            Self::Breaths => Some("breath-track"),
        }
    }

    /// The proposal for what was heard with these settings.
    pub fn proposal(self, heard: &Heard, settings: &SibilanceSettings) -> Proposal {
        let (proportion, from) = (
            heard.proportion.proposal(settings.ratio),
            heard.detect_from.proposal(),
        );
        match self {
            Self::Lead => of_lead(heard, proportion, from, settings),
            Self::Breaths => Proposal {
                reasons: vec!["Breaths are held against the lead, and their rumble is cut.".to_owned()],
                ..Proposal::default()
            },
            _ => self.of_other(from, settings),
        }
    }

    fn of_other(self, from: Option<DetectFromProposal>, settings: &SibilanceSettings) -> Proposal {
        let mut proposal = Proposal {
            reasons: vec![format!(
                "The starting point for a {}: its sibilants stay under the lead's, which cover them.",
                self.name()
            )],
            ..Proposal::default()
        };
        if let Some(from) = from.filter(|from| from.edge_hz < settings.from_hz) {
            proposal.set_from(from);
        }
        proposal
    }
}

fn of_lead(
    heard: &Heard,
    proportion: Option<ProportionProposal>,
    from: Option<DetectFromProposal>,
    settings: &SibilanceSettings,
) -> Proposal {
    let Some(found) = proportion else {
        return Proposal {
            reasons: vec![format!(
                "Too little to propose from: {:.0} s of singing and {} sibilants. The defaults are kept.",
                heard.proportion.singing_s(),
                heard.proportion.sibilants()
            )],
            ..Proposal::default()
        };
    };
    let side = if found.median_lu > 0.0 { "above" } else { "below" };
    let reason = if found.is_natural() {
        "natural sibilants stay as they are"
    } else {
        "most leave as in a natural voice"
    };
    let mut proposal = Proposal {
        values: vec![("sib_prop", found.proportion_lu)],
        reasons: vec![
            format!(
                "{} sibilants, median {:.1} LU {side} the voice.",
                found.sibilants,
                found.median_lu.abs()
            ),
            format!(
                "Proportion {:+.1} LU: {reason} (sure within {:.1} LU).",
                found.proportion_lu,
                found.uncertainty_lu.max(0.1)
            ),
        ],
        is_natural: found.is_natural(),
    };
    let change = |from: &DetectFromProposal| from.change(&found, settings.from_hz).is_some();
    if let Some(from) = from.filter(change) {
        proposal.set_from(from);
        proposal.is_natural = false;
    }
    proposal
}

impl Proposal {
    fn set_from(&mut self, from: DetectFromProposal) {
        self.values.push(("sib_from", from.from_hz));
        self.reasons.push(format!(
            "Detect from {:.0} Hz: most sibilants have their energy above {:.0} Hz.",
            from.from_hz, from.edge_hz
        ));
    }
}
