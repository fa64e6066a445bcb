//! The figures for a program.

use serde_json::json;
use siskin_tests::measurement::bench::Unit;

use super::goals::Goal;
use super::measured::Measured;

/// All figures. What is no number becomes null.
pub fn text(measured: &Measured, goals: &[Goal]) -> String {
    let timed = measured.timed.iter().map(|timed| {
        let is_call = timed.unit == Unit::Call;
        json!({
            "name": timed.name,
            "unit": if is_call { "call" } else { "frame" },
            "ns": timed.ns,
            "rounds_ns": timed.rounds_ns,
            "sample_rate_hz": timed.sample_rate_hz,
            "times_real_time": (!is_call).then(|| timed.times_real_time()),
        })
    });
    let worst = measured
        .worst
        .iter()
        .zip(["mono", "stereo"])
        .map(|(worst, channels)| {
            json!({
                "channels": channels,
                "blocks": worst.blocks,
                "median_ns": worst.median_ns,
                "p99_ns": worst.p99_ns,
                "worst_ns": worst.worst_ns,
                "worst_at_s": worst.worst_at_s,
                "ratio": worst.ratio(),
            })
        });
    let memory = measured
        .memory
        .iter()
        .map(|(name, bytes)| json!({ "name": name, "bytes": bytes }));
    let instructions = measured.instructions.iter().map(|instructions| {
        json!({
            "channels": instructions.counted.channels,
            "block": instructions.counted.block,
            "setting": instructions.counted.setting.name(),
            "instructions_a_frame": instructions.a_frame,
        })
    });
    let goals = goals.iter().map(|goal| {
        json!({ "measure": goal.measure, "asked": goal.asked, "figure": goal.figure, "met": goal.met })
    });
    let value = json!({
        "timed": timed.collect::<Vec<_>>(),
        "worst_blocks": worst.collect::<Vec<_>>(),
        "memory": memory.collect::<Vec<_>>(),
        "instructions": instructions.collect::<Vec<_>>(),
        "goals": goals.collect::<Vec<_>>(),
    });
    format!("{value:#}\n")
}
