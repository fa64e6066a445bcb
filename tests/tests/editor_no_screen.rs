//! Where no X server can be had, one line says what to install.

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
    let told = String::from_utf8_lossy(&shots.stderr);
    assert!(!shots.status.success());
    assert_eq!(told.trim().lines().count(), 1, "{told}");
    assert!(
        told.contains("cargo xtask test --setup") && told.contains("xvfb"),
        "{told}"
    );
    assert!(shots.stdout.is_empty());
}
