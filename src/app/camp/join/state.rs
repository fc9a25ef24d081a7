//! What the join page works on: the files that were opened, the plan, and how far it has come. Nothing of it is written.

use std::collections::BTreeSet;

use leptos::prelude::*;
use leptos::task::spawn_local;
use web_sys::File;

use super::shown::{Beside, Opened, Photos, Shown, Whole, counted, new_photos, shown};
use crate::app::parts::clock;
use crate::app::parts::file;
use crate::app::parts::slices::{far_words, read_archive, read_book};
use crate::app::parts::tablet::{Phase, Tablet};
use crate::exchange::archive;
use crate::notebook::beyond;
use crate::notebook::join::{Incoming, Plan, Planning};
use crate::notebook::twins::{Renumbered, Twins};
use crate::notebook::{Entry, Namesakes, photos};
use crate::store::breathe;

/// A file of a folder that is a book by its name.
fn is_book(name: &str) -> bool {
    let name = name.to_ascii_lowercase();
    name.ends_with(".json") || name.ends_with(".zip")
}

/// So long the page waits at a time, milliseconds, while a plan is worked out.
const SLICE_MS: f64 = 12.0;

/// Entries or records of a plan between two looks at the clock.
const AT_ONCE: usize = 100;

/// How far it has come.
#[derive(Clone, Debug, Default, PartialEq)]
pub(in crate::app) enum Stage {
    /// No file is open.
    #[default]
    Nothing,
    /// Files are being read, in words.
    Reading(String),
    /// The plan is there; nothing is written.
    Planned(Shown),
    /// The plan is being written.
    Writing(usize),
    /// The plan was written, and what became of it.
    Done(String),
    /// The plan was not written, and why; it is still there.
    Failed(Shown, String),
}

/// The files, the plan and the stage; a handle that is copied freely.
#[derive(Clone, Copy)]
pub(in crate::app) struct Joining {
    tablet: Tablet,
    pub(in crate::app) stage: RwSignal<Stage>,
    files: StoredValue<Vec<Opened>, LocalStorage>,
    plan: StoredValue<Plan, LocalStorage>,
    /// The stations that were given a number of their own since.
    pub(in crate::app) renumbered: RwSignal<Vec<Renumbered>>,
    photos: StoredValue<Photos, LocalStorage>,
    /// Goes up with every choice of files, so that an earlier one that is still being read comes to nothing.
    round: StoredValue<u32>,
}

impl Joining {
    /// Makes the one of the app.
    pub(in crate::app) fn provide(tablet: Tablet) {
        provide_context(Self {
            tablet,
            stage: RwSignal::default(),
            files: StoredValue::new_local(Vec::new()),
            plan: StoredValue::new_local(Plan::default()),
            renumbered: RwSignal::default(),
            photos: StoredValue::new_local(Vec::new()),
            round: StoredValue::new(0),
        });
    }

    /// The one that `page` has provided.
    pub(in crate::app) fn expect() -> Self {
        expect_context::<Self>()
    }

    /// Lets go of the files and the plan. Nothing was written, so nothing is taken back.
    pub(in crate::app) fn leave(self) {
        self.round.update_value(|round| *round += 1);
        self.let_go();
        self.renumbered.set(Vec::new());
        self.stage.set(Stage::Nothing);
    }

    /// Gives the later of each pair of stations, and each but the first of what has one number at one, a number of its own, and
    /// remembers which station got which.
    pub(in crate::app) fn renumber(self, pairs: &[Twins], taken: &[Namesakes]) {
        let new = self.tablet.renumber(pairs, taken);
        self.renumbered.update(|all| {
            all.retain(|one| new.iter().all(|other| other.record != one.record));
            all.extend(new);
        });
    }

    fn let_go(self) {
        self.files.set_value(Vec::new());
        self.plan.set_value(Plan::default());
        self.photos.set_value(Vec::new());
    }

