//! Without an X server, one line says what to install.

use std::process::Command;

use siskin_tests::hosts::built::xtask;

#[test]
fn without_an_x_server_one_line_says_what_to_install() {
    let shots = Command::new(xtask())
        .arg("shots")
        .env("PATH", env!("CARGO_TARGET_TMPDIR"))
        .env_remove("SISKIN_ON_SERVER")
        .output()
        .unwrap();
    let message = String::from_utf8_lossy(&shots.stderr);
    assert!(!shots.status.success());
    assert_eq!(message.trim().lines().count(), 1, "{message}");
    assert!(
        message.contains("cargo xtask test --setup") && message.contains("xvfb"),
        "{message}"
    );
    assert!(shots.stdout.is_empty());
}
