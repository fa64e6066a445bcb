//! One self-contained page: what was done, how it sounds, what was measured.

use super::chain::FILES;
use super::figures::{Figures, Row};
use super::pictures::Pictures;
use super::table::{Verdict, verdicts};

const STYLE: &str = "body{font:16px/1.5 system-ui,sans-serif;max-width:1120px;margin:2em auto;padding:0 1em;\
background:#faf8f3;color:#262a30}h1,h2{font-weight:600}svg{max-width:100%;height:auto}\
table{border-collapse:collapse;font-variant-numeric:tabular-nums}th,td{padding:.25em .8em;text-align:right;\
border-bottom:1px solid #dedacf}th:first-child,td:first-child{text-align:left}.missed{font-weight:700}\
audio{display:block;margin:.2em 0 1em;width:min(100%,640px)}";

/// The page. The sound files lie beside it.
pub fn page(figures: &Figures, pictures: &Pictures) -> String {
    let table: String = figures.rows.iter().map(row).collect();
    let goals: String = verdicts(figures).iter().map(goal).collect();
    let sounds: String = FILES.iter().map(|name| sound(name)).collect();
    format!(
        "<!doctype html><html lang=\"en\"><meta charset=\"utf-8\"><title>Siskin: the demo song</title>\
<style>{STYLE}</style>\
<h1>One stage for every section</h1>\
<p>A synthetic singer, a song of our own: a quiet verse, a breathy middle and a chorus 18 dB louder, in which the \
sibilants rise by a third of that. Levelled hard, the verse's sibilants stand far out of proportion. Below, what two \
fixed stages set for the chorus make of it, and what Siskin makes of it, inserted once.</p>\
<p><strong>Mind your ears:</strong> the levelled files are loud. Start at a moderate level.</p>\
<h2>Levels and reduction</h2>{}<h2>Proportion, section by section</h2>{}<h2>One sibilant</h2>{}\
<h2>Listen</h2>{sounds}<h2>Figures</h2><table><tr><th>rendering, section<th>sibilants<th>proportion, LU<th>asked, LU\
<th>within 1 LU<th>within 2 LU<th>vowels, dB<th>loudness, LUFS</tr>{table}</table>\
<p>\u{201c}Asked\u{201d} is what Proportion, Ratio and Range make of the same sibilants untamed, against the K-weighted \
level of the labelled vowels within 1 s either side.</p>\
<h2>Goals</h2><table><tr><th>goal<th>measured<th></tr>{goals}</table></html>\n",
        inline(&pictures.timeline),
        inline(&pictures.bars),
        inline(&pictures.spectrum),
    )
}

/// An SVG file's text without what only a file of its own may carry, scaling with the page.
fn inline(svg: &str) -> String {
    let start = svg.find("<svg").unwrap_or(0);
    svg[start..].to_owned()
}

fn row(row: &Row) -> String {
    format!(
        "<tr><td>({}) {}, {}<td>{}<td>{:+.1}<td>{:+.1}<td>{:.0} %<td>{:.0} %<td>{:+.2}<td>{:.1}</tr>",
        row.letter,
        row.name,
        row.section.name(),
        row.sibilants,
        row.proportion_lu,
        row.target_lu,
        100.0 * row.within_1_lu,
        100.0 * row.within_2_lu,
        row.vowel_change_db,
        row.loudness_lufs
    )
}

fn goal(verdict: &Verdict) -> String {
    let (class, word) = if verdict.met {
        ("", "met")
    } else {
        ("missed", "missed")
    };
    format!(
        "<tr class=\"{class}\"><td>{}<td>{}<td>{word}</tr>",
        verdict.goal, verdict.measured
    )
}

fn sound(name: &str) -> String {
    format!("{name}<audio controls preload=\"none\" src=\"{name}.wav\"></audio>")
}
