//! Which host callbacks a plug-in may make when, and on which thread. A host notes each one that its format forbids.

use std::cell::Cell;
use std::fmt;
use std::panic;
use std::ptr;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex};
use std::thread::{self, ThreadId};

use super::lock;

/// What a format's header demands of the caller of a callback.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rule {
    /// `[thread-safe]`
    AnyThread,
    /// `[main-thread]`, VST3's UI thread.
    MainThread,
    /// `[audio-thread]`
    AudioThread,
    /// `[thread-safe, !audio-thread]`
    NotAudioThread,
    /// `[main-thread & being-activated]`
    BeingActivated,
    /// `[main-thread]`, while the plug-in is not active.
    Inactive,
}

/// Where an insert is in its life.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Phase {
    /// Before the format allows any callback: CLAP's `create_plugin`.
    Creating,
    /// Initialised, not active.
    Inactive,
    /// Within the call that activates.
    Activating,
    /// Active.
    Active,
    /// Within the call that deactivates.
    Deactivating,
    /// Within the call that destroys.
    Destroying,
}

thread_local! {
    /// The rules of the insert whose audio thread this is at the moment.
    static AUDIO_THREAD_OF: Cell<*const HostRules> = const { Cell::new(ptr::null()) };
}

/// The rules for the callbacks of one insert, and how they were broken.
#[derive(Debug)]
pub struct HostRules {
    main_thread: ThreadId,
    phase: Mutex<Phase>,
    enforced: AtomicBool,
    broken: Mutex<Vec<String>>,
}

impl Default for HostRules {
    fn default() -> Self {
        Self::new(Phase::Creating)
    }
}

impl HostRules {
    /// For an insert whose main thread is this one.
    pub fn new(phase: Phase) -> Self {
        Self {
            main_thread: thread::current().id(),
            phase: Mutex::new(phase),
            enforced: AtomicBool::new(false),
            broken: Mutex::default(),
        }
    }

    /// From now on the end of an insert that broke a rule panics with what it broke.
    pub fn enforce(&self) {
        self.enforced.store(true, Ordering::Release);
    }

    /// Says where the insert is in its life.
    pub fn enter(&self, phase: Phase) {
        *lock(&self.phase) = phase;
    }

    /// Whether this is the insert's main thread.
    pub fn is_main_thread(&self) -> bool {
        thread::current().id() == self.main_thread
    }

    /// Whether this is the insert's audio thread at the moment.
    pub fn is_audio_thread(&self) -> bool {
        ptr::eq(AUDIO_THREAD_OF.get(), self)
    }

    /// Notes the callback `name` where its header's `rule` does not hold.
    pub fn check(&self, name: &str, rule: Rule) {
        let phase = *lock(&self.phase);
        let holds = phase != Phase::Creating
            && match rule {
                Rule::AnyThread => true,
                Rule::MainThread => self.is_main_thread(),
                Rule::AudioThread => self.is_audio_thread(),
                Rule::NotAudioThread => !self.is_audio_thread(),
                Rule::BeingActivated => self.is_main_thread() && phase == Phase::Activating,
                Rule::Inactive => self.is_main_thread() && phase != Phase::Active,
            };
        if !holds {
            let thread = match (self.is_main_thread(), self.is_audio_thread()) {
                (true, _) => "the main thread",
                (_, true) => "the audio thread",
                _ => "another thread",
            };
            self.note(format!("{name}: wants {rule}; called on {thread} while {phase}"));
        }
    }

    /// Notes a rule that was broken otherwise.
    pub fn note(&self, broken: String) {
        let mut noted = lock(&self.broken);
        if !noted.contains(&broken) {
            noted.push(broken);
        }
    }

    /// The rules that were broken since the last call, each once; forgets them.
    pub fn take_broken(&self) -> Vec<String> {
        std::mem::take(&mut *lock(&self.broken))
    }

    /// Runs `work` on this thread, which is the insert's audio thread meanwhile.
    pub fn as_audio_thread<T>(&self, work: impl FnOnce() -> T) -> T {
        let before = AUDIO_THREAD_OF.replace(self);
        let done = work();
        AUDIO_THREAD_OF.set(before);
        done
    }

    /// Runs `work` on a new audio thread, and waits for it.
    pub fn on_audio_thread<T: Send>(&self, work: impl FnOnce() -> T + Send) -> T {
        thread::scope(|scope| match scope.spawn(|| self.as_audio_thread(work)).join() {
            Ok(done) => done,
            Err(cause) => panic::resume_unwind(cause),
        })
    }
}

/// The last field of an insert: its end panics where rules were broken and are enforced.
#[derive(Debug)]
pub struct Enforcement(pub Arc<HostRules>);

impl Drop for Enforcement {
    fn drop(&mut self) {
        let broken = self.0.take_broken();
        if self.0.enforced.load(Ordering::Acquire) && !thread::panicking() {
            assert!(
                broken.is_empty(),
                "the plug-in broke its host's rules: {broken:#?}"
            );
        }
    }
}

impl fmt::Display for Rule {
    fn fmt(&self, form: &mut fmt::Formatter) -> fmt::Result {
        form.write_str(match self {
            Self::AnyThread => "any thread, after init",
            Self::MainThread => "the main thread",
            Self::AudioThread => "the audio thread",
            Self::NotAudioThread => "any thread but the audio thread",
            Self::BeingActivated => "the main thread, while being activated",
            Self::Inactive => "the main thread, while not active",
        })
    }
}

impl fmt::Display for Phase {
    fn fmt(&self, form: &mut fmt::Formatter) -> fmt::Result {
        form.write_str(match self {
            Self::Creating => "being created",
            Self::Inactive => "not active",
            Self::Activating => "being activated",
            Self::Active => "active",
            Self::Deactivating => "being deactivated",
            Self::Destroying => "being destroyed",
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_rule_holds_only_on_its_thread_and_in_its_phase() {
        let rules = HostRules::new(Phase::Inactive);
        let broken = |phase, audio: bool, rule| {
            rules.enter(phase);
            if audio {
                rules.on_audio_thread(|| rules.check("callback", rule));
            } else {
                rules.check("callback", rule);
            }
            !rules.take_broken().is_empty()
        };
        let ways = [
            (Phase::Inactive, false),
            (Phase::Activating, false),
            (Phase::Active, false),
            (Phase::Active, true),
        ];
        for (rule, expected) in [
            (Rule::AnyThread, [false; 4]),
            (Rule::MainThread, [false, false, false, true]),
            (Rule::AudioThread, [true, true, true, false]),
            (Rule::NotAudioThread, [false, false, false, true]),
            (Rule::BeingActivated, [true, false, true, true]),
            (Rule::Inactive, [false, false, true, true]),
        ] {
            assert_eq!(
                ways.map(|(phase, audio)| broken(phase, audio, rule)),
                expected,
                "{rule}"
            );
            assert!(broken(Phase::Creating, false, rule), "{rule}");
        }
        rules.enter(Phase::Active);
        rules.check("clap_host_latency.changed", Rule::BeingActivated);
        assert_eq!(
            rules.take_broken(),
            [
                "clap_host_latency.changed: wants the main thread, while being activated; called on the main thread while active"
            ]
        );
    }
}
