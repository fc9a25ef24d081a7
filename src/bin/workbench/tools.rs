//! The pinned build tools, in a cache folder of their own and never among the person's own programs.

use std::{
    env, fs,
    path::{Path, PathBuf},
    process::Command,
    time::Instant,
};

use super::{on_path, root, run};

/// A build tool: which registry it comes from, which version, and the program by which a complete one is known.
struct Tool {
    name: &'static str,
    version: &'static str,
    source: Source,
    program: &'static str,
    first_time: &'static str,
}

enum Source {
    Cargo,
    Npm,
}

/// Puts the app together.
const TRUNK: Tool = Tool {
    name: "trunk",
    version: "0.21.14",
    source: Source::Cargo,
    program: "bin/trunk",
    first_time: "about 5 minutes on two processors",
};

/// Makes the glue between WebAssembly and the page; its version is the one of the crate in Cargo.toml.
const WASM_BINDGEN: Tool = Tool {
    name: "wasm-bindgen-cli",
    version: "0.2.129",
    source: Source::Cargo,
    program: "bin/wasm-bindgen",
    first_time: "about 2 minutes on two processors",
};

/// Makes the WebAssembly smaller.
const BINARYEN: Tool = Tool {
    name: "binaryen",
    version: "132.0.0",
    source: Source::Npm,
    program: "node_modules/.bin/wasm-opt",
    first_time: "some seconds",
};

/// The rules of accessibility that the browser tests hold the pages to.
const AXE: Tool = Tool {
    name: "axe-core",
    version: "4.14.1",
    source: Source::Npm,
    program: "node_modules/axe-core/axe.min.js",
    first_time: "some seconds",
};

/// A general-purpose projection of the sphere, beside which `bench` times ours.
const D3_GEO: Tool = Tool {
    name: "d3-geo",
    version: "3.1.2",
    source: Source::Npm,
    program: "node_modules/d3-geo/dist/d3-geo.mjs",
    first_time: "some seconds",
};

/// A well-known wrapper of IndexedDB, for `workbench bench` to hold ours against.
const IDB: Tool = Tool {
    name: "idb",
    version: "8.0.4",
    source: Source::Npm,
    program: "node_modules/idb/build/umd.js",
    first_time: "some seconds",
};

const TARGET: &str = "wasm32-unknown-unknown";

/// Installs whatever is missing and says where it all is.
pub(super) fn install() -> Result<(), String> {
    for dir in for_build()? {
        println!("{}", dir.display());
    }
    println!("{}", axe()?.display());
    Ok(())
}

/// Makes sure of the wasm target and the tools of a build; gives the folders that go first on PATH.
pub(super) fn for_build() -> Result<Vec<PathBuf>, String> {
    add_target()?;
    [TRUNK, WASM_BINDGEN, BINARYEN]
        .iter()
        .map(|tool| {
            let mut program = ensure(tool)?;
            program.pop();
            Ok(program)
        })
        .collect()
}

/// Makes sure of axe-core; gives the script that a page is checked with.
pub(super) fn axe() -> Result<PathBuf, String> {
    ensure(&AXE)
}

/// Makes sure of d3-geo; gives its module. Only `bench` asks for it.
pub(super) fn d3_geo() -> Result<PathBuf, String> {
    ensure(&D3_GEO)
}

/// Makes sure of idb; gives the script that defines it.
pub(super) fn idb() -> Result<PathBuf, String> {
    ensure(&IDB)
}

/// The folder of the tools: `$HINGELINE_TOOLS`, or `hingeline` in the system's cache folder.
fn folder() -> Result<PathBuf, String> {
    let set = |name: &str| {
        env::var_os(name)
            .filter(|value| !value.is_empty())
            .map(PathBuf::from)
    };
    if let Some(dir) = set("HINGELINE_TOOLS") {
        return std::path::absolute(&dir)
            .map_err(|e| format!("HINGELINE_TOOLS is `{}`: {e}", dir.display()));
    }
    if let Some(dir) = set("XDG_CACHE_HOME").filter(|dir| dir.is_absolute()) {
        return Ok(dir.join("hingeline"));
    }
    let home = env::home_dir()
        .ok_or("there is no home folder; say where the tools go with HINGELINE_TOOLS")?;
    let cache = if cfg!(target_os = "macos") {
        "Library/Caches"
    } else {
        ".cache"
    };
    Ok(home.join(cache).join("hingeline"))
}

