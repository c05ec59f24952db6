//! A labelled number: what was typed, how it was understood, and what is wrong with it.

use wasm_bindgen::JsCast;

use crate::dom::{El, el, key};
use crate::field::Field;
use crate::numbers;
use crate::session::Session;
use crate::station::{self, Fault};
use crate::text::fill;
use crate::units::{Kind, System};

/// The field with its label, stepper, echo and fault.
pub fn number_field(session: Session, field: Field) -> El {
    let id = session.field_id(field);
    let note_id = format!("{id}-note");
    let kind = field.spec().kind;
    let is_wrong = move || {
        session
            .draft(|draft| station::fault(draft, field))
            .is_some()
    };
    let placeholder = move || {
        let inside = session.draft(|draft| station::default_of(draft, field))?;
        Some(kind.show(inside, session.units(), session.comma))
    };
    let label = el("label")
        .attr("for", &id)
        .word(session, field.spec().label)
        .text(" ");
    let label = label.with(
        el("span")
            .class("unit")
            .say(move || kind.sign(session.units()).into()),
    );
    let input = el("input")
        .id(&id)
        .attr("type", "text")
        .attr("inputmode", "decimal")
        .attr("enterkeyhint", "next")
        .attr("autocomplete", "off")
        .attr("aria-describedby", &note_id)
        .attr_of("placeholder", placeholder)
        .flag("aria-invalid", is_wrong)
        .value_of(move || session.field_text(field))
        .on("focus", |event| select_all(&event))
        .typed(move |text| session.type_number(field, text));
    let mut entry = el("div").class("entry").with(input);
    if has_stepper(kind) {
        entry = entry
            .with(stepper(session, field, false))
            .with(stepper(session, field, true));
    }
    let note = el("p")
        .class("note")
        .id(&note_id)
        .class_when("wrong", is_wrong);
    el("div")
        .class("number-field")
        .with(label)
        .with(entry)
        .with(note.say(move || note_words(session, field)))
}

/// Several fields side by side where there is room.
pub fn number_fields(session: Session, fields: &[Field]) -> El {
    el("div")
        .class("three")
        .with_all(fields.iter().map(|field| number_field(session, *field)))
}

fn stepper(session: Session, field: Field, up: bool) -> El {
    key(move || step(session, field, up))
        .class("step")
        .text(if up { "+" } else { "−" })
        .label_of(move || {
            let text = session.text();
            let word = if up { text.more } else { text.less };
            format!("{}: {word}", (field.spec().label)(text))
        })
}

fn step(session: Session, field: Field, up: bool) {
    let spec = field.spec();
    let units = session.units_now();
    let now = session.draft_now(|draft| station::number_or_default(draft, field));
    let step = step_of(spec.kind, units);
    let outward = spec.kind.outward(now.unwrap_or(spec.least), units);
    let steps = (outward / step + if up { 1.0 } else { -1.0 }).round();
    let inside = spec
        .kind
        .inward(steps * step, units)
        .clamp(spec.least, spec.most);
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

fn has_stepper(kind: Kind) -> bool {
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

fn select_all(event: &web_sys::Event) {
    let input = event
        .target()
        .and_then(|t| t.dyn_into::<web_sys::HtmlInputElement>().ok());
    if let Some(input) = input {
        input.select();
    }
}
