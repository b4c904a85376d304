//! The server from the outside: what it sends, and that it can be stopped.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::io::{Read, Write};
use std::net::TcpStream;

use firstglow_loopback::Server;

fn ask(server: &Server, request: &str) -> String {
    let mut stream = TcpStream::connect(("127.0.0.1", server.port())).unwrap();
    write!(stream, "{request}\r\nHost: x\r\n\r\n").unwrap();
    let mut answer = String::new();
    stream.read_to_string(&mut answer).unwrap();
    answer
}

fn served() -> Server {
    Server::start(concat!(env!("CARGO_MANIFEST_DIR"), "/tests/site"), 0).unwrap()
}

#[test]
fn the_folder_itself_is_its_index_page() {
    let answer = ask(&served(), "GET / HTTP/1.1");
    assert!(answer.starts_with("HTTP/1.1 200 OK\r\n"), "{answer}");
    assert!(answer.contains("Content-Type: text/html; charset=utf-8\r\n"));
    assert!(answer.ends_with("\r\n\r\n<p>Hello</p>\n"));
}

#[test]
fn a_head_request_gets_no_body() {
    let answer = ask(&served(), "HEAD / HTTP/1.1");
    assert!(answer.contains("Content-Length: 13\r\n"), "{answer}");
    assert!(answer.ends_with("\r\n\r\n"));
}

#[test]
fn what_is_missing_or_not_a_read_is_refused() {
    let server = served();
    assert!(ask(&server, "GET /none.js HTTP/1.1").starts_with("HTTP/1.1 404"));
    assert!(ask(&server, "POST / HTTP/1.1").starts_with("HTTP/1.1 405"));
}

#[test]
fn a_stopped_server_answers_no_more() {
    let mut server = served();
    server.stop();
    assert!(TcpStream::connect(("127.0.0.1", server.port())).is_err());
}
