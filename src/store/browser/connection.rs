//! The connection to IndexedDB: the only file that opens a database or a transaction.

use std::cell::Cell;
use std::rc::Rc;

use js_sys::{Array, Object, Promise, Reflect, Uint8Array};
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;
use web_sys::{
    DomException, Event, IdbDatabase, IdbFactory, IdbObjectStore, IdbOpenDbRequest, IdbRequest,
    IdbTransaction, IdbTransactionMode, IdbVersionChangeEvent,
};

use crate::store::batch::Row;
use crate::store::error::StoreError;
use crate::store::plan::{VERSION, steps_between};
use crate::store::write::Transaction;

/// Words come after this long without an answer, when the browser itself says nothing.
const SILENCE_MS: i32 = 1000;

#[wasm_bindgen]
extern "C" {
    /// The database with the standard's third argument, which `web-sys` holds back as unstable.
    #[wasm_bindgen(extends = IdbDatabase)]
    type DurableDatabase;

    #[wasm_bindgen(catch, method, js_name = transaction)]
    fn durable_transaction(
        this: &DurableDatabase,
        stores: &JsValue,
        mode: IdbTransactionMode,
        options: &Object,
    ) -> Result<IdbTransaction, JsValue>;
}

/// How a connection ended without having been asked to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum End {
    /// The browser closed it.
    Lost,
    /// Another tab upgrades the database.
    Superseded,
    /// Another tab deletes the database.
    Removed,
}

/// An open connection; it closes when the last handle goes.
pub(super) struct Connection {
    database: IdbDatabase,
    _on_version_change: Closure<dyn FnMut(IdbVersionChangeEvent)>,
    _on_close: Closure<dyn FnMut()>,
}

impl Drop for Connection {
    fn drop(&mut self) {
        self.database.set_onversionchange(None);
        self.database.set_onclose(None);
        self.database.close();
    }
}

/// Tells an error apart by its name and message.
pub(super) fn error_of(value: &JsValue) -> StoreError {
    if let Some(exception) = value.dyn_ref::<DomException>() {
        return StoreError::from_dom(&exception.name(), &exception.message());
    }
    if let Some(error) = value.dyn_ref::<js_sys::Error>() {
        return StoreError::from_dom(&String::from(error.name()), &String::from(error.message()));
    }
    StoreError::Unknown(format!("{value:?}"))
}

/// The browser's databases.
fn factory() -> Result<IdbFactory, StoreError> {
    web_sys::window()
        .ok_or_else(|| StoreError::Refused("this is not a page".into()))?
        .indexed_db()
        .map_err(|error| match error_of(&error) {
            StoreError::Refused(reason) => StoreError::Refused(reason),
            other => StoreError::Refused(other.to_string()),
        })?
        .ok_or_else(|| StoreError::Refused("it has no indexed database".into()))
}

/// Settles when the request does, or is blocked; to be called in the same turn as the request was made.
fn settled(request: &IdbOpenDbRequest, settle_when_blocked: bool) -> JsFuture {
    JsFuture::from(Promise::new(&mut |resolve, _| {
        request.set_onsuccess(Some(&resolve));
        request.set_onerror(Some(&resolve));
        if settle_when_blocked {
            request.set_onblocked(Some(&resolve));
        }
    }))
}

/// What a settled request has to say.
fn answer(request: &IdbRequest) -> Result<JsValue, StoreError> {
    match request.error() {
        Ok(None) => request.result().map_err(|error| error_of(&error)),
        Ok(Some(exception)) => Err(error_of(&exception)),
        Err(error) => Err(error_of(&error)),
    }
}

/// Calls back once after a while, unless it is dropped before.
struct Alarm {
    number: Option<i32>,
    _ring: Closure<dyn FnMut()>,
}

impl Alarm {
    fn set(after_ms: i32, ring: impl FnMut() + 'static) -> Alarm {
        let ring = Closure::<dyn FnMut()>::new(ring);
        let number = web_sys::window().and_then(|window| {
            window
                .set_timeout_with_callback_and_timeout_and_arguments_0(
                    ring.as_ref().unchecked_ref(),
                    after_ms,
                )
                .ok()
        });
        Alarm {
            number,
            _ring: ring,
        }
    }
}

impl Drop for Alarm {
    fn drop(&mut self) {
        if let (Some(number), Some(window)) = (self.number, web_sys::window()) {
            window.clear_timeout_with_handle(number);
        }
    }
}

/// Gives the screen and the keys their turn.
pub async fn breathe() {
    let promise = Promise::new(&mut |resolve, _| {
        let asked = web_sys::window().map(|window| {
            window.set_timeout_with_callback_and_timeout_and_arguments_0(&resolve, 0)
        });
        if !matches!(asked, Some(Ok(_))) {
            // Without a clock there is nothing to wait for. Calling a promise's own function cannot throw.
            let _ = resolve.call0(&JsValue::NULL);
        }
    });
    // A promise that is only ever resolved cannot be rejected.
    let _ = JsFuture::from(promise).await;
}

