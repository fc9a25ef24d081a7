//! The line-work of the book as SVG text: pure functions, tested natively.
