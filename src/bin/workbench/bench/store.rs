//! What a save costs in the browser and how soon a long book's first line stands on the screen, beside the browser's own means.

use std::path::Path;

use crate::workbench::{build, root, tools, verify};

/// The tests of the browser that time this and prove nothing.
const TIMING: &str = "weigh_the_store";

/// Builds the app where no build is named, and lets a browser time it.
pub(super) fn bench(dist: Option<&Path>) -> Result<(), String> {
    let dist = match dist {
        Some(dist) => dist.to_owned(),
        None => {
            let dist = root()?.join("dist");
            build::build(&dist, false)?;
            dist
        }
    };
    verify::measure(&dist, TIMING, &[("HINGELINE_IDB", tools::idb()?)])
}
