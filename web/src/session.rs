//! What was entered, and what follows from it. One `Session` lives as long as the page.
//!
//! The document holds only what was typed and chosen; all else is derived. Effects write outward
//! (storage, title, theme) and set nothing here.

use std::rc::Rc;

use crate::signals::*;

use crate::document::{Document, Draft, Language, Theme, Typed};
use crate::dom::{self, memo};
use crate::field::Field;
use crate::night::State;
use crate::numbers;
use crate::platform;
use crate::screens::pocket;
use crate::screens::site::{Line, View, lines};
use crate::station::{self, Outcome};
use crate::text::{self, LaterText, Text};
use crate::units::System;

/// A row of the page that can be open; one at a time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Row {
    Soil,
    Slope,
    Rate,
    Plants,
    Water,
    Uniformity,
    Roots,
    Depletion,
    Rain,
    Days,
    Why,
}

impl Row {
    /// All rows, each at its number.
    pub const ALL: [Self; 11] = [
        Self::Soil,
        Self::Slope,
        Self::Rate,
        Self::Plants,
        Self::Water,
        Self::Uniformity,
        Self::Roots,
        Self::Depletion,
        Self::Rain,
        Self::Days,
        Self::Why,
    ];
}

/// Whose facts a part of the page shows and changes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Whose {
    /// The station being worked on.
    Draft,
    /// The open site's.
    Site,
    /// A supply's of the open site, by its number.
    Supply(u32),
    /// A kept station's, by its number.
    Kept(u32),
    /// Those of all stations picked in the Site: the first one's are shown, all are changed.
    Picked,
}

/// A place of the page.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Place {
    /// One station, quick.
    Pocket,
    /// What is on the ground.
    Site,
    /// Who runs when, and what to key.
    Night,
    /// Month by month.
    Year,
    /// What leaves the phone.
    Papers,
    /// Of that, the quote.
    Quote,
}

/// From how many kept stations on a document takes long to write.
const LARGE: usize = 60;

/// Everything the parts of the page share.
#[derive(Clone, Copy)]
pub struct Session {
    /// Whose facts this handle reads and changes.
    pub whose: Whose,
    /// The place that is shown.
    pub place: RwSignal<Place>,
    /// What is kept on the phone.
    pub document: RwSignal<Document>,
    /// The row that is open.
    pub open: RwSignal<Option<Row>>,
    /// What the Night shows beyond the document.
    pub night: RwSignal<State>,
    /// Whether the last writing reached no store.
    pub unsaved: RwSignal<bool>,
    /// What was stored and could not be read, set aside.
    pub set_aside: RwSignal<Option<String>>,
    /// What of the Papers is open.
    pub papers: RwSignal<crate::screens::papers::View>,
    /// The reader writes a decimal comma.
    pub comma: bool,
    /// The phone's month, 1 to 12.
    pub month: u32,
    /// What follows from the draft, with the last good answer kept while an entry is not understood.
    pub shown: Memo<Shown>,
    /// What is open or half done in the Pocket.
    pub pocket: RwSignal<pocket::View>,
    /// What the strip knows.
    pub head: RwSignal<pocket::Head>,
    /// What would help a station that is too fast.
    pub helps: RwSignal<Vec<pocket::Help>>,
    /// The wall clock while the stopwatch runs, milliseconds since 1970.
    pub moment: RwSignal<u64>,
    /// What of the Site is open.
    pub site: RwSignal<View>,
    /// The open site's stations with their answers.
    pub lines: Memo<Vec<Rc<Line>>>,
    words: Memo<Language>,
    units: Memo<System>,
}

/// The answer on the page.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Shown {
    /// The last answer that could be worked out.
    pub last: Option<Outcome>,
    /// Whether it is older than what is entered now.
    pub old: bool,
    /// What is still missing or wrong.
    pub lacking: station::Lacking,
}

