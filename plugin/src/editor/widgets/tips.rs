//! Tooltips.

use siskin_dsp::ParamSpec;

/// Tooltip of a control, by its parameter's id.
pub fn of(id: &str) -> &'static str {
    ParamSpec::of(id).map_or("", |spec| spec.help)
}

/// Tooltip of a button or picture, by its name in the layout.
pub fn for_element(name: &str) -> &'static str {
    match name {
        "start" => {
            "Starting points for common tracks. Each value changes as a step that the host can undo. Listen, Bypass and \
             Lookahead stay as they are."
        }
        "propose" => {
            "Listens to eight seconds of singing, or more where it is not sure, then proposes Proportion and Detect from. \
             Nothing changes until you apply it. Key P."
        }
        "setting_1" => "Switch to setting 1. Key 1. The song saves only the setting that you hear.",
        "setting_2" => "Switch to setting 2. Key 2. The song saves only the setting that you hear.",
        "copy" => "Copies the setting that you hear to the other one.",
        "equal" => {
            "Makes both settings equally loud: turns the louder one down by Output gain, by as many decibels as it says. Needs \
             two seconds of voice in each."
        }
        "zoom" => "Size of text and pictures. The host may make the window fit; otherwise the page scrolls.",
        "scheme" => "Dark ink on pale paper, or pale ink on dark paper. Saved with the song.",
        "list" => "Switch between the pictures and a plain list of all parameters.",
        "song" => {
            "Show the sections of the song and what is left to do by hand, or the controls. Key S. Nothing of it is saved."
        }
        "song strip" => {
            "The whole song, as it was played so far: voice, threshold, and a mark for each sibilant, on the line where it \
             leaves as was asked. A dot is within 2 LU of it, a triangle further above or below. A rule begins a section. \
             Click a mark, or press Left or Right, to read a sibilant."
        }
        "sections" => {
            "Each section of the song: its voice in LUFS, its sibilants, what was asked of them and as they left on average \
             in LU against the voice, how many left within 2 LU of it, and how many Range cut off."
        }
        "left to do" => {
            "The sibilants that leave further than 2 LU from what was asked, worst first, in LU against the voice. Click one, \
             or press Up or Down, to see it in the strip."
        }
        "song_clear" => "Forgets what was noted of the song.",
        "song_copy" => "Copies what is left to do to the clipboard, as text in columns.",
        "apply" => "Sets the proposed values.",
        "cancel" => "Changes nothing. Key Escape.",
        "timeline" => {
            "The last eight seconds. The area is the voice while it sounds; in rests and sibilants its level is held. Click \
             to freeze and read values, click again to run. Drag the threshold up or down."
        }
        "tally" => {
            "The last twenty sibilants: their mean level against the voice, and the target that follows from Proportion, \
             Ratio and Range. One mark for each: a dot within 1 LU of its target, a triangle above or below it."
        }
        "spectrum" => {
            "Spectrum of the voice and of the last sibilant; frozen, of the sibilant at the pointer. The reduction is a \
             whole line while it is applied, otherwise broken. Drag the edge to set Detect from."
        }
        "readings" => {
            "Reduction of each stage and peaks of the sound: now, and the most since the window opened. A click begins the \
             most anew."
        }
        _ => "",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use siskin_editor_layout::{FIRST_SIZE, Layout};

    #[test]
    fn every_control_and_button_has_a_tooltip() {
        let layout = Layout::new(FIRST_SIZE, true);
        for (id, _) in layout.cells() {
            assert!(of(id).len() > 10, "{id}");
        }
        for name in [
            "start",
            "propose",
            "setting_1",
            "setting_2",
            "copy",
            "equal",
            "zoom",
            "scheme",
            "list",
            "song",
        ] {
            assert!(
                layout.button(name).is_some() && for_element(name).len() > 10,
                "{name}"
            );
        }
        for name in [
            "timeline",
            "tally",
            "spectrum",
            "readings",
            "song strip",
            "sections",
            "left to do",
            "song_clear",
            "song_copy",
        ] {
            assert!(for_element(name).len() > 10, "{name}");
        }
    }
}
