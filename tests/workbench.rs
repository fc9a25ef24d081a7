//! The developer's command as it is run: the static server over a real connection, help, and misuse.
#![cfg(not(target_arch = "wasm32"))]
#![allow(
    clippy::unwrap_used,
    reason = "the whole file is tests and what they share"
)]

use std::{
    fs,
    io::{BufRead, BufReader, Read, Write},
    net::TcpStream,
    path::{Path, PathBuf},
    process::{Child, Command, Stdio},
};

const WORKBENCH: &str = env!("CARGO_BIN_EXE_workbench");

/// A server of its own for one test, ended with it.
struct Host {
    child: Child,
    address: String,
}

impl Host {
    fn start(dir: &Path) -> Self {
        let mut child = Command::new(WORKBENCH)
            .args(["host", "--port", "0"])
            .arg(dir)
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let mut line = String::new();
        BufReader::new(child.stdout.take().unwrap())
            .read_line(&mut line)
            .unwrap();
        let address = line
            .trim()
            .strip_prefix("http://")
            .and_then(|rest| rest.strip_suffix('/'));
        let address = address
            .unwrap_or_else(|| panic!("the first line is no address: {line:?}"))
            .to_owned();
        Self { child, address }
    }

    /// Sends a request exactly as written and gives the status, the head and the body of the answer.
    fn ask(&self, method: &str, path: &str, accept: &str) -> (u16, String, String) {
        let mut stream = TcpStream::connect(&self.address).unwrap();
        let request = format!(
            "{method} {path} HTTP/1.1\r\nHost: {}\r\nAccept: {accept}\r\nConnection: close\r\n\r\n",
            self.address
        );
        stream.write_all(request.as_bytes()).unwrap();
        let mut answer = Vec::new();
        stream.read_to_end(&mut answer).unwrap();
        let answer = String::from_utf8_lossy(&answer).into_owned();
        let (head, body) = answer.split_once("\r\n\r\n").unwrap();
        let status = head.split(' ').nth(1).unwrap().parse().unwrap();
        (status, head.to_ascii_lowercase(), body.to_owned())
    }

    fn status(&self, path: &str) -> u16 {
        self.ask("GET", path, "*/*").0
    }
}

