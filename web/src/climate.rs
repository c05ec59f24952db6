//! The table of rough climates, as this module has it.
//!
//! In a browser it is a file of its own, `climate-*.bin`, which the page reads before its start and shares with the module
//! of Year and Papers: neither carries a copy.

use drycurb_core::need::climate::Table;

/// The table.
#[cfg(not(target_arch = "wasm32"))]
pub fn table() -> Table {
    drycurb_core::need::climate::BUILT_IN
}

/// The table. What was read before the start and is none stops the page, with the data shown.
#[cfg(target_arch = "wasm32")]
pub fn table() -> Table {
    thread_local! {
        static TABLE: Table = {
            let bytes = crate::platform::CLIMATE.with(js_sys::Uint8Array::to_vec);
            Table::read(bytes.leak()).expect("the climate's file is whole")
        };
    }
    TABLE.with(|table| *table)
}