impl Session {
    /// Starts from the stored text, if there is one.
    pub fn start(
        stored: Option<String>,
        browser_language: Language,
        comma: bool,
        month: u32,
    ) -> Self {
        let (document, set_aside) = match stored {
            None => (Document::default(), None),
            Some(text) => match Document::read(&text) {
                Ok(document) => (document, None),
                Err(_) => (Document::default(), Some(text)),
            },
        };
        let document = RwSignal::new(document);
        let shown = Memo::new(move |before: Option<&Shown>| {
            // One chain for each change of anything costs less than a memo of what it rests on weighs.
            match document.with(|d| station::work_out(&d.draft, &d.season_of_draft(month))) {
                Ok(outcome) => Shown {
                    last: Some(outcome),
                    old: false,
                    lacking: Default::default(),
                },
                Err(lacking) => {
                    let last = match lacking.given() {
                        true => before.and_then(|b| b.last.clone()),
                        false => None,
                    };
                    Shown {
                        old: last.is_some(),
                        last,
                        lacking,
                    }
                }
            }
        });
        Self {
            whose: Whose::Draft,
            place: RwSignal::new(Place::Pocket),
            document,
            open: RwSignal::new(None),
            night: RwSignal::new(State::default()),
            unsaved: RwSignal::new(false),
            set_aside: RwSignal::new(set_aside),
            papers: RwSignal::new(Default::default()),
            comma,
            month,
            shown,
            pocket: RwSignal::new(pocket::View::default()),
            head: RwSignal::new(pocket::Head::default()),
            helps: RwSignal::new(Vec::new()),
            moment: RwSignal::new(0),
            site: RwSignal::new(View::default()),
            lines: Memo::new(move |before: Option<&Vec<Rc<Line>>>| {
                document.with(|d| lines(before, d, month))
            }),
            words: memo(move || {
                document
                    .with(|d| d.prefs.language)
                    .unwrap_or(browser_language)
            }),
            units: memo(move || document.with(Document::units)),
        }
    }

