//! Photos in words: how large one is kept, and what stands under it.

use crate::app::shelf::Shelf;

/// The longer edge of a kept photo, pixels: about what a sheet of A4 shows at 180 dots an inch.
const LONGEST: u32 = 2048;

/// The size at which a photo is kept: as it is, or smaller with the same shape.
///
/// # Degenerate input
/// No edge is less than 1.
pub fn scaled(width: u32, height: u32) -> (u32, u32) {
    let longest = width.max(height).max(1);
    if longest <= LONGEST {
        return (width.max(1), height.max(1));
    }
    let edge = |edge: u32| {
        let scaled =
            (u64::from(edge) * u64::from(LONGEST) + u64::from(longest) / 2) / u64::from(longest);
        u32::try_from(scaled).unwrap_or(LONGEST).max(1)
    };
    (edge(width), edge(height))
}

/// A count of bytes as a person reads it.
pub fn bytes_words(bytes: u64) -> String {
    const KB: u64 = 1000;
    const MB: u64 = 1000 * KB;
    const GB: u64 = 1000 * MB;
    match bytes {
        0..1000 => format!("{bytes} bytes"),
        KB..999_500 => format!("{} kB", (bytes + KB / 2) / KB),
        999_500..9_950_000 => {
            let tenths = (bytes + MB / 20) / (MB / 10);
            format!("{}.{} MB", tenths / 10, tenths % 10)
        }
        9_950_000..999_500_000 => format!("{} MB", (bytes + MB / 2) / MB),
        _ => {
            let tenths = (bytes + GB / 20) / (GB / 10);
            format!("{}.{} GB", tenths / 10, tenths % 10)
        }
    }
}

/// A photo as it is shown.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Shown {
    /// The station's record.
    pub station_record: String,
    /// The station's number; 0 where it is not in the book.
    pub station: u32,
    /// Its number at the station.
    pub number: u32,
    /// When it was taken: `14:31`.
    pub time: String,
    /// The day it was taken: `2026-06-14`.
    pub day: String,
    /// The reading it belongs to: `47·6`.
    pub reading: Option<String>,
    /// What it shows.
    pub note: String,
    /// Withdrawn, and why where someone said so.
    pub struck: Option<String>,
    /// Two people changed the same field of it.
    pub contested: bool,
    /// SHA-256 of its bytes.
    pub sha256: String,
    /// Pixels.
    pub size: (u32, u32),
    /// How many bytes it has.
    pub bytes: u32,
    /// The photos of the same station before and after it, by record and number.
    pub before: Option<(String, u32)>,
    /// See [`Shown::before`].
    pub after: Option<(String, u32)>,
}

impl Shown {
    /// A photo of the book; `None` where there is none of this record.
    pub fn of(shelf: &Shelf, record: &str) -> Option<Self> {
        let line = shelf.pages.photo(record)?;
        let photo = line.photo()?;
        let page = shelf.pages.station(&photo.station);
        let station = page.map_or(0, |page| page.line().number());
        let reading = photo.reading.as_deref().and_then(|reading| {
            let line = shelf.pages.reading(reading)?;
            let at = shelf.station_number(reading);
            Some(format!("{at}·{}", line.number()))
        });
        let lines = page.map(|page| page.photos()).unwrap_or_default();
        let place = lines.iter().position(|l| l.record() == line.record());
        let neighbour = |place: Option<usize>| {
            let line = lines.get(place?)?;
            Some((line.record().as_str().to_owned(), line.number()))
        };
        Some(Self {
            station_record: photo.station.clone(),
            station,
            number: line.number(),
            time: photo.at.get(11..16).unwrap_or_default().to_owned(),
            day: photo.at.get(..10).unwrap_or_default().to_owned(),
            reading,
            note: photo.note.clone(),
            struck: line
                .is_struck_out()
                .then(|| shelf.why_struck(record).unwrap_or_default()),
            contested: line.is_contested(),
            sha256: photo.sha256.clone(),
            size: (photo.width, photo.height),
            bytes: photo.bytes,
            before: neighbour(place.and_then(|p| p.checked_sub(1))),
            after: neighbour(place.map(|p| p + 1)),
        })
    }

    /// Its name in the book: `47·P2`.
    pub fn name(&self) -> String {
        format!("{}·P{}", self.station, self.number)
    }

