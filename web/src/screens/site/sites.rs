//! The sites on this phone: search, sort, open, copy, put away, delete with undo.

use super::list;
use super::view::{Open, Sort, View};
use crate::document::{Named, Site};
use crate::sheet::Sheet;
use crate::text::fill;

/// From how many sites on one is looked for by name.
const MANY: usize = 6;

/// The list.
pub fn list(sheet: &mut Sheet, view: &View) {
    let text = &sheet.text.site;
    let (mut sites, open, gone) = sheet.session.document.with(|d| {
        let sites = d.sites.iter().rev().map(|site| {
            let count = d.kept.iter().filter(|kept| kept.site == site.id).count();
            (site.clone(), count)
        });
        let gone = d.gone.last().map(|gone| gone.site.clone());
        (sites.collect::<Vec<_>>(), d.site().id, gone)
    });
    let current = sites.iter().find(|(site, _)| site.id == open).cloned();
    sheet.put("<div class=\"entry\">", &[]);
    sheet.key("main", "new", 0, text.new_site);
    sheet.key("", "example", 0, text.load_example);
    if let Some((site, _)) = current {
        let name = super::name(sheet.text, &site).to_string();
        sheet.key_for("", "copy", 0, text.copy_site, &name);
        let words = if site.archived {
            text.bring_back
        } else {
            text.put_away
        };
        sheet.key_for("", "archive", 0, words, &name);
        sheet.key_for("", "site-delete", 0, text.site_delete, &name);
    }
    sheet.put("</div>", &[]);
    if let Some(gone) = gone {
        let words = fill(
            sheet.text.undo_delete,
            &[("name", super::name(sheet.text, &gone))],
        );
        sheet.key("", "undo-site", 0, &words);
    }
    if sites.len() >= MANY {
        sheet.entry("find", 0, text.find_site, &view.find, "");
        let list = [
            (Sort::Newest.name(), text.sort_newest),
            (Sort::Name.name(), text.sort_name),
            (Sort::Size.name(), text.sort_size),
        ];
        sheet.select("sort", 0, text.sort, &list, view.sort.name());
    }
    sites.retain(|(site, _)| {
        list::holds(&site.name, &view.find) || list::holds(&site.note, &view.find)
    });
    sort(&mut sites, view.sort);
    rows(sheet, view, &sites, open, false);
    let away = sites.iter().filter(|(site, _)| site.archived).count();
    if away > 0 {
        let words = fill(text.away_count, &[("n", &away.to_string())]);
        super::station::fold(sheet, &words);
        rows(sheet, view, &sites, open, true);
        sheet.put("</details>", &[]);
    }
}

/// A plain insertion: a dozen sites don't repay the library's sorting, which weighs kilobytes.
fn sort(sites: &mut [(Site, usize)], by: Sort) {
    let before = |a: &(Site, usize), b: &(Site, usize)| match by {
        Sort::Newest => false,
        Sort::Name => list::plain(&a.0.name) < list::plain(&b.0.name),
        Sort::Size => a.1 > b.1,
    };
    for end in 1..sites.len() {
        let mut at = end;
        while at > 0 && before(&sites[at], &sites[at - 1]) {
            sites.swap(at, at - 1);
            at -= 1;
        }
    }
}

fn rows(sheet: &mut Sheet, view: &View, sites: &[(Site, usize)], open: u32, archived: bool) {
    sheet.put("<ul class=\"lines\">", &[]);
    for (site, count) in sites.iter().filter(|(site, _)| site.archived == archived) {
        let text = &sheet.text.site;
        let mut said = fill(text.stations_count, &[("n", &count.to_string())]);
        if !site.note.is_empty() {
            said.push_str(" · ");
            said.push_str(&site.note);
        }
        let name = super::name(sheet.text, site);
        let view = &View {
            open: Open::None,
            came: 0,
            ..view.clone()
        };
        list::row(sheet, view, "open", site.id, site.id == open, name, &said);
    }
    sheet.put("</ul>", &[]);
}
