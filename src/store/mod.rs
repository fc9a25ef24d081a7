//! Keeping the ledger in the browser. What can be decided without a browser is ungated and tested natively.
