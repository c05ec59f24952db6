//! Site: what is on the ground.

use crate::document::Site;
use crate::dom::El;
use crate::session::Session;
use crate::sheet::{Act, Sheet, sheet};
use crate::text::{Text, fill};

/// The whole place.
pub fn site(session: Session) -> El {
    sheet(session, "site", draw, act)
}

fn draw(sheet: &mut Sheet) {
    let text = &sheet.text.site;
    let document = sheet.session.document;
    document.with(|d| {
        let open = d.site();
        sheet.put("<h2 tabindex=\"-1\">{}</h2>", &[name(sheet.text, open)]);
        sheet.entry("name", 0, text.name, &open.name, text.unnamed);
        sheet.put("<h3>{}</h3><ul class=\"rows\">", &[text.sites]);
        for site in d.sites.iter().filter(|site| site.id != d.site) {
            let count = d.kept.iter().filter(|kept| kept.site == site.id).count();
            sheet.put(
                "<li id=\"site-{}\"><span>{}</span> <small>{}</small>",
                &[
                    &site.id.to_string(),
                    name(sheet.text, site),
                    &fill(text.stations_count, &[("n", &count.to_string())]),
                ],
            );
            let whose = name(sheet.text, site);
            sheet.key_for("", "open", site.id, text.open_site, whose);
            sheet.put("</li>", &[]);
        }
        sheet.put("</ul>", &[]);
        sheet.key("", "new", 0, text.new_site);
    });
}

/// A site's name, or what stands for none.
pub fn name<'a>(text: &'a Text, site: &'a Site) -> &'a str {
    if site.name.is_empty() {
        text.site.unnamed
    } else {
        &site.name
    }
}

fn act(session: Session, act: &Act) {
    session.document.update(|d| match act.verb.as_str() {
        "name" => d.site_mut().name = act.value.clone(),
        "open" => d.site = act.at,
        "new" => {
            let id = d.fresh_site_id();
            d.sites.push(Site::new(id));
            d.site = id;
        }
        _ => {}
    });
}