impl Drop for Host {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// A folder for one test, beside a file that must never be served.
fn folder(name: &str) -> PathBuf {
    let outer = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = fs::remove_dir_all(&outer);
    let dir = outer.join("dist");
    fs::create_dir_all(dir.join("fonts")).unwrap();
    fs::write(outer.join("secret"), "not for the web").unwrap();
    fs::write(dir.join("index.html"), "<!DOCTYPE html><title>book</title>").unwrap();
    fs::write(dir.join("app.js"), "start()").unwrap();
    fs::write(dir.join("app_bg.wasm"), "\0asm").unwrap();
    fs::write(dir.join("hingeline.webmanifest"), "{}").unwrap();
    fs::write(dir.join("fonts/plain.woff2"), "wOF2").unwrap();
    dir
}

#[test]
fn files_are_served_with_their_media_types_and_asked_for_again_each_time() {
    let host = Host::start(&folder("media-types"));
    for (path, kind) in [
        ("/", "text/html; charset=utf-8"),
        ("/app.js", "text/javascript; charset=utf-8"),
        ("/app_bg.wasm", "application/wasm"),
        (
            "/hingeline.webmanifest",
            "application/manifest+json; charset=utf-8",
        ),
        ("/fonts/plain.woff2?v=1", "font/woff2"),
    ] {
        let (status, head, _) = host.ask("GET", path, "*/*");
        assert_eq!(status, 200, "{path}");
        assert!(
            head.contains(&format!("\r\ncontent-type: {kind}\r\n")),
            "{path}: {head}"
        );
        assert!(
            head.contains("\r\ncache-control: no-cache\r\n"),
            "{path}: {head}"
        );
    }
    assert_eq!(host.ask("GET", "/app.js", "*/*").2, "start()");
}

#[test]
fn a_page_at_a_deep_link_is_the_app_and_a_missing_file_is_not() {
    let host = Host::start(&folder("deep-links"));
    let (status, _, body) = host.ask("GET", "/traverse/47", "text/html,*/*");
    assert_eq!(status, 200);
    assert!(body.contains("<title>book</title>"));
    assert_eq!(host.ask("GET", "/missing.js", "text/html,*/*").0, 404);
    assert_eq!(
        host.status("/traverse/47"),
        404,
        "a script asking for data is no page"
    );
    assert_eq!(host.status("/fonts/"), 404, "folders are not listed");
}

#[test]
fn nothing_outside_the_folder_is_served() {
    let dir = folder("outside");
    #[cfg(unix)]
    std::os::unix::fs::symlink(
        dir.parent().unwrap().join("secret"),
        dir.join("way-out.txt"),
    )
    .unwrap();
    let host = Host::start(&dir);
    for path in [
        "/../secret",
        "/fonts/../../secret",
        "/%2e%2e/secret",
        "/..%2fsecret",
        "/way-out.txt",
    ] {
        let (status, _, body) = host.ask("GET", path, "*/*");
        assert_eq!(status, 404, "{path}");
        assert!(!body.contains("not for the web"), "{path}");
    }
}

#[test]
fn only_reading_is_answered() {
    let host = Host::start(&folder("methods"));
    assert_eq!(host.ask("POST", "/", "*/*").0, 405);
    let (status, _, body) = host.ask("HEAD", "/app.js", "*/*");
    assert_eq!((status, body.as_str()), (200, ""));
}

#[test]
fn the_server_comes_back_on_the_same_port_after_it_was_killed() {
    let dir = folder("again");
    let first = Host::start(&dir);
    assert_eq!(first.status("/app.js"), 200);
    let port = first.address.rsplit(':').next().unwrap().to_owned();
    drop(first);
    let mut child = Command::new(WORKBENCH)
        .args(["host", "--port", &port])
        .arg(&dir)
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    let mut line = String::new();
    BufReader::new(child.stdout.take().unwrap())
        .read_line(&mut line)
        .unwrap();
    let again = Host {
        child,
        address: format!("127.0.0.1:{port}"),
    };
    assert_eq!(line, format!("http://127.0.0.1:{port}/\n"));
    assert_eq!(again.status("/app.js"), 200);
}

#[test]
fn a_port_in_use_and_a_folder_that_is_none_are_said_in_words() {
    let dir = folder("words");
    let host = Host::start(&dir);
    let port = host.address.rsplit(':').next().unwrap();
    let taken = Command::new(WORKBENCH)
        .args(["host", "--port", port])
        .arg(&dir)
        .output()
        .unwrap();
    assert_eq!(taken.status.code(), Some(1));
    let words = String::from_utf8_lossy(&taken.stderr).into_owned();
    assert!(
        words.contains(&format!("port {port}")) && words.contains("--port 0"),
        "{words}"
    );

    let none = Command::new(WORKBENCH)
        .args(["host", "--port", "0"])
        .arg(dir.join("nowhere"))
        .output()
        .unwrap();
    assert_eq!(none.status.code(), Some(1));
    assert!(String::from_utf8_lossy(&none.stderr).contains("nowhere"));
}

#[test]
fn help_names_every_command_and_misuse_is_told_from_failure() {
    let help = Command::new(WORKBENCH).arg("--help").output().unwrap();
    assert!(help.status.success());
    let help = String::from_utf8_lossy(&help.stdout).into_owned();
    for word in [
        "serve",
        "verify",
        "weigh",
        "build",
        "host",
        "precache",
        "tools",
        "fuzz",
        "HINGELINE_TOOLS",
    ] {
        assert!(help.contains(word), "help lacks {word}");
    }
    assert_eq!(
        Command::new(WORKBENCH)
            .arg("polish")
            .output()
            .unwrap()
            .status
            .code(),
        Some(2)
    );
}

#[test]
fn the_same_seed_lets_the_same_camps_meet() {
    let meet = |seed: &str| {
        let run = Command::new(WORKBENCH)
            .args(["camp-trial", "--rounds", "2", "--seed", seed])
            .output()
            .unwrap();
        let said = String::from_utf8_lossy(&run.stdout).into_owned();
        assert!(run.status.success(), "{said}");
        assert!(said.contains("all came together"), "{said}");
        said
    };
    let once = meet("3");
    assert_eq!(once, meet("3"));
    assert_ne!(once, meet("4"));
    assert!(once.starts_with("2 camps from seed 3: "), "{once}");
}
