//! Accuracy of the detector on voices that nobody here synthesised. The goals and what others have published stand in
//! `cargo xtask score`; here is held what was reached, with a small margin, so that it cannot slip.

use std::sync::LazyLock;
use std::thread;

use clap::ValueEnum;
use siskin_tests::measurement::figures::detector::{Figures, score};
use siskin_tests::measurement::voices::conditions::Condition;
use siskin_tests::measurement::voices::corpus::resample::to_rate;
use siskin_tests::measurement::voices::corpus::{Corpus, Origin, Recording};

/// The noises and breaths of the hard conditions.
const SEED: u64 = 1;

/// What came of the whole corpus.
#[derive(Default)]
struct Heard {
    real: Figures,
    synthetic: Figures,
}

impl Heard {
    fn of(corpus: &Corpus, prepare: impl Fn(&Recording) -> Recording) -> Self {
        let mut heard = Self::default();
        for recording in &corpus.recordings {
            let figures = score(&prepare(recording)).figures;
            match recording.origin {
                Origin::Real => heard.real += figures,
                Origin::Synthetic => heard.synthetic += figures,
            }
        }
        heard
    }

    fn all(&self) -> Figures {
        let mut all = self.real.clone();
        all += self.synthetic.clone();
        all
    }
}

static CORPUS: LazyLock<Corpus> = LazyLock::new(|| Corpus::of_this_run().expect("the labelled voices"));
static CLEAN: LazyLock<Heard> = LazyLock::new(|| Heard::of(&CORPUS, Recording::clone));

/// Percent of s, sh, ch and strong z, zh, j.
fn recall(figures: &Figures) -> f64 {
    figures.sibilants.both().percent().expect("sibilants")
}

fn false_per_minute(figures: &Figures) -> f64 {
    figures.false_events.per_minute().expect("some sound")
}

/// Percent of f, th, h that are called sibilant and reduced.
fn reduced(figures: &Figures) -> f64 {
    let share = figures.weak_fricatives.unvoiced_reduced;
    share.percent().expect("f, th, h")
}

#[track_caller]
fn at_least(what: &str, value: f64, least: f64) {
    assert!(value >= least, "{what}: {value:.2}, not {least} or more");
}

#[track_caller]
fn at_most(what: &str, value: f64, most: f64) {
    assert!(value <= most, "{what}: {value:.2}, not {most} or less");
}

/// Goals: 98 and 95 % recalled, 1 and 2 false a minute, 5 % reduced, onsets within 1 and 4 ms, the voice within 0.5 LU.
fn holds_what_was_reached(at: &str, heard: &Heard) {
    let (real, synthetic, all) = (&heard.real, &heard.synthetic, &heard.all());
    at_least(&format!("{at}, synthetic, % recalled"), recall(synthetic), 99.0);
    at_least(&format!("{at}, real, % recalled"), recall(real), 96.0);
    at_most(
        &format!("{at}, synthetic, false a minute"),
        false_per_minute(synthetic),
        0.5,
    );
    at_most(
        &format!("{at}, real, false a minute"),
        false_per_minute(real),
        1.4,
    );
    at_most(&format!("{at}, % of f th h reduced"), reduced(all), 3.5);

    let onset_ms = |quantile| f64::from(all.onsets.absolute_quantile_ms(quantile).expect("onsets"));
    at_most(&format!("{at}, onset, median, ms"), onset_ms(0.5), 0.6);
    at_most(&format!("{at}, onset, 95 %, ms"), onset_ms(0.95), 4.0);
    assert!(all.onsets.errors_ms.len() > 300, "{at}: too few onsets");

    let voice_lu =
        |figures: &Figures| f64::from(figures.voice_level.mean_of_recordings_lu().expect("voices"));
    at_most(
        &format!("{at}, synthetic, voice off by LU"),
        voice_lu(synthetic),
        0.5,
    );
    // One of three noisy recordings reads 3 LU off: without it these would be 0.5 LU too.
    at_most(&format!("{at}, real, voice off by LU"), voice_lu(real), 0.8);
}

#[test]
fn labelled_voices_are_heard_at_their_own_rates() {
    holds_what_was_reached("own rates", &CLEAN);
}

#[test]
fn labelled_voices_are_heard_at_48_khz() {
    let heard = Heard::of(&CORPUS, |recording| to_rate(recording, 48_000.0));
    holds_what_was_reached("48 kHz", &heard);
}

