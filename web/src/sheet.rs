//! Sheets: places of the page that are drawn as markup.
//!
//! A place is two functions: `draw` writes all of its markup from the session, `act` answers what a
//! hand did. After every change the markup is written anew and the page is changed only where it
//! differs ([`platform::morph`]): an input that has the focus keeps its text, an element with an id
//! is told apart by it. No element carries a handler; what a tap means stands in the markup:
//!
//! - `data-do="verb"`, on buttons: a tap is the act `verb`, with what `data-value` says.
//! - `data-in="verb"`, on inputs, selects and ticks: every change is the act `verb` with the value
//!   (`true` or empty for a tick). `data-enter="verb"` on a form: sent by the Enter key.
//! - `data-at="12"` and `data-of="text"` say which one; `data-focus` on a new element takes the
//!   focus there.
//!
//! One such place costs a tenth of what the same place costs built of elements with closures.

use std::cell::Cell;

use wasm_bindgen::prelude::*;

use crate::document::Named;
use crate::dom::{El, el, follow};
use crate::field::Field;
use crate::parts::number_field::{has_steps, note_words, step};
use crate::platform;
use crate::session::{Session, Whose};
use crate::signals::*;
use crate::station;
use crate::text::{LaterText, Text};

/// What a hand did.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Act {
    /// What to do.
    pub verb: String,
    /// To which one; 0 where there is one only.
    pub at: u32,
    /// To what of it.
    pub of: String,
    /// What stands in the input now.
    pub value: String,
}

/// Markup being written.
pub struct Sheet {
    /// What it is written from. Reading its signals here is tracked.
    pub session: Session,
    /// The page's words.
    pub text: &'static Text,
    /// Takes the focus to the next number that is written, once for each word of this.
    pub focus: String,
    /// What the next entry says of itself; none where it cannot be wrong.
    fault: Option<String>,
    out: String,
    /// Rows as they were drawn last, and as they are drawn now, by number.
    before: Vec<(u32, String)>,
    rows: Vec<(u32, String)>,
}

/// A place that follows the session.
pub fn sheet(
    session: Session,
    class: &'static str,
    draw: fn(&mut Sheet),
    act: fn(Session, &Act),
) -> El {
    part(session, el("main").class(class), None, draw, act)
}

/// A part of a place that is drawn by itself, when what it read changes. While `open` says that
/// something is open beside it, what is typed there reaches it when the hand rests: a long list is not
/// drawn between two keys.
pub fn part(
    session: Session,
    main: El,
    open: Option<fn(Session) -> bool>,
    draw: fn(&mut Sheet),
    act: fn(Session, &Act),
) -> El {
    let hear = Closure::<dyn FnMut(String, u32, String, String)>::new(
        move |verb: String, at: u32, of: String, value: String| {
            let done = Act {
                verb,
                at,
                of,
                value,
            };
            match done.verb.as_str() {
                "number" | "more" | "less" => number_act(session, &done),
                _ => act(session, &done),
            }
        },
    );
    platform::sheet(main.node(), hear.into_js_value().unchecked_ref());
    let place = main.node().clone();
    let rows = Cell::new(Vec::new());
    let paint = move || {
        let mut sheet = Sheet::new(session);
        sheet.before = rows.take();
        draw(&mut sheet);
        platform::morph(&place, &sheet.out);
        rows.set(sheet.rows);
    };
    let rested = RwSignal::new(());
    if open.is_some() {
        let soon = once_quiet(REST_MS, move || rested.set(()));
        follow(move || {
            session.document.with(|_| ());
            soon();
        });
    }
    follow(move || {
        rested.get();
        if open.is_some_and(|open| open(session)) {
            untrack(&paint);
        } else {
            paint();
        }
    });
    main
}

/// How long a hand rests before what stands beside follows.
const REST_MS: i32 = 150;

/// A typed or stepped number goes to the field that `of` names: `k12 rate_flow` is station 12's flow.
fn number_act(session: Session, act: &Act) {
    let Some((whose, field)) = act.of.split_once(' ') else {
        return;
    };
    let number = || whose.get(1..)?.parse().ok();
    let whose = match (whose.get(..1), number()) {
        (Some("s"), _) => Whose::Site,
        (Some("p"), Some(id)) => Whose::Supply(id),
        (Some("k"), Some(id)) => Whose::Kept(id),
        (Some("m"), _) => Whose::Picked,
        _ => Whose::Draft,
    };
    if let Some(field) = Field::of(field) {
        let session = session.of(whose);
        match act.verb.as_str() {
            "number" => session.type_number(field, act.value.clone()),
            verb => step(session, field, verb == "more"),
        }
    }
}

/// Whose facts, as markup says it.
fn whose_word(whose: Whose) -> String {
    match whose {
        Whose::Draft => "d".into(),
        Whose::Site => "s".into(),
        Whose::Supply(id) => format!("p{id}"),
        Whose::Kept(id) => format!("k{id}"),
        Whose::Picked => "m".into(),
    }
}

