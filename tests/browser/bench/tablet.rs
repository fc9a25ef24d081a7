//! A browser that stands for the tablet, on a profile that stands for its storage.

use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU32, Ordering};
use std::{cell::Cell, future::Future, time::Instant};

use serde_json::{Value, json};
use thirtyfour::{Capabilities, ChromiumLikeCapabilities, DesiredCapabilities, WebDriver};

use super::{
    GLANCE, PATIENCE, SIZES,
    process::{Driver, chrome},
    profile::Profile,
};

/// What a test that waits is told each time it looks.
pub(crate) type Tried<T> = Result<T, String>;

/// Everything the page writes to its console as an error, and everything nobody caught, is heard.
const EAR: &str = "
    window.heard = [];
    const say = console.error;
    console.error = (...words) => { window.heard.push(words.map(String).join(' ')); say(...words); };
    addEventListener('error', (event) => window.heard.push(String(event.message)));
    addEventListener('unhandledrejection', (event) => window.heard.push(String(event.reason)));
";

/// How the tablet is set up before its first page.
#[derive(Clone, Copy, Default)]
pub(crate) struct SetUp<'a> {
    /// The time zone; none for the machine's own.
    pub(crate) time_zone: Option<&'a str>,
    /// A script that runs before those of every page.
    pub(crate) first: &'a str,
    /// Where downloads go when not into the profile.
    pub(crate) downloads: Option<&'a Profile>,
}

/// A running browser. It is killed with its owner; [`Tablet::close`] closes it in order.
pub(crate) struct Tablet<'a> {
    web: Option<WebDriver>,
    profile: &'a Profile,
    _driver: Driver,
    /// How often a finger has come down.
    pub(super) taps: Cell<u32>,
    first: String,
    /// What this browser writes down of its consoles.
    said: PathBuf,
    /// The content policy may be violated: that is what is tried.
    provokes: Cell<bool>,
}

impl<'a> Tablet<'a> {
    /// Starts the browser on a profile.
    pub(crate) async fn start(profile: &'a Profile) -> Tablet<'a> {
        Tablet::with(profile, SetUp::default()).await
    }

    /// Starts the browser on a profile, set up in a certain way.
    pub(crate) async fn with(profile: &'a Profile, set_up: SetUp<'_>) -> Tablet<'a> {
        let driver = Driver::start(set_up.time_zone);
        let downloads = set_up.downloads.unwrap_or(profile).downloads();
        static NEXT: AtomicU32 = AtomicU32::new(0);
        let said = format!("said-{}.log", NEXT.fetch_add(1, Ordering::Relaxed));
        let said = profile.dir().join(said);
        let caps = capabilities(profile, &downloads.display().to_string(), &said);
        let web = WebDriver::new(driver.address(), caps)
            .await
            .expect("the browser starts");
        web.set_script_timeout(PATIENCE).await.unwrap();
        web.set_page_load_timeout(2 * PATIENCE).await.unwrap();
        let tablet = Tablet {
            web: Some(web),
            profile,
            _driver: driver,
            taps: Cell::new(0),
            first: format!("{EAR}{}", set_up.first),
            said,
            provokes: Cell::new(false),
        };
        tablet.arm().await;
        tablet
    }

    /// The browser as the driver sees it.
    pub(crate) fn web(&self) -> &WebDriver {
        self.web.as_ref().expect("the browser runs")
    }

    /// Lets the first scripts run before every page of the present tab, and holds it upright.
    async fn arm(&self) {
        let script = json!({ "source": self.first });
        self.cdp("Page.addScriptToEvaluateOnNewDocument", script)
            .await;
        self.size(SIZES[0]).await;
    }

    /// Sends a command to the browser's own protocol.
    pub(crate) async fn cdp(&self, method: &str, params: Value) -> Value {
        self.web()
            .cdp()
            .send_raw(method, params)
            .await
            .unwrap_or_else(|error| panic!("{method}: {error}"))
    }

    /// Sets the size of the page's window, as on a touch screen.
    pub(crate) async fn size(&self, (width, height): (u32, u32)) {
        let screen =
            json!({ "width": width, "height": height, "deviceScaleFactor": 1, "mobile": true });
        self.cdp("Emulation.setDeviceMetricsOverride", screen).await;
    }

    /// Goes to an address.
    pub(crate) async fn go(&self, url: &str) {
        self.web()
            .goto(url)
            .await
            .unwrap_or_else(|error| panic!("{url}: {error}"));
    }

    /// Loads the present page again.
    pub(crate) async fn reload(&self) {
        self.web().refresh().await.unwrap();
    }

    /// Opens a further tab and makes it the present one.
    pub(crate) async fn new_tab(&self) {
        let tab = self.web().new_tab().await.unwrap();
        self.web().switch_to_window(tab).await.unwrap();
        self.arm().await;
    }

    /// Makes another tab the present one; they count in the order in which they were opened.
    pub(crate) async fn turn_to_tab(&self, index: usize) {
        let tabs = self.web().windows().await.unwrap();
        self.web()
            .switch_to_window(tabs[index].clone())
            .await
            .unwrap();
    }

    /// Runs a script and gives what it returns.
    pub(crate) async fn try_run(&self, script: &str, args: &[Value]) -> Tried<Value> {
        self.web()
            .execute(script, args.to_vec())
            .await
            .map(|answer| answer.json().clone())
            .map_err(|error| error.to_string())
    }

    /// Runs a script and gives what it returns; it has to work.
    pub(crate) async fn run(&self, script: &str, args: &[Value]) -> Value {
        self.try_run(script, args)
            .await
            .unwrap_or_else(|error| panic!("{script}\n{error}"))
    }

