//! The store of a book in the browser.

mod connection;

mod rolling;

pub use connection::breathe;
pub use rolling::{Copies, Part};

use std::cell::{Cell, RefCell};
use std::collections::BTreeMap;
use std::future::poll_fn;
use std::pin::pin;
use std::rc::{Rc, Weak};
use std::task::Poll;

use js_sys::{Array, Promise, Reflect, Uint8Array};
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;
use web_sys::{BroadcastChannel, IdbKeyRange, IdbObjectStore, IdbRequest, MessageEvent};

use super::batch::Batch;
use super::error::StoreError;
use super::event::StoreEvent;
use super::plan::{DRAFTS, ENTRIES, PHOTOS, STATE};
use super::write::{Next, after_failure, without_kept};
use connection::{Connection, End};

/// Whether the browser has promised not to evict the book by itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Persisted {
    /// It has.
    Yes,
    /// It has not, and may evict the book where it runs short.
    No,
    /// It does not say.
    Unknown,
}

/// A handle on the store of one book; copies are handles on the same store.
#[derive(Clone)]
pub struct Store {
    inner: Rc<Inner>,
}

struct Inner {
    name: String,
    link: RefCell<Link>,
    on_event: Rc<dyn Fn(StoreEvent)>,
    channel: Option<Channel>,
    /// Why the last commit was not kept, if it was not.
    failed: RefCell<Option<StoreError>>,
}

#[derive(Clone)]
enum Link {
    Open(Rc<Connection>),
    Lost,
    Superseded,
    Removed,
    Closed,
}

/// The other tabs of the same book.
struct Channel {
    channel: BroadcastChannel,
    _on_message: Closure<dyn FnMut(MessageEvent)>,
}

impl Drop for Channel {
    fn drop(&mut self) {
        self.channel.set_onmessage(None);
        self.channel.close();
    }
}

impl Channel {
    fn open(name: &str, on_event: Rc<dyn Fn(StoreEvent)>) -> Option<Channel> {
        let channel = BroadcastChannel::new(&format!("hingeline:{name}")).ok()?;
        let on_message = Closure::<dyn FnMut(MessageEvent)>::new(move |event: MessageEvent| {
            let ids: Vec<String> = event
                .data()
                .dyn_ref::<Array>()
                .map(|ids| ids.iter().filter_map(|id| id.as_string()).collect())
                .unwrap_or_default();
            if !ids.is_empty() {
                on_event(StoreEvent::Elsewhere(ids));
            }
        });
        channel.set_onmessage(Some(on_message.as_ref().unchecked_ref()));
        Some(Channel {
            channel,
            _on_message: on_message,
        })
    }

    fn tell(&self, ids: &[String]) {
        let message: Array = ids.iter().map(|id| JsValue::from_str(id)).collect();
        // The other tabs read the database when they load; a message that cannot be sent loses nothing.
        let _ = self.channel.post_message(&message);
    }
}

impl Store {
    /// Opens the book of this name, making it where there is none.
    ///
    /// `on_event` hears [`StoreEvent::Blocked`] within two seconds where another tab holds the database back; the
    /// opening then waits, and goes on by itself.
    ///
    /// # Errors
    /// [`StoreError::Newer`] where a newer version of the app has made the database, [`StoreError::Refused`] where the
    /// browser allows none, or what else the browser says.
    pub async fn open(
        name: &str,
        on_event: impl Fn(StoreEvent) + 'static,
    ) -> Result<Store, StoreError> {
        let on_event: Rc<dyn Fn(StoreEvent)> = Rc::new(on_event);
        let inner = Rc::new(Inner {
            name: name.to_owned(),
            link: RefCell::new(Link::Lost),
            on_event: on_event.clone(),
            channel: Channel::open(name, on_event),
            failed: RefCell::new(None),
        });
        inner.reopen().await?;
        Ok(Store { inner })
    }

    /// The name of the book's database.
    pub fn name(&self) -> &str {
        &self.inner.name
    }

    /// Closes the database; what is under way finishes, and nothing more is kept.
    pub fn close(&self) {
        self.inner.link.replace(Link::Closed);
    }

