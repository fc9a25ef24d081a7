//! The folder in which a browser keeps everything; it outlives the browser, as storage outlives a flat battery.

use std::{
    env, fs,
    path::{Path, PathBuf},
    process::Command,
    sync::atomic::{AtomicU32, Ordering},
    time::Instant,
};

use super::{GLANCE, PATIENCE};

/// A fresh folder, removed with its owner.
pub(crate) struct Profile {
    dir: PathBuf,
    mounted: bool,
}

impl Profile {
    /// An empty folder on the disk.
    pub(crate) fn new() -> Profile {
        static NEXT: AtomicU32 = AtomicU32::new(0);
        let dir = env::temp_dir().join(format!(
            "hingeline-{}-{}",
            std::process::id(),
            NEXT.fetch_add(1, Ordering::Relaxed)
        ));
        fs::create_dir_all(&dir).unwrap();
        Profile {
            dir,
            mounted: false,
        }
    }

    /// An empty folder on a disk of its own of so many megabytes; the reason where none may be made.
    pub(crate) fn on_small_disk(megabytes: u32) -> Result<Profile, String> {
        let mut profile = Profile::new();
        let output = Command::new("mount")
            .args([
                "-t",
                "tmpfs",
                "-o",
                &format!("size={megabytes}m"),
                "hingeline",
            ])
            .arg(&profile.dir)
            .output()
            .map_err(|error| format!("`mount` did not start: {error}"))?;
        if !output.status.success() {
            return Err(String::from_utf8_lossy(&output.stderr).trim().to_owned());
        }
        profile.mounted = true;
        Ok(profile)
    }

    /// The folder.
    pub(crate) fn dir(&self) -> &Path {
        &self.dir
    }

    /// The folder for downloads.
    pub(crate) fn downloads(&self) -> PathBuf {
        let dir = self.dir.join("downloads");
        fs::create_dir_all(&dir).unwrap();
        dir
    }

    /// The files with such an ending that were downloaded whole. An empty one only holds the name for what is on its way, which
    /// takes its place at once when all is there.
    pub(crate) fn downloaded(&self, endings: &[&str]) -> Vec<PathBuf> {
        let mut files: Vec<_> = fs::read_dir(self.downloads())
            .unwrap()
            .map(|file| file.unwrap().path())
            .collect();
        files.retain(|file| {
            let ending = file.extension().and_then(|ending| ending.to_str());
            ending.is_some_and(|ending| endings.contains(&ending))
                && fs::metadata(file).is_ok_and(|file| file.len() > 0)
        });
        files
    }

    /// Kills every process of the browser that lives in this folder, at once and without a word to it.
    pub(crate) fn kill_browser(&self) {
        let started = Instant::now();
        loop {
            let all = self.processes();
            if all.is_empty() {
                return;
            }
            // Only numbers found by this folder's name, which no other process carries.
            let _ = Command::new("kill")
                .arg("-KILL")
                .args(&all)
                .stderr(std::process::Stdio::null())
                .status();
            assert!(started.elapsed() < PATIENCE, "{all:?} do not die");
            std::thread::sleep(GLANCE);
        }
    }

    /// The numbers of the living processes that name this folder as theirs.
    fn processes(&self) -> Vec<String> {
        let output = Command::new("ps")
            .args(["-axww", "-o", "pid=,stat=,command="])
            .output()
            .expect("`ps` is on every system the browser is tried on");
        let own = format!("--user-data-dir={}", self.dir.display());
        String::from_utf8_lossy(&output.stdout)
            .lines()
            .filter_map(|line| {
                let mut words = line.split_whitespace();
                let (pid, state) = (words.next()?, words.next()?);
                let is_own = words.any(|word| word == own) && !state.starts_with('Z');
                is_own.then(|| pid.to_owned())
            })
            .collect()
    }
}

impl Drop for Profile {
    fn drop(&mut self) {
        self.kill_browser();
        if self.mounted {
            let _ = Command::new("umount").arg(&self.dir).status();
        }
        // What is left in the folder for temporary things does no harm.
        let _ = fs::remove_dir_all(&self.dir);
    }
}
