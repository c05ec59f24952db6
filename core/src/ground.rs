//! Stage 2: what soil and slope let in, how long a run may last, how long it must soak.
//!
//! In comes a [`Texture`], a slope, a [`Condition`] and what was measured on site; out come the
//! longest run before runoff, by the trade's [`protocol`](mod@protocol) and by a soil model, and a
//! day's water split into runs and soaks that the model lets in.

pub mod cycle;
pub mod event;
pub mod first_run;
pub mod green_ampt;
pub mod model;
pub mod most_rate;
pub mod protocol;
pub mod pulses;
pub mod soil;
pub mod split;
pub mod texture;
pub mod water;

pub use cycle::{Cycle, Limits, cycle, limits};
pub use soil::{Basis, Condition, Ground};
pub use split::Split;
pub use texture::Texture;
