//! Dotted paths: `vent.low.diameter`, `wall.layers.0.thickness`.

/// A path with one more segment. Segments that are not plain words are quoted, so that a path
/// names one place only.
pub fn join(parent: &str, segment: &str) -> String {
    let plain = |c: u8| c.is_ascii_alphanumeric() || c == b'_' || c == b'-';
    let mut path = String::with_capacity(parent.len() + segment.len() + 1);
    path.push_str(parent);
    if !parent.is_empty() {
        path.push('.');
    }
    if !segment.is_empty() && segment.bytes().all(plain) {
        path.push_str(segment);
    } else {
        path.push_str(&format!("{segment:?}"));
    }
    path
}

/// The segments of a path; dots inside quotes do not split. `None` if a segment is empty or a
/// quote is left open.
pub fn split(path: &str) -> Option<Vec<String>> {
    let mut segments = Vec::new();
    let mut current = String::new();
    let mut was_quoted = false;
    let mut quote = None;
    for c in path.chars() {
        match quote {
            Some(q) if c == q => quote = None,
            Some(_) => current.push(c),
            None if c == '"' || c == '\'' => {
                quote = Some(c);
                was_quoted = true;
            }
            None if c == '.' => {
                push(&mut segments, &mut current, &mut was_quoted)?;
            }
            None => current.push(c),
        }
    }
    push(&mut segments, &mut current, &mut was_quoted)?;
    quote.is_none().then_some(segments)
}

fn push(segments: &mut Vec<String>, current: &mut String, was_quoted: &mut bool) -> Option<()> {
    let typed = std::mem::take(current);
    let quoted = std::mem::take(was_quoted);
    let segment = if quoted { typed } else { typed.trim().to_owned() };
    if segment.is_empty() && !quoted {
        return None;
    }
    segments.push(segment);
    Some(())
}

/// The end of a `--set` path: the text before the first `=` outside quotes, and the text after.
pub fn split_assignment(text: &str) -> Option<(&str, &str)> {
    let mut quote = None;
    for (at, c) in text.char_indices() {
        match quote {
            Some(q) if c == q => quote = None,
            Some(_) => {}
            None if c == '"' || c == '\'' => quote = Some(c),
            None if c == '=' => return Some((text[..at].trim(), text[at + 1..].trim())),
            None => {}
        }
    }
    None
}
