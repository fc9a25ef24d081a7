//! A book on the tablet: how one is begun, and what its database holds, looked at from outside the app.

use std::{collections::BTreeMap, path::PathBuf};

use serde_json::{Value, json};
use thirtyfour::By;

use super::{process::Server, profile::Profile, tablet::Tablet};

/// The rows of one object store.
pub(crate) type Rows = BTreeMap<String, String>;

/// The database of the person's own book.
pub(crate) const OWN: &str = hingeline::store::OWN_BOOK;

/// Opens a database as it is, without making one; `database` is null where there is none.
const OPEN: &str = "
    const open = (name) => new Promise((resolve, reject) => {
        const request = indexedDB.open(name);
        let made = false;
        request.onupgradeneeded = () => { made = true; request.transaction.abort(); };
        request.onsuccess = () => resolve(request.result);
        request.onerror = () => (made ? resolve(null) : reject(request.error));
    });
    const database = await open(args[0]);
";

impl Tablet<'_> {
    /// Begins a book, its first station, and turns to the page for entering.
    pub(crate) async fn begin(&self, server: &Server) {
        self.go(&server.at("/")).await;
        self.tap("start-new").await;
        self.write("start-initials", "QV").await;
        self.tap("start-go").await;
        self.tap("new-station").await;
        self.reads("station-number", "1").await;
        self.tap("measure").await;
        self.see("key-0").await;
        self.kept().await;
    }

    /// Taps in a plane of bedding that dips to the south-east, from its kind to its side.
    pub(crate) async fn tap_bedding(&self, digits: &str) {
        self.tap("kind-bedding").await;
        self.tap_digits(digits).await;
        self.tap_side("SE").await;
    }

    /// Taps the side key that bears these letters.
    pub(crate) async fn tap_side(&self, wind: &str) {
        let key = self
            .until_true(
                &format!("a side key says {wind}"),
                "return ['side-first', 'side-second'].find((key) =>
                     document.querySelector(`[data-testid=\"${key}\"]`)?.innerText.split(/\\s+/).includes(arguments[0])) ?? null",
                &[json!(wind)],
            )
            .await;
        self.tap(key.as_str().unwrap()).await;
    }

    /// The rows of an object store; none where there is no database.
    pub(crate) async fn rows(&self, name: &str, store: &str) -> Rows {
        let body = format!(
            "{OPEN} if (database === null) return [];
             const store = database.transaction(args[1]).objectStore(args[1]);
             const all = (request) => new Promise((resolve, reject) => {{
                 request.onsuccess = () => resolve(request.result);
                 request.onerror = () => reject(request.error);
             }});
             const [keys, values] = await Promise.all([all(store.getAllKeys()), all(store.getAll())]);
             database.close();
             return keys.map((key, index) => [key, values[index]]);"
        );
        let rows = self.run_async(&body, &[json!(name), json!(store)]).await;
        serde_json::from_value::<Vec<(String, String)>>(rows)
            .unwrap()
            .into_iter()
            .collect()
    }

    /// The keys of an object store, whatever its rows are; none where there is no database.
    pub(crate) async fn keys(&self, name: &str, store: &str) -> Vec<String> {
        let body = format!(
            "{OPEN} if (database === null) return [];
             const request = database.transaction(args[1]).objectStore(args[1]).getAllKeys();
             const keys = await new Promise((resolve, reject) => {{
                 request.onsuccess = () => resolve(request.result);
                 request.onerror = () => reject(request.error);
             }});
             database.close();
             return keys;"
        );
        let keys = self.run_async(&body, &[json!(name), json!(store)]).await;
        serde_json::from_value(keys).unwrap()
    }

    /// The ledger of the person's own book.
    pub(crate) async fn ledger(&self) -> Rows {
        self.rows(OWN, "entries").await
    }

    /// The ledger's revisions of readings, as JSON, in the order in which this tablet wrote them.
    pub(crate) async fn readings(&self) -> Vec<Value> {
        let mut entries: Vec<Value> = self
            .ledger()
            .await
            .values()
            .map(|text| serde_json::from_str(text).unwrap())
            .filter(|entry: &Value| {
                entry["body"].get("reading").is_some() || entry["body"]["type"] == "reading"
            })
            .collect();
        entries.sort_by_key(|entry| entry["stamp"]["counter"].as_u64());
        entries
    }

    /// Waits until the draft on the disk holds these words.
    pub(crate) async fn draft_holds(&self, words: &str) {
        self.until(&format!("the draft on the disk holds {words}"), || async {
            let drafts = self.rows(OWN, "drafts").await;
            let text = drafts.values().cloned().collect::<String>();
            if text.contains(words) {
                Ok(())
            } else {
                Err(text)
            }
        })
        .await;
    }

    /// Deletes a database, as a browser that runs short of space would: with the app not there.
    pub(crate) async fn wipe(&self, server: &Server, name: &str) {
        self.go(&server.at("/hingeline.webmanifest")).await;
        self.run_async(
            "await new Promise((resolve, reject) => {
                 const request = indexedDB.deleteDatabase(args[0]);
                 request.onsuccess = resolve;
                 request.onerror = () => reject(request.error);
             });",
            &[json!(name)],
        )
        .await;
    }

    /// Makes a database of a version with these rows, before the app has been there.
    pub(crate) async fn fill(&self, server: &Server, name: &str, version: u32, stores: &Value) {
        self.go(&server.at("/hingeline.webmanifest")).await;
        self.run_async(
            "const [name, version, stores] = args;
             const database = await new Promise((resolve, reject) => {
                 const request = indexedDB.open(name, version);
                 request.onupgradeneeded = () => Object.keys(stores).forEach((store) => request.result.createObjectStore(store));
                 request.onsuccess = () => resolve(request.result);
                 request.onerror = () => reject(request.error);
             });
             await new Promise((resolve, reject) => {
                 const transaction = database.transaction(Object.keys(stores), 'readwrite');
                 transaction.oncomplete = resolve;
                 transaction.onabort = () => reject(transaction.error);
                 for (const [store, rows] of Object.entries(stores))
                     for (const [key, value] of rows) transaction.objectStore(store).put(value, key);
             });
             database.close();",
            &[json!(name), json!(version), stores.clone()],
        )
        .await;
    }

    /// Backs the book up and gives the file that came of it.
    pub(crate) async fn back_up(&self, downloads: &Profile) -> PathBuf {
        let files = || downloads.downloaded(&["json", "zip"]);
        let before = files();
        self.tap("backup").await;
        self.until("the back-up is a file", || async {
            let new = files().into_iter().find(|file| !before.contains(file));
            new.ok_or_else(|| "there is no new file".to_owned())
        })
        .await
    }

    /// Gives a file to a field that takes one.
    pub(crate) async fn give(&self, field: &str, path: impl AsRef<std::path::Path>) {
        self.see(field).await;
        let field = By::Css(format!("input[data-testid=\"{field}\"]"));
        let field = self.web().find(field).await.unwrap();
        let path = path.as_ref().display().to_string();
        field.send_keys(path).await.unwrap();
    }

    /// Hands a file to the first page, which gives way to the book once the person says so; whether it could be handed over.
    pub(crate) async fn open_file_unseen(&self, path: &std::path::Path) -> bool {
        let handed = self.hand_over(&[path]).await.is_ok();
        if handed {
            self.tap("join-apply").await;
        }
        handed
    }

    /// Hands files to the field that takes them, all at once.
    async fn hand_over(&self, paths: &[&std::path::Path]) -> Result<(), String> {
        // The driver takes several files one a line.
        let all: Vec<String> = paths.iter().map(|p| p.display().to_string()).collect();
        self.hand_to("open-file", all.join("\n")).await
    }

    async fn hand_to(&self, field: &str, paths: String) -> Result<(), String> {
        self.see(field).await;
        let field = By::Css(format!("[data-testid=\"{field}\"]"));
        let field = self.web().find(field).await.unwrap();
        field
            .send_keys(paths)
            .await
            .map_err(|error| error.to_string())
    }

    /// Opens a whole folder in Camp and waits for what the page says of it before anything is written.
    pub(crate) async fn open_folder(&self, path: &std::path::Path) {
        let path = path.display().to_string();
        self.hand_to("open-folder", path).await.unwrap();
        self.see("join-plan").await;
    }

    /// Opens files in Camp and waits for what the page says of them before anything is written.
    pub(crate) async fn open_files(&self, paths: &[&std::path::Path]) {
        self.run(
            "document.querySelector('[data-testid=\"join-plan\"]')?.setAttribute('data-old', '')",
            &[],
        )
        .await;
        self.hand_over(paths).await.unwrap();
        self.until_true(
            "the page says what joining would do",
            "return document.querySelector('[data-testid=\"join-plan\"]:not([data-old])') !== null",
            &[],
        )
        .await;
    }

    /// Opens a file in Camp, or on the first page, joins it where anything in it is new, and gives the outcome and what the
    /// page says of it.
    pub(crate) async fn open_file(&self, path: &std::path::Path) -> (String, String) {
        self.open_files(&[path]).await;
        if self.has("join-apply").await {
            self.tap("join-apply").await;
        }
        let report = self
            .until_true(
                "the page says what became of the file",
                "const report = document.querySelector('[data-testid=\"import-report\"]');
                 return report && report.innerText.trim() ? [report.dataset.outcome, report.innerText.trim()] : null",
                &[],
            )
            .await;
        serde_json::from_value(report).unwrap()
    }
}
