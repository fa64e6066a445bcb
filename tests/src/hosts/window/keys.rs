//! Keys and their X key codes.

#[cfg(not(windows))]
use x11rb::{connection::Connection, protocol::xproto::ConnectionExt, rust_connection::RustConnection};

/// A key by what it produces.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Key {
    /// An ASCII character.
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

#[cfg(not(windows))]
impl Key {
    /// X keysym of the key (`keysymdef.h` of the X protocol); ASCII characters are their own keysyms.
    fn keysym(self) -> u32 {
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

/// Keyboard mapping of the server.
#[cfg(not(windows))]
pub struct Keyboard {
    first_code: u8,
    keysyms_per_code: usize,
    keysyms: Vec<u32>,
}

#[cfg(not(windows))]
impl Keyboard {
    /// Reads the mapping.
    pub fn new(connection: &RustConnection) -> anyhow::Result<Self> {
        let setup = connection.setup();
        let (first_code, last_code) = (setup.min_keycode, setup.max_keycode);
        let map = connection
            .get_keyboard_mapping(first_code, last_code - first_code + 1)?
            .reply()?;
        Ok(Self {
            first_code,
            keysyms_per_code: usize::from(map.keysyms_per_keycode),
            keysyms: map.keysyms,
        })
    }

    /// The code of `key`, and whether Shift must be held.
    pub fn code(&self, key: Key) -> anyhow::Result<(u8, bool)> {
        let keysym = key.keysym();
        let found = [0, 1].into_iter().find_map(|column| {
            let mut codes = self.keysyms.chunks_exact(self.keysyms_per_code);
            let row = codes.position(|keysyms| keysyms.get(column) == Some(&keysym))?;
            Some((self.first_code + u8::try_from(row).ok()?, column == 1))
        });
        found.ok_or_else(|| anyhow::anyhow!("no key produces {key:?}"))
    }
}
