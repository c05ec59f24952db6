//! Frames for a camera: base45 and CRC against standards and other crates, and any order, loss and damage.

use drycurb_core::paper::frames::{
    FRAMES_MOST, Gathering, LETTERS_MOST, Taken, base45, crc32, frames, from_base45,
};
use proptest::prelude::*;

/// Source: RFC 9285, sections 4.3 and 4.4, examples 1 to 3 and the decoding example.
#[test]
fn the_standard_s_own_examples() {
    for (text, coded) in [
        ("AB", "BB8"),
        ("Hello!!", "%69 VD92EX0"),
        ("base-45", "UJCLQE7W581"),
    ] {
        assert_eq!(base45(text.as_bytes()), coded);
        assert_eq!(from_base45(coded).unwrap(), text.as_bytes());
    }
    assert_eq!(from_base45("QED8WEX0").unwrap(), b"ietf!");
    // Section 6: FGW is 65535, GGW would be 65536; `:::` and an odd letter are refused.
    assert_eq!(from_base45("FGW").unwrap(), [0xFF, 0xFF]);
    for wrong in ["GGW", ":::", "A", "BB8A", "bb8", "::", "é8"] {
        assert_eq!(from_base45(wrong), None, "{wrong}");
    }
}

/// Source: the catalogue's check value of CRC-32 (ISO-HDLC), for the digits 1 to 9.
#[test]
fn the_check_value() {
    assert_eq!(crc32(b"123456789"), 0xCBF4_3926);
}

#[test]
fn nothing_and_too_much_have_no_frames() {
    assert_eq!(frames(&[]), None);
    assert_eq!(frames(&vec![0; FRAMES_MOST * 192 + 1]), None);
    assert_eq!(
        frames(&vec![255; FRAMES_MOST * 192]).unwrap().len(),
        FRAMES_MOST
    );
}

#[test]
fn two_transfers_are_not_mixed() {
    let (first, second) = (frames(&[1; 500]).unwrap(), frames(&[2; 500]).unwrap());
    let mut gathering = Gathering::default();
    assert_eq!(gathering.take("https://example.org/"), Taken::Foreign);
    assert_eq!(gathering.take("D1.x"), Taken::Damaged);
    assert_eq!(gathering.take(&first[2]), Taken::New);
    assert_eq!(gathering.take(&first[2]), Taken::Known);
    assert_eq!(gathering.take(&second[0]), Taken::Other);
    assert_eq!((gathering.of(), gathering.missing()), (3, vec![1, 2]));
    assert_eq!(gathering.bytes(), None);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(512))]

    #[test]
    fn other_crates_agree(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        let coded = base45(&bytes);
        prop_assert_eq!(&coded, &::base45::encode(&bytes));
        prop_assert_eq!(from_base45(&coded), Some(bytes.clone()));
        prop_assert_eq!(crc32(&bytes), crc32fast::hash(&bytes));
    }

    /// In any order, with repeats; until the last comes, the missing ones are named.
    #[test]
    fn frames_come_together(
        bytes in prop::collection::vec(any::<u8>(), 1..6000),
        shuffle in any::<u64>(),
    ) {
        let made = frames(&bytes).unwrap();
        prop_assert!(made.iter().all(|frame| frame.len() <= LETTERS_MOST));
        let best = b"0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:";
        let packs_best = |letter: u8| best.contains(&letter);
        prop_assert!(made.iter().all(|frame| frame.bytes().all(packs_best)));
        let mut order: Vec<usize> = (0..made.len()).collect();
        order.sort_by_key(|place| (*place as u64 + 1).wrapping_mul(shuffle | 1).rotate_left(17));
        let mut gathering = Gathering::default();
        for (done, place) in order.iter().enumerate() {
            prop_assert_eq!(gathering.bytes(), None);
            prop_assert_eq!(gathering.take(&made[*place]), Taken::New);
            prop_assert_eq!(gathering.take(&made[order[0]]), Taken::Known);
            prop_assert_eq!(gathering.of(), made.len());
            let mut missing: Vec<usize> = order[done + 1..].iter().map(|place| place + 1).collect();
            missing.sort_unstable();
            prop_assert_eq!(gathering.missing(), missing);
        }
        prop_assert_eq!(gathering.bytes(), Some(bytes));
    }

    /// One changed letter is always noticed: it never counts as a new frame of the same transfer.
    #[test]
    fn a_changed_letter_is_noticed(
        bytes in prop::collection::vec(any::<u8>(), 1..900),
        place in any::<prop::sample::Index>(),
        letter in "[0-9A-Z $%*+./:-]",
    ) {
        let made = frames(&bytes).unwrap();
        let frame = &made[0];
        let at = place.index(frame.len());
        let mut changed = frame.clone();
        changed.replace_range(at..=at, &letter);
        prop_assume!(&changed != frame);
        let mut gathering = Gathering::default();
        let taken = gathering.take(&changed);
        prop_assert!(matches!(taken, Taken::Damaged | Taken::Foreign), "{:?} {}", taken, changed);
    }

    #[test]
    fn nothing_panics(text in "(D1)?[.0-9A-F:$é ]{0,60}") {
        let _ = Gathering::default().take(&text);
        let _ = from_base45(&text);
    }
}
