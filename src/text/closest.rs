//! The one word that was probably meant.

/// The closest of `known` if it is close enough that the suggestion would rarely be silly.
pub fn closest<'a>(typed: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    /// One slip in three letters, three slips at most.
    const LETTERS_PER_SLIP: usize = 3;
    const MOST_SLIPS: usize = 3;
    let letters = typed.chars().count();
    if letters > MAX_WORD {
        return None;
    }
    let allowed = (letters / LETTERS_PER_SLIP).clamp(1, MOST_SLIPS);
    let lower = typed.to_lowercase();
    let mut best: Option<(usize, &str)> = None;
    for word in known {
        let candidate = word.to_lowercase();
        let slips = strsim::damerau_levenshtein(&lower, &candidate);
        let close = slips <= allowed && slips < letters.max(2) && slips < word.chars().count();
        // "temp" for "temperature", "power_w" for "power": weaker than a slip of the fingers
        let rank = if close {
            slips
        } else if is_stem(&lower, &candidate) {
            MOST_SLIPS + 1
        } else {
            continue;
        };
        if best.is_none_or(|(other, _)| rank < other) {
            best = Some((rank, word));
        }
    }
    best.map(|(_, word)| word)
}

/// Longest word compared; the comparison takes the product of the lengths.
const MAX_WORD: usize = 64;

fn is_stem(a: &str, b: &str) -> bool {
    const SHORTEST_STEM: usize = 3;
    let (short, long) = if a.len() <= b.len() { (a, b) } else { (b, a) };
    short.chars().count() >= SHORTEST_STEM && long.starts_with(short)
}
