//! The proposal for Proportion on whole songs and on labelled voices: any passage of one voice proposes the same.

use siskin_dsp::{HopReport, ProportionListener, ProportionProposal, Settings};
use siskin_tests::measurement::figures::properties::{Layout, Play, RATE_HZ, SINGERS, Voice};
use siskin_tests::measurement::voices::corpus::{Corpus, Half};

/// Seconds from one beginning of a passage to the next.
const STEP_S: f64 = 1.0;
/// The goal: proposals from one voice lie within this, LU.
const MOST_APART_LU: f32 = 1.0;
/// What a natural voice gets: the default of Proportion, LU.
const NATURAL_LU: f32 = -6.0;

/// What the editor's listener is told of a sound.
struct Heard {
    reports: Vec<HopReport>,
    hop_s: f32,
}

impl Heard {
    fn new(audio: &[f32]) -> Self {
        let settings = Settings::default();
        let voice = Layout::Scaled.lay(audio);
        let play = Play::new(RATE_HZ, &voice, &settings);
        let hop_s = play.engine().hop_samples() as f32 / RATE_HZ as f32;
        Self {
            reports: play.run().reports,
            hop_s,
        }
    }

    /// The first proposal of a person who begins to listen at hop `from`; `None` where the sound ends before.
    fn proposal(&self, from: usize) -> Option<ProportionProposal> {
        let mut listener = ProportionListener::default();
        self.reports[from..].iter().find_map(|report| {
            listener.add(report, self.hop_s);
            listener.proposal(Settings::default().sibilance.ratio)
        })
    }

    /// Of every passage.
    fn passages(&self) -> Vec<ProportionProposal> {
        let step = (STEP_S / f64::from(self.hop_s)) as usize;
        let starts = (0..self.reports.len()).step_by(step);
        starts.filter_map(|from| self.proposal(from)).collect()
    }
}

/// The proposals from one sound.
struct Spread {
    least_lu: f32,
    most_lu: f32,
    whole_lu: f32,
    /// Passages that are long enough for a proposal.
    passages: usize,
}

impl Spread {
    /// Prints the figures; `None` where the whole sound has too little singing or too few sibilants.
    fn new(name: &str, audio: &[f32]) -> Option<Self> {
        let heard = Heard::new(audio);
        let mut listener = ProportionListener::default();
        for report in &heard.reports {
            listener.add(report, heard.hop_s);
        }
        let whole = listener.proposal(Settings::default().sibilance.ratio)?;
        let passages = heard.passages();
        let of = |pick: fn(f32, f32) -> f32| {
            let values = passages.iter().map(|passage| passage.proportion_lu);
            values.fold(whole.proportion_lu, pick)
        };
        let spread = Self {
            least_lu: of(f32::min),
            most_lu: of(f32::max),
            whole_lu: whole.proportion_lu,
            passages: passages.len(),
        };
        println!(
            "{name}: {} to {} LU in {} passages, whole {} (median {:.1}, within {:.2})",
            spread.least_lu,
            spread.most_lu,
            spread.passages,
            spread.whole_lu,
            whole.median_lu,
            whole.uncertainty_lu
        );
        Some(spread)
    }

    fn assert_agrees(&self, name: &str) {
        assert!(
            self.most_lu - self.least_lu <= MOST_APART_LU,
            "{name}: {} to {} LU",
            self.least_lu,
            self.most_lu
        );
    }

    fn is_natural(&self) -> bool {
        [self.least_lu, self.most_lu] == [NATURAL_LU; 2]
    }
}

#[test]
fn every_passage_of_a_song_proposes_the_same() {
    for seed in SINGERS {
        let voice = Voice::singer(seed);
        let raw = Spread::new(&format!("{} as sung", voice.line), &voice.raw.audio).unwrap();
        let levelled = Spread::new(&format!("{} levelled", voice.line), &voice.levelled).unwrap();
        assert!(raw.passages > 30 && levelled.passages > 30);
        assert!(
            raw.is_natural(),
            "{}: a natural voice changes nothing",
            voice.line
        );
        levelled.assert_agrees(&voice.line);
        assert!(
            levelled.whole_lu < NATURAL_LU,
            "{}: levelled sibilants are held lower",
            voice.line
        );
    }
}

#[test]
fn every_passage_of_a_labelled_voice_proposes_the_same() {
    let corpus = Corpus::of_this_run().unwrap_or_else(|error| panic!("{error}"));
    let mut compared = 0;
    for voice in corpus.recordings.iter().filter_map(Voice::of) {
        let name = format!("{}, {}", voice.half.name(), voice.line);
        let raw = Spread::new(&format!("{name}, as it is"), &voice.raw.audio);
        let levelled = Spread::new(&format!("{name}, levelled"), &voice.levelled);
        for spread in raw.iter().chain(&levelled) {
            spread.assert_agrees(&name);
            compared += spread.passages;
        }
        if voice.half == Half::Test {
            assert!(
                raw.is_none_or(|raw| raw.is_natural()),
                "{name}: a natural voice changes nothing"
            );
        }
    }
    assert!(compared > 100, "only {compared} passages");
}
