//! Every screen at three sizes: nothing that axe-core finds, every target large enough for a glove, nothing cut off.

use std::{env, fs, path::PathBuf};

use serde_json::json;

use crate::bench::{Profile, SIZES, Server, Tablet, seat};

/// A key of the keypad is at least this large, in CSS pixels.
const KEY_PX: f64 = 60.0;

/// Everything else that can be tapped is at least this large, in CSS pixels.
const TARGET_PX: f64 = 48.0;

/// The rules of accessibility, as a script.
pub(crate) fn axe() -> String {
    let path = env::var_os("HINGELINE_AXE").map_or_else(in_the_tools_folder, PathBuf::from);
    fs::read_to_string(&path).unwrap_or_else(|error| {
        panic!("{}: {error}; `cargo run --bin workbench -- tools` fetches it, or name it in HINGELINE_AXE", path.display())
    })
}

fn in_the_tools_folder() -> PathBuf {
    let tools = env::var_os("HINGELINE_TOOLS").map(PathBuf::from);
    let cache = || env::var_os("XDG_CACHE_HOME").map(|dir| PathBuf::from(dir).join("hingeline"));
    let home = || env::var_os("HOME").map(|dir| PathBuf::from(dir).join(".cache/hingeline"));
    tools
        .or_else(cache)
        .or_else(home)
        .expect("a home folder is set")
        .join("axe-core-4.14.1/node_modules/axe-core/axe.min.js")
}

/// What is wrong with the present screen, in words; empty where nothing is.
pub(crate) async fn faults(tablet: &Tablet<'_>, axe: &str) -> Vec<String> {
    let mut faults = Vec::new();
    if tablet.run("return window.axe === undefined", &[]).await == json!(true) {
        tablet.run(axe, &[]).await;
    }
    let found = tablet
        .run_async(
            "const found = await window.axe.run(document, {
                 runOnly: { type: 'tag', values: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'] },
                 rules: { 'target-size': { enabled: true }, 'color-contrast-enhanced': { enabled: true } },
             });
             return found.violations.flatMap((rule) =>
                 rule.nodes.map((node) => `${rule.id}: ${node.target.join(' ')}: ${node.failureSummary.split('\\n').slice(1).join('; ').trim()}`));",
            &[],
        )
        .await;
    faults.extend(serde_json::from_value::<Vec<String>>(found).unwrap());
    let small = tablet
        .run(
            "const [key, target] = arguments;
             const seen = (part) => part.checkVisibility({ visibilityProperty: true, opacityProperty: true });
             const parts = [...document.querySelectorAll('button, a[href], input, select, textarea, summary, [role=button]')];
             return parts.flatMap((part) => {
                 // A field that is drawn as its label is tapped there.
                 const body = part.type === 'file' ? part.closest('label') : part;
                 if (!seen(body)) return [];
                 const { width, height } = body.getBoundingClientRect();
                 const least = part.classList.contains('key') ? key : target;
                 const name = part.dataset.testid ?? part.innerText ?? part.outerHTML.slice(0, 80);
                 return width + 0.01 < least || height + 0.01 < least
                     ? [`${name} is ${width.toFixed(1)} by ${height.toFixed(1)}, less than ${least}`] : [];
             });",
            &[json!(KEY_PX), json!(TARGET_PX)],
        )
        .await;
    faults.extend(serde_json::from_value::<Vec<String>>(small).unwrap());
    let cut = tablet
        .run(
            "const page = document.scrollingElement;
             if (page.scrollWidth > innerWidth) return [`the page is ${page.scrollWidth} wide on a screen of ${innerWidth}`];
             return [...document.querySelectorAll('button')].flatMap((part) => {
                 const { left, right } = part.getBoundingClientRect();
                 const within = part.checkVisibility() === false || (left >= -0.5 && right <= innerWidth + 0.5);
                 return within ? [] : [`${part.dataset.testid ?? part.innerText} reaches from ${left} to ${right}`];
             });",
            &[],
        )
        .await;
    faults.extend(serde_json::from_value::<Vec<String>>(cut).unwrap());
    faults
}