    /// Keeps a batch, all of it or none of it. `Ok` means kept: the strict transaction has completed.
    ///
    /// Entries that are there already, word for word, are left as they are.
    ///
    /// # Errors
    /// Why nothing of the batch was kept. A lost connection was opened again once and the commit repeated before this
    /// is said.
    ///
    /// # Degenerate input
    /// An empty batch is kept without a transaction.
    pub async fn commit(&self, batch: Batch) -> Result<(), StoreError> {
        if batch.is_empty() {
            return Ok(());
        }
        let outcome = self.write(&batch).await;
        self.inner.failed.replace(outcome.as_ref().err().cloned());
        outcome?;
        if let Some(channel) = &self.inner.channel
            && !batch.entries.is_empty()
        {
            channel.tell(&batch.entry_ids());
        }
        Ok(())
    }

    /// Writes a batch to the database, with what [`after_failure`] says to do where it was not kept.
    async fn write(&self, batch: &Batch) -> Result<(), StoreError> {
        let (stores, mut rows) = (batch.stores(), batch.rows());
        let (mut reopened, mut left_out) = (0, 0);
        loop {
            let outcome = match self.inner.connection() {
                Ok(connection) => connection.write(&stores, &rows).await,
                Err(error) => Err(error),
            };
            let Err(error) = outcome else { break };
            match after_failure(error, reopened, left_out) {
                Next::Reopen => {
                    reopened += 1;
                    self.inner.lose();
                    self.inner.reopen().await?;
                    (self.inner.on_event)(StoreEvent::Reopened);
                }
                Next::LeaveOutKept => {
                    left_out += 1;
                    let kept: BTreeMap<_, _> = self
                        .entries(&batch.entry_ids())
                        .await?
                        .into_iter()
                        .collect();
                    rows = without_kept(rows, &kept)?;
                    if rows.is_empty() {
                        break;
                    }
                }
                Next::Fail(error) => return Err(error),
            }
        }
        Ok(())
    }

    /// Reads the whole ledger in the order of the ids, about `chunk` entries at a time, and gives the screen its turn
    /// between them; answers how many there were.
    ///
    /// # Errors
    /// Why the book could not be read to its end.
    ///
    /// # Degenerate input
    /// A `chunk` of 0 counts as 1. Entries kept while this runs may or may not be among those given.
    pub async fn load_entries(
        &self,
        chunk: u32,
        mut each: impl FnMut(Vec<(String, String)>),
    ) -> Result<usize, StoreError> {
        let chunk = chunk.max(1);
        let mut count = 0;
        let mut rows = self.chunk(ENTRIES, None, chunk).await?;
        loop {
            let Some((last, _)) = rows.last().cloned() else {
                return Ok(count);
            };
            count += rows.len();
            if rows.len() < chunk as usize {
                each(rows);
                return Ok(count);
            }
            // The database looks for the next entries while these are read.
            let mut next = pin!(self.chunk(ENTRIES, Some(&last), chunk));
            let asked = poll_fn(|context| Poll::Ready(next.as_mut().poll(context))).await;
            each(rows);
            connection::breathe().await;
            rows = match asked {
                Poll::Ready(answer) => answer?,
                Poll::Pending => next.await?,
            };
        }
    }

    /// The entries with these ids, as far as they are there, in the order asked for.
    ///
    /// # Errors
    /// Why they could not be read.
    pub async fn entries(&self, ids: &[String]) -> Result<Vec<(String, String)>, StoreError> {
        let texts = self.texts(ENTRIES, ids).await?;
        Ok(ids
            .iter()
            .zip(texts)
            .filter_map(|(id, text)| Some((id.clone(), text?)))
            .collect())
    }

    /// How many entries the ledger has.
    ///
    /// # Errors
    /// Why they could not be counted.
    pub async fn count_entries(&self) -> Result<usize, StoreError> {
        let answers = self.ask(ENTRIES, |store| Ok(vec![store.count()?])).await?;
        // A count is a whole number within a float's reach.
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        let count = answers[0].as_f64().map_or(0, |count| count as usize);
        Ok(count)
    }

    /// The draft a key holds.
    ///
    /// # Errors
    /// Why it could not be read.
    pub async fn draft(&self, key: &str) -> Result<Option<String>, StoreError> {
        self.text(DRAFTS, key).await
    }

    /// Every draft, in the order of the keys.
    ///
    /// # Errors
    /// Why they could not be read.
    pub async fn all_drafts(&self) -> Result<Vec<(String, String)>, StoreError> {
        self.chunk(DRAFTS, None, u32::MAX).await
    }

