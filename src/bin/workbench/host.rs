//! A static web server for a build, on this machine only.
//!
//! One thread and one connection an answer: a browser's idle connections can then never keep an answer waiting.

use std::{
    fs,
    io::{Read, Write},
    net::{TcpListener, TcpStream},
    path::{Path, PathBuf},
    sync::Arc,
    thread,
    time::Duration,
};

/// The longest head of a request that is read, bytes.
const HEAD: usize = 16 * 1024;

/// How long a browser may take over its request or over taking its answer.
const PATIENCE: Duration = Duration::from_secs(60);

/// Takes a port of this machine; 0 takes any free one.
pub(super) fn listen(port: u16) -> Result<TcpListener, String> {
    TcpListener::bind(("127.0.0.1", port))
        .map_err(|e| format!("cannot listen on port {port}: {e}; --port 0 takes any free one"))
}

/// Serves the folder until the process ends; prints the address as its first line, then hands it to `ready`.
pub(super) fn serve(
    listener: TcpListener,
    dir: &Path,
    ready: impl FnOnce(&str),
) -> Result<(), String> {
    let dir =
        fs::canonicalize(dir).map_err(|e| format!("cannot serve `{}`: {e}", dir.display()))?;
    if !dir.is_dir() {
        return Err(format!(
            "cannot serve `{}`: it is a file; name the folder it is in",
            dir.display()
        ));
    }
    let port = listener
        .local_addr()
        .map_err(|e| format!("cannot tell the port: {e}"))?
        .port();
    let address = format!("http://127.0.0.1:{port}/");
    println!("{address}");
    std::io::stdout()
        .flush()
        .map_err(|e| format!("cannot print the address: {e}"))?;
    ready(&address);
    answer_all(&listener, &dir);
    Ok(())
}

/// Answers from a folder, named by its real path, until the process ends.
pub(super) fn answer_all(listener: &TcpListener, dir: &Path) {
    let dir: Arc<Path> = dir.into();
    for stream in listener.incoming() {
        // A connection that broke while it was made is the browser's to make again.
        let Ok(stream) = stream else { continue };
        let dir = Arc::clone(&dir);
        thread::spawn(move || {
            // A browser that went away before its answer is no fault of the server.
            let _ = answer(stream, &dir);
        });
    }
}

fn answer(mut stream: TcpStream, dir: &Path) -> std::io::Result<()> {
    stream.set_read_timeout(Some(PATIENCE))?;
    stream.set_write_timeout(Some(PATIENCE))?;
    let Some(request) = Request::read(&mut stream)? else {
        return Ok(());
    };
    let (status, kind, body) = if matches!(request.method.as_str(), "GET" | "HEAD") {
        let found = find(dir, &request.url, request.asks_for_a_page);
        match found.map(|path| (kind_of(&path), fs::read(&path))) {
            Some((kind, Ok(body))) => ("200 OK", kind, body),
            Some((_, Err(_))) | None => (
                "404 Not Found",
                "text/plain; charset=utf-8",
                b"not found\n".to_vec(),
            ),
        }
    } else {
        (
            "405 Method Not Allowed",
            "text/plain; charset=utf-8",
            b"only GET and HEAD are answered\n".to_vec(),
        )
    };
    let head = format!(
        "HTTP/1.1 {status}\r\nContent-Type: {kind}\r\nContent-Length: {}\r\nCache-Control: no-cache\r\n\
         X-Content-Type-Options: nosniff\r\nConnection: close\r\n\r\n",
        body.len()
    );
    stream.write_all(head.as_bytes())?;
    if request.method != "HEAD" {
        stream.write_all(&body)?;
    }
    stream.flush()
}

/// What a browser asked for.
struct Request {
    method: String,
    url: String,
    asks_for_a_page: bool,
}

impl Request {
    /// Reads the head of a request; none where it is no request, too long, or ends early.
    fn read(stream: &mut impl Read) -> std::io::Result<Option<Self>> {
        let mut head = Vec::new();
        let mut piece = [0; 2048];
        loop {
            let count = stream.read(&mut piece)?;
            head.extend_from_slice(&piece[..count]);
            let mut headers = [httparse::EMPTY_HEADER; 64];
            let mut request = httparse::Request::new(&mut headers);
            match request.parse(&head) {
                Ok(httparse::Status::Complete(_)) => {
                    return Ok(Some(Self {
                        method: request.method.unwrap_or_default().to_owned(),
                        url: request.path.unwrap_or_default().to_owned(),
                        asks_for_a_page: request.headers.iter().any(|header| {
                            let value = String::from_utf8_lossy(header.value);
                            (header.name.eq_ignore_ascii_case("Accept")
                                && value.contains("text/html"))
                                || (header.name.eq_ignore_ascii_case("Sec-Fetch-Mode")
                                    && value == "navigate")
                        }),
                    }));
                }
                Ok(httparse::Status::Partial) if count > 0 && head.len() < HEAD => {}
                Ok(httparse::Status::Partial) | Err(_) => return Ok(None),
            }
        }
    }
}

