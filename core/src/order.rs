//! Putting numbers in order without a copy of the sorting machinery for every type.
//!
//! The page carries this crate over the air: each `sort_by` of another type weighs 4 kB.

/// Sorts numbers upward, by total order.
pub fn upward(numbers: &mut [f64]) {
    shell(numbers, |one, other| one.total_cmp(other).is_lt());
}

/// Shell sort, for short lists only: some thousands at most. Not stable, and the same everywhere.
#[inline(always)]
pub fn shell<T>(items: &mut [T], before: impl Fn(&T, &T) -> bool) {
    let mut gap = items.len() / 2;
    while gap > 0 {
        for end in gap..items.len() {
            let mut at = end;
            while at >= gap && before(&items[at], &items[at - gap]) {
                items.swap(at, at - gap);
                at -= gap;
            }
        }
        gap /= 2;
    }
}

/// Puts a list in the order of two keys an item; equal keys keep their order.
pub fn by_keys<T>(items: &mut [T], keys: impl Fn(&T) -> [u64; 2]) {
    let keyed = items.iter().enumerate().map(|(place, item)| {
        let [first, second] = keys(item);
        [first, second, place as u64]
    });
    let mut keyed: Vec<[u64; 3]> = keyed.collect();
    heap(&mut keyed);
    // Each item moves to its place; what stood there is found again by following where it went.
    for place in 0..items.len() {
        let mut from = keyed[place][2] as usize;
        while from < place {
            from = keyed[from][2] as usize;
        }
        items.swap(place, from);
    }
}

/// Heap sort: quick for lists of any length, and one copy of it for all.
fn heap(keyed: &mut [[u64; 3]]) {
    let mut top = keyed.len() / 2;
    let mut end = keyed.len();
    while end > 1 {
        if top > 0 {
            top -= 1;
        } else {
            end -= 1;
            keyed.swap(0, end);
        }
        let mut at = top;
        while 2 * at + 1 < end {
            let mut child = 2 * at + 1;
            if child + 1 < end && keyed[child] < keyed[child + 1] {
                child += 1;
            }
            if keyed[at] >= keyed[child] {
                break;
            }
            keyed.swap(at, child);
            at = child;
        }
    }
}

/// A key that orders whole numbers below zero before those above.
pub fn signed(number: i64) -> u64 {
    (number as u64) ^ (1 << 63)
}

#[cfg(test)]
mod tests {
    use super::{by_keys, signed, upward};

    #[test]
    fn two_keys_order_as_a_stable_sort_does() {
        let mut state = 3_u64;
        for length in 0..120 {
            let mut ours: Vec<(i64, u8, usize)> = (0..length)
                .map(|place| {
                    state = state
                        .wrapping_mul(6_364_136_223_846_793_005)
                        .wrapping_add(9);
                    ((state >> 40) as i64 % 7 - 3, (state >> 20) as u8 % 3, place)
                })
                .collect();
            let mut theirs = ours.clone();
            theirs.sort_by_key(|item| (item.0, item.1));
            by_keys(&mut ours, |item| [signed(item.0), item.1.into()]);
            assert_eq!(ours, theirs);
        }
    }

    #[test]
    fn agrees_with_the_standard_library() {
        let mut state = 1_u64;
        for length in 0..200 {
            let mut ours: Vec<f64> = (0..length)
                .map(|_| {
                    state = state
                        .wrapping_mul(6_364_136_223_846_793_005)
                        .wrapping_add(9);
                    ((state >> 40) % 50) as f64 - 25.0
                })
                .collect();
            let mut theirs = ours.clone();
            theirs.sort_by(f64::total_cmp);
            upward(&mut ours);
            assert_eq!(ours, theirs);
        }
    }
}
