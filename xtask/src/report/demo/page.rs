//! The page: what was done, how it sounds, what was measured.

use super::chain::{FILES, PARTS};
use super::pictures::{Pictures, TIMELINE};
use crate::report::drawing::edges;
use crate::report::player::{self, Timeline, Track};
use crate::report::{Section, html};

/// What the page shows.
pub struct Page<'a> {
    pub track: &'a Track,
    pub figures: &'a [Section],
    pub sibilants: &'a Section,
    pub pictures: &'a Pictures,
}

/// The page. The sound lies beside it.
pub fn page(page: &Page) -> String {
    let sounds: String = FILES.iter().map(|(name, _)| sound(name)).collect();
    let parts: String = PARTS.iter().map(|(_, name)| sound(name)).collect();
    let timeline = Timeline {
        track: &page.track.id,
        svg: inline(&page.pictures.timeline),
        edges: edges(TIMELINE.0),
        seconds: page.track.samples as f64 / f64::from(page.track.rate_hz),
    };
    let body = format!(
        "<h1>One stage for every section</h1>\
<p>A synthetic singer, a song of our own: a quiet verse, a breathy middle and a chorus 18 dB louder, in which the \
sibilants rise by a third of that. Levelled hard, the verse's sibilants stand far out of proportion. Below, what two \
fixed stages set for the chorus make of it, and what Siskin makes of it, inserted once.</p>\
<p><strong>Protect your hearing:</strong> the levelled files are loud. Start at a moderate level.</p>\
{}<noscript>{sounds}</noscript>\
<h2>Levels and reduction</h2>{}<p>A click on the picture, or on a time in the list of sibilants, plays from half a second \
before. Keys: space bar, 1 to 5, e for equal loudness, left and right arrow.</p>\
<h2>Proportion, section by section</h2>{}<h2>One sibilant</h2>{}<h2>Voice and breaths apart</h2>{parts}<h2>Figures</h2>{}\
<p>\u{201c}Asked\u{201d} is what Proportion, Ratio and Range make of the same sibilants untamed, against the K-weighted \
level of the labelled vowels within 1 s either side.</p>{}",
        player::html(std::slice::from_ref(page.track)),
        timeline.html(),
        inline(&page.pictures.bars),
        inline(&page.pictures.spectrum),
        crate::report::html(page.figures),
        crate::report::html(std::slice::from_ref(page.sibilants)),
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