/// Looks at the present screen at the three sizes.
pub(crate) struct Looker {
    axe: String,
    faults: Vec<String>,
    screens: usize,
}

impl Looker {
    /// One that has seen nothing yet.
    pub(crate) fn new(axe: String) -> Looker {
        Looker {
            axe,
            faults: Vec::new(),
            screens: 0,
        }
    }

    /// No screen that it saw has a fault.
    pub(crate) fn is_content(&self) {
        assert!(
            self.faults.is_empty(),
            "{} faults on {} screens:\n{}",
            self.faults.len(),
            self.screens,
            self.faults.join("\n")
        );
    }

    pub(crate) async fn look(&mut self, tablet: &Tablet<'_>, screen: &str) {
        for size in SIZES {
            tablet.size(size).await;
            // Laid out anew: two frames after the size has arrived.
            tablet
                .until_true(
                    "the size has arrived",
                    "return innerWidth === arguments[0]",
                    &[json!(size.0)],
                )
                .await;
            tablet
                .run_async("await new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))", &[])
                .await;
            for fault in faults(tablet, &self.axe).await {
                self.faults
                    .push(format!("{screen} at {}×{}: {fault}", size.0, size.1));
            }
            self.screens += 1;
        }
        tablet.size(SIZES[1]).await;
    }
}

