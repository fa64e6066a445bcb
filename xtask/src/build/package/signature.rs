//! The signature of a library of macOS, as `cs_blobs.h` lays it out: a directory with a sum of every page.
//!
//! Apple's processors end a program that touches a page whose sum is another. Signed without an identity ("ad hoc"), as the
//! linker does it, a library has no more than that.

use anyhow::{Context, Result, ensure};
use sha2::{Digest, Sha256};

/// The signature as a whole, and the directory in it.
const SIGNATURE: u32 = 0xfade_0cc0;
const DIRECTORY: u32 = 0xfade_0c02;
/// In the flags: without an identity.
const AD_HOC: u32 = 2;
const SHA_256: u8 = 2;
/// Of a sum.
const BYTES: usize = 32;
/// Where things stand in the directory.
const FLAGS_AT: usize = 12;
const SUMS_AT: usize = 16;
const COUNT_AT: usize = 28;
const LENGTH_AT: usize = 32;
const BYTES_AT: usize = 36;
const KIND_AT: usize = 37;
const PAGE_AT: usize = 39;

/// Fails where the signature that begins at `start` of `library` does not hold for everything before it.
pub fn check(library: &[u8], start: usize) -> Result<()> {
    let signature = library.get(start..).context("lies beyond the library")?;
    ensure!(number(signature, 0)? == SIGNATURE, "is none");
    // Its first part.
    let directory = number(signature, 16)? as usize;
    let directory = signature.get(directory..).context("has no directory")?;
    ensure!(number(directory, 0)? == DIRECTORY, "has no directory");
    ensure!(
        number(directory, FLAGS_AT)? & AD_HOC != 0,
        "is not without an identity"
    );
    let [bytes, kind, page] = [BYTES_AT, KIND_AT, PAGE_AT].map(|at| directory.get(at).copied());
    ensure!(
        (bytes, kind) == (Some(BYTES as u8), Some(SHA_256)),
        "has sums of another kind"
    );
    let page = page.and_then(|power| 1_usize.checked_shl(power.into()));
    let page = page.filter(|page| *page > 0).context("has no pages")?;

    ensure!(
        number(directory, LENGTH_AT)? as usize == start,
        "is of another length"
    );
    let sums = directory.get(number(directory, SUMS_AT)? as usize..);
    let sums = sums.context("has no sums")?.chunks_exact(BYTES);
    let pages = library[..start].chunks(page);
    ensure!(
        number(directory, COUNT_AT)? as usize == pages.len() && sums.len() >= pages.len(),
        "is of another number of pages"
    );
    let changed = pages
        .zip(sums)
        .position(|(page, sum)| Sha256::digest(page)[..] != *sum);
    ensure!(changed.is_none(), "does not hold for page {changed:?}");
    Ok(())
}

/// The number at `at`, most significant byte first.
fn number(bytes: &[u8], at: usize) -> Result<u32> {
    let found = bytes.get(at..).and_then(|bytes| bytes.first_chunk());
    Ok(u32::from_be_bytes(*found.context("is cut short")?))
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;

    /// What `content` is with a signature at its end, page by page.
    pub fn signed(content: &[u8]) -> Vec<u8> {
        let sums: Vec<u8> = content
            .chunks(4096)
            .flat_map(|page| Sha256::digest(page).to_vec())
            .collect();
        let mut directory = vec![0; 44];
        let pages = content.len().div_ceil(4096) as u32;
        for (at, number) in [
            (0, DIRECTORY),
            (FLAGS_AT, AD_HOC),
            (SUMS_AT, 44),
            (COUNT_AT, pages),
            (LENGTH_AT, content.len() as u32),
        ] {
            directory[at..at + 4].copy_from_slice(&number.to_be_bytes());
        }
        (directory[BYTES_AT], directory[KIND_AT], directory[PAGE_AT]) = (32, SHA_256, 12);
        let parts = [SIGNATURE, 0, 1, 0, 20];
        let mut signed = content.to_vec();
        signed.extend(parts.iter().flat_map(|part| part.to_be_bytes()));
        signed.extend(directory);
        signed.extend(sums);
        signed
    }

    fn library() -> Vec<u8> {
        (0..10_000).map(|index| index as u8).collect()
    }

    #[test]
    fn a_changed_page_breaks_the_signature() {
        check(&signed(&library()), 10_000).unwrap();
        let mut changed = signed(&library());
        changed[9_999] ^= 1;
        let error = check(&changed, 10_000).unwrap_err().to_string();
        assert!(error.contains("page Some(2)"), "{error}");
    }

    #[test]
    fn signatures_of_something_else_are_refused() {
        assert!(check(&signed(&library()), 9_999).is_err());
        assert!(check(&signed(&library())[..10_100], 10_000).is_err());
        assert!(check(&[0; 100], 50).is_err());
    }
}
