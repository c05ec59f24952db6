//! Where the water comes from, and what that can carry.

use drycurb_core::supply::meter::MeterSize;
use drycurb_core::supply::pipe::{Material, NominalSize};

use super::station::{flow_words, fold, supply_name};
use crate::document::site::{Site, Supply};
use crate::field::Field;
use crate::session::Whose;
use crate::sheet::Sheet;
use crate::supply::check;
use crate::text::{Text, fill};
use crate::units::Kind;

/// All supplies of the site.
pub fn all(sheet: &mut Sheet, site: &Site) {
    let text = &sheet.text.site;
    for (place, supply) in site.supplies.iter().enumerate() {
        let name = supply_name(sheet.text, supply, place);
        let id = supply.id.to_string();
        sheet.put(
            "<section class=\"supply\" id=\"supply-{}\"><h3>{}</h3>",
            &[&id, &name],
        );
        one(sheet, supply, &name);
        if site.supplies.len() > 1 {
            sheet.key_for("", "supply-delete", supply.id, sheet.text.delete, &name);
        }
        sheet.put("</section>", &[]);
    }
    sheet.put("<div class=\"entry\">", &[]);
    sheet.key("", "supply-more", 0, text.supply_more);
    if sheet.session.site.with(|view| view.site_before.is_some()) {
        sheet.key("", "undo-many", 0, text.undo_supply);
    }
    sheet.put("</div>", &[]);
}

/// Words that are chosen from, and what stands for none.
fn words<'a>(none: &'a str, known: &[&'a str], shown: &[&'a str]) -> Vec<(&'a str, &'a str)> {
    let mut list = vec![("", none)];
    list.extend(known.iter().copied().zip(shown.iter().copied()));
    list
}

/// The materials' names, as [`Material::WORDS`] lists them.
fn materials(text: &Text) -> [&'static str; 9] {
    let site = &text.site;
    let [schedule_40, class_315, class_200, class_160] = site.pvc;
    [
        schedule_40,
        class_315,
        class_200,
        class_160,
        site.copper_k,
        site.copper_l,
        site.pe_pipe,
        site.pe_tube,
        site.steel,
    ]
}

fn one(sheet: &mut Sheet, supply: &Supply, name: &str) {
    let text = &sheet.text.site;
    let whose = Whose::Supply(supply.id);
    let id = supply.id;
    sheet.entry("supply-name", id, text.supply_name, &supply.name, name);
    sheet.put("<div class=\"three\">", &[]);
    sheet.number(whose, Field::Capacity);
    sheet.number(whose, Field::LeastFlow);
    let sizes = words(text.none, MeterSize::WORDS, MeterSize::WORDS);
    sheet.select("meter", id, text.meter, &sizes, &supply.meter);
    let kinds = words(text.none, Material::WORDS, &materials(sheet.text));
    sheet.select("pipe", id, text.pipe, &kinds, &supply.pipe);
    if !supply.pipe.is_empty() {
        let sizes = words(text.none, NominalSize::WORDS, NominalSize::WORDS);
        sheet.select("pipe-size", id, text.pipe_size, &sizes, &supply.pipe_size);
    }
    sheet.put("</div>", &[]);
    fold(sheet, text.pressures);
    let fields = [
        Field::StaticPressure,
        Field::WantedPressure,
        Field::PipeLength,
        Field::SupplyRise,
        Field::FixedLoss,
        Field::FastestWater,
        Field::TestFlow,
        Field::TestPressure,
    ];
    sheet.numbers(whose, &fields);
    sheet.put("</details>", &[]);
    said(sheet, supply);
}

/// What the check found, in sentences.
fn said(sheet: &mut Sheet, supply: &Supply) {
    let session = sheet.session;
    let text = &sheet.text.site;
    let found = check(supply);
    let pressure = |kpa| Kind::Pressure.show_with_sign(kpa, session.units(), session.comma);
    let mut lines: Vec<String> = Vec::new();
    if let Some(most) = found.most {
        let words = if found.by_meter {
            text.most_by_meter
        } else {
            text.most_by_pipe
        };
        let flow = flow_words(session, most);
        lines.push(fill(words, &[("flow", &flow)]));
        if found.at.is_some_and(|at| at > most * (1.0 + 1e-9)) {
            lines.push(text.more_than_most.into());
        }
    }
    if found.no_such_pipe {
        lines.push(text.no_such_pipe.into());
    }
    if let (Some(at), Some(left)) = (found.at, found.left_kpa) {
        let flow = flow_words(session, at);
        let words = if left > 0.0 {
            text.left_at
        } else {
            text.nothing_left
        };
        let left = pressure(left);
        lines.push(fill(words, &[("flow", &flow), ("pressure", &left)]));
    }
    if let Some(leaves) = found.leaves {
        let flow = flow_words(session, leaves);
        let words = if leaves > 0.0 {
            text.leaves_up_to
        } else {
            text.leaves_never
        };
        lines.push(fill(words, &[("flow", &flow)]));
    }
    if found.test_wrong {
        lines.push(text.test_wrong.into());
    }
    if found.high {
        lines.push(text.pressure_high.into());
    }
    sheet.put(
        "<p class=\"result\" aria-live=\"polite\">{}</p>",
        &[&lines.join(" ")],
    );
    let typed = supply.facts.numbers.get(Field::Capacity).is_some();
    if let (Some(most), false) = (found.most, typed) {
        let words = fill(text.use_flow, &[("flow", &flow_words(session, most))]);
        sheet.key("", "use-most", supply.id, &words);
    }
}
