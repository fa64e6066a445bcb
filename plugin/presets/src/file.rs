//! VST3's preset file, as the VST3 SDK documents it (`vstpresetfile.h`; developer portal, "Preset Format").
//!
//! All numbers are little-endian. A header of 48 bytes: "VST3", version 1 (32 bits), the class id as 32 letters of
//! hexadecimal, the offset of the list (64 bits). Then the data, here the one chunk "Comp", which is the state of the
//! component. Then the list: "List", how many chunks (32 bits), and for each its name, offset and size (64 bits each).

const VERSION: u32 = 1;
const HEADER_BYTES: usize = 48;
/// A line of the list: name, offset, size.
const CHUNK_BYTES: usize = 20;

/// The plug-in for any voice.
pub const SISKIN: &str = "Siskin";
/// The plug-in that follows another track.
pub const SISKIN_FOLLOW: &str = "Siskin Follow";

/// The class ids of the plug-ins, which never change.
pub const CLASS_IDS: [(&str, &[u8; 16]); 2] = [
    (SISKIN, b"SiskinVoiceInsrt"),
    (SISKIN_FOLLOW, b"SiskinFollowRefV"),
];

/// A class id, as the file has it.
fn class_id(id: &[u8; 16]) -> String {
    id.iter().map(|byte| format!("{byte:02X}")).collect()
}

/// The plug-in that a preset file is for; `None` where it is for no known one.
#[must_use]
pub fn plug_in(file: &[u8]) -> Option<&'static str> {
    let header = file
        .get(..HEADER_BYTES)
        .filter(|header| header.starts_with(b"VST3"))?;
    let mut known = CLASS_IDS.into_iter();
    known
        .find(|(_, id)| header[8..40].eq_ignore_ascii_case(class_id(id).as_bytes()))
        .map(|(name, _)| name)
}

/// The file that holds the `state` of the plug-in that is called `plug_in`; `None` for a plug-in that is not known.
#[must_use]
pub fn write_preset(plug_in: &str, state: &[u8]) -> Option<Vec<u8>> {
    let (_, id) = CLASS_IDS.iter().find(|(name, _)| *name == plug_in)?;
    let class_id = class_id(id);
    let list_offset = HEADER_BYTES + state.len();
    let number = |value: usize| (value as u64).to_le_bytes();
    let file = [
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
    .concat();
    Some(file)
}

/// The state in a preset file, as a host finds it through the header and the list; `None` where they lead to none.
#[must_use]
pub fn read_preset(file: &[u8]) -> Option<&[u8]> {
    let number = |bytes: &[u8]| usize::try_from(u64::from_le_bytes(bytes.try_into().ok()?)).ok();
    let header = file.get(..HEADER_BYTES)?;
    let list = header
        .starts_with(b"VST3")
        .then(|| file.get(number(&header[40..48])?..))??;
    let count = u32::from_le_bytes(list.strip_prefix(b"List")?.get(..4)?.try_into().ok()?);
    let mut chunks = list[8..].chunks_exact(CHUNK_BYTES).take(count as usize);
    let chunk = chunks.find(|chunk| chunk.starts_with(b"Comp"))?;
    let (offset, size) = (number(&chunk[4..12])?, number(&chunk[12..20])?);
    file.get(offset..offset.checked_add(size)?)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn number(bytes: &[u8]) -> usize {
        u64::from_le_bytes(bytes.try_into().unwrap()) as usize
    }

    #[test]
    fn state_is_found_through_the_header_and_the_list() {
        let file = write_preset("Siskin", b"the state").unwrap();
        assert_eq!(&file[..8], b"VST3\x01\0\0\0");
        assert_eq!(&file[8..40], b"5369736B696E566F696365496E737274");
        let list = &file[number(&file[40..48])..];
        assert_eq!(&list[..12], b"List\x01\0\0\0Comp");
        let (offset, size) = (number(&list[12..20]), number(&list[20..28]));
        assert_eq!(&file[offset..offset + size], b"the state");
        assert_eq!(list.len(), 28);
        assert_eq!(read_preset(&file), Some(&b"the state"[..]));
        assert_eq!(plug_in(&file), Some("Siskin"));
        assert_eq!(write_preset("Other", b""), None);
    }

    #[test]
    fn broken_files_hold_no_state() {
        let file = write_preset("Siskin", b"the state").unwrap();
        for length in 0..file.len() {
            assert_eq!(read_preset(&file[..length]), None, "{length} bytes");
        }
        let mut beyond = file.clone();
        let at = file.len() - 1;
        beyond[at] = 0xFF;
        assert_eq!(read_preset(&beyond), None, "a size beyond the file");
    }
}
