//! The Discord front: the real program against a strict stand-in for the platform.

mod arrows;
mod chances;
mod checks;
mod commands;
mod faults;
mod gateway;
mod group;
mod hostile;
mod limits;
mod mangled;
mod once;
mod people;
mod posts;
mod restart;
mod running;
mod standin;
