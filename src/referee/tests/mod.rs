//! What is decided, without a record: a battle, its rules and its dice are all that deciding knows.

mod asked;
mod cast;
mod ford;
mod harmed;
mod mistakes;
mod policy;
mod thrown;
