//! Answers JSON Lines on standard input with JSON Lines on standard output, one answer a line, in the same order.
//!
//! `echo '{"ask":"cycle","soil":"loam","slope_percent":2,"precipitation_mm_per_h":38}' |
//! cargo run --release -q -p drycurb-core --example lines`

use std::io::{self, BufRead, Write};

use drycurb_core::lines::answer_line;

fn main() -> io::Result<()> {
    let mut input = io::stdin().lock();
    let mut output = io::stdout().lock();
    let mut line = Vec::new();
    loop {
        line.clear();
        if input.read_until(b'\n', &mut line)? == 0 {
            return Ok(());
        }
        let text = String::from_utf8_lossy(&line);
        writeln!(output, "{}", answer_line(text.trim()))?;
        output.flush()?;
    }
}
