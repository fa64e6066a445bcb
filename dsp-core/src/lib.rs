//! The sound of Siskin: levels a voice if asked, and keeps its sibilants and breaths in proportion to the voice that
//! is left after levelling. No I/O, no plug-in types, no allocation after [`Engine::new`].

mod engine;
mod report;
mod settings;

pub use engine::{Engine, EngineConfig};
pub use report::{Class, HopReport};
pub use settings::{
    BreathSettings, FollowSettings, FollowSource, LevellerSettings, Listen, Lookahead, OutputSettings,
    Settings, SibilanceSettings,
};
