//! The lines of an oscilloscope's file, one after the other, whatever it is written in.

use std::collections::VecDeque;
use std::io::{BufRead, BufReader, Cursor, Read};

use super::scope_error::ScopeError;

/// Largest file read, and largest of those that are read as a whole \[bytes\].
pub const LARGEST: u64 = 4 << 30;
const LARGEST_WIDE: u64 = 256 << 20;

/// Longest line \[bytes\]: a row of thousands of columns.
const LONGEST: usize = 64 << 10;

/// Bytes read at a time.
const BLOCK: usize = 256 << 10;

/// The text of a file's bytes: UTF-16 by its mark, else UTF-8; what is neither, as in remarks, is passed over.
pub fn decode(bytes: &[u8]) -> String {
    let wide = |order: fn([u8; 2]) -> u16| {
        let units: Vec<u16> = bytes[2..]
            .chunks_exact(2)
            .map(|b| order([b[0], b[1]]))
            .collect();
        String::from_utf16_lossy(&units)
    };
    match bytes {
        [0xff, 0xfe, ..] => wide(u16::from_le_bytes),
        [0xfe, 0xff, ..] => wide(u16::from_be_bytes),
        _ => String::from_utf8_lossy(bytes).into_owned(),
    }
}

/// Lines that are read as they are asked for.
pub(super) struct Lines<'a> {
    source: Box<dyn BufRead + 'a>,
    /// Byte that ends a line: a carriage return in a file without any line feed.
    end: u8,
    /// Lines to be given again.
    again: VecDeque<String>,
    number: usize,
    bytes: u64,
    buffer: Vec<u8>,
}

impl<'a> Lines<'a> {
    pub(super) fn new(source: impl Read + 'a) -> Result<Self, ScopeError> {
        let mut source: Box<dyn BufRead + 'a> = Box::new(BufReader::with_capacity(BLOCK, source));
        let block = source.fill_buf().map_err(unread)?;
        if block.starts_with(&[0xff, 0xfe]) || block.starts_with(&[0xfe, 0xff]) {
            let mut bytes = Vec::new();
            let mut part = source.take(LARGEST_WIDE + 1);
            part.read_to_end(&mut bytes).map_err(unread)?;
            if bytes.len() as u64 > LARGEST_WIDE {
                return Err(ScopeError::Large(LARGEST_WIDE));
            }
            source = Box::new(Cursor::new(decode(&bytes).into_bytes()));
        } else if block.starts_with(&[0xef, 0xbb, 0xbf]) {
            source.consume(3);
        }
        let block = source.fill_buf().map_err(unread)?;
        let old = !block.contains(&b'\n') && block.contains(&b'\r');
        Ok(Lines {
            end: if old { b'\r' } else { b'\n' },
            source,
            again: VecDeque::new(),
            number: 0,
            bytes: 0,
            buffer: Vec::new(),
        })
    }

    /// The next line, without its end; false after the last.
    pub(super) fn next(&mut self, line: &mut String) -> Result<bool, ScopeError> {
        if let Some(again) = self.again.pop_front() {
            *line = again;
            self.number += 1;
            return Ok(true);
        }
        self.buffer.clear();
        let mut part = (&mut self.source).take(LONGEST as u64);
        let read = part
            .read_until(self.end, &mut self.buffer)
            .map_err(unread)?;
        if read == 0 {
            return Ok(false);
        }
        self.number += 1;
        self.bytes += read as u64;
        if read == LONGEST && self.buffer.last() != Some(&self.end) {
            let (line, limit) = (self.number, LONGEST);
            return Err(ScopeError::Line { line, limit });
        }
        if self.bytes > LARGEST {
            return Err(ScopeError::Large(LARGEST));
        }
        while matches!(self.buffer.last(), Some(b'\n' | b'\r')) {
            self.buffer.pop();
        }
        line.clear();
        match std::str::from_utf8(&self.buffer) {
            Ok(text) => line.push_str(text),
            Err(_) => line.push_str(&String::from_utf8_lossy(&self.buffer)),
        }
        Ok(true)
    }

    /// The last lines are given again.
    pub(super) fn again(&mut self, lines: Vec<String>) {
        self.number -= lines.len();
        self.again = lines.into();
    }

    /// Number of the last line, from 1.
    pub(super) fn number(&self) -> usize {
        self.number
    }

    /// Bytes read so far.
    pub(super) fn bytes(&self) -> u64 {
        self.bytes
    }
}

fn unread(error: std::io::Error) -> ScopeError {
    ScopeError::Unread(error.to_string())
}
