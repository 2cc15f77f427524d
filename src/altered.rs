//! Changes that tests make to what is frozen, to see that the corpus of the protocol notices them.

use std::cell::Cell;

/// What is changed, in the thread of one test.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Altered {
    /// The label of every throw.
    Label,
    /// Every score of nerve, by one.
    Term,
    /// The grade of units that were given none.
    Default,
}

thread_local! {
    static ALTERED: Cell<Option<Altered>> = const { Cell::new(None) };
}

/// Whether that is changed.
pub fn is(what: Altered) -> bool {
    ALTERED.get() == Some(what)
}

/// Does something with that changed.
pub fn with<T>(what: Altered, work: impl FnOnce() -> T) -> T {
    ALTERED.set(Some(what));
    let done = work();
    ALTERED.set(None);
    done
}
