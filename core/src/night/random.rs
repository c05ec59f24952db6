//! Reproducible chance for the search: the same seed gives the same numbers on every machine.

/// A small fast counting generator of 32-bit numbers (three chaotic words and a counter).
#[derive(Clone, Debug)]
pub(crate) struct Random {
    a: u32,
    b: u32,
    c: u32,
    counter: u32,
}

impl Random {
    /// Starts a sequence that belongs to `seed`.
    pub(crate) fn new(seed: u64) -> Self {
        let mut random = Self {
            a: seed as u32,
            b: (seed >> 32) as u32,
            c: 0x9e37_79b9,
            counter: 1,
        };
        for _ in 0..12 {
            random.next();
        }
        random
    }

    /// Any 32-bit number.
    #[inline]
    pub(crate) fn next(&mut self) -> u32 {
        let sum = self.a.wrapping_add(self.b).wrapping_add(self.counter);
        self.counter = self.counter.wrapping_add(1);
        self.a = self.b ^ (self.b >> 9);
        self.b = self.c.wrapping_add(self.c << 3);
        self.c = self.c.rotate_left(21).wrapping_add(sum);
        sum
    }

    /// A number from 0 to `below` − 1; 0 when `below` is 0.
    #[inline]
    pub(crate) fn below(&mut self, below: u32) -> u32 {
        ((u64::from(self.next()) * u64::from(below)) >> 32) as u32
    }
}