#[tokio::test]
async fn every_screen_at_three_sizes_can_be_read_and_reached() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    let mut looker = Looker::new(axe());
    tablet.size(SIZES[1]).await;
    tablet.go(&server.at("/")).await;
    tablet.see("start-new").await;
    looker.look(&tablet, "start").await;
    tablet.tap("start-was").await;
    tablet.see("open-file").await;
    looker.look(&tablet, "start, there was a book").await;
    tablet.tap("start-new").await;
    tablet.write("start-initials", "QV").await;
    looker.look(&tablet, "start, new here").await;
    tablet.tap("start-go").await;
    tablet.see("new-station").await;
    looker.look(&tablet, "outcrop without a station").await;
    tablet.tap("new-station").await;
    tablet.see("measure").await;
    looker.look(&tablet, "a new station").await;
    for fact in ["fact-position", "fact-name", "station-note"] {
        tablet.tap(fact).await;
        looker.look(&tablet, &format!("station, {fact}")).await;
        tablet.tap(fact).await;
    }
    tablet.tap("new-sighting").await;
    tablet.see("key-point").await;
    looker.look(&tablet, "sighting, empty").await;
    tablet.tap("to-other").await;
    tablet.write("point-name", "High Crag").await;
    looker.look(&tablet, "sighting, its target").await;
    tablet.tap("targets-done").await;
    tablet.tap_digits("12307").await;
    looker.look(&tablet, "sighting, up or down").await;
    tablet.tap("side-first").await;
    tablet.tap_digits("120").await;
    tablet.tap("key-next").await;
    tablet.kept().await;
    looker.look(&tablet, "sighting, kept").await;
    tablet.tap("sighting-words").await;
    looker.look(&tablet, "sighting, its note").await;
    tablet.tap("sighting-words-done").await;
    tablet.tap("sighting-done").await;
    tablet.see("sighting-1-1").await;
    looker.look(&tablet, "station with a sighting").await;
    let picture = concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/tests/data/screens/station.png"
    );
    tablet.give("photo", picture).await;
    tablet.see("photo-1-1").await;
    looker.look(&tablet, "station with a photo").await;
    tablet.tap("photo-1-1").await;
    tablet.see("picture").await;
    looker.look(&tablet, "a photo").await;
    tablet.tap("photo-strike").await;
    tablet.see("photo-struck").await;
    looker.look(&tablet, "a photo, struck out").await;
    tablet.tap("photo-station").await;
    tablet
        .give("photo", concat!(env!("CARGO_MANIFEST_DIR"), "/Cargo.toml"))
        .await;
    tablet.see("photo-unkept").await;
    looker
        .look(&tablet, "station, a photo that was not made")
        .await;
    tablet.tap("photo-leave").await;
    tablet.tap("measure").await;
    tablet.see("key-0").await;
    looker.look(&tablet, "outcrop, empty").await;
    tablet.tap_digits("045").await;
    looker.look(&tablet, "outcrop, in mid entry").await;
    tablet.tap_digits("30").await;
    looker.look(&tablet, "outcrop, waiting for the side").await;
    tablet.tap_side("SE").await;
    tablet.kept().await;
    looker.look(&tablet, "outcrop, kept").await;
    tablet.tap("kind-more").await;
    looker.look(&tablet, "outcrop, all kinds").await;
    tablet.tap("kind-more").await;
    tablet.tap("words").await;
    looker.look(&tablet, "outcrop, note and tops").await;
    tablet.tap("stood").await;
    tablet.tap("swing-left").await;
    looker.look(&tablet, "outcrop, how it stood").await;
    tablet.tap("stood-done").await;
    tablet.tap("next-reading").await;
    tablet.tap_digits("04595").await;
    tablet.tap_side("SE").await;
    tablet.see("choice-0").await;
    looker.look(&tablet, "outcrop, a doubt").await;
    tablet.tap("kind-fault---line").await;
    tablet.tap_digits("04530").await;
    tablet.tap_side("SE").await;
    looker.look(&tablet, "outcrop, a plane with a line").await;
    tablet.place("camp").await;
    looker.look(&tablet, "camp").await;
    tablet.tap("set-up-change").await;
    tablet.see("set-up-page").await;
    looker.look(&tablet, "camp, the set-up").await;
    tablet.tap("needle-sd").await;
    looker.look(&tablet, "camp, the set-up, a number").await;
    own_scales(&tablet, &mut looker).await;
    tablet.tap("set-up-wrong").await;
    tablet.see("wrong-page").await;
    looker.look(&tablet, "camp, set wrongly").await;
    tablet.tap("set-up-back").await;
    tablet.tap("set-up-declination").await;
    tablet.see("declination-page").await;
    looker
        .look(&tablet, "camp, the declination, not known")
        .await;
    tablet.tap("declination").await;
    tablet.tap("declination-key-8").await;
    looker.look(&tablet, "camp, the declination, typed").await;
    tablet.tap("declination-keep").await;
    tablet.place("camp").await;
    tablet.tap("set-up-new").await;
    tablet.see("set-up-use").await;
    looker.look(&tablet, "camp, a new set-up").await;
    tablet.place("camp").await;
    tablet.tap("camp-demo").await;
    tablet.shows("day-doubts", "data-complete", "true").await;
    looker.look(&tablet, "demo, the last day").await;
    tablet.tap("station-row-9").await;
    tablet.tap("reading-row-9-4").await;
    tablet.shows("doubt-9-4", "data-chosen", "true").await;
    looker.look(&tablet, "demo, a reading of the day").await;
    tablet.tap("net-open").await;
    tablet.tap("net-show").await;
    tablet.tap("net-kind-bedding").await;
    tablet.tap("net-back").await;
    tablet.see("narrowed").await;
    looker
        .look(&tablet, "demo, a day narrowed to bedding")
        .await;
    tablet.tap("show-all").await;
    tablet.tap("all-days").await;
    tablet.see("station-row-1").await;
    looker.look(&tablet, "demo, all days").await;
    tablet.go(&server.at("/station/1")).await;
    tablet.see("line-1-1").await;
    looker.look(&tablet, "demo, station").await;
    tablet.tap("measure").await;
    tablet.see("key-0").await;
    looker.look(&tablet, "demo, outcrop").await;
    tablet.place("camp").await;
    tablet.tap("hand-over").await;
    tablet.see("hand-over-make").await;
    looker.look(&tablet, "demo, hand over").await;
    tablet.tap("which-days").await;
    looker.look(&tablet, "demo, hand over, by day").await;
    tablet.tap("which-stations").await;
    tablet.see("over-key-1").await;
    looker.look(&tablet, "demo, hand over, by number").await;
    tablet.place("camp").await;
    a_table(&tablet, &profile, &mut looker, "").await;
    for light in ["lamp", "overcast"] {
        tablet.place("camp").await;
        tablet.tap(&format!("light-{light}")).await;
        looker.look(&tablet, &format!("demo, camp, {light}")).await;
        tablet.tap("hand-over").await;
        tablet.see("hand-over-make").await;
        looker
            .look(&tablet, &format!("demo, hand over, {light}"))
            .await;
        tablet.place("camp").await;
        a_table(&tablet, &profile, &mut looker, &format!(", {light}")).await;
        tablet.place("camp").await;
        tablet.tap("set-up-change").await;
        tablet.see("set-up-page").await;
        tablet.tap("kind-own").await;
        tablet.see("dip-zero").await;
        looker
            .look(&tablet, &format!("camp, own scales, {light}"))
            .await;
        tablet.place("outcrop").await;
        looker
            .look(&tablet, &format!("demo, outcrop, {light}"))
            .await;
        tablet.place("traverse").await;
        tablet.see("station-row-9").await;
        looker
            .look(&tablet, &format!("demo, the last day, {light}"))
            .await;
        tablet.tap("reckon-open").await;
        tablet.see("reckon-lacks").await;
        looker
            .look(&tablet, &format!("demo, reckoning, {light}"))
            .await;
    }
    tablet.go(&server.at("/nowhere")).await;
    tablet.see("place-outcrop").await;
    looker.look(&tablet, "no such page").await;
    tablet.go(&server.at("/panic")).await;
    tablet.see("way-out").await;
    looker.look(&tablet, "a page that stopped").await;

    assert!(looker.screens >= 60, "{} screens", looker.screens);
    looker.is_content();
}

