//! Whoever does something in the chat.

use crate::chat::platform::{Arrived, PLATFORM, ReplyRoute};
use crate::protocol::{Place, RequestId, Who};
use crate::referee::{Asker, Whose};

/// One interaction: who, where, and the token by which it is answered.
#[derive(Debug, Clone)]
pub struct Caller {
    /// How they are answered.
    pub via: ReplyRoute,
    /// The server.
    pub server: u64,
    /// Their id on the platform.
    pub user: u64,
    /// Their roles on the server.
    pub roles: Vec<u64>,
    /// Whether they may manage the server.
    pub manages: bool,
}

impl Caller {
    /// Who did something; none outside a server.
    pub fn of(arrived: &Arrived) -> Option<Self> {
        Some(Self {
            via: arrived.via.clone(),
            server: arrived.server?,
            user: arrived.user,
            roles: arrived.roles.clone(),
            manages: arrived.manages,
        })
    }

    /// The place in the record: the server, and the channel or thread.
    pub fn place(&self) -> Place {
        Place::channel(PLATFORM, self.server, self.via.channel)
    }

    /// Whoever calls, as the referee knows them.
    pub fn asker(&self, who: Who) -> Asker {
        // The role of everyone has the server's own id and is in nobody's list.
        let roles = self.roles.iter().copied().chain([self.server]).collect();
        Asker { who, roles, manages: self.manages }
    }

    /// Whose work it is to answer them.
    pub fn whose(&self) -> Whose {
        Whose::of(&self.place(), self.user)
    }

    /// The id of what they ask.
    pub fn asked(&self) -> RequestId {
        let id = RequestId::new(PLATFORM, &self.via.id.to_string());
        id.expect("a platform and a number make an id")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_role_of_everyone_is_everyone_s() {
        let via = ReplyRoute { id: 1, application: 2, channel: 3, token: String::new() };
        let caller = Caller { via, server: 7, user: 8, roles: vec![9], manages: false };
        let asker = Asker { who: Who::Person(2), roles: vec![9, 7], manages: false };
        assert_eq!(caller.asker(Who::Person(2)), asker);
    }
}
