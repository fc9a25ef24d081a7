//! The hand-over opened by general readers that know nothing of us: GDAL/OGR, Python's csv and json.
//!
//! `cargo verify` runs these where `ogrinfo` and `python3` are there, and installs GDAL where it may.
#![cfg(not(target_arch = "wasm32"))]
#![allow(
    clippy::unwrap_used,
    reason = "the whole target is tests and what they share"
)]

#[path = "../hand_over/made.rs"]
mod made;

mod gdal;

mod python;

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use hingeline::exchange::book::{self, Written};
use hingeline::exchange::hand_over::{HandOver, Made, Sheet, Wanted};
use hingeline::notebook::{Ledger, Pages};

/// A book with its hand-over in a format, written by `camp` into a place of its own.
pub(crate) struct Handed {
    pub(crate) over: HandOver,
    pub(crate) path: PathBuf,
}

impl Handed {
    #[track_caller]
    fn new(name: &str, ledger: &Ledger, format: &str, ending: &str) -> Self {
        let folder = Path::new(env!("CARGO_TARGET_TMPDIR"))
            .join("readers")
            .join(format!("{name}-{format}"));
        if folder.exists() {
            fs::remove_dir_all(&folder).unwrap();
        }
        fs::create_dir_all(&folder).unwrap();
        let file = folder.join("book.json");
        fs::write(&file, book::write(ledger.iter(), &Written::default())).unwrap();
        let path = folder.join(format!("handed{ending}"));
        let done = Command::new(env!("CARGO_BIN_EXE_camp"))
            .args(["hand-over", "--struck-out", "--format", format])
            .arg(&file)
            .arg("-o")
            .arg(&path)
            .output()
            .unwrap();
        assert!(
            done.status.success(),
            "{}",
            String::from_utf8_lossy(&done.stderr)
        );
        let wanted = Wanted {
            struck_out: true,
            ..Wanted::default()
        };
        Self {
            over: HandOver::of(&Pages::of(ledger), &wanted, Made::default()),
            path,
        }
    }

    /// The demo book and the small one, handed over in a format.
    #[track_caller]
    pub(crate) fn both(format: &str, ending: &str) -> [Self; 2] {
        [
            Self::new("demo", &made::demo(), format, ending),
            Self::new("small", &made::small().ledger, format, ending),
        ]
    }
}

/// The cells of a table under their keys, as texts.
pub(crate) fn texts(sheet: &dyn Sheet, row: usize) -> Vec<(String, String)> {
    let cells = sheet.cells(row);
    let keys = sheet.heads().into_iter().map(|head| head.key());
    keys.zip(cells.iter().map(|cell| cell.written().into_owned()))
        .collect()
}
