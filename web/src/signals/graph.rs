//! The graph under the signals: who reads whom, who owns whom, and what has to run again.
//!
//! Nothing here knows a type: a value is `dyn Any`, a memo or an effect a boxed closure. A change
//! marks what reads it, no more. A memo is worked out when somebody asks for it; effects run together
//! at [`settle`], oldest first, so that a part that goes takes its effects along before they run.
//! No closure is called while the graph is borrowed.

use std::any::Any;
use std::cell::RefCell;
use std::mem::{replace, take};
use std::rc::Rc;

use super::Source;

/// A node: a place in the list, and which birth it was, so that a later node is never taken for it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Id {
    birth: u32,
    place: u32,
}

/// What a memo or effect does; whether its value is another one now.
pub type Run = Rc<dyn Source<bool>>;

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum State {
    /// Up to date.
    Clean,
    /// Something upstream changed; whether it reaches here is not known yet.
    Doubtful,
    /// What it read is another value now.
    Stale,
}

struct Node {
    birth: u32,
    state: State,
    is_effect: bool,
    value: Option<Rc<dyn Any>>,
    run: Option<Run>,
    reads: Vec<Id>,
    read_by: Vec<Id>,
    owner: Option<Id>,
    owns: Vec<Id>,
    cleanups: Vec<Box<dyn FnOnce()>>,
}

struct Graph {
    nodes: Vec<Option<Node>>,
    free: Vec<u32>,
    births: u32,
    /// Who owns what is made now.
    owner: Option<Id>,
    /// Who is told when what is read now changes.
    reader: Option<Id>,
    /// Effects that have to look again; the oldest last.
    waiting: Vec<Id>,
    /// Somebody was asked to call [`settle`].
    called: bool,
    call: Option<fn()>,
}

thread_local! {
    static GRAPH: RefCell<Graph> = const {
        RefCell::new(Graph {
            nodes: Vec::new(),
            free: Vec::new(),
            births: 0,
            owner: None,
            reader: None,
            waiting: Vec::new(),
            called: false,
            call: None,
        })
    };
}

fn graph<R>(act: impl FnOnce(&mut Graph) -> R) -> R {
    GRAPH.with_borrow_mut(act)
}

impl Graph {
    fn node(&mut self, id: Id) -> Option<&mut Node> {
        let node = self.nodes.get_mut(id.place as usize)?.as_mut()?;
        (node.birth == id.birth).then_some(node)
    }

    fn add(&mut self, node: Node) -> Id {
        self.births += 1;
        let birth = self.births;
        let node = Some(Node { birth, ..node });
        let place = match self.free.pop() {
            Some(place) => {
                self.nodes[place as usize] = node;
                place
            }
            None => {
                self.nodes.push(node);
                self.nodes.len() as u32 - 1
            }
        };
        let id = Id { birth, place };
        if let Some(owner) = self.owner.and_then(|owner| self.node(owner)) {
            owner.owns.push(id);
        }
        id
    }

    /// Remembers that the present reader reads `id`.
    fn read(&mut self, id: Id) {
        let Some(reader) = self.reader else { return };
        match self.node(reader) {
            Some(node) if !node.reads.contains(&id) => node.reads.push(id),
            _ => return,
        }
        if let Some(node) = self.node(id) {
            node.read_by.push(reader);
        }
    }

    fn forget_reads(&mut self, id: Id) {
        let reads = self.node(id).map(|node| take(&mut node.reads));
        for read in reads.unwrap_or_default() {
            if let Some(node) = self.node(read) {
                node.read_by.retain(|reader| *reader != id);
            }
        }
    }

    fn mark_readers(&mut self, id: Id, state: State) {
        let readers = self.node(id).map(|node| node.read_by.clone());
        for reader in readers.unwrap_or_default() {
            self.mark(reader, state);
        }
    }

    fn mark(&mut self, id: Id, state: State) {
        let Some(node) = self.node(id) else { return };
        let before = node.state;
        node.state = before.max(state);
        if before != State::Clean {
            return;
        }
        if node.is_effect {
            let place = self.waiting.partition_point(|other| other.birth > id.birth);
            self.waiting.insert(place, id);
        }
        self.mark_readers(id, State::Doubtful);
    }

    fn state(&mut self, id: Id) -> State {
        self.node(id).map_or(State::Clean, |node| node.state)
    }
}

