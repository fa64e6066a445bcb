//! The page as Markdown.

use crate::report::{self, Section};

const HEAD: &str = "# How fast, measured

Written by `cargo xtask bench --page`, on the machine of that day: ratios travel, nanoseconds do not. The measuring is in
`tests/src/measurement/bench`. `cargo xtask null` shows that a faster version sounds as the one before.

";

const NOTES: &str = "
- Everything that is timed runs in turn, round after round, so that a machine that slows down slows down all of it. Each 2 s of
  sound count as they were in their quickest round; *spread* is by how much the middle round was longer. Time is that of the processor for the one thread.
- The sound: verse, middle and chorus of the synthetic singer, 10 s, after the hard leveller and the boost. *All on*: leveller
  with auto makeup, sibilance, breath with a low cut of 120 Hz, output gain -1 dB. Blocks of 512 samples where none is named.
- *Worst block*: 60 passes after a reset, which do the same work bit for bit; the least time of each block counts, less what
  reading the clock takes.
- *Over its stages alone*: the engine over the sum of those stages that it needs whatever it is given, each timed alone in the
  same contest, the shelf at rest. What an s adds is in the engine's time and not in the sum.
- pedalboard's processors get each 2 s in one call and cut them into blocks themselves. The demo's two stages and compressor
  are plain code that is written to be right.
- A frame is one sample of every channel.

";

/// The page. It holds no figure that was not measured in that run.
pub fn text(sections: &[Section]) -> String {
    let (goals, others) = sections.split_at(1);
    format!(
        "{HEAD}{}{NOTES}\n{}",
        report::markdown(goals),
        report::markdown(others)
    )
}
