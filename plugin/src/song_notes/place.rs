//! Where the song is: what the host tells of a block, and the song position of each report.

use nice_plug::prelude::Transport;

use super::Bar;

/// What the host tells of the first sample of a block.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct HostPlace {
    /// Whether the song plays.
    pub is_playing: bool,
    /// Samples since the start of the song, negative before it; `None` where the host does not tell.
    pub song_sample: Option<i64>,
    /// Bar and beat, where the host tells tempo and metre.
    pub bar: Option<Bar>,
}

impl HostPlace {
    /// From what the framework has of it.
    pub fn of(transport: &Transport) -> Self {
        Self {
            is_playing: transport.playing,
            song_sample: transport.pos_samples(),
            bar: bar(transport),
        }
    }
}

fn bar(transport: &Transport) -> Option<Bar> {
    let metre = (
        u8::try_from(transport.time_sig_numerator?).ok()?,
        u8::try_from(transport.time_sig_denominator?).ok()?,
    );
    let bar = Bar {
        number: 1,
        quarters: transport.pos_beats()?,
        metre,
        tempo_bpm: transport.tempo?,
    };
    let counted = bar.checked()?.moved(0.0);
    // Some hosts leave the start of the bar at 0, or tell none: what is no bar ago is not believed. VST3 has no number of the
    // bar.
    let quarters = bar.quarters - transport.bar_start_pos_beats.unwrap_or(f64::NAN);
    let told = Bar { quarters, ..counted };
    let is_in_bar = quarters >= 0.0 && told.moved(0.0).number == told.number;
    let number = transport
        .bar_number
        .map_or(counted.number, |number| number.saturating_add(1));
    Some(if is_in_bar {
        Bar { number, ..told }
    } else {
        counted
    })
}

/// Positions closer to what was expected belong to a host that counts in seconds or beats, samples.
const TOLERANCE_SAMPLES: u64 = 16;
/// Segments that are kept: with the longest lookahead, reports come 300 ms after their sample.
const SEGMENTS: usize = 8;

/// Samples that run with the song.
#[derive(Debug, Clone, Copy, Default)]
struct Segment {
    /// Index of its first sample by which the engine counts.
    from_sample: i64,
    /// From an index to the position in the song; `None` while nothing plays.
    offset_samples: Option<i64>,
}

/// Finds the position in the song of a sample that the engine reports on.
#[derive(Debug, Default)]
pub(super) struct SongPositions {
    /// The newest first.
    segments: [Segment; SEGMENTS],
    reported_sample: Option<i64>,
    next_sample: i64,
}

impl SongPositions {
    /// Takes the song position of the sample that the engine counts as `next_sample`; `None` while nothing plays.
    pub fn begin_block(&mut self, next_sample: i64, song_sample: Option<i64>) {
        if next_sample < self.next_sample {
            // The engine was reset.
            *self = Self::default();
        }
        self.next_sample = next_sample;
        // A position that is told twice comes from a block that was split.
        let is_repeated = song_sample.is_some() && song_sample == self.reported_sample;
        self.reported_sample = song_sample;
        let offset_samples = song_sample.map(|song| song.saturating_sub(next_sample));
        let goes_on = match (offset_samples, self.segments[0].offset_samples) {
            (Some(offset), Some(before)) => is_repeated || offset.abs_diff(before) <= TOLERANCE_SAMPLES,
            (offset, before) => offset == before,
        };
        if !goes_on {
            self.segments.rotate_right(1);
            self.segments[0] = Segment {
                from_sample: next_sample,
                offset_samples,
            };
        }
    }

    /// The song position of a sample that the engine counts as `sample`, and whether it plays.
    pub fn song_sample(&self, sample: i64) -> Option<i64> {
        let mut segments = self.segments.iter();
        let segment = segments.find(|segment| segment.from_sample <= sample)?;
        Some(segment.offset_samples?.saturating_add(sample))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reports_get_the_position_that_their_sample_had() {
        let mut positions = SongPositions::default();
        positions.begin_block(0, Some(-100));
        positions.begin_block(512, Some(412));
        positions.begin_block(1024, Some(50_000));
        assert_eq!(positions.song_sample(600), Some(500));
        assert_eq!(positions.song_sample(1023), Some(923), "before the jump");
        assert_eq!(positions.song_sample(1024), Some(50_000));
        positions.begin_block(1536, None);
        assert_eq!(positions.song_sample(1535), Some(50_511));
        assert_eq!(positions.song_sample(1600), None, "stopped");
        positions.begin_block(0, Some(7));
        assert_eq!(positions.song_sample(3), Some(10), "after a reset");
    }

    #[test]
    fn split_blocks_and_rounding_are_no_jumps() {
        let mut positions = SongPositions::default();
        positions.begin_block(0, Some(1000));
        positions.begin_block(100, Some(1000));
        positions.begin_block(512, Some(1513));
        assert_eq!(positions.song_sample(150), Some(1150));
        assert_eq!(positions.song_sample(600), Some(1600));
        positions.begin_block(1024, Some(i64::MAX));
        assert_eq!(positions.song_sample(2048), Some(i64::MAX), "no overflow");
    }

    fn transport(beats: f64, bar_start: f64, bar: Option<i32>, metre: (i32, i32)) -> HostPlace {
        let mut transport = Transport::new(48_000.0);
        transport.tempo = Some(120.0);
        (transport.time_sig_numerator, transport.time_sig_denominator) = (Some(metre.0), Some(metre.1));
        transport.pos_beats = Some(beats);
        transport.bar_start_pos_beats = Some(bar_start);
        transport.bar_number = bar;
        HostPlace::of(&transport)
    }

    #[test]
    fn bars_come_from_the_host_where_they_can_be_believed() {
        let told = transport(30.5, 28.0, Some(9), (6, 8)).bar.unwrap();
        assert_eq!((told.number, told.beat()), (10, 6.0));
        let counted = transport(30.5, 0.0, Some(0), (4, 4)).bar.unwrap();
        assert_eq!((counted.number, counted.beat()), (8, 3.5));
        let vst3 = transport(-1.0, -4.0, None, (4, 4)).bar.unwrap();
        assert_eq!((vst3.number, vst3.beat()), (0, 4.0), "a bar of count-in");
        assert_eq!(transport(3.0, 0.0, None, (0, 4)).bar, None);
        assert_eq!(transport(3.0, 0.0, None, (4, 3)).bar, None);
        assert_eq!(transport(f64::NAN, 0.0, None, (4, 4)).bar, None);
    }
}