/// The scales of an instrument of one's own, on the page of the set-up: as they are by default, one that is being set, and one
/// that cannot be.
async fn own_scales(tablet: &Tablet<'_>, looker: &mut Looker) {
    tablet.tap("kind-own").await;
    tablet.see("dip-zero").await;
    looker.look(tablet, "camp, own scales").await;
    tablet.tap("dip-zero").await;
    tablet.see("scale-editor").await;
    tablet.tap("scale-back").await;
    tablet.tap("scale-key-9").await;
    tablet.tap("scale-key-0").await;
    looker.look(tablet, "camp, own scales, a number").await;
    tablet.tap("scale-keep").await;
    tablet.see("dip-wrong").await;
    looker.look(tablet, "camp, own scales, a wrong range").await;
    tablet.tap("dip-mend-0").await;
    tablet.miss("dip-wrong").await;
}

/// A table from elsewhere: its columns, what one can be, and its doubts. Nothing of it is taken.
async fn a_table(tablet: &Tablet<'_>, profile: &Profile, looker: &mut Looker, light: &str) {
    let path = profile.downloads().join("outcrops.csv");
    fs::write(
        &path,
        "station,strike,dip,toward,colour\n91,045,95,135,grey\n92,361,30,SE,\n92,052,massive,SE,red\n",
    )
    .unwrap();
    tablet.give("open-table", &path).await;
    tablet.see("bring-row-2").await;
    looker.look(tablet, &format!("a table{light}")).await;
    tablet.tap("column-what-5").await;
    tablet.see("what-lithology").await;
    looker
        .look(tablet, &format!("a table, what a column can be{light}"))
        .await;
    tablet.tap("what-lithology").await;
    tablet.tap("bring-open-4").await;
    looker
        .look(tablet, &format!("a table, a row with its doubt{light}"))
        .await;
    tablet.tap("bring-leave").await;
    tablet.see("bring-nothing").await;
}

