//! The files by which tablets hear of each other: written whole or in part, damaged by lot, opened as the app opens them.

use std::sync::Arc;

use hingeline::exchange::archive::{self, Archive};
use hingeline::exchange::book::{self, Written};
use hingeline::notebook::join::{Incoming, plan};
use hingeline::notebook::{Beyond, Entry, photos};
use hingeline::store::PHOTOS;

use super::{Camp, time};

impl Camp {
    /// A tablet's book as a file: all of it or a part, with its photos or as the book file alone.
    pub(super) fn file(&mut self, place: usize, part: bool, with_photos: bool) -> Vec<u8> {
        let tablet = &self.tablets[place];
        let written = Written {
            at: time(tablet.clock_s),
            by: tablet.by.clone(),
            device: tablet.name.clone(),
        };
        let all: Vec<Entry> = tablet.ledger.iter().cloned().collect();
        let (entries, left_out): (Vec<Entry>, Vec<Entry>) = all
            .into_iter()
            .partition(|_| !part || self.random.below(3) > 0);
        let beyond: Vec<Beyond> = Some(Beyond::of_part(&left_out, &entries))
            .filter(|beyond| beyond.count > 0)
            .into_iter()
            .collect();
        let text = book::write_part(&entries, &written, &beyond);
        if !with_photos {
            return text.into_bytes();
        }
        let tablet = &self.tablets[place];
        let named = photos::named(&entries);
        let there = named.iter().filter_map(|photo| {
            let bytes = tablet.store.bytes(PHOTOS, &photo.sha256)?;
            Some((photo.sha256.as_str(), bytes))
        });
        match archive::write(&text, there) {
            Ok(bytes) => bytes,
            Err(error) => {
                self.faults.push(format!("no archive was written: {error}"));
                text.into_bytes()
            }
        }
    }

    /// A tablet writes a file that lies about from then on, and is damaged now and then.
    pub(super) fn lay_down_file(&mut self, place: usize) {
        let (part, with_photos) = (self.random.below(3) == 0, self.random.below(3) > 0);
        let sound = self.file(place, part, with_photos);
        let file = if self.random.below(3) == 0 {
            self.damaged(sound)
        } else {
            sound
        };
        self.files.push(file);
    }

    /// The file as a bad card or a broken transfer leaves it.
    fn damaged(&mut self, mut bytes: Vec<u8>) -> Vec<u8> {
        const PIECE: usize = 60;
        self.happened.damaged += 1;
        let at = self.random.below(bytes.len());
        let end = bytes.len().min(at + PIECE);
        match self.random.below(5) {
            0 => bytes.truncate(at),
            1 => bytes[at] ^= 1 << self.random.below(8),
            2 => drop(bytes.drain(at..end)),
            3 => {
                let twice = bytes[at..end].to_vec();
                bytes.splice(at..at, twice);
            }
            _ => {
                // One digit is another: what a hand or a program that means well leaves.
                if let Some(digit) = bytes[at..].iter_mut().find(|byte| byte.is_ascii_digit()) {
                    *digit = b'0' + (*digit - b'0' + 1) % 10;
                }
            }
        }
        bytes
    }

    /// A tablet opens files of others: whole books, parts, files of some time ago, several at once.
    pub(super) fn hear(&mut self, place: usize) {
        let mut files: Vec<Vec<u8>> = Vec::new();
        for _ in 0..=self.random.below(3) {
            let other = self.random.below(self.tablets.len());
            files.push(match self.random.below(4) {
                0 if !self.files.is_empty() => {
                    let file = self.random.below(self.files.len());
                    self.files[file].clone()
                }
                1 => self.file(other, true, true),
                2 => self.file(other, false, false),
                _ => self.file(other, false, true),
            });
        }
        let files: Vec<&[u8]> = files.iter().map(Vec::as_slice).collect();
        self.open(place, &files);
    }

    /// Reads a file; `None` where it is not whole.
    pub(super) fn read(&mut self, bytes: &[u8]) -> Option<Archive> {
        match archive::read_any(bytes) {
            Ok(archive) => Some(archive),
            Err(_) => {
                self.happened.turned_away += 1;
                None
            }
        }
    }

    /// Opens files together and joins what can be read; false where the battery went flat before it was kept.
    pub(super) fn open(&mut self, place: usize, files: &[&[u8]]) -> bool {
        let books: Vec<Archive> = files.iter().filter_map(|file| self.read(file)).collect();
        self.join(place, &books.iter().collect::<Vec<_>>())
    }

    /// Joins books in one commit, by their plan; false where the battery went flat before it was kept.
    pub(super) fn join(&mut self, place: usize, books: &[&Archive]) -> bool {
        self.happened.opened += books.len();
        let incoming: Vec<Incoming<'_>> = books.iter().map(|book| book.book.incoming()).collect();
        let tablet = &self.tablets[place];
        let mut new = plan(&tablet.ledger, &incoming).new;
        let photos: Vec<(String, Arc<[u8]>)> = books
            .iter()
            .flat_map(|book| book.photos.iter().cloned())
            .filter(|(sha256, _)| tablet.store.bytes(PHOTOS, sha256).is_none())
            .collect();
        if new.is_empty() && photos.is_empty() {
            return true;
        }
        if !self.commit(place, &new, &photos) {
            return false;
        }
        // The order in which entries come is nobody's promise.
        if self.random.below(2) == 0 {
            new.reverse();
        }
        self.tablets[place].ledger.extend(new);
        true
    }
}