/// Gives the tool's program, after installing the tool where it is missing.
fn ensure(tool: &Tool) -> Result<PathBuf, String> {
    let folder = folder()?;
    let home = folder.join(format!("{}-{}", tool.name, tool.version));
    let program = home.join(tool.program);
    if program.exists() {
        return Ok(program);
    }
    eprintln!(
        "{} {}: installing into {}",
        tool.name,
        tool.version,
        home.display()
    );
    eprintln!("  the first time only; {}", tool.first_time);
    let start = Instant::now();
    // Made beside its place and moved there when complete: an interrupted installation never counts.
    let unfinished = folder.join(format!(
        ".{}-{}.{}",
        tool.name,
        tool.version,
        std::process::id()
    ));
    let wrong = |what: &str, path: &Path, e: std::io::Error| {
        format!(
            "cannot {what} {}: {e}; HINGELINE_TOOLS moves the tools elsewhere",
            path.display()
        )
    };
    fs::create_dir_all(&unfinished).map_err(|e| wrong("make", &unfinished, e))?;
    let installed = match tool.source {
        Source::Cargo => by_cargo(tool, &unfinished),
        Source::Npm => by_npm(tool, &unfinished),
    };
    let complete = installed.and_then(|()| {
        if unfinished.join(tool.program).exists() {
            Ok(())
        } else {
            Err(format!(
                "{} {} was installed without its `{}`",
                tool.name, tool.version, tool.program
            ))
        }
    });
    if let Err(error) = complete {
        let _ = fs::remove_dir_all(&unfinished);
        return Err(error);
    }
    if home.exists() && !program.exists() {
        fs::remove_dir_all(&home).map_err(|e| wrong("clear", &home, e))?;
    }
    if let Err(error) = fs::rename(&unfinished, &home) {
        let _ = fs::remove_dir_all(&unfinished);
        // Another workbench may have been quicker.
        if !program.exists() {
            return Err(wrong("move the finished tool to", &home, error));
        }
    }
    eprintln!("  done in {:.0} s", start.elapsed().as_secs_f64());
    Ok(program)
}

fn by_cargo(tool: &Tool, into: &Path) -> Result<(), String> {
    // Kept when interrupted, so that the next try goes on where this one stopped.
    let work = folder()?.join(format!(".{}-{}.build", tool.name, tool.version));
    let mut command = Command::new("cargo");
    command
        .args([
            "install",
            tool.name,
            "--version",
            tool.version,
            "--locked",
            "--no-default-features",
            "--root",
        ])
        .arg(into)
        .current_dir(root()?)
        .env("CARGO_TARGET_DIR", &work)
        // Tools that run for seconds are not worth minutes of optimizing.
        .env("CARGO_PROFILE_RELEASE_LTO", "false")
        .env("CARGO_PROFILE_RELEASE_CODEGEN_UNITS", "16")
        .env("CARGO_PROFILE_RELEASE_OPT_LEVEL", "1")
        .env_remove("CARGO_BUILD_TARGET")
        .env_remove("RUSTFLAGS");
    run(&mut command)?;
    let _ = fs::remove_dir_all(&work);
    Ok(())
}

fn by_npm(tool: &Tool, into: &Path) -> Result<(), String> {
    if on_path(&["npm"]).is_none() {
        return Err(format!(
            "{} comes from npm and there is no npm on PATH; install node (Debian: apt-get install nodejs npm)",
            tool.name
        ));
    }
    run(Command::new("npm")
        .args([
            "install",
            "--no-audit",
            "--no-fund",
            "--loglevel=error",
            "--prefix",
        ])
        .arg(into)
        .arg(format!("{}@{}", tool.name, tool.version)))
}

/// Adds the wasm target to the toolchain in use, where it is missing.
fn add_target() -> Result<(), String> {
    let root = root()?;
    let sysroot = Command::new("rustc")
        .args(["--print", "sysroot"])
        .current_dir(&root)
        .output()
        .map_err(|e| format!("rustc did not start: {e}; install Rust by rustup"))?;
    let sysroot = String::from_utf8_lossy(&sysroot.stdout).trim().to_owned();
    if Path::new(&sysroot)
        .join("lib/rustlib")
        .join(TARGET)
        .join("lib")
        .is_dir()
    {
        return Ok(());
    }
    if on_path(&["rustup"]).is_none() {
        return Err(format!(
            "the target {TARGET} is missing and there is no rustup to add it; install Rust by rustup"
        ));
    }
    eprintln!("{TARGET}: adding the target, some seconds");
    run(Command::new("rustup")
        .args(["target", "add", TARGET])
        .current_dir(&root))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(name: &str) -> String {
        fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(name)).unwrap()
    }

    #[test]
    fn trunk_toml_asks_for_the_same_versions() {
        let toml = read("Trunk.toml");
        let major = BINARYEN.version.split('.').next().unwrap();
        for line in [
            format!("trunk-version = \"={}\"", TRUNK.version),
            format!("wasm_bindgen = \"{}\"", WASM_BINDGEN.version),
            format!("wasm_opt = \"version_{major}\""),
        ] {
            assert!(toml.lines().any(|l| l == line), "Trunk.toml lacks `{line}`");
        }
    }

    #[test]
    fn the_crate_and_the_tool_wasm_bindgen_are_one_version() {
        let pin = format!("wasm-bindgen = \"={}\"", WASM_BINDGEN.version);
        assert!(
            read("Cargo.toml").lines().any(|l| l == pin),
            "Cargo.toml lacks `{pin}`"
        );
    }

    #[test]
    fn the_toolchain_file_names_the_target() {
        assert!(read("rust-toolchain.toml").contains(&format!("\"{TARGET}\"")));
    }
}
