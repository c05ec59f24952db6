//! Reads the fields of a JSON object and collects every fault, so that an answer names all of them at once.

use serde_json::{Map, Value};

use crate::invalid::{Invalid, Problem};

/// The fields of one JSON object, the faults met so far, and the defaults used.
///
/// Readers give `None` after a fault; [`Fields::finish`] then turns the faults into the answer.
pub struct Fields<'a> {
    object: &'a Map<String, Value>,
    path: String,
    faults: Vec<Invalid>,
    assumed: Vec<String>,
}

impl<'a> Fields<'a> {
    /// The fields of a whole request.
    pub fn new(object: &'a Map<String, Value>) -> Self {
        Self::within(object, String::new())
    }

    /// The fields of an object inside a request; `path` is put before every field's name (`stations[2].`).
    pub fn within(object: &'a Map<String, Value>, path: String) -> Self {
        Self {
            object,
            path,
            faults: Vec::new(),
            assumed: Vec::new(),
        }
    }

    /// The value of a field; absent and `null` are the same.
    pub fn value(&self, name: &str) -> Option<&'a Value> {
        self.object.get(name).filter(|value| !value.is_null())
    }

    /// Notes a fault beside a field.
    pub fn fault(&mut self, name: &str, problem: Problem) {
        self.faults
            .push(Invalid::new(format!("{}{name}", self.path), problem));
    }

    /// Notes that a default stands for a field.
    pub fn assume(&mut self, name: &str) {
        self.assumed.push(format!("{}{name}", self.path));
    }

    /// Takes over the faults and defaults of an inner object.
    pub fn absorb(&mut self, inner: Fields<'_>) {
        self.faults.extend(inner.faults);
        self.assumed.extend(inner.assumed);
    }

    /// A number that may be absent, made into a quantity by its checked constructor.
    pub fn optional<T>(
        &mut self,
        name: &str,
        make: impl Fn(f64) -> Result<T, Problem>,
    ) -> Option<T> {
        let value = self.value(name)?;
        let made = match value.as_f64() {
            Some(number) => make(number),
            None => Err(Problem::NotANumber),
        };
        match made {
            Ok(quantity) => Some(quantity),
            Err(problem) => {
                self.fault(name, problem);
                None
            }
        }
    }

    /// A number that must be there.
    pub fn required<T>(
        &mut self,
        name: &str,
        make: impl Fn(f64) -> Result<T, Problem>,
    ) -> Option<T> {
        if self.value(name).is_none() {
            self.fault(name, Problem::Missing);
        }
        self.optional(name, make)
    }

    /// A number with a default, which is noted as assumed when it stands in.
    pub fn defaulted<T>(
        &mut self,
        name: &str,
        default: T,
        make: impl Fn(f64) -> Result<T, Problem>,
    ) -> T {
        if self.value(name).is_none() {
            self.assume(name);
        }
        self.optional(name, make).unwrap_or(default)
    }

    /// One of a list of words that may be absent: gives what stands beside the word.
    pub fn optional_word<T: Copy>(
        &mut self,
        name: &str,
        words: &'static [&'static str],
        meanings: &[T],
    ) -> Option<T> {
        let value = self.value(name)?;
        let place = value
            .as_str()
            .and_then(|word| words.iter().position(|w| *w == word));
        match place.and_then(|place| meanings.get(place)) {
            Some(meaning) => Some(*meaning),
            None => {
                self.fault(name, Problem::NotOneOf(words));
                None
            }
        }
    }

    /// One of a list of words that must be there.
    pub fn required_word<T: Copy>(
        &mut self,
        name: &str,
        words: &'static [&'static str],
        meanings: &[T],
    ) -> Option<T> {
        if self.value(name).is_none() {
            self.fault(name, Problem::Missing);
        }
        self.optional_word(name, words, meanings)
    }

    /// Whether nothing was wrong so far.
    pub fn is_sound(&self) -> bool {
        self.faults.is_empty()
    }

    /// Ends the reading: the names of the defaults in force, or all faults.
    pub fn finish(self) -> Result<Vec<String>, Vec<Invalid>> {
        if self.faults.is_empty() {
            Ok(self.assumed)
        } else {
            Err(self.faults)
        }
    }

    /// Ends the reading where a reader gave `None`: everything that is wrong.
    pub fn into_faults(self) -> Vec<Invalid> {
        self.faults
    }
}

/// A whole number from `least` to `most`, for [`Fields::optional`] and its like.
pub fn whole(least: u32, most: u32) -> impl Fn(f64) -> Result<u32, Problem> {
    move |number| {
        if number.fract() != 0.0 {
            Err(Problem::NotWhole)
        } else if number < f64::from(least) || number > f64::from(most) {
            Err(Problem::OutOfRange {
                least: f64::from(least),
                most: f64::from(most),
            })
        } else {
            Ok(number as u32)
        }
    }
}
