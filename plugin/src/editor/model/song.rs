//! The whole song: its sections with their figures, and what is left to do by hand.

use siskin_dsp::{SongSection, VOICE_CELL_S, find_sections, section_of};

use crate::song_notes::{NoteTiming, NotedSibilant, NotesReader, SongSnapshot};

/// A sibilant this close to what was asked needs no hand, LU: common practice, no source. The survey has the same.
pub const NEAR_LU: f32 = 2.0;

/// A section and its sibilants. Levels are means against the voice, LU.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SectionFigures {
    /// Where it begins and ends, seconds of the song.
    pub start_s: f64,
    /// Where it ends.
    pub end_s: f64,
    /// Mean power of its voice, LUFS.
    pub voice_lufs: f32,
    /// Number of its sibilants.
    pub sibilants: usize,
    /// What was asked of them.
    pub asked_lu: f32,
    /// As they leave.
    pub left_lu: f32,
    /// Percentage that leaves within 2 LU of what was asked.
    pub near_percent: f32,
    /// Percentage whose reduction Range ended.
    pub limited_percent: f32,
}

/// What is known of the song.
#[derive(Debug, Clone, Default)]
pub struct Song {
    /// The notes.
    pub notes: SongSnapshot,
    /// The sections, in order.
    pub sections: Vec<SectionFigures>,
    /// The sibilants that leave further than 2 LU from what was asked, worst first.
    pub left_to_do: Vec<NotedSibilant>,
    /// The sections, seconds since the first note.
    found: Vec<SongSection>,
    seen: Option<u32>,
}

impl Song {
    /// Reads the notes where something new was noted.
    pub fn update(&mut self, reader: &NotesReader) {
        let now = reader.changes().now();
        if self.seen != Some(now) {
            *self = Self {
                seen: Some(now),
                ..Self::of(reader.snapshot())
            };
        }
    }

    fn of(notes: SongSnapshot) -> Self {
        let levels: Vec<f32> = notes
            .cells
            .iter()
            .map(|cell| cell.map_or(f32::NEG_INFINITY, |cell| cell.voice_lufs))
            .collect();
        let found = find_sections(&levels, VOICE_CELL_S);
        let mut sorted = vec![Vec::new(); found.len()];
        for sibilant in &notes.sibilants {
            let section = section_of(&found, (sibilant.start_s - notes.start_s) as f32);
            if let Some(section) = section.checked_sub(1).and_then(|index| sorted.get_mut(index)) {
                section.push(*sibilant);
            }
        }
        let sections = found.iter().zip(&sorted);
        let mut left_to_do: Vec<NotedSibilant> = notes.sibilants.clone();
        left_to_do.retain(|sibilant| sibilant.off_lu().abs() > NEAR_LU);
        left_to_do.sort_by(|one, other| other.off_lu().abs().total_cmp(&one.off_lu().abs()));
        Self {
            sections: sections
                .map(|(section, sibilants)| figures(section, notes.start_s, sibilants))
                .collect(),
            left_to_do,
            found,
            seen: None,
            notes,
        }
    }

    /// The section at a position, from 1; 0 where there is none.
    pub fn section(&self, position_s: f64) -> usize {
        section_of(&self.found, (position_s - self.notes.start_s) as f32)
    }

    /// Bar and beat where the host tells tempo and metre, else minutes and seconds.
    pub fn place(&self, position_s: f64) -> String {
        match self.notes.bar(position_s) {
            Some(bar) => format!(
                "bar {}, beat {:.1}",
                bar.number,
                (10.0 * bar.beat()).floor() / 10.0
            ),
            None => clock(position_s),
        }
    }

    /// What of the song is shown, seconds: from its start, or from the first note of one that starts elsewhere, to a length
    /// that grows by steps.
    pub fn span_s(&self) -> (f64, f64) {
        const STEPS_S: [f64; 12] = [
            30.0, 60.0, 90.0, 120.0, 150.0, 180.0, 240.0, 300.0, 360.0, 600.0, 900.0, 1500.0,
        ];
        let (first_s, end_s) = (self.notes.start_s, self.notes.end_s());
        let longest_s = STEPS_S[STEPS_S.len() - 1];
        let start_s = if first_s > 0.0 && end_s <= longest_s {
            0.0
        } else {
            first_s
        };
        let length_s = STEPS_S.into_iter().find(|step_s| *step_s >= end_s - start_s);
        (start_s, start_s + length_s.unwrap_or(end_s - start_s))
    }

    /// The list of what is left to do, as text.
    pub fn text(&self) -> String {
        let mut lines = vec!["place\ttime\tsection\tbefore LU\tasked LU\tleft LU\toff LU\tRange".to_owned()];
        lines.extend(self.left_to_do.iter().map(|sibilant| {
            format!(
                "{}\t{}\t{}\t{:.1}\t{:.1}\t{:.1}\t{:+.1}\t{}",
                self.place(sibilant.start_s),
                clock(sibilant.start_s),
                self.section(sibilant.start_s),
                sibilant.before_lu,
                sibilant.asked_lu,
                sibilant.left_lu,
                sibilant.off_lu(),
                if sibilant.is_limited { "cut off" } else { "" },
            )
        }));
        lines.join("\n") + "\n"
    }

    /// A sibilant in one line: where it is, and its levels.
    pub fn reading(&self, sibilant: &NotedSibilant) -> String {
        let range = if sibilant.is_limited {
            ", cut off by Range"
        } else {
            ""
        };
        format!(
            "{}: before {:.1}, asked {:.1}, left {:.1} LU{range}",
            self.place(sibilant.start_s),
            sibilant.before_lu,
            sibilant.asked_lu,
            sibilant.left_lu
        )
    }

