//! Elements of the page, built one by one and following signals.
//!
//! Leptos' `view!` makes a type of every element and a copy of the machinery of every closure, which
//! on this page weighed 359 kB (brotli) before there was a second screen. Here an element is one plain
//! type and every closure is boxed at the door.

use std::cell::RefCell;

use crate::signals::*;
use wasm_bindgen::prelude::*;
use web_sys::{Document, Element, Event, HtmlInputElement, Node};

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

/// A new SVG element.
pub fn svg(tag: &'static str) -> El {
    let node = document().create_element_ns(Some("http://www.w3.org/2000/svg"), tag);
    El {
        node: node.unwrap_throw(),
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

    /// A fixed attribute.
    pub fn attr(self, name: &str, value: &str) -> Self {
        self.node.set_attribute(name, value).unwrap_throw();
        self
    }

    /// Classes.
    pub fn class(self, names: &str) -> Self {
        self.attr("class", names)
    }

    /// An id.
    pub fn id(self, id: &str) -> Self {
        self.attr("id", id)
    }

    /// An attribute that follows signals; absent while `None`.
    pub fn attr_of(self, name: &'static str, value: impl Fn() -> Option<String> + 'static) -> Self {
        self.attr_boxed(name, Box::new(value))
    }

    fn attr_boxed(self, name: &'static str, value: Box<dyn Source<Option<String>>>) -> Self {
        let node = self.node.clone();
        effect(Box::new(move || match value.now() {
            Some(value) => node.set_attribute(name, &value).unwrap_throw(),
            None => node.remove_attribute(name).unwrap_throw(),
        }));
        self
    }

    /// A label for screen readers that follows the language.
    pub fn label_of(self, value: impl Fn() -> String + 'static) -> Self {
        self.attr_of("aria-label", move || Some(value()))
    }

    /// An attribute that says `true` or `false`.
    pub fn flag(self, name: &'static str, on: impl Fn() -> bool + 'static) -> Self {
        self.attr_of(name, move || {
            Some(if on() { "true" } else { "false" }.to_string())
        })
    }

    /// A class that comes and goes.
    pub fn class_when(self, name: &'static str, on: impl Fn() -> bool + 'static) -> Self {
        self.class_boxed(name, Box::new(on))
    }

    fn class_boxed(self, name: &'static str, on: Box<dyn Source<bool>>) -> Self {
        let list = self.node.class_list();
        effect(Box::new(move || {
            list.toggle_with_force(name, on.now()).unwrap_throw();
        }));
        self
    }

    /// Fixed text.
    pub fn text(self, text: &str) -> Self {
        self.append(&document().create_text_node(text))
    }

    /// Text that follows signals.
    pub fn say(self, text: impl Fn() -> String + 'static) -> Self {
        self.say_boxed(Box::new(text))
    }

    fn say_boxed(self, text: Box<dyn Source<String>>) -> Self {
        let node = document().create_text_node("");
        let said = node.clone();
        effect(Box::new(move || said.set_data(&text.now())));
        self.append(&node)
    }

    /// A child.
    pub fn with(self, child: El) -> Self {
        self.append(&child.node)
    }

    /// Children.
    pub fn with_all(self, children: impl IntoIterator<Item = El>) -> Self {
        children.into_iter().fold(self, El::with)
    }

    /// A child that comes, goes and is made anew as signals change.
    pub fn with_of(self, child: impl Fn() -> Option<El> + 'static) -> Self {
        self.with_boxed(Box::new(child))
    }

    fn with_boxed(self, child: Box<dyn Source<Option<El>>>) -> Self {
        let place = document().create_comment("");
        let here = self.append(&place);
        let now = RefCell::new(None::<Element>);
        effect(Box::new(move || {
            let next = child.now().map(|el| el.node);
            let before = now.replace(next.clone());
            crate::platform::swap(before, next.as_ref(), &place);
        }));
        here
    }

    /// Children told apart by a number: those that stay are kept as they are, in the order given.
    pub fn with_each(
        self,
        keys: impl Fn() -> Vec<u32> + 'static,
        child: impl Fn(u32) -> El + 'static,
    ) -> Self {
        self.each_boxed(Box::new(keys), Box::new(child))
    }

    fn each_boxed(self, keys: Box<dyn Source<Vec<u32>>>, child: Box<dyn Sink<u32, El>>) -> Self {
        let host = self.node.clone();
        // Children outlive the run of the effect that made them: each has an owner of its own.
        let Some(parent) = Owner::current() else {
            return self;
        };
        let now = RefCell::new(Vec::<(u32, Element, Owner)>::new());
        effect(Box::new(move || {
            let wanted = keys.now();
            let mut now = now.borrow_mut();
            now.retain(|(key, node, owner)| {
                let stays = wanted.contains(key);
                if !stays {
                    node.remove();
                    owner.cleanup();
                }
                stays
            });
            let mut next = Vec::with_capacity(wanted.len());
            for key in wanted {
                let one = match now.iter().position(|(have, ..)| *have == key) {
                    Some(place) => now.remove(place),
                    None => {
                        let owner = parent.child();
                        let node = owner.with(|| child.take(key)).node;
                        (key, node, owner)
                    }
                };
                next.push(one);
            }
            for (place, (_, node, _)) in next.iter().enumerate() {
                let there = host.children().item(place as u32);
                if there.as_ref() != Some(node) {
                    host.insert_before(node, there.as_deref()).unwrap_throw();
                }
            }
            *now = next;
        }));
        self
    }

    /// What to do when something happens.
    pub fn on(self, event: &'static str, act: impl Fn(Event) + 'static) -> Self {
        self.on_boxed(event, Box::new(act))
    }

    fn on_boxed(self, event: &'static str, act: Box<dyn Sink<Event>>) -> Self {
        let hear = Closure::<dyn FnMut(Event)>::new(move |event| act.take(event));
        self.node
            .add_event_listener_with_callback(event, hear.as_ref().unchecked_ref())
            .unwrap_throw();
        StoredValue::new(hear);
        self
    }

    /// What a tap does.
    pub fn tap(self, act: impl Fn() + 'static) -> Self {
        self.tap_boxed(Box::new(act))
    }

    fn tap_boxed(self, act: Box<dyn Source<()>>) -> Self {
        self.on("click", move |_| act.now())
    }

    /// What an input shows. Never rewritten while it shows just that.
    pub fn value_of(self, value: impl Fn() -> String + 'static) -> Self {
        self.property_boxed("value", Box::new(move || JsValue::from(value())))
    }

    /// A property that is on or off.
    pub fn property_when(self, name: &'static str, on: impl Fn() -> bool + 'static) -> Self {
        self.property_boxed(name, Box::new(move || JsValue::from(on())))
    }

    fn property_boxed(self, name: &'static str, value: Box<dyn Source<JsValue>>) -> Self {
        let node = self.node.clone();
        effect(Box::new(move || {
            let (name, value) = (JsValue::from_str(name), value.now());
            if js_sys::Reflect::get(&node, &name).as_ref() != Ok(&value) {
                js_sys::Reflect::set(&node, &name, &value).unwrap_throw();
            }
        }));
        self
    }

    /// What typing or choosing does, with the text then standing there.
    pub fn typed(self, act: impl Fn(String) + 'static) -> Self {
        self.typed_boxed(Box::new(act))
    }

    fn typed_boxed(self, act: Box<dyn Sink<String>>) -> Self {
        let node = self.node.clone();
        self.on("input", move |_| {
            act.take(node.unchecked_ref::<HtmlInputElement>().value());
        })
    }

    fn append(self, child: &Node) -> Self {
        self.node.append_child(child).unwrap_throw();
        self
    }
}

/// A button.
pub fn key(act: impl Fn() + 'static) -> El {
    el("button").attr("type", "button").tap(act)
}
