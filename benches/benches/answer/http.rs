//! As much of HTTP/1.1 as a page of ours needs: one connection that stays open, answers of stated length or in chunks.

use super::served::{Outcome, failed};
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;

/// An open connection to the server.
pub struct Connection {
    stream: BufReader<TcpStream>,
    address: String,
}

impl Connection {
    /// Connects to `127.0.0.1:PORT`.
    pub fn open(address: &str) -> Outcome<Self> {
        let stream = TcpStream::connect(address)?;
        stream.set_nodelay(true)?;
        Ok(Self { stream: BufReader::new(stream), address: address.to_owned() })
    }

    /// The body of a page.
    pub fn get(&mut self, target: &str) -> Outcome<Vec<u8>> {
        let head = format!("GET {target} HTTP/1.1\r\nHost: {}\r\n\r\n", self.address);
        self.send(target, head.as_bytes())
    }

    /// The body of the answer to a JSON text.
    pub fn post_json(&mut self, target: &str, body: &str) -> Outcome<Vec<u8>> {
        let text = format!(
            "POST {target} HTTP/1.1\r\nHost: {}\r\nContent-Type: application/json\r\nContent-Length: {}\r\n\r\n{body}",
            self.address,
            body.len()
        );
        self.send(target, text.as_bytes())
    }

    fn send(&mut self, target: &str, request: &[u8]) -> Outcome<Vec<u8>> {
        self.stream.get_mut().write_all(request)?;
        let status = self.head_line()?;
        let (mut length, mut chunked) = (None, false);
        loop {
            let line = self.head_line()?.to_ascii_lowercase();
            match line.split_once(':') {
                None => break,
                Some(("content-length", value)) => length = Some(value.trim().parse()?),
                Some(("transfer-encoding", value)) => chunked = value.trim() == "chunked",
                Some(_) => {}
            }
        }
        let body = if chunked { self.chunks()? } else { self.take(length.unwrap_or(0))? };
        if status.split(' ').nth(1) == Some("200") {
            return Ok(body);
        }
        Err(failed(format!("{target}: {status}: {}", String::from_utf8_lossy(&body))))
    }

    fn head_line(&mut self) -> Outcome<String> {
        let mut line = String::new();
        if self.stream.read_line(&mut line)? == 0 {
            return Err(failed("the server closed the connection"));
        }
        Ok(line.trim_end().to_owned())
    }

    fn take(&mut self, length: usize) -> Outcome<Vec<u8>> {
        let mut body = vec![0; length];
        self.stream.read_exact(&mut body)?;
        Ok(body)
    }

    fn chunks(&mut self) -> Outcome<Vec<u8>> {
        let mut body = Vec::new();
        loop {
            let length = usize::from_str_radix(&self.head_line()?, 16)?;
            body.extend(self.take(length)?);
            self.head_line()?;
            if length == 0 {
                return Ok(body);
            }
        }
    }
}
