//! The programs a test starts: the static server and the driver of the browser. Each ends with its owner.

use std::{
    env,
    io::{BufRead, BufReader},
    path::{Path, PathBuf},
    process::{Child, ChildStdout, Command, Stdio},
};

/// A program that is killed when its owner goes.
struct Kept {
    child: Child,
    // Held open, so that the program never writes into a closed pipe.
    _output: BufReader<ChildStdout>,
}

impl Drop for Kept {
    fn drop(&mut self) {
        // It may have ended by itself.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// Starts a program and reads its output up to the first line that `find` recognises; `None` if it ends before.
fn try_start<T>(command: &mut Command, find: impl Fn(&str) -> Option<T>) -> Option<(Kept, T)> {
    let mut child = command
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap_or_else(|error| panic!("{command:?} did not start: {error}"));
    let mut output = BufReader::new(child.stdout.take().unwrap());
    let mut line = String::new();
    let found = loop {
        line.clear();
        let read = output.read_line(&mut line).unwrap();
        if read == 0 {
            // Nothing is left running behind a start that came to nothing.
            let _ = child.kill();
            let _ = child.wait();
            return None;
        }
        if let Some(found) = find(line.trim()) {
            break found;
        }
    };
    let kept = Kept {
        child,
        _output: output,
    };
    Some((kept, found))
}

/// Starts a program that must say where it listens.
fn start<T>(mut command: Command, find: impl Fn(&str) -> Option<T>) -> (Kept, T) {
    try_start(&mut command, find)
        .unwrap_or_else(|| panic!("{command:?} ended before it said where it listens"))
}

/// The build under test.
pub(crate) fn dist() -> PathBuf {
    let dist = env::var_os("HINGELINE_DIST").map_or_else(
        || Path::new(env!("CARGO_MANIFEST_DIR")).join("dist"),
        PathBuf::from,
    );
    assert!(
        dist.join("index.html").is_file(),
        "there is no build in `{}`; make one with `cargo run --bin workbench -- build`, or name one in HINGELINE_DIST",
        dist.display()
    );
    dist
}

/// The static server of a build.
pub(crate) struct Server {
    dir: PathBuf,
    port: u16,
    running: Option<Kept>,
}

impl Server {
    /// Serves the build under test on a free port.
    pub(crate) fn start() -> Server {
        Server::of(&dist())
    }

    /// Serves a folder on a free port.
    pub(crate) fn of(dir: &Path) -> Server {
        let mut server = Server {
            dir: dir.to_path_buf(),
            port: 0,
            running: None,
        };
        server.resume();
        server
    }

    /// Stops serving; the port stays this server's own.
    pub(crate) fn stop(&mut self) {
        self.running = None;
    }

    /// Serves again, at the same address.
    pub(crate) fn resume(&mut self) {
        let mut command = Command::new(env!("CARGO_BIN_EXE_workbench"));
        command
            .arg("host")
            .arg(&self.dir)
            .args(["--port", &self.port.to_string()]);
        let (running, port) = start(command, |line| {
            let rest = line.strip_prefix("http://127.0.0.1:")?;
            rest.trim_end_matches('/').parse().ok()
        });
        self.running = Some(running);
        self.port = port;
    }

    /// Serves another folder at the same address.
    pub(crate) fn turn_to(&mut self, dir: &Path) {
        self.stop();
        self.dir = dir.to_path_buf();
        self.resume();
    }

    /// The address of a path.
    pub(crate) fn at(&self, path: &str) -> String {
        format!("http://127.0.0.1:{}{path}", self.port)
    }
}

/// The driver of the browser.
pub(crate) struct Driver {
    port: u16,
    _running: Kept,
}

impl Driver {
    /// Starts a driver on a port that the system chooses, in the time zone given.
    pub(crate) fn start(time_zone: Option<&str>) -> Driver {
        let program = env::var_os("CHROMEDRIVER").unwrap_or_else(|| "chromedriver".into());
        let mut command = Command::new(program);
        command.arg("--port=0");
        if let Some(zone) = time_zone {
            command.env("TZ", zone);
        }
        // It takes a free port of IPv4 and then wants the same number for IPv6; where another program has that it ends, and
        // the next start takes another number.
        let (running, port) = (0..10)
            .find_map(|_| {
                try_start(&mut command, |line| {
                    let (_, port) = line.split_once("started successfully on port ")?;
                    port.trim_end_matches('.').parse().ok()
                })
            })
            .unwrap_or_else(|| panic!("{command:?} ended before it said where it listens"));
        Driver {
            port,
            _running: running,
        }
    }

    /// Where it listens.
    pub(crate) fn address(&self) -> String {
        format!("http://127.0.0.1:{}", self.port)
    }
}

/// The browser's program.
pub(crate) fn chrome() -> PathBuf {
    if let Some(named) = env::var_os("CHROME") {
        return named.into();
    }
    let path = env::var_os("PATH").unwrap_or_default();
    env::split_paths(&path)
        .flat_map(|dir| {
            [
                "chromium",
                "chromium-browser",
                "google-chrome-stable",
                "google-chrome",
            ]
            .map(|name| dir.join(name))
        })
        .find(|program| program.is_file())
        .expect("there is no Chromium on the path; name one in CHROME")
}