    /// The page's words now; tracked.
    pub fn text(self) -> &'static Text {
        text::text(self.words.get())
    }

    /// The words of the places that come later; tracked.
    pub fn later_text(self) -> &'static LaterText {
        text::later(self.words.get())
    }

    /// Units shown now; tracked.
    pub fn units(self) -> System {
        self.units.get()
    }

    /// Units shown now; for event handlers.
    pub fn units_now(self) -> System {
        self.units.get_untracked()
    }

    /// The language now; tracked.
    pub fn language(self) -> Language {
        self.words.get()
    }

    /// The language now; for event handlers.
    pub fn language_now(self) -> Language {
        self.words.get_untracked()
    }

    /// The same session for somebody else's facts.
    pub fn of(self, whose: Whose) -> Self {
        Self { whose, ..self }
    }

    /// Reads something of the facts; tracked.
    pub fn draft<T>(self, read: impl FnOnce(&Draft) -> T) -> T {
        let whose = self.one();
        self.document.with(|d| read(facts(d, whose)))
    }

    /// Reads something of the facts in an event handler.
    pub fn draft_now<T>(self, read: impl FnOnce(&Draft) -> T) -> T {
        let whose = untrack(|| self.one());
        self.document.with_untracked(|d| read(facts(d, whose)))
    }

    /// Whose facts are shown: of those picked, the first one's.
    fn one(self) -> Whose {
        if self.whose != Whose::Picked {
            return self.whose;
        }
        let first = self
            .site
            .with(|view| view.picked.as_ref()?.first().copied());
        Whose::Kept(first.unwrap_or_default())
    }

    /// The numbers of the stations whose facts these are.
    pub fn stations(self) -> Vec<u32> {
        match self.whose {
            Whose::Kept(id) => vec![id],
            Whose::Picked => self
                .site
                .with(|view| view.picked.clone().unwrap_or_default()),
            _ => Vec::new(),
        }
    }

    /// Whether not all that are picked have the same typed in a field.
    pub fn differs(self, field: Field) -> bool {
        let picked = match self.whose {
            Whose::Picked => self
                .site
                .with(|view| view.picked.clone().unwrap_or_default()),
            _ => return false,
        };
        self.document.with(|d| {
            let typed = |id: &u32| d.station(*id)?.draft.numbers.get(field).cloned();
            let mut all = picked.iter().map(typed);
            let first = all.next();
            all.any(|one| Some(one) != first)
        })
    }

    /// Changes the facts; nobody hears of it where `change` says that it changed nothing.
    pub fn change_if(self, change: impl FnOnce(&mut Draft) -> bool) {
        let mut draft = self.draft_now(Draft::clone);
        if change(&mut draft) {
            self.change(|d| d.clone_from(&draft));
        }
    }

    /// Changes the facts.
    pub fn change(self, change: impl FnOnce(&mut Draft)) {
        let change = std::cell::Cell::new(Some(change));
        self.change_each(&|draft| {
            if let Some(change) = change.take() {
                change(draft);
            }
        });
    }

    /// Changes the facts; those of each station, where several are meant.
    pub fn change_each(self, change: &dyn Fn(&mut Draft)) {
        let stations = untrack(|| self.stations());
        self.document.update(|d| match self.whose {
            Whose::Draft => change(&mut d.draft),
            Whose::Site => change(&mut d.site_mut().facts),
            Whose::Supply(id) => {
                let supplies = &mut d.site_mut().supplies;
                if let Some(supply) = supplies.iter_mut().find(|supply| supply.id == id) {
                    change(&mut supply.facts);
                }
            }
            Whose::Kept(_) | Whose::Picked => {
                for id in stations {
                    d.change_station(id, change);
                }
            }
        });
    }

    /// Takes what was typed into a field, in the units shown.
    pub fn type_number(self, field: Field, text: String) {
        let units = self.units.get_untracked();
        self.change_each(&|draft| {
            let text = text.clone();
            let typed = (!text.is_empty()).then_some(Typed { text, units });
            draft.numbers.set(field, typed);
        });
    }

    /// Puts a number found some other way into a field, as if typed in the units shown.
    pub fn put_number(self, field: Field, inside: f64) {
        let units = self.units.get_untracked();
        let text = numbers::write(field.spec().kind.outward(inside, units), 3, self.comma);
        self.type_number(field, text);
    }

    /// What a field shows: what was typed when the units are those it was typed in, else converted.
    pub fn field_text(self, field: Field) -> String {
        let units = self.units();
        if self.differs(field) {
            return String::new();
        }
        self.draft(|draft| draft.numbers.get(field).cloned())
            .map_or_else(String::new, |typed| {
                let kind = field.spec().kind;
                if typed.units == units || kind.sign(typed.units) == kind.sign(units) {
                    return typed.text;
                }
                match numbers::read(&typed.text) {
                    Ok(number) => {
                        let inside = kind.inward(number, typed.units);
                        numbers::write(kind.outward(inside, units), 3, self.comma)
                    }
                    Err(_) => typed.text,
                }
            })
    }

    /// The id of a field's input on the page.
    pub fn field_id(self, field: Field) -> String {
        let whose = match self.whose {
            Whose::Draft => String::new(),
            Whose::Site => "site-".into(),
            Whose::Supply(id) => format!("supply-{id}-"),
            Whose::Kept(id) => format!("kept-{id}-"),
            Whose::Picked => "picked-".into(),
        };
        format!("field-{whose}{}", field as u8)
    }

    /// Opens a row, or closes it when it is the open one.
    pub fn toggle(self, row: Row) {
        self.open
            .update(|open| *open = if *open == Some(row) { None } else { Some(row) });
    }

    /// Sets a preference.
    pub fn set_language(self, language: Language) {
        self.document.update(|d| d.prefs.language = Some(language));
    }

    /// The next look after the one in force.
    pub fn turn_theme(self) {
        self.document.update(|d| {
            d.prefs.theme = match d.prefs.theme {
                None => Some(Theme::Sun),
                Some(Theme::Sun) => Some(Theme::Light),
                Some(Theme::Light) => Some(Theme::Dark),
                Some(Theme::Dark) => None,
            };
        });
    }

    /// Writes outward from now on: storage, theme, language.
    pub fn keep_writing(self) {
        let document = self.document;
        match self.set_aside.get_untracked() {
            Some(text) => platform::save("set-aside", &text),
            // What can still be put back keeps its photo; the others' go for good.
            None => platform::keep_photos(document.with_untracked(Document::photos)),
        }
        // The text that is stored as far as this window knows; it is not written again.
        let known = StoredValue::new(document.with_untracked(Document::write));
        let write = move || {
            let text = document.with_untracked(Document::write);
            if known.with_value(|known| *known != text) {
                platform::save("page", &text);
                known.set_value(text);
            }
        };
        // A large one is written when the key that changed it is painted.
        let soon = once_quiet(60, write);
        dom::follow(move || {
            if document.with(|d| d.kept.len() > LARGE) {
                soon();
            } else {
                write();
            }
        });
        hear("pagehide", write);
        hear("drycurb-elsewhere", move || {
            // What a newer page wrote is left alone: this window goes on with what it has.
            if let Ok(written) = Document::read(&platform::elsewhere()) {
                known.set_value(written.write());
                document.set(written);
            }
        });
        let theme = memo(move || document.with(|d| d.prefs.theme));
        dom::follow(move || {
            platform::theme(match theme.get() {
                None => "",
                Some(Theme::Light) => "light",
                Some(Theme::Dark) => "dark",
                Some(Theme::Sun) => "sun",
            });
        });
        dom::follow(move || {
            let code = match self.language() {
                Language::En => "en",
                Language::Es => "es",
            };
            if let Some(root) = dom::document().document_element() {
                let _ = root.set_attribute("lang", code);
            }
        });
        let unsaved = self.unsaved;
        hear("drycurb-unsaved", move || unsaved.set(true));
    }
}

fn facts(document: &Document, whose: Whose) -> &Draft {
    match whose {
        Whose::Draft => &document.draft,
        Whose::Site => &document.site().facts,
        Whose::Supply(id) => &document.site().supply(id).facts,
        // A station deleted a moment ago is read once more before its part is gone.
        Whose::Kept(id) => {
            let kept = document.station(id);
            kept.map_or(&document.draft, |kept| &kept.draft)
        }
        Whose::Picked => &document.draft,
    }
}
