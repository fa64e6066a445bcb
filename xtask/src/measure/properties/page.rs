//! The page as Markdown.

use crate::report::Section;

const HEAD: &str = "# Measured results

Written by `cargo xtask properties --markdown docs/properties.md --force`. The measures are in `tests/src/measurement/figures/properties`, the
goals in `rows.rs` there; `tests/tests/properties.rs` holds them on fewer voices.
";

const PROMISES: &str = "
Tests without a folder are files of `tests/tests/` or `dsp-core/tests/`. A row that misses its goal is held in
`tests/tests/properties.rs` to what was reached (`MISSED`), so that it cannot get worse.
";

const FIGURES: &str = "\
Every voice goes through the hard leveller and the boost of the demo, then through a new Siskin at its defaults. Singer:
three seeds of the synthetic singer's song. Synthetic and real: the labelled voices of [detector.md](detector.md), at 48 kHz;
clips under 3 s are repeated. A sibilant counts from 0.5 s of labelled vowels on. `!` misses the goal. A figure is for all
voices of a kind together; the last two columns name the one voice on which it is worst.

The thresholds of the detector were found by search on the real voices of this table, on more of their kind, and on
espeak-ng voices that spoke other texts, most of them with other singers. On the synthetic voices of this table and on the
singer nothing was tuned by that search.

The voices are split into *test* and *tuning* (`tests/src/measurement/voices/corpus/split.rs`). The thresholds of today are older than
the split: real voices of both halves served to find them. From the split on thresholds are searched on tuning voices alone,
and the figures of test voices are those that are quoted.

";

const NOTES: &str = "
- *From outside*: against the K-weighted level of the labelled vowels of the section within 1 s either side. *Own rule*:
  against the reported threshold. Reductions are measured: K-weighted, above 4 kHz, over the label, before less after.
- A label of synthetic and real voices counts from where its sibilant begins to sound to where it ends: from the first to the
  last 5 ms above 4 kHz within 10 dB of the label's mean. *Whole labels* are as they were given; an aligner's hold some of the neighbours.
- *Known labels*: the same rule applied by a stage that knows every label, hop by hop of 64 samples: with the last 400 ms of
  labelled vowels and 5 ms of lookahead, and with the labelled vowels of the next 300 ms too. It is what a detector that errs
  nowhere would reach; *Siskin below it* is in points of the share.
- *Start anywhere*: every 3.7 s, off the grid of hops, 12 s each; *after a jump*: arrived from half the song away, without a reset.
- *Loop*: four bars at 117 bpm ten times, no whole number of hops; pass 3 to 10 against pass 2.
- Both in a host that tells where it plays, as nearly all do; *host tells no position*: in one that does not.
- *Sample rate*: one source, made at 44.1 kHz, played at 44.1, 88.2, 96 and 192 kHz against 48 kHz.
- *No lisp*: Proportion -12 LU, infinite ratio, Range 3 and 12 dB. *Onset*: Proportion -12 LU, Reach 100 %, exact labels; the rise
  of each sibilant is cut out, since one that fades in asks for its reduction bit by bit.
- *Sections*: every second phrase 18 dB down; from 300 ms of new voice on. *Against no jump*: the same phrases all at one level.
- *Double, backing stack, breath track*: Siskin Follow, the levelled lead on the side-chain, the track's own level 12 dB up and
  down; Proportion -9 LU (breaths -20 LU), Range 24 dB. Of the singer they are other singers on her phrasing, of a recording
  distorted and wandering copies; breaths are 10 to 25 LU under the lead.
- *Side-chain falls silent*: while a double that is 12 dB louder sings on. *Gain step beyond others*: what the gain does from hop to
  hop at that moment beyond what it does within the other sibilants.
- Real time (no allocation, lock or panic; denormals, NaN and infinities): `dsp-core/tests/real_time.rs`,
  `dsp-core/tests/properties.rs`, `tests/tests/host_real_time.rs`.
";

const TUNING: &str = "
The same on the voices on which thresholds may be searched.
";

const VOICES: &str = "
Clips of one package and language share a line. kHz: what the narrowest of its sources can hold; under 22 the sibilants of
that voice lack their top, at every rate at which it is played. s: what was played.
";

const STACK: &str = "
Two stages with fixed thresholds, one before the leveller and one at the end, set for the last section of each voice (of the
song: the chorus), so that its sibilants come out on average as Siskin would ask. Input gain and jumps of level meet the last
stage, as they meet Siskin. Only voices of 8 s and more: nobody sets thresholds for a word.
";

/// The page. It holds no figure that was not measured in that run.
pub fn text(sections: &[Section]) -> String {
    let texts = [
        ["", PROMISES],
        [FIGURES, NOTES],
        ["", TUNING],
        ["", VOICES],
        ["", STACK],
    ];
    let section = |(section, [before, after]): (&Section, [&str; 2])| {
        format!(
            "\n## {}\n\n{before}{}{after}",
            section.title,
            section.table.markdown()
        )
    };
    let sections: String = sections.iter().zip(texts).map(section).collect();
    format!("{HEAD}{sections}")
}
