//! A static file server for this machine alone, that can be stopped.
//!
//! It serves one folder on 127.0.0.1, a thread a connection, GET and HEAD
//! only. `make run` shows the site with it, and the browser tests stop it to
//! see the site work offline. It is no server for the open network: no TLS, no
//! ranges, no compression, one request a connection.
//!
//! ```no_run
//! let server = firstglow_loopback::Server::start("dist", 0)?;
//! println!("{}", server.url());
//! # Ok::<(), std::io::Error>(())
//! ```

mod request;

use std::io;
use std::net::{Ipv4Addr, SocketAddr, TcpListener, TcpStream};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread::{self, JoinHandle};

/// A running server; it ends when stopped or dropped.
#[derive(Debug)]
pub struct Server {
    address: SocketAddr,
    stopping: Arc<AtomicBool>,
    accepting: Option<JoinHandle<()>>,
}

impl Server {
    /// Serves `folder` on `port`, or on any free port when that is 0.
    ///
    /// # Errors
    /// When the port is taken or may not be used.
    pub fn start(folder: impl Into<PathBuf>, port: u16) -> io::Result<Self> {
        let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, port))?;
        let address = listener.local_addr()?;
        let stopping = Arc::new(AtomicBool::new(false));
        let accepting = thread::spawn({
            let (folder, stopping) = (Arc::from(folder.into()), Arc::clone(&stopping));
            move || accept_all(&listener, &folder, &stopping)
        });
        Ok(Self { address, stopping, accepting: Some(accepting) })
    }

    /// The address of the start page.
    pub fn url(&self) -> String {
        format!("http://{}/", self.address)
    }

    /// The port in use.
    pub fn port(&self) -> u16 {
        self.address.port()
    }

    /// Serves until the process ends.
    pub fn wait(mut self) {
        self.join();
    }

    /// Stops: from here on nothing answers at the address.
    pub fn stop(&mut self) {
        if self.accepting.is_some() {
            self.stopping.store(true, Ordering::SeqCst);
            // A connection of our own wakes the thread that waits for one. If
            // it is refused, that thread is already gone.
            let _ = TcpStream::connect(self.address);
            self.join();
        }
    }

    fn join(&mut self) {
        if let Some(thread) = self.accepting.take() {
            // A panic over there has been reported over there.
            let _ = thread.join();
        }
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        self.stop();
    }
}

fn accept_all(listener: &TcpListener, folder: &Arc<Path>, stopping: &AtomicBool) {
    for connection in listener.incoming() {
        if stopping.load(Ordering::SeqCst) {
            return;
        }
        let Ok(connection) = connection else { continue };
        let folder = Arc::clone(folder);
        // A browser that hangs up half-way is no concern of the server.
        thread::spawn(move || request::answer(connection, &folder).ok());
    }
}
