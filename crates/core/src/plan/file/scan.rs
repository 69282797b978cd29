//! Finding the way through JSON text that is known to be sound.
//!
//! In: JSON text that a parser has accepted, and byte offsets in it. Out: byte offsets. It builds no tree, uses no
//! recursion, and answers `None` instead of panicking when the text is not what it should be.

/// Byte offset of the value that a path such as `plan.decks[0].ring[2].at` leads to.
pub(super) fn find(text: &str, path: &str) -> Option<usize> {
    let mut at = skip_space(text.as_bytes(), 0);
    for step in path.split(['.', '[']).filter(|s| !s.is_empty()) {
        at = match step.strip_suffix(']') {
            Some(index) => nth(text, at, index.parse().ok()?)?,
            None => member(text, at, step)?,
        };
    }
    Some(at)
}

/// Line and column, counted from 1, of a byte offset.
pub(super) fn line_column(text: &str, offset: usize) -> (usize, usize) {
    let before = text.get(..offset).unwrap_or(text);
    let line_start = before.rfind('\n').map_or(0, |i| i + 1);
    (before.matches('\n').count() + 1, before[line_start..].chars().count() + 1)
}

/// Byte offset just after the value that starts at `start`.
pub(super) fn end_of(text: &str, start: usize) -> Option<usize> {
    let bytes = text.as_bytes();
    let (mut at, mut depth) = (start, 0_usize);
    loop {
        match bytes.get(at)? {
            b'"' => at = end_of_string(bytes, at)?,
            b'{' | b'[' => {
                depth += 1;
                at += 1;
                continue;
            }
            b'}' | b']' => {
                depth = depth.checked_sub(1)?;
                at += 1;
            }
            b',' | b':' | b' ' | b'\n' | b'\r' | b'\t' => {
                at += 1;
                continue;
            }
            _ => at = end_of_word(bytes, at),
        }
        if depth == 0 {
            return Some(at);
        }
    }
}

/// Byte offset of the first thing at or after `at` that is not space.
pub(super) fn skip_space(bytes: &[u8], mut at: usize) -> usize {
    while bytes.get(at).is_some_and(u8::is_ascii_whitespace) {
        at += 1;
    }
    at
}

/// Byte offset of the entry after the one that ends at `end`, within a list or an object.
fn next_entry(bytes: &[u8], end: usize) -> Option<usize> {
    let comma = skip_space(bytes, end);
    (bytes.get(comma) == Some(&b',')).then(|| skip_space(bytes, comma + 1))
}

fn nth(text: &str, list: usize, index: usize) -> Option<usize> {
    let bytes = text.as_bytes();
    if bytes.get(list) != Some(&b'[') {
        return None;
    }
    let mut at = skip_space(bytes, list + 1);
    for _ in 0..index {
        at = next_entry(bytes, end_of(text, at)?)?;
    }
    Some(at)
}

fn member(text: &str, object: usize, key: &str) -> Option<usize> {
    let bytes = text.as_bytes();
    if bytes.get(object) != Some(&b'{') {
        return None;
    }
    let mut at = skip_space(bytes, object + 1);
    loop {
        let key_end = end_of_string(bytes, at)?;
        let colon = skip_space(bytes, key_end);
        let value = skip_space(bytes, colon + 1);
        if text.get(at + 1..key_end - 1) == Some(key) {
            return Some(value);
        }
        at = next_entry(bytes, end_of(text, value)?)?;
    }
}

fn end_of_string(bytes: &[u8], start: usize) -> Option<usize> {
    if bytes.get(start) != Some(&b'"') {
        return None;
    }
    let mut at = start + 1;
    loop {
        match bytes.get(at)? {
            b'"' => return Some(at + 1),
            b'\\' => at += 2,
            _ => at += 1,
        }
    }
}

fn end_of_word(bytes: &[u8], mut at: usize) -> usize {
    at += 1;
    while bytes.get(at).is_some_and(|b| !b.is_ascii_whitespace() && !b",:[]{}\"".contains(b)) {
        at += 1;
    }
    at
}
