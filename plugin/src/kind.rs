//! The differences between the two plug-ins of the bundle: names, ids that songs save, ports and the reference voice.

use nice_plug::prelude::*;
use siskin_presets::CLASS_IDS;

/// One of the two plug-ins of the bundle.
pub trait Kind: Send + 'static {
    /// Whether it has a reference voice to follow.
    const HAS_REFERENCE: bool;
    /// Its name in a host.
    const NAME: &'static str;
    /// What it is for, in one line.
    const DESCRIPTION: &'static str;
    /// Its id in CLAP hosts. Songs save it.
    const CLAP_ID: &'static str;
    /// Its id in VST3 hosts. Songs save it.
    const VST3_CLASS_ID: [u8; 16];
    /// Its features, of the list in the CLAP standard.
    const CLAP_FEATURES: &'static [ClapFeature];
    /// Its ports.
    const LAYOUTS: &'static [AudioIOLayout];
}

/// For any voice track, mono or stereo.
pub struct Plain;

impl Kind for Plain {
    const HAS_REFERENCE: bool = false;
    const NAME: &'static str = CLASS_IDS[0].0;
    const DESCRIPTION: &'static str = "Levels a voice, keeps its sibilants and breaths in proportion to it";
    const CLAP_ID: &'static str = "audio.siskin.siskin";
    const VST3_CLASS_ID: [u8; 16] = *CLASS_IDS[0].1;
    const CLAP_FEATURES: &'static [ClapFeature] = &[
        ClapFeature::AudioEffect,
        ClapFeature::Deesser,
        ClapFeature::Mono,
        ClapFeature::Stereo,
    ];
    const LAYOUTS: &'static [AudioIOLayout] = &[layout(2, "Stereo"), layout(1, "Mono")];
}

/// For doubles, backing vocals or a breath track: follows another track's voice.
pub struct Following;

impl Kind for Following {
    const HAS_REFERENCE: bool = true;
    const NAME: &'static str = CLASS_IDS[1].0;
    const DESCRIPTION: &'static str =
        "Keeps sibilants and breaths in proportion to the voice of another track";
    const CLAP_ID: &'static str = "audio.siskin.follow";
    const VST3_CLASS_ID: [u8; 16] = *CLASS_IDS[1].1;
    const CLAP_FEATURES: &'static [ClapFeature] = &[
        ClapFeature::AudioEffect,
        ClapFeature::Deesser,
        ClapFeature::Stereo,
    ];
    const LAYOUTS: &'static [AudioIOLayout] = &[AudioIOLayout {
        aux_input_ports: &[new_nonzero_u32(2)],
        names: PortNames {
            layout: Some("Stereo with reference voice"),
            aux_inputs: &["Reference voice"],
            ..PortNames::const_default()
        },
        ..layout(2, "Stereo")
    }];
}

const fn layout(channels: u32, name: &'static str) -> AudioIOLayout {
    AudioIOLayout {
        main_input_channels: NonZeroU32::new(channels),
        main_output_channels: NonZeroU32::new(channels),
        names: PortNames {
            layout: Some(name),
            ..PortNames::const_default()
        },
        ..AudioIOLayout::const_default()
    }
}
