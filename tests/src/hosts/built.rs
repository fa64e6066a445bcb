//! What tests run: `cargo xtask test` builds it and says by environment variables where it lies. Each function panics
//! where its variable is not set.

use std::path::PathBuf;

use crate::hosts::clap::{Bundle, Plugin};

pub use siskin_host::{SISKIN, SISKIN_FOLLOW};

/// The folder that holds both bundles.
pub fn bundle_folder() -> PathBuf {
    path_from("SISKIN_BUNDLE_DIR")
}

/// The CLAP bundle.
pub fn clap_bundle() -> PathBuf {
    path_from("SISKIN_BUNDLE_DIR").join("Siskin.clap")
}

/// The VST3 bundle.
pub fn vst3_bundle() -> PathBuf {
    path_from("SISKIN_BUNDLE_DIR").join("Siskin.vst3")
}

/// The folder of the starting points as files, a folder for each plug-in.
pub fn presets_folder() -> PathBuf {
    path_from("SISKIN_BUNDLE_DIR").join("presets")
}

/// The library of the plug-ins in which an allocation while they process ends the program.
pub fn guarded_library() -> PathBuf {
    path_from("SISKIN_GUARDED_LIBRARY")
}

/// A Python interpreter that can host VST3 plug-ins.
pub fn python() -> PathBuf {
    path_from("SISKIN_PYTHON")
}

/// The program behind `cargo xtask`.
pub fn xtask() -> PathBuf {
    path_from("SISKIN_XTASK")
}

/// The CLAP bundle, loaded: the end of an insert panics where it broke a rule of CLAP for callbacks. Panics where it cannot
/// be loaded.
pub fn strict_bundle() -> Bundle {
    Bundle::load_strict(&clap_bundle()).expect("the CLAP bundle")
}

/// A new insert out of the CLAP bundle, as [`strict_bundle`]. Panics where there is none of that name.
pub fn insert(name: &str) -> Plugin {
    strict_bundle().plugin(name).expect("an insert")
}

fn path_from(variable: &str) -> PathBuf {
    std::env::var_os(variable)
        .map(PathBuf::from)
        .unwrap_or_else(|| panic!("{variable} is not set: run the tests with cargo xtask test"))
}