/// Adds the object stores that the steps from the old version on call for; none is ever taken away.
fn upgrade(event: &IdbVersionChangeEvent, request: &IdbOpenDbRequest) -> Result<(), JsValue> {
    let database: IdbDatabase = request.result()?.unchecked_into();
    let there = database.object_store_names();
    // Versions are whole numbers far below 2^32; the standard passes them as a float.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let old = event.old_version() as u32;
    for step in steps_between(old, VERSION) {
        for store in step.adds {
            if !there.contains(store) {
                database.create_object_store(store)?;
            }
        }
    }
    Ok(())
}

/// Opens the database of a book, upgrading it where it is older.
///
/// `on_wait` is called once, within two seconds, where another tab holds the database back; the opening goes on by
/// itself once it no longer does.
pub(super) async fn open(
    name: &str,
    on_wait: Rc<dyn Fn()>,
    on_end: Rc<dyn Fn(End)>,
) -> Result<Rc<Connection>, StoreError> {
    let request = factory()?
        .open_with_u32(name, VERSION)
        .map_err(|error| error_of(&error))?;

    let failed = Rc::new(Cell::new(None));
    let on_upgrade = {
        let (request, failed) = (request.clone(), failed.clone());
        Closure::<dyn FnMut(IdbVersionChangeEvent)>::new(move |event: IdbVersionChangeEvent| {
            if let Err(error) = upgrade(&event, &request) {
                failed.set(Some(error_of(&error)));
                if let Some(transaction) = request.transaction() {
                    // Aborting fails only where the transaction is over already.
                    let _ = transaction.abort();
                }
            }
        })
    };
    request.set_onupgradeneeded(Some(on_upgrade.as_ref().unchecked_ref()));

    let said = Rc::new(Cell::new(false));
    let say = move || {
        if !said.replace(true) {
            on_wait();
        }
    };
    let on_blocked = Closure::<dyn FnMut()>::new(say.clone());
    request.set_onblocked(Some(on_blocked.as_ref().unchecked_ref()));
    let silence = Alarm::set(SILENCE_MS, say);

    // The promise is resolved on success and on error alike; which it was is asked of the request.
    let _ = settled(&request, false).await;
    drop(silence);
    request.set_onupgradeneeded(None);
    request.set_onblocked(None);
    if let Some(error) = failed.take() {
        return Err(error);
    }
    let database: IdbDatabase = answer(&request)?.unchecked_into();

    let on_version_change = {
        let (database, on_end) = (database.clone(), on_end.clone());
        Closure::<dyn FnMut(IdbVersionChangeEvent)>::new(move |event: IdbVersionChangeEvent| {
            // Closing lets what is under way finish and lets the other tab go on.
            database.close();
            on_end(match event.new_version() {
                Some(_) => End::Superseded,
                None => End::Removed,
            });
        })
    };
    database.set_onversionchange(Some(on_version_change.as_ref().unchecked_ref()));
    let on_close = Closure::<dyn FnMut()>::new(move || on_end(End::Lost));
    database.set_onclose(Some(on_close.as_ref().unchecked_ref()));

    Ok(Rc::new(Connection {
        database,
        _on_version_change: on_version_change,
        _on_close: on_close,
    }))
}

/// Deletes the database of a book.
pub(super) async fn delete(name: &str) -> Result<(), StoreError> {
    let request = factory()?
        .delete_database(name)
        .map_err(|error| error_of(&error))?;
    let event = settled(&request, true).await;
    if let Ok(event) = event
        && event
            .dyn_ref::<Event>()
            .is_some_and(|event| event.type_() == "blocked")
    {
        return Err(StoreError::Blocked);
    }
    answer(&request).map(|_| ())
}

/// Whether there is a database of this name; none is made by asking.
pub(super) async fn exists(name: &str) -> Result<bool, StoreError> {
    let request = factory()?.open(name).map_err(|error| error_of(&error))?;
    let made = Rc::new(Cell::new(false));
    let on_upgrade = {
        let (request, made) = (request.clone(), made.clone());
        Closure::<dyn FnMut()>::new(move || {
            made.set(true);
            if let Some(transaction) = request.transaction() {
                // Aborting fails only where the transaction is over already.
                let _ = transaction.abort();
            }
        })
    };
    request.set_onupgradeneeded(Some(on_upgrade.as_ref().unchecked_ref()));
    // As in `open`: the request itself says how it went.
    let _ = settled(&request, false).await;
    request.set_onupgradeneeded(None);
    if made.get() {
        return Ok(false);
    }
    let database: IdbDatabase = answer(&request)?.unchecked_into();
    database.close();
    Ok(true)
}

