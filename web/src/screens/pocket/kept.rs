//! Keeping a station under a name, and the list of those kept: open, rename, delete, undo.

use crate::signals::*;

use crate::document::Kept;
use crate::dom::{El, el, key, memo};
use crate::parts::words::{Word, how, said};
use crate::platform;
use crate::session::{Place, Session};
use crate::text::fill;

/// The key that keeps the station, with its name.
pub fn keep(session: Session) -> El {
    let name = RwSignal::new(String::new());
    let said_name = RwSignal::new(None::<String>);
    let opened = memo(move || {
        session.document.with(|d| {
            let id = d.opened?;
            d.kept
                .iter()
                .find(|kept| kept.id == id)
                .map(|kept| kept.name.clone())
        })
    });
    let fallback = move || default_name(session);
    let chosen_name = move || {
        let typed = name.get_untracked().trim().to_string();
        if typed.is_empty() {
            untrack(fallback)
        } else {
            typed
        }
    };
    let keep_new = move || {
        let kept_name = chosen_name();
        session.document.update(|d| {
            let id = d.fresh_id();
            d.kept.push(Kept {
                id,
                name: kept_name.clone(),
                draft: d.draft_to_keep(),
                site: d.site().id,
                supply: d.site().supplies[0].id,
                ..Kept::default()
            });
            d.opened = Some(id);
        });
        name.set(String::new());
        said_name.set(Some(kept_name));
        platform::persist();
    };
    let keep_changes = move || {
        session.document.update(|d| {
            let draft = d.draft_to_keep();
            if let Some(kept) = d.opened.and_then(|id| d.station_mut(id)) {
                kept.draft = draft;
            }
        });
        said_name.set(opened.get_untracked());
        // Whoever came from a station of the Site goes back to it.
        if session.site.with_untracked(|view| view.to_pocket) {
            session.site.update(|view| view.to_pocket = false);
            session.place.set(Place::Site);
        }
    };
    let new_station = move || {
        let aside = name_of_draft(session);
        session.document.update(|d| {
            d.set_draft_aside(aside);
            d.draft = d.draft.blank_of_same_season();
            d.opened = None;
        });
        said_name.set(None);
        session.open.set(None);
    };
    let unchanged = move || {
        session.document.with(|d| {
            !d.kept
                .iter()
                .any(|kept| Some(kept.id) == d.opened && d.facts_of(kept) != d.draft)
        })
    };
    let changes_key = move || {
        let name = opened.get()?;
        Some(
            key(keep_changes)
                .class("main")
                .property_when("disabled", unchanged)
                .say(move || fill(session.text().keep_changes, &[("name", &name)])),
        )
    };
    let keep_words = move || {
        let text = session.text();
        if opened.with(Option::is_some) {
            text.keep_as_new
        } else {
            text.keep
        }
        .to_string()
    };
    let input = name_input(name)
        .id("station-name")
        .attr_of("placeholder", move || Some(fallback()));
    let kept_line = move || {
        said_name.get().map_or(String::new(), |name| {
            fill(session.text().kept_as, &[("name", &name)])
        })
    };
    el("section")
        .class("keep")
        .with_of(changes_key)
        .with(
            el("div")
                .class("number-field")
                .with(said(session, "label", |t| t.station_name).attr("for", "station-name"))
                .with(input),
        )
        .with(
            el("div")
                .class("entry")
                .with(key(keep_new).class("main").say(keep_words))
                .with(key(new_station).word(session, |t| t.new_station)),
        )
        .with(el("p").class("note").attr("role", "status").say(kept_line))
}

/// The name of a station that was given none.
fn default_name(session: Session) -> String {
    let next = session
        .document
        .with(|d| d.stations().count() + 1)
        .to_string();
    fill(session.text().station_default, &[("n", &next)])
}

/// The name that the draft was opened under, or a default.
pub fn name_of_draft(session: Session) -> String {
    let opened = session.document.with_untracked(|d| {
        let kept = d.kept.iter().find(|kept| Some(kept.id) == d.opened);
        kept.map(|kept| kept.name.clone())
    });
    opened.unwrap_or_else(|| untrack(|| default_name(session)))
}

fn name_input(name: RwSignal<String>) -> El {
    el("input")
        .attr("type", "text")
        .attr("autocomplete", "off")
        .attr("maxlength", "60")
        .attr("enterkeyhint", "done")
        .value_of(move || name.get())
        .typed(move |text| name.set(text))
}

/// What is kept on this phone.
pub fn list(session: Session) -> El {
    let ids = memo(move || {
        session
            .document
            .with(|d| d.stations().map(|k| k.id).collect::<Vec<_>>())
    });
    let gone = memo(move || {
        session
            .document
            .with(|d| d.deleted.last().map(|kept| kept.name.clone()))
    });
    let none = move || {
        ids.with(Vec::is_empty)
            .then(|| how(session, |t| t.kept_none))
    };
    let undo = move || {
        let name = gone.get()?;
        let words = move || fill(session.text().undo_delete, &[("name", &name)]);
        Some(key(move || session.document.update(|d| d.put_back_stations(1))).say(words))
    };
    el("section")
        .class("kept")
        .with(said(session, "h2", |t| t.kept_stations))
        .with_of(none)
        .with(el("ul").with_each(move || ids.get(), move |id| item(session, id)))
        .with_of(undo)
}

fn item(session: Session, id: u32) -> El {
    let renaming = RwSignal::new(false);
    let new_name = RwSignal::new(String::new());
    let name = memo(move || {
        session.document.with(|d| {
            let kept = d.kept.iter().find(|kept| kept.id == id);
            kept.map(|kept| kept.name.clone()).unwrap_or_default()
        })
    });
    let is_open = move || session.document.with(|d| d.opened == Some(id));
    let open = move || {
        let aside = name_of_draft(session);
        session.document.update(|d| d.open_in_pocket(id, aside));
        session.open.set(None);
        if let Some(window) = web_sys::window() {
            window.scroll_to_with_x_and_y(0.0, 0.0);
        }
    };
    let start_rename = move || {
        new_name.set(name.get_untracked());
        renaming.set(true);
    };
    let finish_rename = move || {
        let typed = new_name.get_untracked().trim().to_string();
        if !typed.is_empty() {
            session.document.update(|d| {
                if let Some(kept) = d.kept.iter_mut().find(|kept| kept.id == id) {
                    kept.name = typed;
                }
            });
        }
        renaming.set(false);
    };
    let rename_form = move || {
        renaming.get().then(|| {
            el("form")
                .class("entry")
                .on("submit", move |event| {
                    event.prevent_default();
                    finish_rename();
                })
                .with(name_input(new_name).label(session, |t| t.station_name))
                .with(said(session, "button", |t| t.rename).attr("type", "submit"))
        })
    };
    // Each key says for the ear which station it means.
    let named = move |key: El, word: Word| {
        let whose = el("span")
            .class("unseen")
            .say(move || format!(" {}", name.get()));
        key.word(session, word).with(whose)
    };
    let delete_it = move || session.document.update(|d| d.delete_stations(&[id]));
    el("li")
        .class_when("current", is_open)
        .with(el("span").class("kept-name").say(move || name.get()))
        .with(
            el("span")
                .class("kept-keys")
                .with(named(key(open), |t| t.open))
                .with(named(key(start_rename), |t| t.rename))
                .with(named(key(delete_it), |t| t.delete)),
        )
        .with_of(rename_form)
}
