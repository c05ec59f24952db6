//! Rows in a file: there and back, and against the crate `csv`.

use drycurb_core::paper::table::{Separator, read, write};
use proptest::prelude::*;

fn rows(list: &[&[&str]]) -> Vec<Vec<String>> {
    list.iter()
        .map(|row| row.iter().map(|cell| (*cell).into()).collect())
        .collect()
}

/// Source: RFC 4180, section 2, examples of rules 1 to 7.
#[test]
fn the_standard_s_own_examples() {
    let read = |text| read(text).unwrap();
    let plain = rows(&[&["aaa", "bbb", "ccc"], &["zzz", "yyy", "xxx"]]);
    assert_eq!(read("aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n"), plain);
    assert_eq!(read("aaa,bbb,ccc\r\nzzz,yyy,xxx"), plain);
    assert_eq!(read("\"aaa\",\"bbb\",\"ccc\"\r\nzzz,yyy,xxx"), plain);
    let broken = rows(&[&["aaa", "b\r\nbb", "ccc"], &["zzz", "yyy", "xxx"]]);
    assert_eq!(read("\"aaa\",\"b\r\nbb\",\"ccc\"\r\nzzz,yyy,xxx"), broken);
    assert_eq!(
        read("\"aaa\",\"b\"\"bb\",\"ccc\""),
        rows(&[&["aaa", "b\"bb", "ccc"]])
    );
}

#[test]
fn what_spreadsheets_write_is_read() {
    let expected = rows(&[&["name", "rate"], &["Bank", "12,5"]]);
    for text in [
        "\u{feff}name;rate\r\nBank;12,5\r\n",
        "name\trate\nBank\t12,5\n",
        "name,rate\rBank,\"12,5\"",
        "\nname;rate\n\nBank;12,5\n\n",
    ] {
        assert_eq!(read(text).unwrap(), expected, "{text:?}");
    }
    assert_eq!(read("").unwrap(), rows(&[]));
    assert_eq!(read("a,\n,b").unwrap(), rows(&[&["a", ""], &["", "b"]]));
    assert_eq!(read("a,").unwrap(), rows(&[&["a", ""]]));
}

#[test]
fn a_broken_quote_names_its_row() {
    assert_eq!(read("a\n\"b").unwrap_err().field, "rows[1]");
    assert_eq!(read("\"a\"b").unwrap_err().field, "rows[0]");
}

/// Source: common practice, no source: a spreadsheet computes a cell that begins with one of these.
#[test]
fn formulas_are_harmless_outside_and_themselves_inside() {
    for cell in ["=1+1", "+1", "-1", "@x", "\tx", "\rx", "'=1", "''-2"] {
        let text = write(&[vec![cell.into(), "x".into()]], Separator::Comma);
        let bare = text.trim_start_matches('"');
        assert!(bare.starts_with('\''), "{text}");
        assert_eq!(read(&text).unwrap()[0][0], cell);
    }
    assert_eq!(
        write(&[vec!["'x".into(), "a-b".into()]], Separator::Comma),
        "'x,a-b\r\n"
    );
}

fn cell() -> impl Strategy<Value = String> {
    prop_oneof![
        "[ -~]{0,6}",
        "['=+@\t\r\n,;\"é-]{0,5}",
        "\u{feff}?[a-z ]{0,8}"
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(1024))]

    /// A row of its own number of cells each. The first row decides what separates, so it has two cells.
    #[test]
    fn every_row_comes_back(
        first in prop::collection::vec("[a-z]{0,5}", 2..5),
        rest in prop::collection::vec(prop::collection::vec(cell(), 1..5), 0..6),
        semicolon in any::<bool>(),
    ) {
        let rows: Vec<Vec<String>> = [first].into_iter().chain(rest).collect();
        let separator = if semicolon { Separator::Semicolon } else { Separator::Comma };
        let text = write(&rows, separator);
        prop_assert_eq!(&read(&text).unwrap(), &rows);
        // Another reader sees the same, with the apostrophe in front of formulas.
        let mut other = csv::ReaderBuilder::new();
        other.has_headers(false).flexible(true).delimiter(if semicolon { b';' } else { b',' });
        let mut seen = Vec::new();
        for record in other.from_reader(text.as_bytes()).records() {
            seen.push(record.unwrap().iter().map(str::to_owned).collect::<Vec<_>>());
        }
        let first = ['=', '+', '-', '@', '\t', '\r'];
        let harmless = |cell: &String| match cell.trim_start_matches('\'').starts_with(first) {
            true => format!("'{cell}"),
            false => cell.clone(),
        };
        let expected: Vec<Vec<String>> =
            rows.iter().map(|row| row.iter().map(harmless).collect()).collect();
        prop_assert_eq!(seen, expected);
    }

    /// What another writer wrote is read, where no cell is a formula. The first row names the columns.
    #[test]
    fn another_writer_is_understood(
        first in prop::collection::vec("[a-z0-9\", ]{0,6}", 2..5),
        rest in prop::collection::vec(prop::collection::vec("[a-z0-9\", ;\n]{0,6}", 2..5), 0..6),
    ) {
        let rows: Vec<Vec<String>> = [first].into_iter().chain(rest).collect();
        let mut writer = csv::WriterBuilder::new().flexible(true).from_writer(Vec::new());
        for row in &rows {
            writer.write_record(row).unwrap();
        }
        let text = String::from_utf8(writer.into_inner().unwrap()).unwrap();
        prop_assert_eq!(read(&text).unwrap(), rows);
    }

    #[test]
    fn nothing_panics(text in "[\",;\t\r\n'=a\u{feff}]{0,40}") {
        let _ = read(&text);
    }
}
