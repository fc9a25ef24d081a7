//! A table of dials, row by row.

use std::io::{self, BufRead, Write};

use hingeline::exchange::dial_table::Table;
use hingeline::orientation::{Context, reduce_in};

use super::Faults;
use super::answer::{About, Finding, Paper};

/// Prints the doubts of every row that can be read, and names the faults of those that cannot.
pub(super) fn check(
    input: impl BufRead,
    paper: &mut Paper<impl Write>,
    faults: &mut Faults<'_>,
) -> io::Result<()> {
    let mut table = match Table::open(input) {
        Ok(table) => table,
        Err(found) => {
            found.iter().for_each(|fault| faults.add(fault));
            return Ok(());
        }
    };
    for note in table.notes() {
        faults.note(note);
    }
    for row in table.by_ref() {
        let row = match row {
            Ok(row) => row,
            Err(found) => {
                found.iter().for_each(|fault| faults.add(fault));
                continue;
            }
        };
        let dials = row.dials();
        let reduced = reduce_in(&dials, &Context::new(&row.noise));
        let findings: Vec<Finding<'_>> = reduced
            .doubts
            .iter()
            .map(|doubt| Finding::of(doubt, &dials, reduced.diagnosis.as_deref()))
            .collect();
        let by_line;
        let reading = if row.reading.is_empty() {
            by_line = format!("line {}", row.line);
            &by_line
        } else {
            &row.reading
        };
        let about = About {
            reading,
            station: &row.station,
            kind: &row.kind,
            also: Vec::new(),
            line: Some(row.line),
            diagnosis: reduced.diagnosis.as_deref(),
        };
        paper.reading(&about, &findings)?;
    }
    if table.is_windows_1252() {
        faults.note("it is not in UTF-8; its other letters were taken as Windows-1252");
    }
    Ok(())
}
