//! Help: first steps and every command, or one command.

use crate::chat::interaction::{Caller, Shared, privately};
use crate::chat::message::{messages, of_post};
use crate::requests::{self, Group, Spec};
use crate::words::Post;

/// Answers one person with help.
pub async fn help(shared: &Shared, caller: &Caller, request: Option<&str>) {
    let post = match request.and_then(of_the_chat) {
        Some(spec) => of_one(spec),
        None => of_all(),
    };
    privately(shared, caller, async { Ok(of_post(&post, "help")) }).await;
}

/// The request of that name, in the table or in a chat, if a chat can ask it.
fn of_the_chat(name: &str) -> Option<&'static Spec> {
    let name = name.trim().trim_start_matches('/').to_lowercase();
    let named = |spec: &&'static Spec| {
        let command = requests::command(spec);
        spec.fronts.chat() && (spec.name == name || command.trim_start_matches('/') == name)
    };
    requests::all().iter().copied().find(named)
}

/// First steps, and every command by its group.
fn of_all() -> Post {
    let mut post = Post::new(messages::HELP);
    for step in messages::FIRST_STEPS {
        post.line(1, step);
    }
    for group in Group::ALL {
        let commands: Vec<String> = requests::all()
            .iter()
            .filter(|spec| spec.group == group && spec.fronts.chat())
            .map(|spec| requests::command(spec))
            .collect();
        if !commands.is_empty() {
            post.line(0, format!("{}: {}", group.heading(), commands.join(", ")));
        }
    }
    for line in messages::GOOD_TO_KNOW {
        post.line(0, line);
    }
    post
}

/// What one command does and takes.
fn of_one(spec: &Spec) -> Post {
    let mut post = Post::new(requests::command(spec));
    post.line(0, spec.about);
    if !spec.note.is_empty() {
        post.line(0, spec.note);
    }
    for option in spec.chat_options() {
        let need = if option.required() { "" } else { " (may be left out)" };
        post.line(1, format!("{}: {}{need}", option.name, option.slot.about));
    }
    post
}
