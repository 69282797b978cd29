//! A small static file server for the built page, bound to this machine only.
//!
//! In: a directory and GET or HEAD requests. Out: its files, with the right media type and length.
//! What must hold: no request reads a file outside the directory, whatever its path says; a slow
//! or broken client never holds up another. It is for trying and testing the page, not for hosting.

use std::fs::{self, File};
use std::io::{self, BufRead, BufReader, Read, Write};
use std::net::{Ipv4Addr, TcpListener, TcpStream};
use std::path::{Path, PathBuf};
use std::thread;
use std::time::Duration;

use crate::site;
use crate::step::Outcome;

const LONGEST_REQUEST: usize = 16 * 1024;
const PATIENCE: Duration = Duration::from_secs(20);

/// Builds the page if need be and serves it until the program is stopped.
pub(crate) fn serve_page(port: u16) -> Outcome<()> {
    // The port is taken first: that it is busy should not come to light after a long build.
    let listener = bind(port)?;
    let dir = site::ensure_built()?;
    println!("\nThe page is at {}   (Ctrl+C stops it)", address(&listener)?);
    answer_all(&listener, &dir);
    Ok(())
}

/// Serves `dir` on a free port from another thread, for as long as the program runs.
pub(crate) fn serve_aside(dir: PathBuf) -> Outcome<String> {
    let listener = bind(0)?;
    let address = address(&listener)?;
    thread::spawn(move || answer_all(&listener, &dir));
    Ok(address)
}

fn bind(port: u16) -> Outcome<TcpListener> {
    TcpListener::bind((Ipv4Addr::LOCALHOST, port)).map_err(|e| {
        format!("port {port} is not free ({e}); try: cargo xtask serve --port {}", port.wrapping_add(1))
    })
}

fn address(listener: &TcpListener) -> Outcome<String> {
    let at = listener.local_addr().map_err(|e| e.to_string())?;
    Ok(format!("http://{at}/"))
}

fn answer_all(listener: &TcpListener, dir: &Path) {
    for client in listener.incoming().flatten() {
        let dir = dir.to_owned();
        // A client that goes away in the middle is its own business.
        thread::spawn(move || answer(client, &dir).ok());
    }
}

fn answer(mut client: TcpStream, dir: &Path) -> io::Result<()> {
    client.set_read_timeout(Some(PATIENCE))?;
    client.set_write_timeout(Some(PATIENCE))?;
    let Some(first_line) = request_line(&client)? else {
        return refuse(&mut client, "400 Bad Request");
    };
    let mut words = first_line.split(' ');
    let (method, target) = (words.next().unwrap_or(""), words.next().unwrap_or(""));
    if method != "GET" && method != "HEAD" {
        return refuse(&mut client, "405 Method Not Allowed");
    }
    match file_of(dir, target) {
        Some(path) => send(&mut client, &path, method == "GET"),
        None => refuse(&mut client, "404 Not Found"),
    }
}

/// Reads the request up to its empty line, as closing with unread bytes would reset the connection.
fn request_line(client: &TcpStream) -> io::Result<Option<String>> {
    let mut lines = BufReader::new(client.take(LONGEST_REQUEST as u64)).lines();
    let Some(first) = lines.next().transpose()? else { return Ok(None) };
    for line in lines {
        if line?.is_empty() {
            return Ok(Some(first));
        }
    }
    Ok(None)
}

/// The file that a request's target names, if it lies in `dir`.
fn file_of(dir: &Path, target: &str) -> Option<PathBuf> {
    let path = decoded(target.split(['?', '#']).next()?)?;
    let inside = path.strip_prefix('/')?;
    if inside.contains(['\\', '\0']) || inside.split('/').any(|part| part == "..") {
        return None;
    }
    let mut file = dir.join(inside.trim_start_matches('/'));
    if file.is_dir() {
        file.push("index.html");
    }
    // Resolved last: a symbolic link may lead out of the directory as well as `..` does.
    let (file, dir) = (file.canonicalize().ok()?, dir.canonicalize().ok()?);
    (file.starts_with(dir) && file.is_file()).then_some(file)
}

fn decoded(text: &str) -> Option<String> {
    let mut bytes = Vec::new();
    let mut rest = text.as_bytes();
    while let [first, others @ ..] = rest {
        rest = others;
        if *first == b'%' {
            let digits = std::str::from_utf8(rest.get(..2)?).ok()?;
            bytes.push(u8::from_str_radix(digits, 16).ok()?);
            rest = &rest[2..];
        } else {
            bytes.push(*first);
        }
    }
    String::from_utf8(bytes).ok()
}

