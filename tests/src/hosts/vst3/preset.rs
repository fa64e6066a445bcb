//! VST3's preset file, as the VST3 SDK documents it (`vstpresetfile.h`; developer portal, "Preset Format").
//!
//! All numbers are little-endian. A header of 48 bytes: "VST3", version 1 (32 bits), the class id as 32 letters of
//! hexadecimal, the offset of the list (64 bits). Then the data, here the one chunk "Comp", which is the state of the
//! component. Then the list: "List", how many chunks (32 bits), and for each its name, offset and size (64 bits each).

const VERSION: u32 = 1;
const HEADER_BYTES: usize = 48;
/// A line of the list: name, offset, size.
const CHUNK_BYTES: usize = 20;

/// The class ids of `plugin/src/kind.rs`, which never change. A copy, for this crate must not be linked with the
/// plug-in (it would be built twice, over one another); that a host takes the files shows that they are alike.
const CLASS_IDS: [(&str, &[u8; 16]); 2] = [
    ("Siskin", b"SiskinVoiceInsrt"),
    ("Siskin Follow", b"SiskinFollowRefV"),
];

/// The file that holds the `state` of the plug-in that is called `plug_in`; `None` for a plug-in that is not known.
#[must_use]
pub fn write_preset(plug_in: &str, state: &[u8]) -> Option<Vec<u8>> {
    let (_, class_id) = CLASS_IDS.iter().find(|(name, _)| *name == plug_in)?;
    let class_id: String = class_id.iter().map(|byte| format!("{byte:02X}")).collect();
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
