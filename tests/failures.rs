//! Twenty ways in which a book could be lost or made wrong, and the tests that hold the app against each. The table is read beside the
//! sources: a test that is gone, or is ignored, or asserts nothing, fails here.
#![cfg(not(target_arch = "wasm32"))]

use std::fs;
use std::path::Path;

/// A failure by its number, what must hold, and the tests by file and name.
struct Failure {
    number: usize,
    what: &'static str,
    tests: &'static [(&'static str, &'static str)],
}

const TABLE: [Failure; 20] = [
    Failure {
        number: 1,
        what: "disk or quota full at the commit: not kept, with the reason; draft and back-up survive",
        tests: &[
            ("tests/store_model.rs", "the_nth_row_fails_for_all_n"),
            (
                "tests/browser/failing.rs",
                "with_the_quota_used_up_the_book_goes_on_and_the_file_has_everything",
            ),
            (
                "tests/browser/failing.rs",
                "with_the_disk_full_the_book_goes_on_and_the_file_has_everything",
            ),
            (
                "tests/browser/photographing.rs",
                "a_photo_that_does_not_fit_is_said_and_holds_no_reading_up",
            ),
        ],
    },
    Failure {
        number: 2,
        what: "half a save: all rows or none, of every act",
        tests: &[
            ("tests/store_model.rs", "any_batches_any_refusals"),
            (
                "tests/store_acts.rs",
                "whatever_row_of_an_act_is_refused_the_book_is_before_or_after_it",
            ),
            (
                "tests/browser/failing.rs",
                "whatever_row_is_refused_all_is_kept_or_nothing",
            ),
            (
                "tests/browser/refusing.rs",
                "an_archive_is_joined_whole_or_not_at_all",
            ),
            (
                "tests/browser/refusing.rs",
                "every_act_of_the_evening_is_kept_whole_or_not_at_all",
            ),
        ],
    },
    Failure {
        number: 3,
        what: "the cause of an error lost: duplicate, full and closed are told apart",
        tests: &[
            ("src/store/error.rs", "the_causes_are_told_apart"),
            (
                "tests/browser/failing.rs",
                "the_causes_are_told_apart_and_nothing_is_lost",
            ),
        ],
    },
    Failure {
        number: 4,
        what: "killed while typing: the draft comes back, the focused field too",
        tests: &[
            (
                "tests/browser/keeping.rs",
                "killed_in_mid_entry_the_draft_its_place_and_the_book_come_back",
            ),
            (
                "tests/browser/keeping.rs",
                "leaving_the_page_in_mid_entry_costs_nothing",
            ),
        ],
    },
    Failure {
        number: 5,
        what: "power loss after kept: kept only after a strict commit",
        tests: &[
            (
                "tests/browser/keeping.rs",
                "every_transaction_that_writes_is_strict",
            ),
            (
                "tests/browser/keeping.rs",
                "killed_fifty_times_right_after_kept_nothing_kept_is_lost",
            ),
        ],
    },
    Failure {
        number: 6,
        what: "two tabs edit: both revisions exist, and the tabs stay in step",
        tests: &[(
            "tests/browser/keeping.rs",
            "two_tabs_of_one_book_stay_in_step_and_lose_nothing",
        )],
    },
    Failure {
        number: 7,
        what: "an upgrade blocked by an old tab: words within two seconds, and it goes on by itself",
        tests: &[(
            "tests/browser/failing.rs",
            "a_database_held_back_is_told_within_two_seconds_and_goes_on_by_itself",
        )],
    },
    Failure {
        number: 8,
        what: "an old tab writes an old schema: it stops and says why",
        tests: &[(
            "tests/browser/failing.rs",
            "an_old_page_stops_writing_when_a_newer_one_has_the_book",
        )],
    },
    Failure {
        number: 9,
        what: "an upgrade loses a store: stores of v + 1 hold those of v, and a frozen database opens",
        tests: &[
            ("src/store/plan.rs", "an_upgrade_never_loses_a_store"),
            ("src/store/plan.rs", "what_has_shipped_is_frozen"),
            ("tests/browser/keeping.rs", "a_database_of_version_1_opens"),
        ],
    },
    Failure {
        number: 10,
        what: "the connection lost in the background: opened again once, the commit repeated",
        tests: &[
            (
                "tests/store_model.rs",
                "a_connection_lost_once_at_any_row_costs_nothing",
            ),
            (
                "tests/store_acts.rs",
                "a_connection_lost_at_any_row_of_an_act_costs_nothing",
            ),
            (
                "tests/browser/failing.rs",
                "a_lost_connection_is_opened_again_and_the_save_repeated",
            ),
        ],
    },
    Failure {
        number: 11,
        what: "storage evicted, opens empty: an empty start asks whether there was a book, and offers a copy",
        tests: &[
            (
                "tests/browser/keeping.rs",
                "an_empty_start_asks_whether_there_was_a_book",
            ),
            (
                "tests/browser/copying.rs",
                "the_storage_gone_the_copy_is_offered_and_brings_back_every_entry",
            ),
        ],
    },
    Failure {
        number: 12,
        what: "browser tab and installed app keep separate books: told before installing, one file carries the book over",
        tests: &[(
            "tests/browser/installing.rs",
            "the_installed_app_is_told_of_before_and_one_file_carries_the_book_over",
        )],
    },
    Failure {
        number: 13,
        what: "private mode: works in memory, a standing warning, the back-up works",
        tests: &[(
            "tests/browser/failing.rs",
            "without_a_database_it_works_in_memory_and_keeps_warning",
        )],
    },
    Failure {
        number: 14,
        what: "the service worker did not precache: starts with the server stopped, deep links too",
        tests: &[
            ("tests/precache.rs", "every_wait_in_a_worker_is_for_a_call"),
            (
                "tests/browser/offline.rs",
                "with_the_server_stopped_every_page_opens",
            ),
        ],
    },
    Failure {
        number: 15,
        what: "updates and mixed builds: only when asked, three in a row with a draft open, never blank",
        tests: &[
            (
                "tests/browser/offline.rs",
                "an_update_waits_to_be_asked_and_keeps_the_draft",
            ),
            (
                "tests/browser/offline.rs",
                "three_updates_in_a_row_keep_the_draft_and_are_never_blank",
            ),
        ],
    },
    Failure {
        number: 16,
        what: "a damaged, cut off, future or hostile file: nothing changes, and the message says where and what",
        tests: &[
            ("tests/book_file.rs", "cut_off_at_any_byte_is_refused"),
            (
                "tests/book_file.rs",
                "an_entry_altered_inside_a_repaired_digest_is_named",
            ),
            ("tests/book_file.rs", "a_newer_version_is_told_from_damage"),
            (
                "tests/book_file.rs",
                "nesting_without_end_is_refused_at_once",
            ),
            ("tests/archive.rs", "cut_off_at_any_byte_it_is_refused"),
            ("tests/archive.rs", "names_that_lead_anywhere_are_refused"),
            (
                "tests/archive.rs",
                "a_bomb_is_refused_by_what_it_claims_and_by_what_it_does",
            ),
            (
                "tests/archive.rs",
                "a_hundred_megabytes_of_nesting_in_an_archive_are_refused_at_once",
            ),
            (
                "tests/browser/carrying.rs",
                "a_file_that_is_no_whole_book_changes_nothing_and_says_why",
            ),
            (
                "tests/browser/carrying.rs",
                "a_script_in_a_note_is_only_words",
            ),
            (
                "tests/hostile.rs",
                "half_of_a_surrogate_pair_is_refused_wherever_a_text_stands",
            ),
            (
                "tests/hostile.rs",
                "numbers_beyond_all_sense_end_no_command",
            ),
            (
                "tests/browser/hostile.rs",
                "a_script_in_every_text_is_only_words_on_every_page",
            ),
            (
                "tests/browser/hostile.rs",
                "hostile_files_are_named_and_change_nothing",
            ),
            (
                "tests/browser/hostile.rs",
                "numbers_beyond_the_earth_stop_no_page",
            ),
        ],
    },
    Failure {
        number: 17,
        what: "the same book joined twice, a cloned tablet: no twins, and a shared name is noticed and named",
        tests: &[
            (
                "tests/join/algebra.rs",
                "join_is_commutative_associative_and_idempotent",
            ),
            (
                "tests/join/clocks.rs",
                "a_cloned_tablet_loses_nothing_and_goes_on_under_a_new_name",
            ),
            (
                "tests/join/algebra.rs",
                "tablets_that_heard_of_all_write_the_same_bytes",
            ),
            (
                "tests/browser/joining.rs",
                "the_order_of_the_books_does_not_matter",
            ),
            (
                "tests/browser/cloning.rs",
                "a_copied_tablet_is_named_and_neither_loses_an_entry",
            ),
        ],
    },
    Failure {
        number: 18,
        what: "a wrong clock, a changed time zone: no order depends on the wall clock, dates read as they were written",
        tests: &[
            (
                "tests/join/clocks.rs",
                "a_clock_that_jumped_is_named_and_orders_nothing",
            ),
            (
                "tests/browser/keeping.rs",
                "a_changed_time_zone_leaves_what_was_written",
            ),
            (
                "tests/browser/keeping.rs",
                "a_clock_that_jumps_changes_no_order",
            ),
            (
                "tests/browser/joining.rs",
                "a_clone_a_clock_and_twins_are_named_and_put_right",
            ),
        ],
    },
    Failure {
        number: 19,
        what: "two people change one reading: both kept, the same shown everywhere, settled in one step",
        tests: &[
            (
                "tests/join/settling.rs",
                "both_versions_of_a_dial_are_put_side_by_side_and_one_act_settles_it",
            ),
            (
                "tests/join/algebra.rs",
                "tablets_that_heard_of_all_write_the_same_bytes",
            ),
            (
                "tests/browser/joining.rs",
                "books_of_three_tablets_become_one_and_a_dip_is_settled_by_one_tap",
            ),
        ],
    },
    Failure {
        number: 20,
        what: "a view panics: draft and book are safe, and the page says how to go on",
        tests: &[(
            "tests/browser/keeping.rs",
            "a_page_that_stops_says_how_to_go_on_and_costs_nothing",
        )],
    },
];

