//! Tests of the leveller as a whole.

use super::curve::SINE_DB;
use super::*;

const ON: LevellerSettings = LevellerSettings {
    on: true,
    threshold_db: -20.0,
    ratio: 4.0,
    knee_db: 10.0,
    attack_ms: 4.0,
    release_ms: 120.0,
    makeup_db: 0.0,
    auto_makeup: false,
};

fn plan() -> LevellerPlan {
    LevellerPlan::new(&ON, Timing::new(48_000.0))
}

fn sine_power(level_db: f32) -> f64 {
    10f64.powf(f64::from(level_db - SINE_DB) / 10.0)
}

// Giannoulis, Massberg & Reiss 2012, equation 4 with threshold -20 dB, ratio 4, knee 10 dB, once settled.
#[test]
fn a_steady_voice_follows_the_published_curve() {
    for (input_db, output_db) in [(-25.0, -25.0), (-20.0, -20.9375), (-15.0, -18.75), (0.0, -15.0)] {
        let mut leveller = Leveller::new(Timing::new(48_000.0), 240);
        leveller.reset(&plan(), -24.0);
        (0..3000).for_each(|_| leveller.update_steps(&[sine_power(input_db)], Class::Voice, &plan()));
        assert!(
            (input_db - leveller.reduction_db() - output_db).abs() < 0.01,
            "{input_db} dB"
        );
    }
}

#[test]
fn the_gain_is_held_through_sibilants_and_breaths() {
    let mut leveller = Leveller::new(Timing::new(48_000.0), 240);
    leveller.reset(&plan(), -24.0);
    (0..3000).for_each(|_| leveller.update_steps(&[sine_power(-10.0)], Class::Voice, &plan()));
    let before_db = leveller.reduction_db();
    (0..600).for_each(|_| leveller.update_steps(&[sine_power(0.0)], Class::Sibilant, &plan()));
    (0..600).for_each(|_| leveller.update_steps(&[sine_power(-60.0)], Class::Breath, &plan()));
    assert_eq!(leveller.reduction_db(), before_db);
}

#[test]
fn disabled_leveller_resets() {
    let off = LevellerPlan::new(&LevellerSettings { on: false, ..ON }, Timing::new(48_000.0));
    let levellers = [2000, 0].map(|steps| {
        let mut leveller = Leveller::new(Timing::new(48_000.0), 240);
        leveller.reset(&off, -24.0);
        (0..steps).for_each(|_| leveller.update_steps(&[sine_power(-3.0)], Class::Voice, &plan()));
        (0..2000).for_each(|_| leveller.update_steps(&[sine_power(-3.0)], Class::Voice, &off));
        assert!(leveller.is_idle(&off) && leveller.gain().rests_at(1.0));
        (0..700).for_each(|_| leveller.update_steps(&[sine_power(-10.0)], Class::Voice, &plan()));
        (leveller.reduction_db(), *leveller.gain())
    });
    assert!(levellers[0].0 > 3.0);
    assert_eq!(levellers[0], levellers[1]);
}

#[test]
fn the_end_of_a_word_is_held_and_a_softer_voice_is_followed() {
    let mut leveller = Leveller::new(Timing::new(48_000.0), 240);
    leveller.reset(&plan(), -24.0);
    (0..3000).for_each(|_| leveller.update_steps(&[sine_power(-10.0)], Class::Voice, &plan()));
    let before_db = leveller.reduction_db();
    (0..150).for_each(|_| leveller.update_steps(&[sine_power(-22.0)], Class::Voice, &plan()));
    assert!((leveller.reduction_db() - before_db).abs() < 1e-3);
    (0..20_000).for_each(|_| leveller.update_steps(&[sine_power(-22.0)], Class::Voice, &plan()));
    assert!(
        (leveller.reduction_db() - 0.3375).abs() < 0.01,
        "{} dB",
        leveller.reduction_db()
    );
}

#[test]
fn steps_that_are_updated_together_equal_those_one_by_one() {
    let timing = Timing::new(48_000.0);
    let [mut together, mut single] = [0; 2].map(|_| {
        let mut leveller = Leveller::new(timing, 240);
        leveller.reset(&plan(), -24.0);
        leveller
    });
    let off = LevellerPlan::new(&LevellerSettings { on: false, ..ON }, timing);
    for hop in 0..3000 {
        let class = [Class::Voice, Class::Voice, Class::Sibilant, Class::Quiet][hop / 40 % 4];
        let plan = if hop / 700 % 2 == 0 { plan() } else { off };
        let powers: [f64; 4] =
            std::array::from_fn(|step| sine_power(-30.0 + ((7 * hop + step) % 300) as f32 / 10.0));
        // Blocks end anywhere: 1 to 4 steps come at a time.
        let (first, second) = powers.split_at(1 + hop % 4);
        for powers in [first, second] {
            for (step, &power) in powers.iter().enumerate() {
                if step == 0 || !together.next_step() {
                    together.update_steps(powers, class, &plan);
                }
                single.update_steps(&[power], class, &plan);
                assert_eq!(together.gain(), single.gain(), "hop {hop}");
            }
            assert_eq!(together.reduction_db(), single.reduction_db());
        }
    }
}
