//! Siskin in two audio programs of other makers, as `cargo xtask hosts` runs them: a session saved, opened again in a new
//! process and bounced, Proportion automated by section. The bounces are those that `cargo xtask render` makes.

use std::process::Command;

use serde_json::Value;
use siskin_tests::hosts::built::xtask;
use siskin_tests::hosts::fixtures::output_of;

/// Those that come with the Python environment.
const HOSTS: [&str; 2] = ["pedalboard", "dawdreamer"];
/// The bounce, dB re the rendering.
const RESIDUAL_DB: f64 = -100.0;
/// Latency at the default lookahead of 5 ms, samples at 48 kHz.
const LATENCY_SAMPLES: f64 = 240.0;

#[test]
fn bounces_equal_render() {
    let folder = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR")).unwrap();
    let file = folder.path().join("hosts.json");
    let mut command = Command::new(xtask());
    command.arg("hosts").arg("--json").arg(&file);
    for host in HOSTS {
        command.args(["--only", host]);
    }
    let printed = output_of(&mut command).concat();
    let sections: Vec<Value> = serde_json::from_slice(&std::fs::read(&file).unwrap()).unwrap();
    let rows = sections[0]["rows"].as_array().unwrap();
    let hosts: Vec<&str> = rows.iter().map(|row| row["host"].as_str().unwrap()).collect();
    assert_eq!(hosts, HOSTS, "{printed}");
    for row in rows {
        assert_eq!(row["verdict"], "ok", "{printed}");
        assert_eq!(row["latency"], LATENCY_SAMPLES, "{printed}");
        assert_eq!(row["moves"], 3.0, "{printed}");
        // Equal sounds have no residual.
        let residual_db = row["as played dB"].as_f64().unwrap_or(f64::NEG_INFINITY);
        assert!(residual_db <= RESIDUAL_DB, "{printed}");
    }
}
