//! A labelled number: how what was typed was understood, what is wrong with it, and its steps.

use crate::field::Field;
use crate::numbers;
use crate::session::Session;
use crate::station::{self, Fault};
use crate::text::fill;
use crate::units::{Kind, System};

/// One more or one less, to a whole step.
pub fn step(session: Session, field: Field, up: bool) {
    let spec = field.spec();
    let units = session.units_now();
    let now = session.draft_now(|draft| station::number_or_default(draft, field));
    let step = step_of(spec.kind, units);
    let outward = spec.kind.outward(now.unwrap_or(spec.least), units);
    let steps = (outward / step + if up { 1.0 } else { -1.0 }).round();
    let inside = spec
        .kind
        .inward(steps * step, units)
        .max(spec.least)
        .min(spec.most);
    session.put_number(field, inside);
}

/// What stands under the field: the fault, or how the number was understood, in both systems.
pub fn note_words(session: Session, field: Field) -> String {
    let text = session.text();
    let units = session.units();
    let kind = field.spec().kind;
    let typed = session.draft(|draft| draft.numbers.get(field).is_some());
    match session.draft(|draft| station::number(draft, field)) {
        Err(fault) => fault_words(session, field, fault),
        Ok(Some(inside)) if typed => {
            let here = kind.show_with_sign(inside, units, session.comma);
            let other = if units == System::Us {
                System::Si
            } else {
                System::Us
            };
            let there = kind.show_with_sign(inside, other, session.comma);
            let value = if here == there {
                here
            } else {
                format!("{here} · {there}")
            };
            fill(text.understood, &[("value", &value)])
        }
        Ok(_) => String::new(),
    }
}

/// A fault in the reader's words and units.
fn fault_words(session: Session, field: Field, fault: Fault) -> String {
    let text = session.text();
    match fault {
        Fault::Empty => text.fault_empty.into(),
        Fault::NotANumber => text.fault_not_number.into(),
        Fault::NotWhole => text.fault_not_whole.into(),
        Fault::Range { least, most } => {
            let kind = field.spec().kind;
            let units = session.units();
            let least = numbers::write(ceil_short(kind.outward(least, units)), 3, session.comma);
            let most = numbers::write(floor_short(kind.outward(most, units)), 3, session.comma);
            let sign = kind.sign(units);
            let most = if sign.is_empty() {
                most
            } else {
                format!("{most} {sign}")
            };
            fill(text.fault_range, &[("least", &least), ("most", &most)])
        }
    }
}

/// Rounded up to a number that shows in three decimals, so that what is stated is accepted.
fn ceil_short(value: f64) -> f64 {
    (value * 1000.0 - 1e-6).ceil() / 1000.0
}

fn floor_short(value: f64) -> f64 {
    (value * 1000.0 + 1e-6).floor() / 1000.0
}

/// Whether numbers of a kind are counted in steps.
pub fn has_steps(kind: Kind) -> bool {
    matches!(
        kind,
        Kind::Rate | Kind::Percent | Kind::Minutes | Kind::Count | Kind::Degrees
    )
}

fn step_of(kind: Kind, units: System) -> f64 {
    if kind == Kind::Rate && units == System::Us {
        0.05
    } else {
        1.0
    }
}
