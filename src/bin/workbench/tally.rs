//! Counting tests from what `cargo test` prints.

/// How many tests passed, failed and were skipped.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Tally {
    pub(super) passed: u64,
    pub(super) failed: u64,
    pub(super) skipped: u64,
}

impl Tally {
    /// Adds one line of output; lines that count nothing are passed over.
    pub(super) fn add_line(&mut self, line: &str) {
        let Some((_, counts)) = line.split_once("test result: ") else {
            return;
        };
        for part in counts.split([';', '.']) {
            let mut words = part.split_whitespace();
            let (Some(count), Some(what)) = (
                words.next().and_then(|n| n.parse::<u64>().ok()),
                words.next(),
            ) else {
                continue;
            };
            match what {
                "passed" => self.passed += count,
                "failed" => self.failed += count,
                "ignored" => self.skipped += count,
                _ => {}
            }
        }
    }

    /// The closing line: `12 passed, 0 failed`, and `, 1 skipped` where so.
    pub(super) fn line(self) -> String {
        let mut line = format!("{} passed, {} failed", self.passed, self.failed);
        if self.skipped > 0 {
            line.push_str(&format!(", {} skipped", self.skipped));
        }
        line
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(output: &str, passed: u64, failed: u64, skipped: u64) {
        let mut tally = Tally::default();
        output.lines().for_each(|line| tally.add_line(line));
        assert_eq!(
            tally,
            Tally {
                passed,
                failed,
                skipped
            }
        );
    }

    #[test]
    fn results_are_summed_over_all_parts() {
        check(
            "running 5 tests\n\
             test a ... ok\n\
             test result: ok. 5 passed; 0 failed; 1 ignored; 0 measured; 3 filtered out; finished in 0.01s\n\
             \n\
             test result: FAILED. 7 passed; 2 failed; 0 ignored; 0 measured; 0 filtered out; finished in 12.50s\n",
            12,
            2,
            1,
        );
    }

    #[test]
    fn colours_do_not_hide_a_result() {
        check(
            "test result: \u{1b}[32mok\u{1b}[m. 3 passed; 0 failed; 0 ignored; 0 measured; 0 filtered out",
            3,
            0,
            0,
        );
    }

    #[test]
    fn other_lines_count_nothing() {
        check(
            "12 passed, 0 failed\ntest result of a bed ... ok\nrunning 3 tests\ntest result: \n",
            0,
            0,
            0,
        );
    }

    #[test]
    fn the_closing_line_names_skipped_tests_only_where_there_are_some() {
        assert_eq!(
            Tally {
                passed: 12,
                failed: 0,
                skipped: 0
            }
            .line(),
            "12 passed, 0 failed"
        );
        assert_eq!(
            Tally {
                passed: 1,
                failed: 2,
                skipped: 3
            }
            .line(),
            "1 passed, 2 failed, 3 skipped"
        );
    }
}
