//! What happens to a store without its page having asked, and the words for it.

/// What happens to a store without its page having asked.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum StoreEvent {
    /// Another tab holds the database back; the opening goes on by itself once it no longer does.
    Blocked,
    /// A newer version of the app has taken the database: this page keeps nothing more.
    Superseded,
    /// Another tab has deleted the book: this page keeps nothing more.
    Removed,
    /// The browser had closed the database and it was opened again.
    Reopened,
    /// Another tab has kept these entries.
    Elsewhere(Vec<String>),
}

impl StoreEvent {
    /// What a person has to know of it and what to do; nothing where nothing is to be done.
    pub fn words(&self) -> Option<&'static str> {
        match self {
            StoreEvent::Blocked => Some(
                "another tab or window with this book holds it back; nothing is lost; close the other one and this one \
                 goes on by itself",
            ),
            StoreEvent::Superseded => Some(
                "a newer version of this app has the book open, so this page keeps nothing more; what was kept before is \
                 safe; write down what is on the screen, then load this page again",
            ),
            StoreEvent::Removed => Some(
                "this book was deleted in another tab or window, so this page keeps nothing more; if that was a mistake, \
                 back up to a file here before you load this page again",
            ),
            StoreEvent::Reopened | StoreEvent::Elsewhere(_) => None,
        }
    }

    /// Whether the page can keep nothing more after this.
    pub fn ends_keeping(&self) -> bool {
        matches!(self, StoreEvent::Superseded | StoreEvent::Removed)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn whatever_ends_keeping_says_why_and_gives_a_way_out() {
        for event in [
            StoreEvent::Blocked,
            StoreEvent::Superseded,
            StoreEvent::Removed,
            StoreEvent::Reopened,
            StoreEvent::Elsewhere(vec!["a".into()]),
        ] {
            match event.words() {
                None => assert!(!event.ends_keeping()),
                Some(words) => {
                    assert!(words.starts_with(char::is_lowercase) && !words.ends_with('.'));
                    assert!(words.contains("close the other") || words.contains("load this page"));
                }
            }
        }
        assert!(StoreEvent::Superseded.ends_keeping() && StoreEvent::Removed.ends_keeping());
    }
}