    /// The words under its small picture.
    pub fn caption(&self) -> String {
        let reading = self.reading.clone();
        [
            Some(format!("P{}", self.number)),
            Some(self.time.clone()),
            reading,
        ]
        .into_iter()
        .flatten()
        .filter(|word| !word.is_empty())
        .collect::<Vec<_>>()
        .join(" · ")
    }

    /// The picture in one sentence, for those who do not see it.
    pub fn spoken(&self) -> String {
        let mut words = format!("photo {} of station {}", self.number, self.station);
        if let Some(reading) = &self.reading {
            words.push_str(&format!(", with reading {}", reading.replace('·', " dot ")));
        }
        if self.struck.is_some() {
            words.push_str(", struck out");
        }
        if self.contested {
            words.push_str(", in doubt");
        }
        if !self.note.is_empty() {
            words.push_str(&format!(": {}", self.note));
        }
        words
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::notebook::{Act, Body, Entry, Photo, Reading, Stamp, Station};

    #[test]
    fn a_photo_keeps_its_shape_and_is_never_larger_than_it_was() {
        for (from, to) in [
            ((4000, 3000), (2048, 1536)),
            ((3000, 4000), (1536, 2048)),
            ((640, 480), (640, 480)),
            ((2048, 2048), (2048, 2048)),
            ((2049, 1), (2048, 1)),
            ((100_000, 3), (2048, 1)),
            ((0, 0), (1, 1)),
            ((u32::MAX, u32::MAX), (2048, 2048)),
        ] {
            assert_eq!(scaled(from.0, from.1), to, "{from:?}");
        }
    }

    #[test]
    fn sizes_in_words() {
        for (bytes, words) in [
            (0, "0 bytes"),
            (999, "999 bytes"),
            (1000, "1 kB"),
            (412_345, "412 kB"),
            (999_499, "999 kB"),
            (999_500, "1.0 MB"),
            (1_250_000, "1.3 MB"),
            (9_949_999, "9.9 MB"),
            (38_400_000, "38 MB"),
            (999_499_999, "999 MB"),
            (2_500_000_000, "2.5 GB"),
        ] {
            assert_eq!(bytes_words(bytes), words, "{bytes}");
        }
    }

    #[test]
    fn what_stands_under_a_photo() {
        let mut shelf = Shelf::default();
        let mut counter = 0;
        let mut write = |shelf: &mut Shelf, record: &str, why: Option<&str>, body: Option<Body>| {
            counter += 1;
            let stamp = Stamp {
                by: "QV".to_owned(),
                device: "bench".to_owned(),
                counter,
                at: String::new(),
            };
            let act = if body.is_some() {
                Act::Write
            } else {
                Act::StrikeOut
            };
            let heads = shelf.heads(record);
            let why = why.map(str::to_owned);
            shelf.take(Entry::new(record.into(), heads, stamp, act, why, body));
        };
        let photo = |number, reading: Option<&str>| {
            Some(Body::Photo(Photo {
                station: "s".to_owned(),
                number,
                reading: reading.map(str::to_owned),
                at: "2026-06-14T14:31:07+02:00".to_owned(),
                ..Photo::default()
            }))
        };
        write(&mut shelf, "a", None, photo(1, Some("r")));
        assert_eq!(Shown::of(&shelf, "a").unwrap().name(), "0·P1");
        let station = Station {
            number: 47,
            ..Station::default()
        };
        write(&mut shelf, "s", None, Some(Body::Station(station)));
        let reading = Reading {
            station: "s".to_owned(),
            number: 6,
            ..Reading::default()
        };
        write(&mut shelf, "r", None, Some(Body::Reading(reading)));
        write(&mut shelf, "b", None, photo(2, None));
        write(&mut shelf, "b", Some("blurred"), None);
        let a = Shown::of(&shelf, "a").unwrap();
        assert_eq!(
            (a.name().as_str(), a.caption().as_str()),
            ("47·P1", "P1 · 14:31 · 47·6")
        );
        assert_eq!(a.spoken(), "photo 1 of station 47, with reading 47 dot 6");
        assert_eq!((a.before, a.after), (None, Some(("b".to_owned(), 2))));
        let b = Shown::of(&shelf, "b").unwrap();
        assert_eq!(b.struck.as_deref(), Some("blurred"));
        assert_eq!(b.caption(), "P2 · 14:31");
        assert!(b.spoken().ends_with("struck out"));
        assert_eq!(Shown::of(&shelf, "s"), None);
    }
}