    /// What the strip says where it has nothing to show, or no position.
    pub fn message(&self) -> Option<&'static str> {
        match self.notes.timing {
            NoteTiming::SincePlayback => Some("no song position from the host: time since playback began"),
            _ if self.notes.cells.is_empty() => Some("plays and is noted here: the whole song at a glance"),
            _ => None,
        }
    }
}

/// Minutes, seconds and tenths.
pub fn clock(seconds: f64) -> String {
    let tenths = (seconds.abs() * 10.0).floor();
    let sign = if seconds < 0.0 && tenths > 0.0 { "-" } else { "" };
    let minutes = (tenths / 600.0).floor();
    format!("{sign}{minutes:.0}:{:04.1}", (tenths - 600.0 * minutes) / 10.0)
}

fn figures(section: &SongSection, start_s: f64, sibilants: &[NotedSibilant]) -> SectionFigures {
    let count = sibilants.len().max(1) as f32;
    let mean = |of: fn(&NotedSibilant) -> f32| sibilants.iter().map(of).sum::<f32>() / count;
    let percent = |is: fn(&NotedSibilant) -> bool| {
        100.0 * sibilants.iter().filter(|sibilant| is(sibilant)).count() as f32 / count
    };
    SectionFigures {
        start_s: start_s + f64::from(section.start_s),
        end_s: start_s + f64::from(section.end_s),
        voice_lufs: section.voice_lufs,
        sibilants: sibilants.len(),
        asked_lu: mean(|sibilant| sibilant.asked_lu),
        left_lu: mean(|sibilant| sibilant.left_lu),
        near_percent: percent(|sibilant| sibilant.off_lu().abs() <= NEAR_LU),
        limited_percent: percent(|sibilant| sibilant.is_limited),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::song_notes::NotedCell;

    fn sibilant(start_s: f64, off_lu: f32, is_limited: bool) -> NotedSibilant {
        NotedSibilant {
            start_s,
            before_lu: 1.0,
            asked_lu: -6.0,
            left_lu: off_lu - 6.0,
            is_limited,
        }
    }

    /// Ten seconds of quiet singing, a rest of three, ten of loud, from a position on.
    fn song(start_s: f64) -> Song {
        let cell = |voice_lufs: f32, count: usize| {
            let cell = NotedCell {
                voice_lufs,
                threshold_lufs: -26.0,
            };
            vec![Some(cell); count]
        };
        Song::of(SongSnapshot {
            timing: NoteTiming::Song,
            start_s,
            cells: [cell(-30.0, 100), vec![None; 30], cell(-20.0, 100)].concat(),
            sibilants: [
                sibilant(2.0, 0.5, false),
                sibilant(3.0, 1.5, true),
                sibilant(15.0, -3.0, false),
                sibilant(17.0, 5.0, true),
            ]
            .map(|at| NotedSibilant {
                start_s: start_s + at.start_s,
                ..at
            })
            .to_vec(),
            ..SongSnapshot::default()
        })
    }

    #[test]
    fn sections_have_the_figures_of_their_sibilants() {
        for start_s in [0.0, -8.0, 3600.0] {
            let song = song(start_s);
            let [first, second] = song.sections[..] else {
                panic!("{:?}", song.sections)
            };
            assert!((first.end_s - start_s - 10.5).abs() < 1e-3);
            assert!((second.start_s - start_s - 12.5).abs() < 1e-3);
            assert_eq!(
                (first.sibilants, first.near_percent, first.limited_percent),
                (2, 100.0, 50.0)
            );
            assert_eq!(
                (second.sibilants, second.near_percent, second.limited_percent),
                (2, 0.0, 50.0)
            );
            assert!((first.left_lu + 5.0).abs() < 1e-5 && (first.asked_lu + 6.0).abs() < 1e-5);
            assert!((first.voice_lufs + 30.0).abs() < 1e-3);
            assert_eq!([0.0, 11.0, 14.0].map(|at| song.section(start_s + at)), [1, 1, 2]);
        }
    }

    #[test]
    fn what_is_left_to_do_is_listed_worst_first() {
        let song = song(60.0);
        let offs: Vec<f32> = song.left_to_do.iter().map(NotedSibilant::off_lu).collect();
        assert_eq!(offs, [5.0, -3.0]);
        assert_eq!(
            song.text(),
            "place\ttime\tsection\tbefore LU\tasked LU\tleft LU\toff LU\tRange\n\
             1:17.0\t1:17.0\t2\t1.0\t-6.0\t-1.0\t+5.0\tcut off\n\
             1:15.0\t1:15.0\t2\t1.0\t-6.0\t-9.0\t-3.0\t\n"
        );
        assert_eq!(
            song.reading(&song.left_to_do[0]),
            "1:17.0: before 1.0, asked -6.0, left -1.0 LU, cut off by Range"
        );
    }

    #[test]
    fn the_strip_begins_with_the_song() {
        assert_eq!(song(40.0).span_s(), (0.0, 90.0));
        assert_eq!(song(-8.0).span_s(), (-8.0, 22.0));
        assert_eq!(song(3600.0).span_s(), (3600.0, 3630.0));
        assert_eq!(Song::default().span_s(), (0.0, 30.0));
    }

    #[test]
    fn times_read_as_minutes_and_seconds() {
        let texts = [0.0, 59.99, 83.46, -3.25, 3600.0].map(clock);
        assert_eq!(texts, ["0:00.0", "0:59.9", "1:23.4", "-0:03.2", "60:00.0"]);
    }
}
