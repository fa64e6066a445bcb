//! The keys of a keyboard, as X numbers them.

use x11rb::connection::Connection;
use x11rb::protocol::xproto::ConnectionExt;
use x11rb::rust_connection::RustConnection;

use super::WindowError;

/// A key by what it gives.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Key {
    /// A sign of ASCII.
    Sign(char),
    /// Enter.
    Enter,
    /// Escape.
    Escape,
    /// Tab.
    Tab,
    /// Backspace.
    Backspace,
    /// Delete.
    Delete,
    /// Home.
    Home,
    /// End.
    End,
    /// Arrow to the left.
    Left,
    /// Arrow upwards.
    Up,
    /// Arrow to the right.
    Right,
    /// Arrow downwards.
    Down,
    /// Space.
    Space,
    /// Shift, the left one.
    Shift,
    /// Control, the left one.
    Control,
    /// Alt, the left one.
    Alt,
}

impl Key {
    /// The number that X gives to what a key means (`keysymdef.h` of the X protocol); ASCII stands for itself.
    fn meaning(self) -> u32 {
        match self {
            Self::Sign(sign) => u32::from(sign),
            Self::Space => 0x20,
            Self::Backspace => 0xff08,
            Self::Tab => 0xff09,
            Self::Enter => 0xff0d,
            Self::Escape => 0xff1b,
            Self::Home => 0xff50,
            Self::Left => 0xff51,
            Self::Up => 0xff52,
            Self::Right => 0xff53,
            Self::Down => 0xff54,
            Self::End => 0xff57,
            Self::Shift => 0xffe1,
            Self::Control => 0xffe3,
            Self::Alt => 0xffe9,
            Self::Delete => 0xffff,
        }
    }
}

/// What each key of the server's keyboard means.
pub struct Keyboard {
    first_code: u8,
    meanings_per_code: usize,
    meanings: Vec<u32>,
}

impl Keyboard {
    /// The server's keyboard.
    pub fn new(connection: &RustConnection) -> Result<Self, WindowError> {
        let setup = connection.setup();
        let (first_code, last_code) = (setup.min_keycode, setup.max_keycode);
        let map = connection
            .get_keyboard_mapping(first_code, last_code - first_code + 1)?
            .reply()?;
        Ok(Self {
            first_code,
            meanings_per_code: usize::from(map.keysyms_per_keycode),
            meanings: map.keysyms,
        })
    }

    /// The code of `key`, and whether Shift must be held.
    pub fn code(&self, key: Key) -> Result<(u8, bool), WindowError> {
        let meaning = key.meaning();
        let found = [0, 1].into_iter().find_map(|column| {
            let mut codes = self.meanings.chunks_exact(self.meanings_per_code);
            let row = codes.position(|meanings| meanings.get(column) == Some(&meaning))?;
            Some((self.first_code + u8::try_from(row).ok()?, column == 1))
        });
        found.ok_or_else(|| WindowError::NoKey(format!("{key:?}")))
    }
}
