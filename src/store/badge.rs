//! What the head says about keeping.

use super::error::StoreError;

/// How things stand with keeping.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Keeping {
    /// Everything is kept; the local hour and minute of the last save of this session, if there was one.
    Kept {
        /// Local hour and minute.
        at: Option<(u8, u8)>,
        /// Whether the last thing kept has a doubt.
        doubt: bool,
    },
    /// What is being typed is a draft, and the draft itself is kept.
    Draft,
    /// The save has been asked for and has not been answered.
    Pending,
    /// The save failed.
    NotKept(StoreError),
    /// There is no database: everything is in memory and ends with the page.
    InMemory,
}

/// The line under the head.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LedgerLine {
    /// Kept.
    Solid,
    /// A draft, or on its way.
    Dashed,
    /// Dashed with the doubt sign: not kept.
    Alarm,
}

/// What the head shows.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Words {
    /// The words.
    pub text: String,
    /// The line under them.
    pub line: LedgerLine,
    /// What happened, what is safe and the way out, where something is wrong.
    pub detail: Option<String>,
}

/// Puts the state of keeping into words. "kept" stands only where a strict commit has completed.
pub fn badge(keeping: &Keeping) -> Words {
    let words = |text: String, line| Words {
        text,
        line,
        detail: None,
    };
    match keeping {
        Keeping::Kept { at, doubt } => {
            let mut text = String::from("kept");
            if let Some((hour, minute)) = at {
                text.push_str(&format!(" {hour:02}:{minute:02}"));
            }
            if *doubt {
                text.push_str(" · with a doubt");
            }
            words(text, LedgerLine::Solid)
        }
        Keeping::Draft => words("draft".into(), LedgerLine::Dashed),
        Keeping::Pending => words("keeping…".into(), LedgerLine::Dashed),
        Keeping::NotKept(error) => Words {
            text: format!("not kept: {}", error.short()),
            line: LedgerLine::Alarm,
            detail: Some(error.to_string()),
        },
        Keeping::InMemory => Words {
            text: "not kept: in memory only".into(),
            line: LedgerLine::Alarm,
            detail: Some(
                "this browser allows no storage here, so everything ends with this page; back up to a file before you \
                 close it"
                    .into(),
            ),
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_words_of_every_state() {
        let check = |keeping: Keeping, text: &str, line: LedgerLine| {
            let words = badge(&keeping);
            assert_eq!(words.text, text);
            assert_eq!(words.line, line, "{text}");
        };
        let kept = |at, doubt| Keeping::Kept { at, doubt };
        check(kept(Some((14, 52)), false), "kept 14:52", LedgerLine::Solid);
        check(
            kept(Some((7, 5)), true),
            "kept 07:05 · with a doubt",
            LedgerLine::Solid,
        );
        check(kept(None, false), "kept", LedgerLine::Solid);
        check(Keeping::Draft, "draft", LedgerLine::Dashed);
        check(Keeping::Pending, "keeping…", LedgerLine::Dashed);
        check(
            Keeping::NotKept(StoreError::Full),
            "not kept: the storage is full",
            LedgerLine::Alarm,
        );
        check(
            Keeping::InMemory,
            "not kept: in memory only",
            LedgerLine::Alarm,
        );
    }

    #[test]
    fn what_is_wrong_always_has_its_detail() {
        assert!(
            badge(&Keeping::NotKept(StoreError::Closed))
                .detail
                .is_some()
        );
        assert!(badge(&Keeping::InMemory).detail.is_some());
        assert!(badge(&Keeping::Draft).detail.is_none());
    }
}
