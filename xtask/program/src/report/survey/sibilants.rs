//! Sibilants and breaths one by one: their level before, what the settings ask, and what is left.

use siskin_dsp::{COUNTED_SIBILANT_S, Class, HopReport, Settings, section_of, sibilance_reduction_db};

use super::track::Surveyed;

/// A sibilant or a breath. Levels are against the voice, LU.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Event {
    /// `Sibilant` or `Breath`.
    pub class: Class,
    /// Where it begins and ends, s.
    pub start_s: f32,
    /// Where it ends, s.
    pub end_s: f32,
    /// Level of the voice that it is held against, LUFS.
    pub voice_lufs: f32,
    /// As it comes.
    pub before_lu: f32,
    /// What Proportion, ratio and Range make of it.
    pub asked_lu: f32,
    /// As it leaves.
    pub left_lu: f32,
    /// Whether Range ends its reduction.
    pub is_limited: bool,
}

impl Event {
    /// How far it leaves from what was asked, LU.
    pub fn error_lu(&self) -> f32 {
        self.left_lu - self.asked_lu
    }

    /// As a person reads the class.
    pub fn name(&self) -> &'static str {
        if self.class == Class::Breath {
            "breath"
        } else {
            "sibilant"
        }
    }
}

/// Gathers hops into events.
pub struct EventListener {
    sample_rate_hz: f64,
    settings: Settings,
    current: Option<Current>,
}

/// Sums over the event that sounds.
#[derive(Clone, Copy)]
struct Current {
    class: Class,
    start_s: f32,
    duration_s: f32,
    hops: f64,
    power: f64,
    left_power: f64,
    voice_lufs: f64,
}

impl EventListener {
    pub fn new(sample_rate_hz: f64, settings: &Settings) -> Self {
        Self {
            sample_rate_hz,
            settings: *settings,
            current: None,
        }
    }

    /// Adds a hop; gives the event that it ends.
    pub fn add(&mut self, report: &HopReport, hop_s: f32) -> Option<Event> {
        let is_held = match report.class {
            Class::Sibilant => self.settings.sibilance.on,
            Class::Breath => self.settings.breath.on,
            _ => false,
        };
        // Before the first voice there is no level to hold against.
        let is_held = is_held && report.voice_detected;
        let goes_on = self
            .current
            .is_some_and(|current| is_held && current.class == report.class);
        let ended = if goes_on { None } else { self.end() };
        if is_held {
            let start_s = (report.centre_sample as f64 / self.sample_rate_hz) as f32;
            let current = self.current.get_or_insert(Current::new(report.class, start_s));
            current.add(report, hop_s);
        }
        ended
    }

    /// The event that sounds still, at the end of the track.
    pub fn end(&mut self) -> Option<Event> {
        let current = self.current.take()?;
        (current.duration_s >= COUNTED_SIBILANT_S).then(|| current.event(&self.settings))
    }
}

impl Current {
    fn new(class: Class, start_s: f32) -> Self {
        Self {
            class,
            start_s,
            duration_s: 0.0,
            hops: 0.0,
            power: 0.0,
            left_power: 0.0,
            voice_lufs: 0.0,
        }
    }

    fn add(&mut self, report: &HopReport, hop_s: f32) {
        let (level_lufs, gain_db) = match self.class {
            Class::Breath => (report.level_lufs, report.breath_gain_db),
            _ => (report.sibilance_lufs, report.sibilance_gain_db),
        };
        self.power += 10f64.powf(f64::from(level_lufs) / 10.0);
        self.left_power += 10f64.powf(f64::from(level_lufs + gain_db) / 10.0);
        self.voice_lufs += f64::from(report.voice_lufs);
        self.hops += 1.0;
        self.duration_s += hop_s;
    }

    fn event(&self, settings: &Settings) -> Event {
        let voice_lufs = self.voice_lufs / self.hops;
        let against = |power: f64| (10.0 * (power / self.hops).log10() - voice_lufs) as f32;
        let before_lu = against(self.power);
        let (wanted_db, range_db) = match self.class {
            Class::Breath => {
                let breath = &settings.breath;
                ((before_lu - breath.proportion_lu).max(0.0), breath.range_db)
            }
            _ => {
                let sibilance = &settings.sibilance;
                let excess_lu = before_lu - sibilance.proportion_lu;
                let wanted_db = sibilance_reduction_db(excess_lu, sibilance.ratio, f32::INFINITY);
                (wanted_db, sibilance.range_db)
            }
        };
        Event {
            class: self.class,
            start_s: self.start_s,
            end_s: self.start_s + self.duration_s,
            voice_lufs: voice_lufs as f32,
            before_lu,
            asked_lu: before_lu - wanted_db.min(range_db),
            left_lu: against(self.left_power),
            is_limited: wanted_db > range_db,
        }
    }
}

/// The list of the events of every track.
pub fn csv(surveyed: &[Surveyed]) -> String {
    let mut list = "time_s,track,section,class,before_lu,asked_lu,left_lu\n".to_owned();
    for track in surveyed {
        let name = quoted(&track.name);
        for event in &track.events {
            list += &format!(
                "{:.3},{name},{},{},{:.2},{:.2},{:.2}\n",
                event.start_s,
                section_of(&track.sections, event.start_s),
                event.name(),
                event.before_lu,
                event.asked_lu,
                event.left_lu
            );
        }
    }
    list
}

/// A field of a CSV file (RFC 4180).
fn quoted(text: &str) -> String {
    match text.contains(['"', ',', '\n', '\r']) {
        true => format!("\"{}\"", text.replace('"', "\"\"")),
        false => text.to_owned(),
    }
}
