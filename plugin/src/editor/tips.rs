//! What everything is for, in plain words.

/// Of a control, by its parameter's id.
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

/// Of a button, by its name in the layout.
pub fn of_button(name: &str) -> &'static str {
    match name {
        "start" => {
            "Settings to begin a job with. Each is one step that the host can undo; Listen, bypass and lookahead stay."
        }
        "propose" => {
            "Listens to eight seconds of singing, then shows what it would set, and why. Nothing changes before you take it. Key P."
        }
        "setting_1" => {
            "Hear setting 1. Key 1. Both live while the insert is loaded; the song saves the one that is heard."
        }
        "setting_2" => {
            "Hear setting 2. Key 2. Both live while the insert is loaded; the song saves the one that is heard."
        }
        "copy" => "Makes the other setting a copy of the one that is heard.",
        "equal" => {
            "Makes both settings equally loud by Output gain, turning the louder one down. Each must have heard two seconds of voice."
        }
        "zoom" => "Larger letters and pictures, in the window as it is.",
        "list" => "Every parameter in a plain list, and back.",
        "take" => "Sets what is proposed.",
        "leave" => "Changes nothing. Key Escape.",
        "stream" => {
            "The last eight seconds. Click to freeze and read, click again to run on. Drag the threshold up and down."
        }
        "spectrum" => "Frequencies of the voice and of the last sibilant. Drag the edge sideways.",
        _ => "",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::editor::layout::{FIRST_SIZE, Layout};

    #[test]
    fn everything_that_can_be_touched_says_what_it_is_for() {
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
                layout.button(name).is_some() && of_button(name).len() > 10,
                "{name}"
            );
        }
    }
}