fn read(path: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(path);
    fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

/// What is wrong with a test that a source should hold; `None` where it is there, runs, and asserts something.
fn wrong(source: &str, name: &str) -> Option<String> {
    let head = format!("fn {name}(");
    let Some(at) = source.find(&head) else {
        return Some("it is not there".to_owned());
    };
    // Its attributes and its documentation stand between it and the end of what comes before.
    let before: Vec<&str> = source[..at]
        .lines()
        .rev()
        .skip(usize::from(!source[..at].ends_with('\n')))
        .map(str::trim)
        .take_while(|line| line.starts_with('#') || line.starts_with("//"))
        .collect();
    if !before
        .iter()
        .any(|line| ["#[test]", "#[tokio::test]"].contains(line))
    {
        return Some("it is no test".to_owned());
    }
    if before
        .iter()
        .any(|line| line.starts_with("#[ignore") || line.starts_with("#[cfg"))
    {
        return Some("it is not always run".to_owned());
    }
    let body = &source[at..];
    // The formatter closes a function where its line began.
    let indent: String = source[..at]
        .rsplit('\n')
        .next()
        .unwrap_or_default()
        .chars()
        .take_while(|c| c.is_whitespace())
        .collect();
    let end = body.find(&format!("\n{indent}}}\n")).unwrap_or(body.len());
    // A browser test asserts by waiting too: what does not come true within its patience fails.
    let asserts = [
        "assert", "check(", "refused(", ".dial(", ".shows(", ".reads(",
    ];
    if !asserts.iter().any(|word| body[..end].contains(word)) {
        return Some("it asserts nothing".to_owned());
    }
    None
}

#[test]
fn each_of_the_twenty_failures_has_tests_that_run() {
    let numbers: Vec<usize> = TABLE.iter().map(|failure| failure.number).collect();
    assert_eq!(numbers, (1..=20).collect::<Vec<_>>());
    let main = read("tests/browser/main.rs");
    let mut found = Vec::new();
    for failure in &TABLE {
        assert!(
            !failure.tests.is_empty(),
            "{}: {}",
            failure.number,
            failure.what
        );
        for (file, name) in failure.tests {
            if let Some(why) = wrong(&read(file), name) {
                found.push(format!(
                    "{}, {}: {file}: {name}: {why}",
                    failure.number, failure.what
                ));
            }
            if let Some(room) = file.strip_prefix("tests/browser/") {
                let room = format!("mod {};", room.trim_end_matches(".rs"));
                assert!(
                    main.lines().any(|line| line == room),
                    "{file} is not among the browser tests"
                );
            }
        }
    }
    assert!(found.is_empty(), "{}", found.join("\n"));
}

#[test]
fn what_would_hide_a_failure_is_noticed() {
    let source = "/// Words.\n#[tokio::test]\nasync fn runs() {\n    assert!(true);\n}\n\n\
        #[test]\n#[ignore = \"slow\"]\nfn sleeps() {\n    assert!(true);\n}\n\n\
        fn helps() {\n    assert!(true);\n}\n\n#[test]\nfn says_nothing() {\n    run();\n}\n\n\
        proptest! {\n    #[test]\n    fn by_lot(n in 0..9) {\n        prop_assert!(n < 9);\n    }\n}\n";
    for (name, fault) in [
        ("runs", None),
        ("by_lot", None),
        ("gone", Some("it is not there")),
        ("sleeps", Some("it is not always run")),
        ("helps", Some("it is no test")),
        ("says_nothing", Some("it asserts nothing")),
    ] {
        assert_eq!(wrong(source, name).as_deref(), fault, "{name}");
    }
}
