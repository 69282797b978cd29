//! Text for the PDF's built-in fonts: encoding, shortening, breaking into lines.
//!
//! In: any text a person typed. Out: bytes in WinAnsi encoding. A letter the encoding lacks loses its mark (a Polish
//! l with a stroke becomes l); one without a plain form becomes "?"; [`Encoded::exact`] then says so, and the sheet
//! carries a note.

use crate::measure;

/// Text ready for a page.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Encoded {
    /// WinAnsi bytes, none below 32.
    pub bytes: Vec<u8>,
    /// Whether every letter is as typed.
    pub exact: bool,
}

/// Encodes text; line ends and tabs become spaces.
pub fn encode(text: &str) -> Encoded {
    let mut out = Encoded { bytes: Vec::new(), exact: true };
    for letter in text.chars() {
        if let Some(byte) = win_ansi(letter) {
            out.bytes.push(byte);
        } else if !is_mark(letter) {
            out.exact = false;
            out.bytes.push(plain(letter));
        }
    }
    out
}

/// Width of text in mm when its capitals are `height` mm high.
pub fn width(text: &str, height: f64, bold: bool) -> f64 {
    f64::from(measure::width(&encode(text).bytes, bold)) * height / measure::CAPITALS
}

/// Text cut so that it is no wider than `room` mm; an ellipsis shows that it was cut.
pub fn fitted(text: &str, room: f64, height: f64, bold: bool) -> String {
    if width(text, height, bold) <= room {
        return text.to_owned();
    }
    let mut cut = String::new();
    let mut used = width("…", height, bold);
    for letter in text.chars() {
        used += width(letter.encode_utf8(&mut [0; 4]), height, bold);
        if used > room {
            break;
        }
        cut.push(letter);
    }
    if cut.is_empty() { cut } else { format!("{}…", cut.trim_end()) }
}

/// Lines no wider than `room` mm, broken at spaces; a word that is wider by itself is broken where it must.
pub fn lines(text: &str, room: f64, height: f64, bold: bool) -> Vec<String> {
    let mut done: Vec<String> = Vec::new();
    let mut line = String::new();
    for word in text.split_whitespace().flat_map(|word| pieces(word, room, height, bold)) {
        let longer = if line.is_empty() { word.clone() } else { format!("{line} {word}") };
        if !line.is_empty() && width(&longer, height, bold) > room {
            done.push(core::mem::replace(&mut line, word));
        } else {
            line = longer;
        }
    }
    if !line.is_empty() {
        done.push(line);
    }
    done
}

fn pieces(word: &str, room: f64, height: f64, bold: bool) -> Vec<String> {
    let mut parts = vec![String::new()];
    for letter in word.chars() {
        let last = parts.len() - 1;
        let longer = format!("{}{letter}", parts[last]);
        if !parts[last].is_empty() && width(&longer, height, bold) > room {
            parts.push(letter.to_string());
        } else {
            parts[last] = longer;
        }
    }
    parts
}

fn win_ansi(letter: char) -> Option<u8> {
    let code = u32::from(letter);
    match code {
        0x09 | 0x0A | 0x0D => Some(b' '),
        0x20..=0x7E | 0xA0..=0xFF => u8::try_from(code).ok(),
        _ => UPPER.iter().find(|(c, _)| *c == letter).map(|(_, byte)| *byte),
    }
}

/// Marks that stand by themselves after a letter (as some keyboards and files write accents), and letters of no
/// width: dropped, their letter stays.
fn is_mark(letter: char) -> bool {
    matches!(u32::from(letter), 0..0x20 | 0x7F | 0x80..0xA0 | 0x300..0x370 | 0x200B..0x2010 | 0xFE00..0xFE10 | 0xFEFF)
}

/// The plain form of a letter that the encoding lacks.
fn plain(letter: char) -> u8 {
    PLAIN.iter().find(|(_, letters)| letters.contains(letter)).map_or(b'?', |(byte, _)| *byte)
}

