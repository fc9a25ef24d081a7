//! Letters of a text that is not UTF-8: Windows-1252, in which spreadsheets write CSV by default in the west of Europe and in America.

/// The letters of the bytes 80 to 9F; the others are those of Latin-1. WHATWG, Encoding Standard, index windows-1252: the five
/// bytes that Windows itself leaves free stand for the control characters of their numbers.
const FROM_80: [char; 32] = [
    '\u{20ac}', '\u{81}', '\u{201a}', '\u{192}', '\u{201e}', '\u{2026}', '\u{2020}', '\u{2021}',
    '\u{2c6}', '\u{2030}', '\u{160}', '\u{2039}', '\u{152}', '\u{8d}', '\u{17d}', '\u{8f}',
    '\u{90}', '\u{2018}', '\u{2019}', '\u{201c}', '\u{201d}', '\u{2022}', '\u{2013}', '\u{2014}',
    '\u{2dc}', '\u{2122}', '\u{161}', '\u{203a}', '\u{153}', '\u{9d}', '\u{17e}', '\u{178}',
];

/// The letter of a byte.
pub(crate) fn letter(byte: u8) -> char {
    let of_table = byte.checked_sub(0x80).map(usize::from);
    let letter = of_table.and_then(|at| FROM_80.get(at)).copied();
    letter.unwrap_or(char::from(byte))
}

#[cfg(test)]
mod tests {
    use super::letter;

    /// Unicode Consortium, mappings/VENDORS/MICSFT/WINDOWS/CP1252.TXT (from memory): some of both halves.
    #[test]
    fn the_letters_of_windows_1252() {
        for (byte, wanted) in [
            (0x41, 'A'),
            (0x80, '€'),
            (0x85, '…'),
            (0x91, '‘'),
            (0x92, '’'),
            (0x96, '–'),
            (0x97, '—'),
            (0x99, '™'),
            (0x9c, 'œ'),
            (0x9f, 'Ÿ'),
            (0xa0, '\u{a0}'),
            (0xb0, '°'),
            (0xe4, 'ä'),
            (0xff, 'ÿ'),
        ] {
            assert_eq!(letter(byte), wanted, "{byte:x}");
        }
    }
}