impl Connection {
    /// Opens a transaction over exactly these object stores; one that writes is strict.
    fn begin(
        &self,
        stores: &[&'static str],
        mode: IdbTransactionMode,
    ) -> Result<IdbTransaction, StoreError> {
        let names: Array = stores.iter().map(|name| JsValue::from_str(name)).collect();
        let options = Object::new();
        if mode == IdbTransactionMode::Readwrite {
            // Setting a property of a fresh object cannot fail.
            let _ = Reflect::set(&options, &"durability".into(), &"strict".into());
        }
        self.database
            .unchecked_ref::<DurableDatabase>()
            .durable_transaction(&names, mode, &options)
            .map_err(|error| error_of(&error))
    }

    /// Writes the rows in one strict transaction; `Ok` means that it completed.
    pub(super) async fn write(
        &self,
        stores: &[&'static str],
        rows: &[Row],
    ) -> Result<(), StoreError> {
        let rows: Vec<Encoded> = rows.iter().map(Encoded::from).collect();
        let raw = self.begin(stores, IdbTransactionMode::Readwrite)?;
        let finished = finished(&raw);
        let mut writing = Writing {
            transaction: raw,
            stores: Vec::with_capacity(stores.len()),
        };
        crate::store::write::issue(&mut writing, &rows)?;
        finished.await
    }

    /// Asks everything in one transaction and gives the answers in the order of the questions.
    pub(super) async fn read(
        &self,
        store: &'static str,
        ask: impl Fn(&IdbObjectStore) -> Result<Vec<IdbRequest>, JsValue>,
    ) -> Result<Vec<JsValue>, StoreError> {
        let raw = self.begin(&[store], IdbTransactionMode::Readonly)?;
        let finished = finished(&raw);
        let requests = raw
            .object_store(store)
            .and_then(|store| ask(&store))
            .map_err(|error| error_of(&error))?;
        finished.await?;
        requests.iter().map(answer).collect()
    }
}

/// Whether the transaction completed, or what stopped it; to be called in the turn in which it was opened.
fn finished(raw: &IdbTransaction) -> impl Future<Output = Result<(), StoreError>> + use<> {
    let raw = raw.clone();
    let promise = Promise::new(&mut |resolve, reject| {
        raw.set_oncomplete(Some(&resolve));
        raw.set_onabort(Some(&reject));
    });
    let settled = JsFuture::from(promise);
    async move {
        match settled.await {
            Ok(_) => Ok(()),
            // No cause means that the connection went away under the transaction.
            Err(_) => Err(raw
                .error()
                .map_or(StoreError::Closed, |error| error_of(&error))),
        }
    }
}

/// A row whose texts and bytes are the browser's already, so that nothing can fail between two puts.
struct Encoded {
    store: &'static str,
    key: JsValue,
    change: Change,
}

enum Change {
    Add(JsValue),
    Put(JsValue),
    Delete,
}

impl From<&Row> for Encoded {
    fn from(row: &Row) -> Encoded {
        let (key, change) = match row {
            Row::Add { key, value, .. } => (key, Change::Add(JsValue::from_str(value))),
            Row::Put { key, value, .. } => (key, Change::Put(JsValue::from_str(value))),
            Row::PutBytes { key, value, .. } => {
                (key, Change::Put(Uint8Array::from(&**value).into()))
            }
            Row::Delete { key, .. } => (key, Change::Delete),
        };
        Encoded {
            store: row.store(),
            key: JsValue::from_str(key),
            change,
        }
    }
}

/// The browser's transaction as the write path sees it.
struct Writing {
    transaction: IdbTransaction,
    stores: Vec<(&'static str, IdbObjectStore)>,
}

impl Writing {
    fn store(&mut self, name: &'static str) -> Result<IdbObjectStore, JsValue> {
        if let Some((_, store)) = self.stores.iter().find(|(known, _)| *known == name) {
            return Ok(store.clone());
        }
        let store = self.transaction.object_store(name)?;
        self.stores.push((name, store.clone()));
        Ok(store)
    }
}

impl Transaction for Writing {
    type Row = Encoded;

    fn take(&mut self, row: &Encoded) -> Result<(), StoreError> {
        self.store(row.store)
            .and_then(|store| match &row.change {
                Change::Add(value) => store.add_with_key(value, &row.key),
                Change::Put(value) => store.put_with_key(value, &row.key),
                Change::Delete => store.delete(&row.key),
            })
            .map(|_| ())
            .map_err(|error| error_of(&error))
    }

    fn abort(&mut self) {
        // It fails only where the transaction has aborted by itself.
        let _ = self.transaction.abort();
    }
}
