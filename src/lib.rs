//! drumhead, a referee for mass battles: few figures for many men, public dice, a faithful record.
pub mod args;
pub mod battle;
pub mod chat;
pub mod combat;
pub mod digest;
pub mod fair;
pub mod odds;
pub mod record;
pub mod referee;
pub mod rules;
pub mod terminal;
pub mod words;