    /// Reads the files that a person chose and works out what joining them would do.
    pub(in crate::app) fn open(self, chosen: Vec<File>, folder: bool) {
        if chosen.is_empty() {
            return;
        }
        self.leave();
        let round = self.round.get_value();
        self.stage.set(Stage::Reading(format!(
            "Reading {} …",
            counted(chosen.len(), "file", "files")
        )));
        spawn_local(async move { self.read(chosen, folder, round).await });
    }

    async fn read(self, chosen: Vec<File>, folder: bool, round: u32) {
        let same = move || self.round.try_get_value() == Some(round);
        let all = chosen.len();
        let books: Vec<File> = chosen
            .into_iter()
            .filter(|file| !folder || is_book(&file.name()))
            .collect();
        let passed_over = all - books.len();
        let many = books.len();
        let mut files = Vec::with_capacity(many);
        for (i, chosen) in books.into_iter().enumerate() {
            let name = chosen.name();
            let size = size_words(chosen.size());
            if !same() {
                return;
            }
            self.stage.set(Stage::Reading(format!(
                "Reading {name}, {size}, {} of {many}. A large book takes a while; nothing is written.",
                i + 1
            )));
            // The words are painted before the page is busy.
            clock::moment().await;
            clock::moment().await;
            let say = |words: String| {
                if same() {
                    self.stage.set(Stage::Reading(format!(
                        "Reading {name}, {} of {many}: {words}; nothing is written.",
                        i + 1
                    )));
                }
            };
            let book = match file::read(&chosen).await {
                Ok(bytes) => open_book(self.tablet, &bytes, &say).await,
                Err(error) => Err(format!("it could not be read: {error}; choose it again")),
            };
            files.push(Opened { name, book });
        }
        while self.tablet.is_loading() {
            clock::moment().await;
        }
        if !same() {
            return;
        }
        self.stage
            .set(Stage::Reading("Comparing with what is here …".to_owned()));
        clock::moment().await;
        clock::moment().await;
        if !same() {
            return;
        }
        let have = self.tablet.kept_photos().await;
        if !same() {
            return;
        }
        let photos = new_photos(&files, &have);
        self.files.set_value(files);
        self.photos.set_value(photos);
        if let Some(shown) = self.work_out(round, passed_over, &have).await {
            self.stage.set(Stage::Planned(shown));
        }
    }

    /// What joining the files would do to the book as it is now, step by step; `None` where other files were chosen meanwhile.
    async fn work_out(
        self,
        round: u32,
        passed_over: usize,
        have: &BTreeSet<String>,
    ) -> Option<Shown> {
        let own = self.tablet.settings.with_untracked(|s| s.device.clone());
        let (plan, after) = loop {
            let (mut planning, entries) = self.files.with_value(|files| {
                let incoming: Vec<Incoming<'_>> =
                    files.iter().filter_map(Opened::incoming).collect();
                self.tablet.read_once(|shelf| {
                    let planning = Planning::begin(&shelf.ledger, &incoming);
                    (planning, shelf.ledger.len())
                })
            });
            let worked_out = loop {
                breathe().await;
                if self.round.try_get_value() != Some(round) {
                    return None;
                }
                let until_ms = clock::running_ms() + SLICE_MS;
                let more = self.tablet.read_once(|shelf| {
                    // Something was written meanwhile: the plan would be of another book.
                    let same = shelf.ledger.len() == entries;
                    let mut more = same;
                    while more && clock::running_ms() < until_ms {
                        more = planning.step(&shelf.ledger, &shelf.pages, AT_ONCE);
                    }
                    same.then_some(more)
                });
                match more {
                    Some(true) => {}
                    Some(false) => break true,
                    None => break false,
                }
            };
            if worked_out {
                break planning.done();
            }
        };
        let beside = Beside {
            own: &own,
            passed_over,
            photos: have,
        };
        let shown = self
            .files
            .with_value(|files| shown(&after, files, &plan, &beside));
        self.plan.set_value(plan);
        Some(shown)
    }

