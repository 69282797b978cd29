//! Setting compact JSON out in lines that a person can read and compare.
//!
//! In: compact JSON as the serialiser makes it. Out: the same JSON in which whatever fits on one line stands on one
//! line (a point, a corner with its edge), and whatever does not has one entry a line. The order of fields is kept.

use super::scan;

/// Entries that come out longer than this are broken into lines.
const WIDTH: usize = 100;
/// Spaces per level.
const INDENT: usize = 2;

/// The same JSON in readable lines, with a line end at the end.
pub(super) fn arrange(compact: &str) -> String {
    let mut out = String::with_capacity(compact.len() * 2);
    value(compact, 0, &mut out);
    out.push('\n');
    out
}

fn value(json: &str, level: usize, out: &mut String) {
    let broken = level < 2 || json.len() > WIDTH;
    match json.as_bytes() {
        [b'{' | b'[', inner @ .., _] if broken && !inner.is_empty() => broken_up(json, level, out),
        _ => on_one_line(json, out),
    }
}

/// One entry a line, between brackets that stand alone.
fn broken_up(json: &str, level: usize, out: &mut String) {
    out.push_str(&json[..1]);
    let mut rest = &json[1..json.len() - 1];
    while !rest.is_empty() {
        new_line(level + 1, out);
        let mut end = scan::end_of(rest, 0).unwrap_or(rest.len());
        if rest[end..].starts_with(':') {
            out.push_str(&rest[..end]);
            out.push_str(": ");
            rest = &rest[end + 1..];
            end = scan::end_of(rest, 0).unwrap_or(rest.len());
        }
        value(&rest[..end], level + 1, out);
        rest = rest[end..].strip_prefix(',').unwrap_or_default();
        if !rest.is_empty() {
            out.push(',');
        }
    }
    new_line(level, out);
    out.push_str(&json[json.len() - 1..]);
}

/// A space after each comma and colon outside texts.
fn on_one_line(json: &str, out: &mut String) {
    let (mut in_text, mut escaped) = (false, false);
    for c in json.chars() {
        out.push(c);
        match c {
            _ if escaped => escaped = false,
            '\\' if in_text => escaped = true,
            '"' => in_text = !in_text,
            ',' | ':' if !in_text => out.push(' '),
            _ => {}
        }
    }
}

fn new_line(level: usize, out: &mut String) {
    out.push('\n');
    out.extend(std::iter::repeat_n(' ', level * INDENT));
}
