//! What is wrong with an entry, and beside which input to say it.

use std::fmt;

/// One thing wrong with what was entered. Checks return all of them at once.
#[derive(Clone, Debug, PartialEq)]
pub struct Invalid {
    /// Name of the input, as the JSON door spells it, unit last: `slope_percent`, `stations[2].run_minutes`.
    pub field: String,
    /// What is wrong, and thereby what would be accepted.
    pub problem: Problem,
}

impl Invalid {
    /// A problem beside `field`.
    pub fn new(field: impl Into<String>, problem: Problem) -> Self {
        Self {
            field: field.into(),
            problem,
        }
    }
}

/// Why an entry was refused. The page words it in the reader's language; [`fmt::Display`] gives plain English.
#[derive(Clone, Debug, PartialEq)]
pub enum Problem {
    /// Nothing was entered and there is no default.
    Missing,
    /// Nothing was entered where a number is wanted; the limits are in the field's own unit.
    MissingNumber {
        /// Smallest accepted value.
        least: f64,
        /// Largest accepted value.
        most: f64,
    },
    /// Nothing was entered where one of these words is wanted.
    MissingWord(&'static [&'static str]),
    /// Not a finite number.
    NotANumber,
    /// A whole number is wanted.
    NotWhole,
    /// Outside what is accepted; the limits belong to it and are in the field's own unit.
    OutOfRange {
        /// Smallest accepted value.
        least: f64,
        /// Largest accepted value.
        most: f64,
    },
    /// Not one of the accepted words.
    NotOneOf(&'static [&'static str]),
    /// Names something that is not listed.
    Unlisted(String),
    /// The same name is used twice.
    Repeated(String),
    /// Anything else, as a sentence that says what would be accepted.
    Other(&'static str),
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Missing => f.write_str("is missing"),
            Self::MissingNumber { least, most } => {
                let (least, most) = (plain(*least), plain(*most));
                write!(f, "is missing; a number from {least} to {most} is accepted")
            }
            Self::MissingWord(words) => write!(f, "is missing; one of: {}", words.join(", ")),
            Self::NotANumber => f.write_str("must be a number"),
            Self::NotWhole => f.write_str("must be a whole number"),
            Self::OutOfRange { least, most } => {
                write!(
                    f,
                    "must be a number from {} to {}",
                    plain(*least),
                    plain(*most)
                )
            }
            Self::NotOneOf(words) => write!(f, "must be one of: {}", words.join(", ")),
            Self::Unlisted(name) => write!(f, "names `{name}`, which is not listed"),
            Self::Repeated(name) => write!(f, "`{name}` is used twice; each name once"),
            Self::Other(sentence) => f.write_str(sentence),
        }
    }
}

/// A limit without trailing zeros; limits have six decimals at most. (The general way to write a
/// number weighs 2 kB on the page.)
fn plain(limit: f64) -> String {
    let text = crate::decimal::fixed(limit, 6).to_string();
    text.trim_end_matches('0').trim_end_matches('.').to_string()
}

impl fmt::Display for Invalid {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.field, self.problem)
    }
}

impl std::error::Error for Invalid {}
