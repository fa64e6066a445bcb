//! The manual as one page with its pictures beside it, to be read offline.

use std::path::Path;

use anyhow::Result;
use pulldown_cmark::{CowStr, Event, Options, Parser, Tag, TagEnd, html::push_html};

use super::layout::Item;
use crate::report::html;
use crate::setup::files;

/// Where the manual lies, and the folder that its links start from.
const MANUAL: &str = "plugin/MANUAL.md";
/// Where the pictures lie in the package.
const PICTURES: &str = "pictures";

/// The page and every picture that it shows, from the sources at `root`.
pub fn items(root: &Path) -> Result<Vec<Item>> {
    let path = root.join(MANUAL);
    let text = files::read_text(&path)?;
    let page = page(&text);
    let mut items = vec![Item::text(
        "manual.html",
        html::page("Siskin: manual", &page.body),
    )];
    for picture in page.pictures {
        let content = files::read(&path.with_file_name(&picture))?;
        items.push(Item::text(packed_path(&picture), content));
    }
    Ok(items)
}

struct Page {
    body: String,
    /// As the manual's links name them.
    pictures: Vec<String>,
}

/// The text as HTML: pictures are those beside the page, and links to other files of the sources are plain text.
fn page(text: &str) -> Page {
    let mut pictures = Vec::new();
    let is_outside = |url: &str| url.starts_with("http") || url.starts_with('#');
    let mut leaves_link = false;
    let events = Parser::new_ext(text, Options::ENABLE_TABLES).filter_map(|event| match event {
        Event::Start(Tag::Image {
            link_type,
            dest_url,
            title,
            id,
        }) => {
            pictures.push(dest_url.to_string());
            let dest_url = CowStr::from(packed_path(&dest_url));
            Some(Event::Start(Tag::Image {
                link_type,
                dest_url,
                title,
                id,
            }))
        }
        Event::Start(Tag::Link { ref dest_url, .. }) => {
            leaves_link = !is_outside(dest_url);
            (!leaves_link).then_some(event)
        }
        Event::End(TagEnd::Link) if leaves_link => None,
        other => Some(other),
    });
    let mut body = String::from("<style>img{max-width:100%}td,th{text-align:left}</style>");
    push_html(&mut body, events);
    Page { body, pictures }
}

fn packed_path(picture: &str) -> String {
    let name = picture.rsplit('/').next().unwrap_or(picture);
    format!("{PICTURES}/{name}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn page_shows_only_what_lies_beside_it() {
        let page = page(
            "# Title\n\n![Shown](../docs/shots/song.png) [text](../README.md#a) [web](https://x.y)\n\n|a|b|\n|-|-|\n|1|2|\n",
        );
        assert_eq!(page.pictures, ["../docs/shots/song.png"]);
        for part in [
            "<h1>Title</h1>",
            "<img src=\"pictures/song.png\" alt=\"Shown\" />",
            " text <a href=\"https://x.y\">web</a>",
            "<td>2</td>",
        ] {
            assert!(page.body.contains(part), "{part} is not in {}", page.body);
        }
        assert!(!page.body.contains(".."), "{}", page.body);
    }

    #[test]
    fn every_picture_of_the_manual_is_packed() {
        let items = items(Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/.."))).unwrap();
        let page = String::from_utf8(items[0].content.clone()).unwrap();
        let shown = page.matches("<img src=\"pictures/").count();
        assert!(shown > 0 && items.len() == 1 + shown, "{shown} pictures");
        for item in &items[1..] {
            assert!(item.content.starts_with(b"\x89PNG"), "{}", item.path);
        }
    }
}