/// What a hard condition may cost.
struct Limits {
    condition: Condition,
    /// Points of recall, synthetic and real. The goal is 3 for each.
    recall_points: [f64; 2],
    /// False sibilants a minute, synthetic and real.
    false_per_minute: [f64; 2],
    /// Percent of f, th, h reduced. Where the top is boosted or the vowels are soft, an f is as high against the
    /// vowels as a soft s does elsewhere, and has its spectrum: it is reduced with it.
    reduced_percent: f64,
}

impl Limits {
    const fn new(
        condition: Condition,
        recall_points: [f64; 2],
        false_per_minute: [f64; 2],
        reduced_percent: f64,
    ) -> Self {
        Self {
            condition,
            recall_points,
            false_per_minute,
            reduced_percent,
        }
    }
}

const LIMITS: &[Limits] = &[
    Limits::new(Condition::DarkMicrophone, [3.0; 2], [0.5, 1.0], 3.0),
    Limits::new(Condition::BrightMicrophone, [3.0; 2], [2.5, 8.0], 28.0),
    Limits::new(Condition::Hiss, [3.0; 2], [0.5, 1.4], 4.0),
    Limits::new(Condition::Hum, [3.0; 2], [0.5, 1.4], 4.0),
    Limits::new(Condition::CloseBreaths, [3.0; 2], [0.5, 1.4], 4.0),
    Limits::new(Condition::HiHatBleed, [3.0; 2], [0.5, 2.5], 4.0),
    Limits::new(Condition::DistortedDouble, [3.0; 2], [5.5, 4.0], 16.0),
    Limits::new(Condition::BackingStack, [3.0; 2], [0.5, 1.0], 6.0),
    Limits::new(Condition::Whispered, [3.0; 2], [2.0, 2.0], 54.0),
    Limits::new(Condition::LispingS, [3.0; 2], [0.5, 1.4], 4.0),
    // A whistle near 3 kHz lies among the formants.
    Limits::new(Condition::WhistlingS, [3.0, 4.5], [0.5, 1.4], 4.0),
    Limits::new(Condition::HardLevelled, [3.0; 2], [1.0, 3.5], 43.0),
];

/// What `cargo xtask hard-voices` holds against the rule, on levelled voices.
const AGAINST_THE_RULE: &[Condition] = &[
    Condition::ReverbTails,
    Condition::BakedReverb,
    Condition::SlapBack,
    Condition::BriskSpeech,
    Condition::FastSpeech,
    Condition::ThirdUp,
    Condition::FifthUp,
    Condition::OctaveUp,
    Condition::Growled,
    Condition::FirstSibilants,
    Condition::TalkBack,
    Condition::LoweredSibilants,
];

fn holds_within(limits: &Limits, clean: &Heard, hard: &Heard) {
    let name = limits.condition.name();
    let voices = [
        ("synthetic", &clean.synthetic, &hard.synthetic),
        ("real", &clean.real, &hard.real),
    ];
    for (index, (voice, clean, hard)) in voices.into_iter().enumerate() {
        let lost = recall(clean) - recall(hard);
        at_most(
            &format!("{name}, {voice}, points of recall lost"),
            lost,
            limits.recall_points[index],
        );
        let what = format!("{name}, {voice}, false a minute");
        at_most(&what, false_per_minute(hard), limits.false_per_minute[index]);
    }
    at_most(
        &format!("{name}, % of f th h reduced"),
        reduced(&hard.all()),
        limits.reduced_percent,
    );
    if limits.condition == Condition::CloseBreaths {
        // Goals: 95 % and 2 %. Nakano et al. 2008 find 97.5 %.
        let breaths = hard.all().breaths;
        at_least(
            "% of breaths called breath",
            breaths.called_breath.percent().expect("breaths"),
            98.0,
        );
        at_most(
            "% of breaths called sibilant",
            breaths.called_sibilant.percent().expect("breaths"),
            1.0,
        );
        assert!(breaths.called_breath.whole > 100, "too few breaths");
    }
}

#[test]
fn a_hard_condition_costs_no_more_than_it_did() {
    let is_held = |condition: &&Condition| LIMITS.iter().any(|limits| limits.condition == **condition);
    let (held, others): (Vec<_>, Vec<_>) = Condition::value_variants()
        .iter()
        .copied()
        .partition(|condition| is_held(&condition));
    assert_eq!(held.len(), LIMITS.len());
    assert_eq!(others, AGAINST_THE_RULE);
    thread::scope(|scope| {
        let half = LIMITS.len() / 2;
        for limits in [&LIMITS[..half], &LIMITS[half..]] {
            scope.spawn(move || {
                for limits in limits {
                    let hard = Heard::of(&CORPUS, |recording| limits.condition.apply(recording, SEED));
                    holds_within(limits, &CLEAN, &hard);
                }
            });
        }
    });
}
