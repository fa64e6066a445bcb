//! What a person would paste: the text that a window holds as the clipboard (ICCCM, chapter 2).

use anyhow::Context;
use x11rb::CURRENT_TIME;
use x11rb::connection::Connection;
use x11rb::protocol::Event;
use x11rb::protocol::xproto::{AtomEnum, ConnectionExt, CreateWindowAux, WindowClass};

use super::{Screen, ask_x_server};

/// The longest text, in units of 4 bytes.
const LONGEST: u32 = 1 << 20;

impl Screen {
    /// The text of the clipboard; `None` where nothing holds it.
    pub fn clipboard(&self) -> anyhow::Result<Option<String>> {
        let held = ask_x_server(|| self.selection())?;
        let text = held.map(String::from_utf8).transpose();
        text.context("the clipboard holds a text that is not in UTF-8")
    }

    /// The bytes that the clipboard holds.
    fn selection(&self) -> anyhow::Result<Option<Vec<u8>>> {
        let connection = self.connection();
        let atom = |name: &str| -> anyhow::Result<u32> {
            Ok(connection.intern_atom(false, name.as_bytes())?.reply()?.atom)
        };
        let (clipboard, text) = (atom("CLIPBOARD")?, atom("UTF8_STRING")?);
        let window = connection.generate_id()?;
        let (class, attributes) = (WindowClass::INPUT_ONLY, CreateWindowAux::new());
        connection.create_window(0, window, self.root(), 0, 0, 1, 1, 0, class, 0, &attributes)?;
        connection.convert_selection(window, clipboard, text, clipboard, CURRENT_TIME)?;
        connection.flush()?;
        // The server answers where nobody holds the clipboard, its owner otherwise.
        let property = loop {
            if let Event::SelectionNotify(answer) = connection.wait_for_event()?
                && answer.requestor == window
            {
                break answer.property;
            }
        };
        let held = connection.get_property(true, window, clipboard, AtomEnum::ANY, 0, LONGEST)?;
        let held = held.reply()?.value;
        connection.destroy_window(window)?;
        Ok((property != u32::from(AtomEnum::NONE)).then_some(held))
    }
}
