//! The stand-in and the group of the tests, for measuring.
#![allow(dead_code, reason = "a measurement uses less of them than the tests do")]

#[path = "../../tests/chat/checks.rs"]
pub mod checks;
#[path = "../../tests/chat/gateway.rs"]
pub mod gateway;
#[path = "../../tests/chat/group.rs"]
pub mod group;
#[path = "../../tests/chat/standin.rs"]
pub mod standin;
