//! A dark and a bright microphone.

use crate::measurement::models::high_shelf;
use crate::measurement::voices::corpus::Recording;

/// Middle of the shelf, Hz, and its gains, dB: from a ribbon to a small condenser held close, with some to spare
/// (common practice, no source).
const SHELF_HZ: f64 = 5000.0;
pub const DARK_DB: f64 = -9.0;
pub const BRIGHT_DB: f64 = 9.0;

/// The recording through such a microphone.
pub fn shelved(recording: &Recording, gain_db: f64) -> Recording {
    let audio = high_shelf(&recording.audio, recording.sample_rate_hz, SHELF_HZ, gain_db);
    recording.with_audio(audio)
}

#[cfg(test)]
mod tests {
    use crate::measurement::voices::conditions::Condition;
    use crate::measurement::voices::conditions::tests::{power_at_db, songs};

    #[test]
    fn the_shelf_stands_in_the_top_and_nowhere_else() {
        // What a rate of 16 kHz holds of the top lies nearer to its end, where the bilinear transform has all of it.
        for (song, top_hz) in songs().iter().zip([7500.0, 10_000.0]) {
            for (condition, gain_db) in [
                (Condition::DarkMicrophone, -9.0),
                (Condition::BrightMicrophone, 9.0),
            ] {
                let after = condition.apply(song, 1);
                let change_db = |hz| {
                    let [after, before] =
                        [&after, song].map(|one| power_at_db(&one.audio, one.sample_rate_hz, hz));
                    after - before
                };
                let (top_db, low_db) = (change_db(top_hz), change_db(500.0));
                assert!((top_db - gain_db).abs() < 0.5, "{top_hz} Hz: {top_db:.2} dB");
                assert!(low_db.abs() < 0.5, "500 Hz: {low_db:.2} dB");
            }
        }
    }
}