    /// What a key of the device's own state holds.
    ///
    /// # Errors
    /// Why it could not be read.
    pub async fn state(&self, key: &str) -> Result<Option<String>, StoreError> {
        self.text(STATE, key).await
    }

    /// The device's own state, in the order of the keys.
    ///
    /// # Errors
    /// Why it could not be read.
    pub async fn all_state(&self) -> Result<Vec<(String, String)>, StoreError> {
        self.chunk(STATE, None, u32::MAX).await
    }

    /// The bytes of a photo, by its SHA-256; they stay the browser's, and nothing is copied into the app's own memory.
    ///
    /// # Errors
    /// Why they could not be read.
    pub async fn photo(&self, sha256: &str) -> Result<Option<Uint8Array>, StoreError> {
        let key = JsValue::from_str(sha256);
        let answers = self
            .ask(PHOTOS, |photos| Ok(vec![photos.get(&key)?]))
            .await?;
        match answers[0].dyn_ref::<Uint8Array>() {
            Some(bytes) => Ok(Some(bytes.clone())),
            None if answers[0].is_undefined() => Ok(None),
            None => Err(StoreError::Unknown(format!(
                "the photo `{sha256}` is no bytes"
            ))),
        }
    }

    /// The SHA-256 of every photo that is kept, in order.
    ///
    /// # Errors
    /// Why they could not be read.
    pub async fn photo_keys(&self) -> Result<Vec<String>, StoreError> {
        let answers = self
            .ask(PHOTOS, |photos| Ok(vec![photos.get_all_keys()?]))
            .await?;
        Array::from(&answers[0])
            .iter()
            .map(|key| text_of(PHOTOS, &key))
            .collect()
    }

    /// Deletes the book of this name. Other tabs that have it open are told and let go of it.
    ///
    /// # Errors
    /// [`StoreError::Blocked`] where another tab does not let go; the book then goes as soon as it does.
    ///
    /// # Degenerate input
    /// A book that is not there is deleted without an error.
    pub async fn delete(name: &str) -> Result<(), StoreError> {
        connection::delete(name).await
    }

    /// Whether there is a book of this name; none is made by asking.
    ///
    /// # Errors
    /// Why the browser could not say.
    pub async fn exists(name: &str) -> Result<bool, StoreError> {
        connection::exists(name).await
    }

    /// Asks the browser to keep the book even where space runs short. Some browsers ask the person.
    pub async fn persist() -> Persisted {
        storage_says("persist").await
    }

    /// Whether the browser has promised to keep the book, without asking it to.
    pub async fn persisted() -> Persisted {
        storage_says("persisted").await
    }

    async fn text(&self, store: &'static str, key: &str) -> Result<Option<String>, StoreError> {
        Ok(self.texts(store, &[key.to_owned()]).await?.remove(0))
    }

    /// The texts of these keys, one for each, in one transaction.
    async fn texts(
        &self,
        store: &'static str,
        keys: &[String],
    ) -> Result<Vec<Option<String>>, StoreError> {
        if keys.is_empty() {
            return Ok(Vec::new());
        }
        self.ask(store, |rows| {
            keys.iter()
                .map(|key| rows.get(&JsValue::from_str(key)))
                .collect()
        })
        .await?
        .into_iter()
        .map(|value| match value {
            value if value.is_undefined() => Ok(None),
            value => text_of(store, &value).map(Some),
        })
        .collect()
    }

    /// Up to `count` rows after a key.
    async fn chunk(
        &self,
        store: &'static str,
        after: Option<&str>,
        count: u32,
    ) -> Result<Vec<(String, String)>, StoreError> {
        let answers = self
            .ask(store, |rows| {
                let range = match after {
                    Some(after) => {
                        IdbKeyRange::lower_bound_with_open(&JsValue::from_str(after), true)?.into()
                    }
                    None => JsValue::NULL,
                };
                Ok(vec![
                    rows.get_all_keys_with_key_and_limit(&range, count)?,
                    rows.get_all_with_key_and_limit(&range, count)?,
                ])
            })
            .await?;
        let [keys, values] = [Array::from(&answers[0]), Array::from(&answers[1])];
        keys.iter()
            .zip(values.iter())
            .map(|(key, value)| Ok((text_of(store, &key)?, text_of(store, &value)?)))
            .collect()
    }

