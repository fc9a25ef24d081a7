//! What is read from outside, and what has to hold whatever it is.

mod archive;

mod book;

mod import;

mod notation;

mod table;

use peak_alloc::PeakAlloc;

#[global_allocator]
static HEAP: PeakAlloc = PeakAlloc;

/// One reader and what is asked of it.
pub(crate) struct Target {
    /// Its name on the command line, and its folder in `tests/data/fuzz`.
    pub(crate) name: &'static str,
    /// Stops where something does not hold for this input.
    check: fn(&[u8]),
    /// The memory that it may take at most for this input, bytes.
    memory: fn(&[u8]) -> usize,
}

pub(crate) const ALL: [Target; 5] = [
    Target {
        name: "notation",
        check: notation::check,
        memory: |data| (1 << 20) + data.len() * 64,
    },
    Target {
        name: "book",
        check: book::check,
        memory: |data| (8 << 20) + data.len() * 64,
    },
    Target {
        name: "table",
        check: table::check,
        memory: |data| (8 << 20) + data.len() * 64,
    },
    Target {
        name: "import",
        check: import::check,
        memory: |data| (8 << 20) + data.len() * 4096,
    },
    Target {
        name: "archive",
        check: archive::check,
        memory: archive::memory,
    },
];

/// Checks one input.
pub(crate) fn run(target: &Target, data: &[u8]) {
    let before = HEAP.current_usage();
    HEAP.reset_peak_usage();
    (target.check)(data);
    let taken = HEAP.peak_usage().saturating_sub(before);
    let most = (target.memory)(data);
    assert!(
        taken <= most,
        "{taken} bytes of memory for an input of {}, and {most} are the most",
        data.len()
    );
}

/// A message has our manner: lower case, no full stop, a way out, and not longer than a few lines.
#[track_caller]
fn in_our_manner(message: &str) {
    assert!(
        message.starts_with(|c: char| c.is_lowercase() || c == '`'),
        "{message}"
    );
    assert!(!message.ends_with('.'), "{message}");
    assert!(message.contains("; "), "no way out: {message}");
    assert!(message.chars().count() < 1000, "too long: {message}");
    assert!(
        !message.contains('\u{1b}'),
        "a control character: {message:?}"
    );
}