/// What WinAnsi has between 128 and 159.
const UPPER: [(char, u8); 27] = [
    ('€', 128),
    ('‚', 130),
    ('ƒ', 131),
    ('„', 132),
    ('…', 133),
    ('†', 134),
    ('‡', 135),
    ('ˆ', 136),
    ('‰', 137),
    ('Š', 138),
    ('‹', 139),
    ('Œ', 140),
    ('Ž', 142),
    ('‘', 145),
    ('’', 146),
    ('“', 147),
    ('”', 148),
    ('•', 149),
    ('–', 150),
    ('—', 151),
    ('˜', 152),
    ('™', 153),
    ('š', 154),
    ('›', 155),
    ('œ', 156),
    ('ž', 158),
    ('Ÿ', 159),
];

/// Letters of the Latin alphabets outside WinAnsi, by plain form.
const PLAIN: [(u8, &str); 47] = [
    (b'A', "ĀĂĄǍ"),
    (b'a', "āăąǎ"),
    (b'C', "ĆĈĊČ"),
    (b'c', "ćĉċč"),
    (b'D', "ĎĐ"),
    (b'd', "ďđ"),
    (b'E', "ĒĔĖĘĚ"),
    (b'e', "ēĕėęě"),
    (b'G', "ĜĞĠĢ"),
    (b'g', "ĝğġģ"),
    (b'H', "ĤĦ"),
    (b'h', "ĥħ"),
    (b'I', "ĨĪĬĮİ"),
    (b'i', "ĩīĭįı"),
    (b'J', "Ĵ"),
    (b'j', "ĵ"),
    (b'K', "Ķ"),
    (b'k', "ķ"),
    (b'L', "ĹĻĽĿŁ"),
    (b'l', "ĺļľŀł"),
    (b'N', "ŃŅŇŊ"),
    (b'n', "ńņňŋ"),
    (b'O', "ŌŎŐ"),
    (b'o', "ōŏő"),
    (b'R', "ŔŖŘ"),
    (b'r', "ŕŗř"),
    (b'S', "ŚŜŞȘẞ"),
    (b's', "śŝşș"),
    (b'T', "ŢŤŦȚ"),
    (b't', "ţťŧț"),
    (b'U', "ŨŪŬŮŰŲ"),
    (b'u', "ũūŭůűų"),
    (b'W', "ŴẀẂẄ"),
    (b'w', "ŵẁẃẅ"),
    (b'Y', "ŶỲ"),
    (b'y', "ŷỳ"),
    (b'Z', "ŹŻ"),
    (b'z', "źż"),
    (b'-', "‐‑‒−"),
    (b'\'', "′ʹʼ"),
    (b'"', "″"),
    (b'/', "⁄∕"),
    (b'<', "≤"),
    (b'>', "≥"),
    (b' ', "\u{2002}\u{2003}\u{2007}\u{2009}\u{202F}"),
    (b'x', "✕✖"),
    (b'.', "․"),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(typed: &str, shown: &[u8], exact: bool) {
        assert_eq!(encode(typed), Encoded { bytes: shown.to_vec(), exact });
    }

    #[test]
    fn letters_of_the_encoding_stay_and_others_lose_their_marks() {
        check("Dachfläche 3 m²", b"Dachfl\xe4che 3 m\xb2", true);
        check("Łódź", b"L\xf3dz", false);
        check("屋根", b"??", false);
        // e followed by a separate acute accent: the letter stays.
        check("e\u{301}", b"e", true);
        check("a\tb\nc", b"a b c", true);
    }

    #[test]
    fn shortened_text_fits_its_room() {
        let shown = fitted("A very long name of a job indeed", 30.0, 2.5, false);
        assert!(shown.ends_with('…') && width(&shown, 2.5, false) <= 30.0, "{shown}");
        assert_eq!(fitted("short", 30.0, 2.5, false), "short");
    }

    #[test]
    fn lines_keep_every_word_and_fit() {
        let text =
            "Measured quantities and ordered quantities are never mixed Donaudampfschifffahrtsgesellschaft";
        let broken = lines(text, 25.0, 2.5, false);
        assert!(broken.iter().all(|l| width(l, 2.5, false) <= 25.0), "{broken:?}");
        assert_eq!(broken.concat().replace(' ', ""), text.replace(' ', ""));
    }
}
