//! The page: what was done, how it sounds, what was measured.

use super::chain::FILES;
use super::pictures::Pictures;
use crate::report::{Section, html};

/// The page. The sound files lie beside it.
pub fn page(sections: &[Section], pictures: &Pictures) -> String {
    let sounds: String = FILES.iter().map(|(name, _)| sound(name)).collect();
    let body = format!(
        "<h1>One stage for every section</h1>\
<p>A synthetic singer, a song of our own: a quiet verse, a breathy middle and a chorus 18 dB louder, in which the \
sibilants rise by a third of that. Levelled hard, the verse's sibilants stand far out of proportion. Below, what two \
fixed stages set for the chorus make of it, and what Siskin makes of it, inserted once.</p>\
<p><strong>Protect your hearing:</strong> the levelled files are loud. Start at a moderate level.</p>\
<h2>Levels and reduction</h2>{}<h2>Proportion, section by section</h2>{}<h2>One sibilant</h2>{}\
<h2>Listen</h2>{sounds}<h2>Figures</h2>{}\
<p>\u{201c}Asked\u{201d} is what Proportion, Ratio and Range make of the same sibilants untamed, against the K-weighted \
level of the labelled vowels within 1 s either side.</p>",
        inline(&pictures.timeline),
        inline(&pictures.bars),
        inline(&pictures.spectrum),
        crate::report::html(sections),
    );
    html::page("Siskin: the demo song", &body)
}

/// An SVG file's text without what only a file of its own may carry, scaling with the page.
fn inline(svg: &str) -> &str {
    &svg[svg.find("<svg").unwrap_or(0)..]
}

fn sound(name: &str) -> String {
    format!("{name}<audio controls preload=\"none\" src=\"{name}.wav\"></audio>")
}
