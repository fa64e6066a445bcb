//! VST3's preset file, as the VST3 SDK documents it (`vstpresetfile.h`; developer portal, "Preset Format").
//!
//! All numbers are little-endian. A header of 48 bytes: "VST3", version 1 (32 bits), the class id as 32 letters of
//! hexadecimal, the offset of the list (64 bits). Then the data, here the one chunk "Comp", which is the state of the
//! component. Then the list: "List", how many chunks (32 bits), and for each its name, offset and size (64 bits each).

use anyhow::{Context, Result};

const VERSION: u32 = 1;
const HEADER_BYTES: usize = 48;

/// The class ids of `plugin/src/kind.rs`, which never change. A copy, for this program must not be linked with the
/// plug-in (it would be built twice, over one another); that a host takes the files shows that they are alike.
const CLASS_IDS: [(&str, &[u8; 16]); 2] = [
    ("Siskin", b"SiskinVoiceInsrt"),
    ("Siskin Follow", b"SiskinFollowRefV"),
];

/// The file that holds the `state` of the plug-in that is called `plug_in`.
pub fn write(plug_in: &str, state: &[u8]) -> Result<Vec<u8>> {
    let (_, class_id) = CLASS_IDS
        .iter()
        .find(|(name, _)| *name == plug_in)
        .with_context(|| format!("the VST3 class id of {plug_in} is not known"))?;
    let class_id: String = class_id.iter().map(|byte| format!("{byte:02X}")).collect();
    let list_offset = HEADER_BYTES + state.len();
    let number = |value: usize| (value as u64).to_le_bytes();
    Ok([
        b"VST3",
        &VERSION.to_le_bytes()[..],
        class_id.as_bytes(),
        &number(list_offset),
        state,
        b"List",
        &1_u32.to_le_bytes(),
        b"Comp",
        &number(HEADER_BYTES),
        &number(state.len()),
    ]
    .concat())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn number(bytes: &[u8]) -> usize {
        u64::from_le_bytes(bytes.try_into().unwrap()) as usize
    }

    #[test]
    fn the_state_is_found_through_the_header_and_the_list() {
        let file = write("Siskin", b"the state").unwrap();
        assert_eq!(&file[..8], b"VST3\x01\0\0\0");
        assert_eq!(&file[8..40], b"5369736B696E566F696365496E737274");
        let list = &file[number(&file[40..48])..];
        assert_eq!(&list[..12], b"List\x01\0\0\0Comp");
        let (offset, size) = (number(&list[12..20]), number(&list[20..28]));
        assert_eq!(&file[offset..offset + size], b"the state");
        assert_eq!(list.len(), 28);
    }

    #[test]
    fn a_plug_in_that_is_not_known_is_refused() {
        let error = write("Other", b"").unwrap_err();
        assert!(error.to_string().contains("Other"), "{error}");
    }
}