/// With a keyboard alone: every plate of a page can be reached by Tab, and shows that it is.
/// What of the present screen's bars, keys and sentences is larger than its own room.
const CUT: &str = "
    const parts = document.querySelectorAll('.head .plate, .head .state, .kinds .plate, .north, .sentence p, .key, .count, .day h1, .foot .plate');
    return [...parts].flatMap((part) => {
        if (!part.checkVisibility()) return [];
        const [wide, high] = [part.scrollWidth - part.clientWidth, part.scrollHeight - part.clientHeight];
        const { left, right } = part.getBoundingClientRect();
        const whole = wide <= 1 && high <= 2 && -0.5 <= left && right <= innerWidth + 0.5;
        return whole || part.matches('label, .undo') ? [] : [`${part.dataset.testid ?? part.className}: ${wide} wider, ${high} higher: ${part.innerText}`];
    });";

/// A person who asks the browser for letters a quarter larger gets them, and nothing is cut off or too small to touch.
#[tokio::test]
async fn with_letters_a_quarter_larger_nothing_is_cut_off() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    tablet.size(SIZES[1]).await;
    tablet.go(&server.at("/")).await;
    tablet.tap("start-demo").await;
    tablet.see("station-row-8").await;
    // As the browser's own setting does.
    tablet
        .run("document.documentElement.style.fontSize = '20px'", &[])
        .await;
    let mut looker = Looker::new(axe());
    let mut cut: Vec<String> = Vec::new();
    let mut look = async |screen: &str| {
        looker.look(&tablet, screen).await;
        for size in SIZES {
            tablet.size(size).await;
            let letters = tablet
                .run("return getComputedStyle(document.body).fontSize", &[])
                .await;
            let wanted = if size.0 < 700 { "20px" } else { "22.5px" };
            assert_eq!(letters, json!(wanted), "{screen} at {size:?}");
            let found = tablet.run(CUT, &[]).await;
            let found: Vec<String> = serde_json::from_value(found).unwrap();
            cut.extend(
                found
                    .into_iter()
                    .map(|what| format!("{screen} at {size:?}: {what}")),
            );
        }
        tablet.size(SIZES[1]).await;
    };
    look("a day").await;
    tablet.place("outcrop").await;
    tablet.tap("kind-bedding").await;
    look("an empty reading").await;
    tablet.tap_digits("06236").await;
    tablet.tap("side-second").await;
    tablet.tap_digits("0603806435").await;
    tablet.kept().await;
    tablet.tap("shot-2").await;
    look("a shot touched").await;
    tablet.tap("kind-fault---line").await;
    tablet.tap_digits("06236").await;
    tablet.tap("side-second").await;
    tablet.tap_digits("09919035").await;
    tablet.kept().await;
    look("five dials").await;
    assert!(cut.is_empty(), "{}", cut.join("\n"));
    looker.is_content();
    tablet.is_quiet().await;
}