    /// Asks the database, opening it again once where the connection was lost.
    async fn ask(
        &self,
        store: &'static str,
        ask: impl Fn(&IdbObjectStore) -> Result<Vec<IdbRequest>, JsValue>,
    ) -> Result<Vec<JsValue>, StoreError> {
        let mut reopened = 0;
        loop {
            let outcome = match self.inner.connection() {
                Ok(connection) => connection.read(store, &ask).await,
                Err(error) => Err(error),
            };
            match outcome {
                Err(StoreError::Closed) if reopened == 0 => {
                    reopened += 1;
                    self.inner.lose();
                    self.inner.reopen().await?;
                    (self.inner.on_event)(StoreEvent::Reopened);
                }
                outcome => return outcome,
            }
        }
    }
}

impl Inner {
    /// The connection, or why there is none.
    fn connection(&self) -> Result<Rc<Connection>, StoreError> {
        match &*self.link.borrow() {
            Link::Open(connection) => Ok(connection.clone()),
            Link::Superseded => Err(StoreError::Newer),
            Link::Removed | Link::Closed | Link::Lost => Err(StoreError::Closed),
        }
    }

    /// Lets go of a connection that proved dead, unless there is a reason that holds.
    fn lose(&self) {
        let dead = matches!(&*self.link.borrow(), Link::Open(_));
        if dead {
            self.link.replace(Link::Lost);
        }
    }

    /// Opens the database where the connection was lost; a book that was deleted or taken over is not made anew.
    async fn reopen(self: &Rc<Self>) -> Result<(), StoreError> {
        match &*self.link.borrow() {
            Link::Open(_) => return Ok(()),
            Link::Superseded => return Err(StoreError::Newer),
            Link::Removed | Link::Closed => return Err(StoreError::Closed),
            Link::Lost => {}
        }
        let on_event = self.on_event.clone();
        let on_wait = Rc::new(move || on_event(StoreEvent::Blocked));
        // The connection's own end is heard only while it is the one in use.
        let current = Rc::new(Cell::new(true));
        let on_end = {
            let (inner, current) = (Rc::downgrade(self), current.clone());
            Rc::new(move |end| {
                if current.get() {
                    Inner::ended(&inner, end);
                }
            })
        };
        let connection = connection::open(&self.name, on_wait, on_end)
            .await
            .map_err(|error| error.after(self.failed.borrow().as_ref()))?;
        let lost = matches!(&*self.link.borrow(), Link::Lost);
        if lost {
            self.link.replace(Link::Open(connection));
        } else {
            // Something else came first: a close, or another reopening.
            current.set(false);
        }
        Ok(())
    }

    fn ended(inner: &Weak<Inner>, end: End) {
        let Some(inner) = inner.upgrade() else { return };
        let (next, event) = match end {
            End::Lost => (Link::Lost, None),
            End::Superseded => (Link::Superseded, Some(StoreEvent::Superseded)),
            End::Removed => (Link::Removed, Some(StoreEvent::Removed)),
        };
        // The connection's closures are running now, so it is let go of in a later turn.
        let old = inner.link.replace(next);
        wasm_bindgen_futures::spawn_local(async move {
            connection::breathe().await;
            drop(old);
        });
        if let Some(event) = event {
            (inner.on_event)(event);
        }
    }
}

/// A row's text, or that it is none.
fn text_of(store: &str, value: &JsValue) -> Result<String, StoreError> {
    value
        .as_string()
        .ok_or_else(|| StoreError::Unknown(format!("a row of `{store}` is not text")))
}

/// Asks the storage manager one of its yes-or-no questions.
async fn storage_says(question: &str) -> Persisted {
    let answer = async {
        let navigator = web_sys::window()?.navigator();
        // Outside a secure context, and in older browsers, there is no storage manager.
        let storage = Reflect::get(&navigator, &"storage".into()).ok()?;
        let method: js_sys::Function = Reflect::get(&storage, &question.into())
            .ok()?
            .dyn_into()
            .ok()?;
        let promise: Promise = method.call0(&storage).ok()?.dyn_into().ok()?;
        JsFuture::from(promise).await.ok()?.as_bool()
    };
    match answer.await {
        Some(true) => Persisted::Yes,
        Some(false) => Persisted::No,
        None => Persisted::Unknown,
    }
}
