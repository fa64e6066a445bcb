//! Siskin with a window and an audio device of its own, to try it without a host.

fn main() {
    nice_plug::nice_export_standalone::<siskin::Siskin>();
}
