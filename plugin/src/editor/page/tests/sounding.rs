//! What the page says of sound, word by word.

use egui::{Event, vec2};
use siskin_dsp::{Class, HopReport};

use super::TestPage;

/// A hop and a frame: fewer hops than wait at most.
const HOP_S: f32 = 0.001;
const HOPS: usize = 250;

impl TestPage {
    /// Plays so many hops of a sound.
    fn play(&mut self, report: &HopReport, hops: usize) {
        self.sound.set_clock(1000.0, (1000.0 * HOP_S) as usize);
        let mut left = hops;
        while left > 0 {
            let now = left.min(HOPS);
            (0..now).for_each(|_| self.sound.write(report));
            self.frame(vec![]);
            left -= now;
        }
    }

    /// Whether a text of the last frame is or begins with this one.
    fn says(&self, said: &str) -> bool {
        self.texts().iter().any(|(text, _)| text.starts_with(said))
    }

    fn expect(&self, said: &str) {
        assert!(self.says(said), "{said:?} in {:?}", self.texts());
    }
}

/// A voice at -20 LUFS.
fn voice() -> HopReport {
    HopReport {
        class: Class::Voice,
        voice_lufs: -20.0,
        threshold_lufs: -26.0,
        level_lufs: -20.0,
        sibilance_lufs: -120.0,
        voice_detected: true,
        ..HopReport::default()
    }
}

#[test]
fn the_tally_says_what_left_and_what_was_asked() {
    let mut page = TestPage::new();
    page.expect("No sibilants yet");
    // 2.7 LU over the threshold: at 6 : 1 some 0.45 LU of them are left; 0.2 LU more are taken.
    let sibilant = HopReport {
        class: Class::Sibilant,
        sibilance_lufs: -23.3,
        sibilance_gain_db: -2.5,
        ..voice()
    };
    // The first five of 25 are not counted any more.
    for index in 0..25 {
        page.play(&voice(), 100);
        let gain_db = if index < 5 { -12.0 } else { -2.5 };
        let sibilant = HopReport {
            sibilance_gain_db: gain_db,
            ..sibilant
        };
        page.play(&sibilant, 60);
    }
    page.play(&voice(), 10);
    page.expect("last 20: -5.8 LU out, target -5.6 LU (Proportion -6.0, ratio 6 : 1)");
    for legend in ["on target", "above", "below"] {
        page.expect(legend);
    }
}

#[test]
fn a_breath_is_read_at_the_pointer_with_what_is_taken() {
    let mut page = TestPage::new();
    page.play(&voice(), 1000);
    let breath = HopReport {
        class: Class::Breath,
        is_breath: true,
        level_lufs: -41.0,
        breath_gain_db: -4.0,
        ..voice()
    };
    page.play(&breath, 500);
    page.play(&voice(), 1000);
    let timeline = page.layout.timeline;
    page.frame(vec![Event::PointerMoved(egui::pos2(
        timeline.x(1.25),
        timeline.y(-50.0),
    ))]);
    page.frame(vec![]);
    page.expect("voice -20.0  threshold -26.0  breath -41.0 LUFS  reduced 4.0 dB");
    page.frame(vec![Event::PointerMoved(
        timeline.plot.left_bottom() - vec2(20.0, 0.0),
    )]);
    page.frame(vec![]);
    assert!(!page.says("voice -20.0"));
}
