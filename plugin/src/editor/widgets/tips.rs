//! Tooltips.

/// Tooltip of a control, by its parameter's id.
pub fn of(id: &str) -> &'static str {
    match id {
        "lev_on" => {
            "Levels the voice before anything else is done. Off: whatever levels it sits before this insert."
        }
        "lev_thr" => "The leveller turns down what is louder than this.",
        "lev_ratio" => "How firmly: at 4 : 1, four decibels over the threshold leave as one.",
        "lev_knee" => "How gradually it sets in around the threshold.",
        "lev_att" => "How quickly it turns down. A few milliseconds keep the front of each word.",
        "lev_rel" => "How quickly it lets go after a peak; after a long loud passage five times slower.",
        "lev_gain" => "Turns the levelled voice up.",
        "lev_auto" => "Turns the voice up by what levelling took from it, slowly and in the long run.",
        "sib_on" => "Holds s, sh, ch and t in proportion to the voice.",
        "sib_prop" => {
            "How loud a sibilant may stand against the voice before it is turned down. Drag the threshold in the \
             picture, or this line. A natural voice has its own 6 to 8 LU under it."
        }
        "sib_ratio" => "How firmly what stands over the threshold is held: at 6 : 1 six LU leave as one.",
        "sib_range" => {
            "The most that is ever taken, at any frequency. Less keeps more of the singer's own character."
        }
        "sib_from" => {
            "Sibilance is measured above this frequency. Lower finds sh and ch, higher leaves bright vowels alone."
        }
        "sib_reach" => {
            "How far down the reduction reaches: 0 % the sibilant's own band, 100 % the whole voice."
        }
        "sib_att" => "Until the reduction stands.",
        "sib_rel" => "Until it is gone again.",
        "fol_time" => {
            "How much singing the voice level is the mean of. Shorter follows each word, longer the phrase."
        }
        "fol_start" => "The voice level that is assumed until a voice is heard.",
        "fol_src" => "Whose voice sets the threshold: the one on the side-chain, or this track's own.",
        "br_on" => "Holds breaths in proportion to the voice.",
        "br_prop" => "How loud a breath may stand against the voice before it is turned down.",
        "br_range" => "The most that is taken from a breath.",
        "br_cut" => "Takes rumble from breaths alone; the voice keeps its low end.",
        "look" => {
            "How far ahead it listens; the host delays the other tracks by as much. 5 ms catch every onset."
        }
        "out_gain" => "The gain at the very end.",
        "listen" => {
            "What is heard: the output, what is removed, or what the detector hears. Never louder than the voice. \
             Key L. Goes back to the output when this window closes."
        }
        "bypass" => "The untouched voice, just as late, without a click.",
        _ => "",
    }
}

/// Tooltip of a button or picture, by its name in the layout.
pub fn for_element(name: &str) -> &'static str {
    match name {
        "start" => {
            "Starting points for common tracks. Each value changes as a step that the host can undo. Listen, Bypass and \
             Lookahead stay as they are."
        }
        "propose" => {
            "Listens to eight seconds of singing, then proposes Proportion and Detect from. Nothing changes until you \
             apply it. Key P."
        }
        "setting_1" => "Switch to setting 1. Key 1. The song saves only the setting that you hear.",
        "setting_2" => "Switch to setting 2. Key 2. The song saves only the setting that you hear.",
        "copy" => "Copies the setting that you hear to the other one.",
        "equal" => {
            "Makes both settings equally loud: turns the louder one down by Output gain. Needs two seconds of voice in \
             each."
        }
        "zoom" => "Size of text and pictures. The window keeps its size.",
        "list" => "Switch between the pictures and a plain list of all parameters.",
        "apply" => "Sets the proposed values.",
        "cancel" => "Changes nothing. Key Escape.",
        "timeline" => {
            "The last eight seconds. Click to freeze and read values, click again to run. Drag the threshold up or down."
        }
        "spectrum" => "Spectrum of the voice and of the last sibilant. Drag the edge to set Detect from.",
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
            "list",
        ] {
            assert!(
                layout.button(name).is_some() && for_element(name).len() > 10,
                "{name}"
            );
        }
    }
}
