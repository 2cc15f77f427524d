//! The platform as a machine: what goes to it over HTTP, and what its gateway brings.
//!
//! Nothing here knows of battles or of words. `rest` carries parcels and waits when told to;
//! `endpoints` names the addresses; `gateway` connects and hands in what people did, as types of
//! our own; `id` knows how the platform makes its ids.

mod counts;
mod endpoints;
mod gateway;
mod id;
mod limit;
mod rest;
mod route;
mod token;

pub(super) use counts::{Counts, Happened, Timed};
pub(super) use gateway::{Arrived, Did, Gateway, Given, Invoked, Value, Watch};
pub(super) use id::{PLATFORM, id_at, milliseconds};
pub(super) use rest::{Failed, Parcel, Rest, Upload};
pub(super) use route::ReplyRoute;
pub use token::Token;
