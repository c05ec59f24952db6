//! What leaves the phone: quotes, reminders, tables, frames for a camera, the year in twelve rows,
//! and what it saves.
//!
//! Everything here makes text or numbers out of what earlier stages found; nothing decides about water.

pub mod frames;
pub mod quote;
pub mod reminder;
pub mod saving;
pub mod stations;
pub mod table;
pub mod year;
