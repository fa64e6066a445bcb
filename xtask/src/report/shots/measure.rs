//! Measures opening time, processor time and leaks of the editor.

use std::path::Path;
use std::rc::Rc;
use std::time::{Duration, Instant};

use anyhow::Result;
use siskin_tests::hosts::built::SISKIN;
use siskin_tests::hosts::clap::{Bundle, Live};
use siskin_tests::hosts::window::{Load, Opening, Screen, Session, levelled_song};
use siskin_tests::measurement::goal::{Goal, Verdict};

use crate::report::progress;

/// Openings that are measured, after a first one that loads libraries and caches.
const OPENINGS: usize = 9;
/// Duration of a load measurement: process clocks tick a hundred times a second.
const LOAD_TIME: Duration = Duration::from_secs(20);
/// Pause before it, in which window and sound settle.
const SETTLE: Duration = Duration::from_secs(9);
/// Openings of the leak measurement where none are asked for, and those before it, which fill caches.
const CYCLES: u64 = 100;
const WARM_UP: usize = 5;
/// How often it looks at what openings leave.
const LOOKS: u64 = 10;

/// Goals.
const LONGEST_OPENING_MS: f64 = 300.0;
const MOST_IDLE_PERCENT: f64 = 1.0;
const MOST_PLAYING_PERCENT: f64 = 6.0;

/// Measures the editor of the bundle at `clap` and prints the results.
pub fn run(clap: &Path) -> Result<()> {
    let bundle = Bundle::load(clap)?;
    let screen = Rc::new(Screen::open()?);
    let sound = levelled_song();
    let insert = || Session::new(&screen, bundle.plugin(SISKIN)?, sound.clone());
    opening(&mut insert()?)?;
    cost(&screen, &insert)?;
    leaks(&screen, &mut insert()?, CYCLES)
}

fn opening(session: &mut Session) -> Result<()> {
    let mut times_ms = Vec::new();
    for _ in 0..=OPENINGS {
        times_ms.push(1000.0 * session.open(Opening::default())?.as_secs_f64());
        session.pass(Duration::from_millis(200))?;
        session.close()?;
    }
    let first = times_ms.remove(0);
    times_ms.sort_by(f64::total_cmp);
    let (middle, worst) = (times_ms[OPENINGS / 2], times_ms[OPENINGS - 1]);
    println!(
        "opening to the first painted frame: first {first:.0} ms, then median {middle:.0} ms, worst {worst:.0} ms"
    );
    goal("opening", worst, LONGEST_OPENING_MS, "ms");
    Ok(())
}

/// What the host does, and what the window may cost meanwhile.
struct Sounds {
    name: &'static str,
    /// Makes the host do it.
    begin: fn(&Live),
    /// What the window is called meanwhile.
    window: &'static str,
    /// The most that the window may take.
    most_percent: f64,
}

const SOUNDS: [Sounds; 3] = [
    Sounds {
        name: "stopped",
        begin: Live::rest,
        window: "idle window",
        most_percent: MOST_IDLE_PERCENT,
    },
    Sounds {
        name: "silence",
        begin: Live::silence,
        window: "idle window",
        most_percent: MOST_IDLE_PERCENT,
    },
    Sounds {
        name: "playing",
        begin: |live| live.play(None),
        window: "playing window",
        most_percent: MOST_PLAYING_PERCENT,
    },
];

/// Processor time of the same insert with and without a window: stopped, in silence, and playing.
fn cost(screen: &Rc<Screen>, insert: &dyn Fn() -> Result<Session>) -> Result<()> {
    let mut session = insert()?;
    let without: Vec<f64> = SOUNDS
        .iter()
        .map(|sounds| processor_percent(screen, &mut session, sounds.begin))
        .collect::<Result<_>>()?;
    session.open(Opening::default())?;
    for (sounds, without) in SOUNDS.iter().zip(without) {
        let with = processor_percent(screen, &mut session, sounds.begin)?;
        let difference = with - without;
        println!(
            "{}: {with:.2} % of a core with the window, {without:.2} % without, difference {difference:.2} %",
            sounds.name
        );
        goal(sounds.window, difference, sounds.most_percent, "% of a core");
    }
    Ok(())
}

/// Processor time of this process, percent of one core.
fn processor_percent(screen: &Screen, session: &mut Session, begin: fn(&Live)) -> Result<f64> {
    begin(session.live());
    session.pass(SETTLE)?;
    let (before, started) = (Load::now(screen)?, Instant::now());
    session.pass(LOAD_TIME)?;
    let after = Load::now(screen)?;
    Ok(100.0 * (after.processor_s - before.processor_s) / started.elapsed().as_secs_f64())
}

/// Opens and closes the editor of the bundle at `clap` `count` times while sound runs, and prints what that leaves.
pub fn openings(clap: &Path, count: u64) -> Result<()> {
    let screen = Rc::new(Screen::open()?);
    let plugin = Bundle::load(clap)?.plugin(SISKIN)?;
    leaks(
        &screen,
        &mut Session::new(&screen, plugin, levelled_song())?,
        count,
    )
}

fn leaks(screen: &Rc<Screen>, session: &mut Session, count: u64) -> Result<()> {
    session.live().play(None);
    let cycle = |session: &mut Session| -> Result<()> {
        session.open(Opening::default())?;
        session.pass(Duration::from_millis(100))?;
        session.close()
    };
    for _ in 0..WARM_UP {
        cycle(session)?;
    }
    let bar = progress::counting(count)?;
    let mut loads = vec![Load::now(screen)?];
    for opening in 1..=count {
        cycle(session)?;
        bar.inc(1);
        if opening % count.div_ceil(LOOKS) == 0 || opening == count {
            loads.push(Load::now(screen)?);
        }
    }
    bar.finish_and_clear();
    let row = |of: &dyn Fn(&Load) -> u64| {
        let values: Vec<String> = loads.iter().map(|load| of(load).to_string()).collect();
        values.join(", ")
    };
    println!(
        "{count} openings while sound runs, after {WARM_UP} that fill caches; before, and at each tenth:"
    );
    println!("  memory, KiB: {}", row(&|load| load.memory_kib));
    println!("  threads: {}", row(&|load| load.threads as u64));
    println!("  open files: {}", row(&|load| load.files as u64));
    println!("  clients of the X server: {}", row(&|load| load.clients as u64));
    Ok(())
}

fn goal(name: &str, found: f64, most: f64, unit: &str) {
    let verdict = Verdict::of(name, Goal::Below(most), found, 2, unit);
    println!("  {name} {}: {}", verdict.goal, verdict.word());
}