    /// Runs the body of an asynchronous function and gives what it returns.
    pub(crate) async fn run_async(&self, body: &str, args: &[Value]) -> Value {
        let script = format!(
            "const [done, args] = [arguments[arguments.length - 1], [...arguments].slice(0, -1)];
             (async (...args) => {{ {body} }})(...args).then(
                 (value) => done({{ value }}), (error) => done({{ error: String(error) }}));"
        );
        let answer = self
            .web()
            .execute_async(script, args.to_vec())
            .await
            .unwrap_or_else(|error| panic!("{body}\n{error}"))
            .json()
            .clone();
        assert_eq!(answer.get("error"), None, "{body}");
        answer.get("value").cloned().unwrap_or(Value::Null)
    }

    /// Waits until the answer is there, and gives it. Where it does not come, says what the page showed instead.
    pub(crate) async fn until<T, F>(&self, what: &str, mut look: impl FnMut() -> F) -> T
    where
        F: Future<Output = Tried<T>>,
    {
        let started = Instant::now();
        loop {
            match look().await {
                Ok(answer) => return answer,
                Err(_) if started.elapsed() < PATIENCE => tokio::time::sleep(GLANCE).await,
                Err(last) => {
                    let seen = self.testify().await;
                    panic!("waited in vain until {what}: {}\n{seen}", in_short(&last));
                }
            }
        }
    }

    /// What the page shows and has said, in words and as a picture.
    async fn testify(&self) -> String {
        const PAGE: &str =
            "return location.href + '\\n' + document.body.innerText.replace(/\\n+/g, ' | ')
             + '\\nheard: ' + (window.heard ?? []).join('\\n')";
        let page = match self.try_run(PAGE, &[]).await {
            Ok(page) => page.as_str().unwrap_or_default().to_owned(),
            Err(error) => in_short(&error),
        };
        let test = std::thread::current()
            .name()
            .unwrap_or("test")
            .replace("::", "-");
        let picture = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("{test}.png"));
        match self.web().screenshot(&picture).await {
            Ok(()) => format!("{page}\nseen: {}", picture.display()),
            Err(error) => format!("{page}\nnot seen: {}", in_short(&error.to_string())),
        }
    }

    /// Waits until a script returns something true, and gives it.
    pub(crate) async fn until_true(&self, what: &str, script: &str, args: &[Value]) -> Value {
        self.until(what, || async {
            match self.try_run(script, args).await? {
                Value::Null | Value::Bool(false) => Err("not so".to_owned()),
                answer => Ok(answer),
            }
        })
        .await
    }

    /// What the present page has written to its console as an error, or left uncaught.
    pub(crate) async fn heard(&self) -> Vec<String> {
        let heard = self.run("return window.heard", &[]).await;
        serde_json::from_value(heard).unwrap()
    }

    /// Nothing was written to the console as an error, and nothing left uncaught.
    pub(crate) async fn is_quiet(&self) {
        assert_eq!(self.heard().await, Vec::<String>::new());
    }

    /// What any page of this browser, or a worker, did against its content policy, in the browser's words.
    pub(crate) fn violations(&self) -> Vec<String> {
        let said = std::fs::read(&self.said).unwrap_or_default();
        let said = String::from_utf8_lossy(&said);
        let against = said.lines().filter(|line| {
            line.contains("Content Security Policy") || line.contains("Content-Security-Policy")
        });
        against.map(str::to_owned).collect()
    }

    /// From now on the content policy may be violated without failing the test.
    pub(crate) fn provoke(&self) {
        self.provokes.set(true);
    }

    /// Closes the browser in order.
    pub(crate) async fn close(mut self) {
        if let Some(web) = self.web.take() {
            web.quit().await.unwrap();
        }
    }

    /// Kills the browser at once, as a flat battery would.
    pub(crate) fn lose_power(self) {
        self.profile.kill_browser();
    }
}

impl Drop for Tablet<'_> {
    fn drop(&mut self) {
        if let Some(web) = self.web.take() {
            self.profile.kill_browser();
            // The session is gone with the browser; there is nothing left to quit.
            let _ = web.leak();
        }
        // A test that ends well has violated no content policy either.
        if !std::thread::panicking() && !self.provokes.get() {
            assert_eq!(self.violations(), Vec::<String>::new());
        }
    }
}

/// The first lines of an error: the rest is the driver's own stack.
fn in_short(error: &str) -> String {
    let lines = error.lines().map(str::trim);
    let lines = lines.take_while(|line| !line.starts_with("Stacktrace"));
    lines
        .filter(|line| !line.is_empty())
        .collect::<Vec<_>>()
        .join("; ")
}

fn capabilities(profile: &Profile, downloads: &str, said: &Path) -> Capabilities {
    let mut caps = DesiredCapabilities::chrome();
    caps.set_binary(&chrome().display().to_string()).unwrap();
    for arg in [
        "--headless",
        "--no-sandbox",
        "--disable-gpu",
        "--disable-quic",
        "--no-first-run",
        "--disable-background-networking",
        "--disable-component-update",
        "--disable-sync",
        "--disable-dev-shm-usage",
        "--hide-scrollbars",
        "--enable-logging",
        "--v=0",
        "--window-size=1180,820",
    ] {
        caps.add_arg(arg).unwrap();
    }
    caps.add_arg(&format!("--user-data-dir={}", profile.dir().display()))
        .unwrap();
    caps.add_arg(&format!("--log-file={}", said.display()))
        .unwrap();
    let preferences = json!({
        "download.default_directory": downloads,
        "download.prompt_for_download": false,
        "profile.default_content_setting_values.automatic_downloads": 1,
    });
    caps.add_experimental_option("prefs", preferences).unwrap();
    let mut caps: Capabilities = caps.into();
    // A script may be waiting when the page is left.
    caps.set("unhandledPromptBehavior", "accept").unwrap();
    caps
}
