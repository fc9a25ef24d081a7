//! How far long work has come, on standard error, where somebody looks at it.

use std::io::{self, IsTerminal, Write};
use std::time::{Duration, Instant};

/// One line that is written over as the work goes on; nothing where standard error is no terminal.
pub(crate) struct Progress {
    shown: bool,
    last: Option<Instant>,
    width: usize,
}

impl Progress {
    pub(crate) fn new() -> Self {
        Self {
            shown: io::stderr().is_terminal(),
            last: None,
            width: 0,
        }
    }

    /// So much of so much is done; seldom enough to cost nothing.
    pub(crate) fn at(&mut self, what: &str, done: u64, of: u64) {
        let due = |last: Instant| last.elapsed() > Duration::from_millis(200);
        if !self.shown || !self.last.is_none_or(due) {
            return;
        }
        let began = self.last.is_none();
        self.last = Some(Instant::now());
        // Work that is done at once is not spoken of.
        if began {
            return;
        }
        let percent = done.saturating_mul(100).checked_div(of).unwrap_or(0);
        let line = format!("{what}, {percent} in 100");
        self.write(&line);
    }

    fn write(&mut self, line: &str) {
        let width = line.chars().count();
        let blank = " ".repeat(self.width.saturating_sub(width));
        self.width = width;
        // Whoever cannot be told goes without.
        let _ = write!(io::stderr(), "\r{line}{blank}");
        let _ = io::stderr().flush();
    }

    /// Takes the line away.
    pub(crate) fn done(&mut self) {
        if self.width > 0 {
            self.write("");
            let _ = write!(io::stderr(), "\r");
        }
        self.last = None;
        self.width = 0;
    }
}
