//! A setting on its way to what a person set, without a corner.

use crate::timing::Timing;

/// Time constant of each of the two stages: a step is through to 99 % in 27 ms.
const STAGE_MS: f32 = 4.0;
/// Closer than this, in the setting's unit, a value has arrived.
const ARRIVED: f32 = 1e-4;

/// Two one-poles in series, so that a step begins as softly as it ends: one alone, straight on a gain, is heard as a
/// tick.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Glide {
    decay: f32,
    first: f32,
    second: f32,
}

impl Glide {
    pub fn new(timing: Timing) -> Self {
        Self {
            decay: timing.step_decay(STAGE_MS),
            first: 0.0,
            second: 0.0,
        }
    }

    /// Arrives at once.
    pub fn reset(&mut self, value: f32) {
        (self.first, self.second) = (value, value);
    }

    /// One step towards `value`; returns where it stands.
    pub fn step(&mut self, value: f32) -> f32 {
        self.first = value + self.decay * (self.first - value);
        self.second = self.first + self.decay * (self.second - self.first);
        if (self.first - value).abs().max((self.second - value).abs()) < ARRIVED {
            self.reset(value);
        }
        self.second
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_begins_softly_and_arrives_exactly() {
        let mut glide = Glide::new(Timing::new(48_000.0));
        glide.reset(-30.0);
        let way: Vec<f32> = (0..300).map(|_| glide.step(-10.0)).collect();
        assert!(way[0] < -29.8, "{}", way[0]);
        assert!(way.windows(2).all(|pair| pair[1] >= pair[0]));
        assert!(way[81] > -10.2 && way[299] == -10.0, "{} {}", way[81], way[299]);
    }
}
