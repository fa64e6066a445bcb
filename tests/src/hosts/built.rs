//! The pieces that tests run: `cargo xtask test` builds them and tells by the environment where they lie.

use std::path::PathBuf;

use crate::hosts::clap::{Bundle, Plugin};

/// The name of the plug-in without a side-chain.
pub const SISKIN: &str = "Siskin";
/// The name of the plug-in with the side-chain.
pub const SISKIN_FOLLOW: &str = "Siskin Follow";

/// The folder that holds both bundles.
///
/// # Panics
///
/// Where the environment does not tell.
#[must_use]
pub fn bundle_folder() -> PathBuf {
    told("SISKIN_BUNDLE_DIR")
}

/// The CLAP bundle.
///
/// # Panics
///
/// Where the environment does not tell.
#[must_use]
pub fn clap_bundle() -> PathBuf {
    told("SISKIN_BUNDLE_DIR").join("Siskin.clap")
}

/// The VST3 bundle.
///
/// # Panics
///
/// Where the environment does not tell.
#[must_use]
pub fn vst3_bundle() -> PathBuf {
    told("SISKIN_BUNDLE_DIR").join("Siskin.vst3")
}

/// The folder of the starting points as files, a folder for each plug-in.
///
/// # Panics
///
/// Where the environment does not tell.
#[must_use]
pub fn presets_folder() -> PathBuf {
    told("SISKIN_BUNDLE_DIR").join("presets")
}

/// The library of the plug-ins in which an allocation while they process ends the program.
///
/// # Panics
///
/// Where the environment does not tell.
#[must_use]
pub fn guarded_library() -> PathBuf {
    told("SISKIN_GUARDED_LIBRARY")
}

/// A Python interpreter that can host VST3 plug-ins.
///
/// # Panics
///
/// Where the environment does not tell.
#[must_use]
pub fn python() -> PathBuf {
    told("SISKIN_PYTHON")
}

/// The program behind `cargo xtask`.
///
/// # Panics
///
/// Where the environment does not tell.
#[must_use]
pub fn xtask() -> PathBuf {
    told("SISKIN_XTASK")
}

/// A new insert out of the CLAP bundle.
///
/// # Panics
///
/// Where the bundle is missing or holds no such plug-in.
#[must_use]
pub fn insert(name: &str) -> Plugin {
    Bundle::load(&clap_bundle())
        .and_then(|bundle| bundle.plugin(name))
        .unwrap_or_else(|error| panic!("{error}"))
}

fn told(variable: &str) -> PathBuf {
    std::env::var_os(variable)
        .map(PathBuf::from)
        .unwrap_or_else(|| panic!("{variable} is not set: run the tests with cargo xtask test"))
}