fn send(client: &mut TcpStream, path: &Path, with_body: bool) -> io::Result<()> {
    let mut file = File::open(path)?;
    let length = fs::metadata(path)?.len();
    // `no-cache`: a page built anew must be seen at the next reload.
    write!(
        client,
        "HTTP/1.1 200 OK\r\nContent-Type: {}\r\nContent-Length: {length}\r\nCache-Control: no-cache\r\nX-Content-Type-Options: nosniff\r\nConnection: close\r\n\r\n",
        media_type(path)
    )?;
    if with_body {
        io::copy(&mut file, client)?;
    }
    client.flush()
}

fn refuse(client: &mut TcpStream, status: &str) -> io::Result<()> {
    let length = status.len() + 1;
    write!(
        client,
        "HTTP/1.1 {status}\r\nContent-Type: text/plain; charset=utf-8\r\nContent-Length: {length}\r\nAllow: GET, HEAD\r\nConnection: close\r\n\r\n{status}\n"
    )
}

fn media_type(path: &Path) -> &'static str {
    match path.extension().and_then(|e| e.to_str()).unwrap_or("") {
        "html" => "text/html; charset=utf-8",
        "js" | "mjs" => "text/javascript; charset=utf-8",
        "css" => "text/css; charset=utf-8",
        "json" | "geojson" | "map" => "application/json",
        "webmanifest" => "application/manifest+json",
        "wasm" => "application/wasm",
        "svg" => "image/svg+xml",
        "png" => "image/png",
        "ico" => "image/x-icon",
        "woff2" => "font/woff2",
        "pdf" => "application/pdf",
        "csv" => "text/csv; charset=utf-8",
        "txt" | "md" => "text/plain; charset=utf-8",
        _ => "application/octet-stream",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn served() -> (PathBuf, String) {
        static COUNT: std::sync::atomic::AtomicU32 = std::sync::atomic::AtomicU32::new(0);
        let n = COUNT.fetch_add(1, std::sync::atomic::Ordering::Relaxed);
        let top = std::env::temp_dir().join(format!("serve-{}-{n}", std::process::id()));
        let dir = top.join("dist");
        fs::create_dir_all(dir.join("sub")).expect("a directory");
        fs::write(dir.join("index.html"), "<p>hello</p>").expect("a file");
        fs::write(dir.join("a b.wasm"), b"\0asm").expect("a file");
        fs::write(dir.join("sub/index.html"), "sub").expect("a file");
        fs::write(top.join("secret"), "secret").expect("a file");
        std::os::unix::fs::symlink(top.join("secret"), dir.join("link")).expect("a link");
        let address = serve_aside(dir).expect("a free port");
        (top, address.trim_start_matches("http://").trim_end_matches('/').to_owned())
    }

    fn ask(address: &str, request: &str) -> String {
        let mut stream = TcpStream::connect(address).expect("it listens");
        write!(stream, "{request} HTTP/1.1\r\nHost: x\r\n\r\n").expect("it reads");
        let mut answer = String::new();
        stream.read_to_string(&mut answer).expect("it answers");
        answer
    }

    #[test]
    fn files_come_with_type_and_length() {
        let (top, at) = served();
        let page = ask(&at, "GET /");
        assert!(page.contains("200 OK") && page.contains("text/html") && page.ends_with("<p>hello</p>"));
        let wasm = ask(&at, "GET /a%20b.wasm?v=1");
        assert!(wasm.contains("application/wasm") && wasm.contains("Content-Length: 4\r\n"));
        assert!(ask(&at, "GET /sub/").ends_with("sub"));
        let head = ask(&at, "HEAD /index.html");
        assert!(head.contains("Content-Length: 12") && head.ends_with("\r\n\r\n"));
        fs::remove_dir_all(top).ok();
    }

    #[test]
    fn nothing_outside_is_read() {
        let (top, at) = served();
        for path in [
            "/../secret",
            "/%2e%2e/secret",
            "/..%2fsecret",
            "/link",
            "//etc/passwd",
            "/%00",
            "/%zz",
            "secret",
        ] {
            let answer = ask(&at, &format!("GET {path}"));
            assert!(answer.starts_with("HTTP/1.1 404"), "{path}: {answer}");
        }
        assert!(ask(&at, "POST /").starts_with("HTTP/1.1 405"));
        fs::remove_dir_all(top).ok();
    }

    #[test]
    fn an_endless_request_is_refused() {
        let (top, at) = served();
        let mut stream = TcpStream::connect(&at).expect("it listens");
        stream.write_all(&[b'a'; LONGEST_REQUEST]).expect("it reads");
        let mut answer = String::new();
        stream.read_to_string(&mut answer).ok();
        assert!(answer.starts_with("HTTP/1.1 400"), "{answer}");
        fs::remove_dir_all(top).ok();
    }
}
