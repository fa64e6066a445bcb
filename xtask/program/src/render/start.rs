//! Which plug-in a rendering runs through, and from which settings it starts.

use std::fs;
use std::path::Path;

use anyhow::{Context, Result, bail, ensure};
use siskin_host::clap::{Bundle, Plugin, state_from_json};
use siskin_host::{SISKIN, SISKIN_FOLLOW};

use super::RenderOptions;

/// A parameter that Siskin Follow alone has.
const ONLY_IN_FOLLOW: &str = "fol_src";

/// A saved state out of a file.
pub struct Saved {
    json: Vec<u8>,
    plug_in: &'static str,
}

/// The state in the file at `path`; none where there is no path.
pub fn read_state(path: Option<&Path>) -> Result<Option<Saved>> {
    let Some(path) = path else {
        return Ok(None);
    };
    let json = fs::read(path).with_context(|| format!("{} cannot be read", path.display()))?;
    let read: serde_json::Value = serde_json::from_slice(&json).unwrap_or_default();
    let params = read["params"].as_object();
    let params = params.with_context(|| format!("{} is not a saved state", path.display()))?;
    let plug_in = if params.contains_key(ONLY_IN_FOLLOW) {
        SISKIN_FOLLOW
    } else {
        SISKIN
    };
    Ok(Some(Saved { json, plug_in }))
}

/// What a new insert starts from.
enum From {
    Defaults,
    Word(String),
    State(Vec<u8>),
}

/// The plug-in of a rendering, and its settings before `--set`.
pub struct Start<'a> {
    bundle: &'a Bundle,
    /// Its name.
    pub plug_in: String,
    from: From,
}

impl<'a> Start<'a> {
    /// What a person asked for; a reference asks for Siskin Follow.
    pub fn choose(bundle: &'a Bundle, options: &RenderOptions, saved: Option<Saved>) -> Result<Self> {
        let (plug_in, from) = match (&options.start, saved) {
            (Some(word), _) => (plug_in_for(bundle, word)?, From::Word(word.clone())),
            (None, Some(saved)) => (saved.plug_in.to_owned(), From::State(saved.json)),
            (None, None) if options.reference.is_some() => (SISKIN_FOLLOW.to_owned(), From::Defaults),
            (None, None) => (SISKIN.to_owned(), From::Defaults),
        };
        ensure!(
            options.reference.is_none() || plug_in == SISKIN_FOLLOW,
            "that start is for {plug_in}, which takes no reference voice; leave --reference away"
        );
        Ok(Self {
            bundle,
            plug_in,
            from,
        })
    }

    /// A new insert with these settings.
    pub fn insert(&self) -> Result<Plugin> {
        let mut plugin = self.bundle.plugin(&self.plug_in)?;
        match &self.from {
            From::Defaults => {}
            From::Word(word) => plugin.load_preset(word)?,
            From::State(json) => plugin.load_state(&state_from_json(json))?,
        }
        Ok(plugin)
    }
}

/// The plug-in that has a starting point, which may be one of an earlier release that is no longer offered.
fn plug_in_for(bundle: &Bundle, word: &str) -> Result<String> {
    let presets = bundle.presets()?;
    let Some(preset) = presets.iter().find(|preset| preset.word == word) else {
        for plug_in in [SISKIN, SISKIN_FOLLOW] {
            if bundle.plugin(plug_in)?.load_preset(word).is_ok() {
                return Ok(plug_in.to_owned());
            }
        }
        let words: Vec<&str> = presets.iter().map(|preset| preset.word.as_str()).collect();
        bail!(
            "there is no starting point \"{word}\"; there are {}",
            words.join(", ")
        );
    };
    preset
        .plug_in(bundle)
        .with_context(|| format!("the starting point {word} is for no plug-in"))
}
