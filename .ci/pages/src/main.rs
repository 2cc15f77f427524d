//! Writes what is packed beside the program, from the program's own arguments: man pages into
//! `FOLDER/man`, and completions for shells into `FOLDER/completions`.

use clap::CommandFactory;
use clap_complete::{Shell, generate_to};
use drumhead::args::Args;
use std::fs;
use std::io;
use std::path::PathBuf;

fn main() -> io::Result<()> {
    let Some(folder) = std::env::args_os().nth(1).map(PathBuf::from) else {
        return Err(io::Error::other("Name the folder to write to."));
    };
    let (man, completions) = (folder.join("man"), folder.join("completions"));
    fs::create_dir_all(&man)?;
    fs::create_dir_all(&completions)?;
    clap_mangen::generate_to(arguments(), &man)?;
    for shell in [Shell::Bash, Shell::Fish, Shell::Zsh] {
        generate_to(shell, &mut arguments(), "drumhead", &completions)?;
    }
    Ok(())
}

fn arguments() -> clap::Command {
    <Args as CommandFactory>::command()
}
