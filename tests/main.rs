//! Everything that takes more than one module, one file a feature.

mod architecture;
mod battle;
mod cast;
mod chat;
mod check;
mod command;
mod crash;
mod demo;
mod dice;
mod exploits;
mod fuzz;
mod harmless;
mod helper;
mod lines;
mod protocol;
mod record;
mod report;
mod requests;
mod scenario;
mod service;
mod table;
mod words;
