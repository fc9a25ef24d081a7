//! Tables of dials (CSV): reading ends, names its lines, and loses no cell of what was written by the rules.

use std::io::BufReader;

use hingeline::exchange::dial_table::{Fault, Row, Table};

pub(super) fn check(data: &[u8]) {
    check_any(data);
    check_cells(data);
}

type Rows = Vec<Result<Row, Vec<Fault>>>;

fn read(data: &[u8], room: usize) -> Result<(Rows, Vec<String>, bool), Vec<Fault>> {
    let mut table = Table::open(BufReader::with_capacity(room, data))?;
    let mut rows = Vec::new();
    for row in table.by_ref() {
        rows.push(row);
        assert!(rows.len() <= data.len(), "more rows than bytes");
    }
    let windows_1252 = table.is_windows_1252();
    Ok((rows, table.notes().to_vec(), windows_1252))
}

/// Any bytes at all.
fn check_any(data: &[u8]) {
    let whole = read(data, 4096);
    // However they arrive, they are read alike.
    assert_eq!(whole, read(data, 3));
    let lines = data
        .iter()
        .filter(|byte| matches!(byte, b'\n' | b'\r'))
        .count() as u64
        + 1;
    let check_fault = |fault: &Fault| {
        assert!(
            1 <= fault.line && fault.line <= lines,
            "{fault} of {lines} lines"
        );
        assert!(
            !fault.why.is_empty() && !fault.why.ends_with('.'),
            "{fault}"
        );
        assert!(
            fault.to_string().chars().count() < 1000,
            "too long: {fault}"
        );
    };
    match &whole {
        Err(faults) => {
            assert!(!faults.is_empty());
            faults.iter().for_each(check_fault);
        }
        Ok((rows, ..)) => {
            let mut last = 0;
            for row in rows {
                let line = match row {
                    Ok(row) => row.line,
                    Err(faults) => {
                        faults.iter().for_each(check_fault);
                        faults.first().expect("a fault").line
                    }
                };
                assert!(
                    last < line && line <= lines,
                    "line {line} after {last} of {lines}"
                );
                last = line;
            }
        }
    }
}

/// A table that is written by RFC 4180, its cells taken from the input: every cell arrives.
fn check_cells(data: &[u8]) {
    let Some((&first, rest)) = data.split_first() else {
        return;
    };
    let separator = [',', ';', '\t'][usize::from(first) % 3];
    let end = if first & 64 == 0 { "\r\n" } else { "\n" };
    // NUL is no text, and is refused as such.
    let text = String::from_utf8_lossy(rest).replace('\0', "0");
    let cells: Vec<&str> = text.split('\u{1f}').collect();
    let rows: Vec<[&str; 3]> = cells
        .chunks(3)
        .map(|row| [0, 1, 2].map(|i| row.get(i).copied().unwrap_or("")))
        .collect();
    let mut table = ["reading", "station", "kind", "strike"].join(&separator.to_string());
    for row in &rows {
        table.push_str(end);
        for cell in row {
            table.push('"');
            table.push_str(&cell.replace('"', "\"\""));
            table.push('"');
            table.push(separator);
        }
        table.push_str("045");
    }
    let (read, _, windows_1252) = read(table.as_bytes(), 4096).expect("a heading");
    assert!(!windows_1252);
    assert_eq!(read.len(), rows.len(), "{table}");
    // Space around a cell goes, and an end of line within one is one byte.
    let plain = |text: &str| text.replace("\r\n", "\n").trim().to_owned();
    for (row, wanted) in read.into_iter().zip(rows) {
        let row = row.expect("a row");
        let got = [&row.reading, &row.station, &row.kind];
        let wanted = wanted.map(plain);
        assert_eq!(got, wanted.each_ref(), "{table}");
        assert_eq!(row.strike.as_deref(), Some("045"));
    }
}