impl Sheet {
    /// An empty one.
    pub fn new(session: Session) -> Self {
        Self {
            session,
            text: session.text(),
            focus: String::new(),
            fault: None,
            out: String::new(),
            before: Vec::new(),
            rows: Vec::new(),
        }
    }

    /// The words of the places that come later.
    pub fn later(&self) -> &'static LaterText {
        self.session.later_text()
    }

    /// The markup.
    pub fn into_text(self) -> String {
        self.out
    }

    /// Markup with values: every `{}` stands for the next value, which is made harmless.
    pub fn put(&mut self, markup: &str, values: &[&str]) {
        let mut rest = markup;
        for value in values {
            let Some((before, after)) = rest.split_once("{}") else {
                break;
            };
            self.out.push_str(before);
            escape(&mut self.out, value);
            rest = after;
        }
        self.out.push_str(rest);
    }

    /// A row of a long list, an `li` whose id is `row-` and its number. One that is as it was is only
    /// named: of 200 rows one changes at a key, and reading the others' markup takes longest.
    pub fn row(&mut self, number: u32, markup: &str, values: &[&str]) {
        let start = self.out.len();
        self.put(markup, values);
        let drawn = self.out[start..].to_string();
        let place = self.rows.len();
        let near = self.before.get(place).filter(|(n, _)| *n == number);
        let known = near.or_else(|| self.before.iter().find(|(n, _)| *n == number));
        if known.is_some_and(|(_, markup)| *markup == drawn) {
            self.out.truncate(start);
            self.put("<li id=\"row-{}\" data-same></li>", &[&number.to_string()]);
        }
        self.rows.push((number, drawn));
    }

    /// A button. `class` may be empty; `main` for the one that leads on.
    pub fn key(&mut self, class: &str, verb: &str, at: u32, words: &str) {
        self.put(
            "<button type=\"button\" class=\"{}\" data-do=\"{}\" data-at=\"{}\">{}</button>",
            &[class, verb, &at.to_string(), words],
        );
    }

    /// A button whose words don't tell which one it is for: `whose` is added for the ear.
    pub fn key_for(&mut self, class: &str, verb: &str, at: u32, words: &str, whose: &str) {
        self.put(
            "<button type=\"button\" class=\"{}\" data-do=\"{}\" data-at=\"{}\">{}\
             <span class=\"unseen\"> {}</span></button>",
            &[class, verb, &at.to_string(), words, whose],
        );
    }

    /// What would be taken by the next entry, while what stands there is not; empty while it is. Every
    /// entry that may be wrong is told, so that it stays the same element when it becomes so.
    #[inline(never)]
    pub fn fault(&mut self, fault: &str) {
        self.fault = Some(fault.into());
    }

    /// A labelled line of text. `hint` shows while it is empty.
    pub fn entry(&mut self, verb: &str, at: u32, label: &str, value: &str, hint: &str) {
        self.line(verb, at, [label, value, hint, "text"]);
    }

    /// The same of label, text, hint and the keyboard that fits (an `inputmode`), with what would be
    /// taken while what stands there is not.
    pub fn entry_with(&mut self, verb: &str, at: u32, words: [&str; 4], fault: Option<&str>) {
        self.fault(fault.unwrap_or_default());
        self.line(verb, at, words);
    }

    #[inline(never)]
    fn line(&mut self, verb: &str, at: u32, words: [&str; 4]) {
        let [label, value, hint, keyboard] = words;
        let at = at.to_string();
        let id = [verb, "-", &at].concat();
        let focus = self.take_focus();
        let fault = self.fault.take();
        if fault.is_some() {
            self.put("<div>", &[]);
        }
        self.put(
            "<label class=\"number-field\">{}<input type=\"text\" autocomplete=\"off\" \
             inputmode=\"{}\" id=\"{}\" data-in=\"{}\" data-at=\"{}\" value=\"{}\" \
             placeholder=\"{}\" {}",
            &[label, keyboard, &id, verb, &at, value, hint, &focus],
        );
        match fault {
            None => self.put("></label>", &[]),
            Some(fault) if fault.is_empty() => self.put("></label></div>", &[]),
            Some(fault) => self.put(
                " aria-invalid=\"true\" aria-describedby=\"{}-note\"></label>\
                 <p class=\"note wrong\" id=\"{}-note\">{}</p></div>",
                &[&id, &id, &fault],
            ),
        }
    }

    /// The focus for the next number or line.
    fn take_focus(&mut self) -> String {
        match std::mem::take(&mut self.focus) {
            focus if focus.is_empty() => focus,
            focus => ["data-focus=", &focus].concat(),
        }
    }

    /// A button that says two things: `of` and `value`.
    pub fn key_of(&mut self, class: &str, verb: &str, of: &str, value: &str, words: &str) {
        self.put(
            "<button type=\"button\" class=\"{}\" data-do=\"{}\" data-of=\"{}\" data-value=\"{}\">{}</button>",
            &[class, verb, of, value, words],
        );
    }

    /// A labelled number of somebody's facts, with how it was understood or what is wrong.
    pub fn number(&mut self, whose: Whose, field: Field) {
        self.number_with(whose, field, false);
    }

    /// The same with keys for one more and one less, where numbers are counted in steps.
    pub fn number_stepped(&mut self, whose: Whose, field: Field) {
        self.number_with(whose, field, true);
    }

    /// Several of them side by side where there is room.
    pub fn numbers(&mut self, whose: Whose, fields: &[Field]) {
        self.numbers_with(whose, fields, false);
    }

    /// The same with keys for one more and one less, where numbers are counted in steps.
    pub fn numbers_stepped(&mut self, whose: Whose, fields: &[Field]) {
        self.numbers_with(whose, fields, true);
    }

    fn numbers_with(&mut self, whose: Whose, fields: &[Field], stepped: bool) {
        self.put("<div class=\"three\">", &[]);
        for field in fields {
            self.number_with(whose, *field, stepped);
        }
        self.put("</div>", &[]);
    }

    fn number_with(&mut self, whose: Whose, field: Field, stepped: bool) {
        let session = self.session.of(whose);
        let spec = field.spec();
        let label = (spec.label)(self.text);
        let id = session.field_id(field);
        let differs = session.differs(field);
        let (mut hint, mut note, mut wrong) = (String::new(), String::new(), false);
        if differs {
            hint.push_str(self.text.site.differs);
        } else {
            if let Some(inside) = session.draft(|draft| station::default_of(draft, field)) {
                hint = spec.kind.show(inside, session.units(), session.comma);
            }
            wrong = session.draft(|draft| station::fault(draft, field).is_some());
            note = note_words(session, field);
        }
        let focus = self.take_focus();
        let class = if wrong { "note wrong" } else { "note" };
        let of = [whose_word(whose).as_str(), " ", field.name()].concat();
        self.put(
            "<div class=\"number-field\"><label for=\"{}\">{} <span class=\"unit\">{}</span></label>",
            &[&id, label, spec.kind.sign(session.units())],
        );
        self.put(if stepped { "<div class=\"entry\">" } else { "" }, &[]);
        self.put(
            "<input type=\"text\" inputmode=\"{}\" enterkeyhint=\"next\" autocomplete=\"off\" \
             id=\"{}\" aria-describedby=\"{}-note\" aria-invalid=\"{}\" data-in=\"number\" \
             data-of=\"{}\" value=\"{}\" placeholder=\"{}\" {}>",
            &[
                // Some phones' keyboards for numbers have no minus.
                if spec.least < 0.0 { "text" } else { "decimal" },
                &id,
                &id,
                if wrong { "true" } else { "false" },
                &of,
                &session.field_text(field),
                &hint,
                &focus,
            ],
        );
        if stepped && has_steps(spec.kind) {
            for (verb, sign, word) in [("less", "−", self.text.less), ("more", "+", self.text.more)]
            {
                self.put(
                    "<button type=\"button\" class=\"step\" data-do=\"{}\" data-of=\"{}\" \
                     aria-label=\"{}: {}\">{}</button>",
                    &[verb, &of, label, word, sign],
                );
            }
        }
        self.put(if stepped { "</div>" } else { "" }, &[]);
        self.put(
            "<p class=\"{}\" id=\"{}-note\">{}</p></div>",
            &[class, &id, &note],
        );
    }

    /// A labelled list to choose one of: value and word each.
    pub fn select(&mut self, verb: &str, at: u32, label: &str, list: &[(&str, &str)], now: &str) {
        let at = at.to_string();
        self.put(
            "<label class=\"pick\">{}<select id=\"{}-{}\" data-in=\"{}\" data-at=\"{}\">",
            &[label, verb, &at, verb, &at],
        );
        for (value, word) in list {
            let chosen = if *value == now { "selected" } else { "" };
            self.put(
                "<option value=\"{}\" {}>{}</option>",
                &[value, chosen, word],
            );
        }
        self.put("</select></label>", &[]);
    }

    /// One of a few, as a row of buttons: value and word each. The value comes in `of`.
    pub fn choices(&mut self, verb: &str, at: u32, label: &str, list: &[(&str, &str)], now: &str) {
        self.put(
            "<div class=\"choices\" role=\"group\" aria-label=\"{}\">",
            &[label],
        );
        for (value, word) in list {
            let pressed = if *value == now { "true" } else { "false" };
            self.put(
                "<button type=\"button\" aria-pressed=\"{}\" data-do=\"{}\" data-at=\"{}\" \
                 data-of=\"{}\">{}</button>",
                &[pressed, verb, &at.to_string(), value, word],
            );
        }
        self.put("</div>", &[]);
    }

    /// Something that is so or not.
    pub fn tick(&mut self, verb: &str, at: u32, of: &str, label: &str, on: bool) {
        let checked = if on { "checked" } else { "" };
        self.put(
            "<label class=\"tick\"><input type=\"checkbox\" data-in=\"{}\" data-at=\"{}\" \
             data-of=\"{}\" {}>{}</label>",
            &[verb, &at.to_string(), of, checked, label],
        );
    }
}

/// Text as it stands in markup and in quoted attributes.
fn escape(out: &mut String, text: &str) {
    for part in text.chars() {
        match part {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            _ => out.push(part),
        }
    }
}
