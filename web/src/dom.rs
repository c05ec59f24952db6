//! The few elements that stand around the sheets: the page, its strip, its places. What is in them is
//! drawn as markup (see [`crate::sheet`]).

use crate::signals::*;
use wasm_bindgen::prelude::*;
use web_sys::{Document, Element, Node};

/// An element under construction.
#[derive(Clone)]
pub struct El {
    node: Element,
}

/// A new HTML element.
pub fn el(tag: &'static str) -> El {
    El {
        node: document().create_element(tag).unwrap_throw(),
    }
}

/// The page's document.
pub fn document() -> Document {
    // There is one wherever the page is mounted; the worker never comes here.
    web_sys::window()
        .and_then(|window| window.document())
        .unwrap_throw()
}

/// Runs now, and again whenever a signal it read changes, for as long as the part that made it lives.
pub fn follow(act: impl Fn() + 'static) {
    effect(Box::new(act));
}

/// A value that follows signals and tells only when it is another one.
pub fn memo<T: PartialEq + 'static>(value: impl Fn() -> T + 'static) -> Memo<T> {
    Memo::new(move |_| value())
}

impl El {
    /// The browser's element.
    pub fn node(&self) -> &Element {
        &self.node
    }

    /// Classes.
    pub fn class(self, names: &str) -> Self {
        self.node.set_attribute("class", names).unwrap_throw();
        self
    }

    /// A class that comes and goes.
    pub fn class_when(self, name: &'static str, on: impl Fn() -> bool + 'static) -> Self {
        let list = self.node.class_list();
        follow(move || {
            list.toggle_with_force(name, on()).unwrap_throw();
        });
        self
    }

    /// A child.
    pub fn with(self, child: El) -> Self {
        self.append(&child.node)
    }

    /// A child that comes, goes and is made anew as signals change.
    pub fn with_of(self, child: impl Fn() -> El + 'static) -> Self {
        let host = self.node.clone();
        let place = document().create_comment("");
        let here = self.append(&place);
        let now = std::cell::RefCell::new(None::<Element>);
        follow(move || {
            let next = child().node;
            if let Some(old) = now.replace(Some(next.clone())) {
                old.remove();
            }
            host.insert_before(&next, Some(&place)).unwrap_throw();
        });
        here
    }

    fn append(self, child: &Node) -> Self {
        self.node.append_child(child).unwrap_throw();
        self
    }
}
