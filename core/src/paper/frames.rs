//! Bytes from phone to phone as a few codes that a camera reads in any order.
//!
//! A frame is text of the 45 characters that a QR code packs best:
//!
//! ```text
//! D1.7A3F00C2.3.12.9E1D.(payload)
//! |  |        | |  |     base45 of this frame's bytes
//! |  |        | |  lower half of the CRC-32 of everything else in the frame
//! |  |        | how many frames there are
//! |  |        this frame's number, from 1
//! |  CRC-32 of all bytes: tells one transfer from another, and proves the whole
//! kind and version
//! ```
//!
//! # Source
//! Base45: RFC 9285 (2022). CRC-32: ITU-T V.42 and ISO 3309, check value CBF43926. A code of version
//! 10 with error correction M holds 311 such characters: ISO/IEC 18004, table 7 (from memory).

/// Characters that a frame has at most: a code of version 10, error correction M.
pub const LETTERS_MOST: usize = 311;

/// Bytes in a frame at most: 288 characters, and up to 23 for what comes before.
const BYTES_MOST: usize = 192;

/// Frames at most; more is a matter for a file.
pub const FRAMES_MOST: usize = 99;

const KIND: &str = "D1";

const ALPHABET: &[u8; 45] = b"0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:";

/// Bytes as base45: two make three characters, a last one makes two.
pub fn base45(bytes: &[u8]) -> String {
    let mut out = String::with_capacity(bytes.len().div_ceil(2) * 3);
    for pair in bytes.chunks(2) {
        let mut number = pair.iter().fold(0, |n, byte| n * 256 + usize::from(*byte));
        for _ in 0..=pair.len() {
            out.push(char::from(ALPHABET[number % 45]));
            number /= 45;
        }
    }
    out
}

/// Bytes out of base45; `None` where it is none.
pub fn from_base45(text: &str) -> Option<Vec<u8>> {
    let mut out = Vec::with_capacity(text.len() / 3 * 2 + 1);
    for group in text.as_bytes().chunks(3) {
        let mut number = 0;
        for letter in group.iter().rev() {
            number = number * 45 + ALPHABET.iter().position(|one| one == letter)?;
        }
        match group.len() {
            3 if number <= 0xFFFF => out.extend((number as u16).to_be_bytes()),
            2 if number <= 0xFF => out.push(number as u8),
            _ => return None,
        }
    }
    Some(out)
}

/// The cyclic redundancy check of Ethernet and ZIP, bit by bit: short, and fast enough for a site.
pub fn crc32(bytes: &[u8]) -> u32 {
    let mut sum = u32::MAX;
    for byte in bytes {
        sum ^= u32::from(*byte);
        for _ in 0..8 {
            let low = sum & 1;
            sum = (sum >> 1) ^ (low * 0xEDB8_8320);
        }
    }
    !sum
}

/// Bytes as frames of nearly equal length; `None` where there are none, or more than
/// [`FRAMES_MOST`] would be needed.
pub fn frames(bytes: &[u8]) -> Option<Vec<String>> {
    let of = bytes.len().div_ceil(BYTES_MOST);
    if of == 0 || of > FRAMES_MOST {
        return None;
    }
    let whole = crc32(bytes);
    let parts = bytes.chunks(bytes.len().div_ceil(of)).enumerate();
    let made = parts.map(|(place, part)| {
        let head = format!("{KIND}.{whole:08X}.{}.{of}", place + 1);
        let payload = base45(part);
        let check = check(&head, &payload);
        format!("{head}.{check:04X}.{payload}")
    });
    Some(made.collect())
}

fn check(head: &str, payload: &str) -> u16 {
    crc32(format!("{head}.{payload}").as_bytes()) as u16
}

/// A number of up to eight digits or capital letters.
fn digits(text: &str, base: u32) -> Option<u32> {
    if text.is_empty() || text.len() > 8 {
        return None;
    }
    let mut number = 0_u32;
    for letter in text.bytes() {
        let digit = match letter {
            b'0'..=b'9' => letter - b'0',
            b'A'..=b'F' => letter - b'A' + 10,
            _ => return None,
        };
        number = number.wrapping_mul(base).wrapping_add(digit.into());
    }
    Some(number)
}

/// What became of a frame that was read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Taken {
    /// It was new.
    New,
    /// It was there already.
    Known,
    /// It is no frame of ours.
    Foreign,
    /// It is one of ours, but damaged.
    Damaged,
    /// It belongs to another transfer; start anew to read that one.
    Other,
}

/// Frames of one transfer as they come in.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Gathering {
    whole: u32,
    parts: Vec<Option<Vec<u8>>>,
}

impl Gathering {
    /// Takes what a camera read.
    pub fn take(&mut self, text: &str) -> Taken {
        let mut fields = text.splitn(6, '.');
        let mut next = || fields.next().unwrap_or_default();
        let (kind, whole, number, of) = (next(), next(), next(), next());
        let (sum, payload) = (next(), next());
        if kind != KIND {
            return Taken::Foreign;
        }
        let head = format!("{kind}.{whole}.{number}.{of}");
        // What the check holds was written by `frames`.
        let sound = digits(sum, 16) == Some(check(&head, payload).into());
        let read = (
            digits(whole, 16).filter(|_| sound),
            digits(number, 10),
            digits(of, 10),
            from_base45(payload),
        );
        let (Some(whole), Some(number), Some(of), Some(part)) = read else {
            return Taken::Damaged;
        };
        let (number, of) = (number as usize, of as usize);
        if number == 0 || number > of || of > FRAMES_MOST {
            return Taken::Damaged;
        }
        if self.parts.is_empty() {
            self.whole = whole;
            self.parts.resize(of, None);
        }
        if self.whole != whole || self.parts.len() != of {
            return Taken::Other;
        }
        match &mut self.parts[number - 1] {
            Some(_) => Taken::Known,
            empty => {
                *empty = Some(part);
                Taken::New
            }
        }
    }

    /// How many frames the transfer has; 0 before the first.
    pub fn of(&self) -> usize {
        self.parts.len()
    }

    /// Numbers of the frames that have not come yet.
    pub fn missing(&self) -> Vec<usize> {
        let parts = self.parts.iter().enumerate();
        let missing = parts.filter(|(_, part)| part.is_none());
        missing.map(|(place, _)| place + 1).collect()
    }

    /// All bytes, once every frame is there and the whole proves itself.
    pub fn bytes(&self) -> Option<Vec<u8>> {
        let parts: Option<Vec<&[u8]>> = self.parts.iter().map(|part| part.as_deref()).collect();
        let bytes = parts?.concat();
        (!bytes.is_empty() && crc32(&bytes) == self.whole).then_some(bytes)
    }
}
