//! What a person does to the page and reads from it, by the names the page gives its parts.

use serde_json::{Value, json};
use thirtyfour::{By, Key};

use super::tablet::{Tablet, Tried};

/// The screens the app is held to: a tablet upright, a tablet lying, a phone.
pub(crate) const SIZES: [(u32, u32); 3] = [(800, 1280), (1180, 820), (390, 844)];

/// Finds a part of the page by its name.
const PART: &str = "const part = document.querySelector(`[data-testid=\"${arguments[0]}\"]`);";

impl Tablet<'_> {
    /// Taps a part once, as soon as it is there and can be reached.
    pub(crate) async fn tap(&self, part: &str) {
        self.until(&format!("`{part}` can be tapped"), || self.try_tap(part))
            .await;
        self.taps.set(self.taps.get() + 1);
    }

    async fn try_tap(&self, part: &str) -> Tried<()> {
        let found = self
            .web()
            .find(By::Css(format!("[data-testid=\"{part}\"]")))
            .await;
        let element = found.map_err(|error| error.to_string())?;
        element.click().await.map_err(|error| error.to_string())
    }

    /// Taps the keys of these digits, one after the other.
    pub(crate) async fn tap_digits(&self, digits: &str) {
        for digit in digits.chars() {
            self.tap(&format!("key-{digit}")).await;
        }
    }

    /// The taps since this was last asked.
    pub(crate) fn count_taps(&self) -> u32 {
        self.taps.replace(0)
    }

    /// Presses keys of a hardware keyboard.
    pub(crate) async fn press(&self, keys: &str) {
        let keys = self.web().action_chain().send_keys(keys);
        keys.perform().await.unwrap();
    }

    /// Presses a key that has a name, with Control held down or not.
    pub(crate) async fn press_key(&self, key: impl Into<char>, control: bool) {
        let key = key.into();
        let mut keys = self.web().action_chain();
        if control {
            keys = keys.key_down(Key::Control);
        }
        keys = keys.key_down(key).key_up(key);
        if control {
            keys = keys.key_up(Key::Control);
        }
        keys.perform().await.unwrap();
    }

    /// Writes into a field in the place of what it holds.
    pub(crate) async fn write(&self, part: &str, text: &str) {
        self.until(&format!("`{part}` can be written into"), || async {
            let found = self
                .web()
                .find(By::Css(format!("[data-testid=\"{part}\"]")))
                .await;
            let element = found.map_err(|error| error.to_string())?;
            element.clear().await.map_err(|error| error.to_string())?;
            element
                .send_keys(text)
                .await
                .map_err(|error| error.to_string())
        })
        .await;
    }

    /// Whether a part is on the page now.
    pub(crate) async fn has(&self, part: &str) -> bool {
        let there = self
            .run(&format!("{PART} return part !== null"), &[json!(part)])
            .await;
        there == json!(true)
    }

    /// Waits until a part is on the page.
    pub(crate) async fn see(&self, part: &str) {
        let script = format!("{PART} return part !== null");
        self.until_true(&format!("`{part}` is there"), &script, &[json!(part)])
            .await;
    }

    /// Waits until a part has left the page.
    pub(crate) async fn miss(&self, part: &str) {
        let script = format!("{PART} return part === null");
        self.until_true(&format!("`{part}` is gone"), &script, &[json!(part)])
            .await;
    }

    /// The words of a part.
    pub(crate) async fn words(&self, part: &str) -> String {
        let script = format!("{PART} return part?.innerText.trim() ?? null");
        let words = self
            .until_true(&format!("`{part}` is there"), &script, &[json!(part)])
            .await;
        words.as_str().unwrap().to_owned()
    }

    /// Waits until the words of a part hold these; gives all of them.
    pub(crate) async fn reads(&self, part: &str, words: &str) -> String {
        let script = format!(
            "{PART} const words = part?.innerText.trim();
             return words?.toLowerCase().includes(arguments[1].toLowerCase()) ? words : null"
        );
        let what = format!("`{part}` says “{words}”");
        let all = self
            .until_true(&what, &script, &[json!(part), json!(words)])
            .await;
        all.as_str().unwrap().to_owned()
    }

    /// An attribute of a part, as it is now.
    pub(crate) async fn attribute(&self, part: &str, name: &str) -> Option<String> {
        let script = format!("{PART} return part?.getAttribute(arguments[1]) ?? null");
        let value = self.run(&script, &[json!(part), json!(name)]).await;
        value.as_str().map(str::to_owned)
    }

    /// Waits until an attribute of a part has a value.
    pub(crate) async fn shows(&self, part: &str, name: &str, value: &str) {
        self.until(&format!("`{part}` has {name} `{value}`"), || async {
            let script =
                format!("{PART} return part ? part.getAttribute(arguments[1]) : 'no such part'");
            match self.try_run(&script, &[json!(part), json!(name)]).await? {
                Value::String(now) if now == value => Ok(()),
                now => Err(format!("it is {now}")),
            }
        })
        .await;
    }

    /// Waits until a dial shows a value.
    pub(crate) async fn dial(&self, dial: &str, value: &str) {
        self.shows(&format!("dial-{dial}"), "data-value", value)
            .await;
    }

    /// Waits until the head says that everything is kept; gives its words.
    pub(crate) async fn kept(&self) -> String {
        let script = format!(
            "{PART} const words = part?.innerText.trim(); return words?.startsWith('kept') ? words : null"
        );
        let words = self
            .until_true("the head says kept", &script, &[json!("head-state")])
            .await;
        words.as_str().unwrap().to_owned()
    }

    /// Goes to one of the three places by its plate in the head.
    pub(crate) async fn place(&self, place: &str) {
        self.tap(&format!("place-{place}")).await;
        self.shows(&format!("place-{place}"), "aria-current", "page")
            .await;
    }
}
