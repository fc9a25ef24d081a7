//! An entry read in one pass where it stands as this version writes it: what a book of thousands is opened by.

use std::borrow::Cow;
use std::ops::Range;

use super::head::Head;
use super::{Act, EntryId, LARGEST_COUNTER, RecordId, Spots, Stamp};
use crate::notebook::canonical::{behind, end_of_string, end_of_value, plain_string};

/// What was seen of an entry.
pub(super) struct Seen {
    pub(super) head: Head,
    /// Where things stand in the text without the id.
    pub(super) spots: Spots,
    /// The id that it states, and the stretch that it takes up, comma included.
    pub(super) stated: Option<(EntryId, Range<usize>)>,
    /// How long it is.
    pub(super) end: usize,
}

/// Looks at the entry that a text begins with; `None` where something in it stands otherwise than this version writes it, or where
/// it is none: then it is read member by member.
pub(super) fn glance(text: &str) -> Option<Seen> {
    let bytes = text.as_bytes();
    let word = |at: usize| plain_string(bytes, at);

    let at = behind(bytes, 0, b"{\"act\":")?;
    let act = word(at)?;
    let body = behind(bytes, act.1 + 1, b",\"body\":")?;
    let body_end = end_of_value(text, body)?;
    let has_body = match bytes.get(body)? {
        b'{' => true,
        b'n' => false,
        _ => return None,
    };
    let id = behind(bytes, body_end, b",")?;
    let (stated, at) = match behind(bytes, id, b"\"id\":\"") {
        None => (None, id),
        Some(from) => {
            let digits = bytes.get(from..)?.first_chunk()?;
            let at = behind(bytes, from + 64, b"\",")?;
            (Some((EntryId::of_digits(digits)?, id..at)), at)
        }
    };
    let record = word(behind(bytes, at, b"\"record\":")?)?;
    let moment = word(behind(bytes, record.1 + 1, b",\"stamp\":{\"at\":")?)?;
    let by = word(behind(bytes, moment.1 + 1, b",\"by\":")?)?;
    let (counter, at) = counter(bytes, behind(bytes, by.1 + 1, b",\"counter\":")?)?;
    let device = word(behind(bytes, at, b",\"device\":")?)?;
    let at = behind(bytes, device.1 + 1, b"},\"supersedes\":[")?;
    let (supersedes, at) = ids(bytes, at)?;
    let (why, end) = match bytes.get(at)? {
        b'}' => (None, at + 1),
        _ => {
            let from = behind(bytes, at, b",\"why\":")?;
            behind(bytes, from, b"\"")?;
            let to = end_of_string(bytes, from)?;
            let why: String = serde_json::from_str(text.get(from..to)?).ok()?;
            (Some(why), behind(bytes, to, b"}")?)
        }
    };
    let text_of = |(from, to): (usize, usize)| text.get(from..to);
    Some(Seen {
        head: Head {
            record: RecordId::from(text_of(record)?),
            supersedes,
            stamp: Stamp {
                by: text_of(by)?.to_owned(),
                device: text_of(device)?.to_owned(),
                counter,
                at: text_of(moment)?.to_owned(),
            },
            act: Act::from_word(Cow::Borrowed(text_of(act)?)),
            why,
        },
        spots: Spots {
            id,
            body: if has_body { (body, body_end) } else { (0, 0) },
        },
        stated,
        end,
    })
}

/// A whole number without a nought before it, and where it ends.
fn counter(bytes: &[u8], from: usize) -> Option<(u64, usize)> {
    let mut at = from;
    let mut number = 0;
    while let Some(digit @ b'0'..=b'9') = bytes.get(at) {
        number = number * 10 + u64::from(digit - b'0');
        at += 1;
        if at - from > 16 {
            return None;
        }
    }
    let short = at == from + 1 || *bytes.get(from)? != b'0';
    (at > from && short && number <= LARGEST_COUNTER).then_some((number, at))
}