/// The file that answers an address, if any; never one outside the folder.
///
/// A page asked for by a path without an extension that names no file is index.html: the app reads the path.
fn find(dir: &Path, url: &str, page: bool) -> Option<PathBuf> {
    let parts = parts(url)?;
    let mut path = dir.to_path_buf();
    path.extend(&parts);
    if path.is_dir() {
        path.push("index.html");
    }
    let deep_link = page && !parts.last().is_some_and(|last| last.contains('.'));
    if !path.is_file() && deep_link {
        path = dir.join("index.html");
    }
    // A link inside the folder may still lead out of it.
    let real = fs::canonicalize(path).ok()?;
    (real.starts_with(dir) && real.is_file()).then_some(real)
}

/// The parts of an address's path, decoded; none when it could lead out of the folder.
fn parts(url: &str) -> Option<Vec<String>> {
    let path = url.split(['?', '#']).next()?.strip_prefix('/')?;
    let mut parts = Vec::new();
    for part in path.split('/') {
        let part = decoded(part)?;
        match part.as_str() {
            "" | "." => {}
            ".." => return None,
            text if text.contains(['/', '\\', '\0', ':']) => return None,
            _ => parts.push(part),
        }
    }
    Some(parts)
}

/// Text with its `%41` read; none when that is no text.
fn decoded(part: &str) -> Option<String> {
    let mut bytes = Vec::with_capacity(part.len());
    let mut rest = part.bytes();
    while let Some(byte) = rest.next() {
        if byte == b'%' {
            let digit = |b: u8| {
                char::from(b)
                    .to_digit(16)
                    .and_then(|d| u8::try_from(d).ok())
            };
            bytes.push(digit(rest.next()?)? * 16 + digit(rest.next()?)?);
        } else {
            bytes.push(byte);
        }
    }
    String::from_utf8(bytes).ok()
}

/// The media type of a file by its extension.
fn kind_of(path: &Path) -> &'static str {
    match path.extension().and_then(|extension| extension.to_str()) {
        Some("html") => "text/html; charset=utf-8",
        Some("css") => "text/css; charset=utf-8",
        Some("js" | "mjs") => "text/javascript; charset=utf-8",
        Some("json") => "application/json; charset=utf-8",
        Some("webmanifest") => "application/manifest+json; charset=utf-8",
        Some("txt") => "text/plain; charset=utf-8",
        Some("svg") => "image/svg+xml; charset=utf-8",
        Some("wasm") => "application/wasm",
        Some("woff2") => "font/woff2",
        Some("png") => "image/png",
        Some("jpg" | "jpeg") => "image/jpeg",
        Some("ico") => "image/x-icon",
        _ => "application/octet-stream",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_address_never_leads_out_of_the_folder() {
        for url in [
            "/..",
            "/../etc/passwd",
            "/a/../../b",
            "/%2e%2e/b",
            "/%2E%2e%2fb",
            "/a%2f..%2fb",
            "/..%5cb",
            "/a\\..\\b",
            "/c:/b",
            "/a%00.html",
            "/%ff",
            "/%4",
            "/%+1",
            "no-slash",
            "",
        ] {
            assert_eq!(parts(url), None, "{url}");
        }
    }

    #[test]
    fn an_ordinary_address_is_read() {
        assert_eq!(parts("/"), Some(vec![]));
        assert_eq!(
            parts("//a/./b/?q=../x#y"),
            Some(vec!["a".to_owned(), "b".to_owned()])
        );
        assert_eq!(
            parts("/a%20b/%C3%A9.js"),
            Some(vec!["a b".to_owned(), "é.js".to_owned()])
        );
        assert_eq!(parts("/a..b"), Some(vec!["a..b".to_owned()]));
    }

    #[test]
    fn every_kind_of_file_in_the_app_has_its_media_type() {
        fn check(dir: &Path) {
            for item in fs::read_dir(dir).unwrap() {
                let path = item.unwrap().path();
                if path.is_dir() {
                    check(&path);
                } else {
                    assert_ne!(
                        kind_of(&path),
                        "application/octet-stream",
                        "{}",
                        path.display()
                    );
                }
            }
        }
        check(&Path::new(env!("CARGO_MANIFEST_DIR")).join("public"));
        assert_eq!(kind_of(Path::new("app_bg.wasm")), "application/wasm");
        assert_eq!(
            kind_of(Path::new("hingeline.webmanifest")),
            "application/manifest+json; charset=utf-8"
        );
        assert_eq!(kind_of(Path::new("none")), "application/octet-stream");
    }
}
