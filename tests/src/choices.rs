//! A stream of small choices from which random requests are made.
//!
//! From a list of words it shrinks well: a shorter list, or smaller words, is a simpler request, because once the
//! words are used up every choice is the first one. From a seed it never ends and is the same on every machine.

/// Where choices come from.
#[derive(Clone, Debug)]
pub enum Choices {
    /// The words of a list, then zeros.
    Listed(std::vec::IntoIter<u32>),
    /// xorshift64* (Marsaglia 2003, Vigna 2016) from a seed.
    Seeded(u64),
}

impl Choices {
    /// From a list of words.
    pub fn listed(words: Vec<u32>) -> Self {
        Self::Listed(words.into_iter())
    }

    /// From a seed; every seed gives another stream.
    pub fn seeded(seed: u64) -> Self {
        let mut choices = Self::Seeded((seed ^ 0x9e37_79b9_7f4a_7c15).max(1));
        for _ in 0..8 {
            choices.word();
        }
        choices
    }

    fn word(&mut self) -> u32 {
        match self {
            Self::Listed(words) => words.next().unwrap_or(0),
            Self::Seeded(state) => {
                *state ^= *state >> 12;
                *state ^= *state << 25;
                *state ^= *state >> 27;
                (state.wrapping_mul(0x2545_f491_4f6c_dd1d) >> 32) as u32
            }
        }
    }

    /// A number from 0 to below `end`.
    pub fn below(&mut self, end: u32) -> u32 {
        self.word() % end.max(1)
    }

    /// A number from `least` to `most`.
    pub fn between(&mut self, least: u32, most: u32) -> u32 {
        least + self.below(most - least + 1)
    }

    /// True once in `times`; false when the words are used up.
    pub fn once_in(&mut self, times: u32) -> bool {
        self.below(times) == times - 1
    }

    /// One of several; the first is the simplest.
    pub fn one_of<T: Clone>(&mut self, from: &[T]) -> T {
        from[self.below(from.len() as u32) as usize].clone()
    }

    /// As many as `least` to `most` things.
    pub fn list<T>(
        &mut self,
        least: u32,
        most: u32,
        mut make: impl FnMut(&mut Self, u32) -> T,
    ) -> Vec<T> {
        let length = self.between(least, most);
        (0..length).map(|place| make(self, place)).collect()
    }
}
