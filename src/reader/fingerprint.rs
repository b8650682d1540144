//! Telling texts apart.

/// FNV-1a, 64 bits: tells texts apart; guards against slips, not against intent.
///
/// Source: constants of the published algorithm (common practice, *mem*).
#[must_use]
pub fn fingerprint(text: &[u8]) -> String {
    const OFFSET: u64 = 0xcbf2_9ce4_8422_2325;
    format!("{:016x}", hash(OFFSET, text))
}

/// The same from another start: one changed byte always changes it.
pub fn hash(start: u64, text: &[u8]) -> u64 {
    const PRIME: u64 = 0x0000_0100_0000_01b3;
    text.iter().fold(start, |h, b| (h ^ u64::from(*b)).wrapping_mul(PRIME))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_fingerprint_is_the_published_one() {
        // Test vectors of the algorithm for the empty text and for "a" (common practice, from memory).
        assert_eq!(fingerprint(b""), "cbf29ce484222325");
        assert_eq!(fingerprint(b"a"), "af63dc4c8601ec8c");
    }
}