#[tokio::test]
async fn every_plate_can_be_reached_with_tab_and_shows_it() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    tablet.begin(&server).await;
    for path in ["/outcrop", "/station/1", "/camp", "/camp/hand-over"] {
        tablet.go(&server.at(path)).await;
        tablet.kept().await;
        let all = tablet
            .run(
                "return [...document.querySelectorAll('button:not(:disabled), input, textarea')]
                     .filter((part) => part.checkVisibility()).length",
                &[],
            )
            .await
            .as_u64()
            .unwrap();
        tablet
            .run(
                "document.activeElement?.blur(); window.reached = new Set()",
                &[],
            )
            .await;
        // A plate may come while the page is walked through, with the rolling copy or a photo: what counts is that none is left out.
        let mut left_out = json!([]);
        for _ in 0..3 * all + 10 {
            tablet.press_key(thirtyfour::Key::Tab, false).await;
            left_out = tablet
                .run(
                    "const part = document.activeElement;
                     if (part !== document.body) {
                         const look = getComputedStyle(part);
                         const label = part.closest('label') ? getComputedStyle(part.closest('label')) : look;
                         const shown = [look, label].some((style) =>
                             (style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) >= 2) || style.boxShadow !== 'none');
                         window.reached.add(part);
                         if (!shown) window.heard.push(`no focus to be seen: ${part.outerHTML.slice(0, 120)}`);
                     }
                     return [...document.querySelectorAll('button:not(:disabled), input, textarea')]
                         .filter((part) => part.checkVisibility() && !window.reached.has(part))
                         .map((part) => part.outerHTML.slice(0, 120))",
                    &[],
                )
                .await;
            if left_out == json!([]) {
                break;
            }
        }
        assert_eq!(left_out, json!([]), "{path}");
        tablet.is_quiet().await;
    }
}

/// The pictures of the demo book, made anew only where they are asked for.
#[tokio::test]
async fn the_demo_book_as_it_looks() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    tablet.size(SIZES[1]).await;
    tablet.go(&server.at("/")).await;
    tablet.tap("start-demo").await;
    tablet.shows("day-doubts", "data-complete", "true").await;
    picture(&tablet, "traverse", SIZES[0]).await;
    picture(&tablet, "traverse-lying", SIZES[1]).await;
    picture(&tablet, "traverse-phone", SIZES[2]).await;
    tablet.go(&server.at("/station/1")).await;
    tablet.see("line-1-1").await;
    picture(&tablet, "station", SIZES[1]).await;
    tablet.tap("line-1-1").await;
    tablet.see("key-0").await;
    tablet.shows("dial-strike", "data-state", "kept").await;
    picture(&tablet, "outcrop", SIZES[0]).await;
    picture(&tablet, "outcrop-lying", SIZES[1]).await;
    picture(&tablet, "outcrop-phone", SIZES[2]).await;
    tablet.place("camp").await;
    picture(&tablet, "camp", SIZES[1]).await;
}

async fn picture(tablet: &Tablet<'_>, name: &str, size: (u32, u32)) {
    tablet.size(size).await;
    tablet
        .run_async(
            "await document.fonts.ready;
             await new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))",
            &[],
        )
        .await;
    let png = tablet.web().screenshot_as_png().await.unwrap();
    assert!(png.len() > 10_000, "{name}: {} bytes", png.len());
    if env::var_os("HINGELINE_SCREENS").is_some() {
        let dir = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/data/screens");
        fs::create_dir_all(&dir).unwrap();
        fs::write(dir.join(format!("{name}.png")), png).unwrap();
    }
}

/// Alt with the letter of a place turns to it, from every page; without Alt the letter is typed.
#[tokio::test]
async fn alt_and_a_letter_turn_to_a_place_from_every_page() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    tablet.begin(&server).await;
    for (letter, place) in [
        ('c', "/camp"),
        ('t', "/traverse"),
        ('o', "/outcrop"),
        ('t', "/traverse"),
        ('c', "/camp"),
        ('o', "/outcrop"),
    ] {
        let keys = tablet.web().action_chain();
        let keys = keys
            .key_down(thirtyfour::Key::Alt)
            .key_down(letter)
            .key_up(letter)
            .key_up(thirtyfour::Key::Alt);
        keys.perform().await.unwrap();
        tablet
            .until_true(
                "the place is there",
                "return location.pathname.endsWith(arguments[0])",
                &[json!(place)],
            )
            .await;
    }
    tablet.press("tc").await;
    tablet.press("0").await;
    tablet.shows("dial-strike", "data-here", "true").await;
    assert!(
        tablet
            .run("return location.pathname", &[])
            .await
            .as_str()
            .unwrap()
            .ends_with("/outcrop")
    );
    tablet.is_quiet().await;
}
