use super::*;

fn texts(change: impl FnOnce(&mut Settings, &mut HopReport), has_source: bool) -> Vec<String> {
    let (mut settings, mut report) = (Settings::default(), HopReport::default());
    settings.leveller.on = true;
    report.voice_detected = true;
    change(&mut settings, &mut report);
    let state = State {
        settings: &settings,
        lookahead: Lookahead::Long,
        report: Some(&report),
        running: true,
        clipped: report.input_peak > 1.0,
        has_source,
        frozen: false,
        comparison: None,
        tally: None,
    };
    messages(&state).into_iter().map(|message| message.text).collect()
}

#[test]
fn each_state_has_its_message() {
    assert_eq!(texts(|_, _| {}, false), Vec::<String>::new());
    let one = |change: fn(&mut Settings, &mut HopReport), part: &str| {
        let texts = texts(change, false);
        assert_eq!(texts.len(), 1, "{texts:?}");
        assert!(texts[0].contains(part), "{texts:?}");
    };
    one(|settings, _| settings.output.bypass = true, "Bypassed");
    one(|settings, _| settings.output.listen = Listen::Removed, "Removed");
    one(
        |settings, _| settings.output.listen = Listen::Detector,
        "Detector",
    );
    one(|settings, _| settings.leveller.on = false, "Leveller off");
    one(|settings, _| settings.sibilance.on = false, "Sibilance off");
    one(|_, report| report.voice_detected = false, "No voice yet");
    let parted = |part| texts(|settings, _| settings.output.part = part, false);
    for (part, heard) in [
        (Part::Voice, "the voice without its breaths"),
        (Part::Breaths, "the breaths alone"),
    ] {
        let texts = parted(part);
        assert!(texts[0].contains("begins late at this lookahead"), "{texts:?}");
        assert!(texts[1].contains(heard), "{texts:?}");
    }
    one(|_, report| report.input_peak = 1.2, "clips");
}

#[test]
fn the_followed_voice_is_named() {
    assert!(texts(|_, _| {}, true)[0].contains("silent or not connected"));
    assert_eq!(
        texts(|_, report| report.follows_reference = true, true),
        ["Following the reference voice"]
    );
    let own = texts(
        |settings, _| settings.follow.source = FollowSource::ThisTrack,
        true,
    );
    assert_eq!(own, ["Following this track"]);
}

/// Six sibilants, five of them at Range, far below the voice.
fn hard_tally() -> Tally {
    Tally {
        outcomes: vec![crate::editor::model::tally::Outcome::Above; 6],
        output_lu: -14.0,
        target_lu: -14.0,
        reduction_db: 8.0,
        at_range: 5,
        reason: String::new(),
    }
}

#[test]
fn missing_input_is_reported() {
    let settings = Settings::default();
    let state = State {
        settings: &settings,
        lookahead: Lookahead::Long,
        report: None,
        running: false,
        clipped: false,
        has_source: false,
        frozen: true,
        comparison: None,
        tally: None,
    };
    let before = messages(&state);
    assert_eq!(
        before.iter().map(|message| &message.text[..]).collect::<Vec<_>>(),
        ["Picture frozen", "No input", "Leveller off"]
    );
    let report = HopReport::default();
    let after = messages(&State {
        report: Some(&report),
        comparison: Some("2 is 1.3 LU louder than 1".to_owned()),
        ..state
    });
    assert!(
        after.iter().any(|message| message.text == "No input")
            && after
                .iter()
                .any(|message| message.text.contains("2 is 1.3 LU louder")),
        "{after:?}"
    );
}

#[test]
fn cues_tell_too_little_range_and_too_much_reduction() {
    let cues = |change: fn(&mut Settings, &mut HopReport)| -> Vec<String> {
        let (mut settings, mut report) = (Settings::default(), HopReport::default());
        change(&mut settings, &mut report);
        let tally = hard_tally();
        let state = State {
            settings: &settings,
            lookahead: Lookahead::Long,
            report: Some(&report),
            running: true,
            clipped: false,
            has_source: true,
            frozen: false,
            comparison: None,
            tally: Some(&tally),
        };
        let cues = messages(&state)
            .into_iter()
            .filter(|message| message.weight == Weight::Cue);
        cues.map(|message| message.text).collect()
    };
    let range = "Range limits many sibilants: raise Range or Proportion";
    let lisp = "Sibilants far below a natural voice: raise Proportion or lower Range";
    assert_eq!(cues(|_, _| {}), [range, lisp]);
    assert_eq!(
        cues(|_, report| report.follows_reference = true),
        [range],
        "a double may be that far below the lead"
    );
    assert!(cues(|settings, _| settings.output.bypass = true).is_empty());
    assert!(cues(|settings, _| settings.sibilance.on = false).is_empty());
}

/// The quoted messages in the first column of the manual's table of messages.
fn messages_of_the_manual() -> Vec<&'static str> {
    let manual = include_str!("../../../../MANUAL.md");
    let table = manual.split("## Messages").nth(1).unwrap();
    let table = table.split("\n## ").next().unwrap();
    let first_column = table.lines().filter_map(|line| line.split('|').nth(1));
    first_column
        .flat_map(|cell| cell.split('"').skip(1).step_by(2))
        .collect()
}

#[test]
fn every_message_of_the_manual_exists() {
    let mut shown = String::new();
    for report in [None, Some(HopReport::default())] {
        for (listen, part) in [(Listen::Removed, Part::Voice), (Listen::Detector, Part::Breaths)] {
            let mut settings = Settings::default();
            (settings.output.listen, settings.output.part) = (listen, part);
            let tally = hard_tally();
            let mut state = State {
                settings: &settings,
                lookahead: Lookahead::Long,
                report: report.as_ref(),
                running: false,
                clipped: true,
                has_source: true,
                frozen: false,
                comparison: None,
                tally: Some(&tally),
            };
            let all = messages(&state).into_iter();
            shown.extend(all.map(|message| message.text + "\n"));
            let mut bypassed = settings;
            bypassed.output.bypass = true;
            state.settings = &bypassed;
            let all = messages(&state).into_iter();
            shown.extend(all.map(|message| message.text + "\n"));
        }
    }
    let quoted = messages_of_the_manual();
    assert!(quoted.len() >= 9, "{quoted:?}");
    for message in quoted {
        assert!(shown.contains(message), "{message:?} in\n{shown}");
    }
}

#[test]
fn the_most_important_comes_first() {
    let settings = Settings::default();
    let report = HopReport::default();
    let tally = hard_tally();
    let messages = messages(&State {
        settings: &settings,
        lookahead: Lookahead::Long,
        report: Some(&report),
        running: true,
        clipped: true,
        has_source: true,
        frozen: false,
        comparison: None,
        tally: Some(&tally),
    });
    let weights: Vec<Weight> = messages.iter().map(|message| message.weight).collect();
    assert!(weights.is_sorted(), "{messages:?}");
    assert_eq!(weights.first(), Some(&Weight::Warning));
    assert!(weights.contains(&Weight::Cue) && weights.contains(&Weight::Remark));
}
