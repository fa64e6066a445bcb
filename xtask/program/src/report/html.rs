//! Pages in HTML, each complete in one file.

use siskin_editor_layout::palette::{LIGHT, Palette};

/// A page of its own; `title` and `body` are HTML.
pub fn page(title: &str, body: &str) -> String {
    let Palette {
        paper,
        ink,
        grid,
        hover,
        focus,
        ..
    } = LIGHT;
    let [paper, ink, grid, hover, focus] = [paper, ink, grid, hover, focus].map(|colour| {
        let [red, green, blue, _] = colour.to_array();
        format!("#{red:02x}{green:02x}{blue:02x}")
    });
    format!(
        "<!doctype html><html lang=\"en\"><meta charset=\"utf-8\"><meta name=\"viewport\" content=\"width=device-width\">\
<title>{title}</title><style>html{{--ink:{ink};--paper:{paper};--hover:{hover};--focus:{focus}}}body{{font:16px/1.5 system-ui,sans-serif;max-width:1240px;margin:2em auto;padding:0 1em;\
background:{paper};color:{ink}}}h1,h2,h3{{font-weight:600}}svg{{max-width:100%;height:auto}}.wide{{overflow-x:auto}}\
table{{border-collapse:collapse;font-variant-numeric:tabular-nums;font-size:14px}}\
th,td{{padding:.25em .7em;text-align:right;border-bottom:1px solid {grid}}}.text{{text-align:left}}\
.missed{{font-weight:700}}figure{{margin:2em 0}}figcaption,p{{max-width:60em}}\
audio{{display:block;margin:.2em 0 1em;width:min(100%,640px)}}</style>{body}</html>\n"
    )
}

/// Text that HTML does not take for markup.
pub fn escaped(text: &str) -> String {
    text.replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
        .replace('"', "&quot;")
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The colours that a style sheet names by numbers.
    fn colours(style: &str) -> Vec<&str> {
        let after = style.split('#').skip(1);
        let digits = after.map(|rest| rest.split(|sign: char| !sign.is_ascii_hexdigit()).next());
        digits.flatten().filter(|digits| digits.len() >= 3).collect()
    }

    #[test]
    fn pages_have_only_the_colours_of_the_editor() {
        let of_the_editor = format!("{LIGHT:?}").replace('_', "").to_lowercase();
        let page = page("", "");
        let named = colours(&page);
        assert!(named.len() >= 5, "{named:?}");
        for colour in named {
            let opaque = format!("#{colour}ff");
            assert!(of_the_editor.contains(&opaque), "{opaque} in {of_the_editor}");
        }
        let player = include_str!("player/player.css");
        assert!(player.contains("var(--focus)") && player.contains("var(--hover)"));
        assert_eq!(colours(player), [""; 0]);
    }
}