/// A new node of whoever owns what is made now. One that has something to run is stale at first.
pub fn add(value: Option<Rc<dyn Any>>, run: Option<Run>, is_effect: bool) -> Id {
    let state = if run.is_some() {
        State::Stale
    } else {
        State::Clean
    };
    graph(|g| {
        g.add(Node {
            birth: 0,
            state,
            is_effect,
            value,
            run,
            reads: Vec::new(),
            read_by: Vec::new(),
            owner: g.owner,
            owns: Vec::new(),
            cleanups: Vec::new(),
        })
    })
}

/// The value of a node, up to date; the present reader will hear of its changes. `None` once it is gone.
pub fn read(id: Id) -> Option<Rc<dyn Any>> {
    let value = peek(id);
    graph(|g| g.read(id));
    value
}

/// The value of a node, up to date, told to nobody. `None` once it is gone.
pub fn peek(id: Id) -> Option<Rc<dyn Any>> {
    refresh(id);
    graph(|g| g.node(id)?.value.clone())
}

/// Tells the readers of a node that its value is another one.
pub fn changed(id: Id) {
    let call = graph(|g| {
        g.mark_readers(id, State::Stale);
        if g.waiting.is_empty() || replace(&mut g.called, true) {
            return None;
        }
        g.call
    });
    if let Some(call) = call {
        call();
    }
}

/// Runs whatever has to run before the value of a node is right.
pub fn refresh(id: Id) {
    if graph(|g| g.state(id)) == State::Doubtful {
        let reads = graph(|g| g.node(id).map(|node| node.reads.clone()));
        for read in reads.unwrap_or_default() {
            refresh(read);
            if graph(|g| g.state(id)) == State::Stale {
                break;
            }
        }
    }
    let run = graph(|g| {
        let node = g.node(id)?;
        let run = match replace(&mut node.state, State::Clean) {
            State::Stale => node.run.clone()?,
            _ => return None,
        };
        g.forget_reads(id);
        Some(run)
    });
    if let Some(run) = run {
        clear(id);
        let before = place(Some(id), Some(id));
        let is_another = run.now();
        place(before.0, before.1);
        if is_another {
            graph(|g| g.mark_readers(id, State::Stale));
        }
    }
}

/// Runs the effects that wait, and those that they stir.
pub fn settle() {
    while let Some(id) = graph(|g| g.waiting.pop()) {
        refresh(id);
    }
    graph(|g| g.called = false);
}

/// `call` is asked to see to it that [`settle`] is called soon, once for any number of changes.
pub fn when_stirred(call: fn()) {
    graph(|g| g.call = Some(call));
}

/// Sets who owns what is made, and who hears of what is read; gives who did before.
pub fn place(owner: Option<Id>, reader: Option<Id>) -> (Option<Id>, Option<Id>) {
    graph(|g| (replace(&mut g.owner, owner), replace(&mut g.reader, reader)))
}

/// Sets who hears of what is read; gives who did before.
pub fn listen(reader: Option<Id>) -> Option<Id> {
    graph(|g| replace(&mut g.reader, reader))
}

/// Runs `act` when the present owner runs again or goes, before anything it owns goes.
pub fn on_cleanup(act: Box<dyn FnOnce()>) {
    graph(|g| {
        if let Some(owner) = g.owner.and_then(|owner| g.node(owner)) {
            owner.cleanups.push(act);
        }
    });
}

/// Takes away all that a node owns.
pub fn clear(id: Id) {
    let parts = graph(|g| {
        let node = g.node(id)?;
        Some((take(&mut node.cleanups), take(&mut node.owns)))
    });
    let (cleanups, owns) = parts.unwrap_or_default();
    let before = place(None, None);
    for cleanup in cleanups {
        cleanup();
    }
    for owned in owns {
        remove(owned);
    }
    place(before.0, before.1);
}

/// Takes away a node and all that it owns.
pub fn remove(id: Id) {
    clear(id);
    let node = graph(|g| {
        g.forget_reads(id);
        let owner = g.node(id)?.owner;
        if let Some(owner) = owner.and_then(|owner| g.node(owner)) {
            owner.owns.retain(|owned| *owned != id);
        }
        g.free.push(id.place);
        g.nodes[id.place as usize].take()
    });
    // What it held may use the graph as it goes.
    drop(node);
}

/// How many nodes there are.
#[cfg(test)]
pub fn count() -> usize {
    graph(|g| g.nodes.iter().flatten().count())
}
