//! The sound of Siskin: levels a voice if asked, and keeps its sibilants and breaths in proportion to the voice that
//! is left after levelling. No I/O, no plug-in types, no allocation after [`Engine::new`].

mod analysis;
mod ballistics;
mod biquad;
mod breath;
mod breath_detector;
mod bypass;
mod crossfade;
mod decibels;
mod delay;
mod denormal;
mod edge;
mod engine;
mod event_level;
mod follower;
mod frame;
mod gain;
mod gain_computer;
mod input_level;
mod k_filter;
mod k_weighting;
mod leveller;
mod listen;
mod past;
mod plan;
mod power_window;
mod ramp;
mod reach;
mod report;
mod settings;
mod shelf;
mod sibilance;
mod smoothing;
#[cfg(feature = "stages-alone")]
pub mod stages_alone;
mod state_variable;
mod timeline;
mod timing;
mod voice_source;

pub use engine::{Engine, EngineConfig};
pub use gain_computer::{SIBILANCE_KNEE_DB, sibilance_reduction_db};
pub use reach::sibilance_gain_db;
pub use report::{Class, HopReport, SpectrumView};
pub use settings::{
    BreathSettings, FollowSettings, FollowSource, LevellerSettings, Listen, Lookahead, OutputSettings,
    Settings, SibilanceSettings,
};
