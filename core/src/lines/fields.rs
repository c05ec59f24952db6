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
        let name = format!("{}{name}", self.path);
        if !self.assumed.contains(&name) {
            self.assumed.push(name);
        }
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
        // How the largest number of all is refused tells the limits to whoever gave none.
        let number = self.value(name)?.as_f64();
        match make(number.unwrap_or(f64::MAX)) {
            Ok(_) if number.is_none() => {
                self.fault(name, Problem::NotANumber);
                None
            }
            Ok(quantity) => Some(quantity),
            Err(problem) => {
                self.fault(name, problem);
                None
            }
        }
    }

    // What follows is kept out of the generic readers, so that it is not copied for every quantity.

    /// Notes that a number is missing, with the limits by which the largest of all was refused.
    #[inline(never)]
    fn miss_number(&mut self, name: &str, refusal: Option<Problem>) {
        let problem = match refusal {
            Some(Problem::OutOfRange { least, most }) => Problem::MissingNumber { least, most },
            _ => Problem::Missing,
        };
        self.fault(name, problem);
    }

    #[inline(never)]
    fn require(&mut self, name: &str) {
        if self.value(name).is_none() {
            self.fault(name, Problem::Missing);
        }
    }

    #[inline(never)]
    fn place_of_word(&mut self, name: &str, words: &'static [&'static str]) -> Option<usize> {
        let word = self.value(name)?.as_str();
        let place = word.and_then(|word| words.iter().position(|w| *w == word));
        if place.is_none() {
            self.fault(name, Problem::NotOneOf(words));
        }
        place
    }

    /// The fields of an item of a list; of an empty object where it is none, which is a fault.
    #[inline(never)]
    fn item<'b>(
        &mut self,
        name: &str,
        place: usize,
        item: &'b Value,
        empty: &'b Map<String, Value>,
    ) -> Fields<'b> {
        let field = format!("{name}[{place}]");
        match item.as_object() {
            Some(object) => Fields::within(object, format!("{}{field}.", self.path)),
            None => {
                self.fault(&field, Problem::Other("must be an object"));
                Fields::new(empty)
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
            self.miss_number(name, make(f64::MAX).err());
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
        let place = self.place_of_word(name, words)?;
        meanings.get(place).copied()
    }

    /// One of a list of words that must be there.
    pub fn required_word<T: Copy>(
        &mut self,
        name: &str,
        words: &'static [&'static str],
        meanings: &[T],
    ) -> Option<T> {
        if self.value(name).is_none() {
            self.fault(name, Problem::MissingWord(words));
        }
        self.optional_word(name, words, meanings)
    }

    /// A text that may be absent.
    pub fn optional_text(&mut self, name: &str) -> Option<&'a str> {
        let text = self.value(name)?.as_str();
        if text.is_none() {
            self.fault(name, Problem::Other("must be a text"));
        }
        text
    }

    /// A text that must be there.
    pub fn required_text(&mut self, name: &str) -> Option<&'a str> {
        self.require(name);
        self.optional_text(name)
    }

    /// A text that must be there and is read by `parse`.
    pub fn required_parsed<T>(
        &mut self,
        name: &str,
        parse: impl Fn(&str) -> Result<T, Problem>,
    ) -> Option<T> {
        let text = self.required_text(name)?;
        parse(text)
            .map_err(|problem| self.fault(name, problem))
            .ok()
    }

    /// True or false, with a default, which is noted as assumed when it stands in.
    pub fn defaulted_flag(&mut self, name: &str, default: bool) -> bool {
        let Some(value) = self.value(name) else {
            self.assume(name);
            return default;
        };
        value.as_bool().unwrap_or_else(|| {
            self.fault(name, Problem::Other("must be true or false"));
            default
        })
    }

    /// An object that may be absent, read by `read`.
    pub fn optional_object<T>(
        &mut self,
        name: &str,
        read: impl FnOnce(&mut Fields) -> T,
    ) -> Option<T> {
        let object = self.value(name)?.as_object();
        if object.is_none() {
            self.fault(name, Problem::Other("must be an object"));
        }
        let mut inner = Fields::within(object?, format!("{}{name}.", self.path));
        let made = read(&mut inner);
        self.absorb(inner);
        Some(made)
    }

    /// The items of a list; empty when it is absent, which is a fault only when `required`.
    pub fn list(&mut self, name: &str, required: bool) -> &'a [Value] {
        match self.value(name) {
            Some(Value::Array(items)) => return items,
            Some(_) => self.fault(name, Problem::Other("must be a list")),
            None if required => self.fault(name, Problem::Missing),
            None => {}
        }
        &[]
    }

    /// A list of objects, each read by `read`; an item that is no object is a fault and is read as an empty one.
    pub fn objects<T>(
        &mut self,
        name: &str,
        required: bool,
        mut read: impl FnMut(&mut Fields) -> T,
    ) -> Vec<T> {
        let empty = Map::new();
        let items = self.list(name, required).iter().enumerate();
        items
            .map(|(place, item)| {
                let mut inner = self.item(name, place, item, &empty);
                let known = item.is_object();
                let made = read(&mut inner);
                if known {
                    self.absorb(inner);
                }
                made
            })
            .collect()
    }

    /// A list of texts, each read by `parse`; one that cannot be read is a fault and `instead` stands for it.
    pub fn texts<T: Clone>(
        &mut self,
        name: &str,
        required: bool,
        instead: T,
        parse: impl Fn(&str) -> Result<T, Problem>,
    ) -> Vec<T> {
        let items = self.list(name, required).iter().enumerate();
        items
            .map(|(place, item)| {
                let made = item
                    .as_str()
                    .map_or(Err(Problem::Other("must be a text")), &parse);
                made.unwrap_or_else(|problem| {
                    self.fault(&format!("{name}[{place}]"), problem);
                    instead.clone()
                })
            })
            .collect()
    }

    /// The faults met so far.
    pub fn faults(&self) -> &[Invalid] {
        &self.faults
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
