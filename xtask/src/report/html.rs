//! Pages in HTML, each complete in one file.

/// Ink and paper of pages and pictures: at least 4.5 : 1 against one another (WCAG 2.2).
pub const INK: &str = "#262a30";
pub const PAPER: &str = "#faf8f3";

/// A page of its own; `title` and `body` are HTML.
pub fn page(title: &str, body: &str) -> String {
    format!(
        "<!doctype html><html lang=\"en\"><meta charset=\"utf-8\"><meta name=\"viewport\" content=\"width=device-width\">\
<title>{title}</title><style>html{{--ink:{INK};--paper:{PAPER}}}body{{font:16px/1.5 system-ui,sans-serif;max-width:1240px;margin:2em auto;padding:0 1em;\
background:{PAPER};color:{INK}}}h1,h2,h3{{font-weight:600}}svg{{max-width:100%;height:auto}}.wide{{overflow-x:auto}}\
table{{border-collapse:collapse;font-variant-numeric:tabular-nums;font-size:14px}}\
th,td{{padding:.25em .7em;text-align:right;border-bottom:1px solid #dedacf}}.text{{text-align:left}}\
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
