//! Keeping a station under a name, and the list of those kept: open, rename, delete, undo.

use crate::document::{Document, Kept};
use crate::platform;
use crate::session::{Place, Session};
use crate::sheet::{Act, Sheet};
use crate::signals::*;
use crate::text::fill;

/// The keys that keep the station, with its name.
pub fn keep(sheet: &mut Sheet) {
    let (session, text) = (sheet.session, sheet.text);
    let opened = session.document.with(|d| {
        let kept = d.opened.and_then(|id| d.station(id))?;
        Some((kept.name.clone(), d.facts_of(kept) == d.draft))
    });
    let (name, kept_as) = session
        .pocket
        .with(|view| (view.name.clone(), view.kept_as.clone()));
    sheet.put("<section class=\"keep\">", &[]);
    if let Some((name, unchanged)) = &opened {
        let words = fill(text.keep_changes, &[("name", name)]);
        let disabled = if *unchanged { "disabled" } else { "" };
        sheet.put(
            "<button type=\"button\" class=\"main\" data-do=\"keep-changes\" {}>{}</button>",
            &[disabled, &words],
        );
    }
    let words = if opened.is_some() {
        text.keep_as_new
    } else {
        text.keep
    };
    sheet.put(
        "<div class=\"number-field\"><label for=\"station-name\">{}</label><input id=\"station-name\" \
         type=\"text\" autocomplete=\"off\" maxlength=\"60\" enterkeyhint=\"done\" data-in=\"name\" \
         value=\"{}\" placeholder=\"{}\"></div><div class=\"entry\">",
        &[text.station_name, &name, &default_name(session)],
    );
    sheet.key("main", "keep", 0, words);
    sheet.key("", "new", 0, text.new_station);
    let line = kept_as.map_or_else(String::new, |name| fill(text.kept_as, &[("name", &name)]));
    sheet.put(
        "</div><p class=\"note\" role=\"status\">{}</p></section>",
        &[&line],
    );
}

/// The kept stations of the open site.
pub fn list(sheet: &mut Sheet) {
    let (session, text) = (sheet.session, sheet.text);
    let renamed = session.pocket.with(|view| view.renamed.clone());
    sheet.put("<section class=\"kept\"><h2>{}</h2>", &[text.kept_stations]);
    session.document.with(|d| {
        if d.stations().next().is_none() {
            sheet.put("<p class=\"how\">{}</p>", &[text.kept_none]);
        }
        sheet.put("<ul>", &[]);
        for kept in d.stations() {
            let class = if d.opened == Some(kept.id) { "current" } else { "" };
            sheet.put(
                "<li id=\"kept-{}\" class=\"{}\"><span class=\"kept-name\">{}</span><span class=\"kept-keys\">",
                &[&kept.id.to_string(), class, &kept.name],
            );
            sheet.key_for("", "open", kept.id, text.open, &kept.name);
            sheet.key_for("", "rename", kept.id, text.rename, &kept.name);
            sheet.key_for("", "delete", kept.id, text.delete, &kept.name);
            sheet.put("</span>", &[]);
            if let Some((id, name)) = &renamed
                && *id == kept.id
            {
                sheet.put(
                    "<form class=\"entry\" data-enter=\"renamed\"><input type=\"text\" autocomplete=\"off\" \
                     maxlength=\"60\" enterkeyhint=\"done\" aria-label=\"{}\" data-in=\"new-name\" \
                     data-focus=\"rename-{}\" value=\"{}\"><button type=\"submit\">{}</button></form>",
                    &[text.station_name, &kept.id.to_string(), name, text.rename],
                );
            }
            sheet.put("</li>", &[]);
        }
        sheet.put("</ul>", &[]);
        if let Some(last) = d.last_deleted() {
            let words = fill(text.undo_delete, &[("name", &last.name)]);
            sheet.key("", "put-back", 0, &words);
        }
    });
    sheet.put("</section>", &[]);
}

/// The name of a station that was given none.
fn default_name(session: Session) -> String {
    let next = session.document.with(|d| d.stations().count() + 1);
    fill(session.text().station_default, &[("n", &next.to_string())])
}

/// The name that the draft was opened under, or a default.
pub fn name_of_draft(session: Session) -> String {
    let opened = session.document.with_untracked(|d| {
        let kept = d.opened.and_then(|id| d.station(id));
        kept.map(|kept| kept.name.clone())
    });
    opened.unwrap_or_else(|| untrack(|| default_name(session)))
}

/// What a hand did.
pub fn act(session: Session, act: &Act) {
    match act.verb.as_str() {
        "name" => session.pocket.update(|view| view.name = act.value.clone()),
        "keep" => keep_new(session),
        "keep-changes" => keep_changes(session),
        "new" => {
            let aside = name_of_draft(session);
            session.document.update(|d| {
                d.set_draft_aside(aside);
                d.draft = d.draft.blank_of_same_season();
                d.opened = None;
            });
            begin(session);
        }
        "open" => {
            let aside = name_of_draft(session);
            session.document.update(|d| d.open_in_pocket(act.at, aside));
            begin(session);
            platform::to_top();
        }
        "rename" => {
            let name = session
                .document
                .with_untracked(|d| d.station(act.at).map(|kept| kept.name.clone()));
            session
                .pocket
                .update(|view| view.renamed = name.map(|name| (act.at, name)));
        }
        "new-name" => session.pocket.update(|view| {
            if let Some((_, name)) = &mut view.renamed {
                name.clone_from(&act.value);
            }
        }),
        "renamed" => rename(session),
        "delete" => session.document.update(|d| d.delete_stations(&[act.at])),
        "put-back" => session.document.update(|d| d.put_back_stations(1)),
        _ => {}
    }
}

/// Nothing is open or half done at a station that has just come.
fn begin(session: Session) {
    session.open.set(None);
    session.pocket.set(Default::default());
}

fn keep_new(session: Session) {
    let typed = session
        .pocket
        .with_untracked(|view| view.name.trim().to_string());
    let name = if typed.is_empty() {
        untrack(|| default_name(session))
    } else {
        typed
    };
    session.document.update(|d: &mut Document| {
        let id = d.fresh_id();
        d.kept.push(Kept {
            id,
            name: name.clone(),
            draft: d.draft_to_keep(),
            site: d.site().id,
            supply: d.site().supplies[0].id,
            ..Kept::default()
        });
        d.opened = Some(id);
    });
    session.pocket.update(|view| {
        view.name.clear();
        view.kept_as = Some(name);
    });
    platform::persist();
}

fn keep_changes(session: Session) {
    let mut name = None;
    session.document.update(|d| {
        let draft = d.draft_to_keep();
        if let Some(kept) = d.opened.and_then(|id| d.station_mut(id)) {
            kept.draft = draft;
            name = Some(kept.name.clone());
        }
    });
    session.pocket.update(|view| view.kept_as = name);
    // Whoever came from a station of the Site goes back to it.
    if session.site.with_untracked(|view| view.to_pocket) {
        session.site.update(|view| view.to_pocket = false);
        session.place.set(Place::Site);
    }
}

fn rename(session: Session) {
    let Some((id, name)) = session.pocket.with_untracked(|view| view.renamed.clone()) else {
        return;
    };
    let name = name.trim();
    if !name.is_empty() {
        session.document.update(|d| {
            if let Some(kept) = d.station_mut(id) {
                kept.name = name.to_string();
            }
        });
    }
    session.pocket.update(|view| view.renamed = None);
}