/// The ids of a list that is open, and where it ends.
fn ids(bytes: &[u8], from: usize) -> Option<(Vec<EntryId>, usize)> {
    let mut ids = Vec::new();
    let mut at = from;
    if *bytes.get(at)? == b']' {
        return Some((ids, at + 1));
    }
    loop {
        let digits = behind(bytes, at, b"\"")?;
        ids.push(EntryId::of_digits(bytes.get(digits..)?.first_chunk()?)?);
        at = behind(bytes, digits + 64, b"\"")?;
        match *bytes.get(at)? {
            b']' => return Some((ids, at + 1)),
            b',' => at += 1,
            _ => return None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::Entry;
    use super::glance;

    /// Every entry of the demo book and of the frozen books of each version, as it stands in the file.
    fn lines() -> Vec<String> {
        let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
        let mut files: Vec<_> = std::fs::read_dir(root.join("tests/data/books"))
            .unwrap()
            .map(|file| file.unwrap().path())
            .filter(|path| path.extension().is_some_and(|kind| kind == "json"))
            .collect();
        files.push(root.join("public/demo.json"));
        let mut lines = Vec::new();
        for file in files {
            let text = std::fs::read_to_string(file).unwrap();
            let entries = text.lines().filter(|line| line.starts_with("{\"act\":"));
            lines.extend(entries.map(|line| line.trim_end_matches(',').to_owned()));
        }
        assert!(lines.len() > 100, "{}", lines.len());
        lines
    }

    fn alike(one: &Entry, other: &Entry) {
        assert_eq!(one.id(), other.id());
        assert_eq!(one.text(), other.text());
        assert_eq!(one.text_with_id(), other.text_with_id());
        assert_eq!(one.record(), other.record());
        assert_eq!(one.supersedes(), other.supersedes());
        assert_eq!(one.stamp(), other.stamp());
        assert_eq!((one.act(), one.why()), (other.act(), other.why()));
        assert_eq!(one.body_text(), other.body_text());
        assert_eq!(one.strikes_out(), other.strikes_out());
    }

    #[test]
    fn an_entry_seen_at_once_is_the_one_read_member_by_member() {
        let mut at_once = 0;
        for line in lines() {
            let thorough = Entry::from_json(&line).unwrap();
            // A control character without a letter of its own, and a member of a newer version, are left to the other way.
            let strange = line.contains("\\u00") || line.contains("\"zone\"");
            let followed = format!("{line},\n{{");
            let seen = Entry::at_the_beginning(&followed);
            assert_eq!(seen.is_none(), strange, "{line}");
            if let Some((entry, length)) = seen {
                at_once += 1;
                assert_eq!(length, line.len());
                alike(&entry, &thorough);
            }
            let kept = Entry::with_trusted_id(thorough.id(), thorough.text().to_owned()).unwrap();
            alike(&kept, &thorough);
        }
        assert!(at_once > 100, "{at_once}");
    }

    #[test]
    fn whatever_is_changed_in_an_entry_it_is_not_seen_otherwise_than_it_is_read() {
        let entry = lines()
            .iter()
            .filter_map(|line| Entry::from_json(line).ok())
            .find(|entry| entry.why().is_some() && !entry.supersedes().is_empty())
            .unwrap();
        let (bare, stated) = (entry.text(), entry.text_with_id());
        let mut seen = 0;
        for at in 0..stated.len() {
            for byte in [b'"', b'\\', b'{', b'}', b',', b'0', b' ', b'\n', b'Z'] {
                let changed = |text: &str| {
                    let mut bytes = text.as_bytes().to_vec();
                    *bytes.get_mut(at)? = byte;
                    String::from_utf8(bytes).ok()
                };
                if let Some(text) = changed(&stated)
                    && let Some((other, length)) = Entry::at_the_beginning(&text)
                {
                    alike(&other, &Entry::from_json(&text[..length]).unwrap());
                }
                // Without its id an entry is proved by nothing else.
                if let Some(text) = changed(bare)
                    && let Some(there) = glance(&text)
                    && there.end == text.len()
                {
                    seen += 1;
                    let other = Entry::from_json(&text).unwrap();
                    alike(&Entry::with_trusted_id(other.id(), text).unwrap(), &other);
                }
            }
        }
        assert!(seen > 500, "{seen}");
    }
}
