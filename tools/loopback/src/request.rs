//! One request: read its first line, find the file, send it.

use std::fs;
use std::io::{self, BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::{Component, Path, PathBuf};
use std::time::Duration;

/// A browser may open a connection ahead of need and never use it.
const PATIENCE: Duration = Duration::from_secs(10);
/// Longer heads than any browser sends are not read to the end.
const LONGEST_HEAD: u64 = 64 * 1024;

/// Reads one request and answers it.
pub(crate) fn answer(mut connection: TcpStream, folder: &Path) -> io::Result<()> {
    connection.set_read_timeout(Some(PATIENCE))?;
    let Some(line) = read_head(&connection)? else {
        return Ok(());
    };
    let mut words = line.split_whitespace();
    let (method, target) = (words.next(), words.next().unwrap_or("/"));
    if !matches!(method, Some("GET" | "HEAD")) {
        return respond(&mut connection, "405 Method Not Allowed", "text/plain", b"");
    }
    let Some(body) = file_for(folder, target).and_then(|path| {
        let kind = content_type(&path);
        fs::read(path).ok().map(|bytes| (kind, bytes))
    }) else {
        return respond(&mut connection, "404 Not Found", "text/plain", b"Not found");
    };
    let (kind, bytes) = body;
    if method == Some("HEAD") {
        return head(&mut connection, "200 OK", kind, bytes.len());
    }
    respond(&mut connection, "200 OK", kind, &bytes)
}

/// The request line, once the whole head has arrived: closing a connection
/// with unread bytes would reset it under the answer.
fn read_head(connection: &TcpStream) -> io::Result<Option<String>> {
    let mut lines = BufReader::new(connection.take(LONGEST_HEAD)).lines();
    let first = lines.next().transpose()?;
    for line in lines {
        if line?.is_empty() {
            break;
        }
    }
    Ok(first)
}

/// The file that a request target names, unless it points out of the folder.
fn file_for(folder: &Path, target: &str) -> Option<PathBuf> {
    let path = target.split(['?', '#']).next()?.trim_start_matches('/');
    let relative = Path::new(path);
    let stays_inside = relative.components().all(|part| matches!(part, Component::Normal(_)));
    let file = folder.join(relative);
    match (stays_inside, file.is_dir()) {
        (false, _) => None,
        (true, true) => Some(file.join("index.html")),
        (true, false) => Some(file),
    }
}

fn content_type(path: &Path) -> &'static str {
    match path.extension().and_then(|extension| extension.to_str()) {
        Some("html") => "text/html; charset=utf-8",
        Some("js") => "text/javascript; charset=utf-8",
        // Streaming compilation refuses any other type.
        Some("wasm") => "application/wasm",
        Some("css") => "text/css; charset=utf-8",
        Some("webmanifest") => "application/manifest+json",
        Some("svg") => "image/svg+xml",
        Some("png") => "image/png",
        Some("txt") => "text/plain; charset=utf-8",
        _ => "application/octet-stream",
    }
}

fn respond(to: &mut TcpStream, status: &str, kind: &str, body: &[u8]) -> io::Result<()> {
    head(to, status, kind, body.len())?;
    to.write_all(body)
}

fn head(to: &mut TcpStream, status: &str, kind: &str, length: usize) -> io::Result<()> {
    write!(
        to,
        "HTTP/1.1 {status}\r\nContent-Type: {kind}\r\nContent-Length: {length}\r\n\
         Cache-Control: no-cache\r\nX-Content-Type-Options: nosniff\r\nConnection: close\r\n\r\n"
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_target_never_leaves_the_folder() {
        let folder = Path::new("site");
        for target in ["/../secret", "/a/../../secret", "/./..", "/a/../b"] {
            assert_eq!(file_for(folder, target), None, "{target}");
        }
        assert_eq!(file_for(folder, "//etc/passwd"), Some(folder.join("etc/passwd")));
    }

    #[test]
    fn query_and_fragment_do_not_name_the_file() {
        assert_eq!(
            file_for(Path::new("site"), "/app.js?x=1#y"),
            Some(Path::new("site").join("app.js"))
        );
    }

    #[test]
    fn wasm_gets_the_type_that_browsers_demand() {
        assert_eq!(content_type(Path::new("app.wasm")), "application/wasm");
    }
}
