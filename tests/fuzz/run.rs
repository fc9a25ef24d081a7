//! The fuzzer: one program for all targets, the one meant in `HINGELINE_FUZZ`. The way its inputs are found is libFuzzer's.
#![no_main]

use std::sync::OnceLock;

mod targets;

use targets::Target;

static TARGET: OnceLock<&Target> = OnceLock::new();

libfuzzer_sys::fuzz_target!(
    init: {
        let name = std::env::var("HINGELINE_FUZZ").unwrap_or_default();
        match targets::ALL.iter().find(|target| target.name == name) {
            Some(target) => {
                let _ = TARGET.set(target);
            }
            None => panic!("HINGELINE_FUZZ is `{name}`, which is no target"),
        }
    },
    |data: &[u8]| {
        if let Some(target) = TARGET.get() {
            targets::run(target, data);
        }
    }
);