    /// Writes what is new, all of it in one commit, or nothing.
    pub(in crate::app) fn apply(self) {
        let before = match self.stage.get_untracked() {
            Stage::Planned(shown) | Stage::Failed(shown, _) => shown,
            _ => return,
        };
        let new: Vec<Entry> = self.plan.with_value(|plan| plan.new.clone());
        let by = self.plan.with_value(|plan| {
            plan.sources
                .first()
                .map(|source| source.by.clone())
                .unwrap_or_default()
        });
        let beyond = self.plan.with_value(|plan| {
            let standing = plan.standing.iter();
            standing.map(|(one, _)| one.clone()).collect::<Vec<_>>()
        });
        let round = self.round.get_value();
        let first = self.tablet.phase.get_untracked() == Phase::Empty;
        self.stage.set(Stage::Writing(new.len()));
        spawn_local(async move {
            let count = new.len();
            let photos = self.photos.get_value();
            let outcome = self.tablet.join(new, photos, beyond, &by).await;
            if self.round.try_get_value() != Some(round) {
                return;
            }
            match outcome {
                Ok(()) => {
                    let all = self.tablet.read_once(|shelf| shelf.ledger.len());
                    self.let_go();
                    let part = match beyond::words(&untrack(|| self.tablet.standing())) {
                        none if none.is_empty() => none,
                        words => format!(" It is only a part: {words}."),
                    };
                    let done = done_words(&before, count, all);
                    self.stage.set(Stage::Done(format!("{done}{part}")));
                    if first {
                        // The first page has given way to the book.
                        self.tablet.go("/camp/join");
                    }
                }
                Err(error) => self.stage.set(Stage::Failed(before, error)),
            }
        });
    }
}

fn done_words(before: &Shown, count: usize, all: usize) -> String {
    let files: Vec<String> = before
        .files
        .iter()
        .filter(|file| !file.damaged)
        .map(|file| {
            format!(
                "{}, {}",
                file.name,
                file.words.replace(" are new here", " are new")
            )
        })
        .collect();
    format!(
        "{}. {}{} kept in one commit; the book holds {} now, and none was lost.",
        files.join("; "),
        match before.photos {
            0 => String::new(),
            n => format!("{} and ", counted(n, "photo", "photos")),
        },
        counted(count, "entry is", "entries are"),
        counted(all, "entry", "entries")
    )
}

/// Reads a book file, or an archive of one and its photos; `say` hears how far it has come.
async fn open_book(tablet: Tablet, bytes: &[u8], say: &dyn Fn(String)) -> Result<Whole, String> {
    let far = |read, of| say(far_words(read, of));
    let (file, photos, missing, remarks) = if archive::is_zip(bytes) {
        let photo = |done, all| say(format!("{done} of {all} photos"));
        let mut archive = read_archive(tablet, bytes, &far, &photo)
            .await
            .map_err(|error| error.to_string())?;
        let missing = std::mem::take(&mut archive.missing);
        // What is left to report are altered photos and files that are none of the book's.
        let remarks = archive.report();
        (archive.book, archive.photos, missing, remarks)
    } else {
        let file = read_book(tablet, bytes, &far)
            .await
            .map_err(|error| error.to_string())?;
        let missing = photos::named(&file.entries);
        (file, Vec::new(), missing, Vec::new())
    };
    Ok(Whole {
        by: file.written.by,
        device: file.written.device,
        at: file.written.at,
        entries: file.entries,
        beyond: file.beyond,
        photos,
        missing,
        remarks,
    })
}

fn size_words(bytes: f64) -> String {
    if bytes < 1e6 {
        format!("{:.0} kB", (bytes / 1e3).ceil())
    } else {
        format!("{:.1} MB", bytes / 1e6)
    }
}
